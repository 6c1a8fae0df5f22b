package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const roundColumns = `id, job_id, number, observation, reading, at, next_distance_m, next_on, ended, follow_up_id`

// SetRepeat says what must be seen before a job's rounds end; empty: it is done once. *garage.InvalidError when the job is
// closed, garage.ErrNotFound.
func (s *Store) SetRepeat(ctx context.Context, job garage.JobID, until string) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openJob(ctx, tx, job); err != nil {
			return err
		}
		if len([]rune(until)) > 200 {
			return garage.FieldErrors{"repeat_until": "Keep it to 200 characters."}.Err()
		}
		_, err := tx.Exec(ctx, `update jobs set version = version + 1, repeat_until = $2 where id = $1`, job, strings.TrimSpace(until))
		return err
	})
}

// AddRound notes one round of a job, with the next one or the word that ends them. The follow-up that called for it is done, and
// the next one makes another. *garage.InvalidError for what does not hold, when they have ended or the job is closed;
// garage.ErrNotFound.
func (s *Store) AddRound(ctx context.Context, r garage.Round) (id garage.RoundID, err error) {
	if err := r.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		job, err := openJob(ctx, tx, r.JobID)
		if err != nil {
			return err
		}
		var ended bool
		err = tx.QueryRow(ctx, `select coalesce(max(number), 0) + 1, coalesce(bool_or(ended <> ''), false) from rounds
			where job_id = $1 and undone_at is null`, r.JobID).Scan(&r.Number, &ended)
		if err != nil {
			return err
		}
		if ended {
			return garage.FieldErrors{"": "The rounds have ended."}.Err()
		}
		if err := answerRound(ctx, tx, r); err != nil {
			return err
		}
		next, err := nextRound(ctx, tx, job, r)
		if err != nil {
			return err
		}
		id, err = insert[garage.RoundID](ctx, tx, `
			insert into rounds (job_id, number, observation, reading, at, next_distance_m, next_on, ended, follow_up_id)
			values (@job, @number, @observation, @reading, @at, @distance, @on, @ended, @follow) returning id`, args{
			"job": r.JobID, "number": r.Number, "observation": r.Observation, "reading": r.Reading, "at": r.At,
			"distance": r.NextDistanceM, "on": r.NextOn, "ended": r.Ended, "follow": next,
		})
		return err
	})
	return id, err
}

// answerRound says of the follow-up that called for a round that it is done, at the moment of the round.
func answerRound(ctx context.Context, tx pgx.Tx, r garage.Round) error {
	_, err := tx.Exec(ctx, `
		update follow_ups set version = version + 1, done_at = @at, done_note = @note
		where done_at is null and id in (select follow_up_id from rounds where job_id = @job and undone_at is null)`,
		args{"job": r.JobID, "at": r.At, "note": fmt.Sprintf("round %d", r.Number)})
	return err
}

// nextRound makes the follow-up that calls for the round after one; nil when none is wanted.
func nextRound(ctx context.Context, tx pgx.Tx, job garage.Job, r garage.Round) (*garage.FollowUpID, error) {
	if r.Ended != "" || r.NextDistanceM == nil && r.NextOn == nil {
		return nil, nil //nolint:nilnil // the owner comes back to it unasked
	}
	due, err := fromNow(ctx, tx, job.CarID, r.NextDistanceM)
	if err != nil {
		return nil, err
	}
	if due == nil && r.NextOn == nil {
		return nil, garage.FieldErrors{"next_distance": "The car has no odometer reading to count from. Enter one, or a date."}.Err()
	}
	what := []rune(fmt.Sprintf("Round %d: %s", r.Number+1, job.Title))
	id, err := insertFollowUp(ctx, tx, garage.FollowUp{
		CarID: job.CarID, JobID: &job.ID, What: string(what[:min(len(what), 200)]), DueM: due, DueOn: r.NextOn,
	})
	return &id, err
}

// Round is one round, undone or not. garage.ErrNotFound when there is none.
func (s *Store) Round(ctx context.Context, id garage.RoundID) (garage.Round, error) {
	r, err := one[garage.Round](ctx, s.db, `select `+roundColumns+` from rounds where id = @id`, args{"id": id})
	if err != nil {
		return r, fmt.Errorf("round %d: %w", id, err)
	}
	return r, nil
}

// UndoRound takes the last round of a job back, with the follow-up that it made; the one that it answered waits again. One that is
// undone already stays so. *garage.InvalidError when a later one stands or the job is closed, garage.ErrNotFound.
func (s *Store) UndoRound(ctx context.Context, id garage.RoundID, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		r, err := New(tx).Round(ctx, id)
		if err != nil {
			return err
		}
		if _, err := openJob(ctx, tx, r.JobID); err != nil {
			return err
		}
		var stands, later bool
		err = tx.QueryRow(ctx, `select coalesce(bool_or(id = $2), false), coalesce(bool_or(number > $3), false) from rounds where job_id = $1 and undone_at is null`,
			r.JobID, r.ID, r.Number).Scan(&stands, &later)
		if err != nil || !stands {
			return err
		}
		if later {
			return garage.FieldErrors{"": "A later round stands: undo that one first."}.Err()
		}
		_, err = tx.Exec(ctx, `update rounds set undone_at = $2 where id = $1`, id, now)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update follow_ups set version = version + 1, deleted_at = $2
			where deleted_at is null and done_at is null and id = (select follow_up_id from rounds where id = $1)`, id, now)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update follow_ups set version = version + 1, done_at = null, done_note = ''
			where done_at = $2 and id in (select follow_up_id from rounds where job_id = $1 and undone_at is null)`, r.JobID, r.At)
		return err
	})
}

// RoundPhotos are the photos of the rounds of a job.
func (s *Store) RoundPhotos(ctx context.Context, job garage.JobID) (map[garage.RoundID][]garage.PhotoUse, error) {
	type row struct {
		garage.PhotoUse
		RoundID garage.RoundID
	}
	rows, err := list[row](ctx, s.db, `
		select `+photoUseColumns+`, u.round_id from photo_uses u join photos p on p.id = u.photo_id join rounds r on r.id = u.round_id
		where r.job_id = @job and u.deleted_at is null order by u.at, u.id`, args{"job": job})
	photos := map[garage.RoundID][]garage.PhotoUse{}
	for _, r := range rows {
		photos[r.RoundID] = append(photos[r.RoundID], r.PhotoUse)
	}
	return photos, err
}

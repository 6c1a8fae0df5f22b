package postgres

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// jobWhere holds the conditions of a list of jobs; a zero argument lets all through.
const jobWhere = `deleted_at is null
	and (@car::bigint = 0 or car_id = @car)
	and (@phase::bigint = 0 or phase_id = @phase)
	and (@kind = '' or kind = @kind)
	and (@state = '' or (closed_at is null) = (@state = 'open'))`

// Jobs lists jobs that the filter lets through: open ones by due date and weight, then closed ones, newest first.
func (s *Store) Jobs(ctx context.Context, f garage.JobFilter) ([]garage.JobRow, error) {
	limit := any(nil)
	if f.Limit > 0 {
		limit = f.Limit
	}
	return list[garage.JobRow](ctx, s.db, `
		with page as (
		  select `+jobColumns+`,
		    count(*) over () as total
		  from jobs
		  where `+jobWhere+`
		  order by closed_at is not null, closed_at desc, due nulls last, weight desc, id
		  limit @limit offset @offset
		), counted as (
		  select job_id, count(*) as stages, count(done_at) as stages_done
		  from stages
		  where deleted_at is null and job_id in (select id from page)
		  group by job_id
		)
		select page.*, c.name as car_name, coalesce(stages, 0) as stages, coalesce(stages_done, 0) as stages_done
		from page
		join cars c on c.id = page.car_id
		left join counted on counted.job_id = page.id
		order by page.closed_at is not null, page.closed_at desc, page.due nulls last, page.weight desc, page.id`,
		args{
			"car": f.CarID, "phase": f.PhaseID, "kind": string(f.Kind), "state": string(f.State),
			"limit": limit, "offset": f.Offset,
		})
}

// Job is one job. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Job(ctx context.Context, id garage.JobID) (garage.Job, error) {
	return jobByID(ctx, s.db, id, "")
}

// jobByID reads a job that is not deleted; lock is "for no key update" or nothing.
func jobByID(ctx context.Context, db DBTX, id garage.JobID, lock string) (garage.Job, error) {
	job, err := one[garage.Job](ctx, db, `
		select `+jobColumns+` from jobs where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return job, fmt.Errorf("job %d: %w", id, err)
	}
	return job, nil
}

// openJob reads a job for a change to its parts, and keeps others from changing them meanwhile. *garage.InvalidError when
// the job is closed.
func openJob(ctx context.Context, tx pgx.Tx, id garage.JobID) (garage.Job, error) {
	job, err := jobByID(ctx, tx, id, "for no key update")
	if err == nil && job.ClosedAt != nil {
		err = garage.FieldErrors{"": "The job is closed. Reopen it first."}.Err()
	}
	return job, err
}

const jobLinkColumns = `j.id, j.title, j.car_id, c.name as car_name, j.closed_at`

// JobAfter lists what a job waits for, in the order entered.
func (s *Store) JobAfter(ctx context.Context, id garage.JobID) ([]garage.JobLink, error) {
	return jobAfter(ctx, s.db, id)
}

func jobAfter(ctx context.Context, db DBTX, id garage.JobID) ([]garage.JobLink, error) {
	return list[garage.JobLink](ctx, db, `
		select `+jobLinkColumns+`, a.gap_minutes
		from job_after a
		join jobs j on j.id = a.after_id
		join cars c on c.id = j.car_id
		where a.job_id = @id and j.deleted_at is null
		order by j.closed_at is not null, j.id`, args{"id": id})
}

// JobBefore lists the open jobs that wait for a job.
func (s *Store) JobBefore(ctx context.Context, id garage.JobID) ([]garage.JobLink, error) {
	return jobBefore(ctx, s.db, id)
}

func jobBefore(ctx context.Context, db DBTX, id garage.JobID) ([]garage.JobLink, error) {
	return list[garage.JobLink](ctx, db, `
		select `+jobLinkColumns+`, a.gap_minutes
		from job_after a
		join jobs j on j.id = a.job_id
		join cars c on c.id = j.car_id
		where a.after_id = @id and j.deleted_at is null and j.closed_at is null
		order by j.id`, args{"id": id})
}

// CreateJob adds a job with what it waits for and its first stages. *garage.InvalidError for what does not hold; what is
// wrong with a stage stands under the field's name after "stage.". garage.ErrNotFound when the car is gone.
func (s *Store) CreateJob(
	ctx context.Context, job garage.Job, after []garage.After, stages ...garage.Stage,
) (garage.JobID, error) {
	if err := job.Validate(); err != nil {
		return 0, err
	}
	var id garage.JobID
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		err := lockAfter(ctx, tx)
		if err == nil {
			err = jobBelongs(ctx, tx, job)
		}
		if err != nil {
			return err
		}
		id, err = insert[garage.JobID](ctx, tx, `
			insert into jobs (car_id, phase_id, kind, title, reason, weight, not_before, pinned_at, due, due_for,
			  late_cost_per_day, late_cost, currency, notes)
			values (@car_id, @phase_id, @kind, @title, @reason, @weight, @not_before, @pinned_at, @due, @due_for,
			  @late_cost_per_day, @late_cost, @currency, @notes)
			returning id`, jobArgs(job, "pinned_at", job.PinnedAt))
		if err != nil {
			return err
		}
		if err := replaceAfter(ctx, tx, id, after); err != nil {
			return err
		}
		for _, stage := range stages {
			stage.JobID = id
			if _, err := insertStage(ctx, tx, job.CarID, stage); err != nil {
				return underField(err, "stage.")
			}
		}
		return nil
	})
	return id, err
}

// underField puts a prefix before the names of the fields that an error speaks of.
func underField(err error, prefix string) error {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok {
		return err
	}
	var fields garage.FieldErrors
	for name, message := range invalid.Fields {
		fields.Add(prefix+name, message)
	}
	return fields.Err()
}

func jobArgs(job garage.Job, more ...any) args {
	a := args{
		"car_id": job.CarID, "phase_id": job.PhaseID, "kind": string(job.Kind), "title": job.Title, "reason": job.Reason,
		"weight": job.Weight, "not_before": job.NotBefore, "due": job.Due, "due_for": job.DueFor,
		"late_cost_per_day": job.LateCostPerDay, "late_cost": job.LateCost, "currency": job.Currency, "notes": job.Notes,
	}
	for i := 0; i+1 < len(more); i += 2 {
		a[more[i].(string)] = more[i+1]
	}
	return a
}

// jobBelongs checks that the car is kept and that the phase is one of its own.
func jobBelongs(ctx context.Context, tx pgx.Tx, job garage.Job) error {
	var kept, phase bool
	err := tx.QueryRow(ctx, `
		select
		  exists (select from cars where id = @car and deleted_at is null),
		  @phase::bigint is null or exists (select from phases where id = @phase and car_id = @car and deleted_at is null)`,
		args{"car": job.CarID, "phase": job.PhaseID}).Scan(&kept, &phase)
	switch {
	case err != nil:
		return err
	case !kept:
		return garage.FieldErrors{"car": "That car is not in the garage any more."}.Err()
	case !phase:
		return garage.FieldErrors{"phase": "That phase belongs to another car, or was deleted."}.Err()
	}
	return nil
}

// UpdateJob saves a job and what it waits for, but not its pin, which PinJob sets. *garage.InvalidError for what does not
// hold, such as a loop of prerequisites under "after"; garage.ErrConflict for an old version; garage.ErrNotFound.
func (s *Store) UpdateJob(ctx context.Context, job garage.Job, after []garage.After) error {
	if err := job.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if err := lockAfter(ctx, tx); err != nil {
			return err
		}
		was, err := jobByID(ctx, tx, job.ID, "for no key update")
		if err != nil {
			return err
		}
		if err := jobBelongs(ctx, tx, job); err != nil {
			return err
		}
		if err := movesCar(ctx, tx, was, job); err != nil {
			return err
		}
		err = update(ctx, tx, "jobs", `
			update jobs set
			  version = version + 1,
			  car_id = @car_id,
			  phase_id = @phase_id,
			  kind = @kind,
			  title = @title,
			  reason = @reason,
			  weight = @weight,
			  not_before = @not_before,
			  due = @due,
			  due_for = @due_for,
			  late_cost_per_day = @late_cost_per_day,
			  late_cost = @late_cost,
			  currency = @currency,
			  notes = @notes
			where id = @id and version = @version`,
			jobArgs(job, "id", job.ID, "version", job.Version))
		if err != nil {
			return fmt.Errorf("job %d: %w", job.ID, err)
		}
		return replaceAfter(ctx, tx, job.ID, after)
	})
}

// movesCar refuses to move a job to another car while it refers to what only the old car has.
func movesCar(ctx context.Context, tx pgx.Tx, was, job garage.Job) error {
	if was.CarID == job.CarID {
		return nil
	}
	var tied bool
	err := tx.QueryRow(ctx, `
		select exists (
		  select from stages s
		  where s.job_id = @id
		    and (exists (select from stage_access a where a.stage_id = s.id)
		      or exists (select from stage_closing c where c.stage_id = s.id)
		      or s.done_at is not null))
		  or exists (select from donor_parts where harvest_job_id = @id and deleted_at is null)`,
		args{"id": job.ID}).Scan(&tied)
	if err == nil && tied {
		return garage.FieldErrors{
			"car": "The job uses the access, closing work or parts of its car, or is begun. Enter it anew on the other car.",
		}.Err()
	}
	return err
}

// lockAfter keeps two savers from closing a loop of prerequisites from its two ends at once. It comes before any lock on a
// job's row: that order keeps the two from waiting for each other for ever.
func lockAfter(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, "lock table job_after in share row exclusive mode")
	return err
}

// replaceAfter sets what a job waits for. What it waits for and was deleted stays, so that undoing brings it back.
func replaceAfter(ctx context.Context, tx pgx.Tx, id garage.JobID, after []garage.After) error {
	_, err := tx.Exec(ctx, `
		delete from job_after
		where job_id = @id and after_id in (select id from jobs where deleted_at is null)`, args{"id": id})
	if err != nil {
		return err
	}
	for _, a := range after {
		tag, err := tx.Exec(ctx, `
			insert into job_after (job_id, after_id, gap_minutes)
			select @id, id, @gap from jobs where id = @after and deleted_at is null
			on conflict (job_id, after_id) do update set gap_minutes = excluded.gap_minutes`,
			args{"id": id, "after": a.AfterID, "gap": a.GapMinutes})
		if err != nil {
			return err
		}
		if tag.RowsAffected() == 0 {
			return garage.FieldErrors{"after": "One of the jobs it waits for was deleted meanwhile."}.Err()
		}
	}
	return refuseLoop(ctx, tx)
}

// refuseLoop names a loop of prerequisites, deleted jobs included: undoing must not close one.
func refuseLoop(ctx context.Context, tx pgx.Tx) error {
	edges, err := list[garage.After](ctx, tx, `select job_id, after_id, gap_minutes from job_after`, args{})
	if err != nil {
		return err
	}
	loop := garage.AfterLoop(edges)
	if loop == nil {
		return nil
	}
	titles := make([]string, len(loop))
	for i, id := range loop {
		err := tx.QueryRow(ctx, `
			select title || case when deleted_at is null then '' else ' (deleted)' end from jobs where id = $1`, id).
			Scan(&titles[i])
		if err != nil {
			return err
		}
	}
	return garage.FieldErrors{"after": "They would wait for each other: " + strings.Join(titles, " → ") + "."}.Err()
}

// PinJob saves when the owner wants a job: PinnedAt, the start of a session, and NotBefore. *garage.InvalidError,
// garage.ErrConflict for an old version, garage.ErrNotFound.
func (s *Store) PinJob(ctx context.Context, id garage.JobID, version int64, pinnedAt *time.Time, notBefore *garage.Date) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		job, err := openJob(ctx, tx, id)
		if err != nil {
			return err
		}
		job.PinnedAt, job.NotBefore = pinnedAt, notBefore
		if err := job.Validate(); err != nil {
			return err
		}
		return update(ctx, tx, "jobs", `
			update jobs set version = version + 1, pinned_at = @pinned_at, not_before = @not_before
			where id = @id and version = @version`,
			args{"id": id, "version": version, "pinned_at": pinnedAt, "not_before": notBefore})
	})
}

// CloseJob closes a job. With stages still open it wants a word why, under "closed_as". garage.ErrConflict for an old
// version or when it is closed already, garage.ErrNotFound.
func (s *Store) CloseJob(ctx context.Context, id garage.JobID, version int64, word string, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		job, err := jobByID(ctx, tx, id, "for no key update")
		if err != nil {
			return err
		}
		if job.ClosedAt != nil || job.Version != version {
			return fmt.Errorf("job %d: %w", id, garage.ErrConflict)
		}
		var open bool
		err = tx.QueryRow(ctx, `
			select exists (select from stages where job_id = $1 and deleted_at is null and done_at is null)`, id).Scan(&open)
		if err != nil {
			return err
		}
		word = strings.TrimSpace(word)
		switch {
		case open && word == "":
			return garage.FieldErrors{"closed_as": "Not all stages are done. Say in a word why it is closed as it is."}.Err()
		case len([]rune(word)) > 200:
			return garage.FieldErrors{"closed_as": "Keep it to 200 characters."}.Err()
		}
		return update(ctx, tx, "jobs", `
			update jobs set version = version + 1, closed_at = @now, closed_as = @word, pinned_at = null
			where id = @id and version = @version`,
			args{"id": id, "version": version, "now": now, "word": word})
	})
}

// ReopenJob opens a closed job again. garage.ErrConflict when it is open, garage.ErrNotFound.
func (s *Store) ReopenJob(ctx context.Context, id garage.JobID) error {
	tag, err := s.db.Exec(ctx, `
		update jobs set version = version + 1, closed_at = null, closed_as = ''
		where id = @id and closed_at is not null and deleted_at is null`, args{"id": id})
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 1 {
		return nil
	}
	if _, err := s.Job(ctx, id); err != nil {
		return err
	}
	return fmt.Errorf("job %d: %w", id, garage.ErrConflict)
}

// DeleteJob deletes a job. While open jobs wait for it, or donor parts count on it, it does so only despite them, and
// otherwise says which under "". garage.ErrNotFound.
func (s *Store) DeleteJob(ctx context.Context, id garage.JobID, despite bool) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := jobByID(ctx, tx, id, "for no key update"); err != nil {
			return err
		}
		if !despite {
			if err := refuseOrphans(ctx, tx, id); err != nil {
				return err
			}
		}
		return New(tx).setDeleted(ctx, "jobs", int64(id), true)
	})
}

func refuseOrphans(ctx context.Context, tx pgx.Tx, id garage.JobID) error {
	before, err := jobBefore(ctx, tx, id)
	if err != nil {
		return err
	}
	var harvests bool
	err = tx.QueryRow(ctx, `
		select exists (select from donor_parts where harvest_job_id = $1 and taken_at is null and deleted_at is null)`, id).
		Scan(&harvests)
	switch {
	case err != nil:
		return err
	case len(before) > 0:
		titles := make([]string, len(before))
		for i, b := range before {
			titles[i] = b.Title
		}
		return garage.FieldErrors{"": "These jobs wait for it: " + strings.Join(titles, ", ") + "."}.Err()
	case harvests:
		return garage.FieldErrors{"": "Parts on a donor are to be taken off by it."}.Err()
	}
	return nil
}

// RestoreJob undoes DeleteJob. garage.ErrNotFound when there is no such deleted job.
func (s *Store) RestoreJob(ctx context.Context, id garage.JobID) error {
	return s.setDeleted(ctx, "jobs", int64(id), false)
}

// TakeOffParts puts parts that a harvest job takes off its donor into a bin that is named, or made; those taken already, or of
// another job, are left as they are. *garage.InvalidError for what does not hold, garage.ErrNotFound when the job is gone.
func (s *Store) TakeOffParts(
	ctx context.Context, job garage.JobID, parts []garage.DonorPartID, pick garage.BinPick, now time.Time,
) (movements []garage.MovementID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := jobByID(ctx, tx, job, "for no key update"); err != nil {
			return err
		}
		found, err := list[garage.DonorPart](ctx, tx, `
			select `+donorPartColumns+` from donor_parts
			where id = any(@ids) and harvest_job_id = @job and taken_at is null and deleted_at is null
			order by id`, args{"ids": parts, "job": job})
		if err != nil {
			return err
		}
		for _, d := range found {
			movement, err := New(tx).TakeOffDonorPart(ctx, d.ID, d.Quantity, pick, now)
			if err != nil {
				return err
			}
			movements = append(movements, movement)
		}
		return nil
	})
	return movements, err
}

// PutBackParts undoes TakeOffParts: the parts are out of their bins and on the donor again. *garage.InvalidError when a bin
// does not hold them any more, or they are back already.
func (s *Store) PutBackParts(ctx context.Context, movements []garage.MovementID) error {
	return s.ReverseMovements(ctx, movements)
}

package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const markColumns = `id, step_id, job_id, kind, value, wrench_id, note, revision, at, recorded_at, by_link, reverses, key`

// Marked is what a mark came to.
type Marked struct {
	ID      garage.MarkID
	Finding string // what is wrong with the work; a follow-up says so
}

// MarkStep notes what happened at a step. Marks add up: one more on a step that is done already is kept too. A mark whose
// key was seen before changes nothing. A step could not be reached with a wrench, or a finding, makes a follow-up.
// *garage.InvalidError for what cannot be read, for a step that is locked and for a closed job; garage.ErrNotFound.
func (s *Store) MarkStep(ctx context.Context, mark garage.StepMark, now time.Time) (Marked, error) {
	var made Marked
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		step, err := stepByID(ctx, tx, mark.StepID)
		if err != nil {
			return err
		}
		job, err := openJobOfStep(ctx, tx, step)
		if err != nil {
			return err
		}
		if seen, err := markByKey(ctx, tx, mark.Key); err != nil || seen != nil {
			if seen != nil {
				made.ID = seen.ID
			}
			return err
		}
		if made.Finding, err = checkMark(ctx, tx, step, mark); err != nil {
			return err
		}
		if mark.At.IsZero() || mark.At.After(now) {
			mark.At = now
		}
		mark.JobID = job.ID
		if made.ID, err = insertMark(ctx, tx, mark); err != nil {
			return err
		}
		mark.ID = made.ID
		if mark.Kind == garage.DoneMark {
			if err := needRemoved(ctx, tx, job.ID, step); err != nil {
				return err
			}
		}
		return followMark(ctx, tx, job, step, mark, made.Finding)
	})
	return made, err
}

// openJobOfStep reads the job of a step for a mark. Marks of one job wait for each other, so that each sees the one before.
func openJobOfStep(ctx context.Context, tx pgx.Tx, step garage.Step) (garage.Job, error) {
	stage, err := stageByID(ctx, tx, step.StageID)
	if err != nil {
		return garage.Job{}, err
	}
	return openJob(ctx, tx, stage.JobID)
}

func markByKey(ctx context.Context, tx pgx.Tx, key *string) (*garage.StepMark, error) {
	if key == nil {
		return nil, nil //nolint:nilnil // no key, no mark
	}
	mark, err := one[garage.StepMark](ctx, tx, `select `+markColumns+` from step_marks where key = @key`, args{"key": *key})
	if errors.Is(err, garage.ErrNotFound) {
		return nil, nil //nolint:nilnil // not seen before
	}
	return &mark, err
}

func checkMark(ctx context.Context, tx pgx.Tx, step garage.Step, mark garage.StepMark) (finding string, err error) {
	switch mark.Kind {
	case garage.DoneMark:
		if why := step.Locked(); why != "" {
			return "", garage.FieldErrors{"figure": why}.Err()
		}
		return step.CheckValue(mark.Value)
	case garage.NoWrenchMark:
		if step.Kind != garage.TorqueStep {
			return "", garage.FieldErrors{"kind": "Only tightening takes a wrench."}.Err()
		}
		return "", nil
	case garage.StartedMark:
		if why := step.Locked(); why != "" {
			return "", garage.FieldErrors{"figure": why}.Err()
		}
		if _, ok := mark.Until(); !ok || step.Kind != garage.WaitStep {
			return "", garage.FieldErrors{"value": "Only a step that waits has a timer."}.Err()
		}
		return "", nil
	case garage.SecondMark:
		return "", checkSecondLook(ctx, tx, step)
	}
	return "", garage.FieldErrors{"kind": "Choose one of the list."}.Err()
}

func checkSecondLook(ctx context.Context, tx pgx.Tx, step garage.Step) error {
	marks, err := stepMarks(ctx, tx, step.ID)
	if err != nil {
		return err
	}
	row := garage.NewStepRow(0, step, garage.StandingMarks(marks)[step.ID])
	if row.State != garage.StepDone {
		return garage.FieldErrors{"kind": "There is nothing to look at yet: the step is not done."}.Err()
	}
	return nil
}

func stepMarks(ctx context.Context, db DBTX, step garage.StepID) ([]garage.StepMark, error) {
	return list[garage.StepMark](ctx, db, `select `+markColumns+` from step_marks where step_id = @step order by id`, args{"step": step})
}

func insertMark(ctx context.Context, tx pgx.Tx, m garage.StepMark) (garage.MarkID, error) {
	id, err := insert[garage.MarkID](ctx, tx, `
		insert into step_marks (step_id, job_id, kind, value, wrench_id, note, revision, at, by_link, reverses, key)
		select @step, id, @kind, @value, @wrench, @note, card_revision, @at, @by_link, @reverses, @key from jobs where id = @job
		returning id`, args{
		"step": m.StepID, "job": m.JobID, "kind": string(m.Kind), "value": m.Value, "wrench": m.WrenchID, "note": m.Note, "at": m.At,
		"by_link": m.ByLink, "reverses": m.Reverses, "key": m.Key,
	})
	if err != nil {
		return 0, err
	}
	_, err = tx.Exec(ctx, `update jobs set card_in_use_at = $2 where id = $1 and card_in_use_at is null`, m.JobID, m.At)
	return id, err
}

// followMark makes the follow-up of a mark that left something to do.
func followMark(ctx context.Context, tx pgx.Tx, job garage.Job, step garage.Step, m garage.StepMark, finding string) error {
	what := ""
	switch {
	case m.Kind == garage.NoWrenchMark:
		what = "Not tightened with a wrench: " + step.Text
		if step.Figure != "" {
			what += ", " + step.Figure
		}
	case finding != "":
		what = step.Text + ": " + finding
	default:
		return nil
	}
	if m.Note != "" {
		what += " (" + m.Note + ")"
	}
	if r := []rune(what); len(r) > 200 {
		what = string(r[:199]) + "…"
	}
	_, err := insertFollowUp(ctx, tx, garage.FollowUp{CarID: job.CarID, JobID: &job.ID, StepID: &step.ID, MarkID: &m.ID, What: what})
	return err
}

// Mark is one mark. garage.ErrNotFound when there is none.
func (s *Store) Mark(ctx context.Context, id garage.MarkID) (garage.StepMark, error) {
	return one[garage.StepMark](ctx, s.db, `select `+markColumns+` from step_marks where id = @id`, args{"id": id})
}

// UndoMark reverses a mark; one that is reversed already stays so. Its follow-up goes with it. *garage.InvalidError when the
// job is closed, garage.ErrNotFound.
func (s *Store) UndoMark(ctx context.Context, id garage.MarkID, by garage.StepMark, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		mark, err := New(tx).Mark(ctx, id)
		if err != nil {
			return fmt.Errorf("mark %d: %w", id, err)
		}
		return undoMark(ctx, tx, mark, by, now)
	})
}

// UndoMarkByKey is [Store.UndoMark] for who knows only the key of the request that made the mark; a helper undoes the link's own. *garage.InvalidError when
// that request never came.
func (s *Store) UndoMarkByKey(ctx context.Context, step garage.StepID, of string, by garage.StepMark, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		mark, err := markByKey(ctx, tx, &of)
		if err != nil {
			return err
		}
		others := by.ByLink != nil && mark != nil && (mark.ByLink == nil || *mark.ByLink != *by.ByLink)
		if mark == nil || mark.StepID != step || others {
			return garage.FieldErrors{"of": "There is nothing to undo: that tick never came here."}.Err()
		}
		return undoMark(ctx, tx, *mark, by, now)
	})
}

func undoMark(ctx context.Context, tx pgx.Tx, mark, by garage.StepMark, now time.Time) error {
	if _, err := openJob(ctx, tx, mark.JobID); err != nil {
		return err
	}
	var reversed bool
	err := tx.QueryRow(ctx, `select exists (select from step_marks where reverses = $1)`, mark.ID).Scan(&reversed)
	if err != nil || reversed {
		return err
	}
	if mark.Kind == garage.UndoneMark {
		return garage.FieldErrors{"": "What was undone is done anew, not undone again."}.Err()
	}
	by.StepID, by.JobID, by.Kind, by.Reverses = mark.StepID, mark.JobID, garage.UndoneMark, &mark.ID
	if by.At.IsZero() || by.At.After(now) {
		by.At = now
	}
	if _, err := insertMark(ctx, tx, by); err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `update follow_ups set deleted_at = now(), version = version + 1
		where mark_id = $1 and deleted_at is null and done_at is null`, mark.ID)
	return err
}

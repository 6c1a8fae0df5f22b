package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const followUpColumns = `id, version, car_id, job_id, step_id, mark_id, what, due_on, due_m, created_at, done_at, done_note, deleted_at`

// carRun is what a car had run at its last reading that holds, in metres, and the unit of its odometer.
const carRun = `left join lateral (
	select g.offset_m + round(r.shown * case g.unit when 'mi' then 1609.344 else 1000 end)::bigint as metres
	from odometer_readings r join odometer_segments g on g.id = r.segment_id
	where g.car_id = c.id and r.reverses is null and not exists (select from odometer_readings x where x.reverses = r.id)
	order by r.read_on desc, 1 desc, r.id desc limit 1) run on true
	left join lateral (select unit from odometer_segments g where g.car_id = c.id order by number desc limit 1) odo on true`

// FollowUpFilter narrows a list of follow-ups; its zero fields do not.
type FollowUpFilter struct {
	CarID garage.CarID
	JobID garage.JobID
	Done  bool // those that are done too
}

// FollowUps lists follow-ups: open ones first, in order of date and distance.
func (s *Store) FollowUps(ctx context.Context, f FollowUpFilter) ([]garage.FollowUpRow, error) {
	return list[garage.FollowUpRow](ctx, s.db, `
		select f.*, c.name as car_name, j.title as job_title, run.metres, coalesce(odo.unit, 'km') as unit,
		  exists (select from rounds r where r.follow_up_id = f.id and r.undone_at is null) as round
		from (select `+followUpColumns+` from follow_ups where deleted_at is null
		  and (@car::bigint = 0 or car_id = @car) and (@job::bigint = 0 or job_id = @job) and (@done or done_at is null)) f
		join cars c on c.id = f.car_id and c.deleted_at is null
		left join jobs j on j.id = f.job_id and j.deleted_at is null
		`+carRun+`
		order by f.done_at is not null, f.done_at desc, f.due_on nulls last, f.due_m nulls last, f.id`,
		args{"car": f.CarID, "job": f.JobID, "done": f.Done})
}

// FollowUp is one follow-up. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) FollowUp(ctx context.Context, id garage.FollowUpID) (garage.FollowUp, error) {
	v, err := one[garage.FollowUp](ctx, s.db, `
		select `+followUpColumns+` from follow_ups where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("follow-up %d: %w", id, err)
	}
	return v, nil
}

// CreateFollowUp adds a follow-up. *garage.InvalidError for what does not hold, garage.ErrNotFound without its car.
func (s *Store) CreateFollowUp(ctx context.Context, v garage.FollowUp) (id garage.FollowUpID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keptCar(ctx, tx, v.CarID); err != nil {
			return err
		}
		id, err = insertFollowUp(ctx, tx, v)
		return err
	})
	return id, err
}

func insertFollowUp(ctx context.Context, tx pgx.Tx, v garage.FollowUp) (garage.FollowUpID, error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	return insert[garage.FollowUpID](ctx, tx, `
		insert into follow_ups (car_id, job_id, step_id, mark_id, what, due_on, due_m)
		values (@car, @job, @step, @mark, @what, @due_on, @due_m) returning id`, args{
		"car": v.CarID, "job": v.JobID, "step": v.StepID, "mark": v.MarkID, "what": v.What, "due_on": v.DueOn, "due_m": v.DueM,
	})
}

// UpdateFollowUp saves what is to be done and when. *garage.InvalidError for what does not hold, garage.ErrConflict for an
// old version, garage.ErrNotFound.
func (s *Store) UpdateFollowUp(ctx context.Context, v garage.FollowUp) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "follow_ups", `
			update follow_ups set version = version + 1, what = @what, due_on = @due_on, due_m = @due_m
			where id = @id and version = @version and deleted_at is null`,
			args{"id": v.ID, "version": v.Version, "what": v.What, "due_on": v.DueOn, "due_m": v.DueM})
	})
}

// FinishFollowUp says that a follow-up is done; nil for at that it is not. garage.ErrNotFound.
func (s *Store) FinishFollowUp(ctx context.Context, id garage.FollowUpID, at *time.Time, note string) error {
	tag, err := s.db.Exec(ctx, `
		update follow_ups set version = version + 1, done_at = @at, done_note = @note where id = @id and deleted_at is null`,
		args{"id": id, "at": at, "note": note})
	if err == nil && tag.RowsAffected() == 0 {
		err = fmt.Errorf("follow-up %d: %w", id, garage.ErrNotFound)
	}
	return mapError(err)
}

// DeleteFollowUp deletes a follow-up; [Store.RestoreFollowUp] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteFollowUp(ctx context.Context, id garage.FollowUpID) error {
	return s.setDeleted(ctx, "follow_ups", int64(id), true)
}

// RestoreFollowUp brings a deleted follow-up back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreFollowUp(ctx context.Context, id garage.FollowUpID) error {
	return s.setDeleted(ctx, "follow_ups", int64(id), false)
}

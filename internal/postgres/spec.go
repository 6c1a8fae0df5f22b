package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const torqueSpecColumns = `id, version, car_id, stage_id, joint, stages, thread, class, condition, bolts, sequence, single_use,
	retorque, source, page, checked_on, note, deleted_at`

// torqueSpecRows reads specs of cars that are kept, with the stage and job that they are wanted at.
const torqueSpecRows = `select s.*, st.name as stage_name, j.id as job_id, j.title as job_title
	from (select ` + torqueSpecColumns + ` from torque_specs where ` + ofKeptCars + `) s
	left join (stages st join jobs j on j.id = st.job_id and j.deleted_at is null) on st.id = s.stage_id and st.deleted_at is null `

// TorqueSpecs are those of a car by joint.
func (s *Store) TorqueSpecs(ctx context.Context, car garage.CarID) ([]garage.TorqueSpecRow, error) {
	return list[garage.TorqueSpecRow](ctx, s.db, torqueSpecRows+`where s.car_id = @car order by lower(s.joint), s.id`, args{"car": car})
}

// JobTorqueSpecs are those that are wanted at the stages of a job, in the order of the stages.
func (s *Store) JobTorqueSpecs(ctx context.Context, job garage.JobID) ([]garage.TorqueSpecRow, error) {
	return list[garage.TorqueSpecRow](ctx, s.db, torqueSpecRows+`where j.id = @job order by st.position, lower(s.joint), s.id`, args{"job": job})
}

// TorqueSpec is one torque spec; garage.ErrNotFound when there is none or it was deleted, or its car was.
func (s *Store) TorqueSpec(ctx context.Context, id garage.TorqueSpecID) (garage.TorqueSpecRow, error) {
	v, err := one[garage.TorqueSpecRow](ctx, s.db, torqueSpecRows+`where s.id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("torque spec %d: %w", id, err)
	}
	return v, nil
}

// SpecStages are the stages of a car that a spec can be tied to: those still to be done, and the one that it is tied to.
func (s *Store) SpecStages(ctx context.Context, car garage.CarID, tied *garage.StageID) ([]garage.StageChoice, error) {
	return list[garage.StageChoice](ctx, s.db, `
		select s.id, s.name, j.title as job_title from stages s join jobs j on j.id = s.job_id
		where j.car_id = @car and s.deleted_at is null and j.deleted_at is null
		  and (s.done_at is null and j.closed_at is null or s.id = @tied)
		order by lower(j.title), j.id, s.position, s.id`, args{"car": car, "tied": tied})
}

func torqueSpecArgs(v garage.TorqueSpec) args {
	return args{
		"stage": v.StageID, "joint": v.Joint, "stages": v.Stages, "thread": v.Thread, "class": v.Class,
		"condition": string(v.Condition), "bolts": v.Bolts, "sequence": v.Sequence, "single_use": v.SingleUse, "retorque": v.Retorque,
		"source": v.Source, "page": v.Page, "checked_on": v.CheckedOn, "note": v.Note,
	}
}

// CreateTorqueSpec adds a torque spec to a car. *garage.InvalidError for what does not hold, also for a stage that is not of a
// job on the car; garage.ErrNotFound without the car.
func (s *Store) CreateTorqueSpec(ctx context.Context, v garage.TorqueSpec) (id garage.TorqueSpecID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keptCar(ctx, tx, v.CarID); err != nil {
			return err
		}
		if err := ownStage(ctx, tx, v.CarID, v.StageID); err != nil {
			return err
		}
		a := torqueSpecArgs(v)
		a["car"] = v.CarID
		id, err = insert[garage.TorqueSpecID](ctx, tx, `
			insert into torque_specs (car_id, stage_id, joint, stages, thread, class, condition, bolts, sequence, single_use,
			  retorque, source, page, checked_on, note)
			values (@car, @stage, @joint, @stages, @thread, @class, @condition, @bolts, @sequence, @single_use,
			  @retorque, @source, @page, @checked_on, @note) returning id`, a)
		return err
	})
	return id, err
}

// keptCar refuses a car that is not there or was deleted with garage.ErrNotFound.
func keptCar(ctx context.Context, tx pgx.Tx, id garage.CarID) error {
	var kept bool
	err := tx.QueryRow(ctx, `select exists (select from cars where id = $1 and deleted_at is null)`, id).Scan(&kept)
	if err == nil && !kept {
		err = fmt.Errorf("car %d: %w", id, garage.ErrNotFound)
	}
	return err
}

// ownStage refuses a stage that is not of a job on the car.
func ownStage(ctx context.Context, tx pgx.Tx, car garage.CarID, stage *garage.StageID) error {
	if stage == nil {
		return nil
	}
	var own bool
	err := tx.QueryRow(ctx, `select exists (select from stages s join jobs j on j.id = s.job_id
		where s.id = $1 and j.car_id = $2 and s.deleted_at is null and j.deleted_at is null)`, *stage, car).Scan(&own)
	if err == nil && !own {
		err = garage.FieldErrors{"stage": "Choose a stage of a job on this car."}.Err()
	}
	return err
}

// UpdateTorqueSpec saves a torque spec; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an
// old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateTorqueSpec(ctx context.Context, v garage.TorqueSpec) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stored, err := New(tx).TorqueSpec(ctx, v.ID)
		if err != nil {
			return err
		}
		// A stage that was deleted meanwhile stays as it was tied.
		if stored.StageID == nil || v.StageID == nil || *stored.StageID != *v.StageID {
			if err := ownStage(ctx, tx, stored.CarID, v.StageID); err != nil {
				return err
			}
		}
		a := torqueSpecArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "torque_specs", `
			update torque_specs set
			  version = version + 1,
			  stage_id = @stage,
			  joint = @joint,
			  stages = @stages,
			  thread = @thread,
			  class = @class,
			  condition = @condition,
			  bolts = @bolts,
			  sequence = @sequence,
			  single_use = @single_use,
			  retorque = @retorque,
			  source = @source,
			  page = @page,
			  checked_on = @checked_on,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteTorqueSpec deletes a torque spec; [Store.RestoreTorqueSpec] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteTorqueSpec(ctx context.Context, id garage.TorqueSpecID) error {
	return s.setDeleted(ctx, "torque_specs", int64(id), true)
}

// RestoreTorqueSpec brings a deleted torque spec back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreTorqueSpec(ctx context.Context, id garage.TorqueSpecID) error {
	return s.setDeleted(ctx, "torque_specs", int64(id), false)
}

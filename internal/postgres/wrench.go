package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const wrenchColumns = `id, version, name, unit, low, high, graduation, accuracy, length, calibrated_on, clicks, note, deleted_at`

// Wrenches are the torque wrenches by name.
func (s *Store) Wrenches(ctx context.Context) ([]garage.Wrench, error) {
	return list[garage.Wrench](ctx, s.db, `
		select `+wrenchColumns+` from wrenches where deleted_at is null order by lower(name), id`, args{})
}

// Wrench is one torque wrench; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Wrench(ctx context.Context, id garage.WrenchID) (garage.Wrench, error) {
	v, err := one[garage.Wrench](ctx, s.db, `
		select `+wrenchColumns+` from wrenches where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("wrench %d: %w", id, err)
	}
	return v, nil
}

func wrenchArgs(v garage.Wrench) args {
	return args{
		"name": v.Name, "unit": v.Unit, "low": v.Low, "high": v.High, "graduation": v.Graduation, "accuracy": v.Accuracy,
		"length": v.Length, "calibrated_on": v.CalibratedOn, "clicks": v.Clicks, "note": v.Note,
	}
}

// CreateWrench adds a torque wrench. *garage.InvalidError for what does not hold.
func (s *Store) CreateWrench(ctx context.Context, v garage.Wrench) (id garage.WrenchID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insert[garage.WrenchID](ctx, tx, `
			insert into wrenches (name, unit, low, high, graduation, accuracy, length, calibrated_on, clicks, note)
			values (@name, @unit, @low, @high, @graduation, @accuracy, @length, @calibrated_on, @clicks, @note)
			returning id`, wrenchArgs(v))
		return err
	})
	return id, err
}

// UpdateWrench saves a torque wrench. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateWrench(ctx context.Context, v garage.Wrench) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := wrenchArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "wrenches", `
			update wrenches set
			  version = version + 1,
			  name = @name,
			  unit = @unit,
			  low = @low,
			  high = @high,
			  graduation = @graduation,
			  accuracy = @accuracy,
			  length = @length,
			  calibrated_on = @calibrated_on,
			  clicks = @clicks,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteWrench deletes a torque wrench; [Store.RestoreWrench] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteWrench(ctx context.Context, id garage.WrenchID) error {
	return s.setDeleted(ctx, "wrenches", int64(id), true)
}

// RestoreWrench brings a deleted torque wrench back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreWrench(ctx context.Context, id garage.WrenchID) error {
	return s.setDeleted(ctx, "wrenches", int64(id), false)
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const bottleColumns = `id, version, kind, name, standard, grade, opened_on, volume_left, keeps_months, place, note, deleted_at`

// Bottles are the opened bottles that are not used up.
func (s *Store) Bottles(ctx context.Context) ([]garage.Bottle, error) {
	return list[garage.Bottle](ctx, s.db, `
		select `+bottleColumns+` from bottles where deleted_at is null order by kind, opened_on, id`, args{})
}

// Bottle is one opened bottle; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Bottle(ctx context.Context, id garage.BottleID) (garage.Bottle, error) {
	v, err := one[garage.Bottle](ctx, s.db, `
		select `+bottleColumns+` from bottles where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("opened bottle %d: %w", id, err)
	}
	return v, nil
}

func bottleArgs(v garage.Bottle) args {
	return args{"kind": v.Kind, "name": v.Name, "standard": v.Standard, "grade": v.Grade, "opened_on": v.OpenedOn, "volume_left": v.VolumeLeft, "keeps_months": v.KeepsMonths, "place": v.Place, "note": v.Note}
}

// CreateBottle adds a opened bottle. *garage.InvalidError for what does not hold.
func (s *Store) CreateBottle(ctx context.Context, v garage.Bottle) (id garage.BottleID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		a := bottleArgs(v)
		id, err = insert[garage.BottleID](ctx, tx, `
			insert into bottles (kind, name, standard, grade, opened_on, volume_left, keeps_months, place, note)
			values (@kind, @name, @standard, @grade, @opened_on, @volume_left, @keeps_months, @place, @note) returning id`, a)
		return err
	})
	return id, err
}

// UpdateBottle saves a opened bottle. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateBottle(ctx context.Context, v garage.Bottle) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := bottleArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "bottles", `
			update bottles set
			  version = version + 1,
			  kind = @kind,
			  name = @name,
			  standard = @standard,
			  grade = @grade,
			  opened_on = @opened_on,
			  volume_left = @volume_left,
			  keeps_months = @keeps_months,
			  place = @place,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteBottle deletes a opened bottle; [Store.RestoreBottle] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteBottle(ctx context.Context, id garage.BottleID) error {
	return s.setDeleted(ctx, "bottles", int64(id), true)
}

// RestoreBottle brings a deleted opened bottle back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreBottle(ctx context.Context, id garage.BottleID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "bottles", int64(id), false) })
}

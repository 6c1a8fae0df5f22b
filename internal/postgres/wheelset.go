package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const wheelSetColumns = `id, version, car_id, name, tyre, rim, seat, turns, date_code, tread, place, mounted, note, deleted_at`

// WheelSets are the wheel sets of a car.
func (s *Store) WheelSets(ctx context.Context, car garage.CarID) ([]garage.WheelSet, error) {
	return list[garage.WheelSet](ctx, s.db, `
		select `+wheelSetColumns+` from wheel_sets where car_id = @car and `+ofKeptCars+` order by mounted desc, lower(name), id`, args{"car": car})
}

// WheelSet is one wheel set; garage.ErrNotFound when there is none or it was deleted, or its car was.
func (s *Store) WheelSet(ctx context.Context, id garage.WheelSetID) (garage.WheelSet, error) {
	v, err := one[garage.WheelSet](ctx, s.db, `
		select `+wheelSetColumns+` from wheel_sets where id = @id and `+ofKeptCars, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("wheel set %d: %w", id, err)
	}
	return v, nil
}

func wheelSetArgs(v garage.WheelSet) args {
	return args{"name": v.Name, "tyre": v.Tyre, "rim": v.Rim, "seat": v.Seat, "turns": v.Turns, "date_code": v.DateCode, "tread": v.Tread, "place": v.Place, "mounted": v.Mounted, "note": v.Note}
}

// CreateWheelSet adds a wheel set to a car. *garage.InvalidError for what does not hold; garage.ErrNotFound without the car.
func (s *Store) CreateWheelSet(ctx context.Context, v garage.WheelSet) (id garage.WheelSetID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keptCar(ctx, tx, v.CarID); err != nil {
			return err
		}
		a := wheelSetArgs(v)
		a["car"] = v.CarID
		id, err = insert[garage.WheelSetID](ctx, tx, `
			insert into wheel_sets (car_id, name, tyre, rim, seat, turns, date_code, tread, place, mounted, note)
			values (@car, @name, @tyre, @rim, @seat, @turns, @date_code, @tread, @place, @mounted, @note) returning id`, a)
		return err
	})
	return id, err
}

// UpdateWheelSet saves a wheel set; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateWheelSet(ctx context.Context, v garage.WheelSet) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := wheelSetArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "wheel_sets", `
			update wheel_sets set
			  version = version + 1,
			  name = @name,
			  tyre = @tyre,
			  rim = @rim,
			  seat = @seat,
			  turns = @turns,
			  date_code = @date_code,
			  tread = @tread,
			  place = @place,
			  mounted = @mounted,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteWheelSet deletes a wheel set; [Store.RestoreWheelSet] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteWheelSet(ctx context.Context, id garage.WheelSetID) error {
	return s.setDeleted(ctx, "wheel_sets", int64(id), true)
}

// RestoreWheelSet brings a deleted wheel set back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreWheelSet(ctx context.Context, id garage.WheelSetID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "wheel_sets", int64(id), false) })
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const requiredWheelColumns = `id, version, car_id, size, load_index, speed_symbol, bolts, circle, bore, seat, source, page, deleted_at`

// RequiredWheels are the requirement of wheelss of a car.
func (s *Store) RequiredWheels(ctx context.Context, car garage.CarID) ([]garage.RequiredWheel, error) {
	return list[garage.RequiredWheel](ctx, s.db, `
		select `+requiredWheelColumns+` from required_wheels where car_id = @car and `+ofKeptCars+` order by id`, args{"car": car})
}

// RequiredWheel is one requirement of wheels; garage.ErrNotFound when there is none or it was deleted, or its car was.
func (s *Store) RequiredWheel(ctx context.Context, id garage.RequiredWheelID) (garage.RequiredWheel, error) {
	v, err := one[garage.RequiredWheel](ctx, s.db, `
		select `+requiredWheelColumns+` from required_wheels where id = @id and `+ofKeptCars, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("requirement of wheels %d: %w", id, err)
	}
	return v, nil
}

func requiredWheelArgs(v garage.RequiredWheel) args {
	return args{"size": v.Size, "load_index": v.LoadIndex, "speed_symbol": v.SpeedSymbol, "bolts": v.Bolts, "circle": v.Circle, "bore": v.Bore, "seat": v.Seat, "source": v.Source, "page": v.Page}
}

// CreateRequiredWheel adds a requirement of wheels to a car. *garage.InvalidError for what does not hold; garage.ErrNotFound without the car.
func (s *Store) CreateRequiredWheel(ctx context.Context, v garage.RequiredWheel) (id garage.RequiredWheelID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keptCar(ctx, tx, v.CarID); err != nil {
			return err
		}
		a := requiredWheelArgs(v)
		a["car"] = v.CarID
		id, err = insert[garage.RequiredWheelID](ctx, tx, `
			insert into required_wheels (car_id, size, load_index, speed_symbol, bolts, circle, bore, seat, source, page)
			values (@car, @size, @load_index, @speed_symbol, @bolts, @circle, @bore, @seat, @source, @page) returning id`, a)
		return err
	})
	return id, err
}

// UpdateRequiredWheel saves a requirement of wheels; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateRequiredWheel(ctx context.Context, v garage.RequiredWheel) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := requiredWheelArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "required_wheels", `
			update required_wheels set
			  version = version + 1,
			  size = @size,
			  load_index = @load_index,
			  speed_symbol = @speed_symbol,
			  bolts = @bolts,
			  circle = @circle,
			  bore = @bore,
			  seat = @seat,
			  source = @source,
			  page = @page
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteRequiredWheel deletes a requirement of wheels; [Store.RestoreRequiredWheel] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteRequiredWheel(ctx context.Context, id garage.RequiredWheelID) error {
	return s.setDeleted(ctx, "required_wheels", int64(id), true)
}

// RestoreRequiredWheel brings a deleted requirement of wheels back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreRequiredWheel(ctx context.Context, id garage.RequiredWheelID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "required_wheels", int64(id), false) })
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const fluidSpecColumns = `id, version, car_id, kind, name, standard, grade, capacity_dry, capacity_service, every_distance, every_months, source, page, note, deleted_at`

// FluidSpecs are the fluid specs of a car.
func (s *Store) FluidSpecs(ctx context.Context, car garage.CarID) ([]garage.FluidSpec, error) {
	return list[garage.FluidSpec](ctx, s.db, `
		select `+fluidSpecColumns+` from fluid_specs where car_id = @car and `+ofKeptCars+` order by lower(name), id`, args{"car": car})
}

// FluidSpec is one fluid spec; garage.ErrNotFound when there is none or it was deleted, or its car was.
func (s *Store) FluidSpec(ctx context.Context, id garage.FluidSpecID) (garage.FluidSpec, error) {
	v, err := one[garage.FluidSpec](ctx, s.db, `
		select `+fluidSpecColumns+` from fluid_specs where id = @id and `+ofKeptCars, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("fluid spec %d: %w", id, err)
	}
	return v, nil
}

func fluidSpecArgs(v garage.FluidSpec) args {
	return args{"kind": v.Kind, "name": v.Name, "standard": v.Standard, "grade": v.Grade, "capacity_dry": v.CapacityDry, "capacity_service": v.CapacityService, "every_distance": v.EveryDistance, "every_months": v.EveryMonths, "source": v.Source, "page": v.Page, "note": v.Note}
}

// CreateFluidSpec adds a fluid spec to a car. *garage.InvalidError for what does not hold; garage.ErrNotFound without the car.
func (s *Store) CreateFluidSpec(ctx context.Context, v garage.FluidSpec) (id garage.FluidSpecID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keptCar(ctx, tx, v.CarID); err != nil {
			return err
		}
		a := fluidSpecArgs(v)
		a["car"] = v.CarID
		id, err = insert[garage.FluidSpecID](ctx, tx, `
			insert into fluid_specs (car_id, kind, name, standard, grade, capacity_dry, capacity_service, every_distance, every_months, source, page, note)
			values (@car, @kind, @name, @standard, @grade, @capacity_dry, @capacity_service, @every_distance, @every_months, @source, @page, @note) returning id`, a)
		return err
	})
	return id, err
}

// UpdateFluidSpec saves a fluid spec; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateFluidSpec(ctx context.Context, v garage.FluidSpec) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := fluidSpecArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "fluid_specs", `
			update fluid_specs set
			  version = version + 1,
			  kind = @kind,
			  name = @name,
			  standard = @standard,
			  grade = @grade,
			  capacity_dry = @capacity_dry,
			  capacity_service = @capacity_service,
			  every_distance = @every_distance,
			  every_months = @every_months,
			  source = @source,
			  page = @page,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteFluidSpec deletes a fluid spec; [Store.RestoreFluidSpec] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteFluidSpec(ctx context.Context, id garage.FluidSpecID) error {
	return s.setDeleted(ctx, "fluid_specs", int64(id), true)
}

// RestoreFluidSpec brings a deleted fluid spec back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreFluidSpec(ctx context.Context, id garage.FluidSpecID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "fluid_specs", int64(id), false) })
}

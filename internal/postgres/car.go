package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Cars lists the cars that are kept, by name.
func (s *Store) Cars(ctx context.Context) ([]garage.Car, error) {
	return list[garage.Car](ctx, s.db, `select `+carColumns+` from cars where deleted_at is null order by lower(name), id`, args{})
}

// CarSummaries lists the cars that are kept, those on the lift first and those that are not here last, with how many
// jobs are open on each.
func (s *Store) CarSummaries(ctx context.Context) ([]garage.CarSummary, error) {
	return list[garage.CarSummary](ctx, s.db, `
		select `+carColumns+`,
		  (select count(*) from jobs j where j.car_id = cars.id and `+jobIsOpen+`) as open_jobs
		from cars
		where deleted_at is null
		order by array_position(array['lift', 'inside', 'outside', 'not here'], stands), lower(name), id`, args{})
}

// jobIsOpen holds for a job j that is still to be done.
const jobIsOpen = `j.deleted_at is null and j.closed_at is null`

// Car is one car. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Car(ctx context.Context, id garage.CarID) (garage.Car, error) {
	return car(ctx, s.db, id, "")
}

func car(ctx context.Context, db DBTX, id garage.CarID, lock string) (garage.Car, error) {
	c, err := one[garage.Car](ctx, db, `select `+carColumns+` from cars where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return c, fmt.Errorf("car %d: %w", id, err)
	}
	return c, nil
}

// holdCar keeps others from changing a car, and what belongs to it, until the transaction ends.
const holdCar = "for no key update"

// CarJobs lists the open jobs of a car, those due first on top.
func (s *Store) CarJobs(ctx context.Context, id garage.CarID) ([]garage.Job, error) {
	return list[garage.Job](ctx, s.db, `
		select `+jobColumns+` from jobs
		where car_id = @car_id and deleted_at is null and closed_at is null
		order by due nulls last, weight desc, id`, args{"car_id": id})
}

// CreateCar adds a car. *garage.InvalidError for what does not hold, also when no lift is free for it.
func (s *Store) CreateCar(ctx context.Context, c garage.Car) (id garage.CarID, err error) {
	if err := c.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := checkMove(ctx, tx, garage.Car{}, c); err != nil {
			return err
		}
		id, err = insert[garage.CarID](ctx, tx, `
			insert into cars (name, role, make, model, year, vin, plate, engine, stands, immobile, arrives_low, arrives_likely,
			  arrives_high, notes)
			values (@name, @role, @make, @model, @year, @vin, @plate, @engine, @stands, @immobile, @arrives_low, @arrives_likely,
			  @arrives_high, @notes)
			returning id`, carArgs(c))
		return err
	})
	return id, err
}

func carArgs(c garage.Car) args {
	return args{
		"name": c.Name, "role": c.Role, "make": c.Make, "model": c.Model, "year": c.Year, "vin": c.VIN, "plate": c.Plate,
		"engine": c.Engine, "stands": c.Stands, "immobile": c.Immobile, "arrives_low": c.ArrivesLow,
		"arrives_likely": c.ArrivesLikely, "arrives_high": c.ArrivesHigh, "notes": c.Notes,
	}
}

// checkMove holds a car's move against the lifts. Moves wait for each other, so that two cars never take the last lift.
func checkMove(ctx context.Context, tx pgx.Tx, before, after garage.Car) error {
	if before.Stands == after.Stands {
		return nil
	}
	settings, err := one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings for no key update`, args{})
	if err != nil {
		return err
	}
	rows, err := tx.Query(ctx, `select name from cars where stands = 'lift' and deleted_at is null and id <> $1 order by lower(name)`, after.ID)
	if err != nil {
		return err
	}
	others, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	return garage.CheckMove(before, after, settings.Lifts, others)
}

// UpdateCar saves a car. *garage.InvalidError for what does not hold, also for a move that cannot be;
// garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateCar(ctx context.Context, c garage.Car) error {
	if err := c.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		before, err := car(ctx, tx, c.ID, holdCar)
		if err != nil {
			return err
		}
		if err := checkMove(ctx, tx, before, c); err != nil {
			return err
		}
		return updateCar(ctx, tx, c)
	})
}

func updateCar(ctx context.Context, tx pgx.Tx, c garage.Car) error {
	a := carArgs(c)
	a["id"], a["version"] = c.ID, c.Version
	return update(ctx, tx, "cars", `
		update cars set
		  version = version + 1,
		  name = @name,
		  role = @role,
		  make = @make,
		  model = @model,
		  year = @year,
		  vin = @vin,
		  plate = @plate,
		  engine = @engine,
		  stands = @stands,
		  immobile = @immobile,
		  arrives_low = @arrives_low,
		  arrives_likely = @arrives_likely,
		  arrives_high = @arrives_high,
		  notes = @notes
		where id = @id and version = @version and deleted_at is null`, a)
}

// MoveCar moves a car to another place, also one that has arrived, and returns it as it stood before, for the way back.
// *garage.InvalidError for a move that cannot be, garage.ErrNotFound when the car is gone.
func (s *Store) MoveCar(ctx context.Context, id garage.CarID, to garage.Stands) (before garage.Car, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		before, err = car(ctx, tx, id, holdCar)
		if err != nil {
			return err
		}
		after := before
		after.Stands = to
		if err := after.Validate(); err != nil {
			return err
		}
		if err := checkMove(ctx, tx, before, after); err != nil {
			return err
		}
		return updateCar(ctx, tx, after)
	})
	return before, err
}

// DeleteCar takes a car out of the garage; RestoreCar brings it back. garage.ErrNotFound when it is gone already.
func (s *Store) DeleteCar(ctx context.Context, id garage.CarID) error {
	return s.setDeleted(ctx, "cars", int64(id), true)
}

// RestoreCar brings a deleted car back. Where its place on the lift has been taken meanwhile, it stands inside.
// garage.ErrNotFound when there is no such deleted car.
func (s *Store) RestoreCar(ctx context.Context, id garage.CarID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if err := New(tx).setDeleted(ctx, "cars", int64(id), false); err != nil {
			return err
		}
		c, err := car(ctx, tx, id, holdCar)
		if err != nil || c.Stands != garage.OnLift {
			return err
		}
		err = checkMove(ctx, tx, garage.Car{}, c)
		if !isInvalid(err) {
			return err
		}
		c.Stands = garage.Inside
		return updateCar(ctx, tx, c)
	})
}

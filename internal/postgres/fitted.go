package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const (
	fittedColumns = `id, version, part_id, car_id, stage_id, quantity, side, grade, supplier, fitted_on, ended_on, ended_as, note, deleted_at`

	// alikeParts are the parts that do the same as those of @parts: they have their name and side, or one of their numbers.
	alikeParts = `
		select unnest(@parts::bigint[])
		union
		select a.id from parts p join parts a on lower(a.name) = lower(p.name) and a.side = p.side and a.deleted_at is null
		where p.id = any(@parts::bigint[])
		union
		select o.part_id from part_numbers n join part_numbers o on o.normal = n.normal and o.normal <> ''
		where n.part_id = any(@parts::bigint[])`
)

// FittedAlike lists what was fitted of parts and of others that do the same, newest first.
func (s *Store) FittedAlike(ctx context.Context, parts ...garage.PartID) ([]garage.FittedRow, error) {
	if len(parts) == 0 {
		return nil, nil
	}
	return s.fittedRows(ctx, `f.part_id in (`+alikeParts+`)`, args{"parts": parts})
}

// fittedRows reads fitted pieces with how far their cars had run.
func (s *Store) fittedRows(ctx context.Context, where string, a args) ([]garage.FittedRow, error) {
	type row struct {
		garage.Fitted
		PartName string
		CarName  string
	}
	rows, err := list[row](ctx, s.db, `
		select f.id, f.version, f.part_id, f.car_id, f.stage_id, f.quantity, f.side, f.grade, f.supplier, f.fitted_on, f.ended_on, f.ended_as,
		  f.note, f.deleted_at, p.name as part_name, c.name as car_name
		from fitted f join parts p on p.id = f.part_id join cars c on c.id = f.car_id
		where f.deleted_at is null and c.deleted_at is null and `+where+`
		order by f.fitted_on desc, f.id desc limit 200`, a)
	if err != nil {
		return nil, err
	}
	odometers := map[garage.CarID]garage.Odometer{}
	var all []garage.FittedRow
	for _, r := range rows {
		o, known := odometers[r.CarID]
		if !known {
			if o, err = odometer(ctx, s.db, r.CarID); err != nil {
				return nil, err
			}
			odometers[r.CarID] = o
		}
		f := garage.FittedRow{Fitted: r.Fitted, PartName: r.PartName, CarName: r.CarName}
		if m, known := o.MetresOn(r.FittedOn); known {
			f.FittedM = &m
		}
		if r.EndedOn != nil {
			if m, known := o.MetresOn(*r.EndedOn); known {
				f.EndedM = &m
			}
		}
		all = append(all, f)
	}
	return all, nil
}

// Fitted are fitted pieces. garage.ErrNotFound when there are none or they were deleted.
func (s *Store) Fitted(ctx context.Context, id garage.FittedID) (garage.Fitted, error) {
	f, err := one[garage.Fitted](ctx, s.db, `select `+fittedColumns+` from fitted where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return f, fmt.Errorf("fitted %d: %w", id, err)
	}
	return f, nil
}

func fittedArgs(f garage.Fitted) args {
	return args{
		"part": f.PartID, "car": f.CarID, "stage": f.StageID, "quantity": f.Quantity, "side": f.Side, "grade": f.Grade, "supplier": f.Supplier,
		"on": f.FittedOn, "ended": f.EndedOn, "as": f.EndedAs, "note": f.Note,
	}
}

// CreateFitted notes pieces that were fitted. *garage.InvalidError for what does not hold, garage.ErrNotFound when part or car
// are gone.
func (s *Store) CreateFitted(ctx context.Context, f garage.Fitted) (id garage.FittedID, err error) {
	if err := f.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, f.PartID); err != nil {
			return err
		}
		if _, err := car(ctx, tx, f.CarID, ""); err != nil {
			return err
		}
		id, err = insertFitted(ctx, tx, f)
		return err
	})
	return id, err
}

func insertFitted(ctx context.Context, tx pgx.Tx, f garage.Fitted) (garage.FittedID, error) {
	return insert[garage.FittedID](ctx, tx, `
		insert into fitted (part_id, car_id, stage_id, quantity, side, grade, supplier, fitted_on, ended_on, ended_as, note)
		values (@part, @car, @stage, @quantity, @side, @grade, @supplier, @on, @ended, @as, @note)
		returning id`, fittedArgs(f))
}

// UpdateFitted saves fitted pieces, also what became of them. *garage.InvalidError for what does not hold, garage.ErrConflict for
// an old version, garage.ErrNotFound when they are gone.
func (s *Store) UpdateFitted(ctx context.Context, f garage.Fitted) error {
	if err := f.Validate(); err != nil {
		return err
	}
	a := fittedArgs(f)
	a["id"], a["version"] = f.ID, f.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "fitted", `
			update fitted set
			  version = version + 1,
			  car_id = @car,
			  quantity = @quantity,
			  side = @side,
			  grade = @grade,
			  supplier = @supplier,
			  fitted_on = @on,
			  ended_on = @ended,
			  ended_as = @as,
			  note = @note
			where id = @id and version = @version and part_id = @part and stage_id is not distinct from @stage::bigint
			  and deleted_at is null`, a)
	})
}

// DeleteFitted deletes fitted pieces; RestoreFitted brings them back. garage.ErrNotFound when they are gone already.
func (s *Store) DeleteFitted(ctx context.Context, id garage.FittedID) error {
	return s.setDeleted(ctx, "fitted", int64(id), true)
}

// RestoreFitted brings deleted ones back. garage.ErrNotFound when there are no such deleted ones.
func (s *Store) RestoreFitted(ctx context.Context, id garage.FittedID) error {
	return s.setDeleted(ctx, "fitted", int64(id), false)
}

// noteFitted notes what a stage has fitted: the pieces that it used up, but for what is measured out and for single-use ones, which
// nobody asks how long they last.
func noteFitted(ctx context.Context, tx pgx.Tx, car garage.CarID, stage garage.StageID, uses []garage.Stock, now time.Time) error {
	for _, use := range uses {
		p, err := one[garage.Part](ctx, tx, `select `+partColumns+` from parts where id = @id`, args{"id": use.PartID})
		if err != nil {
			return err
		}
		needs, err := list[garage.Need](ctx, tx, `select `+needColumns+` from needs
			where stage_id = @stage and part_id = @part and deleted_at is null and not single_use order by id`, args{"stage": stage, "part": use.PartID})
		if err != nil {
			return err
		}
		if p.Measured() || len(needs) == 0 {
			continue
		}
		settings, err := New(tx).Settings(ctx)
		if err != nil {
			return err
		}
		f := garage.Fitted{
			PartID: p.ID, CarID: car, StageID: &stage, Quantity: use.Quantity, Side: needs[0].Side, Grade: use.Grade, Supplier: p.Supplier,
			FittedOn: garage.DateOf(now.In(settings.Location())),
		}
		if f.Side == "" {
			f.Side = p.Side
		}
		if _, err := insertFitted(ctx, tx, f); err != nil {
			return err
		}
	}
	return nil
}

// forgetFitted undoes noteFitted.
func forgetFitted(ctx context.Context, tx pgx.Tx, stage garage.StageID) error {
	_, err := tx.Exec(ctx, `update fitted set deleted_at = now(), version = version + 1 where stage_id = $1 and deleted_at is null`, stage)
	return err
}

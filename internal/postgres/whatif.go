package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// KeepSuppositions enters what was supposed of a version of the garage, all or nothing; what cannot be entered is passed over,
// see [garage.Supposition.Kept]. garage.ErrConflict when the garage has changed since, garage.ErrNotFound when there is nothing
// that could be so, *garage.InvalidError for what does not hold.
func (s *Store) KeepSuppositions(ctx context.Context, version int64, supposed []garage.Supposition) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		shot, err := New(tx).Snapshot(ctx)
		if err != nil {
			return err
		}
		if shot.Version != version {
			return fmt.Errorf("what was supposed of version %d of the garage, now %d: %w", version, shot.Version, garage.ErrConflict)
		}
		for _, x := range supposed {
			if !x.Kept() {
				continue
			}
			if shot, err = x.In(shot); err != nil {
				return fmt.Errorf("%s %d: %w", x.Kind, x.ID, err)
			}
			if err := keepSupposition(ctx, tx, shot, x); err != nil {
				return err
			}
		}
		return nil
	})
}

// keepSupposition enters one; shot is the garage as supposed.
func keepSupposition(ctx context.Context, tx pgx.Tx, shot garage.Snapshot, x garage.Supposition) error {
	a := args{"id": x.ID}
	switch x.Kind {
	case garage.CarHere:
		_, err := New(tx).MoveCar(ctx, garage.CarID(x.ID), garage.Outside)
		return err
	case garage.CarLater:
		a["days"] = x.Days
		return update(ctx, tx, "cars", `
			update cars set
			  version = version + 1,
			  arrives_low = arrives_low + @days::int,
			  arrives_likely = arrives_likely + @days::int,
			  arrives_high = arrives_high + @days::int
			where id = @id and deleted_at is null`, a)
	case garage.PartLater:
		a["days"] = x.Days
		return update(ctx, tx, "arrivals", `
			update arrivals set
			  version = version + 1,
			  estimated = false,
			  low = low + @days::int,
			  likely = likely + @days::int,
			  high = high + @days::int
			where id = @id and deleted_at is null`, a)
	case garage.OtherPart:
		a["part"] = x.PartID
		return update(ctx, tx, "needs", `
			update needs set version = version + 1, part_id = @part, pinned_at = null where id = @id and deleted_at is null`, a)
	case garage.OffDonor:
		return keepHarvest(ctx, tx, shot, garage.DonorPartID(x.ID))
	case garage.FixedJob:
		a["at"] = x.From
		return update(ctx, tx, "jobs", `
			update jobs set version = version + 1, pinned_at = @at where id = @id and deleted_at is null and closed_at is null`, a)
	}
	return keepDay(ctx, tx, shot, garage.DateOf(x.From.In(shot.Settings.Location())))
}

// keepDay writes the exceptions of a date anew.
func keepDay(ctx context.Context, tx pgx.Tx, shot garage.Snapshot, date garage.Date) error {
	if _, err := tx.Exec(ctx, `delete from session_exceptions where on_date = @date`, args{"date": date}); err != nil {
		return err
	}
	var all []garage.SessionException
	for _, e := range shot.Exceptions {
		if e.OnDate == date {
			all = append(all, e)
		}
	}
	return New(tx).CreateSessionExceptions(ctx, all...)
}

// keepHarvest makes the job that takes a part off a donor.
func keepHarvest(ctx context.Context, tx pgx.Tx, shot garage.Snapshot, id garage.DonorPartID) error {
	for _, d := range shot.DonorParts {
		if d.ID != id {
			continue
		}
		p, err := part(ctx, tx, d.PartID, "")
		if err != nil {
			return err
		}
		_, err = New(tx).CreateHarvest(ctx, garage.HarvestOf(d, p.Name, shot.Settings.Currency))
		return err
	}
	return garage.ErrNotFound
}

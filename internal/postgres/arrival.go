package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Arrivals lists what is still expected of a part, the likeliest first to come on top.
func (s *Store) Arrivals(ctx context.Context, id garage.PartID) ([]garage.Arrival, error) {
	return list[garage.Arrival](ctx, s.db, `
		select `+arrivalColumns+` from arrivals a
		where part_id = @part_id and `+arrivalIsExpected+`
		order by likely, low, id`, args{"part_id": id})
}

// Arrival is one arrival, received or not. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Arrival(ctx context.Context, id garage.ArrivalID) (garage.Arrival, error) {
	return arrival(ctx, s.db, id, "")
}

func arrival(ctx context.Context, db DBTX, id garage.ArrivalID, lock string) (garage.Arrival, error) {
	a, err := one[garage.Arrival](ctx, db, `select `+arrivalColumns+` from arrivals where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return a, fmt.Errorf("arrival %d: %w", id, err)
	}
	return a, nil
}

func arrivalArgs(a garage.Arrival) args {
	return args{
		"quantity": a.Quantity, "low": a.Low, "likely": a.Likely, "high": a.High, "supplier": a.Supplier, "note": a.Note,
	}
}

// CreateArrival notes that pieces of a part are expected. *garage.InvalidError for what does not hold, garage.ErrNotFound
// when the part is gone.
func (s *Store) CreateArrival(ctx context.Context, a garage.Arrival) (id garage.ArrivalID, err error) {
	if err := a.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, a.PartID); err != nil {
			return err
		}
		id, err = insertArrival(ctx, tx, a)
		return err
	})
	return id, err
}

func insertArrival(ctx context.Context, tx pgx.Tx, a garage.Arrival) (garage.ArrivalID, error) {
	values := arrivalArgs(a)
	values["part_id"] = a.PartID
	return insert[garage.ArrivalID](ctx, tx, `
		insert into arrivals (part_id, quantity, low, likely, high, supplier, note)
		values (@part_id, @quantity, @low, @likely, @high, @supplier, @note)
		returning id`, values)
}

// UpdateArrival saves an arrival that is still expected; its part stays. *garage.InvalidError for what does not hold,
// garage.ErrConflict for an old version or when it was received meanwhile, garage.ErrNotFound when it is gone.
func (s *Store) UpdateArrival(ctx context.Context, a garage.Arrival) error {
	if err := a.Validate(); err != nil {
		return err
	}
	values := arrivalArgs(a)
	values["id"], values["version"] = a.ID, a.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "arrivals", `
			update arrivals set
			  version = version + 1,
			  quantity = @quantity,
			  low = @low,
			  likely = @likely,
			  high = @high,
			  supplier = @supplier,
			  note = @note
			where id = @id and version = @version and deleted_at is null and received_at is null`, values)
	})
}

// ReceiveArrival puts pieces that have come into a bin that is named, or made. Are there fewer than expected, the rest stays
// expected as an arrival of its own. *garage.InvalidError for what does not hold, garage.ErrConflict when it was changed or
// received meanwhile, garage.ErrNotFound when it is gone.
func (s *Store) ReceiveArrival(ctx context.Context, a garage.Arrival, quantity int, pick garage.BinPick, now time.Time) (id garage.MovementID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		stored, err := arrival(ctx, tx, a.ID, "for no key update")
		if err != nil {
			return err
		}
		if stored.Version != a.Version || stored.ReceivedAt != nil {
			return fmt.Errorf("arrival %d: %w", a.ID, garage.ErrConflict)
		}
		if quantity < 1 || quantity > stored.Quantity {
			return garage.FieldErrors{"quantity": fmt.Sprintf("From 1 to %d. Put more in as bought.", stored.Quantity)}.Err()
		}
		if err := holdPart(ctx, tx, stored.PartID); err != nil {
			return err
		}
		b, err := pickBin(ctx, tx, pick)
		if err != nil {
			return err
		}
		if err := splitArrival(ctx, tx, stored, quantity, now); err != nil {
			return err
		}
		id, err = insertMovement(ctx, tx, garage.Movement{
			PartID: stored.PartID, BinID: b.ID, Quantity: quantity, Kind: "received", ArrivalID: &stored.ID,
		})
		return err
	})
	return id, err
}

// splitArrival notes what was received, and leaves the rest expected.
func splitArrival(ctx context.Context, tx pgx.Tx, a garage.Arrival, received int, now time.Time) error {
	_, err := tx.Exec(ctx, `
		update arrivals set version = version + 1, quantity = @quantity, received_at = @now where id = @id`,
		args{"id": a.ID, "quantity": received, "now": now})
	if err != nil || received == a.Quantity {
		return err
	}
	rest := a
	rest.Quantity -= received
	_, err = insertArrival(ctx, tx, rest)
	return err
}

// DeleteArrival deletes an arrival that is still expected; RestoreArrival brings it back. garage.ErrConflict when it was
// received, garage.ErrNotFound when it is gone already.
func (s *Store) DeleteArrival(ctx context.Context, id garage.ArrivalID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a, err := arrival(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if a.ReceivedAt != nil {
			return fmt.Errorf("arrival %d was received: %w", id, garage.ErrConflict)
		}
		return New(tx).setDeleted(ctx, "arrivals", int64(id), true)
	})
}

// RestoreArrival brings a deleted arrival back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreArrival(ctx context.Context, id garage.ArrivalID) error {
	return s.setDeleted(ctx, "arrivals", int64(id), false)
}

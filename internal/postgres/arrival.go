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
	values["part_id"], values["order_id"], values["order_line_id"] = a.PartID, a.OrderID, a.OrderLineID
	values["promised_on"], values["estimated"], values["return_id"] = a.PromisedOn, a.Estimated, a.ReturnID
	return insert[garage.ArrivalID](ctx, tx, `
		insert into arrivals (part_id, quantity, low, likely, high, supplier, note, order_id, order_line_id, promised_on, estimated, return_id)
		values (@part_id, @quantity, @low, @likely, @high, @supplier, @note, @order_id, @order_line_id, @promised_on, @estimated, @return_id)
		returning id`, values)
}

// UpdateArrival saves an arrival that is still expected; its part stays, and of one that was ordered how many come and from whom. Its
// dates are the owner's from then on. *garage.InvalidError for what does not hold,
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
			  quantity = case when order_id is null then @quantity::int else quantity end,
			  estimated = estimated and (low, likely, high) = (@low::date, @likely::date, @high::date),
			  low = @low,
			  likely = @likely,
			  high = @high,
			  supplier = case when order_id is null then @supplier else supplier end,
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
		if err != nil || stored.OrderID == nil {
			return err
		}
		return orderedCame(ctx, tx, stored, quantity, now)
	})
	return id, err
}

// orderedCame notes what pieces of an order have cost, and from which day old units can go back that are counted from it.
func orderedCame(ctx context.Context, tx pgx.Tx, a garage.Arrival, quantity int, now time.Time) error {
	settings, err := one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings`, args{})
	if err != nil {
		return err
	}
	if a.ReturnID == nil {
		_, err = tx.Exec(ctx, `
			update cores set basis_on = $3, version = version + 1 where id in (
			  select id from cores where order_line_id = $1 and basis = 'delivery' and basis_on is null and deleted_at is null order by id limit $2)`,
			a.OrderLineID, quantity, garage.DateOf(now.In(settings.Location())))
		if err != nil {
			return err
		}
	}
	return settleOrder(ctx, tx, *a.OrderID)
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

// DeleteArrival deletes an arrival that is still expected; RestoreArrival brings it back. *garage.InvalidError, on the whole, for one
// that was ordered, garage.ErrConflict when it was received, garage.ErrNotFound when it is gone already.
func (s *Store) DeleteArrival(ctx context.Context, id garage.ArrivalID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a, err := arrival(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if a.ReceivedAt != nil {
			return fmt.Errorf("arrival %d was received: %w", id, garage.ErrConflict)
		}
		if a.OrderID != nil {
			return garage.FieldErrors{"": "It was ordered: cancel it there."}.Err()
		}
		return New(tx).setDeleted(ctx, "arrivals", int64(id), true)
	})
}

// RestoreArrival brings a deleted arrival back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreArrival(ctx context.Context, id garage.ArrivalID) error {
	return s.setDeleted(ctx, "arrivals", int64(id), false)
}

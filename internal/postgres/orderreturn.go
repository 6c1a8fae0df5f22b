package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// OrderReturn is pieces that go back; garage.ErrNotFound when there are none or that was taken back.
func (s *Store) OrderReturn(ctx context.Context, id garage.OrderReturnID) (garage.OrderReturn, error) {
	return orderReturn(ctx, s.db, id, "")
}

func orderReturn(ctx context.Context, db DBTX, id garage.OrderReturnID, lock string) (garage.OrderReturn, error) {
	r, err := one[garage.OrderReturn](ctx, db, `select `+returnColumns+` from order_returns where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return r, fmt.Errorf("return %d: %w", id, err)
	}
	return r, nil
}

// OrderReturns lists what goes back and was not sent yet, what must go first on top.
func (s *Store) OrderReturns(ctx context.Context) ([]garage.OrderReturnRow, error) {
	return list[garage.OrderReturnRow](ctx, s.db, `
		select r.*, l.order_id, p.name as part_name, s.name as supplier_name
		from (select `+returnColumns+` from order_returns where deleted_at is null and sent_on is null) r
		join order_lines l on l.id = r.order_line_id join parts p on p.id = l.part_id
		join orders o on o.id = l.order_id and o.deleted_at is null join suppliers s on s.id = o.supplier_id
		order by r.last_day nulls last, r.id`, args{})
}

// SendBack takes pieces of an order that came out of the place where they lie: they go back for r.Why. With again, others are
// expected in their place. *garage.InvalidError for what does not hold, garage.ErrNotFound when the arrival is gone,
// garage.ErrConflict when it did not come or was not ordered.
func (s *Store) SendBack(ctx context.Context, r garage.OrderReturn, from garage.Stock, again bool, now time.Time) (id garage.MovementID, err error) {
	if err := r.Validate(); err != nil {
		return 0, err
	}
	taken := garage.Movement{PartID: from.PartID, BinID: from.BinID, LotID: from.LotID, Quantity: -r.Quantity, Kind: "sent back", Note: r.Note, ArrivalID: &r.ArrivalID}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		a, err := arrival(ctx, tx, r.ArrivalID, "for no key update")
		if err != nil {
			return err
		}
		if a.ReceivedAt == nil || a.OrderID == nil {
			return fmt.Errorf("arrival %d did not come with an order: %w", a.ID, garage.ErrConflict)
		}
		sheet, err := orderSheet(ctx, tx, *a.OrderID)
		if err != nil {
			return err
		}
		if left := a.Quantity - sheet.SentBack(a.ID); r.Quantity < 1 || r.Quantity > left {
			return garage.FieldErrors{"quantity": fmt.Sprintf("From 1 to %d: so many came and are not going back yet.", left)}.Err()
		}
		taken.PartID = a.PartID
		if id, err = New(tx).TakeStock(ctx, taken); err != nil {
			return err
		}
		if err := insertReturn(ctx, tx, r, id, a, sheet.Order, again, now); err != nil {
			return err
		}
		return settleOrder(ctx, tx, *a.OrderID)
	})
	return id, err
}

// insertReturn notes what goes back by which day, and expects what comes in its place.
func insertReturn(ctx context.Context, tx pgx.Tx, r garage.OrderReturn, by garage.MovementID, a garage.Arrival, o garage.Order, again bool, now time.Time) error {
	settings, err := one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings`, args{})
	if err != nil {
		return err
	}
	zone := settings.Location()
	if last, agreed := o.LastReturn(garage.DateOf(a.ReceivedAt.In(zone))); agreed {
		r.LastDay = &last
	}
	back, err := insert[garage.OrderReturnID](ctx, tx, `
		insert into order_returns (order_line_id, arrival_id, movement_id, quantity, why, last_day, note)
		values (@order_line_id, @arrival_id, @movement_id, @quantity, @why, @last_day, @note) returning id`,
		args{
			"order_line_id": a.OrderLineID, "arrival_id": a.ID, "movement_id": by, "quantity": r.Quantity, "why": r.Why, "last_day": r.LastDay,
			"note": r.Note,
		})
	if err != nil || !again {
		return err
	}
	p, err := part(ctx, tx, a.PartID, "")
	if err != nil {
		return err
	}
	from, err := one[garage.Supplier](ctx, tx, `select `+supplierColumns+` from suppliers where id = @id`, args{"id": o.SupplierID})
	if err != nil {
		return err
	}
	o.OrderedOn, o.PromisedOn = garage.DateOf(now.In(zone)), nil
	fresh := garage.Arrival{
		PartID: a.PartID, Quantity: r.Quantity, Supplier: a.Supplier, OrderID: a.OrderID, OrderLineID: a.OrderLineID, ReturnID: &back, Note: "in place of what went back",
	}
	fresh.Low, fresh.Likely, fresh.High = o.Expects(p, from)
	_, err = insertArrival(ctx, tx, fresh)
	return err
}

// UpdateOrderReturn notes when pieces were sent back and what was paid back for them. *garage.InvalidError for what does not hold,
// garage.ErrConflict for an old version, garage.ErrNotFound when that was taken back.
func (s *Store) UpdateOrderReturn(ctx context.Context, r garage.OrderReturn) error {
	if err := r.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "order_returns", `
			update order_returns set
			  version = version + 1,
			  why = @why,
			  last_day = @last_day,
			  sent_on = @sent_on,
			  tracking = @tracking,
			  refunded = @refunded,
			  refunded_on = @refunded_on,
			  note = @note
			where id = @id and version = @version and deleted_at is null`,
			args{
				"id": r.ID, "version": r.Version, "why": r.Why, "last_day": r.LastDay, "sent_on": r.SentOn, "tracking": r.Tracking,
				"refunded": r.Refunded, "refunded_on": r.RefundedOn, "note": r.Note,
			})
	})
}

// reopenArrival puts back what a movement of an arrival had settled: what had been received is expected again, what went back is
// here again and nothing is expected in its place. *garage.InvalidError, on the whole, when what came in its place is here, or
// pieces of what came went back.
func reopenArrival(ctx context.Context, tx pgx.Tx, m garage.Movement) error {
	if m.Kind == "received" {
		var back bool
		err := tx.QueryRow(ctx, `select exists (select from order_returns where arrival_id = $1 and deleted_at is null)`, m.ArrivalID).Scan(&back)
		if err != nil {
			return err
		}
		if back {
			return garage.FieldErrors{"": "Some of it goes back: take that back first."}.Err()
		}
		_, err = tx.Exec(ctx, `
			update cores set basis_on = null, version = version + 1 where id in (
			  select c.id from cores c join arrivals a on a.order_line_id = c.order_line_id and a.return_id is null
			  where a.id = $1 and c.basis = 'delivery' and c.basis_on is not null and c.state = 'owed' and c.deleted_at is null
			  order by c.id desc limit $2)`, m.ArrivalID, m.Quantity)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `update arrivals set received_at = null, version = version + 1 where id = $1`, m.ArrivalID); err != nil {
			return err
		}
	}
	if m.Kind == "sent back" {
		if err := returnTaken(ctx, tx, m.ID); err != nil {
			return err
		}
	}
	a, err := one[garage.Arrival](ctx, tx, `select `+arrivalColumns+` from arrivals where id = @id`, args{"id": m.ArrivalID})
	if err != nil || a.OrderID == nil {
		return err
	}
	return settleOrder(ctx, tx, *a.OrderID)
}

// returnTaken takes a return back, with what is expected in its place.
func returnTaken(ctx context.Context, tx pgx.Tx, by garage.MovementID) error {
	r, err := one[garage.OrderReturn](ctx, tx, `select `+returnColumns+` from order_returns where movement_id = @id and deleted_at is null for update`, args{"id": by})
	if err != nil {
		return err
	}
	var here bool
	err = tx.QueryRow(ctx, `select exists (select from arrivals where return_id = $1 and received_at is not null and deleted_at is null)`, r.ID).Scan(&here)
	if err != nil {
		return err
	}
	if here || r.Refunded > 0 {
		return garage.FieldErrors{"": "What came in its place is here, or it was paid back: it went back for good."}.Err()
	}
	if _, err := tx.Exec(ctx, `update arrivals set deleted_at = now(), version = version + 1 where return_id = $1`, r.ID); err != nil {
		return err
	}
	return New(tx).setDeleted(ctx, "order_returns", int64(r.ID), true)
}

package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// OrderLine is one line of an order; garage.ErrNotFound when it or the order is gone.
func (s *Store) OrderLine(ctx context.Context, id garage.OrderLineID) (garage.OrderLine, error) {
	return orderLine(ctx, s.db, id, "")
}

func orderLine(ctx context.Context, db DBTX, id garage.OrderLineID, lock string) (garage.OrderLine, error) {
	l, err := one[garage.OrderLine](ctx, db, `
		select `+orderLineColumns+` from order_lines
		where id = @id and deleted_at is null and order_id in (select id from orders where deleted_at is null) `+lock, args{"id": id})
	if err != nil {
		return l, fmt.Errorf("line %d of an order: %w", id, err)
	}
	return l, nil
}

// AddOrderLine adds a line, whose part is named or made, and expects what it says. *garage.InvalidError for what does not hold,
// garage.ErrNotFound when the order is gone.
func (s *Store) AddOrderLine(ctx context.Context, line garage.NewOrderLine) (id garage.OrderLineID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := order(ctx, tx, line.OrderID, "for no key update"); err != nil {
			return err
		}
		if id, err = addOrderLine(ctx, tx, line); err != nil {
			return err
		}
		return settledLine(settleOrder(ctx, tx, line.OrderID))
	})
	return id, err
}

// settledLine puts what is wrong with the money of an order at the field of a line that makes it so.
func settledLine(err error) error {
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		field := "price"
		if invalid.Fields["paid"] != "" {
			field = "deposit"
		}
		return garage.FieldErrors{field: invalid.Fields.Sentences()}.Err()
	}
	return err
}

func addOrderLine(ctx context.Context, tx pgx.Tx, line garage.NewOrderLine) (garage.OrderLineID, error) {
	o, err := order(ctx, tx, line.OrderID, "")
	if err != nil {
		return 0, err
	}
	var e garage.FieldErrors
	l := line.OrderLine
	if l.PartID == 0 {
		l.PartID, err = pickPart(ctx, tx, line.Pick, o.Home)
		if err != nil && !gather(err, &e) {
			return 0, err
		}
	} else if err := holdPart(ctx, tx, l.PartID); err != nil {
		return 0, err
	}
	l.Per = 1
	var p garage.Part
	if l.PartID != 0 {
		if p, err = part(ctx, tx, l.PartID, ""); err != nil {
			return 0, err
		}
		l.Per = garage.PricedBy(p)
	}
	if err := l.Validate(); err != nil && !gather(err, &e) {
		return 0, err
	}
	if err := e.Err(); err != nil {
		return 0, err
	}
	l.ID, err = insert[garage.OrderLineID](ctx, tx, `
		insert into order_lines (order_id, part_id, quantity, price, per, deposit, cancelled, note)
		values (@order_id, @part_id, @quantity, @price, @per, @deposit, @cancelled, @note) returning id`,
		args{
			"order_id": l.OrderID, "part_id": l.PartID, "quantity": l.Quantity, "price": l.Price, "per": l.Per, "deposit": l.Deposit,
			"cancelled": l.Cancelled, "note": l.Note,
		})
	if err != nil {
		return 0, err
	}
	return l.ID, coverLine(ctx, tx, o, l, p)
}

// UpdateOrderLine saves a line; its part stays. *garage.InvalidError for what does not hold, also when more has come than it would
// be, garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateOrderLine(ctx context.Context, l garage.OrderLine) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return changeLine(ctx, tx, l.ID, func(was garage.OrderLine) (garage.OrderLine, error) {
			if was.Version != l.Version {
				return was, fmt.Errorf("line %d of an order: %w", l.ID, garage.ErrConflict)
			}
			was.Quantity, was.Price, was.Deposit, was.Note = l.Quantity, l.Price, l.Deposit, l.Note
			return was, nil
		})
	})
}

// changeLine saves what becomes of a line, and makes what is expected and its deposits fit.
func changeLine(ctx context.Context, tx pgx.Tx, id garage.OrderLineID, change func(garage.OrderLine) (garage.OrderLine, error)) error {
	was, err := orderLine(ctx, tx, id, "")
	if err != nil {
		return err
	}
	o, err := order(ctx, tx, was.OrderID, "for no key update")
	if err != nil {
		return err
	}
	if was, err = orderLine(ctx, tx, id, "for no key update"); err != nil {
		return err
	}
	l, err := change(was)
	if err != nil {
		return err
	}
	if err := l.Validate(); err != nil {
		return err
	}
	sheet, err := orderSheet(ctx, tx, o.ID)
	if err != nil {
		return err
	}
	if came := sheet.Came(id); l.Wanted() < came {
		return garage.FieldErrors{"quantity": fmt.Sprintf("Of it %d came, and %d are cancelled.", came, l.Cancelled)}.Err()
	}
	_, err = tx.Exec(ctx, `
		update order_lines set version = version + 1, quantity = @quantity, price = @price, deposit = @deposit, cancelled = @cancelled, note = @note
		where id = @id`,
		args{"id": id, "quantity": l.Quantity, "price": l.Price, "deposit": l.Deposit, "cancelled": l.Cancelled, "note": l.Note})
	if err != nil {
		return err
	}
	if err := coverLine(ctx, tx, o, l, sheet.Part(l.PartID)); err != nil {
		return err
	}
	return settledLine(settleOrder(ctx, tx, o.ID))
}

// CancelOrderLine says that what is still expected of a line will not come. *garage.InvalidError when nothing is, or deposits of it
// are under way; garage.ErrNotFound when it is gone.
func (s *Store) CancelOrderLine(ctx context.Context, id garage.OrderLineID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return changeLine(ctx, tx, id, func(l garage.OrderLine) (garage.OrderLine, error) {
			var came int
			err := tx.QueryRow(ctx, `select coalesce(sum(quantity), 0) from arrivals
				where order_line_id = $1 and received_at is not null and return_id is null and deleted_at is null`, id).Scan(&came)
			if err == nil && l.Wanted() == came {
				err = garage.FieldErrors{"": "Nothing more is expected of it."}.Err()
			}
			l.Cancelled = l.Quantity - came
			return l, err
		})
	})
}

// ExpectOrderLine expects again what was cancelled of a line. garage.ErrNotFound when it is gone.
func (s *Store) ExpectOrderLine(ctx context.Context, id garage.OrderLineID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return changeLine(ctx, tx, id, func(l garage.OrderLine) (garage.OrderLine, error) {
			l.Cancelled = 0
			return l, nil
		})
	})
}

// DeleteOrderLine takes a line of which nothing came off its order; RestoreOrderLine puts it back. *garage.InvalidError, on the whole,
// when something came; garage.ErrNotFound when it is gone.
func (s *Store) DeleteOrderLine(ctx context.Context, id garage.OrderLineID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		l, err := orderLine(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		sheet, err := orderSheet(ctx, tx, l.OrderID)
		if err != nil {
			return err
		}
		if sheet.Came(id) > 0 {
			return garage.FieldErrors{"": "Some of it has come. Cancel what does not come."}.Err()
		}
		if err := New(tx).setDeleted(ctx, "order_lines", int64(id), true); err != nil {
			return err
		}
		l.Cancelled = l.Quantity // nothing of it is wanted any more
		if err := coverLine(ctx, tx, sheet.Order, l, sheet.Part(l.PartID)); err != nil {
			return err
		}
		return settleOrder(ctx, tx, l.OrderID)
	})
}

// RestoreOrderLine puts a line back that was taken off. garage.ErrNotFound when there is no such one.
func (s *Store) RestoreOrderLine(ctx context.Context, id garage.OrderLineID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		for _, table := range []string{"arrivals", "cores"} {
			_, err := tx.Exec(ctx, `update `+table+` set deleted_at = null, version = version + 1
				where order_line_id = $1 and deleted_at = (select deleted_at from order_lines where id = $1)`, id)
			if err != nil {
				return err
			}
		}
		if err := New(tx).setDeleted(ctx, "order_lines", int64(id), false); err != nil {
			return err
		}
		return changeLine(ctx, tx, id, func(l garage.OrderLine) (garage.OrderLine, error) { return l, nil })
	})
}

// coverLine expects what of a line has not come and is not cancelled, once, and keeps a core for each piece with a deposit.
func coverLine(ctx context.Context, tx pgx.Tx, o garage.Order, l garage.OrderLine, p garage.Part) error {
	from, err := one[garage.Supplier](ctx, tx, `select `+supplierColumns+` from suppliers where id = @id`, args{"id": o.SupplierID})
	if err != nil {
		return err
	}
	all, err := list[garage.Arrival](ctx, tx, `
		select `+arrivalColumns+` from arrivals where order_line_id = @id and deleted_at is null and return_id is null order by id for no key update`,
		args{"id": l.ID})
	if err != nil {
		return err
	}
	left := l.Wanted()
	var open []garage.Arrival
	for _, a := range all {
		if a.ReceivedAt != nil {
			left -= a.Quantity
		} else {
			open = append(open, a)
		}
	}
	if err := coverOpen(ctx, tx, open, left, func() garage.Arrival {
		a := garage.Arrival{
			PartID: l.PartID, Quantity: left, Supplier: from.Name, OrderID: &o.ID, OrderLineID: &l.ID, PromisedOn: o.PromisedOn, Estimated: true,
		}
		a.Low, a.Likely, a.High = o.Expects(p, from)
		return a
	}); err != nil {
		return err
	}
	return coverCores(ctx, tx, o, l, from)
}

// coverOpen makes the arrivals that are still to come add up to so many: the last of them take or lose what differs.
func coverOpen(ctx context.Context, tx pgx.Tx, open []garage.Arrival, left int, fresh func() garage.Arrival) error {
	for i, a := range open {
		want := min(a.Quantity, left)
		if i == len(open)-1 {
			want = left
		}
		left -= want
		var err error
		switch {
		case want == a.Quantity:
		case want == 0:
			err = New(tx).setDeleted(ctx, "arrivals", int64(a.ID), true)
		default:
			_, err = tx.Exec(ctx, `update arrivals set version = version + 1, quantity = $2 where id = $1`, a.ID, want)
		}
		if err != nil {
			return err
		}
	}
	if left == 0 {
		return nil
	}
	_, err := insertArrival(ctx, tx, fresh())
	return err
}

// coverCores keeps a core for each piece of a line that has a deposit: further ones are made, those too many that are still owed
// go, and all have the deposit of the line.
func coverCores(ctx context.Context, tx pgx.Tx, o garage.Order, l garage.OrderLine, from garage.Supplier) error {
	cores, err := list[garage.Core](ctx, tx, `
		select `+coreColumns+` from cores where order_line_id = @id and deleted_at is null order by basis_on is null, id`, args{"id": l.ID})
	if err != nil {
		return err
	}
	want := 0
	if l.Deposit > 0 {
		want = l.Wanted()
	}
	for ; len(cores) > want; cores = cores[:len(cores)-1] {
		last := cores[len(cores)-1]
		if !last.OnCar() {
			return garage.FieldErrors{"deposit": "An old unit of it is on its way already."}.Err()
		}
		if err := New(tx).setDeleted(ctx, "cores", int64(last.ID), true); err != nil {
			return err
		}
	}
	for _, c := range cores {
		if c.Deposit != l.Deposit {
			c.Deposit = l.Deposit
			if err := New(tx).UpdateCore(ctx, c); err != nil {
				return err
			}
		}
	}
	for range want - len(cores) {
		if err := makeCore(ctx, tx, o, l, from); err != nil {
			return err
		}
	}
	return nil
}

// makeCore notes the deposit of one piece, on the terms that are usual with the supplier. Where one open job alone needs the part,
// it frees the old unit.
func makeCore(ctx context.Context, tx pgx.Tx, o garage.Order, l garage.OrderLine, from garage.Supplier) error {
	c := o.NewCore(l, from)
	needs, err := New(tx).PartNeeds(ctx, l.PartID)
	if err != nil {
		return err
	}
	for _, n := range needs {
		if c.JobID != nil && *c.JobID != n.JobID {
			c.JobID = nil
			break
		}
		c.JobID = &n.JobID
	}
	id, err := New(tx).CreateCore(ctx, c)
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `update cores set order_line_id = $2 where id = $1`, id, l.ID)
	return err
}

package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const (
	orderColumns     = `id, version, supplier_id, number, ordered_on, promised_on, currency, home, rate, shipping, duty, tax, handling, paid, return_days, notes, deleted_at`
	orderLineColumns = `id, version, order_id, part_id, quantity, price, per, deposit, cancelled, note, deleted_at`
	returnColumns    = `id, version, order_line_id, arrival_id, movement_id, quantity, why, last_day, sent_on, tracking, refunded, refunded_on, note, deleted_at`
	// arrivalsOfOrder are all arrivals of an order that stand, come or not.
	arrivalsOfOrder = `select ` + arrivalColumns + ` from arrivals where order_id = @id and deleted_at is null`
)

// Orders lists the orders, the newest first, and how many the filter found in all.
func (s *Store) Orders(ctx context.Context, f garage.OrderFilter) ([]garage.OrderRow, error) {
	where, a := `o.deleted_at is null`, args{"limit": f.Limit, "offset": f.Offset}
	if f.Supplier != 0 {
		where += ` and o.supplier_id = @supplier`
		a["supplier"] = f.Supplier
	}
	if f.Open {
		where += ` and exists (select from arrivals a where a.order_id = o.id and ` + arrivalIsExpected + `)`
	}
	return list[garage.OrderRow](ctx, s.db, `
		select o.*, s.name as supplier_name, l.*, c.*
		from (select `+orderColumns+`, count(*) over () as total from orders o where `+where+`
		  order by ordered_on desc, id desc limit @limit offset @offset) o
		join suppliers s on s.id = o.supplier_id
		cross join lateral (select count(*) as lines, coalesce(sum(quantity - cancelled), 0) as wanted
		  from order_lines l where l.order_id = o.id and l.deleted_at is null) l
		cross join lateral (select
		    coalesce(sum(quantity) filter (where received_at is not null and return_id is null), 0) as came,
		    min(likely) filter (where received_at is null) as next_likely,
		    max(high) filter (where received_at is null) as latest_high
		  from arrivals a where a.order_id = o.id and a.deleted_at is null) c
		order by o.ordered_on desc, o.id desc`, a)
}

// Order is one order; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Order(ctx context.Context, id garage.OrderID) (garage.Order, error) {
	return order(ctx, s.db, id, "")
}

func order(ctx context.Context, db DBTX, id garage.OrderID, lock string) (garage.Order, error) {
	o, err := one[garage.Order](ctx, db, `select `+orderColumns+` from orders where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return o, fmt.Errorf("order %d: %w", id, err)
	}
	return o, nil
}

// OrderSheet is an order with all that is shown with it; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) OrderSheet(ctx context.Context, id garage.OrderID) (sheet garage.OrderSheet, err error) {
	err = s.atOnce(ctx, func(tx pgx.Tx) error {
		sheet, err = orderSheet(ctx, tx, id)
		return err
	})
	return sheet, err
}

func orderSheet(ctx context.Context, tx pgx.Tx, id garage.OrderID) (sheet garage.OrderSheet, err error) {
	if sheet.Order, err = order(ctx, tx, id, ""); err != nil {
		return sheet, err
	}
	a := args{"id": id}
	lines := `select id from order_lines where order_id = @id and deleted_at is null`
	sheet.Supplier, err = one[garage.Supplier](ctx, tx, `select `+supplierColumns+` from suppliers where id = (select supplier_id from orders where id = @id)`, a)
	if err != nil {
		return sheet, err
	}
	for _, read := range []func() error{
		reading(ctx, tx, &sheet.Lines, `select `+orderLineColumns+` from order_lines where order_id = @id and deleted_at is null order by id`, a),
		reading(ctx, tx, &sheet.Parts, `select `+partColumns+` from parts where id in (select part_id from order_lines where order_id = @id) order by id`, a),
		reading(ctx, tx, &sheet.Arrivals, arrivalsOfOrder+` order by order_line_id, id`, a),
		reading(ctx, tx, &sheet.Movements, `select `+movementColumns+` from stock_movements m
			where arrival_id in (select id from arrivals where order_id = @id) and kind in ('received', 'sent back')
			and not exists (select from stock_movements r where r.reverses = m.id) order by id`, a),
		reading(ctx, tx, &sheet.Returns, `select `+returnColumns+` from order_returns where deleted_at is null and order_line_id in (`+lines+`) order by id`, a),
		reading(ctx, tx, &sheet.Cores, `
			select c.*, p.name as part_name, j.title as job_title, j.closed_at
			from (select `+coreColumns+` from cores where deleted_at is null and order_line_id in (`+lines+`)) c
			join parts p on p.id = c.part_id
			left join jobs j on j.id = c.freed_by and j.deleted_at is null order by c.id`, a),
		reading(ctx, tx, &sheet.Costs, `select order_line_id, movement_id, amount, currency from order_costs
			where order_line_id in (select id from order_lines where order_id = @id) order by id`, a),
	} {
		if err := read(); err != nil {
			return sheet, err
		}
	}
	return sheet, nil
}

func orderArgs(o garage.Order) args {
	return args{
		"supplier_id": o.SupplierID, "number": o.Number, "ordered_on": o.OrderedOn, "promised_on": o.PromisedOn, "currency": o.Currency,
		"home": o.Home, "rate": int64(o.Rate), "shipping": o.Shipping, "duty": o.Duty, "tax": o.Tax, "handling": o.Handling, "paid": o.Paid,
		"return_days": o.ReturnDays, "notes": o.Notes,
	}
}

// CreateOrder keeps an order with its lines, whose parts are named or made, and expects what they say. *garage.InvalidError for
// what does not hold; what is wrong with a line is under "lines".
func (s *Store) CreateOrder(ctx context.Context, o garage.Order, lines ...garage.NewOrderLine) (id garage.OrderID, err error) {
	if err := o.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = createOrder(ctx, tx, o, lines)
		return err
	})
	return id, err
}

func createOrder(ctx context.Context, tx pgx.Tx, o garage.Order, lines []garage.NewOrderLine) (id garage.OrderID, err error) {
	if err := holdSupplier(ctx, tx, o.SupplierID); err != nil {
		return 0, err
	}
	id, err = insert[garage.OrderID](ctx, tx, `
		insert into orders (supplier_id, number, ordered_on, promised_on, currency, home, rate, shipping, duty, tax, handling, paid, return_days, notes)
		values (@supplier_id, @number, @ordered_on, @promised_on, @currency, @home, @rate, @shipping, @duty, @tax, @handling, @paid, @return_days, @notes)
		returning id`, orderArgs(o))
	if err != nil {
		return 0, err
	}
	for i, line := range lines {
		line.OrderID = id
		if _, err := addOrderLine(ctx, tx, line); err != nil {
			if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
				return 0, garage.FieldErrors{"lines": fmt.Sprintf("Line %d: %s", i+1, invalid.Fields.Sentences())}.Err()
			}
			return 0, err
		}
	}
	return id, settleOrder(ctx, tx, id)
}

// holdSupplier keeps a supplier from being deleted until the transaction ends.
func holdSupplier(ctx context.Context, tx pgx.Tx, id garage.SupplierID) error {
	_, err := supplier(ctx, tx, id, "for share")
	if errors.Is(err, garage.ErrNotFound) {
		return garage.FieldErrors{"supplier": "Choose the supplier."}.Err()
	}
	return err
}

// UpdateOrder saves an order; what is expected of it and its deposits follow. *garage.InvalidError for what does not hold,
// garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateOrder(ctx context.Context, o garage.Order) error {
	if err := o.Validate(); err != nil {
		return err
	}
	a := orderArgs(o)
	delete(a, "home")
	a["id"], a["version"] = o.ID, o.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := order(ctx, tx, o.ID, "for no key update")
		if err != nil {
			return err
		}
		if err := holdSupplier(ctx, tx, o.SupplierID); err != nil {
			return err
		}
		if was.Currency != o.Currency {
			if err := noDeposits(ctx, tx, o.ID); err != nil {
				return err
			}
		}
		err = update(ctx, tx, "orders", `
			update orders set
			  version = version + 1,
			  supplier_id = @supplier_id,
			  number = @number,
			  ordered_on = @ordered_on,
			  promised_on = @promised_on,
			  currency = @currency,
			  rate = @rate,
			  shipping = @shipping,
			  duty = @duty,
			  tax = @tax,
			  handling = @handling,
			  paid = @paid,
			  return_days = @return_days,
			  notes = @notes
			where id = @id and version = @version and deleted_at is null`, a)
		if err != nil {
			return err
		}
		if err := followOrder(ctx, tx, was, o); err != nil {
			return err
		}
		return settleOrder(ctx, tx, o.ID)
	})
}

// noDeposits refuses another currency while deposits in the old one hang on the order.
func noDeposits(ctx context.Context, tx pgx.Tx, id garage.OrderID) error {
	var any bool
	err := tx.QueryRow(ctx, `select exists (select from order_lines where order_id = $1 and deposit > 0 and deleted_at is null)`, id).Scan(&any)
	if err == nil && any {
		return garage.FieldErrors{"currency": "Its lines have deposits in the currency that it has."}.Err()
	}
	return err
}

// followOrder changes what is expected of an order, and its deposits, with it. Dates that the owner gave stay.
func followOrder(ctx context.Context, tx pgx.Tx, was, o garage.Order) error {
	sheet, err := orderSheet(ctx, tx, o.ID)
	if err != nil {
		return err
	}
	for _, a := range sheet.Arrivals {
		if a.ReceivedAt != nil || a.ReturnID != nil || !a.Estimated {
			continue
		}
		a.Low, a.Likely, a.High = o.Expects(sheet.Part(a.PartID), sheet.Supplier)
		_, err := tx.Exec(ctx, `
			update arrivals set version = version + 1, low = $2, likely = $3, high = $4 where id = $1 and (low, likely, high) is distinct from ($2::date, $3::date, $4::date)`,
			a.ID, a.Low, a.Likely, a.High)
		if err != nil {
			return err
		}
	}
	_, err = tx.Exec(ctx, `update arrivals set supplier = $2, promised_on = $3 where order_id = $1`, o.ID, sheet.Supplier.Name, o.PromisedOn)
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `
		update cores set supplier = @supplier, order_number = @number,
		  basis_on = case when basis = 'purchase' and basis_on = @was::date then @ordered_on::date else basis_on end
		where order_line_id in (select id from order_lines where order_id = @id)`,
		args{"id": o.ID, "supplier": sheet.Supplier.Name, "number": o.Number, "was": was.OrderedOn, "ordered_on": o.OrderedOn})
	return err
}

// settleOrder notes what the pieces that came have cost by now.
func settleOrder(ctx context.Context, tx pgx.Tx, id garage.OrderID) error {
	sheet, err := orderSheet(ctx, tx, id)
	if err != nil {
		return err
	}
	entries, err := sheet.CostsToNote()
	if err != nil {
		return err
	}
	for _, c := range entries {
		_, err := tx.Exec(ctx, `insert into order_costs (order_line_id, movement_id, amount, currency) values ($1, $2, $3, $4)`,
			c.OrderLineID, c.MovementID, c.Amount, c.Currency)
		if err != nil {
			return err
		}
	}
	return nil
}

// DeleteOrder deletes an order of which nothing has come, with what is expected of it and its deposits; RestoreOrder brings all
// of it back. *garage.InvalidError, on the whole, when something has come or a deposit is under way; garage.ErrNotFound when it
// is gone already.
func (s *Store) DeleteOrder(ctx context.Context, id garage.OrderID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return deleteOrder(ctx, tx, id) })
}

func deleteOrder(ctx context.Context, tx pgx.Tx, id garage.OrderID) error {
	if _, err := order(ctx, tx, id, "for update"); err != nil {
		return err
	}
	var came, moved bool
	err := tx.QueryRow(ctx, `
		select exists (select from arrivals where order_id = $1 and received_at is not null and deleted_at is null),
		  exists (select from cores c join order_lines l on l.id = c.order_line_id where l.order_id = $1 and c.deleted_at is null and c.state <> 'owed')`, id).
		Scan(&came, &moved)
	switch {
	case err != nil:
		return err
	case came:
		return garage.FieldErrors{"": "Some of it has come. Cancel what does not come, or take back that it came."}.Err()
	case moved:
		return garage.FieldErrors{"": "An old unit of it is on its way already."}.Err()
	}
	if err := New(tx).setDeleted(ctx, "orders", int64(id), true); err != nil {
		return err
	}
	for _, sql := range []string{
		`update arrivals set deleted_at = now(), version = version + 1 where order_id = $1 and deleted_at is null`,
		`update cores set deleted_at = now(), version = version + 1
		where deleted_at is null and order_line_id in (select id from order_lines where order_id = $1)`,
	} {
		if _, err := tx.Exec(ctx, sql, id); err != nil {
			return err
		}
	}
	return nil
}

// RestoreOrder brings a deleted order back, with what went with it. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreOrder(ctx context.Context, id garage.OrderID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		for _, sql := range []string{
			`update arrivals set deleted_at = null, version = version + 1
			where order_id = $1 and deleted_at = (select deleted_at from orders where id = $1)`,
			`update cores set deleted_at = null, version = version + 1
			where order_line_id in (select id from order_lines where order_id = $1) and deleted_at = (select deleted_at from orders where id = $1)`,
		} {
			if _, err := tx.Exec(ctx, sql, id); err != nil {
				return err
			}
		}
		return New(tx).setDeleted(ctx, "orders", int64(id), false)
	})
}

// ArrivalRecords lists what was promised and came, the newest first: one for each day on which something of an order came. Supplier 0
// is all of them.
func (s *Store) ArrivalRecords(ctx context.Context, supplier garage.SupplierID) ([]garage.ArrivalRecord, error) {
	return list[garage.ArrivalRecord](ctx, s.db, `
		select o.id as order_id, o.number, o.supplier_id, o.ordered_on, a.promised_on, max(a.received_at) as received_at
		from arrivals a join orders o on o.id = a.order_id and o.deleted_at is null
		where a.received_at is not null and a.promised_on is not null and a.return_id is null and a.deleted_at is null
		  and (@supplier = 0 or o.supplier_id = @supplier)
		group by o.id, a.promised_on, (a.received_at at time zone (select zone from settings))::date
		order by max(a.received_at) desc, o.id desc limit 500`, args{"supplier": int64(supplier)})
}

// OpenPromises lists the arrivals whose dates follow a promise.
func (s *Store) OpenPromises(ctx context.Context) ([]garage.OpenPromise, error) {
	return list[garage.OpenPromise](ctx, s.db, `
		select a.id as arrival_id, o.supplier_id, a.promised_on, a.low, a.likely, a.high
		from arrivals a join orders o on o.id = a.order_id
		where `+arrivalIsExpected+` and a.estimated and a.promised_on is not null order by a.id`, args{})
}

// KeepEstimates sets the dates of arrivals that follow a promise.
func (s *Store) KeepEstimates(ctx context.Context, all []garage.OpenPromise) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		for _, p := range all {
			_, err := tx.Exec(ctx, `
				update arrivals set version = version + 1, low = $2, likely = $3, high = $4 where id = $1 and estimated and received_at is null`,
				p.ArrivalID, p.Low, p.Likely, p.High)
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// LastDeposits lists, by part, the core deposit that was paid last.
func (s *Store) LastDeposits(ctx context.Context) ([]garage.PartDeposit, error) {
	return list[garage.PartDeposit](ctx, s.db, `
		select distinct on (part_id) part_id, deposit, currency from cores where deleted_at is null order by part_id, id desc`, args{})
}

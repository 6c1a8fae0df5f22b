package postgres_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/internal/trade/deposit"
)

// orderYard is a garage with a supplier and a part.
type orderYard struct {
	*testing.T
	ctx      context.Context
	db       postgres.DBTX
	store    *postgres.Store
	supplier garage.SupplierID
	part     garage.PartID
}

func newOrderYard(t *testing.T) *orderYard {
	t.Helper()
	db := pgtest.Tx(t)
	y := &orderYard{T: t, ctx: t.Context(), db: db, store: postgres.New(db)}
	y.supplier, y.part = createSupplier(t, y.store), createPart(t, y.store)
	return y
}

// order makes one with a line of the part for each change, three pieces at 40.00 and 18.00 of shipping.
func (y *orderYard) order(lines ...func(*garage.OrderLine)) (garage.OrderID, garage.OrderSheet) {
	y.Helper()
	var all []garage.NewOrderLine
	for _, change := range lines {
		l := garagetest.OrderLine(change)
		l.PartID = y.part
		all = append(all, garage.NewOrderLine{OrderLine: l})
	}
	id, err := y.store.CreateOrder(y.ctx, garagetest.Order(func(o *garage.Order) { o.SupplierID = y.supplier }), all...)
	if err != nil {
		y.Fatal(err)
	}
	return id, y.sheet(id)
}

// sheet reads an order, and has the database check at once what it otherwise checks when a transaction ends.
func (y *orderYard) sheet(id garage.OrderID) garage.OrderSheet {
	y.Helper()
	for _, when := range []string{"immediate", "deferred"} {
		if _, err := y.db.Exec(y.ctx, "set constraints all "+when); err != nil {
			y.Fatal(err)
		}
	}
	sheet, err := y.store.OrderSheet(y.ctx, id)
	if err != nil {
		y.Fatal(err)
	}
	return sheet
}

func (y *orderYard) do(err error) {
	y.Helper()
	if err != nil {
		y.Fatal(err)
	}
}

var firstCame = time.Date(2027, 3, 12, 10, 0, 0, 0, time.UTC)

func (y *orderYard) receive(a garage.Arrival, n int) garage.MovementID {
	y.Helper()
	id, err := y.store.ReceiveArrival(y.ctx, a, n, garage.BinPick{Name: "A1", New: true}, firstCame)
	y.do(err)
	return id
}

// expected and here are how many of the part are to come and on hand.
func (y *orderYard) counts() (expected, here int) {
	y.Helper()
	all, err := y.store.Arrivals(y.ctx, y.part)
	y.do(err)
	for _, a := range all {
		expected += a.Quantity
	}
	stock, err := y.store.StockOf(y.ctx, y.part)
	y.do(err)
	for _, s := range stock {
		here += s.Quantity
	}
	return expected, here
}

func (y *orderYard) wants(expected, here int) {
	y.Helper()
	if e, h := y.counts(); e != expected || h != here {
		y.Errorf("%d expected and %d here, want %d and %d", e, h, expected, here)
	}
}

func noted(sheet garage.OrderSheet) (sum int64) {
	for _, c := range sheet.Costs {
		sum += c.Amount
	}
	return sum
}

func same(*garage.OrderLine) {}

func TestStore_Order(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	id, sheet := y.order(same)
	want := garagetest.Order(func(o *garage.Order) { o.ID, o.SupplierID = id, y.supplier })
	if diff := cmp.Diff(want, sheet.Order); diff != "" {
		t.Errorf("stored (-want +got):\n%s", diff)
	}
	if a := sheet.Arrivals[0]; len(sheet.Arrivals) != 1 || a.Quantity != 3 || a.Likely != *want.PromisedOn || !a.Estimated || a.Supplier != "Harbour Motor Factors" {
		t.Errorf("expected is %+v", sheet.Arrivals)
	}
	y.wants(3, 0)
	shot, err := y.store.Snapshot(y.ctx)
	if err != nil || len(shot.Arrivals) != 1 || shot.Arrivals[0].Quantity != 3 {
		t.Errorf("the plan expects %+v, %v", shot.Arrivals, err)
	}
	want.PromisedOn, want.Number = nil, "H-205"
	y.do(y.store.UpdateOrder(y.ctx, want))
	if a := y.sheet(id).Arrivals[0]; a.Low != garage.NewDate(2027, 3, 5) || a.High != garage.NewDate(2027, 3, 14) {
		t.Errorf("no day is promised any more: the part's days count, not %v to %v", a.Low, a.High)
	}
	if err := y.store.UpdateOrder(y.ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: %v", err)
	}
	rows, err := y.store.Orders(y.ctx, garage.OrderFilter{Open: true, Supplier: y.supplier, Limit: 10})
	if err != nil || len(rows) != 1 || rows[0].Wanted != 3 || rows[0].Came != 0 || rows[0].Total != 1 || rows[0].NextLikely == nil {
		t.Errorf("%+v, %v", rows, err)
	}
	y.do(y.store.DeleteOrder(y.ctx, id))
	y.wants(0, 0)
	for _, err := range []error{second(y.store.OrderSheet(y.ctx, id)), y.store.DeleteOrder(y.ctx, id), second(y.store.OrderLine(y.ctx, sheet.Lines[0].ID)), y.store.UpdateOrder(y.ctx, want)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	y.do(y.store.RestoreOrder(y.ctx, id))
	y.sheet(id)
	y.wants(3, 0)
	if err := y.store.DeleteSupplier(y.ctx, y.supplier); refusedAt(err) != "" || !isInvalid(err, "") {
		t.Errorf("a supplier of whom something is expected: %v", err)
	}
	_, err = y.store.CreateOrder(y.ctx, garagetest.Order(func(o *garage.Order) { o.SupplierID = 1 << 40 }))
	if refusedAt(err) != "supplier" {
		t.Errorf("of nobody: %v", err)
	}
}

// Three at 40.00 with 18.00 of shipping: two come, one is sent back, the third comes, then the bill says 150.00.
func TestStore_Order_comes_and_goes_back(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	id, sheet := y.order(same)
	came := sheet.Arrivals[0]
	y.receive(came, 2)
	y.wants(1, 2)
	sheet = y.sheet(id)
	if noted(sheet) != 9200 || sheet.Came(sheet.Lines[0].ID) != 2 {
		t.Errorf("two of three at 46.00 are noted as %d", noted(sheet))
	}
	stock, err := y.store.StockOf(y.ctx, y.part)
	y.do(err)
	back := garage.OrderReturn{ArrivalID: came.ID, Quantity: 3, Why: "damaged", Note: "Bent eye"}
	if _, err := y.store.SendBack(y.ctx, back, stock[0].Stock, false, firstCame); refusedAt(err) != "quantity" {
		t.Errorf("more than came: %v", err)
	}
	back.Quantity = 1
	movement, err := y.store.SendBack(y.ctx, back, stock[0].Stock, true, firstCame)
	y.do(err)
	y.wants(2, 1) // the third, and one in place of what goes back
	sheet = y.sheet(id)
	if r := sheet.Returns[0]; len(sheet.Returns) != 1 || r.LastDay == nil || *r.LastDay != garage.NewDate(2027, 3, 26) || noted(sheet) != 4600 {
		t.Errorf("%+v; noted %d", sheet.Returns, noted(sheet))
	}
	if rows, err := y.store.OrderReturns(y.ctx); err != nil || len(rows) != 1 || rows[0].OrderID != id {
		t.Errorf("to be sent: %+v, %v", rows, err)
	}
	for _, a := range sheet.Arrivals {
		if a.ReceivedAt == nil {
			y.receive(a, a.Quantity)
		}
	}
	sheet = y.sheet(id)
	y.wants(0, 3)
	if noted(sheet) != 13_800 {
		t.Errorf("all that lies there is noted as %d", noted(sheet))
	}
	if _, err := y.store.ReverseMovement(y.ctx, movement); !isInvalid(err, "") {
		t.Errorf("what came in its place is here: %v", err)
	}
	o := sheet.Order
	o.Paid = new(int64(15_000))
	y.do(y.store.UpdateOrder(y.ctx, o))
	if sheet = y.sheet(id); noted(sheet) != 15_000 {
		t.Errorf("the bill says 150.00, noted is %d", noted(sheet))
	}
	r := sheet.Returns[0]
	r.SentOn, r.Refunded = new(garage.NewDate(2027, 3, 15)), 4000
	if err := y.store.UpdateOrderReturn(y.ctx, r); refusedAt(err) != "refunded_on" {
		t.Errorf("paid back on no day: %v", err)
	}
	r.RefundedOn = new(garage.NewDate(2027, 3, 20))
	y.do(y.store.UpdateOrderReturn(y.ctx, r))
	if err := y.store.UpdateOrderReturn(y.ctx, r); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old page: %v", err)
	}
	if err := y.store.DeleteOrder(y.ctx, id); !isInvalid(err, "") {
		t.Errorf("an order that came: %v", err)
	}
	if err := y.store.DeleteOrderLine(y.ctx, sheet.Lines[0].ID); !isInvalid(err, "") {
		t.Errorf("a line that came: %v", err)
	}
}

func TestStore_Order_taken_back_is_expected_again(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	id, sheet := y.order(same)
	came := sheet.Arrivals[0]
	movement := y.receive(came, 3)
	stock, err := y.store.StockOf(y.ctx, y.part)
	y.do(err)
	back, err := y.store.SendBack(y.ctx, garage.OrderReturn{ArrivalID: came.ID, Quantity: 1, Why: "wrong"}, stock[0].Stock, true, firstCame)
	y.do(err)
	if _, err := y.store.ReverseMovement(y.ctx, movement); !isInvalid(err, "") {
		t.Errorf("some of it goes back: %v", err)
	}
	y.do(second(y.store.ReverseMovement(y.ctx, back)))
	y.wants(0, 3)
	y.do(second(y.store.ReverseMovement(y.ctx, movement)))
	y.wants(3, 0)
	if sheet := y.sheet(id); noted(sheet) != 0 || len(sheet.Returns) != 0 {
		t.Errorf("nothing came, but %d are noted: %+v", noted(sheet), sheet.Returns)
	}
	open := y.sheet(id).Arrivals[0]
	if err := y.store.DeleteArrival(y.ctx, open.ID); !isInvalid(err, "") {
		t.Errorf("it was ordered: %v", err)
	}
	open.Quantity, open.Likely, open.Note = 9, open.Likely.AddDays(1), "rang them"
	open.High = open.Likely
	y.do(y.store.UpdateArrival(y.ctx, open))
	if a := y.sheet(id).Arrivals[0]; a.Quantity != 3 || a.Estimated || a.Note != "rang them" {
		t.Errorf("the order says how many, the owner when: %+v", a)
	}
	if err := second(y.store.SendBack(y.ctx, garage.OrderReturn{ArrivalID: open.ID, Quantity: 1, Why: "wrong"}, stock[0].Stock, false, firstCame)); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("it has not come: %v", err)
	}
}

func TestStore_OrderLine(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	id, sheet := y.order(same)
	line := sheet.Lines[0]
	y.receive(sheet.Arrivals[0], 2)
	line.Quantity = 1
	if err := y.store.UpdateOrderLine(y.ctx, line); refusedAt(err) != "quantity" {
		t.Errorf("fewer than came: %v", err)
	}
	line.Quantity, line.Price = 5, 3000
	y.do(y.store.UpdateOrderLine(y.ctx, line))
	y.sheet(id)
	y.wants(3, 2)
	if err := y.store.UpdateOrderLine(y.ctx, line); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old page: %v", err)
	}
	y.do(y.store.CancelOrderLine(y.ctx, line.ID))
	if sheet := y.sheet(id); noted(sheet) != 7800 || sheet.Lines[0].Cancelled != 3 {
		t.Errorf("two at 30.00 with all of the shipping: %d", noted(sheet))
	}
	y.wants(0, 2)
	if err := y.store.CancelOrderLine(y.ctx, line.ID); !isInvalid(err, "") {
		t.Errorf("nothing is expected: %v", err)
	}
	y.do(y.store.ExpectOrderLine(y.ctx, line.ID))
	y.sheet(id)
	y.wants(3, 2)
	_, err := y.store.AddOrderLine(y.ctx, garage.NewOrderLine{
		OrderLine: garage.OrderLine{OrderID: id, Quantity: 2500, Price: 1200}, Pick: garage.PartPick{Text: "Hypoid oil"},
	})
	if refusedAt(err) != "new_part" {
		t.Errorf("an unknown part: %v", err)
	}
	oil := createPart(t, y.store, func(p *garage.Part) { p.Name, p.Number, p.OtherNumbers, p.Unit = "Hypoid oil", "", "", "ml" })
	more, err := y.store.AddOrderLine(y.ctx, garage.NewOrderLine{
		OrderLine: garage.OrderLine{OrderID: id, Quantity: 2500, Price: 1200}, Pick: garage.PartPick{Text: "hypoid oil"},
	})
	y.do(err)
	if l, err := y.store.OrderLine(y.ctx, more); err != nil || l.PartID != oil || l.Goods() != 3000 {
		t.Errorf("2.5 l at 12.00: %+v, %v", l, err)
	}
	y.do(y.store.DeleteOrderLine(y.ctx, more))
	if sheet := y.sheet(id); len(sheet.Lines) != 1 || len(sheet.Arrivals) != 2 {
		t.Errorf("%+v", sheet)
	}
	y.do(y.store.RestoreOrderLine(y.ctx, more))
	if sheet := y.sheet(id); len(sheet.Lines) != 2 || len(sheet.Arrivals) != 3 {
		t.Errorf("%+v", sheet)
	}
}

// Each piece with a deposit has its old unit followed, on the supplier's terms; the order's deposits add up with them.
func TestStore_Order_deposits(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	id, sheet := y.order(func(l *garage.OrderLine) { l.Quantity, l.Deposit = 2, 4500 })
	if c := sheet.Cores[0]; len(sheet.Cores) != 2 || c.WindowN != 30 || c.BasisOn == nil || *c.BasisOn != sheet.Order.OrderedOn || c.OrderNumber != "H-204" {
		t.Fatalf("%+v", sheet.Cores)
	}
	core := sheet.Cores[0].Core
	core.Deposit = 4400
	if err := y.store.UpdateCore(y.ctx, core); refusedAt(err) != "deposit" {
		t.Errorf("another deposit than the order's: %v", err)
	}
	inside, err := y.db.Begin(y.ctx)
	y.do(err)
	if err := postgres.New(inside).DeleteCore(y.ctx, core.ID); refusedAt(err) != "deposit" {
		t.Errorf("deleted by itself: %v", err)
	}
	y.do(inside.Rollback(y.ctx))
	line := sheet.Lines[0]
	line.Deposit = 5000
	y.do(y.store.UpdateOrderLine(y.ctx, line))
	if paid, refunded, lost, out := y.sheet(id).DepositSums(); paid != 10_000 || out != 10_000 || refunded+lost != 0 {
		t.Errorf("paid %d = %d + %d + %d", paid, refunded, lost, out)
	}
	happens := func(c garage.CoreID, state deposit.State, amount int64) {
		t.Helper()
		_, err := y.store.AddCoreEvent(y.ctx, garage.CoreEvent{CoreID: c, State: state, HappenedOn: garage.NewDate(2027, 3, 20), Amount: amount})
		y.do(err)
	}
	happens(core.ID, deposit.Sent, 0)
	happens(core.ID, deposit.Accepted, 3000)
	happens(core.ID, deposit.Refunded, 3000)
	if paid, refunded, lost, out := y.sheet(id).DepositSums(); paid != 10_000 || refunded != 3000 || lost != 2000 || out != 5000 {
		t.Errorf("paid %d = %d + %d + %d", paid, refunded, lost, out)
	}
	if err := y.store.CancelOrderLine(y.ctx, line.ID); refusedAt(err) != "deposit" {
		t.Errorf("an old unit went back already: %v", err)
	}
	line = y.sheet(id).Lines[0]
	line.Quantity = 1
	if err := y.store.UpdateOrderLine(y.ctx, line); err != nil {
		t.Errorf("the one that is still owed goes: %v", err)
	}
	y.sheet(id)
	o := sheet.Order
	o.Version, o.Paid = 1, new(int64(4999))
	if err := y.store.UpdateOrder(y.ctx, o); refusedAt(err) != "paid" {
		t.Errorf("less than the deposits: %v", err)
	}
	o.Paid, o.Currency, o.Rate = nil, "GBP", 1_150_000_000
	if err := y.store.UpdateOrder(y.ctx, o); refusedAt(err) != "currency" {
		t.Errorf("deposits in euros: %v", err)
	}
}

func TestStore_Order_deposit_counted_from_delivery(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	v, err := y.store.Supplier(y.ctx, y.supplier)
	y.do(err)
	v.CoreBasis = deposit.FromDelivery
	y.do(y.store.UpdateSupplier(y.ctx, v))
	id, sheet := y.order(func(l *garage.OrderLine) { l.Quantity, l.Deposit = 2, 4500 })
	known := func() (n int) {
		for _, c := range y.sheet(id).Cores {
			if c.BasisOn != nil && *c.BasisOn == garage.NewDate(2027, 3, 12) {
				n++
			}
		}
		return n
	}
	if known() != 0 {
		t.Error("it has not come, but the window runs")
	}
	movement := y.receive(sheet.Arrivals[0], 1)
	if known() != 1 {
		t.Errorf("one came, the window runs for %d", known())
	}
	y.do(second(y.store.ReverseMovement(y.ctx, movement)))
	if known() != 0 {
		t.Error("it did not come after all, but the window runs")
	}
}

func TestStore_ArrivalRecords(t *testing.T) {
	t.Parallel()
	y := newOrderYard(t)
	_, sheet := y.order(same, same)
	open, err := y.store.OpenPromises(y.ctx)
	if err != nil || len(open) != 2 || open[0].PromisedOn != garage.NewDate(2027, 3, 9) {
		t.Fatalf("%+v, %v", open, err)
	}
	open[0].High = open[0].High.AddDays(4)
	y.do(y.store.KeepEstimates(y.ctx, open[:1]))
	if a, err := y.store.Arrival(y.ctx, open[0].ArrivalID); err != nil || a.High != garage.NewDate(2027, 3, 13) {
		t.Errorf("%+v, %v", a, err)
	}
	for _, a := range sheet.Arrivals {
		got, err := y.store.Arrival(y.ctx, a.ID)
		y.do(err)
		y.receive(got, 3)
	}
	all, err := y.store.ArrivalRecords(y.ctx, y.supplier)
	if err != nil || len(all) != 1 || all[0].DaysLate(time.UTC) != 3 || all[0].Number != "H-204" {
		t.Errorf("two lines that came at once are one record: %+v, %v", all, err)
	}
	if none, err := y.store.ArrivalRecords(y.ctx, y.supplier+1); err != nil || len(none) != 0 {
		t.Errorf("of another: %+v, %v", none, err)
	}
}

// The database itself keeps what is expected of an order from being counted twice, or not at all.
func TestStore_Order_is_covered(t *testing.T) {
	t.Parallel()
	for name, sql := range map[string]string{
		"twice":             `insert into arrivals (part_id, quantity, low, likely, high, order_id, order_line_id) select part_id, 1, low, likely, high, order_id, order_line_id from arrivals`,
		"fewer":             `update arrivals set quantity = 2`,
		"gone":              `update arrivals set deleted_at = now()`,
		"line of more":      `update order_lines set quantity = 4`,
		"deposits for none": `update order_lines set deposit = 100`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			y := newOrderYard(t)
			y.order(same)
			_, err := y.db.Exec(y.ctx, sql)
			if err == nil {
				_, err = y.db.Exec(y.ctx, "set constraints all immediate")
			}
			if err == nil {
				t.Error("it is let through")
			}
		})
	}
}

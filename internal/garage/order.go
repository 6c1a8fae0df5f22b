package garage

import (
	"slices"
	"time"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/interval"
)

// OrderID names an order.
type OrderID int64

// Order is what was ordered of a supplier at once. Amounts are in its currency; what they are at home follows from the rate.
type Order struct {
	ID         OrderID
	Version    int64
	SupplierID SupplierID
	Number     string
	OrderedOn  Date
	PromisedOn *Date // nil: no day was promised
	Currency   string
	Home       string          // the garage's currency
	Rate       cost.Billionths // how many of it one of the order's is
	Shipping   int64
	Duty       int64
	Tax        int64
	Handling   int64
	Paid       *int64 // all that was paid, deposits included; nil: as it adds up
	ReturnDays *int   // how long something can go back, counted from its arrival
	Notes      string
	DeletedAt  *time.Time
}

// RateAtHome is one for one.
const RateAtHome cost.Billionths = 1_000_000_000

// maxRate is more than any two currencies are apart.
const maxRate = 1_000_000 * RateAtHome

// Validate says which fields do not hold.
func (o Order) Validate() error {
	var e FieldErrors
	if o.SupplierID == 0 {
		e.Add("supplier", "Choose the supplier.")
	}
	e.line("number", o.Number)
	if o.OrderedOn.IsZero() {
		e.Add("ordered_on", "A date like 2027-03-06, please.")
	}
	if o.PromisedOn != nil && o.PromisedOn.Before(o.OrderedOn) {
		e.Add("promised_on", "Not before it was ordered.")
	}
	if !currencyCode.MatchString(o.Currency) {
		e.Add("currency", "Three capital letters, like EUR.")
	}
	switch {
	case o.Rate <= 0 || o.Rate > maxRate:
		e.Add("rate", "A number above zero, such as 0.92.")
	case o.Currency == o.Home && o.Rate != RateAtHome:
		e.Add("rate", "It is the garage's own currency: the rate is 1.")
	}
	for field, minor := range map[string]int64{"shipping": o.Shipping, "duty": o.Duty, "tax": o.Tax, "handling": o.Handling} {
		if minor < 0 || minor > maxMoney {
			e.Add(field, "Not below zero.")
		}
	}
	if o.Paid != nil && (*o.Paid < 0 || *o.Paid > maxMoney) {
		e.Add("paid", "Not below zero.")
	}
	e.returnDays(o.ReturnDays)
	e.text("notes", o.Notes)
	return e.Err()
}

// LastReturn is the last day on which something that arrived on a day can go back; false when that was not agreed. The day of
// arrival is not counted, the last one is.
func (o Order) LastReturn(arrived Date) (Date, bool) {
	if o.ReturnDays == nil {
		return Date{}, false
	}
	last, err := deposit.Window{N: *o.ReturnDays, Count: deposit.CalendarDays}.From(interval.Date(arrived), nil)
	return Date(last), err == nil
}

// usualWait is what an order is taken to need that nobody said anything of: common practice, no source.
var usualWait = [3]int{3, 7, 14}

// Expects is when something of the order comes: on the day promised, or in the days of the part or else of the supplier.
func (o Order) Expects(p Part, s Supplier) (low, likely, high Date) {
	if o.PromisedOn != nil {
		return *o.PromisedOn, *o.PromisedOn, *o.PromisedOn
	}
	lead := usualWait
	switch {
	case p.LeadLikely != nil:
		lead = [3]int{*p.LeadLow, *p.LeadLikely, *p.LeadHigh}
	case s.LeadLikely != nil:
		lead = [3]int{*s.LeadLow, *s.LeadLikely, *s.LeadHigh}
	}
	return o.OrderedOn.AddDays(lead[0]), o.OrderedOn.AddDays(lead[1]), o.OrderedOn.AddDays(lead[2])
}

// OrderLineID names a line of an order.
type OrderLineID int64

// OrderLine is one part of an order. Price is for one, or for 1,000 of what is measured.
type OrderLine struct {
	ID        OrderLineID
	Version   int64
	OrderID   OrderID
	PartID    PartID
	Quantity  int
	Price     int64
	Per       int
	Deposit   int64 // of each piece, until its old unit goes back
	Cancelled int   // of the quantity, what will not come after all
	Note      string
	DeletedAt *time.Time
}

// mostDeposits is how many pieces with a deposit a line holds: each has its old unit to be followed.
const mostDeposits = 100

// Validate says which fields do not hold.
func (l OrderLine) Validate() error {
	var e FieldErrors
	e.quantity("quantity", l.Quantity)
	if l.Price < 0 || l.Price > maxMoney {
		e.Add("price", "Not below zero.")
	}
	if l.Deposit < 0 || l.Deposit > maxMoney {
		e.Add("deposit", "Not below zero.")
	}
	if l.Deposit > 0 && (l.Quantity > mostDeposits || l.Per != 1) {
		e.Add("deposit", "At most 100 pieces of a line have a deposit.")
	}
	if l.Quantity > 0 && l.Price > maxMoney/int64(l.Quantity) {
		e.Add("price", "That is more than can be kept.")
	}
	e.text("note", l.Note)
	return e.Err()
}

// PricedBy is how many of a part its price is for.
func PricedBy(p Part) int {
	if p.Measured() {
		return 1000
	}
	return 1
}

// Wanted is how many come, or came.
func (l OrderLine) Wanted() int { return l.Quantity - l.Cancelled }

// Goods is what the pieces that come cost before all else, to the nearest minor unit.
func (l OrderLine) Goods() int64 {
	per := int64(max(1, l.Per))
	return (l.Price*int64(l.Wanted()) + per/2) / per
}

// Deposits are the deposits of the pieces that come.
func (l OrderLine) Deposits() int64 { return l.Deposit * int64(l.Wanted()) }

// NewCore is the deposit of one piece of a line, on the terms that are usual with the supplier.
func (o Order) NewCore(l OrderLine, from Supplier) Core {
	window := from.CoreWindow()
	c := Core{
		PartID: l.PartID, Supplier: from.Name, OrderNumber: o.Number, Currency: o.Currency, Deposit: l.Deposit,
		WindowN: window.N, WindowCount: window.Count, Basis: from.CoreBasis, RefundCount: deposit.CalendarDays,
	}
	if c.Basis == deposit.FromPurchase {
		c.BasisOn = &o.OrderedOn
	}
	return c
}

// ReturnReasons lists why something goes back.
var ReturnReasons = []string{"wrong", "damaged", "not needed"}

// OrderReturnID names pieces that go back.
type OrderReturnID int64

// OrderReturn is pieces that go back to their supplier.
type OrderReturn struct {
	ID          OrderReturnID
	Version     int64
	OrderLineID OrderLineID
	ArrivalID   ArrivalID
	MovementID  MovementID
	Quantity    int
	Why         string
	LastDay     *Date // on which it can be sent; nil: not agreed
	SentOn      *Date
	Tracking    string
	Refunded    int64 // in the order's currency
	RefundedOn  *Date
	Note        string
	DeletedAt   *time.Time
}

// Validate says which fields do not hold.
func (r OrderReturn) Validate() error {
	var e FieldErrors
	oneOf(&e, "why", r.Why, ReturnReasons)
	e.line("tracking", r.Tracking)
	if r.Refunded < 0 || r.Refunded > maxMoney {
		e.Add("refunded", "Not below zero.")
	}
	if (r.Refunded > 0) != (r.RefundedOn != nil) {
		e.Add("refunded_on", "Give both: what was paid back, and when.")
	}
	e.text("note", r.Note)
	return e.Err()
}

// OrderCost is what pieces that were put into a bin have cost, or what was found out about that later.
type OrderCost struct {
	OrderLineID OrderLineID
	MovementID  MovementID
	Amount      int64
	Currency    string
}

// OrderSheet is an order with all that is shown with it.
type OrderSheet struct {
	Order     Order
	Supplier  Supplier
	Lines     []OrderLine
	Parts     []Part
	Arrivals  []Arrival  // of its lines, those that came too
	Movements []Movement // of these, and of what went back; those that were reversed are left out
	Returns   []OrderReturn
	Cores     []CoreRow
	Costs     []OrderCost
}

// Part is a part of the order.
func (s OrderSheet) Part(id PartID) Part {
	return find(s.Parts, func(p Part) bool { return p.ID == id })
}

// Came is how many of a line have come.
func (s OrderSheet) Came(id OrderLineID) (n int) {
	for _, a := range s.Arrivals {
		if a.OrderLineID != nil && *a.OrderLineID == id && a.ReceivedAt != nil && a.ReturnID == nil {
			n += a.Quantity
		}
	}
	return n
}

// SentBack is how many of an arrival go back.
func (s OrderSheet) SentBack(id ArrivalID) (n int) {
	for _, r := range s.Returns {
		if r.ArrivalID == id {
			n += r.Quantity
		}
	}
	return n
}

// OrderRow is an order as the list shows it.
type OrderRow struct {
	Order
	SupplierName string
	Lines        int
	Wanted       int
	Came         int
	NextLikely   *Date // when the first of what is still expected comes
	LatestHigh   *Date // when the last of it is there at the latest
	Total        int   // how many the filter found in all
}

// OrderFilter chooses orders for a list.
type OrderFilter struct {
	Supplier SupplierID // 0: of all
	Open     bool       // only those of which something is still expected
	Limit    int
	Offset   int
}

// ArrivalRecord is a promise and what came of it: one for each day on which something of an order came.
type ArrivalRecord struct {
	OrderID    OrderID
	Number     string
	SupplierID SupplierID
	OrderedOn  Date
	PromisedOn Date
	ReceivedAt time.Time
}

// DaysLate is how many days after the promised one it came; negative is before.
func (r ArrivalRecord) DaysLate(zone *time.Location) int {
	return interval.Date(r.PromisedOn).Days(interval.Date(DateOf(r.ReceivedAt.In(zone))))
}

// OpenPromise is an arrival whose dates follow a promise.
type OpenPromise struct {
	ArrivalID  ArrivalID
	SupplierID SupplierID
	PromisedOn Date
	Low        Date
	Likely     Date
	High       Date
}

func lineOf(lines []OrderLine, id OrderLineID) (OrderLine, bool) {
	i := slices.IndexFunc(lines, func(l OrderLine) bool { return l.ID == id })
	if i < 0 {
		return OrderLine{}, false
	}
	return lines[i], true
}

// NewOrderLine is a line to be added: of the part that it names, or with PartID 0 of one that is picked or made.
type NewOrderLine struct {
	OrderLine
	Pick PartPick
}

// OrderReturnRow is pieces that go back as a list shows them.
type OrderReturnRow struct {
	OrderReturn
	OrderID      OrderID
	PartName     string
	SupplierName string
}

// PartDeposit is the core deposit that was paid last for a part.
type PartDeposit struct {
	PartID   PartID
	Deposit  int64
	Currency string
}

package garage

import (
	"errors"
	"time"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// CoreID names a core deposit.
type CoreID int64

// Core is the deposit for one unit, with the terms as agreed. State and money are what its events come to.
type Core struct {
	ID             CoreID
	Version        int64
	PartID         PartID
	JobID          *JobID       // the job that frees the car's own unit
	DonorPartID    *DonorPartID // the unit on a donor that goes back in its place
	FreedBy        *JobID       // the job that frees the unit that goes back; read, never written
	Supplier       string
	OrderNumber    string
	Currency       string
	Deposit        int64 // before tax
	Tax            cost.Millionths
	WindowN        int
	WindowCount    deposit.Count
	Basis          deposit.Basis
	BasisOn        *Date // nil while that day has not come
	Box            bool
	Drained        bool
	Complete       bool
	FreightByBuyer bool
	RefundN        *int // nil: not agreed
	RefundCount    deposit.Count
	ReturnTo       string
	ReturnNumber   string
	Note           string
	State          deposit.State
	Paid           int64
	Refunded       int64
	Forfeited      int64
	Outstanding    int64
	DeletedAt      *time.Time
}

// CoreCounts and CoreBases list what a window counts, and from which day.
var (
	CoreCounts = []deposit.Count{deposit.CalendarDays, deposit.BusinessDays, deposit.WholeMonths}
	CoreBases  = []deposit.Basis{deposit.FromPurchase, deposit.FromShipping, deposit.FromDelivery, deposit.FromInvoice}
)

// Terms are the terms of one unit as the trade reckons with them.
func (c Core) Terms() deposit.Terms {
	t := deposit.Terms{
		Each: cost.Money{Minor: c.Deposit, Currency: c.Currency}, Quantity: 1, Tax: c.Tax,
		Window: deposit.Window{N: c.WindowN, Count: c.WindowCount}, Basis: c.Basis,
		Box: c.Box, Drained: c.Drained, Complete: c.Complete, FreightByBuyer: c.FreightByBuyer, ReturnTo: c.ReturnTo, RMA: c.ReturnNumber,
	}
	if c.RefundN != nil {
		t.RefundWithin = deposit.Window{N: *c.RefundN, Count: c.RefundCount}
	}
	return t
}

// LastDay is the last day on which the unit can be posted; false while the day that the seller counts from is not known. Business days
// are those that are no holidays.
func (c Core) LastDay(holidays []Date) (Date, bool) {
	if c.BasisOn == nil {
		return Date{}, false
	}
	last, err := c.Terms().Window.From(interval.Date(*c.BasisOn), tradeDates(holidays))
	return Date(last), err == nil
}

// RefundDue is the last day on which the seller has to refund a unit that came on a day; false when none was agreed.
func (c Core) RefundDue(received Date, holidays []Date) (Date, bool) {
	due, err := c.Terms().RefundDue(interval.Date(received), tradeDates(holidays))
	return Date(due), err == nil && !due.IsZero()
}

func tradeDates(days []Date) []interval.Date {
	all := make([]interval.Date, len(days))
	for i, d := range days {
		all[i] = interval.Date(d)
	}
	return all
}

// OnCar says that the unit has not come off its car yet: the job that frees it is waited for.
func (c Core) OnCar() bool { return c.State == deposit.Owed }

// Unposted says that the unit has still to be sent.
func (c Core) Unposted() bool {
	return c.State == deposit.Owed || c.State == deposit.Removed || c.State == deposit.Boxed || c.State == deposit.Rejected
}

// Validate says which fields do not hold.
func (c Core) Validate() error {
	var e FieldErrors
	e.name("supplier", c.Supplier)
	e.line("order_number", c.OrderNumber)
	e.line("return_number", c.ReturnNumber)
	e.text("return_to", c.ReturnTo)
	e.text("note", c.Note)
	oneOf(&e, "basis", c.Basis, CoreBases)
	oneOf(&e, "window_count", c.WindowCount, CoreCounts)
	oneOf(&e, "refund_count", c.RefundCount, CoreCounts)
	if _, err := c.Terms().Paid(); err != nil {
		e.Add(coreField(err), TradeSentence(err))
	}
	someDay := interval.NewDate(2000, time.January, 3)
	_, err := c.Terms().Window.From(someDay, nil)
	e.trade("window", err)
	_, err = c.Terms().RefundDue(someDay, nil)
	e.trade("refund", err)
	return e.Err()
}

// coreField is the form's name for what the trade refuses.
func coreField(err error) string {
	wrong, ok := errors.AsType[*input.Error](err)
	if ok && wrong.Field == "tax" {
		return "tax"
	}
	return "deposit"
}

// CoreEventID names an event.
type CoreEventID int64

// CoreEvent is something that happened to a unit; one that reverses another has no state of its own.
type CoreEvent struct {
	ID         CoreEventID
	CoreID     CoreID
	State      deposit.State
	HappenedOn Date
	Amount     int64
	Freight    int64
	Tracking   string
	Reason     string
	Reverses   *CoreEventID
}

// CoreSheet is a core deposit with all that is shown with it.
type CoreSheet struct {
	Core     Core
	PartName string
	JobTitle *string
	Events   []CoreEvent
}

// CoreRow is a core deposit in a list.
type CoreRow struct {
	Core
	PartName string
	JobTitle *string
	ClosedAt *time.Time // of the job
}

// Replay works out where a unit and its money are after its events. *InvalidError when the last of them cannot be.
func (c Core) Replay(events []CoreEvent) (deposit.Unit, error) {
	all := make([]deposit.Event, len(events))
	for i, e := range events {
		all[i] = deposit.Event{
			ID: int64(e.ID), Unit: 1, To: e.State, On: interval.Date(e.HappenedOn), Tracking: e.Tracking, Reason: e.Reason,
			Amount: cost.Money{Minor: e.Amount, Currency: c.Currency}, Freight: cost.Money{Minor: e.Freight, Currency: c.Currency},
		}
		if e.Reverses != nil {
			all[i].Reverses = int64(*e.Reverses)
		}
	}
	ledger, err := deposit.Replay(c.Terms(), all)
	if err == nil {
		return ledger.Units[0], nil
	}
	if wrong, ok := errors.AsType[*input.Error](err); ok {
		names := map[string]string{"to": "state", "on": "happened_on", "amount": "amount", "freight": "freight"}
		return deposit.Unit{}, FieldErrors{names[wrong.Field]: wrong.Sentence}.Err()
	}
	return deposit.Unit{}, err
}

// LatestCoreEvent is the last event that stands; false when there is none.
func LatestCoreEvent(events []CoreEvent) (CoreEvent, bool) {
	reversed := map[CoreEventID]bool{}
	for _, e := range events {
		if e.Reverses != nil {
			reversed[*e.Reverses] = true
		}
	}
	for i := len(events) - 1; i >= 0; i-- {
		if e := events[i]; e.Reverses == nil && !reversed[e.ID] {
			return e, true
		}
	}
	return CoreEvent{}, false
}

package deposit

import (
	"slices"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Terms are what the seller asks for, kept as agreed.
type Terms struct {
	Each     cost.Money // the deposit for one unit before tax
	Quantity int
	Tax      cost.Millionths // on the deposit; differs by country
	Window   Window
	Basis    Basis
	// RefundWithin is when the refund is due after the seller has received the unit; a window without a count is not agreed.
	RefundWithin Window

	Box, Drained, Complete bool // in the new part's box, drained, with all its pieces
	FreightByBuyer         bool
	Conditions             string
	ReturnTo               string
	RMA                    string
}

// maxUnits is more than anybody owes.
const maxUnits = 1000

// Paid is what was paid for one unit, tax included. A quantity out of range is refused for "quantity", a deposit of none for "each", a tax rate
// out of range for "tax".
func (t Terms) Paid() (cost.Money, error) {
	switch {
	case t.Quantity < 1 || t.Quantity > maxUnits:
		return cost.Money{}, input.Wrong("quantity", "Give the number of units, from 1 to 1000.")
	case t.Each.Minor <= 0 || t.Each.Currency == "":
		return cost.Money{}, input.Wrong("each", "Give the deposit for one unit, more than zero, with its currency.")
	}
	tax, err := t.Each.Part(t.Tax)
	if err != nil {
		return cost.Money{}, input.Wrong("tax", "Give the tax rate on the deposit, from 0 to 1000 %.")
	}
	paid, err := t.Each.Plus(tax)
	if err != nil || paid.Minor > mostPaid {
		return cost.Money{}, input.Wrong("each", "That is more than can be kept.")
	}
	return paid, nil
}

// mostPaid leaves room for a thousand of them.
const mostPaid = 1_000_000_000

// RefundDue is the last day on which the seller has to refund a unit received on a day. Without an agreed window it is the zero Date. Without
// the day it is refused for "from", a window that is none for "window".
func (t Terms) RefundDue(received interval.Date, holidays []interval.Date) (interval.Date, error) {
	if t.RefundWithin.Count == "" {
		return interval.Date{}, nil
	}
	return t.RefundWithin.From(received, holidays)
}

// WorthSending says whether more is to be expected back than the freight costs.
func WorthSending(expected, freight cost.Money) (bool, error) {
	_, err := expected.Plus(freight)
	return expected.Minor > freight.Minor, err
}

// State is where a unit is.
type State string

// The states, in the order of its way.
const (
	Owed      State = "owed"
	Removed   State = "removed from the car"
	Boxed     State = "boxed"
	Sent      State = "sent"
	Received  State = "received"
	Accepted  State = "accepted"
	Rejected  State = "rejected"
	Refunded  State = "refunded"
	Forfeited State = "forfeited"
)

// next lists the states that a unit can go to from each. What the owner did not note may be left out before the unit is sent, and so may the
// seller's word that it came; money comes only for an accepted unit. A rejected unit may be sent once more.
var next = map[State][]State{
	Owed:     {Removed, Boxed, Sent, Forfeited},
	Removed:  {Boxed, Sent, Forfeited},
	Boxed:    {Sent, Forfeited},
	Sent:     {Received, Accepted, Rejected, Forfeited},
	Received: {Accepted, Rejected, Forfeited},
	Accepted: {Refunded, Forfeited},
	Rejected: {Sent, Forfeited},
}

// Next lists the states that a unit can go to; none from where its way ends.
func (s State) Next() []State { return slices.Clone(next[s]) }

// Open says that the deposit may still come back.
func (s State) Open() bool { return s != Refunded && s != Forfeited }

// Event is something that happened to a unit. Events are only ever added.
type Event struct {
	ID       int64 // from 1 on, rising
	Unit     int   // from 1 to the quantity
	To       State // where it is now; empty for an event that reverses another
	On       interval.Date
	Amount   cost.Money // accepted: what will come back; refunded: what came
	Freight  cost.Money // what this cost the owner: sending it, or having it back
	Tracking string
	Reason   string // rejected: why
	// Reverses is the ID of the event that this one undoes: the unit's latest that stands.
	Reverses int64
}

// Unit is what is known of one unit.
type Unit struct {
	State       State
	On          interval.Date // of the event that brought it there; zero while owed
	Expected    cost.Money    // what will come back: the whole deposit until the seller accepts a part of it
	Refunded    cost.Money
	Forfeited   cost.Money
	Outstanding cost.Money
	Freight     cost.Money
}

// Ledger is what all events together come to. Paid = Refunded + Forfeited + Outstanding.
type Ledger struct {
	Units                                  []Unit
	Paid, Refunded, Forfeited, Outstanding cost.Money
	Freight                                cost.Money
	Net                                    cost.Money // refunded less freight
}

// Replay works the ledger out from the terms and all events, in their order. An event that cannot be is an [*EventError]; terms that are
// none are refused like by [Terms.Paid].
func Replay(t Terms, events []Event) (Ledger, error) {
	paid, err := t.Paid()
	if err != nil {
		return Ledger{}, err
	}
	b := book{paid: paid, histories: make([][]step, t.Quantity)}
	for i := range b.histories {
		b.histories[i] = []step{{unit: b.fresh()}}
	}
	for _, e := range events {
		if err := b.enter(e); err != nil {
			return Ledger{}, &EventError{ID: e.ID, Err: err}
		}
	}
	return b.ledger(), nil
}

// EventError says which event cannot be, and why.
type EventError struct {
	ID  int64
	Err error
}

// Error is the reason.
func (e *EventError) Error() string { return e.Err.Error() }

// Unwrap is the reason, an [*input.Error].
func (e *EventError) Unwrap() error { return e.Err }

// step is a unit after an event; the event that reverses it takes the step back.
type step struct {
	id   int64
	unit Unit
}

// book is the replay so far: of each unit the steps that stand.
type book struct {
	paid      cost.Money
	histories [][]step
	lastID    int64
}

func (b *book) money(minor int64) cost.Money {
	return cost.Money{Minor: minor, Currency: b.paid.Currency}
}

func (b *book) fresh() Unit {
	return Unit{State: Owed, Expected: b.paid, Refunded: b.money(0), Forfeited: b.money(0), Outstanding: b.paid, Freight: b.money(0)}
}

func (b *book) enter(e Event) error {
	switch {
	case e.ID <= b.lastID:
		return input.Wrong("id", "Events come in the order of their numbers.")
	case e.Unit < 1 || e.Unit > len(b.histories):
		return input.Wrong("unit", "There is no such unit.")
	case e.On.IsZero():
		return input.Wrong("on", "Give the day.")
	}
	history := &b.histories[e.Unit-1]
	last := (*history)[len(*history)-1]
	if e.Reverses != 0 {
		if last.id != e.Reverses || e.To != "" {
			return input.Wrong("reverses", "Only the latest event of the unit can be reversed.")
		}
		*history = (*history)[:len(*history)-1]
		b.lastID = e.ID
		return nil
	}
	unit, err := b.after(last.unit, e)
	if err != nil {
		return err
	}
	*history = append(*history, step{id: e.ID, unit: unit})
	b.lastID = e.ID
	return nil
}

// after is the unit after an event.
func (b *book) after(u Unit, e Event) (Unit, error) {
	if e.To == "" {
		return u, input.Wrong("to", "Say what happened to the unit.")
	}
	if !slices.Contains(next[u.State], e.To) {
		return u, input.Wrong("to", "A unit that is %s cannot become %s.", u.State, e.To)
	}
	if e.On.Before(u.On) {
		return u, input.Wrong("on", "That was before what happened last.")
	}
	if err := input.First(b.amount("amount", e.Amount), b.amount("freight", e.Freight)); err != nil {
		return u, err
	}
	if e.Amount.Minor != 0 && e.To != Accepted && e.To != Refunded {
		return u, input.Wrong("amount", "Only accepting and refunding have an amount.")
	}
	u.State, u.On = e.To, e.On
	u.Freight.Minor += e.Freight.Minor
	return u.moved(e)
}

func (b *book) amount(field string, m cost.Money) error {
	if m.Minor < 0 || m.Minor > mostPaid || m.Minor != 0 && m.Currency != b.paid.Currency {
		return input.Wrong(field, "Give an amount in %s, zero or more.", b.paid.Currency)
	}
	return nil
}

// moved is where the money of the unit goes.
func (u Unit) moved(e Event) (Unit, error) {
	switch e.To {
	case Accepted:
		if e.Amount.Minor == 0 || e.Amount.Minor > u.Outstanding.Minor {
			return u, input.Wrong("amount", "Accepted is more than nothing and at most the deposit; nothing is a rejection.")
		}
		u.lose(u.Outstanding.Minor - e.Amount.Minor)
		u.Expected = u.Outstanding
	case Refunded:
		if e.Amount.Minor == 0 || e.Amount.Minor > u.Outstanding.Minor {
			return u, input.Wrong("amount", "A refund is more than nothing and at most what is outstanding.")
		}
		u.Refunded.Minor += e.Amount.Minor
		u.Outstanding.Minor -= e.Amount.Minor
		u.Expected = u.Outstanding
		if u.Outstanding.Minor > 0 {
			u.State = Accepted // a part has come; the rest is still to come
		}
	case Forfeited:
		u.lose(u.Outstanding.Minor)
		u.Expected = u.Outstanding
		if u.Refunded.Minor > 0 {
			u.State = Refunded // what came, came
		}
	case Rejected:
		u.Expected.Minor = 0
	case Sent:
		u.Expected = u.Outstanding
	}
	return u, nil
}

func (u *Unit) lose(minor int64) {
	u.Forfeited.Minor += minor
	u.Outstanding.Minor -= minor
}

func (b *book) ledger() Ledger {
	l := Ledger{Paid: b.money(0), Refunded: b.money(0), Forfeited: b.money(0), Outstanding: b.money(0), Freight: b.money(0), Net: b.money(0)}
	for _, history := range b.histories {
		u := history[len(history)-1].unit
		l.Units = append(l.Units, u)
		l.Paid.Minor += b.paid.Minor
		l.Refunded.Minor += u.Refunded.Minor
		l.Forfeited.Minor += u.Forfeited.Minor
		l.Outstanding.Minor += u.Outstanding.Minor
		l.Freight.Minor += u.Freight.Minor
	}
	l.Net.Minor = l.Refunded.Minor - l.Freight.Minor
	return l
}

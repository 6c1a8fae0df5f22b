package cost

import "axlestand/internal/trade/input"

// EntryKind is what money went for, or came from.
type EntryKind string

// The kinds.
const (
	Bought      EntryKind = "purchase"
	Parts       EntryKind = "parts"
	Consumables EntryKind = "consumables"
	Vendor      EntryKind = "vendor"
	Sale        EntryKind = "sale" // money that came in; the amount is above zero all the same
)

// Standing is how certain an entry is.
type Standing string

// How certain.
const (
	Spent     Standing = "spent"
	Committed Standing = "committed" // ordered, not yet paid
	Planned   Standing = "planned"
)

// Entry is an amount in a car's ledger.
type Entry struct {
	Kind     EntryKind
	Standing Standing
	Amount   Money
}

// Sums are what a car has swallowed, sales taken off. They are kept apart and never added: what is spent is gone and does not decide what to
// do next.
type Sums struct {
	Spent, Committed, Planned Money
	ByKind                    map[EntryKind]Money // of what is spent; sales as they came in
}

// Sum adds up a car's ledger. An unknown kind or standing is refused for "kind" and "standing", an amount below zero or of another currency
// for "amount" and "currency".
func Sum(currency string, entries []Entry) (Sums, error) {
	s := Sums{ByKind: map[EntryKind]Money{}}
	into := map[Standing]*Money{Spent: &s.Spent, Committed: &s.Committed, Planned: &s.Planned}
	for _, m := range into {
		m.Currency = currency
	}
	for _, e := range entries {
		if err := amounts(currency, map[string]Money{"amount": e.Amount}); err != nil {
			return Sums{}, err
		}
		signed := Money{e.Amount.Minor, currency}
		switch e.Kind {
		case Bought, Parts, Consumables, Vendor:
		case Sale:
			signed.Minor = -signed.Minor
		default:
			return Sums{}, input.Wrong("kind", "There is no such kind of entry.")
		}
		sum := into[e.Standing]
		if sum == nil {
			return Sums{}, input.Wrong("standing", "An entry is spent, committed or planned.")
		}
		var err error
		if *sum, err = sum.Plus(signed); err != nil {
			return Sums{}, err
		}
		if e.Standing == Spent {
			s.ByKind[e.Kind] = Money{s.ByKind[e.Kind].Minor + e.Amount.Minor, currency}
		}
	}
	return s, nil
}

package deposit

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/interval"
)

func eur(minor int64) cost.Money { return cost.Money{Minor: minor, Currency: "EUR"} }

func terms(quantity int) Terms {
	return Terms{Each: eur(4500), Quantity: quantity, Window: Window{30, CalendarDays}, Basis: FromDelivery}
}

// story numbers the events and puts them on days, one after the other.
func story(events ...Event) []Event {
	for i := range events {
		events[i].ID = int64(i + 1)
		events[i].On = day("2026-03-06").AddDays(i)
		if events[i].Unit == 0 {
			events[i].Unit = 1
		}
	}
	return events
}

// Computed: twice 45.00, one accepted whole, one at 60 %, freight 11.90: refunded 72.00, lost 18.00, net 60.10.
func TestReplay(t *testing.T) {
	t.Parallel()
	sixty, _ := eur(4500).Part(600_000)
	l, err := Replay(terms(2), story(
		Event{Unit: 1, To: Removed}, Event{Unit: 2, To: Removed}, Event{Unit: 1, To: Boxed}, Event{Unit: 2, To: Boxed},
		Event{Unit: 1, To: Sent, Freight: eur(1190), Tracking: "0001"}, Event{Unit: 2, To: Sent, Tracking: "0001"},
		Event{Unit: 1, To: Received}, Event{Unit: 2, To: Received},
		Event{Unit: 1, To: Accepted, Amount: eur(4500)}, Event{Unit: 2, To: Accepted, Amount: sixty},
		Event{Unit: 1, To: Refunded, Amount: eur(4500)}, Event{Unit: 2, To: Refunded, Amount: sixty},
	))
	if err != nil || l.Paid != eur(9000) || l.Refunded != eur(7200) || l.Forfeited != eur(1800) || l.Outstanding != eur(0) || l.Freight != eur(1190) || l.Net != eur(6010) {
		t.Errorf("%+v, %v", l, err)
	}
	if l.Units[0].State != Refunded || l.Units[1].State != Refunded || l.Units[1].Forfeited != eur(1800) {
		t.Errorf("%+v", l.Units)
	}
}

func TestReplay_step_by_step(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                                             string
		events                                           []Event
		state                                            State
		refunded, forfeited, outstanding, expected, cost int64
	}{
		{"nothing yet", nil, Owed, 0, 0, 4500, 4500, 0},
		{"sent without noting more", []Event{{To: Sent, Freight: eur(900)}}, Sent, 0, 0, 4500, 4500, 900},
		{"accepted in part", []Event{{To: Sent}, {To: Accepted, Amount: eur(2700)}}, Accepted, 0, 1800, 2700, 2700, 0},
		{"refunded in two parts", []Event{{To: Sent}, {To: Accepted, Amount: eur(4500)}, {To: Refunded, Amount: eur(2000)}}, Accepted, 2000, 0, 2500, 2500, 0},
		{"the second part", []Event{{To: Sent}, {To: Accepted, Amount: eur(4500)}, {To: Refunded, Amount: eur(2000)}, {To: Refunded, Amount: eur(2500)}}, Refunded, 4500, 0, 0, 0, 0},
		{"the second part never came", []Event{{To: Sent}, {To: Accepted, Amount: eur(4500)}, {To: Refunded, Amount: eur(2000)}, {To: Forfeited}}, Refunded, 2000, 2500, 0, 0, 0},
		{"rejected, and back at the owner's cost", []Event{{To: Sent, Freight: eur(900)}, {To: Rejected, Freight: eur(1500), Reason: "broken"}}, Rejected, 0, 0, 4500, 0, 2400},
		{"rejected and sent again", []Event{{To: Sent}, {To: Rejected}, {To: Sent}}, Sent, 0, 0, 4500, 4500, 0},
		{"rejected and given up", []Event{{To: Sent}, {To: Rejected}, {To: Forfeited}}, Forfeited, 0, 4500, 0, 0, 0},
		{"never came off the car", []Event{{To: Forfeited}}, Forfeited, 0, 4500, 0, 0, 0},
		{"given up by mistake", []Event{{To: Removed}, {To: Forfeited}, {Reverses: 2}}, Removed, 0, 0, 4500, 4500, 0},
		{"twice undone", []Event{{To: Removed}, {To: Boxed}, {Reverses: 2}, {Reverses: 1}}, Owed, 0, 0, 4500, 4500, 0},
		{"undone and done otherwise", []Event{{To: Sent}, {To: Accepted, Amount: eur(100)}, {Reverses: 2}, {To: Accepted, Amount: eur(4500)}}, Accepted, 0, 0, 4500, 4500, 0},
		{"freight undone", []Event{{To: Sent, Freight: eur(900)}, {Reverses: 1}}, Owed, 0, 0, 4500, 4500, 0},
	} {
		l, err := Replay(terms(1), story(c.events...))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		u := l.Units[0]
		got := []int64{u.Refunded.Minor, u.Forfeited.Minor, u.Outstanding.Minor, u.Expected.Minor, u.Freight.Minor}
		if u.State != c.state || !slices.Equal(got, []int64{c.refunded, c.forfeited, c.outstanding, c.expected, c.cost}) {
			t.Errorf("%s: %s %v", c.name, u.State, got)
		}
	}
}

func TestReplay_refuses_what_cannot_be(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, want string
		events     []Event
	}{
		{"refunded while it is still on the car", "to", []Event{{To: Refunded, Amount: eur(4500)}}},
		{"refunded before it is accepted", "to", []Event{{To: Sent}, {To: Refunded, Amount: eur(4500)}}},
		{"accepted before it is sent", "to", []Event{{To: Boxed}, {To: Accepted, Amount: eur(4500)}}},
		{"back on the car", "to", []Event{{To: Sent}, {To: Owed}}},
		{"after its end", "to", []Event{{To: Forfeited}, {To: Sent}}},
		{"to nowhere", "to", []Event{{To: ""}}},
		{"more accepted than paid", "amount", []Event{{To: Sent}, {To: Accepted, Amount: eur(4501)}}},
		{"nothing accepted", "amount", []Event{{To: Sent}, {To: Accepted}}},
		{"more refunded than outstanding", "amount", []Event{{To: Sent}, {To: Accepted, Amount: eur(2700)}, {To: Refunded, Amount: eur(2701)}}},
		{"nothing refunded", "amount", []Event{{To: Sent}, {To: Accepted, Amount: eur(2700)}, {To: Refunded}}},
		{"another currency", "amount", []Event{{To: Sent}, {To: Accepted, Amount: cost.Money{Minor: 1, Currency: "CHF"}}}},
		{"an amount where none belongs", "amount", []Event{{To: Sent, Amount: eur(1)}}},
		{"freight below zero", "freight", []Event{{To: Sent, Freight: eur(-1)}}},
		{"no such unit", "unit", []Event{{Unit: 2, To: Sent}}},
		{"reverses what is not the latest", "reverses", []Event{{To: Removed}, {To: Boxed}, {Reverses: 1}}},
		{"reverses what was reversed", "reverses", []Event{{To: Removed}, {Reverses: 1}, {Reverses: 1}}},
		{"reverses and goes on at once", "reverses", []Event{{To: Removed}, {Reverses: 1, To: Sent}}},
	} {
		events := story(c.events...)
		_, err := Replay(terms(1), events)
		e, ok := errors.AsType[*EventError](err)
		if field(err) != c.want || !ok || e.ID != events[len(events)-1].ID {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	backwards := []Event{{ID: 1, Unit: 1, To: Removed, On: day("2026-03-06")}, {ID: 2, Unit: 1, To: Sent, On: day("2026-03-05")}}
	if _, err := Replay(terms(1), backwards); field(err) != "on" {
		t.Errorf("a day before the last: %v", err)
	}
	if _, err := Replay(terms(1), []Event{{ID: 1, Unit: 1, To: Sent}}); field(err) != "on" {
		t.Errorf("no day: %v", err)
	}
	if _, err := Replay(terms(1), []Event{{ID: 0, Unit: 1, To: Sent, On: day("2026-03-05")}}); field(err) != "id" {
		t.Errorf("no number: %v", err)
	}
}

func TestTerms(t *testing.T) {
	t.Parallel()
	with := Terms{Each: eur(4500), Quantity: 1, Tax: 210_000}
	if paid, err := with.Paid(); err != nil || paid != eur(5445) {
		t.Errorf("45.00 and 21 %% tax: %v, %v", paid, err)
	}
	for _, c := range []struct {
		want string
		t    Terms
	}{
		{"quantity", Terms{Each: eur(1)}},
		{"quantity", Terms{Each: eur(1), Quantity: 1001}},
		{"each", Terms{Each: eur(0), Quantity: 1}},
		{"each", Terms{Each: cost.Money{Minor: 1}, Quantity: 1}},
		{"each", Terms{Each: eur(mostPaid + 1), Quantity: 1}},
		{"tax", Terms{Each: eur(1), Quantity: 1, Tax: -1}},
	} {
		if _, err := Replay(c.t, nil); field(err) != c.want {
			t.Errorf("%+v: %v", c.t, err)
		}
	}
	received := day("2026-03-02")
	if due, err := (Terms{RefundWithin: Window{30, BusinessDays}}).RefundDue(received, nil); err != nil || due != day("2026-04-13") {
		t.Errorf("refund within 30 business days: %s, %v", due, err)
	}
	if due, err := (Terms{}).RefundDue(received, nil); err != nil || !due.IsZero() {
		t.Errorf("nothing agreed: %s, %v", due, err)
	}
}

// Sent when more is expected than the freight costs, not when it is the same.
func TestWorthSending(t *testing.T) {
	t.Parallel()
	for freight, want := range map[int64]bool{2699: true, 2700: false, 2701: false} {
		if got, err := WorthSending(eur(2700), eur(freight)); err != nil || got != want {
			t.Errorf("freight %d: %v, %v", freight, got, err)
		}
	}
	if field(second(WorthSending(eur(1), cost.Money{Minor: 1, Currency: "CHF"}))) != "currency" {
		t.Error("two currencies are compared")
	}
}

// In 10,000 random histories, after every event: paid = refunded + forfeited + outstanding, of each unit and together, nothing below zero, the
// states only such as can follow, and an event that is refused changes nothing.
func TestReplay_conserves_the_money(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(60, 10))
	states := []State{Removed, Boxed, Sent, Sent, Received, Accepted, Accepted, Rejected, Refunded, Refunded, Forfeited, ""}
	ended := map[State]int{}
	for range 10_000 {
		tm := Terms{Each: eur(1 + r.Int64N(50_000)), Quantity: 1 + r.IntN(3), Tax: cost.Millionths(r.IntN(2) * 210_000)}
		paid, _ := tm.Paid()
		var events []Event
		for id := int64(1); id <= 14; id++ {
			before, err := Replay(tm, events)
			if err != nil {
				t.Fatal(err)
			}
			e := Event{ID: id, Unit: 1 + r.IntN(tm.Quantity), To: states[r.IntN(len(states))], On: day("2026-03-06").AddDays(int(id))}
			switch u := before.Units[e.Unit-1]; {
			case e.To == "":
				e.Reverses = latest(events, e.Unit)
			case e.To == Accepted || e.To == Refunded:
				e.Amount = eur(r.Int64N(u.Outstanding.Minor + 2))
				if r.IntN(3) == 0 {
					e.Amount = u.Outstanding
				}
			case e.To == Sent || e.To == Rejected:
				e.Freight = eur(r.Int64N(2000))
			}
			after, err := Replay(tm, append(slices.Clone(events), e))
			if err != nil {
				continue
			}
			events = append(events, e)
			conserved(t, after, paid.Minor, tm.Quantity)
		}
		final, _ := Replay(tm, events)
		for _, u := range final.Units {
			ended[u.State]++
		}
	}
	for _, s := range []State{Owed, Removed, Boxed, Sent, Received, Accepted, Rejected, Refunded, Forfeited} {
		if ended[s] < 50 {
			t.Errorf("only %d units ended %s: the histories try too little", ended[s], s)
		}
	}
}

// latest is the ID of the unit's latest event that stands, worked out by striking what was reversed.
func latest(events []Event, unit int) int64 {
	struck := map[int64]bool{}
	for _, e := range events {
		struck[e.Reverses] = true
	}
	for _, e := range slices.Backward(events) {
		if e.Unit == unit && e.Reverses == 0 && !struck[e.ID] {
			return e.ID
		}
	}
	return 0
}

func conserved(t *testing.T, l Ledger, each int64, quantity int) {
	t.Helper()
	refunded, forfeited, outstanding := int64(0), int64(0), int64(0)
	for _, u := range l.Units {
		if u.Refunded.Minor+u.Forfeited.Minor+u.Outstanding.Minor != each || min(u.Refunded.Minor, u.Forfeited.Minor, u.Outstanding.Minor, u.Freight.Minor) < 0 {
			t.Fatalf("unit %+v of %d", u, each)
		}
		if u.State.Open() == (u.Outstanding.Minor == 0) || u.Expected.Minor > u.Outstanding.Minor || (len(u.State.Next()) == 0) == u.State.Open() {
			t.Fatalf("unit %+v", u)
		}
		refunded, forfeited, outstanding = refunded+u.Refunded.Minor, forfeited+u.Forfeited.Minor, outstanding+u.Outstanding.Minor
	}
	if l.Paid.Minor != each*int64(quantity) || l.Paid.Minor != refunded+forfeited+outstanding ||
		l.Refunded.Minor != refunded || l.Forfeited.Minor != forfeited || l.Outstanding.Minor != outstanding || l.Net.Minor != refunded-l.Freight.Minor {
		t.Fatalf("ledger %+v", l)
	}
}

// The day of an event is kept as given, so that the days of a window can be told from it.
func TestReplay_keeps_the_day(t *testing.T) {
	t.Parallel()
	l, err := Replay(terms(2), story(Event{Unit: 2, To: Sent}))
	if err != nil || l.Units[1].On != day("2026-03-06") || l.Units[0].On != (interval.Date{}) {
		t.Errorf("%+v, %v", l.Units, err)
	}
}

// Every state, and all that can follow it. What is not here cannot be.
func TestState_Next(t *testing.T) {
	t.Parallel()
	all := []State{Owed, Removed, Boxed, Sent, Received, Accepted, Rejected, Refunded, Forfeited}
	follows := map[State][]State{
		Owed: {Removed, Boxed, Sent, Forfeited}, Removed: {Boxed, Sent, Forfeited}, Boxed: {Sent, Forfeited},
		Sent: {Received, Accepted, Rejected, Forfeited}, Received: {Accepted, Rejected, Forfeited},
		Accepted: {Refunded, Forfeited}, Rejected: {Sent, Forfeited}, Refunded: nil, Forfeited: nil,
	}
	way := map[State][]Event{ // how a unit gets there
		Owed: nil, Removed: {{To: Removed}}, Boxed: {{To: Boxed}}, Sent: {{To: Sent}}, Received: {{To: Sent}, {To: Received}},
		Accepted: {{To: Sent}, {To: Accepted, Amount: eur(4500)}}, Rejected: {{To: Sent}, {To: Rejected}},
		Refunded: {{To: Sent}, {To: Accepted, Amount: eur(4500)}, {To: Refunded, Amount: eur(4500)}}, Forfeited: {{To: Forfeited}},
	}
	for _, from := range all {
		for _, to := range all {
			e := Event{To: to}
			if to == Accepted || to == Refunded {
				e.Amount = eur(4500)
			}
			_, err := Replay(terms(1), story(append(slices.Clone(way[from]), e)...))
			if want := slices.Contains(follows[from], to); (err == nil) != want || slices.Contains(from.Next(), to) != want {
				t.Errorf("%s to %s: %v, want it to be possible: %v", from, to, err, want)
			}
		}
	}
}

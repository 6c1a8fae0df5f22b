package garage_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/cost"
)

func TestOrder_Validate(t *testing.T) {
	t.Parallel()
	if err := garagetest.Order().Validate(); err != nil {
		t.Error(err)
	}
	for field, change := range map[string]func(*garage.Order){
		"supplier":    func(o *garage.Order) { o.SupplierID = 0 },
		"ordered_on":  func(o *garage.Order) { o.OrderedOn, o.PromisedOn = garage.Date{}, nil },
		"promised_on": func(o *garage.Order) { o.PromisedOn = new(o.OrderedOn.AddDays(-1)) },
		"currency":    func(o *garage.Order) { o.Currency = "euro" },
		"rate":        func(o *garage.Order) { o.Rate = 920_000_000 },
		"shipping":    func(o *garage.Order) { o.Shipping = -1 },
		"paid":        func(o *garage.Order) { o.Paid = new(int64(-1)) },
		"return_days": func(o *garage.Order) { o.ReturnDays = new(99_999) },
	} {
		invalid, ok := errors.AsType[*garage.InvalidError](garagetest.Order(change).Validate())
		if !ok || len(invalid.Fields) != 1 || invalid.Fields[field] == "" {
			t.Errorf("%s: %v", field, invalid)
		}
	}
	for field, change := range map[string]func(*garage.OrderLine){
		"quantity": func(l *garage.OrderLine) { l.Quantity = 0 },
		"price":    func(l *garage.OrderLine) { l.Price, l.Quantity = 900_000_000_000, 100 },
		"deposit":  func(l *garage.OrderLine) { l.Deposit, l.Quantity = 4500, 101 },
	} {
		invalid, ok := errors.AsType[*garage.InvalidError](garagetest.OrderLine(change).Validate())
		if !ok || len(invalid.Fields) != 1 || invalid.Fields[field] == "" {
			t.Errorf("line, %s: %v", field, invalid)
		}
	}
}

func orderLines(minor ...int64) (lines []garage.OrderLine) {
	for i, m := range minor {
		lines = append(lines, garage.OrderLine{ID: garage.OrderLineID(i + 1), Quantity: 1, Price: m, Per: 1})
	}
	return lines
}

// Computed: goods 120.00, 45.50 and 30.00, shipping 18.00, 4.5 % duty on 213.50 is 9.61, 21 % tax on 223.11 is 46.85.
func TestOrder_Land(t *testing.T) {
	t.Parallel()
	o := garagetest.Order(func(o *garage.Order) { o.Duty, o.Tax = 961, 4685 })
	got, err := o.Land(orderLines(12_000, 4550, 3000))
	if err != nil || got.Goods != 19_550 || got.Paid != 26_996 || got.AtHome != 26_996 {
		t.Fatalf("%+v, %v", got, err)
	}
	for id, want := range map[garage.OrderLineID]int64{1: 16_570, 2: 6283, 3: 4143} {
		if l := got.Lines[id]; l.AtHome != want || l.Parts != want {
			t.Errorf("line %d: %+v, want %d", id, l, want)
		}
	}
	// A deposit is its own money until it is lost: two of 45.00 are paid on top and no part of what the goods cost.
	lines := orderLines(12_000, 4550, 3000)
	lines[1].Quantity, lines[1].Price, lines[1].Deposit = 2, 2275, 4500
	if got, err := o.Land(lines); err != nil || got.Paid != 26_996+9000 || got.Deposits != 9000 || got.Lines[2].AtHome != 6283 {
		t.Errorf("with deposits: %+v, %v", got, err)
	}
	o.Paid = new(int64(8999))
	if _, err := o.Land(lines); refusedField(err) != "paid" {
		t.Errorf("less than the deposits: %v", err)
	}
}

func refusedField(err error) string {
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		for field := range invalid.Fields {
			return field
		}
	}
	return ""
}

// Computed: 10 000 yen at 0.0062 are 62.00 euros; half of it each.
func TestOrder_Land_in_another_currency(t *testing.T) {
	t.Parallel()
	o := garagetest.Order(func(o *garage.Order) {
		o.Currency, o.Rate, o.Shipping, o.Paid = "JPY", 6_200_000, 0, new(int64(10_000))
	})
	got, err := o.Land(orderLines(4000, 4000))
	if err != nil || got.AtHome != 6200 || got.Lines[1] != (garage.LandedLine{Goods: 4000, Parts: 5000, AtHome: 3100}) {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestOrder_Land_shares_by_number_what_has_no_price(t *testing.T) {
	t.Parallel()
	lines := orderLines(0, 0)
	lines[1].Quantity = 5
	got, err := garagetest.Order().Land(lines)
	if err != nil || got.Lines[1].AtHome != 300 || got.Lines[2].AtHome != 1500 {
		t.Errorf("%+v, %v", got, err)
	}
	lines[0].Cancelled, lines[1].Cancelled = 1, 5
	if got, err := garagetest.Order().Land(lines); err != nil || got.Unshared != 1800 || len(got.Lines) != 0 {
		t.Errorf("nothing comes: %+v, %v", got, err)
	}
}

// The day of arrival is not counted: Directive 2011/83/EU, article 9 with Regulation 1182/71, article 3, both from memory.
func TestOrder_LastReturn(t *testing.T) {
	t.Parallel()
	if last, agreed := garagetest.Order().LastReturn(garage.NewDate(2024, 2, 20)); !agreed || last != garage.NewDate(2024, 3, 5) {
		t.Errorf("14 days over a leap day: %v %v", last, agreed)
	}
	if _, agreed := garagetest.Order(func(o *garage.Order) { o.ReturnDays = nil }).LastReturn(garage.NewDate(2024, 2, 20)); agreed {
		t.Error("nothing was agreed, but there is a last day")
	}
}

func TestOrder_Expects(t *testing.T) {
	t.Parallel()
	day := func(d int) garage.Date { return garage.NewDate(2027, 3, d) }
	free := garagetest.Order(func(o *garage.Order) { o.PromisedOn = nil })
	silent := garagetest.Part(func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = nil, nil, nil })
	for name, c := range map[string]struct {
		o    garage.Order
		p    garage.Part
		s    garage.Supplier
		want [3]garage.Date
	}{
		"promised":           {garagetest.Order(), garagetest.Part(), garagetest.Supplier(), [3]garage.Date{day(9), day(9), day(9)}},
		"the part's days":    {free, garagetest.Part(), garagetest.Supplier(), [3]garage.Date{day(5), day(7), day(14)}},
		"the supplier's":     {free, silent, garagetest.Supplier(), [3]garage.Date{day(4), day(6), day(11)}},
		"nobody said a word": {free, silent, garage.Supplier{}, [3]garage.Date{day(5), day(9), day(16)}},
	} {
		if low, likely, high := c.o.Expects(c.p, c.s); [3]garage.Date{low, likely, high} != c.want {
			t.Errorf("%s: %v %v %v", name, low, likely, high)
		}
	}
}

// Whatever an order costs, in whatever currency, its lines add up to what was paid without the deposits; and however it comes and goes
// back, what is noted of its pieces adds up to its lines.
func TestOrder_adds_up(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(269, 96))
	for range 5000 {
		o, lines := randomOrder(r)
		landed, err := o.Land(lines)
		if err != nil {
			t.Fatalf("%+v %+v: %v", o, lines, err)
		}
		own, home := int64(0), landed.Unshared
		for _, l := range landed.Lines {
			own, home = own+l.Parts, home+l.AtHome
			if l.Parts < 0 || l.AtHome < 0 {
				t.Fatalf("%+v %+v: %+v", o, lines, landed)
			}
		}
		if landed.Unshared == 0 && own != landed.Parts && len(landed.Lines) > 0 || home != landed.AtHome || landed.Parts+landed.Deposits != landed.Paid {
			t.Fatalf("%+v: lines %d and %d, want %+v", o, own, home, landed)
		}
		h := newOrderHistory(r, garage.OrderSheet{Order: o, Lines: lines})
		for range 12 {
			h.step()
			h.check(t, landed)
		}
	}
}

func randomOrder(r *rand.Rand) (garage.Order, []garage.OrderLine) {
	o := garagetest.Order(func(o *garage.Order) {
		o.Shipping, o.Duty, o.Tax, o.Handling = r.Int64N(5000), r.Int64N(2000), r.Int64N(9000), r.Int64N(500)
	})
	if r.IntN(2) == 0 {
		o.Currency, o.Rate = []string{"GBP", "JPY", "KWD"}[r.IntN(3)], cost.Billionths(1+r.Int64N(3_000_000_000))
	}
	var lines []garage.OrderLine
	for i := range 1 + r.IntN(5) {
		l := garage.OrderLine{ID: garage.OrderLineID(i + 1), Quantity: 1 + r.IntN(6), Price: r.Int64N(30_000), Per: 1}
		l.Cancelled = r.IntN(l.Quantity + 1)
		if r.IntN(3) == 0 {
			l.Deposit = r.Int64N(9000)
		}
		if r.IntN(4) == 0 {
			l.Price, l.Per, l.Quantity, l.Deposit = r.Int64N(3000), 1000, 1+r.IntN(9000), 0
		}
		lines = append(lines, l)
	}
	if r.IntN(2) == 0 {
		deposits := int64(0)
		for _, l := range lines {
			deposits += l.Deposits()
		}
		o.Paid = new(deposits + r.Int64N(200_000))
	}
	return o, lines
}

// orderHistory lets pieces of an order come and go back.
type orderHistory struct {
	*rand.Rand
	s    garage.OrderSheet
	next int64
}

func newOrderHistory(r *rand.Rand, s garage.OrderSheet) *orderHistory {
	return &orderHistory{Rand: r, s: s, next: 1}
}

func (h *orderHistory) step() {
	came := slices.DeleteFunc(slices.Clone(h.s.Arrivals), func(a garage.Arrival) bool { return a.Quantity == h.s.SentBack(a.ID) })
	if h.IntN(3) == 0 && len(came) > 0 {
		h.back(came[h.IntN(len(came))])
		return
	}
	l := h.s.Lines[h.IntN(len(h.s.Lines))]
	if left := l.Wanted() - h.s.Came(l.ID); left > 0 {
		h.receive(l.ID, 1+h.IntN(left), nil)
	}
}

func (h *orderHistory) receive(line garage.OrderLineID, n int, in *garage.OrderReturnID) {
	h.next++
	a := garage.Arrival{ID: garage.ArrivalID(h.next), Quantity: n, OrderLineID: &line, ReturnID: in, ReceivedAt: &time.Time{}}
	h.s.Arrivals = append(h.s.Arrivals, a)
	h.s.Movements = append(h.s.Movements, garage.Movement{ID: garage.MovementID(h.next), Quantity: n, Kind: "received", ArrivalID: &a.ID})
	h.note()
}

func (h *orderHistory) back(a garage.Arrival) {
	h.next++
	r := garage.OrderReturn{ID: garage.OrderReturnID(h.next), MovementID: garage.MovementID(h.next), OrderLineID: *a.OrderLineID, ArrivalID: a.ID}
	r.Quantity = 1 + h.IntN(a.Quantity-h.s.SentBack(a.ID))
	h.s.Returns = append(h.s.Returns, r)
	h.s.Movements = append(h.s.Movements, garage.Movement{ID: r.MovementID, Quantity: -r.Quantity, Kind: "sent back", ArrivalID: &a.ID})
	h.note()
	if h.IntN(2) == 0 {
		h.receive(*a.OrderLineID, r.Quantity, &r.ID)
	}
}

func (h *orderHistory) note() {
	entries, err := h.s.CostsToNote()
	if err != nil {
		panic(err)
	}
	h.s.Costs = append(h.s.Costs, entries...)
}

// check holds what is noted against the lines: what came costs its share, and what came in place of what went back costs what that had.
func (h *orderHistory) check(t *testing.T, landed garage.LandedOrder) {
	t.Helper()
	noted := map[garage.OrderLineID]int64{}
	gone := map[garage.OrderLineID]int64{}
	for _, c := range h.s.Costs {
		noted[c.OrderLineID] += c.Amount
	}
	for _, r := range h.s.Returns {
		again := slices.ContainsFunc(h.s.Arrivals, func(a garage.Arrival) bool { return a.ReturnID != nil && *a.ReturnID == r.ID })
		for _, c := range h.s.Costs {
			if c.MovementID == r.MovementID && !again {
				gone[r.OrderLineID] -= c.Amount
			}
		}
	}
	for _, l := range h.s.Lines {
		if came := h.s.Came(l.ID); came == l.Wanted() && came > 0 && noted[l.ID]+gone[l.ID] != landed.Lines[l.ID].AtHome {
			t.Fatalf("line %d: %d noted and %d gone, want %d: %+v", l.ID, noted[l.ID], gone[l.ID], landed.Lines[l.ID].AtHome, h.s)
		}
	}
}

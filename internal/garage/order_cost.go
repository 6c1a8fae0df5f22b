package garage

import (
	"cmp"
	"errors"
	"slices"

	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// LandedOrder is what an order has cost, the deposits apart. The lines' amounts add up to what was paid less the deposits, in
// the order's currency and at home.
type LandedOrder struct {
	Goods    int64
	Deposits int64
	Paid     int64 // all that was paid, or has to be
	Parts    int64 // of it, without the deposits
	AtHome   int64 // that, in the garage's currency
	Lines    map[OrderLineID]LandedLine
	Unshared int64 // at home: paid for an order of which nothing comes
}

// LandedLine is what the pieces of a line have cost when they are in the bin.
type LandedLine struct {
	Goods  int64
	Parts  int64 // in the order's currency
	AtHome int64
}

// Land works out what an order has cost: what is more than the goods is shared by their value, by largest remainder. *InvalidError
// for what cannot be, such as less paid than the deposits alone.
func (o Order) Land(lines []OrderLine) (LandedOrder, error) {
	l := LandedOrder{Lines: map[OrderLineID]LandedLine{}}
	var shared []OrderLine
	for _, line := range lines {
		l.Goods += line.Goods()
		l.Deposits += line.Deposits()
		if line.Wanted() > 0 {
			shared = append(shared, line)
		}
	}
	if l.Goods > maxMoney || l.Deposits > maxMoney {
		return l, FieldErrors{"": "The lines come to more than can be kept."}.Err()
	}
	l.Paid = l.Goods + l.Deposits + o.Shipping + o.Duty + o.Tax + o.Handling
	if o.Paid != nil {
		l.Paid = *o.Paid
	}
	if l.Parts = l.Paid - l.Deposits; l.Parts < 0 {
		return l, FieldErrors{"paid": "The deposits alone are more: " + MoneyText(l.Deposits, o.Currency) + "."}.Err()
	}
	paid := cost.Money{Minor: l.Parts, Currency: o.Currency}
	home, err := cost.Exchange{Paid: paid, Rate: o.Rate, On: interval.Date(o.OrderedOn)}.In(o.Home, MinorDigits(o.Currency), MinorDigits(o.Home))
	if err != nil {
		return l, landError(err)
	}
	if l.AtHome = home.Minor; len(shared) == 0 {
		l.Unshared = l.AtHome
		return l, nil
	}
	own, err := landParts(o, shared, paid)
	if err != nil {
		return l, landError(err)
	}
	atHome, err := allocated(l.AtHome, own, shared)
	if err != nil {
		return l, landError(err)
	}
	for i, line := range shared {
		l.Lines[line.ID] = LandedLine{Goods: line.Goods(), Parts: own[i], AtHome: atHome[i]}
	}
	return l, nil
}

// landParts shares what was paid over the lines: by the value of the goods, or where they have none by how many there are.
func landParts(o Order, lines []OrderLine, paid cost.Money) ([]int64, error) {
	order := cost.Order{Currency: o.Currency, By: cost.ByValue}
	goods := int64(0)
	for _, line := range lines {
		order.Lines = append(order.Lines, cost.Line{Goods: cost.Money{Minor: line.Goods(), Currency: o.Currency}})
		goods += line.Goods()
	}
	if goods == 0 {
		return allocated(paid.Minor, make([]int64, len(lines)), lines)
	}
	landed, err := cost.LandPaid(order, paid)
	if err != nil {
		return nil, err
	}
	own := make([]int64, len(lines))
	for i, l := range landed.Lines {
		own[i] = l.Total.Minor
	}
	return own, nil
}

// allocated shares a total by weights, or by how many there are where these are all zero.
func allocated(total int64, weights []int64, lines []OrderLine) ([]int64, error) {
	if !slices.ContainsFunc(weights, func(w int64) bool { return w != 0 }) {
		weights = make([]int64, len(lines))
		for i, line := range lines {
			weights[i] = int64(line.Wanted())
		}
	}
	return cost.Allocate(total, weights)
}

func landError(err error) error {
	field := ""
	if wrong, ok := errors.AsType[*input.Error](err); ok && (wrong.Field == "rate" || wrong.Field == "paid") {
		field = wrong.Field
	}
	return FieldErrors{field: TradeSentence(err)}.Err()
}

// share is what the pieces from one to another of so many cost, of a total: the shares of all pieces add up to it.
func share(total int64, from, to, of int) int64 {
	if of <= 0 {
		return 0
	}
	return total*int64(to)/int64(of) - total*int64(from)/int64(of)
}

// MovementCosts is what each movement of an order has cost in the garage's currency: what was put into a bin, and below zero what
// went back. What comes in place of something that went back costs what that had cost.
func (s OrderSheet) MovementCosts(l LandedOrder) map[MovementID]int64 {
	costs := map[MovementID]int64{}
	taken := map[OrderLineID]int{}
	back := map[ArrivalID]int{}
	again := map[OrderReturnID]int{}
	moves := slices.SortedFunc(slices.Values(s.Movements), func(a, b Movement) int { return cmp.Compare(a.ID, b.ID) })
	for _, m := range moves {
		if m.ArrivalID == nil {
			continue
		}
		a := find(s.Arrivals, func(a Arrival) bool { return a.ID == *m.ArrivalID })
		if a.OrderLineID == nil {
			continue
		}
		line, known := lineOf(s.Lines, *a.OrderLineID)
		switch {
		case !known:
		case m.Kind == "sent back":
			in := find(s.Movements, func(in Movement) bool { return in.Kind == "received" && in.ArrivalID != nil && *in.ArrivalID == a.ID })
			from := back[a.ID]
			back[a.ID] = from - m.Quantity
			costs[m.ID] = -share(costs[in.ID], from, from-m.Quantity, in.Quantity)
		case m.Kind == "received" && a.ReturnID != nil:
			gone := find(s.Returns, func(r OrderReturn) bool { return r.ID == *a.ReturnID })
			from := again[gone.ID]
			again[gone.ID] = from + m.Quantity
			costs[m.ID] = share(-costs[gone.MovementID], from, from+m.Quantity, gone.Quantity)
		case m.Kind == "received":
			from := taken[line.ID]
			taken[line.ID] = from + m.Quantity
			costs[m.ID] = share(l.Lines[line.ID].AtHome, from, from+m.Quantity, line.Wanted())
		}
	}
	return costs
}

// CostsToNote are the entries that make what is noted of each movement what it has cost.
func (s OrderSheet) CostsToNote() ([]OrderCost, error) {
	landed, err := s.Order.Land(s.Lines)
	if err != nil {
		return nil, err
	}
	costs := s.MovementCosts(landed)
	noted := map[MovementID]int64{}
	lines := map[MovementID]OrderLineID{}
	for _, c := range s.Costs {
		noted[c.MovementID] += c.Amount
		lines[c.MovementID] = c.OrderLineID
	}
	for _, m := range s.Movements {
		if a := find(s.Arrivals, func(a Arrival) bool { return m.ArrivalID != nil && a.ID == *m.ArrivalID }); a.OrderLineID != nil {
			lines[m.ID] = *a.OrderLineID
		}
	}
	var entries []OrderCost
	for id, line := range lines {
		if off := costs[id] - noted[id]; off != 0 {
			entries = append(entries, OrderCost{OrderLineID: line, MovementID: id, Amount: off, Currency: s.Order.Home})
		}
	}
	slices.SortFunc(entries, func(a, b OrderCost) int { return cmp.Compare(a.MovementID, b.MovementID) })
	return entries, nil
}

// DepositSums are what the deposits of an order come to: paid = refunded + forfeited + outstanding.
func (s OrderSheet) DepositSums() (paid, refunded, forfeited, outstanding int64) {
	for _, c := range s.Cores {
		paid, refunded, forfeited, outstanding = paid+c.Paid, refunded+c.Refunded, forfeited+c.Forfeited, outstanding+c.Outstanding
	}
	return paid, refunded, forfeited, outstanding
}

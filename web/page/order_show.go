package page

import (
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// OrderView is the page of an order.
type OrderView struct {
	Base
	Order    garage.Order
	Heading  string
	Mood     ui.Mood
	Stands   string
	Facts    []ui.Def
	Lines    ui.TableData
	Open     []orderOpenLine
	Came     []orderCameLine
	Back     []ui.ListItem
	Money    ui.TableData
	MoneyBad string // why the costs cannot be shared
	Deposits string
	Cores    []ui.ListItem
	Photos   PhotoStripView
}

// orderOpenLine is what is still expected of a line, and what can be done about it.
type orderOpenLine struct {
	Title, When, Detail string
	Href, Receive       string
	Cancel              string
	Late                bool
}

// orderCameLine is what came of a line.
type orderCameLine struct {
	Title, Href, When, Back, Cost string
}

// NewOrder is the page of an order.
func NewOrder(base Base, s garage.OrderSheet, settings garage.Settings, today garage.Date) OrderView {
	o := s.Order
	v := OrderView{Base: base, Order: o, Heading: orderName(o, s.Supplier)}
	v.Facts = []ui.Def{
		{Term: "Supplier", Text: s.Supplier.Name, Href: supplierHref(s.Supplier)},
		{Term: "Ordered on", Text: DayWords(o.OrderedOn)},
		{Term: "Promised for", Text: promisedText(o)},
		{Term: "Goes back within", Text: returnText(o.ReturnDays)},
		{Term: "Notes", Body: textBlock(o.Notes)},
	}
	v.Mood, v.Stands = orderStands(orderRow(s), today)
	for _, a := range s.Arrivals {
		if a.ReceivedAt == nil {
			v.Open = append(v.Open, openLine(s, a, today))
		} else {
			v.Came = append(v.Came, cameLine(s, a, settings.Location(), today))
		}
	}
	for _, r := range s.Returns {
		v.Back = append(v.Back, returnItem(s, r, today))
	}
	landed, err := o.Land(s.Lines)
	if err != nil {
		v.MoneyBad = ProblemText(err)
	}
	v.Lines, v.Money = orderLineTable(s, landed), orderMoney(o, landed)
	if paid, refunded, lost, out := s.DepositSums(); paid > 0 {
		v.Deposits = garage.MoneyText(paid, o.Currency) + " of deposits: " + coreSplit(refunded, lost, out, o.Currency) + "."
	}
	for _, c := range s.Cores {
		v.Cores = append(v.Cores, ui.ListItem{Title: c.PartName, Href: route.Core(c.ID), Sub: coreNext(c.Core), Meta: garage.MoneyText(c.Paid, c.Currency)})
	}
	return v
}

// ProblemText is what an error says of fields, for a page that has no form.
func ProblemText(err error) string {
	if invalid, ok := err.(*garage.InvalidError); ok {
		return invalid.Fields.Sentences()
	}
	return err.Error()
}

func orderName(o garage.Order, s garage.Supplier) string {
	if o.Number == "" {
		return "Order from " + s.Name
	}
	return "Order " + o.Number
}

func promisedText(o garage.Order) string {
	if o.PromisedOn == nil {
		return "no day"
	}
	return DayWords(*o.PromisedOn)
}

// orderRow sums a sheet up as a list does.
func orderRow(s garage.OrderSheet) garage.OrderRow {
	row := garage.OrderRow{Order: s.Order, Lines: len(s.Lines)}
	for _, l := range s.Lines {
		row.Wanted += l.Wanted()
		row.Came += s.Came(l.ID)
	}
	for _, a := range s.Arrivals {
		if a.ReceivedAt != nil {
			continue
		}
		if row.NextLikely == nil || a.Likely.Before(*row.NextLikely) {
			row.NextLikely = new(a.Likely)
		}
		if row.LatestHigh == nil || row.LatestHigh.Before(a.High) {
			row.LatestHigh = new(a.High)
		}
	}
	return row
}

func openLine(s garage.OrderSheet, a garage.Arrival, today garage.Date) orderOpenLine {
	p := s.Part(a.PartID)
	l := orderOpenLine{
		Title: quantityText(a.Quantity, p), When: arrivesText(a.Low, a.Likely, a.High), Detail: a.Note, Href: route.ArrivalEdit(a.ID),
		Receive: route.ArrivalReceive(a.ID), Late: a.High.Before(today),
	}
	if a.ReturnID == nil {
		l.Cancel = route.OrderLineCancel(*a.OrderLineID)
	}
	return l
}

func cameLine(s garage.OrderSheet, a garage.Arrival, zone *time.Location, today garage.Date) orderCameLine {
	p := s.Part(a.PartID)
	arrived := garage.DateOf(a.ReceivedAt.In(zone))
	l := orderCameLine{Title: quantityText(a.Quantity, p), Href: route.Part(p.ID), When: "came " + DayWords(arrived)}
	if last, agreed := s.Order.LastReturn(arrived); agreed {
		can := "can"
		if last.Before(today) {
			can = "could"
		}
		l.When += ", " + can + " go back until " + DayWords(last)
	}
	if s.SentBack(a.ID) < a.Quantity {
		l.Back = route.SendBack(a.ID)
	}
	for _, m := range s.Movements {
		if m.Kind != "received" || m.ArrivalID == nil || *m.ArrivalID != a.ID {
			continue
		}
		sum := int64(0)
		for _, c := range s.Costs {
			if c.MovementID == m.ID {
				sum += c.Amount
			}
		}
		l.Cost = garage.MoneyText(sum, s.Order.Home)
	}
	return l
}

func returnItem(s garage.OrderSheet, r garage.OrderReturn, today garage.Date) ui.ListItem {
	item := ui.ListItem{Href: route.OrderReturn(r.ID), Sub: joined(" · ", r.Why, r.Tracking, r.Note)}
	for _, l := range s.Lines {
		if l.ID == r.OrderLineID {
			item.Title = quantityText(r.Quantity, s.Part(l.PartID))
		}
	}
	switch {
	case r.Refunded > 0:
		item.State = ui.State(ui.Done, garage.MoneyText(r.Refunded, s.Order.Currency)+" paid back")
	case r.SentOn != nil:
		item.State = ui.State(ui.Waits, "sent "+DayWords(*r.SentOn))
	case r.LastDay != nil:
		mood, text := lastDayWords(*r.LastDay, today)
		item.State = ui.State(mood, text)
	default:
		item.State = ui.State(ui.Waits, "to be sent")
	}
	return item
}

func orderLineTable(s garage.OrderSheet, landed garage.LandedOrder) ui.TableData {
	o := s.Order
	t := ui.TableData{
		Caption: "Lines", Quiet: true,
		Columns: []ui.Column{{Head: "Part", Lead: true}, {Head: "Came", Num: true}, {Head: "Price", Num: true}, {Head: "Deposit", Num: true}, {Head: "Goods", Num: true}, {Head: "In the bin", Num: true}, {Head: ""}},
	}
	home := int64(0)
	for _, l := range s.Lines {
		p := s.Part(l.PartID)
		came := ui.Cell{Text: stockText(s.Came(l.ID), p.Unit) + " of " + stockText(l.Wanted(), p.Unit)}
		if l.Cancelled > 0 {
			came.Sub = stockText(l.Cancelled, p.Unit) + " cancelled"
		}
		at := landed.Lines[l.ID]
		home += at.AtHome
		inBin := ui.Cell{Text: garage.MoneyText(at.AtHome, o.Home)}
		if n := l.Wanted(); n > 1 && l.Per == 1 {
			inBin.Sub = garage.MoneyText((at.AtHome+int64(n)/2)/int64(n), o.Home) + " each"
		}
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: p.Label(), Href: route.Part(p.ID), Sub: l.Note},
			came,
			{Text: garage.MoneyText(l.Price, o.Currency) + priceOf(p.Unit)},
			{Text: conditional(l.Deposit > 0, garage.MoneyText(l.Deposit, o.Currency)+" each")},
			{Text: garage.MoneyText(l.Goods(), o.Currency)},
			inBin,
			{Text: "Change", Href: route.OrderLineEdit(l.ID)},
		})
	}
	if len(t.Rows) > 0 {
		t.Totals = []ui.Cell{
			{Text: "Together"},
			{},
			{},
			{Text: conditional(landed.Deposits > 0, garage.MoneyText(landed.Deposits, o.Currency))},
			{Text: garage.MoneyText(landed.Goods, o.Currency)},
			{Text: garage.MoneyText(home, o.Home)},
			{},
		}
	}
	return t
}

// orderMoney is what was paid, line by line.
func orderMoney(o garage.Order, l garage.LandedOrder) ui.TableData {
	t := ui.TableData{Caption: "Money", Quiet: true, Columns: []ui.Column{{Head: "What", Lead: true}, {Head: "Amount", Num: true}}}
	add := func(what string, minor int64) {
		if minor != 0 {
			t.Rows = append(t.Rows, []ui.Cell{{Text: what}, {Text: garage.MoneyText(minor, o.Currency)}})
		}
	}
	add("Goods", l.Goods)
	add("Shipping", o.Shipping)
	add("Duty", o.Duty)
	add("Tax", o.Tax)
	add("Handling", o.Handling)
	add("Core deposits", l.Deposits)
	if off := l.Paid - l.Goods - o.Shipping - o.Duty - o.Tax - o.Handling - l.Deposits; off < 0 {
		add("Less, as paid", off)
	} else {
		add("More, as paid", off)
	}
	t.Totals = []ui.Cell{{Text: "Paid in all"}, {Text: garage.MoneyText(l.Paid, o.Currency)}}
	if o.Currency != o.Home {
		t.Totals[1].Sub = garage.MoneyText(l.AtHome, o.Home) + " without deposits, at " + rateText(o.Rate) + " on " + DayWords(o.OrderedOn)
	}
	if l.Unshared > 0 {
		t.Totals[0].Sub = garage.MoneyText(l.Unshared, o.Home) + " for an order of which nothing comes"
	}
	return t
}

package page

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// neededPart is a part that the plan counts on and that nobody has ordered.
type neededPart struct {
	part garage.Part
	qty  int
	by   garage.Date // the last day on which it still comes in time
	jobs []string
}

// NeededGroup is what is to be ordered of one supplier.
type NeededGroup struct {
	ID       garage.SupplierID // 0 for parts of no supplier that is known
	Name     string
	Href     string
	Shipping string // what it usually costs there
	Paid     string // shipping that is paid on what is on its way already
	Table    ui.TableData
	parts    []neededPart
	first    garage.Date
}

// ToOrderView is what is still to be ordered, by supplier.
type ToOrderView struct {
	Base
	Groups []NeededGroup
}

// NeededGroups are the parts to be ordered by supplier, the most pressing first; open are the orders that are on their way.
func (p Planned) NeededGroups(suppliers []garage.SupplierRow, open []garage.OrderRow) []NeededGroup {
	var groups []NeededGroup
	for _, n := range p.neededParts() {
		var from garage.Supplier
		for _, s := range suppliers {
			if n.part.Supplier != "" && strings.EqualFold(s.Name, n.part.Supplier) {
				from = s.Supplier
			}
		}
		i := slices.IndexFunc(groups, func(g NeededGroup) bool { return g.ID == from.ID })
		if i < 0 {
			i = len(groups)
			g := NeededGroup{ID: from.ID, Name: cmp.Or(from.Name, "No supplier known"), Href: supplierHref(from), Shipping: shippingText(from), first: n.by}
			g.Paid = shippingPaid(open, from.ID)
			groups = append(groups, g)
		}
		groups[i].parts = append(groups[i].parts, n)
	}
	today := garage.DateOf(p.Now)
	for i := range groups {
		groups[i].Table = neededTable(groups[i].parts, today)
	}
	slices.SortStableFunc(groups, func(a, b NeededGroup) int { return a.first.Compare(b.first) })
	return groups
}

// shippingPaid says what shipping is paid of orders that are on their way: what comes with them costs none.
func shippingPaid(open []garage.OrderRow, from garage.SupplierID) string {
	var texts []string
	for _, o := range open {
		if o.SupplierID == from && o.Shipping > 0 {
			texts = append(texts, garage.MoneyText(o.Shipping, o.Currency)+" on "+cmp.Or(o.Number, "the order of "+DayWords(o.OrderedOn)))
		}
	}
	return strings.Join(texts, ", ")
}

func (p Planned) neededParts() (all []neededPart) {
	for _, o := range planner.OrderBy(p.Answer) {
		part := p.parts[o.Part]
		i := slices.IndexFunc(all, func(n neededPart) bool { return n.part.ID == part.ID })
		if i < 0 {
			i = len(all)
			n := neededPart{part: part}
			if !o.By.IsZero() {
				n.by = garage.DateOf(o.By.Time)
			}
			all = append(all, n)
		}
		all[i].qty += o.Qty
		for _, job := range o.Jobs {
			if title := p.jobs[job].Title; !slices.Contains(all[i].jobs, title) {
				all[i].jobs = append(all[i].jobs, title)
			}
		}
	}
	return all
}

func neededTable(parts []neededPart, today garage.Date) ui.TableData {
	t := ui.TableData{Caption: "To order", Quiet: true, Columns: []ui.Column{
		{Head: "Part", Lead: true}, {Head: "How many", Num: true}, {Head: "Order by"}, {Head: "Price", Num: true},
	}}
	for _, n := range parts {
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: n.part.Label(), Href: route.Part(n.part.ID), Sub: "for " + strings.Join(n.jobs, ", ")},
			{Text: stockText(n.qty, n.part.Unit)},
			{Body: orderByState(n.by, today)},
			{Text: priceText(n.part)},
		})
	}
	return t
}

// ToOrderForm makes an order out of a selection of what is to be ordered, as typed.
type ToOrderForm struct {
	OrderForm
	Parts []string
}

// BlankToOrderForm orders everything today.
func BlankToOrderForm(g NeededGroup, from garage.Supplier, today garage.Date) ToOrderForm {
	f := ToOrderForm{OrderForm: BlankOrderForm(from, today)}
	for _, n := range g.parts {
		f.Parts = append(f.Parts, idText(n.part.ID))
	}
	return f
}

// ReadToOrderForm is the form as sent.
func ReadToOrderForm(v url.Values) ToOrderForm {
	return ToOrderForm{OrderForm: ReadOrderForm(v), Parts: v["parts"]}
}

// Lines are the lines of the parts that are ticked: as many as the plan wants, at the price and with the deposit that are known in the
// currency of the order.
func (f *ToOrderForm) Lines(g NeededGroup, o garage.Order, deposits []garage.PartDeposit) []garage.NewOrderLine {
	var in fields
	chosen := ids[garage.PartID](&in, "parts", f.Parts)
	var lines []garage.NewOrderLine
	for _, n := range g.parts {
		if !slices.Contains(chosen, n.part.ID) {
			continue
		}
		l := garage.OrderLine{PartID: n.part.ID, Quantity: n.qty}
		if n.part.Currency == o.Currency {
			l.Price = n.part.Price
		}
		for _, d := range deposits {
			if d.PartID == n.part.ID && d.Currency == o.Currency && !n.part.Measured() {
				l.Deposit = d.Deposit
			}
		}
		lines = append(lines, garage.NewOrderLine{OrderLine: l})
	}
	if len(lines) == 0 {
		in.Errors.Add("parts", "Tick what to order.")
	}
	f.Errors.Merge(in.Errors)
	return lines
}

var toOrderLabels = append([]ui.Option{{Value: "parts", Text: "What to order"}}, orderLabels...)

// ToOrderAtView is the page of that form.
type ToOrderAtView struct {
	Base
	Group     NeededGroup
	Home      string
	Suppliers []ui.Option
	Parts     []ui.Option
	Form      ToOrderForm
}

// NewToOrderAt is the page of that form.
func NewToOrderAt(base Base, g NeededGroup, home string, suppliers []garage.SupplierRow, form ToOrderForm) ToOrderAtView {
	v := ToOrderAtView{Base: base, Group: g, Home: home, Suppliers: supplierOptions(suppliers), Form: form}
	for _, n := range g.parts {
		by := ""
		if !n.by.IsZero() {
			by = "order by " + DayWords(n.by)
		}
		v.Parts = append(v.Parts, ui.Option{
			Value: idText(n.part.ID), Text: quantityText(n.qty, n.part), Hint: joined(" · ", by, "for "+strings.Join(n.jobs, ", "), priceText(n.part)),
		})
	}
	return v
}

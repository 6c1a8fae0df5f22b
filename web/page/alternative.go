package page

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// Alternative is a way in which a need can be met, with what has to be supposed for it.
type Alternative struct {
	Title   string
	Href    string
	Sub     string
	Price   ui.Cell
	Arrives string
	Grade   string
	Deposit string
	Texts   []string // what is supposed, as an address has it; none for what the plan counts on
	Then    Planned  // the plan with it
	Order   string   // where it is ordered, when no supplier is known; else choosing it is enough
	Post    string   // choosing it orders it there
	Part    garage.PartID
}

// AlternativesView sets the ways in which a need can be met side by side.
type AlternativesView struct {
	Base
	Need  garage.Need
	Job   garage.Job
	Part  garage.Part
	Sub   string
	Table ui.TableData
	Low   []string // parts whose grade would not do
}

// supposedPart words a supposition about a part of a need.
func (p Planned) supposedPart(x garage.Supposition) SupposedRow {
	switch x.Kind {
	case garage.OtherPart:
		for _, n := range p.Shot.Needs {
			if int64(n.ID) == x.ID {
				was, is := p.parts[planner.PartRef(n.PartID)], p.parts[planner.PartRef(x.PartID)]
				return SupposedRow{Text: is.Label() + " instead of " + was.Label()}
			}
		}
	case garage.OffDonor:
		for _, d := range p.Shot.DonorParts {
			if int64(d.ID) == x.ID {
				return SupposedRow{Text: p.parts[planner.PartRef(d.PartID)].Name + " taken off " + p.cars[planner.CarRef(d.CarID)].Name}
			}
		}
	}
	part := p.parts[planner.PartRef(garage.PartID(x.ID))]
	return SupposedRow{
		Text:    quantityText(x.Quantity, part) + " ordered on " + DayWords(garage.DateOf(x.From.In(p.Now.Location()))),
		Instead: ui.Link{Text: "Order it", Href: route.Orders()},
	}
}

// Alternatives are the ways in which a need can be met: as the plan has it, by ordering the part or another that does the same, or off a
// donor. Those whose grade would not do are named only.
func (p Planned) Alternatives(n garage.Need, same []garage.Part, suppliers []garage.SupplierRow, deposits []garage.PartDeposit) (all []Alternative, low []string) {
	part := p.parts[planner.PartRef(n.PartID)]
	all = append(all, p.asPlanned(n, part, suppliers, deposits))
	for _, other := range append([]garage.Part{part}, p.alike(part, same)...) {
		if !n.Meets(other.Grade, "") {
			low = append(low, other.Label()+" ("+cmp.Or(other.Grade, "no grade")+")")
			continue
		}
		if other.LeadLikely != nil {
			all = append(all, p.orderedNow(n, other, suppliers, deposits))
		}
		for _, d := range p.Shot.DonorParts {
			if d.PartID == other.ID && d.Condition != garage.Bad && (other.ID != part.ID || d.HarvestJobID == nil) {
				all = append(all, p.offDonor(n, other, d))
			}
		}
	}
	return all, low
}

// alike are the parts that do the same as a part: those that share a number with it, and those of its name and side.
func (p Planned) alike(part garage.Part, same []garage.Part) (parts []garage.Part) {
	for _, o := range p.Shot.Parts {
		byNumber := slices.ContainsFunc(same, func(s garage.Part) bool { return s.ID == o.ID })
		if o.ID != part.ID && o.Unit == part.Unit && o.Side == part.Side && (byNumber || strings.EqualFold(o.Name, part.Name)) {
			parts = append(parts, o)
		}
	}
	return parts
}

// asPlanned is what the plan counts on.
func (p Planned) asPlanned(n garage.Need, part garage.Part, suppliers []garage.SupplierRow, deposits []garage.PartDeposit) Alternative {
	a := Alternative{Title: "As it is planned", Href: route.Part(part.ID), Sub: part.Label(), Grade: part.Grade, Then: p, Arrives: "not to be had"}
	var from []string
	for _, promise := range p.Answer.Promises {
		if promise.Stage != planner.StageRef(n.StageID) || planner.RefNumber[garage.PartID](promise.Part) != part.ID {
			continue
		}
		switch promise.Source {
		case planner.FromOnHand:
			from = append(from, "on hand")
		case planner.FromOrder:
			from = append(from, "ordered now, "+p.endDay(promise.At))
			a.Price, a.Deposit = p.landedCell(n, part, suppliers), depositText(part, deposits)
		default:
			from = append(from, p.endDay(promise.At))
		}
	}
	if len(from) > 0 {
		a.Arrives = strings.Join(slices.Compact(from), ", ")
	}
	return a
}

// orderedNow is a part ordered today.
func (p Planned) orderedNow(n garage.Need, part garage.Part, suppliers []garage.SupplierRow, deposits []garage.PartDeposit) Alternative {
	today := garage.DateOf(p.Now)
	a := Alternative{
		Title: "Ordered today", Href: route.Part(part.ID), Sub: part.Label(), Grade: part.Grade, Price: p.landedCell(n, part, suppliers),
		Deposit: depositText(part, deposits), Order: route.OrderNew(), Part: part.ID,
		Arrives: arrivesShort(today.AddDays(*part.LeadLow), today.AddDays(*part.LeadLikely), today.AddDays(*part.LeadHigh)),
	}
	if s, known := supplierNamed(suppliers, part.Supplier); known && s.Currency == p.Shot.Settings.Currency {
		a.Order, a.Post = "", route.Alternatives(n.ID)
	}
	ordered := garage.Supposition{Kind: garage.OrderedNow, ID: int64(part.ID), Quantity: n.Quantity, From: p.Now}
	a.Texts = p.texts(p.meetBy(n, part, ordered))
	return a
}

// offDonor is a part taken off a donor.
func (p Planned) offDonor(n garage.Need, part garage.Part, d garage.DonorPart) Alternative {
	car := p.cars[planner.CarRef(d.CarID)]
	minutes := "nobody said how long it takes"
	if d.RemovalMinutes != nil {
		minutes = WorkWords(*d.RemovalMinutes) + " to take off"
	}
	a := Alternative{
		Title: "Off " + car.Name, Href: route.Donor(d.CarID), Sub: part.Label(), Grade: joined(", ", "used", d.Condition),
		Price: ui.Cell{Text: "nothing to pay", Sub: minutes},
	}
	var taken []garage.Supposition
	if d.HarvestJobID == nil {
		taken = append(taken, garage.Supposition{Kind: garage.OffDonor, ID: int64(d.ID)})
	}
	a.Texts = p.texts(p.meetBy(n, part, taken...))
	return a
}

// OrderFor is the order of a part for a need with the supplier of the part, made today, with its line; false when that cannot be had.
func (p Planned) OrderFor(n garage.Need, part garage.PartID, suppliers []garage.SupplierRow, deposits []garage.PartDeposit) (garage.Order, garage.NewOrderLine, bool) {
	of := p.parts[planner.PartRef(part)]
	s, known := supplierNamed(suppliers, of.Supplier)
	if !known || !n.Meets(of.Grade, "") || s.Currency != p.Shot.Settings.Currency {
		return garage.Order{}, garage.NewOrderLine{}, false
	}
	o := garage.Order{
		SupplierID: s.ID, OrderedOn: garage.DateOf(p.Now), Currency: s.Currency, Home: s.Currency, Rate: garage.RateAtHome, ReturnDays: s.ReturnDays,
	}
	if s.Shipping != nil {
		o.Shipping = *s.Shipping
	}
	l := garage.OrderLine{PartID: of.ID, Quantity: n.Quantity}
	if of.Currency == o.Currency {
		l.Price = of.Price
	}
	for _, d := range deposits {
		if d.PartID == of.ID && d.Currency == o.Currency && !of.Measured() {
			l.Deposit = d.Deposit
		}
	}
	return o, garage.NewOrderLine{OrderLine: l}, true
}

// meetBy adds to what is supposed that a need is met by a part, where it is another.
func (p Planned) meetBy(n garage.Need, part garage.Part, also ...garage.Supposition) []garage.Supposition {
	if n.PartID != part.ID {
		return append(also, garage.Supposition{Kind: garage.OtherPart, ID: int64(n.ID), PartID: part.ID})
	}
	return also
}

// landedCell is what the pieces that a need asks for cost with the shipping that is usual.
func (p Planned) landedCell(n garage.Need, part garage.Part, suppliers []garage.SupplierRow) ui.Cell {
	if part.Price == 0 {
		return ui.Cell{Text: "no price known"}
	}
	goods := garage.OrderLine{Quantity: n.Quantity, Price: part.Price, Per: garage.PricedBy(part)}.Goods()
	s, known := supplierNamed(suppliers, part.Supplier)
	if !known || s.Shipping == nil || s.Currency != part.Currency {
		return ui.Cell{Text: garage.MoneyText(goods, part.Currency), Sub: "shipping not known"}
	}
	return ui.Cell{Text: garage.MoneyText(goods+*s.Shipping, part.Currency), Sub: "with " + garage.MoneyText(*s.Shipping, part.Currency) + " shipping"}
}

func supplierNamed(suppliers []garage.SupplierRow, name string) (garage.Supplier, bool) {
	for _, s := range suppliers {
		if name != "" && strings.EqualFold(s.Name, name) {
			return s.Supplier, true
		}
	}
	return garage.Supplier{}, false
}

func depositText(part garage.Part, deposits []garage.PartDeposit) string {
	for _, d := range deposits {
		if d.PartID == part.ID {
			return garage.MoneyText(d.Deposit, d.Currency) + " each"
		}
	}
	return ""
}

func arrivesShort(low, likely, high garage.Date) string {
	if low == high {
		return DayWords(likely)
	}
	return DayWords(likely) + ", between " + DayWords(low) + " and " + DayWords(high)
}

// NewAlternatives sets the ways side by side.
func NewAlternatives(base Base, p Planned, n garage.Need, job garage.Job, all []Alternative, low []string) AlternativesView {
	v := AlternativesView{Base: base, Need: n, Job: job, Part: p.parts[planner.PartRef(n.PartID)], Low: low}
	v.Sub = "For " + job.Title + ": " + quantityText(n.Quantity, v.Part) + prefixed(", at least ", n.LeastGrade) + "."
	v.Table = ui.TableData{Caption: "Alternatives", Quiet: true, Columns: []ui.Column{
		{Head: "Way", Lead: true}, {Head: "Price", Num: true}, {Head: "Arrives"}, {Head: "Grade"}, {Head: "Deposit", Num: true}, {Head: "The job is done"}, {Head: "Lost to lateness", Num: true}, {Head: ""},
	}}
	now := p.moneyText()
	for _, a := range all {
		lost := ui.Cell{Text: a.Then.moneyText()}
		if a.Texts != nil && lost.Text == now {
			lost.Sub = "as planned"
		}
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: a.Title, Href: a.Href, Sub: a.Sub},
			a.Price,
			{Text: a.Arrives},
			{Text: a.Grade},
			{Text: a.Deposit},
			jobDone(a.Then, job), lost,
			{Body: chooseAlternative(a, strconv.FormatInt(p.Shot.Version, 10))},
		})
	}
	return v
}

// jobDone is when a job ends by a plan.
func jobDone(p Planned, job garage.Job) ui.Cell {
	end, placed := p.ends()[planner.JobRef(job.ID)]
	if !placed {
		return ui.Cell{Body: ui.State(ui.Blocked, "blocked")}
	}
	return ui.Cell{Text: p.untilText(end)}
}

package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/internal/trade/deposit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// SupplierForm is a supplier as typed.
type SupplierForm struct {
	Version, Name                 string
	LeadLow, LeadLikely, LeadHigh string
	Currency, Shipping            string
	ReturnDays                    string
	Core, CoreCount, CoreBasis    string
	Notes                         string
	Errors                        garage.FieldErrors
}

// BlankSupplierForm is the form of a new supplier: goods of a distance sale can go back for 14 days, Directive 2011/83/EU,
// article 9, from memory.
func BlankSupplierForm(settings garage.Settings) SupplierForm {
	return SupplierForm{
		Currency: settings.Currency, ReturnDays: "14", CoreCount: string(deposit.CalendarDays), CoreBasis: string(deposit.FromDelivery),
	}
}

// NewSupplierForm is the form filled from what is stored.
func NewSupplierForm(s garage.Supplier) SupplierForm {
	f := SupplierForm{
		Version: strconv.FormatInt(s.Version, 10), Name: s.Name, LeadLow: intText(s.LeadLow), LeadLikely: intText(s.LeadLikely),
		LeadHigh: intText(s.LeadHigh), Currency: s.Currency, ReturnDays: intText(s.ReturnDays), Core: intText(s.CoreN),
		CoreCount: string(s.CoreCount), CoreBasis: string(s.CoreBasis), Notes: s.Notes,
	}
	if s.Shipping != nil {
		f.Shipping = garage.MoneyFigure(*s.Shipping, s.Currency)
	}
	return f
}

// ReadSupplierForm is the form as sent.
func ReadSupplierForm(v url.Values) SupplierForm {
	return SupplierForm{
		Version: v.Get("version"), Name: v.Get("name"), LeadLow: v.Get("lead_low"), LeadLikely: v.Get("lead_likely"), LeadHigh: v.Get("lead_high"),
		Currency: v.Get("currency"), Shipping: v.Get("shipping"), ReturnDays: v.Get("return_days"), Core: v.Get("core"),
		CoreCount: v.Get("core_count"), CoreBasis: v.Get("core_basis"), Notes: v.Get("notes"),
	}
}

// Supplier reads what was typed over what is there, and notes in Errors what does not parse or does not hold.
func (f *SupplierForm) Supplier(over garage.Supplier) garage.Supplier {
	var in fields
	s := over
	s.Version, s.Name = version(f.Version), strings.TrimSpace(f.Name)
	s.LeadLow, s.LeadLikely, s.LeadHigh = in.optionalInt("lead", f.LeadLow), in.optionalInt("lead", f.LeadLikely), in.optionalInt("lead", f.LeadHigh)
	s.Currency = strings.ToUpper(strings.TrimSpace(f.Currency))
	s.Shipping = nil
	if strings.TrimSpace(f.Shipping) != "" {
		s.Shipping = new(in.money("shipping", f.Shipping, s.Currency))
	}
	s.ReturnDays, s.CoreN = in.optionalInt("return_days", f.ReturnDays), in.optionalInt("core", f.Core)
	s.CoreCount, s.CoreBasis = deposit.Count(f.CoreCount), deposit.Basis(f.CoreBasis)
	s.Notes = strings.TrimSpace(f.Notes)
	f.Errors = in.with(s.Validate())
	return s
}

// Conflict sets the form beside what is stored.
func (f SupplierForm) Conflict(stored SupplierForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Days from ordering", Yours: spreadText(f.LeadLow, f.LeadLikely, f.LeadHigh), Stored: spreadText(stored.LeadLow, stored.LeadLikely, stored.LeadHigh)},
		{Field: "Currency", Yours: f.Currency, Stored: stored.Currency},
		{Field: "Shipping, usually", Yours: f.Shipping, Stored: stored.Shipping},
		{Field: "Goes back within", Yours: f.ReturnDays, Stored: stored.ReturnDays},
		{Field: "Old units go back within", Yours: f.Core + " " + f.CoreCount, Stored: stored.Core + " " + stored.CoreCount},
		{Field: "Counted from", Yours: f.CoreBasis, Stored: stored.CoreBasis},
		{Field: "Notes", Yours: f.Notes, Stored: stored.Notes},
	}
}

var supplierLabels = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "lead", Text: "Days from ordering"},
	{Value: "currency", Text: "Currency"},
	{Value: "shipping", Text: "Shipping, usually"},
	{Value: "return_days", Text: "Goes back within"},
	{Value: "core", Text: "Old units go back within"},
	{Value: "core_count", Text: "Counted in"},
	{Value: "core_basis", Text: "Counted from"},
	{Value: "notes", Text: "Notes"},
}

// SupplierEditView is the page of a supplier's form; the ID is zero for a new one.
type SupplierEditView struct {
	Base
	ID   garage.SupplierID
	Form SupplierForm
}

// Action is where the form is sent.
func (v SupplierEditView) Action() string {
	if v.ID == 0 {
		return route.Suppliers()
	}
	return route.Supplier(v.ID)
}

// SuppliersView lists the suppliers.
type SuppliersView struct {
	Base
	Table ui.TableData
}

// NewSuppliers lists the suppliers.
func NewSuppliers(base Base, rows []garage.SupplierRow) SuppliersView {
	t := ui.TableData{
		Caption: "Suppliers", Quiet: true,
		Columns: []ui.Column{{Head: "Supplier", Lead: true}, {Head: "From ordering"}, {Head: "Shipping", Num: true}, {Head: "Parts", Num: true}, {Head: "Expected", Num: true}},
	}
	for _, s := range rows {
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: s.Name, Href: route.Supplier(s.ID)},
			{Text: supplierLead(s.Supplier)},
			{Text: shippingText(s.Supplier)},
			{Text: nonZeroText(s.Parts, "piece")},
			{Text: nonZeroText(s.Expected, "piece")},
		})
	}
	return SuppliersView{Base: base, Table: t}
}

// supplierHref is the page of a supplier of whom more than the name is known.
func supplierHref(s garage.Supplier) string {
	if s.ID == 0 {
		return ""
	}
	return route.Supplier(s.ID)
}

func supplierLead(s garage.Supplier) string {
	if s.LeadLikely == nil {
		return ""
	}
	return daysSpread(*s.LeadLow, *s.LeadLikely, *s.LeadHigh)
}

// daysSpread words three numbers of days.
func daysSpread(low, likely, high int) string {
	if low == high {
		return DayCount(likely)
	}
	return strconv.Itoa(low) + " to " + DayCount(high) + ", likely " + strconv.Itoa(likely)
}

func shippingText(s garage.Supplier) string {
	if s.Shipping == nil {
		return ""
	}
	return garage.MoneyText(*s.Shipping, s.Currency)
}

// SupplierView is the page of a supplier.
type SupplierView struct {
	Base
	Supplier garage.Supplier
	Facts    []ui.Def
	Parts    []ui.ListItem
	Next     string // when something comes that is promised there
	Record   ui.TableData
	Orders   []ui.ListItem
}

// SupplierRecord is how a supplier keeps promises: what came, and what is to be expected of the next one.
type SupplierRecord struct {
	Came  []garage.ArrivalRecord
	Delay planner.Delay
	Open  []garage.OrderRow
}

// NewSupplier is the page of a supplier with the parts that are bought there and how promises were kept.
func NewSupplier(base Base, s garage.Supplier, parts []garage.Part, record SupplierRecord, zone *time.Location, today garage.Date) SupplierView {
	v := SupplierView{Base: base, Supplier: s, Next: nextWords(record.Delay), Facts: []ui.Def{
		{Term: "From ordering", Text: supplierLead(s)},
		{Term: "Shipping, usually", Text: shippingText(s)},
		{Term: "Goes back within", Text: returnText(s.ReturnDays)},
		{Term: "Old units go back within", Text: windowWords(s.CoreWindow().N, s.CoreWindow().Count) + " from the " + basisWord(s.CoreBasis)},
		{Term: "Notes", Body: textBlock(s.Notes)},
	}}
	for _, p := range parts {
		item := partItem(p)
		item.Meta = priceText(p)
		v.Parts = append(v.Parts, item)
	}
	for _, o := range record.Open {
		mood, text := orderStands(o, today)
		v.Orders = append(v.Orders, ui.ListItem{Title: orderName(o.Order, s), Href: route.Order(o.ID), Sub: "ordered on " + DayWords(o.OrderedOn), State: ui.State(mood, text)})
	}
	v.Record = ui.TableData{Caption: "Promised and came", Quiet: true, Columns: []ui.Column{
		{Head: "Order", Lead: true}, {Head: "Ordered on"}, {Head: "Promised for"}, {Head: "Came"}, {Head: "Which is"},
	}}
	for _, r := range record.Came {
		v.Record.Rows = append(v.Record.Rows, []ui.Cell{
			{Text: orderName(garage.Order{Number: r.Number}, s), Href: route.Order(r.OrderID)},
			{Text: DayWords(r.OrderedOn)},
			{Text: DayWords(r.PromisedOn)},
			{Text: DayWords(garage.DateOf(r.ReceivedAt.In(zone)))},
			{Text: lateWords(r.DaysLate(zone))},
		})
	}
	return v
}

// lateWords says how many days after a promise something is.
func lateWords(days int) string {
	switch {
	case days == 0:
		return "on the day"
	case days < 0:
		return DayCount(-days) + " early"
	}
	return DayCount(days) + " late"
}

// nextWords says when something comes that is promised for a day, and on what that rests.
func nextWords(d planner.Delay) string {
	text := "What is promised for a day is expected from " + lateWords(d.Days[0]) + " to " + lateWords(d.Days[2]) + ", likely " + lateWords(d.Days[1]) + "."
	if d.Records == 0 {
		return text + " Nothing that was promised has come from there yet: that is how others are, or what is usual."
	}
	return text + " It rests on " + countWords(d.Records, "arrival", "arrivals") + " from there; the fewer there are, the more what is usual counts."
}

func returnText(days *int) string {
	if days == nil {
		return "not said"
	}
	return DayCount(*days) + " of its arrival"
}

package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// PartForm is a part as typed.
type PartForm struct {
	ID           garage.PartID // zero for a new one
	Currency     string        // of the price; not typed
	Version      string
	Name         string
	Number       string
	OtherNumbers string
	Side         string
	Grade        string
	Unit         string
	Supplier     string
	Price        string
	LeadLow      string
	LeadLikely   string
	LeadHigh     string
	Notes        string
	Variant      string
	Errors       garage.FieldErrors
}

// NewPartForm is the form filled from what is stored.
func NewPartForm(p garage.Part) PartForm {
	f := PartForm{
		ID:           p.ID,
		Currency:     p.Currency,
		Version:      strconv.FormatInt(p.Version, 10),
		Name:         p.Name,
		Number:       p.Number,
		OtherNumbers: p.OtherNumbers,
		Side:         p.Side,
		Grade:        p.Grade,
		Unit:         p.Unit,
		Supplier:     p.Supplier,
		LeadLow:      intText(p.LeadLow),
		LeadLikely:   intText(p.LeadLikely),
		LeadHigh:     intText(p.LeadHigh),
		Notes:        p.Notes,
		Variant:      p.Variant,
	}
	if p.Price != 0 {
		f.Price = garage.MoneyFigure(p.Price, p.Currency)
	}
	return f
}

// ReadPartForm is the form as sent.
func ReadPartForm(v url.Values) PartForm {
	return PartForm{
		Version:      v.Get("version"),
		Name:         v.Get("name"),
		Number:       v.Get("number"),
		OtherNumbers: v.Get("other_numbers"),
		Side:         v.Get("side"),
		Grade:        v.Get("grade"),
		Unit:         v.Get("unit"),
		Supplier:     v.Get("supplier"),
		Price:        v.Get("price"),
		LeadLow:      v.Get("lead_low"),
		LeadLikely:   v.Get("lead_likely"),
		LeadHigh:     v.Get("lead_high"),
		Notes:        v.Get("notes"),
		Variant:      v.Get("variant"),
	}
}

// Part reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *PartForm) Part() garage.Part {
	var in fields
	p := garage.Part{
		ID:           f.ID,
		Version:      version(f.Version),
		Name:         strings.TrimSpace(f.Name),
		Number:       strings.TrimSpace(f.Number),
		OtherNumbers: strings.TrimSpace(f.OtherNumbers),
		Side:         f.Side,
		Grade:        f.Grade,
		Unit:         f.Unit,
		Supplier:     strings.TrimSpace(f.Supplier),
		Price:        in.money("price", f.Price, f.Currency),
		Currency:     f.Currency,
		LeadLow:      in.optionalInt("lead", f.LeadLow),
		LeadLikely:   in.optionalInt("lead", f.LeadLikely),
		LeadHigh:     in.optionalInt("lead", f.LeadHigh),
		Notes:        f.Notes,
		Variant:      strings.TrimSpace(f.Variant),
	}
	f.Errors = in.with(p.Validate())
	return p
}

// Conflict sets the form beside what is stored.
func (f PartForm) Conflict(stored PartForm) []ConflictRow {
	lead := func(f PartForm) string { return spreadText(f.LeadLow, f.LeadLikely, f.LeadHigh) }
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Number", Yours: f.Number, Stored: stored.Number},
		{Field: "Other numbers", Yours: f.OtherNumbers, Stored: stored.OtherNumbers},
		{Field: "Side", Yours: f.Side, Stored: stored.Side},
		{Field: "Grade", Yours: f.Grade, Stored: stored.Grade},
		{Field: "Counted in", Yours: f.Unit, Stored: stored.Unit},
		{Field: "Supplier", Yours: f.Supplier, Stored: stored.Supplier},
		{Field: "Price", Yours: f.Price, Stored: stored.Price},
		{Field: "Days from ordering", Yours: lead(f), Stored: lead(stored)},
		{Field: "Must match", Yours: f.Variant, Stored: stored.Variant},
		{Field: "Notes", Yours: f.Notes, Stored: stored.Notes},
	}
}

var partFields = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "number", Text: "Number"},
	{Value: "other_numbers", Text: "Other numbers"},
	{Value: "side", Text: "Side"},
	{Value: "grade", Text: "Grade"},
	{Value: "unit", Text: "Counted in"},
	{Value: "supplier", Text: "Supplier"},
	{Value: "price", Text: "Price"},
	{Value: "lead", Text: "Days from ordering"},
	{Value: "variant", Text: "Must match"},
	{Value: "notes", Text: "Notes"},
}

// sideHint says what left and right mean, wherever a side is chosen.
const sideHint = "Left and right are as seen from the driver's seat facing forward."

var partSides = []ui.Option{{Value: "", Text: "fits either, or has none"}, {Value: "left", Text: "left"}, {Value: "right", Text: "right"}}

var partUnits = []ui.Option{
	{Value: "piece", Text: "pieces"},
	{Value: "set", Text: "sets"},
	{Value: "ml", Text: "millilitres (ml)"},
	{Value: "g", Text: "grams (g)"},
	{Value: "cm", Text: "centimetres (cm)"},
}

func partGrades() []ui.Option {
	var options []ui.Option
	for _, g := range garage.Grades {
		text := g
		if g == "" {
			text = "not known"
		}
		options = append(options, ui.Option{Value: g, Text: text})
	}
	return options
}

func (f PartForm) action() string {
	if f.ID == 0 {
		return route.Parts()
	}
	return route.Part(f.ID)
}

// PartFormView is the page of a part's form.
type PartFormView struct {
	Base
	Heading string
	Form    PartForm
}

// NewPartFormView is the page for a new part, or for one that is there: name is the stored one.
func NewPartFormView(base Base, form PartForm, name string) PartFormView {
	if form.ID == 0 {
		return PartFormView{Base: base, Heading: "Add a part", Form: form}
	}
	return PartFormView{Base: base, Heading: "Change " + name, Form: form}
}

// partsPerPage is how many rows a page of the list holds.
const partsPerPage = 100

// ReadPartFilter reads query and page of the list's address; nonsense is the first page.
func ReadPartFilter(v url.Values) garage.PartFilter {
	const lastPage = 1_000_000
	page, _ := strconv.Atoi(v.Get("page"))
	query := []rune(strings.TrimSpace(v.Get("q")))
	return garage.PartFilter{
		Query: string(query[:min(len(query), 200)]), Limit: partsPerPage, Offset: (min(max(page, 1), lastPage) - 1) * partsPerPage,
	}
}

// PartIndexView is the list of parts.
type PartIndexView struct {
	Base
	Query string
	Count string
	Table ui.TableData
	Pager ui.PagerData
}

// NewPartIndex lists the parts that a filter found.
func NewPartIndex(base Base, f garage.PartFilter, parts []garage.PartRow) PartIndexView {
	v := PartIndexView{Base: base, Query: f.Query, Table: ui.TableData{
		Caption: "Parts: what is on hand, expected and on donors", Quiet: true,
		Columns: []ui.Column{
			{Head: "Part", Lead: true},
			{Head: "On hand", Num: true},
			{Head: "Expected", Num: true},
			{Head: "On donors", Num: true},
			{Head: "Jobs", Num: true},
			{Head: "Bins"},
		},
	}}
	for _, p := range parts {
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: p.Name, Href: route.Part(p.ID), Sub: joined(" · ", p.Side, p.Number, p.Grade)},
			{Text: stockText(p.OnHand, p.Unit)},
			{Text: nonZeroText(p.Expected, p.Unit)},
			{Text: nonZeroText(p.OnDonors, p.Unit)},
			{Text: nonZeroText(p.Jobs, "piece")},
			{Text: p.Bins},
		})
	}
	if len(parts) > 0 {
		v.pages(f, parts[0].Total, len(parts))
	}
	return v
}

func (v *PartIndexView) pages(f garage.PartFilter, total, shown int) {
	v.Count = countWords(total, "part", "parts")
	if f.Query != "" {
		v.Count += " found"
	}
	if total <= shown {
		return
	}
	v.Pager = ui.PagerData{From: f.Offset + 1, To: f.Offset + shown, Total: total}
	page := f.Offset/partsPerPage + 1
	if page > 1 {
		v.Pager.Prev = route.PartsFound(f.Query, strconv.Itoa(page-1))
	}
	if f.Offset+shown < total {
		v.Pager.Next = route.PartsFound(f.Query, strconv.Itoa(page+1))
	}
}

// stockText is a quantity with the unit it is counted in; pieces go without.
func stockText(n int, unit string) string {
	figure := strconv.Itoa(n)
	if n < 0 {
		figure = "\u2212" + strconv.Itoa(-n)
	}
	switch unit {
	case "piece":
		return figure
	case "set":
		if n == 1 {
			return "1\u00a0set"
		}
		return figure + "\u00a0sets"
	}
	return figure + "\u00a0" + unit
}

// nonZeroText is a quantity, or nothing.
func nonZeroText(n int, unit string) string {
	if n == 0 {
		return ""
	}
	return stockText(n, unit)
}

// PartStockParts is what belongs to a part, as its page shows it.
type PartStockParts struct {
	Stock     []garage.BinStock
	Movements []garage.MovementRow
	Arrivals  []garage.Arrival
	Donors    []garage.DonorPartRow
	Promises  []Promise
	Fits      []garage.PartFitRow
	ByNumber  []garage.Part // other parts that go by one of its numbers
	Twin      *garage.Part
	Fitted    []garage.FittedRow // of it and of others that do the same
	Supplier  garage.Supplier    // empty where only a name is known, or none
}

// PartShowView is the page of a part.
type PartShowView struct {
	Base
	Part      garage.Part
	Sub       string
	Facts     []ui.Def
	OnHand    string
	Stock     []StockLine
	Arrivals  []ArrivalLine
	Donors    []ui.ListItem
	Promised  []promisedLine
	Movements ui.TableData
	Fits      []fitLine
	ByNumber  []ui.ListItem
	Twin      *ui.ListItem
	Lasted    []string
	Fitted    []ui.ListItem
	Ask       string // the number to ask for in place of its own
	Photos    PhotoStripView
}

// StockLine is a bin that a part lies in.
type StockLine struct {
	BinID    garage.BinID
	Bin      string
	Place    string
	Detail   string // what sets the pieces apart
	Bad      bool   // no job gets them
	PlaceKey string // names them in an address
	Quantity string
	TakeOne  bool // a single piece can be taken
}

// ArrivalLine is an expected arrival of a part.
type ArrivalLine struct {
	ID     garage.ArrivalID
	Href   string
	Title  string
	When   string
	Detail string
	Late   bool
}

// NewPartShow is the page of a part with where it is and what needs it.
func NewPartShow(base Base, p garage.Part, parts PartStockParts, settings garage.Settings, today garage.Date) PartShowView {
	v := PartShowView{Base: base, Part: p, Sub: joined(" · ", p.Side, p.Number, p.Grade), Facts: partFacts(p, parts.Supplier)}
	total := 0
	for _, s := range parts.Stock {
		total += s.Quantity
		v.Stock = append(v.Stock, StockLine{
			BinID: s.BinID, Bin: s.BinName, Place: s.Place, Quantity: stockText(s.Quantity, p.Unit), TakeOne: !p.Measured(),
			Detail: lotText(s.Lot), Bad: s.Condition == garage.Bad, PlaceKey: stockPlace(s.Stock),
		})
	}
	v.OnHand = "On hand: " + stockText(total, p.Unit)
	for _, a := range parts.Arrivals {
		v.Arrivals = append(v.Arrivals, arrivalLine(a, p.Unit, today))
	}
	for _, d := range parts.Donors {
		v.Donors = append(v.Donors, ui.ListItem{
			Title: d.CarName, Href: route.Car(d.CarID), Sub: joined(" · ", conditionText(d.Condition), d.Note), Meta: stockText(d.Quantity, p.Unit),
		})
	}
	v.Promised = promisedLines(p, parts.Promises, total)
	for _, l := range garage.LastedBy(parts.Fitted, today) {
		v.Lasted = append(v.Lasted, lastedText(l, settings.DistanceUnit))
	}
	v.Fitted = fittedItems(parts.Fitted, p, settings, today)
	v.Fits, v.Ask = fitLines(p.ID, parts.Fits), replacedBy(p)
	for _, other := range parts.ByNumber {
		v.ByNumber = append(v.ByNumber, partItem(other))
	}
	if parts.Twin != nil {
		v.Twin = new(partItem(*parts.Twin))
	}
	v.Movements = movementTable(parts.Movements, p.Unit, settings)
	return v
}

// partItem is a part as a row that leads to it.
func partItem(p garage.Part) ui.ListItem {
	return ui.ListItem{Title: p.Name, Href: route.Part(p.ID), Sub: joined(" · ", p.Side, p.Number, p.Grade)}
}

func partFacts(p garage.Part, from garage.Supplier) []ui.Def {
	others := ui.Def{Term: "Other numbers"}
	if lines := numberLines(p); len(lines) > 0 {
		others.Body = partNumbers(lines)
	}
	facts := []ui.Def{
		{Term: "Number", Text: p.Number},
		others,
		{Term: "Must match", Text: p.Variant},
		{Term: "Side", Text: p.Side},
		{Term: "Grade", Text: p.Grade},
		{Term: "Supplier", Text: p.Supplier, Href: supplierHref(from)},
		{Term: "Price", Text: priceText(p)},
	}
	lead := "not to be had by ordering"
	if p.LeadLikely != nil {
		lead = daysSpread(*p.LeadLow, *p.LeadLikely, *p.LeadHigh)
	} else if usual := supplierLead(from); usual != "" {
		lead = usual + ", as usual there"
	}
	return append(facts, ui.Def{Term: "From ordering", Text: lead}, ui.Def{Term: "Notes", Body: textBlock(p.Notes)})
}

func priceText(p garage.Part) string {
	if p.Price == 0 {
		return ""
	}
	return garage.MoneyText(p.Price, p.Currency) + priceOf(p.Unit)
}

// priceOf says what a price is for.
func priceOf(unit string) string {
	switch unit {
	case "piece":
		return " each"
	case "set":
		return " a set"
	case "ml":
		return " a litre"
	case "g":
		return " a kilogram"
	}
	return " for 10\u00a0m"
}

func arrivalLine(a garage.Arrival, unit string, today garage.Date) ArrivalLine {
	from := " expected"
	if a.Supplier != "" {
		from = " from " + a.Supplier
	}
	href := route.ArrivalEdit(a.ID)
	if a.OrderID != nil {
		href = route.Order(*a.OrderID)
	}
	return ArrivalLine{
		ID: a.ID, Href: href, Title: stockText(a.Quantity, unit) + from, When: arrivesText(a.Low, a.Likely, a.High),
		Detail: a.Note, Late: a.High.Before(today),
	}
}

// prefixed puts a prefix before a text that is not empty.
func prefixed(prefix, text string) string {
	if text == "" {
		return ""
	}
	return prefix + text
}

func movementTable(rows []garage.MovementRow, unit string, settings garage.Settings) ui.TableData {
	t := ui.TableData{
		Caption: "Movements, newest first", Quiet: true,
		Columns: []ui.Column{{Head: "When", Lead: true}, {Head: "What"}, {Head: "Pieces", Num: true}, {Head: "Bin"}, {Head: "Note"}, {Head: ""}},
	}
	for _, m := range rows {
		quantity := stockText(m.Quantity, unit)
		if m.Quantity > 0 {
			quantity = "+" + quantity
		}
		row := []ui.Cell{
			{Text: InstantWords(m.CreatedAt.In(settings.Location()))},
			{Text: m.Kind},
			{Text: quantity},
			{Text: m.BinName, Href: route.Bin(m.BinID)},
			{Text: m.Note},
			{},
		}
		if m.JobTitle != nil && m.JobID != nil {
			row[1].Sub = "by " + *m.JobTitle
		}
		switch {
		case m.Reversed:
			row[1].Sub = joined(", ", row[1].Sub, "reversed")
		case m.Reverses == nil:
			row[5] = ui.Cell{Body: ui.PostButton(ui.Danger, "Reverse", route.MovementReverse(m.ID))}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

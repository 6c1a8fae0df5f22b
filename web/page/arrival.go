package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// ArrivalForm is an expected arrival as typed.
type ArrivalForm struct {
	ID       garage.ArrivalID // zero for a new one
	PartID   garage.PartID
	OrderID  *garage.OrderID // one that was ordered: how many come and from whom is said there
	Version  string
	Quantity string
	Low      string
	Likely   string
	High     string
	Supplier string
	Note     string
	Errors   garage.FieldErrors
}

// BlankArrivalForm is the form for a new arrival, ordered today: dates and supplier are those of the part.
func BlankArrivalForm(p garage.Part, today garage.Date) ArrivalForm {
	f := ArrivalForm{PartID: p.ID, Quantity: "1", Supplier: p.Supplier}
	if p.LeadLikely != nil {
		f.Low, f.Likely, f.High = today.AddDays(*p.LeadLow).String(), today.AddDays(*p.LeadLikely).String(), today.AddDays(*p.LeadHigh).String()
	}
	return f
}

// NewArrivalForm is the form filled from what is stored.
func NewArrivalForm(a garage.Arrival) ArrivalForm {
	return ArrivalForm{
		ID:       a.ID,
		PartID:   a.PartID,
		OrderID:  a.OrderID,
		Version:  strconv.FormatInt(a.Version, 10),
		Quantity: strconv.Itoa(a.Quantity),
		Low:      a.Low.String(),
		Likely:   a.Likely.String(),
		High:     a.High.String(),
		Supplier: a.Supplier,
		Note:     a.Note,
	}
}

// ReadArrivalForm is the form as sent.
func ReadArrivalForm(v url.Values) ArrivalForm {
	return ArrivalForm{
		Version:  v.Get("version"),
		Quantity: v.Get("quantity"),
		Low:      v.Get("arrives_low"),
		Likely:   v.Get("arrives_likely"),
		High:     v.Get("arrives_high"),
		Supplier: v.Get("supplier"),
		Note:     v.Get("note"),
	}
}

// Arrival reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *ArrivalForm) Arrival() garage.Arrival {
	var in fields
	a := garage.Arrival{
		ID:       f.ID,
		PartID:   f.PartID,
		Version:  version(f.Version),
		Quantity: in.int("quantity", f.Quantity),
		Low:      in.date("arrives", f.Low),
		Likely:   in.date("arrives", f.Likely),
		High:     in.date("arrives", f.High),
		Supplier: strings.TrimSpace(f.Supplier),
		Note:     strings.TrimSpace(f.Note),
	}
	f.Errors = in.with(a.Validate())
	return a
}

// Conflict sets the form beside what is stored.
func (f ArrivalForm) Conflict(stored ArrivalForm) []ConflictRow {
	dates := func(f ArrivalForm) string { return spreadText(f.Low, f.Likely, f.High) }
	return []ConflictRow{
		{Field: "How many", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Arrives", Yours: dates(f), Stored: dates(stored)},
		{Field: "Supplier", Yours: f.Supplier, Stored: stored.Supplier},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var arrivalFields = []ui.Option{
	{Value: "quantity", Text: "How many"},
	{Value: "arrives", Text: "Arrives"},
	{Value: "supplier", Text: "Supplier"},
	{Value: "note", Text: "Note"},
}

func (f ArrivalForm) action() string {
	if f.ID == 0 {
		return route.Arrivals(f.PartID)
	}
	return route.Arrival(f.ID)
}

// ArrivalView is the page of an arrival's form.
type ArrivalView struct {
	Base
	Part garage.Part
	Form ArrivalForm
	Unit string
}

// NewArrivalView is the page of an arrival's form.
func NewArrivalView(base Base, p garage.Part, form ArrivalForm) ArrivalView {
	return ArrivalView{Base: base, Part: p, Form: form, Unit: unitText(p.Unit)}
}

// PlaceForm says into which bin pieces go that have come or were taken off, and how many, as typed.
type PlaceForm struct {
	Version  string
	Quantity string
	Bin      string
	NewBin   string
	Errors   garage.FieldErrors
}

// ReadPlaceForm is the form as sent.
func ReadPlaceForm(v url.Values) PlaceForm {
	return PlaceForm{Version: v.Get("version"), Quantity: v.Get("quantity"), Bin: v.Get("bin"), NewBin: v.Get("new_bin")}
}

// Place reads what was typed, and notes in Errors what does not parse.
func (f *PlaceForm) Place() (quantity int, pick garage.BinPick, storedVersion int64) {
	var in fields
	quantity = in.int("quantity", f.Quantity)
	f.Errors = in.Errors
	return quantity, garage.BinPick{Name: f.Bin, New: f.NewBin != ""}, version(f.Version)
}

// PlaceView is the page of a form that puts pieces into a bin.
type PlaceView struct {
	Base
	Heading string
	Sub     string
	Crumbs  []ui.Link
	Action  string
	Form    PlaceForm
	Unit    string
	Hint    string
	Bins    []string
}

// NewReceiveView is the page on which an arrival is received; stock is where the part lies already.
func NewReceiveView(base Base, p garage.Part, a garage.Arrival, form PlaceForm, bins []garage.BinRow) PlaceView {
	return PlaceView{
		Base: base, Heading: "Received", Sub: stockText(a.Quantity, p.Unit) + " expected" + prefixed(" from ", a.Supplier),
		Crumbs: partCrumbs(p), Action: route.ArrivalReceive(a.ID), Form: form, Unit: unitText(p.Unit),
		Hint: "Are there fewer than expected, the rest stays expected.", Bins: binNames(bins),
	}
}

// NewReceiveForm expects all that is expected, in the bin where the part lies already.
func NewReceiveForm(a garage.Arrival, stock []garage.BinStock) PlaceForm {
	return PlaceForm{Version: strconv.FormatInt(a.Version, 10), Quantity: strconv.Itoa(a.Quantity), Bin: firstBin(stock)}
}

func firstBin(stock []garage.BinStock) string {
	if len(stock) == 0 {
		return ""
	}
	return stock[0].BinName
}

func partCrumbs(p garage.Part) []ui.Link {
	return []ui.Link{{Text: "Parts", Href: route.Parts()}, {Text: p.Label(), Href: route.Part(p.ID)}}
}

// ReceivedText says what was received, and what is still expected.
func ReceivedText(a garage.Arrival, quantity int, form PlaceForm) string {
	text := strconv.Itoa(quantity) + " received into " + strings.TrimSpace(form.Bin) + "."
	if rest := a.Quantity - quantity; rest > 0 {
		text += " Still expected: " + strconv.Itoa(rest) + "."
	}
	return text
}

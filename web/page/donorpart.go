package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// DonorPartForm is a part on a donor as typed.
type DonorPartForm struct {
	ID        garage.DonorPartID // zero for a new one
	CarID     garage.CarID
	PartID    garage.PartID // of one that is there; not typed
	Version   string
	Part      string // label, name or number
	NewPart   string
	Side      string // of a new part
	Quantity  string
	Condition string
	Removal   string
	Worth     string
	Currency  string // of the worth; not typed
	Note      string
	Errors    garage.FieldErrors
}

// BlankDonorPartForm is the form for a further part of a donor.
func BlankDonorPartForm(car garage.CarID) DonorPartForm {
	return DonorPartForm{CarID: car, Quantity: "1", Condition: "unknown"}
}

// NewDonorPartForm is the form filled from what is stored.
func NewDonorPartForm(d garage.DonorPartRow, currency string) DonorPartForm {
	f := DonorPartForm{
		Currency:  currency,
		ID:        d.ID,
		CarID:     d.CarID,
		PartID:    d.PartID,
		Version:   strconv.FormatInt(d.Version, 10),
		Part:      d.Part().Label(),
		Quantity:  strconv.Itoa(d.Quantity),
		Condition: d.Condition,
		Note:      d.Note,
	}
	if d.RemovalMinutes != nil {
		f.Removal = strconv.Itoa(*d.RemovalMinutes)
	}
	if d.Worth != nil {
		f.Worth = garage.MoneyFigure(*d.Worth, currency)
	}
	return f
}

// ReadDonorPartForm is the form as sent.
func ReadDonorPartForm(v url.Values) DonorPartForm {
	return DonorPartForm{
		Version:   v.Get("version"),
		Part:      v.Get("part"),
		NewPart:   v.Get("new_part"),
		Side:      v.Get("side"),
		Quantity:  v.Get("quantity"),
		Condition: v.Get("condition"),
		Removal:   v.Get("removal"),
		Worth:     v.Get("worth"),
		Note:      v.Get("note"),
	}
}

// Pick is the part that is named.
func (f DonorPartForm) Pick() garage.PartPick {
	return garage.PartPick{Text: f.Part, New: f.NewPart != "", Side: f.Side}
}

// DonorPart reads what was typed, and notes in Errors what does not parse. The rest is for the store to hold against the
// rules, together with the part that is named.
func (f *DonorPartForm) DonorPart() garage.DonorPart {
	var in fields
	d := garage.DonorPart{
		ID:        f.ID,
		CarID:     f.CarID,
		PartID:    f.PartID,
		Version:   version(f.Version),
		Quantity:  in.int("quantity", f.Quantity),
		Condition: f.Condition,
		Note:      strings.TrimSpace(f.Note),
	}
	if strings.TrimSpace(f.Removal) != "" {
		d.RemovalMinutes = new(in.minutes("removal", f.Removal))
	}
	if strings.TrimSpace(f.Worth) != "" {
		d.Worth = new(in.money("worth", f.Worth, f.Currency))
	}
	f.Errors = in.Errors
	return d
}

// Conflict sets the form beside what is stored.
func (f DonorPartForm) Conflict(stored DonorPartForm) []ConflictRow {
	return []ConflictRow{
		{Field: "How many", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Condition", Yours: f.Condition, Stored: stored.Condition},
		{Field: "Comes off in", Yours: f.Removal, Stored: stored.Removal},
		{Field: "One costs elsewhere", Yours: f.Worth, Stored: stored.Worth},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var donorPartFields = []ui.Option{
	{Value: "part", Text: "Part"},
	{Value: "new_part", Text: "Part"},
	{Value: "side", Text: "Side"},
	{Value: "quantity", Text: "How many"},
	{Value: "condition", Text: "Condition"},
	{Value: "removal", Text: "Comes off in"},
	{Value: "worth", Text: "One costs elsewhere"},
	{Value: "note", Text: "Note"},
}

func conditionOptions() []ui.Option {
	var options []ui.Option
	for _, c := range garage.Conditions {
		options = append(options, ui.Option{Value: c, Text: c})
	}
	return options
}

// conditionText is a condition that is known.
func conditionText(condition string) string {
	if condition == "unknown" {
		return ""
	}
	return condition
}

// foundOut is a condition, known or not.
func foundOut(condition string) string {
	if condition == "unknown" {
		return "condition to be found out"
	}
	return condition
}

func removalText(minutes *int) string {
	if minutes == nil {
		return ""
	}
	return "comes off in " + WorkWords(*minutes)
}

func (f DonorPartForm) action() string {
	if f.ID == 0 {
		return route.DonorParts(f.CarID)
	}
	return route.DonorPart(f.ID)
}

// DonorPartView is the page of the form of a part on a donor.
type DonorPartView struct {
	Base
	CarID   garage.CarID
	CarName string
	Form    DonorPartForm
	Parts   []string // labels to offer
	// Of what one costs elsewhere.
	Currency string
}

// DonorPartsView is what is on a donor, as its page shows it.
type DonorPartsView struct {
	CarID garage.CarID
	Here  bool // it can be taken off
	Lines []DonorPartLine
	Taken []ui.ListItem
	Free  bool // some are not in a harvest job yet
}

// DonorPartLine is a part that is on a donor.
type DonorPartLine struct {
	ID       garage.DonorPartID
	PartID   garage.PartID
	Title    string
	Detail   string
	Job      string
	JobHref  string
	Quantity string
}

// NewDonorParts is what is on a donor and what was taken off it; nil where a car is no donor and has nothing to give.
func NewDonorParts(c garage.Car, rows []garage.DonorPartRow, settings garage.Settings) *DonorPartsView {
	if c.Role != garage.Donor && len(rows) == 0 {
		return nil
	}
	v := &DonorPartsView{CarID: c.ID, Here: c.Stands != garage.NotHere}
	for _, d := range rows {
		quantity := stockText(d.Quantity, d.PartUnit)
		if d.TakenAt != nil {
			v.Taken = append(v.Taken, ui.ListItem{
				Title: d.Part().Label(), Href: route.Part(d.PartID), Meta: quantity,
				Sub: "taken off " + DayWords(garage.DateOf(d.TakenAt.In(settings.Location()))),
			})
			continue
		}
		line := DonorPartLine{
			ID: d.ID, PartID: d.PartID, Title: d.Part().Label(), Detail: joined(" · ", foundOut(d.Condition), removalText(d.RemovalMinutes), d.Note), Quantity: quantity,
		}
		if d.HarvestTitle != nil && d.HarvestJobID != nil {
			line.Job, line.JobHref = *d.HarvestTitle, route.Job(*d.HarvestJobID)
		} else {
			v.Free = true
		}
		v.Lines = append(v.Lines, line)
	}
	return v
}

// HarvestForm is a harvest job to be made, as typed.
type HarvestForm struct {
	CarID  garage.CarID
	Title  string
	Parts  []string
	Low    string
	Likely string
	High   string
	Lift   string
	Errors garage.FieldErrors
}

// ReadHarvestForm is the form as sent.
func ReadHarvestForm(v url.Values) HarvestForm {
	return HarvestForm{
		Title:  v.Get("title"),
		Parts:  v["parts"],
		Low:    v.Get("minutes_low"),
		Likely: v.Get("minutes_likely"),
		High:   v.Get("minutes_high"),
		Lift:   v.Get("lift"),
	}
}

// Plan reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *HarvestForm) Plan(currency string) garage.HarvestPlan {
	var in fields
	h := garage.HarvestPlan{
		CarID:    f.CarID,
		Title:    strings.TrimSpace(f.Title),
		Low:      in.minutes("minutes", f.Low),
		Likely:   in.minutes("minutes", f.Likely),
		High:     in.minutes("minutes", f.High),
		Lift:     f.Lift != "",
		Currency: currency,
	}
	for _, id := range slices.Compact(slices.Sorted(slices.Values(f.Parts))) {
		h.Parts = append(h.Parts, garage.DonorPartID(in.id("parts", id)))
	}
	f.Errors = in.with(h.Validate())
	return h
}

// FillMinutes proposes the work where none was typed and it is known of every part chosen how long it takes to come off: from that
// to twice as long, which is common practice for work at home, no source.
func (f *HarvestForm) FillMinutes(rows []garage.DonorPartRow) {
	if f.Low+f.Likely+f.High != "" || len(f.Parts) == 0 {
		return
	}
	sum := 0
	for _, d := range rows {
		if !slices.Contains(f.Parts, idText(d.ID)) {
			continue
		}
		if d.RemovalMinutes == nil {
			return
		}
		sum += *d.RemovalMinutes
	}
	if sum > 0 {
		f.Low, f.Likely, f.High = strconv.Itoa(sum), strconv.Itoa(sum*3/2), strconv.Itoa(sum*2)
	}
}

// minutes reads a stretch of work as typed.
func (f *fields) minutes(name, typed string) int {
	minutes, ok := parseDuration(typed)
	if !ok {
		f.Errors.Add(name, "Times like 45, 1:30 or 2 h, please.")
	}
	return minutes
}

var harvestFields = []ui.Option{{Value: "parts", Text: "Takes off"}, {Value: "title", Text: "Name"}, {Value: "minutes", Text: "Work"}}

// HarvestNewView is the page on which a harvest job is made.
type HarvestNewView struct {
	Base
	CarID   garage.CarID
	CarName string
	Form    HarvestForm
	Parts   []ui.Option // on the donor and in no open job
}

// NewHarvestNew is the page with the parts that can be chosen.
func NewHarvestNew(base Base, c garage.Car, form HarvestForm, rows []garage.DonorPartRow) HarvestNewView {
	v := HarvestNewView{Base: base, CarID: c.ID, CarName: c.Name, Form: form}
	for _, d := range rows {
		if d.TakenAt == nil && d.HarvestTitle == nil {
			v.Parts = append(v.Parts, ui.Option{
				Value: idText(d.ID), Text: d.Part().Label(), Hint: joined(" · ", stockText(d.Quantity, d.PartUnit), foundOut(d.Condition), removalText(d.RemovalMinutes), d.Note),
			})
		}
	}
	return v
}

// NewDonorPartOff is the page on which a part comes off a donor into a bin.
func NewDonorPartOff(base Base, d garage.DonorPartRow, form PlaceForm, bins []garage.BinRow) PlaceView {
	return PlaceView{
		Base: base, Heading: "Taken off", Sub: d.Part().Label(),
		Crumbs: []ui.Link{{Text: "Cars", Href: route.Cars()}, {Text: d.CarName, Href: route.Car(d.CarID)}},
		Action: route.DonorPartOff(d.ID), Form: form, Unit: unitText(d.PartUnit),
		Hint: "Are there fewer than it has, the rest stays on the car.", Bins: binNames(bins),
	}
}

// NewDonorPartOffForm takes all of it off, into the bin where the part lies already.
func NewDonorPartOffForm(d garage.DonorPartRow, stock []garage.BinStock) PlaceForm {
	return PlaceForm{Quantity: strconv.Itoa(d.Quantity), Bin: firstBin(stock)}
}

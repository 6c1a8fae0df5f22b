package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// lastedText is how long pieces of one grade and supplier lasted.
func lastedText(l garage.Lasted, unit string) string {
	grade := l.Grade
	if grade == "" {
		grade = "grade not known"
	}
	text := joined(", ", grade, l.Supplier)
	switch l.Gave {
	case 0:
		return text + ": none gave out yet"
	case 1:
		text += ": gave out once, after " + countWords(l.Months, "month", "months")
		if l.Known {
			text += ", " + garage.DistanceText(l.Metres, unit)
		}
	case 2:
		text += ": gave out twice, after " + strconv.Itoa(l.Each[0]) + " and " + countWords(l.Each[1], "month", "months")
	default:
		text += ": gave out " + strconv.Itoa(l.Gave) + " times, half of them within " + countWords(l.Months, "month", "months")
		if l.Known {
			text += ", " + garage.DistanceText(l.Metres, unit)
		}
	}
	return text
}

// lastedOf says how long pieces of a part, or of others that do the same, lasted: only where one gave out.
func lastedOf(part garage.Part, rows []garage.FittedRow, unit string, today garage.Date) string {
	var mine []garage.FittedRow
	for _, r := range rows {
		if r.PartID == part.ID || strings.EqualFold(r.PartName, part.Name) {
			mine = append(mine, r)
		}
	}
	var texts []string
	for _, l := range garage.LastedBy(mine, today) {
		if l.Gave > 0 {
			texts = append(texts, lastedText(l, unit))
		}
	}
	return strings.Join(texts, "; ")
}

// LastedFlash is what to say when a part is called for again of which one gave out before; empty otherwise.
func LastedFlash(part garage.Part, rows []garage.FittedRow, settings garage.Settings, today garage.Date) string {
	if text := lastedOf(part, rows, settings.DistanceUnit, today); text != "" {
		return " Of those before: " + text + "."
	}
	return ""
}

// fittedItems lists fitted pieces.
func fittedItems(rows []garage.FittedRow, part garage.Part, settings garage.Settings, today garage.Date) []ui.ListItem {
	var items []ui.ListItem
	for _, r := range rows {
		about := joined(", ", r.Side, r.Grade, r.Supplier)
		if r.PartID != part.ID {
			about = joined(", ", "as "+r.PartName, about)
		}
		item := ui.ListItem{
			Title: joined(" · ", r.CarName, stockText(r.Quantity, part.Unit)), Href: route.FittedEdit(r.ID), Sub: joined(" · ", about, r.Note),
			Meta: "fitted " + DayWords(r.FittedOn), State: ui.State(ui.Done, "on the car"),
		}
		if r.EndedOn != nil {
			mood := ui.Waits
			if r.EndedAs == garage.EndedFailed {
				mood = ui.Blocked
			}
			item.State = ui.State(mood, r.EndedAs)
			item.Meta += ", " + countWords(r.Months(today), "month", "months")
			if m, known := r.Ran(); known {
				item.Meta += ", " + garage.DistanceText(m, settings.DistanceUnit)
			}
		}
		items = append(items, item)
	}
	return items
}

// FittedForm is fitted pieces as typed.
type FittedForm struct {
	Version, Car, Quantity, Side, Grade, Supplier string
	FittedOn, EndedAs, EndedOn, Note              string
	Errors                                        garage.FieldErrors
}

// BlankFittedForm is the form of pieces of a part that are fitted today.
func BlankFittedForm(p garage.Part, today garage.Date) FittedForm {
	return FittedForm{Quantity: "1", Side: p.Side, Grade: p.Grade, Supplier: p.Supplier, FittedOn: today.String()}
}

// NewFittedForm is the form filled from what is stored.
func NewFittedForm(f garage.Fitted) FittedForm {
	return FittedForm{
		Version: strconv.FormatInt(f.Version, 10), Car: idText(f.CarID), Quantity: strconv.Itoa(f.Quantity), Side: f.Side, Grade: f.Grade,
		Supplier: f.Supplier, FittedOn: f.FittedOn.String(), EndedAs: f.EndedAs, EndedOn: dateText(f.EndedOn), Note: f.Note,
	}
}

// ReadFittedForm is the form as sent.
func ReadFittedForm(v url.Values) FittedForm {
	return FittedForm{
		Version: v.Get("version"), Car: v.Get("car"), Quantity: v.Get("quantity"), Side: v.Get("side"), Grade: v.Get("grade"),
		Supplier: v.Get("supplier"), FittedOn: v.Get("fitted_on"), EndedAs: v.Get("ended_as"), EndedOn: v.Get("ended_on"), Note: v.Get("note"),
	}
}

// Fitted reads what was typed over what is stored, and notes in Errors what does not parse or does not hold. What ended without a
// day ended today.
func (f *FittedForm) Fitted(over garage.Fitted, today garage.Date) garage.Fitted {
	var in fields
	over.Version, over.CarID, over.Quantity = version(f.Version), garage.CarID(in.id("car", f.Car)), in.int("quantity", f.Quantity)
	over.Side, over.Grade, over.Supplier, over.Note = f.Side, f.Grade, strings.TrimSpace(f.Supplier), strings.TrimSpace(f.Note)
	over.FittedOn, over.EndedOn, over.EndedAs = in.date("fitted_on", f.FittedOn), in.optionalDate("ended_on", f.EndedOn), f.EndedAs
	if over.EndedAs != "" && over.EndedOn == nil {
		over.EndedOn = &today
	}
	f.Errors = in.with(over.Validate())
	return over
}

// Conflict sets the form beside what is stored.
func (f FittedForm) Conflict(stored FittedForm) []ConflictRow {
	return []ConflictRow{
		{Field: "How many", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Side", Yours: f.Side, Stored: stored.Side},
		{Field: "Grade", Yours: f.Grade, Stored: stored.Grade},
		{Field: "Supplier", Yours: f.Supplier, Stored: stored.Supplier},
		{Field: "Fitted on", Yours: f.FittedOn, Stored: stored.FittedOn},
		{Field: "What became of it", Yours: f.EndedAs, Stored: stored.EndedAs},
		{Field: "On", Yours: f.EndedOn, Stored: stored.EndedOn},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var fittedFields = []ui.Option{
	{Value: "car", Text: "Car"},
	{Value: "quantity", Text: "How many"},
	{Value: "side", Text: "Side"},
	{Value: "grade", Text: "Grade"},
	{Value: "supplier", Text: "Supplier"},
	{Value: "fitted_on", Text: "Fitted on"},
	{Value: "ended_as", Text: "What became of it"},
	{Value: "ended_on", Text: "On"},
	{Value: "note", Text: "Note"},
}

var fittedEnds = []ui.Option{
	{Value: "", Text: "it is on the car"},
	{Value: garage.EndedFailed, Text: "it failed"},
	{Value: garage.EndedWorn, Text: "it was worn out"},
	{Value: garage.EndedReplaced, Text: "it was replaced before that"},
	{Value: garage.EndedOff, Text: "it was taken off and is still good"},
}

// FittedView is the page of that form.
type FittedView struct {
	Base
	Fitted garage.Fitted // its id is 0 for new ones
	Part   garage.Part
	Form   FittedForm
	Cars   []ui.Option
}

// NewFitted is the page of the form.
func NewFitted(base Base, f garage.Fitted, p garage.Part, form FittedForm, cars []garage.Car) FittedView {
	v := FittedView{Base: base, Fitted: f, Part: p, Form: form}
	for _, c := range cars {
		v.Cars = append(v.Cars, ui.Option{Value: idText(c.ID), Text: c.Name})
	}
	return v
}

func (v FittedView) action() string {
	if v.Fitted.ID == 0 {
		return route.FittedOf(v.Part.ID)
	}
	return route.Fitted(v.Fitted.ID)
}

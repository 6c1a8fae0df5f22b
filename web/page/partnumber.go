package page

import (
	"net/url"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// numberLines lists what a part goes by: each chain of numbers that replaced each other on a line, with whose they are.
func numberLines(p garage.Part) []string {
	var lines []string
	chain := false
	for _, n := range garage.ParseNumbers(p.OtherNumbers) {
		switch {
		case chain:
			lines[len(lines)-1] += " → " + n.Number
		case n.Whose != "":
			lines = append(lines, n.Whose+": "+n.Number)
		default:
			lines = append(lines, n.Number)
		}
		chain = n.ReplacedBy != ""
	}
	return lines
}

// replacedBy is the number to ask for in place of the part's own, or nothing.
func replacedBy(p garage.Part) string {
	newest := garage.NewestNumber(p.Number, garage.ParseNumbers(p.OtherNumbers))
	if garage.NormalNumber(newest) == garage.NormalNumber(p.Number) {
		return ""
	}
	return newest
}

// fitMood is how sure it is that a part fits.
func fitMood(known string) ui.Mood {
	switch known {
	case garage.FitChecked:
		return ui.Done
	case garage.FitNumber:
		return ui.Ready
	case garage.FitNot:
		return ui.Blocked
	}
	return ui.Waits
}

var fitOptions = []ui.Option{
	{Value: garage.FitChecked, Text: "fits: checked on the car", Hint: "It was held against the car, or came off it."},
	{Value: garage.FitNumber, Text: "fits by number", Hint: "The number is the one that the car's papers or its old part give."},
	{Value: garage.FitGuessed, Text: "should fit: guessed", Hint: "To be checked before the car is taken apart for it."},
	{Value: garage.FitNot, Text: "does not fit"},
}

// PartFitForm says whether a part fits a car, as typed.
type PartFitForm struct {
	Car    string
	Known  string
	Note   string
	Errors garage.FieldErrors
}

// ReadPartFitForm is the form as sent.
func ReadPartFitForm(v url.Values) PartFitForm {
	return PartFitForm{Car: v.Get("car"), Known: v.Get("known"), Note: v.Get("note")}
}

// Fit reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *PartFitForm) Fit(part garage.PartID) garage.PartFit {
	var in fields
	fit := garage.PartFit{PartID: part, CarID: garage.CarID(in.id("car", f.Car)), Known: f.Known, Note: f.Note}
	f.Errors = in.with(fit.Validate())
	return fit
}

var partFitFields = []ui.Option{{Value: "car", Text: "Car"}, {Value: "known", Text: "How it is known"}, {Value: "note", Text: "Note"}}

// PartFitView is the page of that form.
type PartFitView struct {
	Base
	Part garage.Part
	Form PartFitForm
	Cars []ui.Option
}

// NewPartFit is the page of the form; one that is known of the chosen car already fills it.
func NewPartFit(base Base, p garage.Part, form PartFitForm, fits []garage.PartFitRow, cars []garage.Car) PartFitView {
	v := PartFitView{Base: base, Part: p, Form: form}
	for _, f := range fits {
		if form.Known == "" && idText(f.CarID) == form.Car {
			v.Form.Known, v.Form.Note = f.Known, f.Note
		}
	}
	for _, c := range cars {
		v.Cars = append(v.Cars, ui.Option{Value: idText(c.ID), Text: c.Name})
	}
	return v
}

// PartTwinForm names the twin of a handed part, as typed.
type PartTwinForm struct {
	Part    string
	NewPart string
	Errors  garage.FieldErrors
}

// ReadPartTwinForm is the form as sent.
func ReadPartTwinForm(v url.Values) PartTwinForm {
	return PartTwinForm{Part: v.Get("part"), NewPart: v.Get("new_part")}
}

// Pick is the part that is named.
func (f PartTwinForm) Pick() garage.PartPick {
	return garage.PartPick{Text: f.Part, New: f.NewPart != ""}
}

var partTwinFields = []ui.Option{{Value: "part", Text: "The other side's"}, {Value: "new_part", Text: "The other side's"}}

// PartTwinView is the page of that form.
type PartTwinView struct {
	Base
	Part  garage.Part
	Side  string // the other one
	Form  PartTwinForm
	Parts []string // labels to offer
}

// NewPartTwin is the page of the form.
func NewPartTwin(base Base, p garage.Part, form PartTwinForm, labels []string) PartTwinView {
	return PartTwinView{Base: base, Part: p, Side: garage.OtherSide(p.Side), Form: form, Parts: labels}
}

// fitLine is a car that a part fits, or not.
type fitLine struct {
	id    garage.PartFitID
	car   string
	href  string
	note  string
	mood  ui.Mood
	known string
}

func fitLines(part garage.PartID, fits []garage.PartFitRow) []fitLine {
	var lines []fitLine
	for _, f := range fits {
		lines = append(lines, fitLine{
			id: f.ID, car: f.CarName, href: route.PartFitOn(part, f.CarID), note: f.Note, mood: fitMood(f.Known), known: f.Known,
		})
	}
	return lines
}

package page

import (
	"net/url"
	"slices"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// ReadingForm is an odometer reading as typed.
type ReadingForm struct {
	ReadOn   string
	Shown    string
	Note     string
	Unit     string
	Change   string
	OldShown string
	NewShown string
	Fast     string
	Errors   garage.FieldErrors
}

// NewReadingForm is the form for a reading of today.
func NewReadingForm(today garage.Date, unit string) ReadingForm {
	return ReadingForm{ReadOn: today.String(), Unit: unit}
}

// ReadReadingForm is the form as sent.
func ReadReadingForm(v url.Values) ReadingForm {
	return ReadingForm{
		ReadOn:   v.Get("read_on"),
		Shown:    v.Get("shown"),
		Note:     v.Get("note"),
		Unit:     v.Get("unit"),
		Change:   v.Get("change"),
		OldShown: v.Get("old_shown"),
		NewShown: v.Get("new_shown"),
		Fast:     v.Get("fast"),
	}
}

// Entry reads what was typed, and notes in Errors what does not parse.
func (f *ReadingForm) Entry() garage.ReadingEntry {
	var in fields
	entry := garage.ReadingEntry{
		ReadOn: in.date("read_on", f.ReadOn),
		Shown:  in.int("shown", f.Shown),
		Note:   strings.TrimSpace(f.Note),
		Unit:   f.Unit,
		Change: f.Change,
		Fast:   f.Fast != "",
	}
	if f.Change == garage.ClusterSwapped {
		entry.OldShown = in.int("old_shown", f.OldShown)
		entry.NewShown = in.intOr("new_shown", f.NewShown, 0)
	}
	f.Errors = in.Errors
	return entry
}

var readingFields = []ui.Option{
	{Value: "read_on", Text: "Day"},
	{Value: "shown", Text: "It shows"},
	{Value: "unit", Text: "Unit"},
	{Value: "fast", Text: "So far in so short a time"},
	{Value: "change", Text: "The odometer"},
	{Value: "old_shown", Text: "The old one showed"},
	{Value: "new_shown", Text: "The new one showed"},
	{Value: "note", Text: "Note"},
}

var odometerChanges = []ui.Option{
	{Value: "", Text: "is the same as before"},
	{Value: garage.ClusterSwapped, Text: "was swapped with its cluster"},
	{Value: garage.RolledOver, Text: "rolled over", Hint: "and started again from zero"},
}

// OdometerView is the page of a car's odometer.
type OdometerView struct {
	Base
	CarID    garage.CarID
	CarName  string
	Total    string
	Unit     string // of the odometer now; empty before the first reading
	AskFast  bool
	Change   bool // the fields about another odometer are in sight
	Form     ReadingForm
	Readings ui.TableData
}

// NewOdometer is the page of a car's odometer, newest reading first.
func NewOdometer(base Base, c garage.Car, o garage.Odometer, form ReadingForm, settings garage.Settings) OdometerView {
	v := OdometerView{
		Base: base, CarID: c.ID, CarName: c.Name, Form: form, Total: "No reading yet.",
		AskFast: form.Fast != "" || form.Errors["fast"] != "",
		Change:  form.Change != "" || form.Errors["change"] != "",
	}
	if last, ok := o.Last(); ok {
		v.Unit = last.Segment.Unit
		v.Total = "The car has run " + odometerText(o, settings.DistanceUnit) + "."
	}
	v.Readings = readingTable(c.ID, o, settings)
	return v
}

func readingTable(id garage.CarID, o garage.Odometer, settings garage.Settings) ui.TableData {
	t := ui.TableData{
		Caption: "All readings, newest entry first", Quiet: true,
		Columns: []ui.Column{{Head: "Day", Lead: true}, {Head: "It showed", Num: true}, {Head: "The car had run", Num: true}, {Head: "Note"}, {Head: ""}},
	}
	stands := map[garage.ReadingID]bool{}
	for _, s := range o.Standing() {
		stands[s.ID] = true
	}
	readOn := map[garage.ReadingID]garage.Date{}
	for _, r := range o.Readings {
		readOn[r.ID] = r.ReadOn
	}
	for _, r := range slices.Backward(o.Readings) {
		segment := o.Segment(r.SegmentID)
		shown := garage.DistanceText(segment.TotalMetres(r.Shown)-segment.OffsetM, segment.Unit)
		row := []ui.Cell{
			{Text: DayWords(r.ReadOn), Sub: segmentText(segment)}, {Text: shown}, {}, {Text: r.Note}, {},
		}
		switch {
		case r.Reverses != nil:
			row[3] = ui.Cell{Text: "reverses the reading of " + DayWords(readOn[*r.Reverses]), Sub: r.Note}
		case stands[r.ID]:
			row[2] = ui.Cell{Text: garage.DistanceText(segment.TotalMetres(r.Shown), settings.DistanceUnit)}
			row[4] = ui.Cell{Body: ui.PostButton(ui.Danger, "Reverse", route.ReadingReverse(id, r.ID))}
		default:
			row[3] = ui.Cell{Text: "reversed", Sub: r.Note}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func segmentText(s garage.OdometerSegment) string {
	switch s.Reason {
	case garage.ClusterSwapped:
		return "after the cluster was swapped"
	case garage.RolledOver:
		return "after it rolled over"
	}
	return ""
}

// odometerText is what a car has run by its newest reading.
func odometerText(o garage.Odometer, unit string) string {
	last, ok := o.Last()
	if !ok {
		return "no reading yet"
	}
	return garage.DistanceText(last.Metres, unit) + " on " + DayWords(last.ReadOn)
}

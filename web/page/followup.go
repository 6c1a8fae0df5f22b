package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// FollowUpForm is a follow-up as typed. In is how far the car still goes until then, in the unit of its odometer.
type FollowUpForm struct {
	Version string
	What    string
	DueOn   string
	In      string
	Errors  garage.FieldErrors
}

// NewFollowUpForm is the form filled from what is stored, seen from what the car has run.
func NewFollowUpForm(f garage.FollowUp, run *garage.Standing) FollowUpForm {
	form := FollowUpForm{Version: strconv.FormatInt(f.Version, 10), What: f.What, DueOn: dateText(f.DueOn)}
	if f.DueM != nil && run != nil {
		left := max(0, *f.DueM-run.Metres)
		form.In = strconv.FormatInt((left+int64(metresPerUnit(run.Segment.Unit)/2))/int64(metresPerUnit(run.Segment.Unit)), 10)
	}
	return form
}

func metresPerUnit(unit string) float64 {
	if unit == "mi" {
		return 1609.344
	}
	return 1000
}

// ReadFollowUpForm is the form as sent.
func ReadFollowUpForm(v url.Values) FollowUpForm {
	return FollowUpForm{Version: v.Get("version"), What: v.Get("what"), DueOn: v.Get("due_on"), In: v.Get("in")}
}

// FollowUp reads what was typed, and notes in Errors what does not parse or does not hold. A distance counts from what the car
// has run, nil when nobody knows.
func (f *FollowUpForm) FollowUp(car garage.CarID, run *garage.Standing) garage.FollowUp {
	var in fields
	v := garage.FollowUp{Version: version(f.Version), CarID: car, What: strings.TrimSpace(f.What), DueOn: in.optionalDate("due_on", f.DueOn)}
	v.DueM = in.runUntil("in", f.In, run)
	f.Errors = in.with(v.Validate())
	return v
}

// runUntil reads how far a car still goes until something is due, as what it has run by then; nil for nothing.
func (in *fields) runUntil(name, typed string, run *garage.Standing) *int64 {
	distance := in.optionalInt(name, typed)
	switch {
	case distance == nil:
	case *distance < 0 || *distance > 1_000_000:
		in.Errors.Add(name, "From 0 to 1,000,000.")
	case run == nil:
		in.Errors.Add(name, "The car has no odometer reading to count from. Enter one, or give a date.")
	default:
		return new(run.Metres + int64(float64(*distance)*metresPerUnit(run.Segment.Unit)))
	}
	return nil
}

// Conflict sets the form beside what is stored.
func (f FollowUpForm) Conflict(stored FollowUpForm) []ConflictRow {
	return []ConflictRow{
		{Field: "What", Yours: f.What, Stored: stored.What},
		{Field: "By", Yours: f.DueOn, Stored: stored.DueOn},
		{Field: "In", Yours: f.In, Stored: stored.In},
	}
}

// FollowUpFormView is the page of a follow-up's form.
type FollowUpFormView struct {
	Base
	ID   garage.FollowUpID
	Car  garage.Car
	Unit string
	Form FollowUpForm
}

// Action is where the form is sent.
func (v FollowUpFormView) Action() string {
	if v.ID == 0 {
		return route.FollowUps(v.Car.ID)
	}
	return route.FollowUp(v.ID)
}

// FollowUpsView lists the follow-ups of a car.
type FollowUpsView struct {
	Base
	Car  garage.Car
	Open []FollowUpItem
	Done []FollowUpItem
}

// FollowUpItem is a follow-up in the list.
type FollowUpItem struct {
	ID   garage.FollowUpID
	What string
	When string
	Mood ui.Mood
	Job  ui.Link
	Make string // the form of a job made of it
}

// NewFollowUps lists the follow-ups of a car, with the day on which its odometer gets there as it is driven.
func NewFollowUps(base Base, car garage.Car, rows []garage.FollowUpRow, odometer garage.Odometer, today garage.Date) FollowUpsView {
	v := FollowUpsView{Base: base, Car: car}
	for _, row := range rows {
		item := FollowUpItem{ID: row.ID, What: row.What, When: followUpWhen(row, today) + reachedWords(odometer, row.DueM, today), Mood: ui.Waits, Make: route.JobNewCalled(car.ID, row.What)}
		if row.Due(today) {
			item.Mood = ui.Ready
		}
		if row.JobID != nil && row.JobTitle != nil {
			item.Job = ui.Link{Text: *row.JobTitle, Href: route.Job(*row.JobID)}
			if row.Round {
				item.Job = ui.Link{Text: "Rounds of " + *row.JobTitle, Href: route.Rounds(*row.JobID)}
			}
		}
		if row.DoneAt != nil {
			item.Mood, item.When = ui.Done, joined(": ", "done", row.DoneNote)
			v.Done = append(v.Done, item)
			continue
		}
		v.Open = append(v.Open, item)
	}
	return v
}

// followUpWhen says when a follow-up is due: in 40 km, due Sat 6 Mar.
func followUpWhen(row garage.FollowUpRow, today garage.Date) string {
	var when []string
	if row.DueM != nil {
		text := "at " + garage.DistanceText(*row.DueM, row.Unit)
		if row.Metres != nil {
			switch left := *row.DueM - *row.Metres; {
			case left > 0:
				text = "in " + garage.DistanceText(left, row.Unit)
			case left == 0:
				text = "due now"
			default:
				text = garage.DistanceText(-left, row.Unit) + " past it"
			}
		}
		when = append(when, text)
	}
	if row.DueOn != nil {
		when = append(when, DueWords(*row.DueOn, today))
	}
	if len(when) == 0 {
		return "to be done"
	}
	return strings.Join(when, ", or ")
}

// reachedWords say when a car will have run so far as it is driven: about Fri 2 Apr. Nothing when it has, or when nobody knows.
func reachedWords(odometer garage.Odometer, due *int64, today garage.Date) string {
	last, read := odometer.Last()
	if due == nil || !read || last.Metres >= *due {
		return ""
	}
	day, known := odometer.Reaches(*due)
	if !known {
		return ""
	}
	return " (about " + shortDay(day, today) + " as it is driven)"
}

// AddCardNeeds puts among what needs the owner the cars that were left with something loose, and the follow-ups that are due.
func (v *TodayView) AddCardNeeds(loose []garage.LooseLeft, due []garage.FollowUpRow, today garage.Date) {
	var left []NeedsRow
	for _, l := range loose {
		left = append(left, NeedsRow{Title: l.CarName, Href: route.Card(l.JobID), Text: "left with something loose: " + l.Loose, Mood: ui.Loose})
	}
	for _, f := range due {
		if f.Due(today) {
			row := NeedsRow{Title: f.What, Href: route.FollowUps(f.CarID), Text: f.CarName + ": " + followUpWhen(f, today), Mood: ui.Ready}
			if f.Round && f.JobID != nil {
				row.Href = route.Rounds(*f.JobID)
			}
			v.Needs = append(v.Needs, row)
		}
	}
	v.Needs = append(left, v.Needs...)
}

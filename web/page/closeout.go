package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/ui"
)

// CloseOutForm is what was looked at before the car leaves, as typed.
type CloseOutForm struct {
	Version   string
	Tools     string
	Panels    string
	Levels    string
	Leftovers string
	RoadTest  string
	Shown     string // by the odometer now
	Follow    []FollowUpForm
	LookIn    string // how far the car still goes until then, in the unit of its odometer
	LookOn    string
	Errors    garage.FieldErrors
}

// followRows is how many follow-ups the form takes at once.
const followRows = 3

// NewCloseOutForm is the form filled from what is stored, with follow-ups still to be entered, seen from what the car has run.
func NewCloseOutForm(card garage.Card, run *garage.Standing) CloseOutForm {
	f := CloseOutForm{Version: "0", Follow: make([]FollowUpForm, followRows)}
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return ""
	}
	if c := card.CloseOut; c != nil {
		f.Version, f.Leftovers, f.RoadTest = strconv.FormatInt(c.Version, 10), c.Leftovers, c.RoadTest
		f.Tools, f.Panels, f.Levels = yes(c.Tools), yes(c.Panels), yes(c.Levels)
	}
	if card.LookBack != nil {
		left := NewFollowUpForm(garage.FollowUp{DueM: card.LookBack.DueM}, run)
		f.LookIn, f.LookOn = left.In, dateText(card.LookBack.DueOn)
	}
	return f
}

// ReadCloseOutForm is the form as sent.
func ReadCloseOutForm(v url.Values) CloseOutForm {
	f := CloseOutForm{
		Version: v.Get("version"), Tools: v.Get("tools"), Panels: v.Get("panels"), Levels: v.Get("levels"), Leftovers: v.Get("leftovers"),
		RoadTest: v.Get("road_test"), Shown: v.Get("shown"), LookIn: v.Get("look_in"), LookOn: v.Get("look_on"),
	}
	for i := range followRows {
		at := "follow." + strconv.Itoa(i) + "."
		f.Follow = append(f.Follow, FollowUpForm{What: v.Get(at + "what"), In: v.Get(at + "in"), DueOn: v.Get(at + "due_on")})
	}
	return f
}

// Reading is what the odometer shows on a day, in the unit in which it was read last or else in the garage's; false when nothing was
// typed, or that is noted already. What does not parse is noted in Errors.
func (f *CloseOutForm) Reading(run *garage.Standing, unit string, today garage.Date) (garage.ReadingEntry, bool) {
	if strings.TrimSpace(f.Shown) == "" {
		return garage.ReadingEntry{}, false
	}
	if run != nil {
		unit = run.Segment.Unit
	}
	var in fields
	entry := garage.ReadingEntry{ReadOn: today, Shown: in.int("shown", f.Shown), Unit: unit}
	f.Errors = in.Errors
	known := run != nil && run.ReadOn == today && run.Shown == entry.Shown
	return entry, len(f.Errors) == 0 && !known
}

// CloseOut reads what was typed, and notes in Errors what does not parse or does not hold. Distances count from what the car
// has run, nil when nobody knows; seen is what it had run when the form was filled.
func (f *CloseOutForm) CloseOut(card garage.Card, seen, run *garage.Standing, now time.Time) (garage.CloseOut, []garage.FollowUp, *garage.LookBack) {
	var in fields
	job := card.Sheet.Job
	out := garage.CloseOut{
		JobID: job.ID, Version: version(f.Version), Tools: f.Tools != "", Panels: f.Panels != "", Levels: f.Levels != "",
		Leftovers: strings.TrimSpace(f.Leftovers), RoadTest: strings.TrimSpace(f.RoadTest), At: now,
	}
	var follow []garage.FollowUp
	for i := range f.Follow {
		row := &f.Follow[i]
		if row.What == "" && row.In == "" && row.DueOn == "" {
			continue
		}
		follow = append(follow, row.FollowUp(job.CarID, run))
		for field, message := range row.Errors {
			in.Errors.Add("follow."+strconv.Itoa(i)+"."+field, message)
		}
	}
	look := &garage.LookBack{JobID: job.ID, DueOn: in.optionalDate("look_on", f.LookOn), DueM: in.runUntil("look_in", f.LookIn, run)}
	if stored := card.LookBack; stored != nil && f.LookIn == NewCloseOutForm(card, seen).LookIn {
		look.DueM = stored.DueM // not rounded once more
	}
	f.Errors.Merge(in.Errors)
	return out, follow, look
}

// labels name the fields in their order.
func (f CloseOutForm) labels() []ui.Option {
	labels := []ui.Option{{Value: "leftovers", Text: "Left over"}, {Value: "road_test", Text: "Road test"}, {Value: "shown", Text: "Odometer"}}
	for i := range f.Follow {
		for _, field := range []string{"what", "in", "due_on"} {
			labels = append(labels, ui.Option{Value: "follow." + strconv.Itoa(i) + "." + field, Text: "Follow-up " + strconv.Itoa(i+1)})
		}
	}
	return append(labels, ui.Option{Value: "look_in", Text: "Look back in"}, ui.Option{Value: "look_on", Text: "Look back on"})
}

// CloseOutView is the page of what is looked at before the car leaves.
type CloseOutView struct {
	Base
	Job     garage.Job
	CarName string
	Open    []string // steps that are not done, and rounds that go on
	Second  []string // steps that want a second look
	Unit    string
	About   string // how soon a distance is driven
	Last    string // what the odometer showed last
	Form    CloseOutForm
}

// NewCloseOut is that page, with what the card still has open. Distances are in the unit of the odometer, or where nobody read it
// in the garage's.
func NewCloseOut(base Base, card garage.Card, odometer garage.Odometer, unit string, today garage.Date, form CloseOutForm) CloseOutView {
	v := CloseOutView{Base: base, Job: card.Sheet.Job, CarName: card.Sheet.Car.Name, Unit: unit, Form: form}
	v.About = "From what its odometer shows."
	v.Last = "What it shows now. Distances below count from it."
	if last, read := odometer.Last(); read {
		v.Unit = last.Segment.Unit
		v.Last += " It showed " + garage.DistanceText(last.Segment.TotalMetres(last.Shown)-last.Segment.OffsetM, v.Unit) + " on " + DayWords(last.ReadOn) + "."
		far := int64(1000 * metresPerUnit(v.Unit))
		if day, known := odometer.Reaches(last.Metres + far); known {
			v.About += " " + garage.DistanceText(far, v.Unit) + " are run about " + shortDay(day, today) + "."
		}
	}
	rows := card.Rows()
	for _, r := range rows {
		if r.State != garage.StepDone {
			v.Open = append(v.Open, strconv.Itoa(r.Number)+". "+r.Text)
		}
	}
	if card.RoundsOpen() {
		v.Open = append(v.Open, "Rounds: "+RepeatWords(card))
	}
	for _, r := range garage.WantSecondLook(rows) {
		v.Second = append(v.Second, strconv.Itoa(r.Number)+". "+r.Text)
	}
	return v
}

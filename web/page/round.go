package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/ui"
)

// RoundForm is a round as typed.
type RoundForm struct {
	Observation string
	Reading     string
	NextIn      string // in the unit of the car's odometer
	NextOn      string
	Ended       string
	Errors      garage.FieldErrors
}

// ReadRoundForm is the form as sent.
func ReadRoundForm(v url.Values) RoundForm {
	return RoundForm{
		Observation: v.Get("observation"), Reading: v.Get("reading"), NextIn: v.Get("next_distance"), NextOn: v.Get("next_on"), Ended: v.Get("ended"),
	}
}

// Round reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *RoundForm) Round(job garage.JobID, unit string) garage.Round {
	var in fields
	r := garage.Round{
		JobID: job, Observation: strings.TrimSpace(f.Observation), Reading: strings.TrimSpace(f.Reading), Ended: strings.TrimSpace(f.Ended),
		NextOn: in.optionalDate("next_on", f.NextOn),
	}
	if distance := in.optionalInt("next_distance", f.NextIn); distance != nil {
		if *distance <= 0 || *distance > 1_000_000 {
			in.Errors.Add("next_distance", "From 1 to 1,000,000, or nothing.")
		} else {
			r.NextDistanceM = new(int64(float64(*distance) * metresPerUnit(unit)))
		}
	}
	f.Errors = in.with(r.Validate())
	return r
}

var roundLabels = []ui.Option{
	{Value: "observation", Text: "What was seen"},
	{Value: "reading", Text: "Reading"},
	{Value: "next_distance", Text: "Next round in"},
	{Value: "next_on", Text: "Next round on"},
	{Value: "ended", Text: "It is as it should be"},
}

// RepeatForm is what must be seen before the rounds end, as typed.
type RepeatForm struct {
	Until  string
	Errors garage.FieldErrors
}

// RoundOptions are how the rounds of a job are looked at.
type RoundOptions struct {
	Photos   map[garage.RoundID][]garage.PhotoUse
	Odometer garage.Odometer
	Unit     string // of the car's odometer
	Zone     *time.Location
	Today    garage.Date
	Form     RoundForm
	Repeat   RepeatForm
	Prefix   string // of a helper's addresses
}

// RoundsView is the rounds of a job side by side.
type RoundsView struct {
	Base
	Job     garage.Job
	CarName string
	Until   string
	Rounds  []RoundView
	Next    int // the number of the next one; 0 when there is none
	Ended   bool
	Fixed   bool // nothing can be noted: the job is closed, or a helper looks at it
	Helper  bool
	Prefix  string
	Unit    string
	Form    RoundForm
	Repeat  RepeatForm
}

// RoundView is one round.
type RoundView struct {
	ID      garage.RoundID
	Number  int
	When    string
	Seen    string
	Reading string
	Photos  PhotoStripView
	Next    string
	Ended   string
	Last    bool
}

// NewRounds lays the rounds of a job side by side.
func NewRounds(base Base, card garage.Card, o RoundOptions) RoundsView {
	job := card.Sheet.Job
	v := RoundsView{
		Base: base, Job: job, CarName: card.Sheet.Car.Name, Until: card.RepeatUntil, Ended: card.RoundsEnded(), Unit: o.Unit, Form: o.Form,
		Repeat: o.Repeat, Prefix: o.Prefix, Helper: o.Prefix != "", Fixed: job.ClosedAt != nil || o.Prefix != "",
	}
	for i, r := range card.Rounds {
		of := garage.PhotoSubject{Kind: garage.PhotoOfRound, ID: int64(r.ID)}
		round := RoundView{
			ID: r.ID, Number: r.Number, When: InstantWords(r.At.In(o.Zone)), Seen: r.Observation, Reading: r.Reading, Ended: r.Ended,
			Photos: NewPhotoStrip(of, o.Photos[r.ID], o.Zone), Last: i == len(card.Rounds)-1,
		}
		round.Next = nextRoundWords(r, o.Unit, o.Today) + roundReached(card, r, o)
		v.Rounds = append(v.Rounds, round)
	}
	if !v.Fixed && card.RoundsOpen() {
		v.Next = len(card.Rounds) + 1
	}
	return v
}

// nextRoundWords say when the round after one was to be: after 200 km, or on Sat 13 Mar.
func nextRoundWords(r garage.Round, unit string, today garage.Date) string {
	var when []string
	if r.NextDistanceM != nil {
		when = append(when, "after "+garage.DistanceText(*r.NextDistanceM, unit))
	}
	if r.NextOn != nil {
		when = append(when, shortDay(*r.NextOn, today))
	}
	return strings.Join(when, ", or ")
}

// roundReached says when the car gets to the next round as it is driven, while that is still to come.
func roundReached(card garage.Card, r garage.Round, o RoundOptions) string {
	for _, f := range card.Follow {
		if r.FollowUpID != nil && f.ID == *r.FollowUpID && f.DoneAt == nil {
			return reachedWords(o.Odometer, f.DueM, o.Today)
		}
	}
	return ""
}

// RepeatWords say how a job's rounds stand: 2 rounds so far, until it runs clear.
func RepeatWords(card garage.Card) string {
	n := len(card.Rounds)
	switch {
	case card.RoundsEnded():
		return countWords(n, "round", "rounds") + ": " + card.Rounds[n-1].Ended
	case card.RepeatUntil == "" && n == 0:
		return ""
	case card.RepeatUntil == "":
		return countWords(n, "round", "rounds")
	case n == 0:
		return "until " + card.RepeatUntil
	}
	return countWords(n, "round", "rounds") + " so far, until " + card.RepeatUntil
}

// Head names a round.
func (r RoundView) Head() string { return "Round " + strconv.Itoa(r.Number) }

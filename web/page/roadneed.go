package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// How often a road need is.
const (
	everyWeek = "weekly"
	justOnce  = "once"
)

// RoadNeedForm is a road need as typed. Times are of the garage's zone.
type RoadNeedForm struct {
	ID       garage.RoadNeedID // zero for a new one
	CarID    garage.CarID
	Version  string
	Why      string
	How      string // weekly or once
	Weekdays []string
	From     string
	To       string // 00:00 is the end of the day
	StartsAt string
	EndsAt   string
	Errors   garage.FieldErrors
}

const instantLayout = "2006-01-02T15:04"

// NewRoadNeedForm is the form filled from what is stored.
func NewRoadNeedForm(n garage.RoadNeed, zone *time.Location) RoadNeedForm {
	f := RoadNeedForm{ID: n.ID, CarID: n.CarID, Version: strconv.FormatInt(n.Version, 10), Why: n.Why, How: everyWeek}
	if n.StartsAt != nil {
		f.How = justOnce
		f.StartsAt, f.EndsAt = n.StartsAt.In(zone).Format(instantLayout), n.EndsAt.In(zone).Format(instantLayout)
		return f
	}
	for _, d := range n.Weekdays {
		f.Weekdays = append(f.Weekdays, strconv.Itoa(d))
	}
	if n.ToMinute > 0 {
		f.From, f.To = clockText(n.FromMinute), clockText(n.ToMinute%dayMinutes)
	}
	return f
}

const dayMinutes = 24 * 60

// ReadRoadNeedForm is the form as sent.
func ReadRoadNeedForm(v url.Values) RoadNeedForm {
	return RoadNeedForm{
		Version:  v.Get("version"),
		Why:      v.Get("why"),
		How:      v.Get("how"),
		Weekdays: v["weekdays"],
		From:     v.Get("from"),
		To:       v.Get("to"),
		StartsAt: v.Get("starts_at"),
		EndsAt:   v.Get("ends_at"),
	}
}

// RoadNeed reads what was typed, and notes in Errors what does not parse or does not hold. Only the fields that belong to how
// often it is are read.
func (f *RoadNeedForm) RoadNeed(zone *time.Location) garage.RoadNeed {
	var in fields
	n := garage.RoadNeed{ID: f.ID, CarID: f.CarID, Version: version(f.Version), Why: strings.TrimSpace(f.Why)}
	switch f.How {
	case justOnce:
		n.StartsAt = in.optionalInstant("starts_at", f.StartsAt, zone)
		n.EndsAt = in.optionalInstant("ends_at", f.EndsAt, zone)
		if f.StartsAt == "" {
			in.Errors.Add("starts_at", "Give the start.")
		}
		if f.EndsAt == "" {
			in.Errors.Add("ends_at", "Give the end.")
		}
	case everyWeek:
		for _, d := range f.Weekdays {
			n.Weekdays = append(n.Weekdays, int(in.id("weekdays", d)))
		}
		n.FromMinute = in.minuteOfDay("from", f.From)
		if n.ToMinute = in.minuteOfDay("to", f.To); n.ToMinute == 0 {
			n.ToMinute = dayMinutes
		}
	default:
		in.Errors.Add("how", "Choose one of the list.")
	}
	if in.Errors.Err() == nil {
		in.Errors = in.with(n.Validate())
	}
	f.Errors = in.Errors
	return n
}

// Conflict sets the form beside what is stored.
func (f RoadNeedForm) Conflict(stored RoadNeedForm) []ConflictRow {
	days := func(f RoadNeedForm) string { return strings.Join(weekdayNames(f.Weekdays), ", ") }
	return []ConflictRow{
		{Field: "Why", Yours: f.Why, Stored: stored.Why},
		{Field: "How often", Yours: f.How, Stored: stored.How},
		{Field: "Weekdays", Yours: days(f), Stored: days(stored)},
		{Field: "From", Yours: f.From, Stored: stored.From},
		{Field: "To", Yours: f.To, Stored: stored.To},
		{Field: "Starts", Yours: f.StartsAt, Stored: stored.StartsAt},
		{Field: "Ends", Yours: f.EndsAt, Stored: stored.EndsAt},
	}
}

func weekdayNames(days []string) []string {
	var names []string
	for _, d := range days {
		if n, err := strconv.Atoi(d); err == nil && n >= 1 && n <= 7 {
			names = append(names, Weekdays[n-1])
		}
	}
	return names
}

var roadNeedFields = []ui.Option{
	{Value: "why", Text: "Why"},
	{Value: "how", Text: "How often"},
	{Value: "weekdays", Text: "Weekdays"},
	{Value: "from", Text: "From"},
	{Value: "to", Text: "To"},
	{Value: "starts_at", Text: "Starts"},
	{Value: "ends_at", Text: "Ends"},
}

var roadNeedHow = []ui.Option{
	{Value: everyWeek, Text: "every week", Hint: "on the weekdays, from and to below"},
	{Value: justOnce, Text: "once", Hint: "from the start to the end below"},
}

func weekdayOptions() []ui.Option {
	var options []ui.Option
	for i, name := range Weekdays {
		options = append(options, ui.Option{Value: strconv.Itoa(i + 1), Text: name})
	}
	return options
}

func (f RoadNeedForm) action() string {
	if f.ID == 0 {
		return route.RoadNeeds(f.CarID)
	}
	return route.RoadNeed(f.ID)
}

// RoadNeedView is the page of a road need's form.
type RoadNeedView struct {
	Base
	CarID   garage.CarID
	CarName string
	Form    RoadNeedForm
}

// roadNeedItem is a road need as a line of its car's page.
func roadNeedItem(n garage.RoadNeed, settings garage.Settings) ui.ListItem {
	item := ui.ListItem{Title: n.Why, Href: route.RoadNeedEdit(n.ID), Sub: roadNeedText(n, settings.Location())}
	if item.Title == "" {
		item.Title, item.Sub = item.Sub, ""
	}
	return item
}

func roadNeedText(n garage.RoadNeed, zone *time.Location) string {
	if n.StartsAt == nil {
		return daysText(n.Weekdays) + " " + clockText(n.FromMinute) + " to " + clockText(n.ToMinute)
	}
	from, to := n.StartsAt.In(zone), n.EndsAt.In(zone)
	start := DayWords(garage.DateOf(from)) + " " + from.Format("15:04") + " to "
	if garage.DateOf(from) == garage.DateOf(to) {
		return start + to.Format("15:04")
	}
	return start + DayWords(garage.DateOf(to)) + " " + to.Format("15:04")
}

// daysText names weekdays, runs of three and more by their ends.
func daysText(days []int) string {
	days = slices.Sorted(slices.Values(days))
	var runs []string
	for i := 0; i < len(days); {
		j := i
		for j+1 < len(days) && days[j+1] == days[j]+1 {
			j++
		}
		first, last := Weekdays[days[i]-1][:3], Weekdays[days[j]-1][:3]
		switch j - i {
		case 0:
			runs = append(runs, first)
		case 1:
			runs = append(runs, first, last)
		default:
			runs = append(runs, first+" to "+last)
		}
		i = j + 1
	}
	return strings.Join(runs, ", ")
}

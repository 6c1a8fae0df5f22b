package garage

import (
	"cmp"
	"slices"
	"time"
)

// PatternID names a line of the weekly pattern.
type PatternID int64

// SessionPattern is a stretch of time the owner can work every week.
type SessionPattern struct {
	ID         PatternID
	Version    int64
	Weekday    int // 1 Monday to 7 Sunday
	FromMinute int
	ToMinute   int
	Helpers    int
}

// Validate says which fields do not hold.
func (p SessionPattern) Validate() error {
	var e FieldErrors
	if p.Weekday < 1 || p.Weekday > 7 {
		e.Add("weekday", "Choose from Monday to Sunday.")
	}
	e.span(p.FromMinute, p.ToMinute)
	e.helpers("helpers", p.Helpers)
	return e.Err()
}

func (e *FieldErrors) span(from, to int) {
	if from < 0 || to > 1440 || from >= to {
		e.Add("to", "The end must come after the start, on the same day.")
	}
}

// ExceptionID names an exception from the weekly pattern.
type ExceptionID int64

// SessionException changes one date: off, or a session of its own. A date with exceptions follows them alone.
type SessionException struct {
	ID         ExceptionID
	Version    int64
	OnDate     Date
	Off        bool
	FromMinute int
	ToMinute   int
	Helpers    int
	Note       string
}

// Validate says which fields do not hold.
func (x SessionException) Validate() error {
	var e FieldErrors
	if x.OnDate.IsZero() {
		e.Add("on_date", "Give the date.")
	}
	if !x.Off {
		e.span(x.FromMinute, x.ToMinute)
	}
	e.helpers("helpers", x.Helpers)
	e.text("note", x.Note)
	return e.Err()
}

// Session is a stretch of time the owner can work, with the number of helpers present.
type Session struct {
	From    time.Time
	To      time.Time
	Helpers int
}

// Sessions lays the weekly pattern and its exceptions over the days from first to last, in order. Spans of one day that
// overlap are joined, with the fewer helpers where both have a say.
func Sessions(patterns []SessionPattern, exceptions []SessionException, first, last Date, zone *time.Location) []Session {
	var all []Session
	for day := first; !last.Before(day); day = day.AddDays(1) {
		all = append(all, sessionsOf(day, patterns, exceptions, zone)...)
	}
	return all
}

func sessionsOf(day Date, patterns []SessionPattern, exceptions []SessionException, zone *time.Location) []Session {
	var found []Session
	changed := false
	for _, x := range exceptions {
		if x.OnDate != day {
			continue
		}
		changed = true
		if !x.Off {
			found = append(found, sessionOn(day, x.FromMinute, x.ToMinute, x.Helpers, zone))
		}
	}
	if !changed {
		for _, p := range patterns {
			if p.Weekday == day.Weekday() {
				found = append(found, sessionOn(day, p.FromMinute, p.ToMinute, p.Helpers, zone))
			}
		}
	}
	return join(found)
}

// sessionOn reads wall-clock minutes of a day; a time that the zone skips moves on with the clock.
func sessionOn(day Date, from, to, helpers int, zone *time.Location) Session {
	at := func(minute int) time.Time {
		return time.Date(day.Year, day.Month, day.Day, 0, minute, 0, 0, zone)
	}
	return Session{From: at(from), To: at(to), Helpers: helpers}
}

func join(sessions []Session) []Session {
	slices.SortFunc(sessions, func(a, b Session) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.Helpers, b.Helpers))
	})
	var joined []Session
	for _, s := range sessions {
		if !s.From.Before(s.To) {
			continue
		}
		if n := len(joined); n > 0 && s.From.Before(joined[n-1].To) {
			if s.To.After(joined[n-1].To) {
				joined[n-1].To = s.To
			}
			joined[n-1].Helpers = min(joined[n-1].Helpers, s.Helpers)
			continue
		}
		joined = append(joined, s)
	}
	return joined
}

// ToolID names a special tool.
type ToolID int64

// Tool is a special tool. A borrowed one is here only from HereFrom to HereTo, both days included.
type Tool struct {
	ID        ToolID
	Version   int64
	Name      string
	Capacity  int
	HereFrom  *Date
	HereTo    *Date
	Note      string
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (t Tool) Validate() error {
	var e FieldErrors
	e.name("name", t.Name)
	if t.Capacity < 1 || t.Capacity > 99 {
		e.Add("capacity", "From 1 to 99.")
	}
	if t.HereFrom != nil && t.HereTo != nil && t.HereTo.Before(*t.HereFrom) {
		e.Add("here_to", "It goes back before it comes.")
	}
	e.text("note", t.Note)
	return e.Err()
}

package planner

import (
	"encoding/json"
	"fmt"
	"time"
)

// Moment is a point in time, or a whole day. What a day stands for, its start
// or its end, depends on the field that holds it. The zero Moment is none.
type Moment struct {
	Time time.Time // the instant; for a day any time in it
	Day  bool
}

// At is the moment of an instant.
func At(t time.Time) Moment { return Moment{Time: t} }

// On is a whole day.
func On(year int, month time.Month, day int) Moment {
	return Moment{Time: time.Date(year, month, day, 0, 0, 0, 0, time.UTC), Day: true}
}

// IsZero says whether there is no moment.
func (m Moment) IsZero() bool { return m.Time.IsZero() }

// String is the moment as a problem file has it.
func (m Moment) String() string {
	switch {
	case m.IsZero():
		return ""
	case m.Day:
		return m.Time.Format(time.DateOnly)
	}
	return m.Time.Format(time.RFC3339)
}

// MarshalJSON writes an RFC 3339 time, a date, or null.
func (m Moment) MarshalJSON() ([]byte, error) {
	if m.IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(m.String())
}

// UnmarshalJSON reads what MarshalJSON writes.
func (m *Moment) UnmarshalJSON(b []byte) error {
	var s *string
	if err := json.Unmarshal(b, &s); err != nil || s == nil {
		*m = Moment{}
		return err
	}
	got, ok := parseMoment(*s, time.UTC)
	if !ok {
		return fmt.Errorf("%q is not a time", *s)
	}
	*m = got
	return nil
}

// Times is a moment as low, likely and high.
type Times [3]Moment

// Sure is a moment that is known exactly.
func Sure(m Moment) *Times { return &Times{m, m, m} }

// Range is a number as low, likely and high.
type Range [3]int

// Exactly is a number that is known exactly.
func Exactly(n int) Range { return Range{n, n, n} }

// IsZero says whether the range was left out.
func (r Range) IsZero() bool { return r == Range{} }

var localLayouts = []string{"2006-01-02T15:04", "2006-01-02T15:04:05"}

// parseMoment reads RFC 3339, a local time in the zone, or a date.
func parseMoment(s string, zone *time.Location) (Moment, bool) {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return Moment{Time: t, Day: true}, sane(t)
	}
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return At(t.In(zone)), sane(t)
	}
	for _, layout := range localLayouts {
		if t, err := time.ParseInLocation(layout, s, zone); err == nil {
			return At(t), sane(t)
		}
	}
	return Moment{}, false
}

// sane keeps years where neither the arithmetic nor the four digits of a year
// give out.
func sane(t time.Time) bool { return t.Year() >= 1971 && t.Year() <= 9000 }

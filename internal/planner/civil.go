package planner

import "time"

// Civil days of a zone. Days have 23 to 25 hours, and midnight need not exist.

var weekdayNames = [...]string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// midnight is the first instant of a day.
func midnight(year int, month time.Month, day int, zone *time.Location) time.Time {
	want := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	t := time.Date(year, month, day, 0, 0, 0, 0, zone)
	for _, near := range []time.Time{t.Add(-24 * time.Hour), t.Add(24 * time.Hour)} {
		_, offset := near.Zone()
		if c := want.Add(-time.Duration(offset) * time.Second).In(zone); c.Day() == want.Day() && c.Hour() == 0 && c.Before(t) {
			t = c // midnight comes twice when clocks go back over it
		}
	}
	if t.Day() == want.Day() && t.Hour() == 0 && t.Minute() == 0 {
		return t
	}
	// Midnight was skipped: the day starts where the clocks changed.
	if from, to := t.ZoneBounds(); t.Day() == want.Day() && !from.IsZero() {
		return from.In(zone)
	} else if !to.IsZero() {
		return to.In(zone)
	}
	return t
}

// dayStart is the moment, a day standing for its start.
func dayStart(m Moment, zone *time.Location) time.Time {
	if !m.Day {
		return m.Time
	}
	y, mon, d := m.Time.Date()
	return midnight(y, mon, d, zone)
}

// dayEnd is the moment, a day standing for its end.
func dayEnd(m Moment, zone *time.Location) time.Time {
	if !m.Day {
		return m.Time
	}
	y, mon, d := m.Time.Date()
	return midnight(y, mon, d+1, zone)
}

// dayNumber counts civil days, so that they can be added and averaged.
func dayNumber(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// startOfDay is the first instant of the day with that number.
func startOfDay(n int, zone *time.Location) time.Time {
	y, m, d := time.Unix(int64(n)*86400, 0).UTC().Date()
	return midnight(y, m, d, zone)
}

// minute rounds down to whole minutes since the epoch, minuteUp rounds up.
func minute(t time.Time) int { return int(floorDiv(t.Unix(), 60)) }

func minuteUp(t time.Time) int {
	m := minute(t)
	if int64(m)*60 < t.Unix() || t.Nanosecond() > 0 {
		m++
	}
	return m
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

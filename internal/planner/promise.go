package planner

import (
	"math"
	"time"
)

// When something uncertain is counted on: at the asked confidence.

// confidence is the asked confidence in millionths.
func (m *model) confidence() int {
	c := m.p.Confidence
	if c == 0 {
		c = DefaultConfidence
	}
	return int(math.Round(c * 1e6))
}

// quantile is the value at the asked confidence on the line through (0.1,
// low), (0.5, likely), (0.9, high), rounded up.
func (m *model) quantile(low, likely, high int) int {
	from, span, share := likely, high-likely, m.confidence()-500_000
	if share < 0 {
		from, span, share = low, likely-low, share+400_000
	}
	share = min(max(share, 0), 400_000)
	return from + (span*share+399_999)/400_000
}

// arrival is the minute from which something can be used: whole days where
// all three values are dates. It is never before now.
func (m *model) arrival(t Times) int {
	if t[0].Day && t[1].Day && t[2].Day {
		day := m.quantile(dayNumber(t[0].Time), dayNumber(t[1].Time), dayNumber(t[2].Time))
		return max(m.now, minuteUp(startOfDay(day+1, m.zone)))
	}
	var at [3]int
	for i := range t {
		at[i] = minuteUp(dayEnd(t[i], m.zone))
	}
	return max(m.now, m.quantile(at[0], at[1], at[2]))
}

// orderArrives is the minute from which a part ordered now can be used.
func (m *model) orderArrives(lead Range) int {
	today := dayNumber(m.p.Now.In(m.zone))
	return minuteUp(startOfDay(today+m.quantile(lead[0], lead[1], lead[2])+1, m.zone))
}

// orderBy is the last day on which an order still comes in time for a start.
func (m *model) orderBy(lead Range, start time.Time) Moment {
	day := dayNumber(start) - m.quantile(lead[0], lead[1], lead[2]) - 1
	return Moment{Time: time.Unix(int64(day)*86400, 0).UTC(), Day: true}
}

// workingDays is when outside work of n days ends: with the n-th whole working
// day after it began. Whole weeks are stepped over at once.
func (m *model) workingDays(n int, names []string) func(start int) int {
	var works [7]bool
	perWeek := 0
	for i, name := range weekdayNames {
		works[i] = len(names) == 0 && i > 0 && i < 6
		for _, want := range names {
			works[i] = works[i] || want == name
		}
		if works[i] {
			perWeek++
		}
	}
	return func(start int) int {
		if n == 0 {
			return start
		}
		day := m.days.next(start)
		day += (n - 1) / perWeek * 7
		for left := (n-1)%perWeek + 1; ; day++ {
			if works[(day%7+7+4)%7] { // day 0 was a Thursday
				if left--; left == 0 {
					return m.days.start(day + 1)
				}
			}
		}
	}
}

// time is a minute as a time in the zone.
func (m *model) time(minute int) time.Time { return time.Unix(int64(minute)*60, 0).In(m.zone) }

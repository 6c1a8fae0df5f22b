package planner

import (
	"sort"
	"time"
)

// dayStarts knows when the days of a zone start, from now on and for about as long as a plan may go: a plan asks for them over
// and over.
type dayStarts struct {
	zone   *time.Location
	first  int   // a day's number
	starts []int // in minutes, rounded up
}

// tableDays is for how many days from now on starts are kept.
const tableDays = 400

func newDayStarts(p Problem, zone *time.Location) *dayStarts {
	d := &dayStarts{zone: zone, first: dayNumber(p.Now.In(zone))}
	for i := range p.Jobs {
		for k := range p.Jobs[i].Stages {
			if p.Jobs[i].Stages[k].Kind != Outside {
				continue
			}
			for day := range tableDays {
				d.starts = append(d.starts, minuteUp(startOfDay(d.first+day, zone)))
			}
			return d
		}
	}
	return d
}

// start is when a day starts.
func (d *dayStarts) start(day int) int {
	if i := day - d.first; i >= 0 && i < len(d.starts) {
		return d.starts[i]
	}
	return minuteUp(startOfDay(day, d.zone))
}

// next is the first day that starts at a time or after it.
func (d *dayStarts) next(t int) int {
	if i := sort.SearchInts(d.starts, t); i > 0 && i < len(d.starts) {
		return d.first + i
	}
	day := dayNumber(time.Unix(int64(t)*60, 0).In(d.zone))
	if minute(startOfDay(day, d.zone)) < t {
		day++
	}
	return day
}

package planner

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"axlestand/internal/schedule"
)

// model is a problem in the solver's terms. Everything is numbered in the
// order of its id, so that the order in the file has no say.
type model struct {
	p    Problem
	zone *time.Location
	now  int

	cars, access, closing, parts, jobs, tools ids

	carList     []Car
	accessList  []Access
	closingList []Closing
	partList    []Part
	jobList     []Job
	toolList    []Resource

	days    *dayStarts
	problem schedule.Problem
}

// ids finds numbers by id.
type ids map[string]int

// number sorts a list by id and numbers it.
func number[T any](list []T, id func(T) string) ([]T, ids) {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b T) int { return strings.Compare(id(a), id(b)) })
	at := make(ids, len(list))
	for i, x := range list {
		at[id(x)] = i
	}
	return list, at
}

func newModel(p Problem) *model {
	zone, _ := loadZone(p.Zone)
	m := &model{p: p, zone: zone, now: minuteUp(p.Now), days: newDayStarts(p, zone)}
	m.carList, m.cars = number(p.Cars, func(c Car) string { return c.ID })
	m.accessList, m.access = number(p.Access, func(a Access) string { return a.ID })
	m.closingList, m.closing = number(p.Closing, func(c Closing) string { return c.ID })
	m.partList, m.parts = number(p.Parts, func(p Part) string { return p.ID })
	m.jobList, m.jobs = number(p.Jobs, func(j Job) string { return j.ID })
	tools := slices.DeleteFunc(slices.Clone(p.Resources), func(r Resource) bool { return r.ID == Lift })
	m.toolList, m.tools = number(tools, func(r Resource) string { return r.ID })
	m.problem = schedule.Problem{Now: m.now, Move: p.ChangeCarMinutes, Effort: p.Effort}
	for _, r := range p.Resources {
		if r.ID == Lift {
			m.problem.HasPlace, m.problem.Places = true, r.Capacity
		}
	}
	m.convertSessions()
	m.convertTools()
	m.convertCars()
	m.convertParts()
	for i := range m.jobList {
		m.problem.Jobs = append(m.problem.Jobs, m.convertJob(&m.jobList[i]))
	}
	m.convertPrevious()
	return m
}

// convertPrevious tells the solver where stages stood before. What is over by
// now is no place to keep.
func (m *model) convertPrevious() {
	for _, e := range m.p.Previous {
		j, known := m.jobs[e.Job]
		if !known || minute(e.From) < m.now {
			continue
		}
		stage := slices.IndexFunc(m.jobList[j].Stages, func(s Stage) bool { return s.ID == e.Stage })
		if stage >= 0 {
			m.problem.Jobs[j].Stages[stage].Before = minute(e.From)
		}
	}
}

func (m *model) convertSessions() {
	for _, s := range m.p.Sessions {
		span := schedule.Span{From: max(m.now, minuteUp(s.From)), To: minute(s.To)}
		if span.From < span.To {
			m.problem.Sessions = append(m.problem.Sessions, schedule.Session{Span: span, Helpers: s.Helpers})
		}
	}
	slices.SortFunc(m.problem.Sessions, func(a, b schedule.Session) int { return a.From - b.From })
}

// joined sorts spans and joins those that touch.
func joined(spans []schedule.Span) []schedule.Span {
	slices.SortFunc(spans, func(a, b schedule.Span) int { return cmp.Or(a.From-b.From, a.To-b.To) })
	out := []schedule.Span{}
	for _, s := range spans {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
		} else if s.From < s.To {
			out = append(out, s)
		}
	}
	return out
}

func (m *model) convertTools() {
	for _, r := range m.toolList {
		t := schedule.Tool{Capacity: r.Capacity}
		if r.Windows != nil {
			spans := []schedule.Span{}
			for _, w := range r.Windows {
				spans = append(spans, schedule.Span{From: minuteUp(dayStart(w.From, m.zone)), To: minute(dayEnd(w.To, m.zone))})
			}
			t.Windows = joined(spans)
		}
		m.problem.Tools = append(m.problem.Tools, t)
	}
}

func (m *model) convertCars() {
	for _, c := range m.carList {
		s := schedule.Subject{Arrives: m.now, Placed: c.OnLift, Stuck: c.Immobile}
		if c.Arrives != nil {
			s.Arrives = m.arrival(*c.Arrives)
		}
		for _, r := range c.RoadNeeds {
			if span := (schedule.Span{From: minute(r.From), To: minuteUp(r.To)}); span.To > m.now {
				s.Blackouts = append(s.Blackouts, span)
			}
		}
		s.Blackouts = joined(s.Blackouts)
		m.problem.Subjects = append(m.problem.Subjects, s)
	}
	for _, a := range m.accessList {
		s := schedule.Setup{Subject: m.cars[a.Car], Open: a.OpenMinutes, Close: a.CloseMinutes, Stays: a.Stays, IsOpen: a.Open}
		for _, id := range a.Inside {
			s.Inside = append(s.Inside, m.access[id])
		}
		slices.Sort(s.Inside)
		m.problem.Setups = append(m.problem.Setups, s)
	}
	for _, c := range m.closingList {
		m.problem.Closings = append(m.problem.Closings, schedule.Closing{
			Subject: m.cars[c.Car], Minutes: c.Minutes, Helpers: c.Needs[Helpers],
		})
	}
}

func (m *model) convertParts() {
	for _, p := range m.partList {
		out := schedule.Material{OnHand: p.OnHand}
		for _, a := range p.Arrivals {
			lot := schedule.Lot{Qty: a.Qty, Job: schedule.None}
			if a.At != nil {
				lot.At = m.arrival(*a.At)
			} else {
				lot.Job = m.jobs[a.FromJob]
			}
			out.Lots = append(out.Lots, lot)
		}
		slices.SortFunc(out.Lots, func(a, b schedule.Lot) int { return cmp.Or(a.At-b.At, a.Job-b.Job, a.Qty-b.Qty) })
		if p.OrderLeadDays != nil {
			out.Orderable, out.OrderAt = true, m.orderArrives(*p.OrderLeadDays)
		}
		m.problem.Materials = append(m.problem.Materials, out)
	}
}

// milli turns weights and prices into whole thousandths.
func milli(x float64) int64 { return int64(math.Round(x * 1000)) }

func (m *model) convertJob(j *Job) schedule.Job {
	out := schedule.Job{
		Subject: m.cars[j.Car], Weight: milli(j.Weight), Release: m.now, Pin: schedule.None,
	}
	if !j.NotBefore.IsZero() {
		out.Release = minuteUp(dayStart(j.NotBefore, m.zone))
	}
	if !j.Due.IsZero() {
		out.Due = minute(dayEnd(j.Due, m.zone))
		out.LatePerDay, out.LateOnce = milli(j.LateCostPerDay), milli(j.LateCost)
	}
	for _, d := range j.Dues {
		out.MoreDues = append(out.MoreDues, schedule.Due{
			At: minute(dayEnd(d.At, m.zone)), PerDay: milli(d.LateCostPerDay), Once: milli(d.LateCost),
		})
	}
	if !j.Pin.IsZero() {
		out.Pinned, out.PinAt = true, minute(dayStart(j.Pin, m.zone))
		for _, s := range m.p.Sessions {
			if minute(s.From) <= out.PinAt && out.PinAt < minute(s.To) {
				out.Pin = m.sessionAt(minute(s.To))
			}
		}
	}
	for _, a := range j.After {
		out.After = append(out.After, schedule.Link{Job: m.jobs[a.Job], Gap: a.GapMinutes})
	}
	slices.SortFunc(out.After, func(a, b schedule.Link) int { return cmp.Or(a.Job-b.Job, a.Gap-b.Gap) })
	for i := range j.Stages {
		out.Stages = append(out.Stages, m.convertStage(&j.Stages[i]))
	}
	return out
}

// sessionAt is the index of the session that ends then, or none when it is
// over.
func (m *model) sessionAt(end int) int {
	for i, s := range m.problem.Sessions {
		if s.To == end {
			return i
		}
	}
	return schedule.None
}

func (m *model) convertStage(s *Stage) schedule.Stage {
	out := schedule.Stage{
		Bench: s.Kind == Bench, Minutes: s.Minutes[1], Helpers: s.Needs[Helpers], Place: s.Needs[Lift] > 0,
		Hold: holdOf(s.Immobile), Tied: s.FollowsAtOnce,
	}
	hands, said := s.Needs[Hands]
	out.Hands = out.Bench && (!said || hands > 0)
	if s.Kind == Outside {
		out.Ends = m.workingDays(s.Days[1], s.WorkingDays)
	}
	for i, r := range m.toolList {
		if n := s.Needs[r.ID]; n > 0 {
			out.Tools = append(out.Tools, schedule.Use{Tool: i, N: n})
		}
	}
	for _, id := range s.Access {
		out.Setups = append(out.Setups, m.access[id])
	}
	for _, id := range s.Closing {
		out.Closings = append(out.Closings, m.closing[id])
	}
	out.Needs = m.convertNeeds(s.Parts)
	slices.Sort(out.Setups)
	slices.Sort(out.Closings)
	out.Setups, out.Closings = slices.Compact(out.Setups), slices.Compact(out.Closings)
	return out
}

func holdOf(immobile string) schedule.Hold {
	switch immobile {
	case ImmobileFrom:
		return schedule.From
	case ImmobileUntil:
		return schedule.Until
	case ImmobileWithin:
		return schedule.Within
	}
	return schedule.Free
}

// convertNeeds adds up what a stage needs of each part.
func (m *model) convertNeeds(needs []Need) []schedule.Need {
	var out []schedule.Need
	for _, n := range needs {
		out = append(out, schedule.Need{Material: m.parts[n.Part], Qty: n.Qty})
	}
	slices.SortFunc(out, func(a, b schedule.Need) int { return a.Material - b.Material })
	sum := out[:0]
	for _, n := range out {
		if k := len(sum); k > 0 && sum[k-1].Material == n.Material {
			sum[k-1].Qty += n.Qty
		} else if n.Qty > 0 {
			sum = append(sum, n)
		}
	}
	return sum
}

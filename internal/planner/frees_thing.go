package planner

import (
	"cmp"
	"slices"
	"time"
)

// Thing is something that could be otherwise, and that the owner may have a hand in.
type Thing struct {
	Kind string    `json:"kind"`
	Of   string    `json:"of,omitempty"`  // the part, car, resource or job
	Qty  int       `json:"qty,omitempty"` // pieces of a part, or helpers
	At   time.Time `json:"at,omitzero"`   // when an arrival is counted on; when a session or road need begins
	To   time.Time `json:"to,omitzero"`   // when a further session or a road need ends
}

// The kinds of thing.
const (
	ThingArrival   = "arrival"    // Qty pieces of part Of that are to come at At are here now
	ThingCar       = "car"        // car Of is here now
	ThingOrder     = "order"      // Qty pieces of part Of that are not ordered yet are on hand now
	ThingBuy       = "buy"        // Qty pieces of part Of that nothing brings are bought and on hand now
	ThingHelper    = "helper"     // Qty helpers more in the session that begins at At, without At in every session
	ThingSession   = "session"    // a further session from At to To; with Of kept for that job
	ThingTool      = "tool"       // one more of resource Of, all the time
	ThingUntil     = "until"      // the last bench stage of job Of lets its car roll again
	ThingRoll      = "roll"       // car Of, immobile now, rolls
	ThingRoadNeed  = "road_need"  // car Of is not needed on the road from At to To, without At never
	ThingPin       = "pin"        // the pin of job Of is released
	ThingNotBefore = "not_before" // job Of may be done earlier than the owner said
)

func compareThings(a, b Thing) int {
	return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Of, b.Of), a.At.Compare(b.At), cmp.Compare(a.Qty, b.Qty), a.To.Compare(b.To))
}

// With is the problem as it would be with some things otherwise. What the problem does not hold is passed over.
func (p Problem) With(things ...Thing) Problem {
	for _, t := range things {
		if t.Kind == ThingSession { // first, since a helper may be meant for it
			p = p.withSession(t)
		}
	}
	for _, t := range things {
		switch t.Kind {
		case ThingArrival:
			p = p.withArrival(t)
		case ThingOrder, ThingBuy:
			p.Parts = changed(p.Parts, func(x *Part) bool { return x.ID == t.Of }, func(x *Part) { x.OnHand += t.Qty })
		case ThingHelper:
			meant := func(s *Session) bool { return t.At.IsZero() || s.From.Equal(t.At) }
			p.Sessions = changed(p.Sessions, meant, func(s *Session) { s.Helpers += t.Qty })
		case ThingTool:
			p.Resources = changed(p.Resources, func(r *Resource) bool { return r.ID == t.Of }, oneMore)
		case ThingCar, ThingRoll, ThingRoadNeed:
			p.Cars = changed(p.Cars, func(c *Car) bool { return c.ID == t.Of }, func(c *Car) { c.change(t) })
		case ThingUntil, ThingPin, ThingNotBefore:
			p.Jobs = changed(p.Jobs, func(j *Job) bool { return j.ID == t.Of }, func(j *Job) { j.change(t) })
		}
	}
	return p
}

// withSession adds a session. A job that it is kept for is pinned to it, so that no other takes its place.
func (p Problem) withSession(t Thing) Problem {
	p.Sessions = append(slices.Clip(p.Sessions), Session{From: t.At, To: t.To})
	if t.Of != "" {
		p.Jobs = changed(p.Jobs, func(j *Job) bool { return j.ID == t.Of && j.Pin.IsZero() }, func(j *Job) { j.Pin = At(t.At) })
	}
	return p
}

// changed is a list in which the items that are meant are different; the list given stays as it was.
func changed[T any](list []T, meant func(*T) bool, change func(*T)) []T {
	list = slices.Clone(list)
	for i := range list {
		if meant(&list[i]) {
			change(&list[i])
		}
	}
	return list
}

// oneMore adds one of a resource. One that comes and goes is there all the time.
func oneMore(r *Resource) {
	r.Capacity++
	r.Windows = nil
}

// withArrival takes what is to come as on hand.
func (p Problem) withArrival(t Thing) Problem {
	times := newMoments(p)
	done := false
	p.Parts = changed(p.Parts, func(x *Part) bool { return x.ID == t.Of }, func(x *Part) {
		x.Arrivals = slices.DeleteFunc(slices.Clone(x.Arrivals), func(a Arrival) bool {
			meant := !done && a.At != nil && a.Qty == t.Qty && times.time(times.arrival(*a.At)).Equal(t.At)
			done = done || meant
			return meant
		})
		if done {
			x.OnHand += t.Qty
		}
	})
	return p
}

func (c *Car) change(t Thing) {
	switch t.Kind {
	case ThingCar:
		c.Arrives = nil
	case ThingRoll:
		c.Immobile = false
	case ThingRoadNeed:
		c.RoadNeeds = slices.DeleteFunc(slices.Clone(c.RoadNeeds), func(r RoadNeed) bool {
			return t.At.IsZero() || r.From.Equal(t.At) && r.To.Equal(t.To)
		})
	}
}

func (j *Job) change(t Thing) {
	switch t.Kind {
	case ThingPin:
		j.Pin = Moment{}
	case ThingNotBefore:
		j.NotBefore = Moment{}
	case ThingUntil:
		j.Stages = slices.Clone(j.Stages)
		for i := len(j.Stages) - 1; i >= 0; i-- {
			if s := &j.Stages[i]; s.Kind == Bench {
				if s.Immobile = ImmobileUntil; !opens(j.Stages[:i]) {
					s.Immobile = ImmobileWithin
				}
				return
			}
		}
	}
}

// opens says whether a car is immobile after some stages.
func opens(stages []Stage) bool {
	open := false
	for _, s := range stages {
		open = s.Immobile == ImmobileFrom || open && s.Immobile != ImmobileUntil
	}
	return open
}

// newMoments is a model that reckons times alone.
func newMoments(p Problem) *model {
	zone, _ := loadZone(p.Zone)
	return &model{p: p, zone: zone, now: minuteUp(p.Now)}
}

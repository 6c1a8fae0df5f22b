package planner

import (
	"cmp"
	"slices"
	"time"
)

// thingsFor lists what could have a say in whether a job has a place: that of itself and of all jobs that it hangs on. What the
// owner can do least about comes first.
func thingsFor(p Problem, job string) []Thing {
	l := &lister{p: p, job: job, times: newMoments(p), jobs: related(p, job), cars: map[string]bool{}}
	for _, j := range l.jobs {
		l.cars[j.Car] = true
	}
	l.addTools()
	l.addCars()
	l.addJobs()
	l.addHelpers()
	l.addParts()
	l.addSessions()
	slices.SortStableFunc(l.things, func(a, b Thing) int {
		return cmp.Or(cmp.Compare(ease(a.Kind), ease(b.Kind)), b.At.Compare(a.At), compareThings(a, b)) // rather sooner than later
	})
	return l.things
}

// ease says how much the owner can do about a kind of thing.
func ease(kind string) int {
	return slices.Index([]string{
		ThingTool, ThingRoadNeed, ThingCar, ThingNotBefore, ThingPin, ThingRoll, ThingUntil, ThingSession, ThingHelper, ThingArrival,
		ThingOrder, ThingBuy,
	}, kind)
}

// related lists a job and all that it hangs on: its prerequisites, the jobs that free its parts, and, where it leaves its car
// immobile, those that come after it on the car. Where a car is immobile now, what lets it roll is part of it.
func related(p Problem, job string) []Job {
	in := map[string]bool{job: true}
	for grown := true; grown; {
		grown = false
		for _, j := range p.Jobs {
			if !in[j.ID] {
				continue
			}
			for _, id := range hangsOn(p, j) {
				grown = grown || !in[id]
				in[id] = true
			}
		}
	}
	return only(p.Jobs, func(j Job) bool { return in[j.ID] })
}

func hangsOn(p Problem, j Job) []string {
	var ids []string
	for _, a := range j.After {
		ids = append(ids, a.Job)
	}
	needs := map[string]int{}
	addNeeds(needs, j)
	for _, part := range p.Parts {
		for _, a := range part.Arrivals {
			if needs[part.ID] > 0 && a.FromJob != "" {
				ids = append(ids, a.FromJob)
			}
		}
	}
	stuck := slices.ContainsFunc(p.Cars, func(c Car) bool { return c.ID == j.Car && c.Immobile })
	for _, next := range p.Jobs {
		ends := slices.ContainsFunc(next.Stages, func(s Stage) bool { return s.Immobile == ImmobileUntil })
		follows := slices.ContainsFunc(next.After, func(a After) bool { return a.Job == j.ID })
		if next.Car == j.Car && (stuck && ends || follows && opens(j.Stages)) {
			ids = append(ids, next.ID)
		}
	}
	return ids
}

// addNeeds adds up the parts that a job needs.
func addNeeds(needs map[string]int, j Job) {
	for _, s := range j.Stages {
		for _, n := range s.Parts {
			needs[n.Part] += n.Qty
		}
	}
}

type lister struct {
	p      Problem
	job    string
	times  *model
	jobs   []Job
	cars   map[string]bool // of the jobs
	things []Thing
}

func (l *lister) add(t Thing) { l.things = append(l.things, t) }

func (l *lister) addTools() {
	for _, r := range l.p.Resources {
		if slices.ContainsFunc(l.jobs, func(j Job) bool {
			return slices.ContainsFunc(j.Stages, func(s Stage) bool {
				return s.Needs[r.ID] > 0 || r.ID == Lift && s.Immobile != ""
			})
		}) {
			l.add(Thing{Kind: ThingTool, Of: r.ID})
		}
	}
}

func (l *lister) addCars() {
	for _, c := range l.p.Cars {
		if c.Immobile && (l.cars[c.ID] || c.OnLift) {
			l.add(Thing{Kind: ThingRoll, Of: c.ID})
		}
		if !l.cars[c.ID] {
			continue
		}
		if c.Arrives != nil && l.times.arrival(*c.Arrives) > l.times.now {
			l.add(Thing{Kind: ThingCar, Of: c.ID, At: l.times.time(l.times.arrival(*c.Arrives))})
		}
		if slices.ContainsFunc(c.RoadNeeds, func(r RoadNeed) bool { return r.To.After(l.p.Now) }) {
			l.add(Thing{Kind: ThingRoadNeed, Of: c.ID})
		}
	}
}

func (l *lister) addJobs() {
	for _, j := range l.jobs {
		if !j.Pin.IsZero() {
			l.add(Thing{Kind: ThingPin, Of: j.ID})
		}
		if !j.NotBefore.IsZero() && dayStart(j.NotBefore, l.times.zone).After(l.p.Now) {
			l.add(Thing{Kind: ThingNotBefore, Of: j.ID})
		}
		bench := slices.ContainsFunc(j.Stages, func(s Stage) bool { return s.Kind == Bench })
		if bench && opens(j.Stages) {
			l.add(Thing{Kind: ThingUntil, Of: j.ID})
		}
	}
}

// addHelpers adds as many helpers in every session as the jobs and their closing work can need.
func (l *lister) addHelpers() {
	most := 0
	for _, j := range l.jobs {
		for _, s := range j.Stages {
			most = max(most, s.Needs[Helpers])
		}
	}
	for _, c := range l.p.Closing {
		if l.cars[c.Car] {
			most = max(most, c.Needs[Helpers])
		}
	}
	if most > 0 {
		l.add(Thing{Kind: ThingHelper, Qty: most})
	}
}

// addParts adds the parts that the jobs need, as many as all jobs of the garage do: others may come first.
func (l *lister) addParts() {
	wanted, all := map[string]int{}, map[string]int{}
	for _, j := range l.jobs {
		addNeeds(wanted, j)
	}
	for _, j := range l.p.Jobs {
		addNeeds(all, j)
	}
	for _, part := range l.p.Parts {
		if wanted[part.ID] == 0 {
			continue
		}
		kind := ThingBuy
		if part.OrderLeadDays != nil {
			kind = ThingOrder
		}
		l.add(Thing{Kind: kind, Of: part.ID, Qty: min(all[part.ID], maxCount-part.OnHand)})
		for _, a := range part.Arrivals {
			if a.At != nil && a.Qty > 0 && l.times.arrival(*a.At) > l.times.now {
				l.add(Thing{Kind: ThingArrival, Of: part.ID, Qty: a.Qty, At: l.times.time(l.times.arrival(*a.At))})
			}
		}
	}
	slices.SortFunc(l.things, compareThings)
	l.things = slices.Compact(l.things)
}

const (
	mostSessions   = 5       // that are offered
	keptSession    = 1       // the second, so that what must come before can be done in the first
	longestSession = 12 * 60 // from nine to nine
)

// addSessions adds sessions after all that has a date, each so late after the one before that what waits in between is over:
// one more than there are waits and full days of work. One is kept for the job, where that is not pinned already: others that
// are blocked too would take a session that is for anything.
func (l *lister) addSessions() {
	minutes, passing, waits := l.minutes()
	from := l.lastDate()
	for i := range min(mostSessions, 2+waits+minutes/longestSession) {
		y, mon, d := from.In(l.times.zone).Date()
		from = time.Date(y, mon, d+1, 9, 0, 0, 0, l.times.zone)
		to := from.Add(time.Duration(min(minutes, longestSession)) * time.Minute)
		if !sane(to) {
			return
		}
		t := Thing{Kind: ThingSession, At: from, To: to}
		if i == keptSession {
			t.Of = l.job
		}
		l.add(t)
		from = to.Add(passing)
	}
}

// minutes are what the jobs can take of a session with all they open and close, how long what is no bench work of theirs can
// take, and how often that is.
func (l *lister) minutes() (bench int, passing time.Duration, waits int) {
	bench = 1
	days := 0
	for _, j := range l.jobs {
		for _, a := range j.After {
			passing += time.Duration(a.GapMinutes) * time.Minute
			if a.GapMinutes > 0 {
				waits++
			}
		}
		for _, s := range j.Stages {
			switch s.Kind {
			case Bench:
				bench += s.Minutes[1] + l.p.ChangeCarMinutes
				continue
			case Wait:
				passing += time.Duration(s.Minutes[1]) * time.Minute
			case Outside:
				days += 7 * (1 + s.Days[1])
			}
			waits++
		}
	}
	for _, a := range l.p.Access {
		bench += 2 * (a.OpenMinutes + a.CloseMinutes + 2) // of all cars: one may have to make room
	}
	for _, c := range l.p.Closing {
		bench += 2 * c.Minutes
	}
	return bench, passing + time.Duration(days)*24*time.Hour, waits
}

// lastDate is after all sessions, road needs, arrivals and wishes that can matter.
func (l *lister) lastDate() time.Time {
	last := l.p.Now
	later := func(t time.Time) {
		if t.After(last) {
			last = t
		}
	}
	for _, s := range l.p.Sessions {
		later(s.To)
	}
	for _, c := range l.p.Cars {
		for _, r := range c.RoadNeeds {
			later(r.To)
		}
		if c.Arrives != nil {
			later(l.times.time(l.times.arrival(*c.Arrives)))
		}
	}
	for _, part := range l.p.Parts {
		for _, a := range part.Arrivals {
			if a.At != nil {
				later(l.times.time(l.times.arrival(*a.At)))
			}
		}
		if part.OrderLeadDays != nil {
			later(l.times.time(l.times.orderArrives(*part.OrderLeadDays)))
		}
	}
	for _, j := range l.jobs {
		later(dayStart(j.NotBefore, l.times.zone))
		later(dayStart(j.Pin, l.times.zone))
	}
	return last
}

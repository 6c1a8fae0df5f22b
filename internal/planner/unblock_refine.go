package planner

import (
	"slices"
	"time"
)

func (u *unblocking) refineAll(sets [][]Thing) [][]Thing {
	var out [][]Thing
	for _, set := range sets {
		out = append(out, u.refine(set))
	}
	return out
}

// refine says as little as will do with each thing of a set.
func (u *unblocking) refine(set []Thing) []Thing {
	set = slices.Clone(set)
	for i := range set {
		with := func(t Thing) bool {
			less := slices.Clone(set)
			less[i] = t
			return u.frees(less)
		}
		switch set[i].Kind {
		case ThingBuy, ThingOrder, ThingHelper:
			set[i] = u.fewest(set[i], with)
		case ThingSession:
			set[i] = u.shortest(set, set[i], with)
		}
		switch set[i].Kind {
		case ThingHelper:
			set[i] = u.oneSession(set, set[i], with)
		case ThingRoadNeed:
			set[i] = u.oneRoadNeed(set[i], with)
		}
	}
	slices.SortFunc(set, compareThings)
	return set
}

// least is a small number from low to most for which something holds, given that it does for most: the smallest, if it holds for
// all above that. It looks among the small ones first, since a plan is not that regular.
func least(low, most int, holds func(int) bool) int {
	for n := low; n < most; n *= 2 {
		if holds(n) {
			most = n
		} else {
			low = n + 1
		}
	}
	for low < most {
		if mid := (low + most) / 2; holds(mid) {
			most = mid
		} else {
			low = mid + 1
		}
	}
	return most
}

func (u *unblocking) fewest(t Thing, with func(Thing) bool) Thing {
	of := t
	t.Qty = least(1, t.Qty, func(n int) bool {
		of.Qty = n
		return with(of)
	})
	return t
}

// shortest cuts a session to what will do. One that is all there is more of holds at least the job's own minutes: a shorter one
// would free it by shifting others about.
func (u *unblocking) shortest(set []Thing, t Thing, with func(Thing) bool) Thing {
	low := 1
	if others := only(set, func(o Thing) bool { return o.Kind == ThingSession }); len(others) == 1 {
		for _, j := range u.p.Jobs {
			if j.ID == u.job {
				low = max(1, (benchMinutes(j)+stepMinutes-1)/stepMinutes)
			}
		}
	}
	of := t
	most := (int(t.To.Sub(t.At).Minutes()) + stepMinutes - 1) / stepMinutes
	n := least(min(low, most), most, func(n int) bool {
		of.To = of.At.Add(time.Duration(n*stepMinutes) * time.Minute)
		return with(of)
	})
	t.To = t.At.Add(time.Duration(n*stepMinutes) * time.Minute)
	return t
}

// stepMinutes is what the length of a session is told in.
const stepMinutes = 5

// benchMinutes are those of all bench stages of a job.
func benchMinutes(j Job) int {
	n := 0
	for _, s := range j.Stages {
		if s.Kind == Bench {
			n += s.Minutes[1]
		}
	}
	return n
}

// sessionsTried is in how many sessions a single helper is tried.
const sessionsTried = 20

// oneSession finds the first session in which a helper is enough; without one it is every session.
func (u *unblocking) oneSession(set []Thing, t Thing, with func(Thing) bool) Thing {
	coming := comingSessions(u.p.With(only(set, func(o Thing) bool { return o.Kind == ThingSession })...))
	if len(coming) > sessionsTried {
		coming = append(slices.Clip(coming[:sessionsTried-1]), coming[len(coming)-1])
	}
	for _, s := range coming {
		of := t
		if of.At = s.From; with(of) {
			return of
		}
	}
	return t
}

func (u *unblocking) oneRoadNeed(t Thing, with func(Thing) bool) Thing {
	for _, c := range u.p.Cars {
		if c.ID != t.Of {
			continue
		}
		for _, r := range slices.SortedFunc(slices.Values(c.RoadNeeds), func(a, b RoadNeed) int { return a.From.Compare(b.From) }) {
			of := t
			if of.At, of.To = r.From, r.To; r.To.After(u.p.Now) && with(of) {
				return of
			}
		}
	}
	return t
}

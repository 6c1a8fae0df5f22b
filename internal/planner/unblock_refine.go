package planner

import (
	"slices"
	"time"
)

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
			set[i] = u.shortest(set[i], with)
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

// least is the smallest number up to most for which something holds, if it holds for all above; in any case one for which it
// does, given that it does for most.
func least(most int, holds func(int) bool) int {
	low := 1
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
	t.Qty = least(t.Qty, func(n int) bool {
		of.Qty = n
		return with(of)
	})
	return t
}

// step is what the length of a session is told in.
const step = 5 * time.Minute

func (u *unblocking) shortest(t Thing, with func(Thing) bool) Thing {
	of := t
	n := least(int((t.To.Sub(t.At)+step-1)/step), func(n int) bool {
		of.To = of.At.Add(time.Duration(n) * step)
		return with(of)
	})
	t.To = t.At.Add(time.Duration(n) * step)
	return t
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
		for _, r := range c.RoadNeeds {
			of := t
			if of.At, of.To = r.From, r.To; c.ID == t.Of && r.To.After(u.p.Now) && with(of) {
				return of
			}
		}
	}
	return t
}

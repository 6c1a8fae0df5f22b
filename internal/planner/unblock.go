package planner

import (
	"cmp"
	"fmt"
	"slices"
)

// Unblock finds the least sets of things that give a blocked job a place, together with what it waits for: parts, a helper, a
// session, the car's arrival and so on, never a prerequisite as such but what that lacks itself. All sets returned have the same
// number of things, and no smaller set out of those that could matter frees the job. Of several, those are returned that best
// answer the reasons for which the job is blocked. Each says as little as will do: the fewest pieces, the shortest session (at
// least the job's own minutes), the first session in which a helper is enough.
//
// A job that is not blocked needs nothing and has no set, and neither has one that nothing tried would free. A job counts as
// free when a plan made with little effort has a place for it; where they differ, sets are preferred that free it at full effort.
func Unblock(p Problem, job string) ([][]Thing, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(p.Jobs, func(j Job) bool { return j.ID == job }) {
		return nil, fmt.Errorf("no job %q", job)
	}
	u := newUnblocking(p, job)
	if u.frees(nil) {
		return nil, nil
	}
	sets := u.named(u.leastSets())
	quick := u.refineAll(sets)
	u.p.Effort = p.Effort
	if firm := only(quick, u.frees); len(firm) > 0 {
		return firm, nil
	}
	if firm := u.refineAll(only(sets, u.frees)); len(firm) > 0 {
		return firm, nil
	}
	return quick, nil
}

// unblocking is the search for what frees a job.
type unblocking struct {
	p      Problem
	job    string
	things []Thing // those that could matter, what the owner can do least about first
}

func newUnblocking(p Problem, job string) *unblocking {
	p.Previous, p.Effort = nil, triesEffort
	switch n := len(p.Jobs); {
	case n > 100:
		p.Effort = 1
	case n > 20:
		p.Effort = 2
	}
	return &unblocking{p: p, job: job, things: thingsFor(p, job)}
}

// triesEffort is the effort of a plan that is made to see whether a job has a place in it; in a large garage it is less.
const triesEffort = 5

// frees says whether the job has a place with some things otherwise.
func (u *unblocking) frees(set []Thing) bool {
	answer := u.p.With(set...).plan()
	return slices.ContainsFunc(answer.Stages, func(s PlacedStage) bool { return s.Job == u.job })
}

const (
	triedSets = 400 // how many sets of one size are tried to find further ones of the least size
	mostSets  = 12  // how many are looked at
	toldSets  = 3   // and how many are told
)

// leastSets drops one thing after another from all of them, which leaves a set that frees the job and is small, and then looks
// whether one of fewer things does too.
func (u *unblocking) leastSets() [][]Thing {
	if !u.frees(u.things) {
		return nil
	}
	small := slices.Clone(u.things)
	for _, t := range u.things {
		if less := without(small, t); u.frees(less) {
			small = less
		}
	}
	for size := 1; size < len(small); size++ {
		if sets := u.setsOf(size); len(sets) > 0 {
			return sets
		}
	}
	if choose(len(u.things), len(small)) <= triedSets {
		return u.setsOf(len(small))
	}
	return [][]Thing{small}
}

// setsOf lists the sets of so many things that free the job, those that the owner can do most about first.
func (u *unblocking) setsOf(size int) [][]Thing {
	var found [][]Thing
	set := make([]Thing, 0, size)
	var pick func(below int)
	pick = func(below int) {
		if len(set) == size {
			if len(found) < mostSets && u.frees(set) {
				found = append(found, slices.Clone(set))
			}
			return
		}
		for i := below - 1; i >= 0; i-- {
			set = append(set, u.things[i])
			pick(i)
			set = set[:len(set)-1]
		}
	}
	pick(len(u.things))
	return found
}

// choose is how many sets of k out of n things there are, or many.
func choose(n, k int) int {
	c := 1
	for i := range k {
		if c = c * (n - i) / (i + 1); c > triedSets {
			return c
		}
	}
	return c
}

func without(set []Thing, t Thing) []Thing {
	return slices.DeleteFunc(slices.Clone(set), func(o Thing) bool { return o == t })
}

// named keeps the sets with the fewest things that no reason calls for: in a full garage almost anything shifts what finds a
// place.
func (u *unblocking) named(sets [][]Thing) [][]Thing {
	reasons := u.reasons()
	idle := func(set []Thing) int {
		return len(only(set, func(t Thing) bool { return !reasons[t.answers()] }))
	}
	slices.SortStableFunc(sets, func(a, b []Thing) int { return idle(a) - idle(b) })
	told := [][]Thing{}
	for _, set := range sets {
		alike := func(o []Thing) bool { return slices.EqualFunc(o, set, Thing.alike) }
		if len(told) < toldSets && idle(set) == idle(sets[0]) && !slices.ContainsFunc(told, alike) {
			told = append(told, set)
		}
	}
	return told
}

// alike says whether two things are the same to the owner: one session more is as good as another.
func (t Thing) alike(o Thing) bool {
	return t == o || t.Kind == ThingSession && o.Kind == ThingSession
}

// reasons are those for which the job, and what it hangs on, is blocked.
func (u *unblocking) reasons() map[reason]bool {
	jobs := related(u.p, u.job)
	reasons := map[reason]bool{}
	for _, b := range u.p.plan().Blocked {
		if !slices.ContainsFunc(jobs, func(j Job) bool { return j.ID == b.Job }) {
			continue
		}
		for _, w := range b.Why {
			switch w.Kind {
			case BecauseSession, BecauseHelper, BecauseNotBefore:
				reasons[reason{w.Kind, ""}] = true
			case BecauseLift:
				reasons[reason{BecauseTool, Lift}] = true
			case BecauseNoEnd:
				reasons[reason{w.Kind, b.Job}] = true
			case BecausePin:
				reasons[reason{w.Kind, cmp.Or(w.Of, b.Job)}] = true
			default:
				reasons[reason{w.Kind, w.Of}] = true
			}
		}
	}
	return reasons
}

// answers is the reason that a thing does away with.
func (t Thing) answers() reason {
	switch t.Kind {
	case ThingArrival, ThingOrder, ThingBuy:
		return reason{BecausePart, t.Of}
	case ThingUntil:
		return reason{BecauseNoEnd, t.Of}
	case ThingRoll:
		return reason{BecauseImmobile, t.Of}
	case ThingSession, ThingHelper, ThingNotBefore:
		return reason{t.Kind, ""}
	}
	return reason{t.Kind, t.Of} // the others are called like their reason
}

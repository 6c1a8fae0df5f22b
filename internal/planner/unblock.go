package planner

import (
	"fmt"
	"slices"
)

// Unblock finds the least sets of things that give a blocked job a place, together with what it waits for: parts, a helper, a
// session, the car's arrival and so on, never a prerequisite as such but what that lacks itself. All sets returned have the same
// number of things, and no smaller set out of those that could matter frees the job. Each says as little as will do: the fewest
// pieces, the shortest session, the first session in which a helper is enough.
//
// A job that is not blocked needs nothing and has no set, and neither has one that nothing tried would free. A job counts as
// free when a plan made with little effort has a place for it.
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
	sets := u.leastSets()
	for i, set := range sets {
		sets[i] = u.refine(set)
	}
	return sets, nil
}

// unblocking is the search for what frees a job.
type unblocking struct {
	p      Problem
	job    string
	things []Thing // those that could matter, what the owner can do least about first
}

func newUnblocking(p Problem, job string) *unblocking {
	p.Previous, p.Effort = nil, manyEffort
	switch n := len(p.Jobs); {
	case n > 100:
		p.Effort = 1
	case n > 20:
		p.Effort = 4
	}
	return &unblocking{p: p, job: job, things: thingsFor(p, job)}
}

// frees says whether the job has a place with some things otherwise.
func (u *unblocking) frees(set []Thing) bool {
	answer := u.p.With(set...).plan()
	return slices.ContainsFunc(answer.Stages, func(s PlacedStage) bool { return s.Job == u.job })
}

const (
	triedSets = 400 // how many sets of one size are tried to find further ones of the least size
	mostSets  = 6   // how many are told
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

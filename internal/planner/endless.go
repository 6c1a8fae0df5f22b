package planner

import (
	"cmp"
	"maps"
	"slices"
)

// leaveOutEndless takes out the jobs that make a car immobile for good, no stage of theirs or of a job that comes after them
// on the car letting it roll again, and round by round the jobs that wait for one left out. Begun, such a job would hold the
// lift for ever.
func (p Problem) leaveOutEndless() (Problem, []Blocked) {
	left := map[string]Why{}
	for {
		// Each round looks at the rounds before alone, so that the order of the jobs has no say.
		round := map[string]Why{}
		for _, j := range p.Jobs {
			if _, gone := left[j.ID]; gone {
				continue
			}
			if why, out := p.cannotEnd(j, left); out {
				round[j.ID] = why
			}
		}
		if len(round) == 0 {
			break
		}
		maps.Copy(left, round)
	}
	if len(left) == 0 {
		return p, nil
	}
	p.Jobs = slices.DeleteFunc(slices.Clone(p.Jobs), func(j Job) bool { return left[j.ID].Kind != "" })
	p.Parts = slices.Clone(p.Parts)
	for i := range p.Parts {
		p.Parts[i].Arrivals = slices.DeleteFunc(slices.Clone(p.Parts[i].Arrivals), func(a Arrival) bool { return left[a.FromJob].Kind != "" })
	}
	var blocked []Blocked
	for _, id := range slices.Sorted(maps.Keys(left)) {
		blocked = append(blocked, Blocked{Job: id, Why: []Why{left[id]}})
	}
	return p, blocked
}

// cannotEnd says why a job is to be left out beside those left out already.
func (p Problem) cannotEnd(j Job, left map[string]Why) (Why, bool) {
	first := ""
	for _, a := range j.After {
		if _, gone := left[a.Job]; gone && (first == "" || a.Job < first) {
			first = a.Job
		}
	}
	if first != "" {
		return Why{Kind: BecauseJob, Of: first}, true
	}
	open := false
	for _, s := range j.Stages {
		open = s.Immobile == ImmobileFrom || open && s.Immobile != ImmobileUntil
	}
	if open && !p.rollsLater(j, left) {
		return Why{Kind: BecauseNoEnd}, true
	}
	return Why{}, false
}

// rollsLater says whether a job that comes after this one, directly or not, lets its car roll again.
func (p Problem) rollsLater(j Job, left map[string]Why) bool {
	seen := map[string]bool{j.ID: true}
	for grown := true; grown; {
		grown = false
		for _, next := range p.Jobs {
			_, gone := left[next.ID]
			if gone || seen[next.ID] || !slices.ContainsFunc(next.After, func(a After) bool { return seen[a.Job] }) {
				continue
			}
			seen[next.ID], grown = true, true
			if next.Car == j.Car && slices.ContainsFunc(next.Stages, func(s Stage) bool { return s.Immobile == ImmobileUntil }) {
				return true
			}
		}
	}
	return false
}

// withBlocked adds jobs that were left out beforehand.
func (a Answer) withBlocked(more []Blocked) Answer {
	a.Blocked = append(a.Blocked, more...)
	slices.SortFunc(a.Blocked, func(x, y Blocked) int { return cmp.Compare(x.Job, y.Job) })
	return a
}

package planner

import "slices"

// Promised drops of what is ready the jobs that would take a piece of which the plan, or a job before them in the list, makes
// other use: of two jobs that need one piece, one is ready. The list is in the order in which its jobs have a claim, after those
// that the plan gives the piece.
func (a Answer) Promised(p Problem, ready []Ready) []Ready {
	free := map[string]int{}
	for _, part := range p.Parts {
		free[part.ID] = part.OnHand
	}
	own := map[string]map[string]int{}
	for _, promise := range a.Promises {
		if promise.Source != FromOnHand {
			continue
		}
		free[promise.Part] -= promise.Qty
		if own[promise.Job] == nil {
			own[promise.Job] = map[string]int{}
		}
		own[promise.Job][promise.Part] += promise.Qty
	}
	var kept []Ready
	for _, r := range ready {
		wants := allWants(p, r)
		for part, n := range wants {
			wants[part] = max(0, n-own[r.Job][part])
		}
		if slices.ContainsFunc(keys(wants), func(part string) bool { return wants[part] > free[part] }) {
			continue
		}
		for part, n := range wants {
			free[part] -= n
		}
		kept = append(kept, r)
	}
	return kept
}

func keys(m map[string]int) []string {
	var all []string
	for k := range m {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}

// allWants is what a job takes of each part.
func allWants(p Problem, r Ready) map[string]int {
	wants := map[string]int{}
	i := slices.IndexFunc(p.Jobs, func(j Job) bool { return j.ID == r.Job })
	if i < 0 {
		return wants
	}
	for _, stage := range p.Jobs[i].Stages {
		for _, n := range stage.Parts {
			wants[n.Part] += n.Qty
		}
	}
	return wants
}

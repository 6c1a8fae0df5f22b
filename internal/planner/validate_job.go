package planner

import (
	"fmt"
	"slices"
	"strings"
)

func (v *validator) jobs() {
	v.job = index(v, "jobs", v.p.Jobs, func(j Job) string { return j.ID })
	for i, j := range v.p.Jobs {
		where := fmt.Sprintf("jobs[%d]", i)
		v.carOf(where, j.Car)
		v.amount(where+".weight", j.Weight, maxWeight)
		v.amount(where+".late_cost_per_day", j.LateCostPerDay, maxAmount)
		v.amount(where+".late_cost", j.LateCost, maxAmount)
		v.moment(where+".not_before", j.NotBefore)
		v.moment(where+".due", j.Due)
		v.moment(where+".pin", j.Pin)
		v.dues(where, j.Dues)
		if len(j.Stages) == 0 {
			v.fail(where+".stages", "empty")
		}
		v.stages(where, j)
	}
}

func (v *validator) dues(where string, dues []Due) {
	for i, d := range dues {
		at := fmt.Sprintf("%s.dues[%d]", where, i)
		if d.At.IsZero() {
			v.fail(at+".at", "missing")
		}
		v.moment(at+".at", d.At)
		v.amount(at+".late_cost_per_day", d.LateCostPerDay, maxAmount)
		v.amount(at+".late_cost", d.LateCost, maxAmount)
	}
}

func (v *validator) amount(where string, x, most float64) {
	switch {
	case x < 0:
		v.fail(where, "negative")
	case !(x <= most): // also what is not a number
		v.fail(where, "too large")
	}
}

func (v *validator) stages(where string, j Job) {
	seen := make(map[string]int, len(j.Stages))
	for k, s := range j.Stages {
		at := fmt.Sprintf("%s.stages[%d]", where, k)
		if s.ID == "" {
			v.fail(at+".id", "missing")
		}
		if _, twice := seen[s.ID]; twice {
			v.fail(at+".id", "duplicate id %q", s.ID)
		}
		seen[s.ID] = k
		v.stageKind(at, s)
		v.stageNeeds(at, s)
		v.stageLists(at, j, s)
		if s.FollowsAtOnce && (k == 0 || s.Kind != Bench || j.Stages[k-1].Kind != Bench) {
			v.fail(at+".follows_at_once", "ties a bench stage to the bench stage before it")
		}
	}
}

func (v *validator) stageKind(at string, s Stage) {
	v.three(at+".minutes", s.Minutes, maxCount)
	v.three(at+".days", s.Days, maxDays)
	v.total += s.Minutes[2] + 7*1440*s.Days[2]
	switch s.Kind {
	case Bench, Wait:
		if !s.Days.IsZero() || len(s.WorkingDays) > 0 {
			v.fail(at, "days are for outside work")
		}
	case Outside:
		if !s.Minutes.IsZero() {
			v.fail(at+".minutes", "outside work takes days")
		}
	case "":
		v.fail(at+".kind", "missing")
	default:
		v.fail(at+".kind", "unknown kind %q", s.Kind)
	}
	for i, day := range s.WorkingDays {
		if !slices.Contains(weekdayNames[:], day) {
			v.fail(fmt.Sprintf("%s.working_days[%d]", at, i), "unknown day %q", day)
		}
	}
	switch s.Immobile {
	case "", ImmobileFrom, ImmobileUntil, ImmobileWithin:
	default:
		v.fail(at+".immobile", "unknown value %q", s.Immobile)
	}
}

func (v *validator) stageNeeds(at string, s Stage) {
	for _, id := range sortedKeys(s.Needs) {
		where, n := at+".needs."+id, s.Needs[id]
		v.count(where, n)
		r, listed := v.resource[id]
		switch {
		case id == Hands && n > 1:
			v.fail(where, "more than there are")
		case id == Hands || id == Helpers:
			if s.Kind != Bench && n > 0 {
				v.fail(where, "only a bench stage needs %s", id)
			}
		case !listed:
			v.fail(where, "unknown resource %q", id)
		case n > v.p.Resources[r].Capacity:
			v.fail(where, "more than there are")
		}
	}
}

func (v *validator) stageLists(at string, j Job, s Stage) {
	if s.Kind != Bench && len(s.Access)+len(s.Closing) > 0 {
		v.fail(at, "only a bench stage has access and closing work")
	}
	for i, id := range s.Access {
		v.accessID(fmt.Sprintf("%s.access[%d]", at, i), id, j.Car)
	}
	for i, id := range s.Closing {
		where := fmt.Sprintf("%s.closing[%d]", at, i)
		if c, known := v.closingAt[id]; !known {
			v.fail(where, "unknown closing work %q", id)
		} else if v.p.Closing[c].Car != j.Car {
			v.fail(where, "closing work %q is on another car", id)
		}
	}
	for i, need := range s.Parts {
		where := fmt.Sprintf("%s.parts[%d]", at, i)
		if _, known := v.part[need.Part]; !known {
			v.fail(where+".part", "unknown part %q", need.Part)
		}
		v.count(where+".qty", need.Qty)
	}
}

// links checks ids that point forward to jobs.
func (v *validator) links() {
	for i, part := range v.p.Parts {
		for k, a := range part.Arrivals {
			if _, known := v.job[a.FromJob]; a.FromJob != "" && !known {
				v.fail(fmt.Sprintf("parts[%d].arrivals[%d].from_job", i, k), "unknown job %q", a.FromJob)
			}
		}
	}
	for i, j := range v.p.Jobs {
		for k, a := range j.After {
			where := fmt.Sprintf("jobs[%d].after[%d]", i, k)
			if _, known := v.job[a.Job]; !known {
				v.fail(where+".job", "unknown job %q", a.Job)
			}
			v.count(where+".gap_minutes", a.GapMinutes)
			v.total += a.GapMinutes
		}
	}
}

const maxNesting = 100

func (v *validator) cycles() {
	loop, _ := findLoop(len(v.p.Jobs), func(i int) []int {
		var out []int
		for _, a := range v.p.Jobs[i].After {
			out = append(out, v.job[a.Job])
		}
		return out
	})
	if loop != nil {
		v.fail(fmt.Sprintf("jobs[%d].after", loop[0]), "job %s", loopText(loop, func(i int) string { return v.p.Jobs[i].ID }))
	}
	loop, deepest := findLoop(len(v.p.Access), func(i int) []int {
		var out []int
		for _, id := range v.p.Access[i].Inside {
			out = append(out, v.accessAt[id])
		}
		return out
	})
	if loop != nil {
		v.fail(fmt.Sprintf("access[%d].inside", loop[0]), "access %s", loopText(loop, func(i int) string { return v.p.Access[i].ID }))
	}
	for i, depth := range deepest {
		if depth+1 > maxNesting {
			v.fail(fmt.Sprintf("access[%d].inside", i), "nested deeper than %d", maxNesting)
		}
	}
}

// loopText names a loop from its smallest id round to it again.
func loopText(loop []int, id func(int) string) string {
	names := make([]string, len(loop))
	first := 0
	for i, n := range loop {
		if names[i] = id(n); names[i] < names[first] {
			first = i
		}
	}
	names = append(names[first:], names[:first]...)
	return strings.Join(append(names, names[0]), " -> ")
}

// findLoop looks for a loop among n things, each of which points to others. It
// returns the loop, or how long a chain hangs from each thing. It does not
// recurse, so a chain of any length will do.
func findLoop(n int, next func(int) []int) (loop, depth []int) {
	depth = make([]int, n)
	state := make([]byte, n) // 0 new, 1 on the path, 2 done
	type frame struct {
		at   int
		todo []int
	}
	for start := range n {
		if state[start] != 0 {
			continue
		}
		path := []frame{{start, next(start)}}
		state[start] = 1
		for len(path) > 0 {
			top := &path[len(path)-1]
			if len(top.todo) == 0 {
				state[top.at] = 2
				for _, to := range next(top.at) {
					depth[top.at] = max(depth[top.at], depth[to]+1)
				}
				path = path[:len(path)-1]
				continue
			}
			to := top.todo[0]
			top.todo = top.todo[1:]
			switch state[to] {
			case 0:
				state[to] = 1
				path = append(path, frame{to, next(to)})
			case 1:
				for i := range path {
					if path[i].at == to {
						for _, f := range path[i:] {
							loop = append(loop, f.at)
						}
						return loop, nil
					}
				}
			}
		}
	}
	return nil, depth
}

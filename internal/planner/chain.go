package planner

import (
	"slices"
	"time"
)

// Link is a stage of a critical chain, with the one thing that kept it from starting earlier and, where that is other work, the
// stage whose end let it start.
type Link struct {
	Job     string    `json:"job"`
	Stage   string    `json:"stage"`
	From    time.Time `json:"from"`
	To      time.Time `json:"to"`
	Because Reason    `json:"because"`
	OnJob   string    `json:"on_job,omitempty"`
	OnStage string    `json:"on_stage,omitempty"`
}

// Chain is the critical chain to the end of a job: from its last stage back, through what kept each stage from starting earlier,
// to what no work stands behind: now, a session, an arrival, the owner's own wish. Each link leans on the one after it, the last
// on nothing but its reason. A job without a place has none.
func Chain(p Problem, a Answer, job string) []Link {
	w := &walker{p: p, a: a, seen: map[int]bool{}}
	links := []Link{}
	for at := w.lastOf(func(s PlacedStage) bool { return s.Job == job }); at >= 0; {
		w.seen[at] = true
		s := a.Stages[at]
		link := Link{Job: s.Job, Stage: s.Stage, From: s.From, To: s.To, Because: s.Because}
		if at = w.before(s); at >= 0 {
			link.OnJob, link.OnStage = a.Stages[at].Job, a.Stages[at].Stage
		}
		links = append(links, link)
	}
	return links
}

// walker goes back through a plan.
type walker struct {
	p    Problem
	a    Answer
	seen map[int]bool
}

// lastOf is the stage that ends last of those that are meant and were not met before; -1 without one.
func (w *walker) lastOf(meant func(PlacedStage) bool) int {
	last := -1
	for i, s := range w.a.Stages {
		if !w.seen[i] && meant(s) && (last < 0 || !s.To.Before(w.a.Stages[last].To)) {
			last = i
		}
	}
	return last
}

// before is the stage that a stage leans on; -1 when its reason is no work.
func (w *walker) before(s PlacedStage) int {
	over := func(o PlacedStage) bool { return !o.To.After(s.From) }
	of := s.Because.Of
	switch s.Because.Kind {
	case BecauseStage:
		return w.lastOf(func(o PlacedStage) bool { return o.Job == s.Job && o.Stage == of })
	case BecauseJob, BecauseHarvest:
		return w.lastOf(func(o PlacedStage) bool { return o.Job == of && over(o) })
	case BecauseHands, BecauseWork:
		return w.lastOf(func(o PlacedStage) bool { return o.Job == of && o.Kind == Bench && over(o) })
	case BecauseLift, BecauseImmobile:
		return w.lastOf(func(o PlacedStage) bool { return o.Car == of && over(o) })
	case BecauseTool:
		return w.lastOf(func(o PlacedStage) bool { return over(o) && w.needs(o, of) })
	case BecauseChain, BecausePin: // of a part or a job; of another job
		if of == s.Job {
			return -1
		}
		return w.lastOf(func(o PlacedStage) bool { return o.Job == of && over(o) })
	}
	return -1
}

// needs says whether a stage needs a resource.
func (w *walker) needs(o PlacedStage, resource string) bool {
	j := slices.IndexFunc(w.p.Jobs, func(j Job) bool { return j.ID == o.Job })
	return j >= 0 && slices.ContainsFunc(w.p.Jobs[j].Stages, func(s Stage) bool { return s.ID == o.Stage && s.Needs[resource] > 0 })
}

package planner

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Forced is what comes of doing a job in a session of the owner's choice: what breaks, or what it costs over the plan as it is.
type Forced struct {
	Job       string       `json:"job"`
	Session   Span         `json:"session"`
	Kept      bool         `json:"kept"`             // the job begins in that session
	Why       []Why        `json:"why"`              // what breaks, when it does not
	LateCost  float64      `json:"late_cost"`        // more than without
	Weighted  float64      `json:"weighted"`         // weight times hours by which jobs end later, added up
	Overhead  int          `json:"overhead_minutes"` // more than without
	Moved     []ForcedMove `json:"moved"`            // jobs that begin on another day than without, by their new start
	Blocked   []string     `json:"blocked"`          // jobs that have no place any more
	Freed     []string     `json:"freed"`            // jobs that have one now
	Otherwise Answer       `json:"-"`                // the plan with the job in that session
}

// ForcedMove is a job that begins on another day.
type ForcedMove struct {
	Job  string    `json:"job"`
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Force answers why a job is not in a session: it pins it to the one that holds the moment and plans again. Base is the plan as
// it is; the plan with the pin and the one without are both held near it, so that the difference is what the owner's choice costs.
func Force(p Problem, base Answer, job string, at time.Time) (Forced, error) {
	if err := p.Validate(); err != nil {
		return Forced{}, err
	}
	if !slices.ContainsFunc(p.Jobs, func(j Job) bool { return j.ID == job }) {
		return Forced{}, fmt.Errorf("no job %q", job)
	}
	zone, _ := loadZone(p.Zone)
	k := slices.IndexFunc(p.Sessions, func(s Session) bool {
		return !at.Before(s.From) && at.Before(s.To) && s.To.After(p.Now)
	})
	if k < 0 {
		return Forced{}, fmt.Errorf("no session at %s", at.In(zone).Format("2006-01-02T15:04"))
	}
	effort := p.Effort
	p = p.near(base)
	p.Effort = effort
	before := p.plan()
	p.Jobs = changed(p.Jobs, func(j *Job) bool { return j.ID == job }, func(j *Job) { j.Pin = At(p.Sessions[k].From) })
	after := p.plan()
	f := Forced{
		Job: job, Session: Span{p.Sessions[k].From.In(zone), p.Sessions[k].To.In(zone)}, Why: whyNot(after, job), Otherwise: after,
		Overhead: after.Totals.OverheadMinutes - before.Totals.OverheadMinutes,
	}
	f.Kept = len(f.Why) == 0
	g := p.gain(before, after)
	f.LateCost, f.Weighted, f.Freed = 0-g.LateCost, 0-g.Weighted, g.Frees // never minus zero
	f.compare(before, after)
	return f, nil
}

// whyNot is what kept a job from its pinned session.
func whyNot(a Answer, job string) []Why {
	for _, b := range a.Blocked {
		if b.Job == job {
			return b.Why
		}
	}
	why := []Why{}
	for _, n := range a.Notes {
		if n.Job == job {
			why = append(why, Why{Kind: n.Kind, Of: n.Of, Until: n.Until})
		}
	}
	return why
}

// compare lists the jobs that begin on another day, and those that have no place any more.
func (f *Forced) compare(before, after Answer) {
	f.Moved, f.Blocked = []ForcedMove{}, []string{}
	was, is := startsOf(before), startsOf(after)
	for job, from := range was {
		to, stands := is[job]
		switch {
		case !stands:
			f.Blocked = append(f.Blocked, job)
		case from.Format(time.DateOnly) != to.Format(time.DateOnly):
			f.Moved = append(f.Moved, ForcedMove{Job: job, From: from, To: to})
		}
	}
	slices.Sort(f.Blocked)
	slices.SortFunc(f.Moved, func(a, b ForcedMove) int { return cmp.Or(a.To.Compare(b.To), cmp.Compare(a.Job, b.Job)) })
}

// startsOf is when each job begins.
func startsOf(a Answer) map[string]time.Time {
	starts := map[string]time.Time{}
	for _, s := range a.Stages {
		if from, known := starts[s.Job]; !known || s.From.Before(from) {
			starts[s.Job] = s.From
		}
	}
	return starts
}

package planner

import (
	"slices"

	"axlestand/internal/schedule"
)

// Longer is a plan that was searched for much longer than usual.
type Longer struct {
	Plan   Answer
	Gain   Gain // beside the plan as it was
	Better bool // it is worth moving for
}

// LookLonger plans a problem anew, with no regard to how it was planned before and some forty times as much effort as Plan takes:
// a second or two. Base is the plan of the problem as it is, to which the other is compared. That is better where it loses less to
// lateness or, where they lose as much, has a place for more jobs or comes to a hundredth less by weighted hours and overhead;
// and never where it has no place for a job that has one in base. Nothing is better than a plan that is known to be optimal.
func LookLonger(p Problem, base Answer) (Longer, error) {
	if err := p.Validate(); err != nil {
		return Longer{}, err
	}
	if base.Totals.Optimal {
		return Longer{Plan: base}, nil
	}
	leftOut := slices.DeleteFunc(slices.Clone(base.Blocked), func(b Blocked) bool {
		return slices.ContainsFunc(p.Jobs, func(j Job) bool { return j.ID == b.Job })
	})
	p.Previous, p.Effort = nil, longEffort(len(p.Jobs))
	l := Longer{Plan: p.plan().withBlocked(leftOut)}
	l.Gain = p.gain(base, l.Plan)
	switch {
	case len(l.Gain.Blocks) > 0:
	case l.Gain.LateCost != 0:
		l.Better = l.Gain.LateCost > 0
	default:
		l.Better = len(l.Gain.Frees) > 0 || l.Plan.Totals.score() < base.Totals.score()*(1-worthMoving)
	}
	return l, nil
}

// worthMoving is the part of its score by which a plan has to be better to be worth moving for.
const worthMoving = 0.01

// longEffort is what takes a second or two, whatever the number of jobs.
func longEffort(jobs int) int { return 90_000 / max(60, jobs) }

// score is what a plan comes to beside lateness, in weighted hours.
func (t Totals) score() float64 {
	return t.WeightedCompletion + float64(schedule.OverheadMinutes*t.OverheadMinutes)/60
}

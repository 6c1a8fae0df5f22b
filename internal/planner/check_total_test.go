package planner_test

import (
	"math"
	"slices"
)

// Rules of pins and totals.

// pinned finds the session that starts at or holds a pin.
func (c *checker) pinned(job *givenJob) (session, bool) {
	t := c.instant(job.Pin)
	for _, s := range c.sessions {
		if s.from <= t && t < s.to {
			return s, true
		}
	}
	return session{}, false
}

func (c *checker) checkPins() {
	for _, n := range c.a.Notes {
		if c.jobs[n.Job] == nil || n.Kind == "" {
			c.fail("R9", "note of kind %q on %q", n.Kind, n.Job)
		}
	}
	for id, works := range c.byJob {
		job := c.jobs[id]
		i := slices.IndexFunc(works, func(w *work) bool { return w.stage.Kind == "bench" })
		if job.Pin == "" || i < 0 {
			continue
		}
		s, found := c.pinned(job)
		noted := slices.ContainsFunc(c.a.Notes, func(n answerNote) bool { return n.Job == id })
		switch kept := found && s.from <= works[i].from && works[i].from < s.to; {
		case kept && noted:
			c.fail("R9", "%s is in its session and has a note", id)
		case kept:
		case !noted:
			c.fail("R9", "%s starts %s, not in its session, without a note", id, c.at(works[i].from))
		case found && works[i].from < s.from:
			c.fail("R9", "%s starts %s, before its session", id, c.at(works[i].from))
		case found && c.mustKeep(job, s):
			c.fail("R9", "%s could have been in its session: nothing holds it", id)
		}
	}
}

// mustKeep says whether a pin could have been kept for all that is in the plan: its session has a gap that
// takes the whole job. Jobs with parts are left out, since theirs are promised.
func (c *checker) mustKeep(job *givenJob, s session) bool {
	for _, stage := range job.Stages {
		if len(stage.Parts) > 0 {
			return false
		}
	}
	_, ok := c.gapFor(job, []span{s.span})
	return ok
}

func (c *checker) checkTotals() {
	late, weighted, overhead := 0.0, 0.0, 0
	for id := range c.byJob {
		job := c.jobs[id]
		end, _ := c.end(id)
		weight := 1.0
		if job.Weight != nil {
			weight = *job.Weight
		}
		weighted += weight * float64(end-c.now) / 60
		if job.Due != "" && end > c.endOf(job.Due) {
			late += job.LateCostPerDay*float64((end-c.endOf(job.Due)+1439)/1440) + job.LateCost
		}
		for _, d := range job.Dues { // each by itself, beside the one above
			if by := c.endOf(d.At); end > by {
				late += d.LateCost + d.LateCostPerDay*float64((end-by+1439)/1440)
			}
		}
	}
	for _, it := range c.items() {
		overhead += it.length()
	}
	t := c.a.Totals
	if math.Abs(t.LateCost-late) > 0.001 {
		c.fail("R8", "late cost %v, wanted %v", t.LateCost, late)
	}
	if math.Abs(t.WeightedCompletion-weighted) > 0.06 {
		c.fail("totals", "weighted completion %v, wanted %v", t.WeightedCompletion, weighted)
	}
	if t.OverheadMinutes != overhead {
		c.fail("totals", "overhead %d, wanted %d", t.OverheadMinutes, overhead)
	}
	if t.Bound > t.WeightedCompletion+0.06 || t.Bound < 0 {
		c.fail("totals", "bound %v over weighted completion %v", t.Bound, t.WeightedCompletion)
	}
	c.checkSaved()
}

// checkSaved works out what sharing saved: for each opening and each closing of a visit, what every job
// after the first would have paid alone.
func (c *checker) checkSaved() {
	want := map[*visit]int{}
	for _, o := range c.openings() {
		var seen []string
		for _, w := range c.users(o) {
			if !slices.Contains(seen, w.job.ID) {
				seen = append(seen, w.job.ID)
				if len(seen) > 1 {
					want[w.visit] += o.access.OpenMinutes + o.access.CloseMinutes
				}
			}
		}
	}
	sum := 0
	for _, v := range c.visits {
		for i := range c.p.Closing {
			var seen []string
			for _, w := range c.callers(v, c.p.Closing[i].ID) {
				if !slices.Contains(seen, w.job.ID) {
					seen = append(seen, w.job.ID)
				}
			}
			want[v] += max(0, len(seen)-1) * c.p.Closing[i].Minutes
		}
		sum += v.saved
		if v.saved != want[v] {
			c.fail("saved", "visit of %s at %s saved %d min, wanted %d", v.car, c.at(v.from), v.saved, want[v])
		}
	}
	if sum != c.a.Totals.MinutesSaved {
		c.fail("saved", "total %d min, the visits add up to %d", c.a.Totals.MinutesSaved, sum)
	}
}

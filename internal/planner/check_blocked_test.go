package planner_test

import (
	"slices"
)

// A blocked job is held against what is left of the sessions: where a gap would take the whole job with all
// its overhead, and nothing speaks against it, it should not be blocked.

func (c *checker) checkBlocked() {
	for id, why := range c.blocked {
		for i, w := range why {
			if slices.ContainsFunc(why[:i], func(o answerWhy) bool { return o.Kind == w.Kind && o.Of == w.Of }) {
				c.fail("blocked", "%s has the reason %s %s twice", id, w.Kind, w.Of)
			}
			if _, placed := c.end(w.Of); w.Kind == "job" && placed {
				c.fail("blocked", "%s waits for %s, which is placed", id, w.Of)
			}
		}
		if gap, ok := c.gapFor(c.jobs[id], c.sessionSpans()); ok {
			c.fail("blocked", "%s could be done %s to %s", id, c.at(gap.from), c.at(gap.to))
		}
	}
}

func (c *checker) sessionSpans() []span {
	var out []span
	for _, s := range c.sessions {
		out = append(out, s.span)
	}
	return out
}

// gapFor looks for a stretch of idle hands within one of some sessions that takes a whole job of bench stages.
func (c *checker) gapFor(job *givenJob, within []span) (span, bool) {
	if slices.ContainsFunc(job.Stages, func(s givenStage) bool {
		return s.Kind != "bench" || s.Immobile == "from" || s.Immobile == "until"
	}) {
		return span{}, false
	}
	ready, ok := c.readyWith(job)
	if !ok {
		return span{}, false
	}
	minutes := c.wholeMinutes(job)
	for _, s := range c.idle(within) {
		s.from = max(s.from, ready)
		s.to = min(s.to, s.from+minutes)
		if s.length() == minutes && minutes > 0 && c.nothingAgainst(job, s) {
			return s, true
		}
	}
	return span{}, false
}

// readyWith is when prerequisites, car, owner and what is left of the parts would let a job start.
func (c *checker) readyWith(job *givenJob) (int, bool) {
	ready := c.here(job.Car)
	if job.NotBefore != "" {
		ready = max(ready, c.beginOf(job.NotBefore))
	}
	for _, a := range job.After {
		end, placed := c.end(a.Job)
		if !placed {
			return 0, false
		}
		ready = max(ready, end+a.GapMinutes)
	}
	if job.Pin != "" {
		if s, found := c.pinned(job); found {
			ready = max(ready, s.from)
		} else {
			ready = max(ready, c.instant(job.Pin))
		}
	}
	need := map[string]int{}
	for _, s := range job.Stages {
		for _, n := range s.Parts {
			need[n.Part] += qty(n.Qty)
		}
	}
	for part, n := range need {
		for _, s := range c.left[part] {
			if n > 0 && s.class == 2 {
				ready = max(ready, s.at) // also when others took it in the end: till then it came first
			}
			if take := min(n, s.qty-s.taken); take > 0 {
				n -= take
				ready = max(ready, s.at)
			}
		}
		if n > 0 {
			return 0, false
		}
	}
	return ready, true
}

// wholeMinutes is what a job takes in a visit of its own.
func (c *checker) wholeMinutes(job *givenJob) int {
	sum, access, closings := 0, []string{}, []string{}
	for _, s := range job.Stages {
		sum += s.Minutes[len(s.Minutes)/2]
		access = append(access, s.Access...)
		for _, id := range s.Closing {
			if !slices.Contains(closings, id) {
				closings = append(closings, id)
				sum += c.closings[id].Minutes
			}
		}
	}
	for _, id := range c.closure(access) {
		sum += max(1, c.access[id].OpenMinutes) + max(1, c.access[id].CloseMinutes) // at a session's very end there is no room for nothing
	}
	if c.wantsLift(job) {
		sum += c.p.ChangeCarMinutes
	}
	return sum
}

func (c *checker) wantsLift(job *givenJob) bool {
	return c.hasLift() && slices.ContainsFunc(job.Stages, func(s givenStage) bool {
		return s.Needs["lift"] > 0 || s.Immobile != ""
	})
}

// nothingAgainst says whether all that a job needs is free over a whole gap: its car at rest, closed up and
// not on the road, lift, tools and helpers to be had.
func (c *checker) nothingAgainst(job *givenJob, gap span) bool {
	near := span{gap.from - 1, gap.to + 1}
	for _, w := range c.works {
		if w.car == job.Car && w.stage.Kind == "bench" && w.overlaps(near) {
			return false
		}
	}
	for _, v := range c.visits {
		if v.car == job.Car && v.overlaps(near) {
			return false
		}
	}
	for _, r := range c.roadNeeds(job.Car) {
		if r.overlaps(gap) {
			return false
		}
	}
	for _, m := range c.immobileSpans() {
		if m.overlaps(near) && (m.car == job.Car || slices.ContainsFunc(job.Stages, func(s givenStage) bool { return s.Immobile != "" })) {
			return false
		}
	}
	for _, o := range c.openings() {
		if o.access.Car == job.Car && o.overlaps(near) {
			return false
		}
	}
	return c.needsFree(job, gap) && (!c.wantsLift(job) || c.liftFree(gap)) && !c.wouldTake(job, gap)
}

// wouldTake says whether the job, done then, would be served before another to which some of its parts is
// promised, and so get other pieces than those left over.
func (c *checker) wouldTake(job *givenJob, gap span) bool {
	return slices.ContainsFunc(c.promises(), func(p promise) bool {
		return p.Source != "order" && c.byJob[p.Job][0].from >= gap.from &&
			slices.ContainsFunc(job.Stages, func(s givenStage) bool {
				return slices.ContainsFunc(s.Parts, func(n givenNeed) bool { return n.Part == p.Part })
			})
	})
}

func (c *checker) liftFree(gap span) bool {
	n := 0
	for _, s := range c.allStandings() {
		if s.overlaps(gap) {
			n++
		}
	}
	return n < c.capacity("lift", span{})
}

func (c *checker) needsFree(job *givenJob, gap span) bool {
	needs := map[string]int{}
	for _, s := range job.Stages {
		for id, n := range s.Needs {
			needs[id] = max(needs[id], n)
		}
		for _, x := range s.Closing {
			for id, n := range c.closings[x].Needs {
				needs[id] = max(needs[id], n)
			}
		}
	}
	delete(needs, "hands")
	delete(needs, "lift")
	if !slices.ContainsFunc(c.segments(needs), func(s span) bool { return s.holds(gap) }) {
		return false
	}
	for id, n := range needs {
		for _, u := range c.uses(id) {
			if n > 0 && u.overlaps(gap) {
				return false
			}
		}
	}
	return true
}

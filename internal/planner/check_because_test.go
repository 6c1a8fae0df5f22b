package planner_test

import "slices"

// A reason must be true: what it names has to do with the stage, and was over when the stage started.

func (c *checker) checkBecause() {
	for _, w := range c.works {
		b := w.answer.Because
		if b.Until == "" {
			if b.Kind != "now" {
				c.fail("because", "%s: %s %s without a time", w.label, b.Kind, b.Of)
			}
			continue
		}
		until := c.instant(b.Until)
		if until > w.from {
			c.fail("because", "%s starts %s because of %s %s until %s", w.label, c.at(w.from), b.Kind, b.Of, c.at(until))
		}
		if !c.reasonHolds(w, b, until) {
			c.fail("because", "%s: %s %s until %s is not so", w.label, b.Kind, b.Of, c.at(until))
		}
	}
}

// reasonHolds looks a reason up in the problem and the plan.
func (c *checker) reasonHolds(w *work, b answerBecause, until int) bool {
	switch b.Kind {
	case "not_before":
		return w.job.NotBefore != "" && until == c.beginOf(w.job.NotBefore)
	case "car":
		return c.cars[w.car].Arrives != nil && until == c.arrival(c.cars[w.car].Arrives)
	case "job":
		return slices.ContainsFunc(w.job.After, func(a givenAfter) bool {
			end, placed := c.end(a.Job)
			return a.Job == b.Of && placed && until == end+a.GapMinutes
		})
	case "stage":
		return w.index > 0 && w.job.Stages[w.index-1].ID == b.Of && until == c.byJob[w.job.ID][w.index-1].to
	case "part", "order", "harvest":
		return c.promiseHeld(w, b, until)
	case "hands":
		return c.jobs[b.Of] != nil && (b.Of != w.job.ID || w.index > 0)
	case "lift":
		return c.cars[b.Of] != nil && slices.ContainsFunc(c.standings(b.Of), func(s standing) bool { return s.to <= w.from })
	case "work":
		return slices.ContainsFunc(c.works, func(o *work) bool {
			return o.job.ID == b.Of && o.car == w.car && o != w && o.to == until
		}) || c.endedBy(w, b.Of, until)
	case "helper":
		return slices.ContainsFunc(tiedTo(w), func(s givenStage) bool { return s.Needs["helpers"] > 0 || len(s.Closing) > 0 })
	case "tool":
		return c.resources[b.Of] != nil && slices.ContainsFunc(tiedTo(w), func(s givenStage) bool { return s.Needs[b.Of] > 0 })
	case "road_need":
		return slices.ContainsFunc(c.roadNeeds(b.Of), func(r span) bool { return r.to == until })
	case "immobile":
		return slices.ContainsFunc(c.immobileSpans(), func(m immobile) bool { return m.car == b.Of && m.to == until })
	case "chain":
		return w.stage.Immobile == "from" || w.stage.Immobile == "within"
	}
	return true
}

// endedBy says whether work of a job on a stage's car was ended at that time by closing up or closing work, with no
// other work on the car between.
func (c *checker) endedBy(w *work, job string, until int) bool {
	return slices.ContainsFunc(c.items(), func(it item) bool {
		if it.car != w.car || it.kind != "close" && it.kind != "closing" || it.to != until {
			return false
		}
		var last *work
		for _, o := range c.works {
			if o.car == w.car && o.stage.Kind == "bench" && o.to <= it.from && (last == nil || o.to > last.to) {
				last = o
			}
		}
		return last != nil && last.job.ID == job
	})
}

// tiedTo lists a stage with those that must follow it at once.
func tiedTo(w *work) []givenStage {
	end := w.index + 1
	for end < len(w.job.Stages) && w.job.Stages[end].FollowsAtOnce {
		end++
	}
	return w.job.Stages[w.index:end]
}

// promiseHeld wants a promise to this stage that came at that time from there.
func (c *checker) promiseHeld(w *work, b answerBecause, until int) bool {
	source := map[string]string{"part": "arrival", "order": "order", "harvest": "job"}[b.Kind]
	return slices.ContainsFunc(c.promises(), func(p promise) bool {
		of := p.Part
		if b.Kind == "harvest" {
			of = p.Of
		}
		return p.work == w && p.Source == source && of == b.Of && p.at == until
	})
}

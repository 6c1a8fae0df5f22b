package planner_test

import (
	"slices"
)

// Rules of cars that cannot be moved, and of road needs.

// immobile is a stretch in which a car cannot be moved, begun by a stage (or before now) and ended by one.
type immobile struct {
	span
	car   string
	start *work // nil when it was so at now
	until *work // nil when nothing ends it
}

// immobileSpans pairs each stage that makes a car immobile with the one that ends it.
func (c *checker) immobileSpans() []immobile {
	var out []immobile
	for i := range c.p.Cars {
		car := &c.p.Cars[i]
		if !car.Immobile {
			continue
		}
		m := immobile{span{c.now, forever}, car.ID, nil, nil}
		for _, w := range c.works {
			if w.car == car.ID && w.stage.Immobile == "until" && c.unopened(w) && w.to < m.to {
				m.to, m.until = w.to, w
			}
		}
		out = append(out, m)
	}
	for _, w := range c.works {
		switch w.stage.Immobile {
		case "within":
			out = append(out, immobile{w.span, w.car, w, w})
		case "from":
			m := immobile{span{w.from, forever}, w.car, w, c.until(w)}
			if m.until != nil {
				m.to = m.until.to
			}
			out = append(out, m)
		}
	}
	return out
}

// unopened says whether an until stage has no from before it in its job or in the jobs before that.
func (c *checker) unopened(w *work) bool {
	for _, o := range c.works {
		if o.car == w.car && o.stage.Immobile == "from" && c.until(o) == w {
			return false
		}
	}
	return true
}

// until finds the stage that ends what a from stage begins: the next in its own job, else the first to end
// among the jobs on this car that come after it. Those that make the car immobile themselves before count only
// where no other does: then one end ends both.
func (c *checker) until(from *work) *work {
	for _, w := range c.byJob[from.job.ID][from.index+1:] {
		if w.stage.Immobile == "until" {
			return w
		}
	}
	var found, both *work
	for _, w := range c.works {
		if w.car != from.car || w.stage.Immobile != "until" || w.job == from.job || !slices.Contains(c.before(w.job.ID), from.job.ID) {
			continue
		}
		if which := &found; true {
			if ownFrom(w) {
				which = &both
			}
			if *which == nil || w.to < (*which).to {
				*which = w
			}
		}
	}
	if found == nil {
		return both
	}
	return found
}

// ownFrom says whether an until stage ends what a stage of its own job began.
func ownFrom(w *work) bool {
	return slices.ContainsFunc(w.job.Stages[:w.index], func(s givenStage) bool { return s.Immobile == "from" })
}

// before lists the jobs that must be done before a job, near and far.
func (c *checker) before(job string) []string {
	var out []string
	for queue := []string{job}; len(queue) > 0; queue = queue[1:] {
		for _, a := range c.jobs[queue[0]].After {
			if !slices.Contains(out, a.Job) {
				out = append(out, a.Job)
				queue = append(queue, a.Job)
			}
		}
	}
	return out
}

func (c *checker) checkImmobile() {
	spans := c.immobileSpans()
	for i, m := range spans {
		if m.start != nil && m.until == nil {
			c.fail("R6", "%s makes %s immobile for good", m.start.label, m.car)
		}
		lifted := c.hasLift() && (m.start != nil || c.cars[m.car].OnLift)
		if lifted && !c.onLift(m.car, m.span) {
			c.fail("R6", "%s is immobile from %s to %s and not on the lift all the time", m.car, c.at(m.from), c.at(m.to))
		}
		if !lifted && c.hasLift() {
			c.checkStaysDown(m)
		}
		for _, o := range spans[:i] {
			if lifted && o.car != m.car && o.overlaps(m.span) && (o.start != nil || c.cars[o.car].OnLift) {
				c.fail("R6", "%s and %s immobile at %s", o.car, m.car, c.at(max(o.from, m.from)))
			}
		}
		for _, it := range c.items() {
			if it.car == m.car && (it.kind == "close" || it.kind == "closing") && it.overlaps(m.span) {
				c.fail("R6", "%s at %s while the car is immobile", it.name(), c.at(it.from))
			}
		}
		if m.start != nil && m.until != nil {
			c.checkChain(m)
		}
	}
}

// checkStaysDown wants a car that is immobile beside the lift not to get onto it.
func (c *checker) checkStaysDown(m immobile) {
	for _, s := range c.standings(m.car) {
		if s.overlaps(m.span) {
			c.fail("R6", "%s gets onto the lift at %s while immobile", m.car, c.at(s.from))
		}
	}
}

// checkChain wants an immobile span begun only when the parts of all that ends it are there in time.
func (c *checker) checkChain(m immobile) {
	chain := append(c.before(m.until.job.ID), m.until.job.ID)
	for _, p := range c.promises() {
		w := p.work
		if !slices.Contains(chain, w.job.ID) || w.from < m.from || w.job == m.until.job && w.index > m.until.index {
			continue
		}
		if p.Source == "job" && p.at > m.from {
			c.fail("R6", "%s starts before %s, from which %s draws", m.start.label, p.Of, w.label)
		}
		// Where the end is pinned, what comes before it need not be as early as it could.
		if w.car == m.car && w != m.start && m.until.job.Pin == "" && p.at > c.startAnyway(w, m, p.at) {
			c.fail("R6", "%s sits immobile at %s: %s for %s comes %s", m.car, c.at(m.from), p.Part, w.label, c.at(p.at))
		}
	}
}

// startAnyway finds a time before t at which a stage could have started had its parts been there; t when
// none is plain to see.
func (c *checker) startAnyway(w *work, m immobile, t int) int {
	ready := c.readyBut(w, m)
	tied := w.stage.FollowsAtOnce || w.index+1 < len(w.job.Stages) && w.job.Stages[w.index+1].FollowsAtOnce
	if w.job.Pin != "" || tied || ready >= t {
		return t
	}
	if w.stage.Kind != "bench" {
		if len(w.stage.Needs) == 0 {
			return ready
		}
		return t
	}
	for id := range w.stage.Needs {
		if id != "hands" && id != "lift" && id != "helpers" {
			return t
		}
	}
	opens := 0
	for _, id := range c.closure(w.stage.Access) {
		opens += c.access[id].OpenMinutes
	}
	for _, s := range c.idle(c.segments(w.stage.Needs)) {
		s.from = max(s.from, ready)
		if s.from+opens < t && s.length() >= opens+w.minutes {
			return s.from + opens
		}
	}
	return t
}

// readyBut is when everything but parts and hands would let a stage of an immobile car start.
func (c *checker) readyBut(w *work, m immobile) int {
	ready := m.from
	if w.index > 0 {
		return max(ready, c.byJob[w.job.ID][w.index-1].to)
	}
	if w.job.NotBefore != "" {
		ready = max(ready, c.beginOf(w.job.NotBefore))
	}
	for _, a := range w.job.After {
		end, _ := c.end(a.Job)
		ready = max(ready, end+a.GapMinutes)
	}
	return ready
}

func (c *checker) roadNeeds(car string) []span {
	var out []span
	for _, r := range c.cars[car].RoadNeeds {
		out = append(out, span{c.beginOf(r.From), c.endOf(r.To)})
	}
	return out
}

func (c *checker) checkRoadNeeds() {
	for i := range c.p.Cars {
		car := c.p.Cars[i].ID
		for _, r := range c.roadNeeds(car) {
			c.checkRoadNeed(car, r)
		}
	}
}

// checkRoadNeed wants a car whole and on its wheels over a span. A road need that was lost at now is forgiven.
func (c *checker) checkRoadNeed(car string, r span) {
	if c.lost(car, r) {
		return
	}
	for _, m := range c.immobileSpans() {
		if m.car == car && m.overlaps(r) {
			c.fail("R7", "%s is immobile on the road at %s", car, c.at(max(m.from, r.from)))
		}
	}
	for _, o := range c.openings() {
		if o.access.Car == car && o.overlaps(r) {
			c.fail("R7", "%s of %s is open on the road at %s", o.access.ID, car, c.at(max(o.from, r.from)))
		}
	}
	for _, s := range c.standings(car) {
		if s.overlaps(r) {
			c.fail("R7", "%s is on the lift when the road needs it at %s", car, c.at(max(s.from, r.from)))
		}
	}
	c.checkBenchOnRoad(car, r)
}

// lost says whether a car could not be whole in time whatever the plan: it is immobile at now and stays so, or
// something is open at now and no session before is long enough to close it.
func (c *checker) lost(car string, r span) bool {
	return slices.ContainsFunc(c.immobileSpans(), func(m immobile) bool {
		return m.car == car && m.start == nil && m.overlaps(r)
	}) || slices.ContainsFunc(c.openings(), func(o *opening) bool {
		return o.access.Car == car && o.visit == nil && o.overlaps(r) && !c.couldClose(o.access, r.from)
	})
}

// couldClose says whether some session before a time is long enough to close an access, beside all else that
// is open at now. While its car is immobile nothing is closed.
func (c *checker) couldClose(a *givenAccess, before int) bool {
	minutes, from := 0, c.here(a.Car)
	for _, m := range c.immobileSpans() {
		if m.car == a.Car && m.start == nil {
			from = max(from, m.to)
		}
	}
	for _, o := range c.p.Access {
		if o.Open {
			minutes += o.CloseMinutes
		}
	}
	return slices.ContainsFunc(c.sessions, func(s session) bool {
		return min(s.to, before)-max(s.from, from) >= max(1, minutes)
	})
}

func (c *checker) checkBenchOnRoad(car string, r span) {
	for _, w := range c.works {
		if w.car == car && w.stage.Kind == "bench" && w.overlaps(r) {
			c.fail("R7", "%s is begun and unfinished on the road at %s", w.label, c.at(max(w.from, r.from)))
		}
	}
	for _, it := range c.items() {
		if it.kind != "closing" || it.car != car {
			continue
		}
		for _, w := range c.callers(it.visit, it.of) {
			if owed := (span{w.to, it.to}); owed.overlaps(r) {
				c.fail("R7", "%s is owed on the road at %s", it.name(), c.at(max(owed.from, r.from)))
			}
		}
	}
}

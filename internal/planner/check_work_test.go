package planner_test

import (
	"cmp"
	"fmt"
	"slices"
)

// Rules of sessions, hands, helpers, tools, prerequisites and the order of stages.

func hands(s *givenStage) int {
	if n, ok := s.Needs["hands"]; ok {
		return n
	}
	return 1
}

// sessionOf finds the session that a span lies in.
func (c *checker) sessionOf(s span) (session, bool) {
	for _, x := range c.sessions {
		if x.holds(s) {
			return x, true
		}
	}
	return session{}, false
}

// windows are the spans in which a resource exists.
func (c *checker) windows(id string) []span {
	r := c.resources[id]
	if r == nil || r.Windows == nil {
		return []span{{-forever, forever}}
	}
	var out []span
	for _, w := range r.Windows {
		out = append(out, span{c.beginOf(w.From), c.endOf(w.To)})
	}
	slices.SortFunc(out, func(a, b span) int { return a.from - b.from })
	var joined []span
	for _, w := range out {
		if n := len(joined); n > 0 && joined[n-1].to >= w.from {
			joined[n-1].to = max(joined[n-1].to, w.to)
			continue
		}
		joined = append(joined, w)
	}
	return joined
}

// segments are the stretches in which something with these needs could be done: a session with enough
// helpers, as far as every tool exists.
func (c *checker) segments(needs map[string]int) []span {
	var out []span
	for _, s := range c.sessions {
		if s.helpers < needs["helpers"] {
			continue
		}
		cut := []span{s.span}
		for id, n := range needs {
			if n == 0 || id == "hands" || id == "helpers" {
				continue
			}
			var next []span
			for _, a := range cut {
				for _, w := range c.windows(id) {
					if x := (span{max(a.from, w.from), min(a.to, w.to)}); x.from < x.to {
						next = append(next, x)
					}
				}
			}
			cut = next
		}
		out = append(out, cut...)
	}
	slices.SortFunc(out, func(a, b span) int { return a.from - b.from })
	return out
}

func (c *checker) checkPieces() {
	for _, w := range c.works {
		if w.stage.Kind == "bench" {
			c.checkBench(w)
			continue
		}
		if len(w.pieces) > 0 {
			c.fail("R1", "%s is %s and has pieces", w.label, w.stage.Kind)
		}
		want := w.from + w.minutes
		if w.stage.Kind == "outside" {
			want = c.outsideEnd(w.from, w.stage.Days[len(w.stage.Days)/2], w.stage.WorkingDays)
		}
		if w.to != want {
			c.fail("R1", "%s ends %s, wanted %s", w.label, c.at(w.to), c.at(want))
		}
		c.checkExists(w.label, w.span, w.stage.Needs)
	}
}

// checkExists wants every tool to exist over all of a span.
func (c *checker) checkExists(label string, s span, needs map[string]int) {
	for id, n := range needs {
		if n > 0 && !slices.ContainsFunc(c.windows(id), func(w span) bool { return w.holds(s) }) {
			c.fail("R1", "%s needs %s outside its windows, %s to %s", label, id, c.at(s.from), c.at(s.to))
		}
	}
}

func (c *checker) checkBench(w *work) {
	if len(w.pieces) == 0 || w.pieces[0].from != w.from || w.pieces[len(w.pieces)-1].to != w.to {
		c.fail("R1", "%s: from and to are not those of its pieces", w.label)
		return
	}
	sum, least := 0, min(20, w.minutes)
	for _, p := range w.pieces {
		sum += p.length()
		s, ok := c.sessionOf(p)
		if !ok {
			c.fail("R1", "%s works outside sessions, %s to %s", w.label, c.at(p.from), c.at(p.to))
		}
		if n := w.stage.Needs["helpers"]; s.helpers < n {
			c.fail("R2", "%s wants %d helpers at %s, there are %d", w.label, n, c.at(p.from), s.helpers)
		}
		if p.length() < least {
			c.fail("R1", "%s has a piece of %d min at %s", w.label, p.length(), c.at(p.from))
		}
		c.checkExists(w.label, p, w.stage.Needs)
	}
	if sum != w.minutes {
		c.fail("R1", "%s works %d of %d min", w.label, sum, w.minutes)
	}
	c.checkPauses(w, least)
}

// checkPauses wants a stage to stop only where a session or window ends, to go on only where one starts,
// and to leave out none that it could use.
func (c *checker) checkPauses(w *work, least int) {
	segments, rest := c.segments(w.stage.Needs), w.minutes
	for i := 0; i+1 < len(w.pieces); i++ {
		p, next := w.pieces[i], w.pieces[i+1]
		rest -= p.length()
		if next.from < p.to {
			c.fail("R1", "%s: pieces out of order at %s", w.label, c.at(next.from))
		}
		if !slices.ContainsFunc(segments, func(s span) bool { return s.to == p.to }) {
			c.fail("R1", "%s pauses at %s, where no session ends", w.label, c.at(p.to))
		}
		if !slices.ContainsFunc(segments, func(s span) bool { return s.from == next.from }) {
			c.fail("R1", "%s goes on at %s, where no session starts", w.label, c.at(next.from))
		}
		for _, s := range segments {
			fits := s.length() >= rest || s.length() >= least && rest-s.length() >= least
			if s.from >= p.to && s.to <= next.from && fits && !c.taken(w, s) {
				c.fail("R1", "%s leaves out the session at %s while paused", w.label, c.at(s.from))
			}
		}
	}
}

// taken says whether a tool that the stage needs is in other hands during a span.
func (c *checker) taken(w *work, s span) bool {
	for id, n := range w.stage.Needs {
		if id == "hands" || id == "lift" || n == 0 {
			continue
		}
		for _, u := range c.uses(id) {
			if u.label != w.label && u.overlaps(s) {
				return true
			}
		}
	}
	return false
}

// use is a stretch in which something takes n of a resource.
type use struct {
	span
	n     int
	label string
}

// uses lists who takes how much of a resource when; the lift has its own check.
func (c *checker) uses(id string) []use {
	var out []use
	for _, w := range c.works {
		n := w.stage.Needs[id]
		if id == "hands" && w.stage.Kind == "bench" {
			n = hands(w.stage)
		}
		if n == 0 {
			continue
		}
		spans := w.pieces
		if w.stage.Kind != "bench" {
			spans = []span{w.span}
		}
		for _, s := range spans {
			out = append(out, use{s, n, w.label})
		}
	}
	for _, it := range c.items() {
		n := 0
		if it.kind == "closing" {
			n = c.closings[it.of].Needs[id]
		}
		if id == "hands" {
			n = 1
		}
		if n > 0 {
			out = append(out, use{it.span, n, it.name()})
		}
	}
	return slices.DeleteFunc(out, func(u use) bool { return u.length() == 0 })
}

func (it item) name() string { return fmt.Sprintf("%s %s %s", it.car, it.kind, it.of) }

// items are all pieces of overhead in order of time.
func (c *checker) items() []item {
	var out []item
	for _, v := range c.visits {
		out = append(out, v.items...)
	}
	slices.SortStableFunc(out, func(a, b item) int { return cmp.Or(a.from-b.from, a.to-b.to) })
	return out
}

func (c *checker) checkHands() {
	uses := c.uses("hands")
	for i, a := range uses {
		for _, b := range uses[:i] {
			if a.overlaps(b.span) {
				c.fail("R2", "hands on %s and %s at %s", a.label, b.label, c.at(max(a.from, b.from)))
			}
		}
	}
	for _, it := range c.items() {
		s, ok := c.sessionOf(it.span)
		if !ok {
			c.fail("R1", "%s outside sessions, %s to %s", it.name(), c.at(it.from), c.at(it.to))
		}
		want, needs := c.p.ChangeCarMinutes, map[string]int(nil)
		switch it.kind {
		case "open":
			want = c.access[it.of].OpenMinutes
		case "close":
			want = c.access[it.of].CloseMinutes
		case "closing":
			want, needs = c.closings[it.of].Minutes, c.closings[it.of].Needs
		}
		if it.length() != want {
			c.fail("R1", "%s takes %d min, wanted %d", it.name(), it.length(), want)
		}
		if s.helpers < needs["helpers"] {
			c.fail("R5", "%s wants %d helpers at %s", it.name(), needs["helpers"], c.at(it.from))
		}
		c.checkExists(it.name(), it.span, needs)
	}
}

// checkUse wants no more taken of a resource at any time than there is.
func (c *checker) checkUse() {
	ids := []string{"helpers"}
	for id := range c.resources {
		if id != "lift" {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	for _, id := range ids {
		uses := c.uses(id)
		for _, a := range uses {
			sum := 0
			for _, b := range uses {
				if b.from <= a.from && a.from < b.to {
					sum += b.n
				}
			}
			if have := c.capacity(id, a.span); sum > have {
				c.fail("R2", "%d of %s used at %s, there are %d", sum, id, c.at(a.from), have)
			}
		}
	}
}

func (c *checker) capacity(id string, s span) int {
	if id == "helpers" {
		x, _ := c.sessionOf(s)
		return x.helpers
	}
	if n := c.resources[id].Capacity; n != nil {
		return *n
	}
	return 1
}

// end is when a placed job ends.
func (c *checker) end(job string) (int, bool) {
	works := c.byJob[job]
	if len(works) == 0 {
		return 0, false
	}
	return works[len(works)-1].to, true
}

func (c *checker) checkOrder() {
	for id, works := range c.byJob {
		job := c.jobs[id]
		for i, w := range works {
			if w.from < c.now {
				c.fail("R3", "%s starts before now", w.label)
			}
			if !absent(c.cars[w.car].Arrives) && w.from < c.arrival(c.cars[w.car].Arrives) {
				c.fail("R3", "%s starts before its car is here", w.label)
			}
			if i > 0 && w.from < works[i-1].to {
				c.fail("R3", "%s starts before %s ends", w.label, works[i-1].label)
			}
			if i > 0 && w.stage.FollowsAtOnce {
				c.checkFollows(works[i-1], w)
			}
		}
		if job.NotBefore != "" && works[0].from < c.beginOf(job.NotBefore) {
			c.fail("R9", "%s starts before it may", works[0].label)
		}
		for _, after := range job.After {
			end, placed := c.end(after.Job)
			if !placed {
				c.fail("R3", "%s placed after %s, which is not", id, after.Job)
			} else if works[0].from < end+after.GapMinutes {
				c.fail("R3", "%s starts %s, %s and its gap end %s", id, c.at(works[0].from), after.Job, c.at(end+after.GapMinutes))
			}
		}
	}
	for _, it := range c.items() {
		if a := c.cars[it.car].Arrives; it.from < c.now || !absent(a) && it.from < c.arrival(a) {
			c.fail("R3", "%s before the car is here", it.name())
		}
	}
}

// checkFollows wants a stage in the same session as the one before, with nothing between but opening on the
// same car.
func (c *checker) checkFollows(before, w *work) {
	if len(before.pieces) == 0 || len(w.pieces) == 0 {
		return
	}
	t, last := before.to, before.pieces[len(before.pieces)-1]
	for _, it := range c.items() {
		if it.car == w.car && it.kind == "open" && it.from == t && it.to <= w.from {
			t = it.to
		}
	}
	if s, ok := c.sessionOf(span{last.from, w.pieces[0].to}); t != w.from || !ok || !s.holds(w.pieces[0]) {
		c.fail("R1", "%s does not follow %s at once", w.label, before.label)
	}
}

package planner_test

import (
	"cmp"
	"slices"
)

// Rules of visits, the lift, access and closing work.

func (c *checker) hasLift() bool { return c.resources["lift"] != nil }

// checkVisits gives every stage its visit and wants the visits of a car apart and round all their work.
func (c *checker) checkVisits() {
	for i, v := range c.visits {
		for _, o := range c.visits[:i] {
			if o.car == v.car && o.overlaps(v.span) {
				c.fail("visit", "%s has two visits at %s", v.car, c.at(v.from))
			}
		}
		for _, it := range v.items {
			if !v.holds(it.span) {
				c.fail("visit", "%s lies outside its visit", it.name())
			}
		}
		if v.onLift && !c.hasLift() {
			c.fail("visit", "%s is on a lift that is not there", v.car)
		}
	}
	for _, w := range c.works {
		for _, v := range c.visits {
			if v.car == w.car && v.holds(w.span) && w.stage.Kind == "bench" {
				w.visit = v
			}
		}
		if len(w.stage.Access)+len(w.stage.Closing) > 0 && w.visit == nil {
			c.fail("visit", "%s is in no visit", w.label)
		}
	}
}

// checkIdleMoves wants that something is done on a car that is put onto the lift, before it leaves it, where that takes time.
func (c *checker) checkIdleMoves() {
	if c.p.ChangeCarMinutes == 0 {
		return
	}
	for id := range c.cars {
		for _, s := range c.standings(id) {
			idle := s.first != nil && len(s.first.items) > 0 && s.first.items[0].kind == "change"
			for _, v := range c.visits {
				idle = idle && (v.car != id || !s.holds(v.span) || !slices.ContainsFunc(v.items, func(it item) bool { return it.kind != "change" }))
			}
			for _, w := range c.works {
				idle = idle && (w.car != id || !w.overlaps(s.span) && w.from != s.to)
			}
			if idle {
				c.fail("R2", "%s is put onto the lift for nothing at %s", id, c.at(s.from))
			}
		}
	}
}

// standing is a stretch of time that a car stands on the lift, over one visit or several.
type standing struct {
	span
	car   string
	first *visit
}

// standings lists when a car stands on the lift.
func (c *checker) standings(car string) []standing {
	if _, known := c.stood[car]; !known {
		c.stood[car] = c.joinVisits(car)
	}
	return c.stood[car]
}

// joinVisits joins visits that start without a change to what came before: the car was still there. Where a
// change takes no time and is not listed, a car was still there that could not have left.
func (c *checker) joinVisits(car string) []standing {
	var out []standing
	given := c.cars[car]
	for _, v := range c.visits {
		if v.car != car || !v.onLift {
			continue
		}
		changed := len(v.items) > 0 && v.items[0].kind == "change"
		last := c.now
		if len(out) > 0 {
			last = out[len(out)-1].to
		}
		if c.p.ChangeCarMinutes == 0 && !changed && (len(out) > 0 || given.OnLift) {
			changed = !c.cannotLeave(car, last)
		}
		switch {
		case len(out) > 0 && !changed:
			out[len(out)-1].to = v.to
		case len(out) == 0 && given.OnLift && !changed:
			out = append(out, standing{span{c.now, v.to}, car, v})
		case !changed && c.p.ChangeCarMinutes > 0:
			c.fail("R2", "%s gets onto the lift at %s without a change", car, c.at(v.from))
			fallthrough
		default:
			out = append(out, standing{v.span, car, v})
		}
	}
	if len(out) == 0 && given.OnLift && c.cannotLeave(car, c.now) {
		out = append(out, standing{span{c.now, forever}, car, nil})
	}
	if n := len(out); n > 0 && c.cannotLeave(car, out[n-1].to) {
		out[n-1].to = forever
	}
	return out
}

// cannotLeave says whether a car that was on the lift at now could not be rolled off it at some time: it is
// immobile still, or something that may not be off the lift is open still.
func (c *checker) cannotLeave(car string, t int) bool {
	return slices.ContainsFunc(c.immobileSpans(), func(m immobile) bool {
		return m.car == car && m.start == nil && t < m.to
	}) || slices.ContainsFunc(c.openings(), func(o *opening) bool {
		return o.access.Car == car && !o.access.Stays && o.from <= t && t < o.to && o.visit == nil
	})
}

func (c *checker) allStandings() []standing {
	var out []standing
	for i := range c.p.Cars {
		out = append(out, c.standings(c.p.Cars[i].ID)...)
	}
	slices.SortFunc(out, func(a, b standing) int { return cmp.Or(a.from-b.from, cmp.Compare(a.car, b.car)) })
	return out
}

func (c *checker) checkLift() {
	all := c.allStandings()
	for _, s := range all {
		if n := c.onLiftAt(all, s.from); c.hasLift() && n > c.capacity("lift", span{}) {
			c.fail("R2", "%d cars on the lift at %s", n, c.at(s.from))
		}
		c.checkChange(s, all)
	}
	for _, v := range c.visits {
		for i, it := range v.items {
			if it.kind == "change" && (!v.onLift || i > 0 || it.from != v.from) {
				c.fail("R2", "%s: change at %s is not the start of a visit on the lift", v.car, c.at(it.from))
			}
		}
	}
	for _, w := range c.works {
		if w.stage.Needs["lift"] > 0 && !c.onLift(w.car, w.span) {
			c.fail("R2", "%s needs the lift, its car is not on it from %s to %s", w.label, c.at(w.from), c.at(w.to))
		}
	}
	for _, it := range c.items() {
		if it.kind == "closing" && c.closings[it.of].Needs["lift"] > 0 && !c.onLift(it.car, it.span) {
			c.fail("R5", "%s needs the lift", it.name())
		}
	}
}

func (c *checker) onLiftAt(all []standing, t int) int {
	n := 0
	for _, s := range all {
		if s.from <= t && t < s.to {
			n++
		}
	}
	return n
}

// onLift says whether a car stands on the lift over all of a span.
func (c *checker) onLift(car string, s span) bool {
	return slices.ContainsFunc(c.standings(car), func(x standing) bool { return x.holds(s) })
}

// checkChange wants no change for a car that could have stayed where it stood.
func (c *checker) checkChange(s standing, all []standing) {
	if c.p.ChangeCarMinutes == 0 || s.first == nil || len(s.first.items) == 0 || s.first.items[0].kind != "change" {
		return
	}
	gap := span{-1, s.from}
	if c.cars[s.car].OnLift {
		gap.from = c.now
	}
	for _, o := range all {
		if o.car == s.car && o.from < s.from {
			gap.from = o.to
		}
	}
	if gap.from < 0 {
		return
	}
	for _, r := range c.roadNeeds(s.car) {
		if r.overlaps(gap) {
			return
		}
	}
	for _, o := range all { // who leaves for another car is the planner's choice where there are two places
		if gap.from <= o.from && o.from < gap.to || o.overlaps(gap) && c.capacity("lift", span{}) == 1 {
			return
		}
	}
	c.fail("R2", "%s pays a change at %s though it stands there since %s", s.car, c.at(s.from), c.at(gap.from))
}

// opening is a stretch in which an access is open: usable after it was opened and before it is being closed.
type opening struct {
	span
	usable span
	access *givenAccess
	visit  *visit
}

// openings lists when what is open.
func (c *checker) openings() []*opening {
	if c.opened == nil {
		c.opened = c.playAccess()
	}
	return c.opened
}

// playAccess plays the opens and closes of all cars in order and complains of what does not fit.
func (c *checker) playAccess() []*opening {
	open, out := map[string]*opening{}, []*opening{}
	for i := range c.p.Access {
		if a := &c.p.Access[i]; a.Open {
			o := &opening{span: span{c.now, forever}, usable: span{c.now, forever}, access: a}
			open[a.ID], out = o, append(out, o)
		}
	}
	for _, it := range c.items() {
		a := c.access[it.of]
		if a == nil {
			continue
		}
		switch {
		case it.kind == "open" && open[a.ID] != nil:
			c.fail("R5", "%s opened at %s while open", a.ID, c.at(it.from))
		case it.kind == "open":
			for _, outer := range a.Inside {
				if open[outer] == nil {
					c.fail("R5", "%s opened at %s inside %s, which is closed", a.ID, c.at(it.from), outer)
				}
			}
			o := &opening{span: span{it.from, forever}, usable: span{it.to, forever}, access: a, visit: it.visit}
			open[a.ID], out = o, append(out, o)
		case it.kind == "close" && open[a.ID] == nil:
			c.fail("R5", "%s closed at %s while closed", a.ID, c.at(it.from))
		case it.kind == "close":
			c.checkInnerClosed(a, open, it)
			open[a.ID].to, open[a.ID].usable.to = it.to, it.from
			delete(open, a.ID)
		}
	}
	return out
}

func (c *checker) checkInnerClosed(a *givenAccess, open map[string]*opening, it item) {
	for id := range open {
		if slices.Contains(c.access[id].Inside, a.ID) {
			c.fail("R5", "%s closed at %s while %s inside it is open", a.ID, c.at(it.from), id)
		}
	}
}

// closure lists the accesses with all that must be open before them.
func (c *checker) closure(ids []string) []string {
	var out []string
	for queue := slices.Clone(ids); len(queue) > 0; queue = queue[1:] {
		if !slices.Contains(out, queue[0]) {
			out = append(out, queue[0])
			queue = append(queue, c.access[queue[0]].Inside...)
		}
	}
	return out
}

// users are the stages that use an opening, in order of time.
func (c *checker) users(o *opening) []*work {
	var out []*work
	for _, w := range c.works {
		if w.stage.Kind == "bench" && o.usable.holds(w.span) && slices.Contains(c.closure(w.stage.Access), o.access.ID) {
			out = append(out, w)
		}
	}
	return out
}

func (c *checker) checkAccess() {
	openings := c.openings()
	for _, w := range c.works {
		for _, id := range c.closure(w.stage.Access) {
			ok := slices.ContainsFunc(openings, func(o *opening) bool {
				return o.access.ID == id && o.usable.holds(w.span)
			})
			if !ok && w.stage.Kind == "bench" {
				c.fail("R5", "%s needs %s, which is not open from %s to %s", w.label, id, c.at(w.from), c.at(w.to))
			}
		}
	}
	for _, o := range openings {
		for _, s := range c.standings(o.access.Car) {
			if !o.access.Stays && o.from < s.to && s.to < o.to && s.to < forever {
				c.fail("R5", "%s is open when %s leaves the lift at %s", o.access.ID, o.access.Car, c.at(s.to))
			}
		}
		if o.visit != nil && len(c.users(o)) == 0 {
			c.fail("R5", "%s opened at %s for nothing", o.access.ID, c.at(o.from))
		}
		for _, p := range openings {
			if p != o && p.access == o.access && p.visit != nil && p.visit == o.visit {
				c.fail("R5", "%s opened twice in the visit at %s", o.access.ID, c.at(o.visit.from))
			}
		}
		c.checkClosedAtLast(o)
	}
}

// checkClosedAtLast wants everything closed in the end, but on a car that stays immobile. What was open at now
// and nothing placed needs can stay so when no session is left in which it could have been closed.
func (c *checker) checkClosedAtLast(o *opening) {
	if o.to < forever {
		return
	}
	stuck := slices.ContainsFunc(c.immobileSpans(), func(m immobile) bool {
		return m.car == o.access.Car && m.to == forever
	})
	if stuck || o.visit == nil && (!c.couldClose(o.access, forever) ||
		len(c.users(o)) == 0 && !c.spare(c.here(o.access.Car), o.access.CloseMinutes)) {
		return
	}
	c.fail("R5", "%s is never closed", o.access.ID)
}

// here is from when on a car is here.
func (c *checker) here(car string) int {
	if a := c.cars[car].Arrives; !absent(a) {
		return c.arrival(a)
	}
	return c.now
}

// spare says whether the hands are free for so long at a stretch at some time from a time on.
func (c *checker) spare(from, minutes int) bool {
	return slices.ContainsFunc(c.idle(c.segments(nil)), func(s span) bool {
		return s.to-max(s.from, from) >= max(1, minutes)
	})
}

// idle cuts everything that the hands do out of some spans.
func (c *checker) idle(spans []span) []span {
	for _, u := range c.uses("hands") {
		var next []span
		for _, s := range spans {
			if !s.overlaps(u.span) {
				next = append(next, s)
				continue
			}
			for _, x := range []span{{s.from, u.from}, {u.to, s.to}} {
				if x.from < x.to {
					next = append(next, x)
				}
			}
		}
		spans = next
	}
	return spans
}

// checkClosing wants each closing once in a visit that called for it, after its callers and the closes.
func (c *checker) checkClosing() {
	for _, v := range c.visits {
		for i := range c.p.Closing {
			x := &c.p.Closing[i]
			callers := c.callers(v, x.ID)
			var done []item
			for _, it := range v.items {
				if it.kind == "closing" && it.of == x.ID {
					done = append(done, it)
				}
			}
			want := min(1, len(callers))
			if x.Car == v.car && len(done) != want {
				c.fail("R5", "%s %s done %d times in the visit at %s, wanted %d", v.car, x.ID, len(done), c.at(v.from), want)
			}
			for _, it := range done {
				c.checkAfterAll(it, callers, v)
			}
		}
	}
}

// callers are the stages of a visit that call for a closing.
func (c *checker) callers(v *visit, closing string) []*work {
	var out []*work
	for _, w := range c.works {
		if w.visit == v && slices.Contains(w.stage.Closing, closing) {
			out = append(out, w)
		}
	}
	return out
}

func (c *checker) checkAfterAll(it item, callers []*work, v *visit) {
	for _, w := range callers {
		if it.from < w.to {
			c.fail("R5", "%s at %s before %s ends", it.name(), c.at(it.from), w.label)
		}
	}
	for _, o := range v.items {
		if o.kind == "close" && it.from < o.to {
			c.fail("R5", "%s at %s before %s is closed", it.name(), c.at(it.from), o.of)
		}
	}
}

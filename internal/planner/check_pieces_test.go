package planner_test

import (
	"cmp"
	"slices"
)

// checkInPieces wants no car on the lift or opened in an earlier session where a later one has room for that before it is
// wanted, and none left open, or its closing work undone, where the hands could have seen to it. What a pin was missed for,
// what helpers or the lift are needed for, cars that must be whole meanwhile and, but for openings, immobile ones are left out.
func (c *checker) checkInPieces() {
	if len(c.a.Notes) > 0 {
		return
	}
	idle, items := c.idle(c.segments(nil)), c.items()
	for i, it := range items {
		switch {
		case it.from == it.to || it.kind == "closing" && len(c.closings[it.of].Needs) > 0:
		case it.kind == "close" || it.kind == "closing":
			over := span{max(c.here(it.car), c.overBefore(it, items[:i])), it.from}
			if at, room := c.roomFor(it, over, idle); room {
				c.fail("pieces", "%s at %s could have been done at %s", it.name(), c.at(it.from), c.at(at))
			}
		default:
			after := span{c.nextSession(it.from), c.wantedBy(it, items[i+1:])}
			if at, room := c.roomFor(it, after, idle); room {
				c.fail("pieces", "%s at %s could wait until %s", it.name(), c.at(it.from), c.at(at))
			}
		}
	}
}

// overBefore is when all that is done on a car before a piece of overhead is over.
func (c *checker) overBefore(it item, before []item) (over int) {
	for _, w := range c.works {
		if w.car == it.car && w.from < it.from {
			over = max(over, w.to)
		}
	}
	for _, o := range before {
		if o.car == it.car {
			over = max(over, o.to)
		}
	}
	return over
}

// wantedBy is when what is opened is used first or, of a change, when anything is done on the car next.
func (c *checker) wantedBy(it item, after []item) int {
	at := forever
	for _, w := range c.works {
		if w.car == it.car && w.from >= it.to && (it.kind == "change" || w.stage.Kind == "bench" && slices.Contains(c.closure(w.stage.Access), it.of)) {
			at = min(at, w.from)
		}
	}
	for _, o := range after {
		if o.car == it.car && (it.kind == "change" || o.of == it.of || o.kind == "open" && slices.Contains(c.access[o.of].Inside, it.of)) {
			at = min(at, o.from)
		}
	}
	return at
}

func (c *checker) nextSession(t int) int {
	i, _ := slices.BinarySearchFunc(c.sessions, t, func(s session, t int) int { return cmp.Compare(s.from, t+1) })
	if i == len(c.sessions) {
		return forever
	}
	return c.sessions[i].from
}

// roomFor says when, within a stretch, the hands have the time for a piece of overhead while nothing else is under way
// on its car.
func (c *checker) roomFor(it item, within span, idle []span) (at int, room bool) {
	whole := span{min(within.from, it.from), max(within.to, it.to)}
	for _, r := range c.roadNeeds(it.car) {
		if r.overlaps(whole) {
			return 0, false
		}
	}
	for _, m := range c.immobileSpans() {
		if m.car == it.car && m.overlaps(whole) && it.kind != "open" {
			return 0, false
		}
	}
	for _, s := range idle {
		s = span{max(s.from, within.from), min(s.to, within.to)}
		for _, w := range c.works {
			if w.car == it.car && w.overlaps(s) {
				s.to = max(s.from, w.from)
			}
		}
		if s.to-s.from >= it.to-it.from {
			return s.from, true
		}
	}
	return 0, false
}

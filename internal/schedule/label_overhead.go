package schedule

import "slices"

// layOverhead adds a piece of overhead at the earliest time after another.
func (s *labels) layOverhead(l *label, k stroke, cal calendar, minutes, from int, effect func(n *label)) {
	for {
		at, ok := cal.whole(from, minutes)
		if !ok {
			return
		}
		k.Span = Span{at, at + minutes}
		b, hit := s.blackout(k.subject, k.Span)
		if !hit {
			break
		}
		from = b.To
	}
	if s.outOfTurn(l, &k) {
		return
	}
	n := s.after(l, k)
	if !s.passed(n, l.t, k.From) || k.kind == toMove && k.of == None && s.full(n) {
		return
	}
	n.score += overheadWeight * int64(minutes)
	effect(n)
	s.goOn(n, k.Span)
}

// whole finds the earliest time at or after from at which something of that
// length fits into one stretch.
func (c calendar) whole(from, minutes int) (int, bool) {
	for i := c.at(from); i < len(c); i++ {
		if t := max(from, c[i].From); t+minutes <= c[i].To {
			return t, true
		}
	}
	return 0, false
}

// earliest is when overhead on a subject may be done.
func (s *labels) earliest(l *label, c int) int {
	return max(l.t, l.times[s.subjAt+c], s.in.Subjects[c].Arrives)
}

// full says whether all the place is taken.
func (s *labels) full(l *label) bool {
	n := 0
	for c := range s.in.Subjects {
		n += int(l.key.onPlace >> c & 1)
	}
	return n >= s.in.Places
}

// tryMoves tries to put a subject onto the place that has work to come on it.
func (s *labels) tryMoves(l *label, c int) {
	if !s.in.HasPlace || !s.toCome(l, c, func(n *needs) bool { return n.place }) {
		return
	}
	if l.key.onPlace>>c&1 > 0 {
		s.later(c, l.t, func(t int) { s.moveAfter(l, c, t) })
		return
	}
	if !s.movable(l, c) {
		return
	}
	if !s.full(l) {
		s.move(l, c, None, s.earliest(l, c))
		return
	}
	for o := range s.in.Subjects {
		if l.key.onPlace>>o&1 > 0 && s.movable(l, o) && !s.movedIdly(l, o) {
			s.move(l, c, o, max(s.earliest(l, c), l.times[s.subjAt+o]))
		}
	}
	s.later(c, l.t, func(t int) { s.moveAfter(l, c, t) })
}

// moveAfter puts a subject onto the place that has been off it for a blackout, of
// its own or another's.
func (s *labels) moveAfter(l *label, c, from int) {
	k := stroke{kind: toMove, of: None, subject: c}
	s.layOverhead(l, k, s.in.plain, s.in.Move, max(from, s.earliest(l, c)), func(n *label) { n.key.onPlace |= 1 << c })
}

// move puts a subject onto the place and another off it, at the earliest time or
// after a blackout to come.
func (s *labels) move(l *label, c, o, from int) {
	k := stroke{kind: toMove, of: o, subject: c}
	lay := func(t int) {
		s.layOverhead(l, k, s.in.plain, s.in.Move, t, func(n *label) {
			if o != None {
				n.key.onPlace &^= 1 << o
			}
			n.key.onPlace |= 1 << c
		})
	}
	lay(from)
	s.later(c, from, lay)
}

// toCome says whether blocks of a subject are to come that need something.
func (s *labels) toCome(l *label, c int, is func(n *needs) bool) bool {
	for _, j := range s.in.mine[c] {
		if b := s.blockOf(l, j); b != None && s.placed[j] && is(&s.needed[b]) {
			return true
		}
	}
	return false
}

func (s *labels) tryOpen(l *label, a int) {
	in, c := s.in, s.in.Setups[a].Subject
	if l.key.ending>>c&1 > 0 {
		return
	}
	for _, o := range in.Setups[a].Inside {
		if l.key.open>>o&1 == 0 {
			return
		}
	}
	if !s.toCome(l, c, func(n *needs) bool { return n.open>>a&1 > 0 }) {
		return
	}
	k, from := stroke{kind: toOpen, of: a, subject: c}, max(l.t, in.Subjects[c].Arrives)
	lay := func(t int) {
		s.layOverhead(l, k, in.plain, in.Setups[a].Open, t, func(n *label) { n.key.open |= 1 << a })
	}
	if !s.reopens(l, a) {
		lay(from)
	}
	s.later(c, from, lay)
}

func (s *labels) tryClose(l *label, a int) {
	in, c := s.in, s.in.Setups[a].Subject
	if l.key.ending>>c&1 > 0 || s.lazy[c] && (in.stays[a] || !s.toMove(l, c)) || s.inside(l, a) || s.stuck(l, c) != None || s.openedIdly(l, a) {
		return
	}
	k := stroke{kind: toClose, of: a, subject: c}
	s.layOverhead(l, k, in.plain, in.Setups[a].Close, s.earliest(l, c), func(n *label) { n.key.open &^= 1 << a })
}

// openedIdly says whether a setup was opened and no block has made use of it since:
// to close it would be to have opened it for nothing.
func (s *labels) openedIdly(l *label, a int) bool {
	for ; l.before != nil; l = l.before {
		switch k := &l.did; {
		case k.kind == toBlock && s.needs[k.of].open>>a&1 > 0:
			return false
		case k.kind == toOpen && k.of == a:
			return true
		}
	}
	return false
}

// movedIdly says whether a subject was put onto the place and no block has made use
// of it there since, nor anything been done on the one that it took the place of: to
// put another one there would be to have moved it for nothing.
func (s *labels) movedIdly(l *label, c int) bool {
	for done := uint32(0); l.before != nil; l = l.before {
		switch k := &l.did; {
		case k.kind == toBlock && k.subject == c && s.needs[k.of].place:
			return false
		case k.kind == toMove && k.subject == c:
			return k.of == None || done>>k.of&1 == 0
		default:
			done |= 1 << k.subject
		}
	}
	return false
}

// parts says whether what is done on a subject before a stroke and what is done from
// a time on belong to different visits: it was moved, or had a blackout.
func (s *labels) parts(k *stroke, c, at int) bool {
	return k.kind == toMove && (k.subject == c || k.of == c) || s.in.blackoutIn(c, k.From, at)
}

// reopens says whether a setup was closed in the visit under way: then it could
// have been left open.
func (s *labels) reopens(l *label, a int) bool {
	c := s.in.Setups[a].Subject
	for at := l.t; l.before != nil; at, l = l.did.From, l.before {
		k := &l.did
		switch {
		case s.parts(k, c, at):
			return false
		case k.subject == c && k.kind == toFinish:
			return false
		case k.kind == toClose && k.subject == c && k.of == a:
			return true
		}
	}
	return false
}

// toMove says whether a subject may have to be put right before the end: to make
// room on the place, or to get onto it again.
func (s *labels) toMove(l *label, c int) bool {
	if !s.in.HasPlace {
		return false
	}
	if l.key.onPlace>>c&1 == 0 {
		return s.toCome(l, c, func(n *needs) bool { return n.place })
	}
	for o := range s.in.Subjects {
		if o != c && s.toCome(l, o, func(n *needs) bool { return n.place }) {
			return true
		}
	}
	return false
}

// inside says whether something is open inside a setup.
func (s *labels) inside(l *label, a int) bool {
	for _, o := range s.in.setups[s.in.Setups[a].Subject] {
		if l.key.open>>o&1 > 0 && slices.Contains(s.in.Setups[o].Inside, a) {
			return true
		}
	}
	return false
}

func (s *labels) tryFinish(l *label, f int) {
	x := &s.in.Closings[f]
	if l.key.owed>>f&1 == 0 || s.lazy[x.Subject] && !s.toMove(l, x.Subject) || !s.closed(l, x.Subject, false) || s.stuck(l, x.Subject) != None {
		return
	}
	k := stroke{kind: toFinish, of: f, subject: x.Subject}
	s.layOverhead(l, k, s.in.withHelpers(x.Helpers), x.Minutes, s.earliest(l, x.Subject), func(n *label) { s.finished(n, f) })
}

// finished notes that a closing is done.
func (s *labels) finished(n *label, f int) {
	c := s.in.Closings[f].Subject
	n.key.owed &^= 1 << f
	n.key.ending |= 1 << c
	if !s.owes(n, c) {
		n.key.ending &^= 1 << c
	}
}

// mostEnds is how many ways are tried to put everything right in the end.
const mostEnds = 200

// end counts a label with all blocks done, with what is left to put right.
func (s *labels) end(l *label) {
	tries := 0
	switch l = s.putRight(l, &tries); {
	case l == nil:
		s.short = true
	case l.late < s.late || l.late == s.late && l.score < s.score:
		s.best, s.late, s.score = l, l.late, l.score
	}
}

// putRight does all that is left, or returns nil. The order makes no difference to
// the cost: the first that fits into the sessions and leaves every subject whole
// for its blackouts will do.
func (s *labels) putRight(l *label, tries *int) *label {
	first := s.nextToEnd(l)
	if first == None {
		return l
	}
	for c := range s.in.Subjects {
		if c == 0 {
			c = first
		} else if c <= first {
			c--
		}
		for _, a := range s.in.setups[c] {
			if l.key.open>>a&1 > 0 && l.key.ending>>c&1 == 0 && !s.inside(l, a) {
				k := stroke{kind: toClose, subject: c, of: a}
				if n := s.putRightBy(l, k, s.in.plain, s.in.Setups[a].Close, tries); n != nil {
					return n
				}
			}
		}
		for _, f := range s.in.closings[c] {
			if x := &s.in.Closings[f]; l.key.owed>>f&1 > 0 && s.closed(l, c, false) {
				k := stroke{kind: toFinish, subject: c, of: f}
				if n := s.putRightBy(l, k, s.in.withHelpers(x.Helpers), x.Minutes, tries); n != nil {
					return n
				}
			}
		}
	}
	return nil
}

// putRightBy does one thing and then the rest, or returns nil.
func (s *labels) putRightBy(l *label, k stroke, cal calendar, minutes int, tries *int) *label {
	if *tries++; *tries > mostEnds || s.stuck(l, k.subject) != None {
		return nil
	}
	at, ok := cal.whole(s.earliest(l, k.subject), minutes)
	if !ok {
		return nil
	}
	k.Span = Span{at, at + minutes}
	if _, hit := s.blackout(k.subject, k.Span); hit {
		return nil
	}
	n := s.after(l, k)
	n.score += overheadWeight * int64(minutes)
	if !s.passed(n, l.t, at) {
		return nil
	}
	if k.kind == toClose {
		n.key.open &^= 1 << k.of
	} else {
		s.finished(n, k.of)
	}
	if n.t = k.To; !s.passed(n, at, n.t) {
		return nil
	}
	return s.putRight(n, tries)
}

// nextToEnd is the subject that has to be put right first, or None.
func (s *labels) nextToEnd(l *label) int {
	best, limit := None, 0
	for c := range s.in.Subjects {
		if s.closed(l, c, true) && !s.owes(l, c) {
			continue
		}
		at := always
		for _, b := range s.in.Subjects[c].Blackouts {
			if b.From >= l.t {
				at = min(at, b.From)
			}
		}
		if best == None || at < limit {
			best, limit = c, at
		}
	}
	return best
}

// row lists the strokes of the best label.
func (s *labels) row() []stroke {
	var out []stroke
	for l := s.best; l.before != nil; l = l.before {
		out = append(out, l.did)
	}
	slices.Reverse(out)
	return out
}

package schedule

// Many rows differ only in the order of strokes that have nothing to do with each
// other. Of those that follow each other directly in one session, one order is
// kept: a block goes before what it has no need of, and of two pieces of overhead
// the one that comes first in a fixed order.

// turn is the place of a stroke in that order.
func (k *stroke) turn() int {
	if k.kind == toBlock {
		return -1
	}
	return int(k.kind)<<8 | max(0, k.of)
}

// apart says whether two strokes, the first just before the second, might as well
// come the other way round.
func (s *labels) apart(x, y *stroke) bool {
	if x.kind == toMove && y.kind == toMove {
		return false
	}
	if x.subject != y.subject {
		return (x.kind != toMove || x.of != y.subject) && (y.kind != toMove || y.of != x.subject)
	}
	switch {
	case y.kind == toBlock:
		return (x.kind == toOpen || x.kind == toClose) && s.needs[y.of].open>>x.of&1 == 0
	case x.kind != y.kind:
		return false
	case x.kind == toOpen:
		return !s.in.around(x.of, y.of)
	case x.kind == toClose:
		return !s.in.around(y.of, x.of)
	}
	return x.kind == toFinish
}

// around says whether a setup has to be open for another.
func (in *instance) around(outer, a int) bool {
	for _, o := range in.Setups[a].Inside {
		if o == outer || in.around(outer, o) {
			return true
		}
	}
	return false
}

// outOfTurn says whether a stroke had better come before the ones that it follows
// directly.
func (s *labels) outOfTurn(l *label, y *stroke) bool {
	if l.before == nil || !s.in.free {
		return false
	}
	x := &l.did
	if x.kind == toBlock {
		return false
	}
	if y.kind != toBlock {
		return y.turn() < x.turn() && s.apart(x, y) && s.asWell(l, x, y)
	}
	if s.in.blocks[y.of].sticks {
		return false
	}
	var group [8]*stroke // from x back
	for n := 0; n < len(group) && l.before != nil && l.did.kind != toBlock && l.did.To == y.From-s.lengthOf(group[:n]); n++ {
		x = &l.did
		free := s.apart(x, y)
		for _, z := range group[:n] {
			free = free && s.apart(x, z)
		}
		if free && s.asWell(l, x, y) {
			between := true
			for _, z := range group[:n] {
				between = between && s.readyBy(l.before, z, x.From)
			}
			if between {
				return true
			}
		}
		group[n] = x
		l = l.before
	}
	return false
}

func (s *labels) lengthOf(group []*stroke) (n int) {
	for _, z := range group {
		n += z.To - z.From
	}
	return n
}

// asWell says whether a stroke that follows one after which a label stands could
// have been done in the place of that one, all within a session.
func (s *labels) asWell(l *label, x, y *stroke) bool {
	if y.From > x.To && y.kind != toBlock || s.in.blackouts && x.From > l.before.t {
		return false
	}
	at := s.in.plain.at(x.From)
	if y.To > s.in.plain[at].To || s.in.blackouts && s.begins(x.From, y.To) {
		return false
	}
	return s.readyBy(l.before, y, x.From)
}

// begins says whether a blackout begins in a stretch.
func (s *labels) begins(from, to int) bool {
	for c := range s.in.Subjects {
		if s.in.blackoutIn(c, from, to) {
			return true
		}
	}
	return false
}

// readyBy says whether nothing but the hands keeps a stroke from starting at a
// time.
func (s *labels) readyBy(l *label, y *stroke, t int) bool {
	if s.in.Subjects[y.subject].Arrives > t {
		return false
	}
	switch y.kind {
	case toBlock:
		x := &s.in.blocks[y.of]
		if l.times[x.job] > t || s.in.Jobs[x.job].Pinned {
			return false
		}
		_, at := s.suppliedFor(l, x)
		return at <= t && !s.helped(x)
	case toFinish:
		if s.in.Closings[y.of].Helpers > 0 {
			return false
		}
	case toMove:
		if y.of != None && l.times[s.subjAt+y.of] > t {
			return false
		}
	}
	return y.kind == toOpen || l.times[s.subjAt+y.subject] <= t
}

// helped says whether a block needs more than the hands.
func (s *labels) helped(x *block) bool {
	for k := x.from; k < x.to; k++ {
		if a := &s.in.acts[x.job][k]; a.Helpers > 0 || len(a.Tools) > 0 {
			return true
		}
	}
	return false
}

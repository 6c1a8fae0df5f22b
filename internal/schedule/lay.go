package schedule

// layout lays a decision out in time: what has to be done before a stage can
// start (end another subject's visit, move, open), then the stage with those
// tied to it.
type layout struct {
	d       *decoder
	x       *state
	subject int
	started bool
	first   int // when the hands begin
	gap     int // when the layout would have to begin so as not to idle inside; zero when it does not idle
	gapWhy  Reason
	fail    bool
	why     Reason
	again   int // with fail: when to try again; zero when only another decision helps, never
}

func (l *layout) reject(why Reason, again int) {
	if !l.fail {
		l.fail, l.why, l.again = true, why, again
	}
}

// item lays out one piece of overhead.
func (l *layout) item(kind ItemKind, subject, of, minutes int, cal calendar) {
	if l.fail {
		return
	}
	start, ok := l.x.put(cal, l.x.t, minutes)
	if kind == Finish && l.d.in.aside {
		start, ok = l.helped(cal, start, of)
	}
	if !ok {
		why := Reason{Kind: BySession}
		if _, any := l.x.put(l.d.in.plain, l.x.t, minutes); any {
			why.Kind = ByHelper
		}
		l.reject(why, never)
		return
	}
	if !l.started {
		l.started, l.first = true, start
	} else if start > l.x.t && l.d.in.plain.longest(l.x.t, start) >= max(1, minutes) {
		l.mustBeginAt(l.d.in.sessionStart(start), Reason{Kind: ByHelper})
	}
	l.x.items = append(l.x.items, Item{kind, subject, of, Span{start, start + minutes}})
	l.x.t = start + minutes
	if kind != leave {
		l.x.subj[subject].inVisit = true
	}
}

// helped is the earliest time at or after from at which the helpers that closing
// work needs do nothing else.
func (l *layout) helped(cal calendar, from, of int) (int, bool) {
	for from < never {
		s := Span{from, from + l.d.in.Closings[of].Minutes}
		free := l.d.booked.helpersFree(l.d.in.Closings[of].Helpers, s)
		if free == from {
			return from, true
		}
		from, _ = l.x.put(cal, free, s.To-s.From)
	}
	return never, false
}

func (l *layout) mustBeginAt(t int, why Reason) {
	if l.gap == 0 {
		l.gap, l.gapWhy = t, why
	}
}

// endVisit lays out all that ends a subject's visit: what must close, then
// the closing work.
func (l *layout) endVisit(c int, all bool) {
	in, x := l.d.in, l.x
	for _, a := range in.setups[c] {
		if x.open[a] && (all || !in.stays[a]) {
			l.item(Close, c, a, in.Setups[a].Close, in.plain)
			x.setOpen(in, a, false)
		}
	}
	for _, f := range in.closings[c] {
		if x.owed[f] {
			l.item(Finish, c, f, in.Closings[f].Minutes, in.withHelpers(in.Closings[f].Helpers))
			x.setOwed(in, f, false)
		}
	}
}

// vacate ends a subject's visit and takes it off the place.
func (l *layout) vacate(c int) {
	from := l.x.t
	if l.started {
		from = l.first // a blackout may lie between what comes before in the layout and this
	}
	had := l.gap
	l.endVisit(c, false)
	if l.why.Kind == ByHelper {
		l.why = Reason{Kind: ByPlace, Of: c}
	}
	if l.gap != had {
		l.gapWhy = Reason{Kind: ByPlace, Of: c}
	}
	if limit, _ := l.d.deadline(l.x, c, from); l.x.t > limit {
		l.reject(Reason{Kind: ByBlackout, Of: c}, 0)
	}
	l.x.items = append(l.x.items, Item{leave, c, None, Span{l.x.t, l.x.t}})
	l.x.leave(c)
}

// prepare lays out all that comes before the stages k to end of a job.
func (l *layout) prepare(j, k, end int) {
	in, x, c := l.d.in, l.x, l.subject
	place, hold := false, false
	for _, a := range in.acts[j][k:end] {
		hold = hold || in.HasPlace && (a.Hold == From || a.Hold == Within)
		place = place || a.Place
	}
	if s := &x.subj[c]; s.ending {
		l.reject(Reason{Kind: ByPlace, Of: c}, 0)
	} else if (place || hold) && !s.onPlace {
		l.ontoPlace(c)
	}
	if hold {
		for o := range x.subj {
			if o != c && x.subj[o].onPlace && x.immovable(o) {
				l.reject(Reason{Kind: ByStuck, Of: o}, max(0, x.subj[o].freeAt))
			}
		}
	}
	for _, a := range in.acts[j][k:end] {
		for _, o := range a.opens {
			if !x.open[o] {
				l.item(Open, c, o, in.Setups[o].Open, in.plain)
				x.setOpen(in, o, true)
			}
		}
	}
}

// ontoPlace moves the subject onto the place and another one off it where it
// must.
func (l *layout) ontoPlace(c int) {
	x := l.x
	switch s := &x.subj[c]; {
	case s.stuck > 0:
		l.reject(Reason{Kind: ByStuck, Of: c}, 0)
		return
	case s.until > x.t:
		l.reject(Reason{Kind: BySession}, s.until)
		return
	case s.inVisit:
		l.vacate(c)
	}
	if x.onPlace >= l.d.in.Places {
		o := l.whoLeaves()
		if l.fail {
			return
		}
		l.vacate(o)
	}
	l.item(Move, c, None, l.d.in.Move, l.d.in.plain)
	x.subj[c].onPlace = true
	x.onPlace++
}

// whoLeaves picks the subject that makes room on the place: one with nothing
// to close first, then the one that will need the place again last, then the
// one that has stood there idle for longest.
func (l *layout) whoLeaves() int {
	best, inTheWay, soonest := None, None, never
	for o := range l.x.subj {
		switch s := &l.x.subj[o]; {
		case !s.onPlace:
		case s.stuck > 0:
			if inTheWay == None {
				inTheWay = o
			}
		case s.until > l.x.t:
			if s.until < soonest {
				inTheWay, soonest = o, s.until
			}
		case best == None || l.leavesRather(o, best):
			best = o
		}
	}
	if best == None {
		again := 0
		if soonest < never {
			again = soonest
		}
		l.reject(Reason{Kind: ByPlace, Of: inTheWay}, again)
	}
	return best
}

func (l *layout) leavesRather(a, b int) bool {
	x, y := &l.x.subj[a], &l.x.subj[b]
	if free := x.open+x.owed == 0; free != (y.open+y.owed == 0) {
		return free
	}
	if p, q := l.d.nextOnPlace(a), l.d.nextOnPlace(b); p != q {
		return p > q
	}
	return x.last < y.last
}

// nextOnPlace is the rank of the first job of a subject that still needs the
// place.
func (d *decoder) nextOnPlace(c int) int {
	best := len(d.prog)
	if d.needPlace[c] == 0 {
		return best
	}
	for _, j := range d.in.mine[c] {
		p := &d.prog[j]
		if p.done || p.blocked || d.rank[j] >= best {
			continue
		}
		for k := p.next; k < len(d.in.acts[j]); k++ {
			if d.in.acts[j][k].Place {
				best = d.rank[j]
			}
		}
	}
	return best
}

// lay lays out stage k of a job, with those tied to it, from x.t on; its first
// stage starts no earlier than ready.
func (d *decoder) lay(x *state, j, k, ready int) layout {
	c := d.in.Jobs[j].Subject
	x.t = max(x.t, d.in.Subjects[c].Arrives)
	x.leaveForBlackouts(d.in)
	l := layout{d: d, x: x, subject: c, first: x.t}
	a := &d.in.acts[j][k]
	l.prepare(j, k, a.block)
	if l.fail {
		return l
	}
	if a.Bench {
		l.bench(j, k, a.block, ready)
	} else {
		l.clock(j, k, ready)
	}
	if !l.fail {
		l.takeEffect(j, k, a.block)
	}
	return l
}

// takeEffect changes the state by what the stages laid out do.
func (l *layout) takeEffect(j, k, end int) {
	in, x := l.d.in, l.x
	s := &x.subj[l.subject]
	s.last = x.placed[len(x.placed)-1].To
	s.inVisit = s.inVisit || in.acts[j][k].Bench || s.onPlace
	for i, a := range in.acts[j][k:end] {
		if a.Hold == Until || a.Hold == Within {
			s.freeAt = max(s.freeAt, x.placed[len(x.placed)-(end-k)+i].To)
		}
		for _, f := range a.Closings {
			x.setOwed(in, f, true)
		}
		for _, h := range in.holdFrom[a.id] {
			x.setHeld(in, h, true)
		}
		for _, h := range in.holdUntil[a.id] {
			x.setHeld(in, h, false)
		}
	}
}

package schedule

import "slices"

// place lays out a block after all that is laid out so far. It says whether
// that can be done in this sequence.
func (d *draft) place(b int) bool {
	x := &d.in.blocks[b]
	j := &d.jobs[x.job]
	if j.next != b || j.waits > 0 {
		return false
	}
	if !j.begun && !d.begin(x.job) {
		return false
	}
	j.next++
	ready, ok := d.unheld(x, d.readyFor(x))
	if !ok || !d.rollable(x, ready) {
		return false
	}
	d.endVisits(x.subject)
	if x.hands && ready > d.t && !d.unprepared(x) {
		if s := d.in.sessionStart(ready); s > d.t && s < never {
			if !d.waitUntil(s) {
				return false
			}
			d.endVisits(x.subject)
		}
	}
	d.leaveForBlackouts(d.in)
	f, ok := d.layWhole(x, ready)
	if !ok || d.misses(x, f.start) {
		return false
	}
	d.want(b, -1)
	j.ready = f.end
	d.keptPlace(x, f.start)
	return d.runClocks(x.job, x.to)
}

// layWhole lays out a block so that every subject is whole in its blackouts: a
// subject that would not be is closed first, and the block waits until the
// blackout of its own subject is over.
func (d *draft) layWhole(x *block, ready int) (f fitted, ok bool) {
	for range 2 + len(d.subj) {
		rows := d.rows()
		if d.in.blackouts {
			d.saved.restore(&d.state)
		}
		spent := d.cost.Overhead
		if f, ok = d.lay(x, ready); !ok || !d.takeEffect(x, f.start, f.end) {
			return f, false
		}
		if !d.in.blackouts {
			return f, true
		}
		c, over := d.notWhole(x, f)
		if c == None {
			return f, true
		}
		d.restore(&d.saved)
		d.cost.Overhead = spent
		d.forget(rows)
		if d.subj[c].stuck > 0 {
			return f, false
		}
		if d.subj[c].open+d.subj[c].owed > 0 {
			d.close(c, everything)
			d.subj[c].inVisit = false
		}
		if c == x.subject {
			if ready = max(ready, over); !d.waitUntil(over) {
				return f, false
			}
			d.leaveForBlackouts(d.in)
		}
	}
	return f, false
}

// readyFor is when a block may start as far as its own job goes.
func (d *draft) readyFor(x *block) int {
	ready := max(d.jobs[x.job].ready, d.in.Subjects[x.subject].Arrives)
	ready = max(ready, d.supplyAt[d.in.acts[x.job][x.from].id])
	if p := d.search.pinned[x.job]; p != 0 && x.from == d.search.pinStage[x.job] {
		ready = max(ready, p)
	}
	return ready
}

// unheld is when a block may start that makes its subject stuck, so that the rest
// of its job does not wait for material then. Other blocks start when they may.
func (d *draft) unheld(x *block, ready int) (int, bool) {
	if !x.sticks {
		return ready, true
	}
	for k := x.from; k < x.to; k++ {
		if h := d.in.holdFrom[d.in.acts[x.job][k].id]; len(h) > 0 {
			hold, last := &d.in.holds[h[0]], len(d.in.acts[x.job])-1
			if hold.untilJob == x.job {
				last = hold.untilAt
			}
			from := max(ready, d.t)
			at, ok := d.in.startUnheld(x, last, from, func(k int) int { return d.supplyAt[d.in.base[x.job]+k] })
			if at == from {
				return ready, ok
			}
			return at, ok
		}
	}
	return ready, true
}

// rollable wants that a stuck subject does not sit and wait for material of the
// jobs that free it.
func (d *draft) rollable(x *block, ready int) bool {
	at := d.supplyAt[d.in.acts[x.job][x.from].id]
	if d.subj[x.subject].stuck == 0 || at < ready || at <= max(d.t, d.in.Now) {
		return true
	}
	for _, h := range d.in.holdsOf[x.subject] {
		if hold := &d.in.holds[h]; d.held[h] && hold.job != None && slices.Contains(hold.chain, x.job) {
			return false
		}
	}
	return true
}

// misses says whether a kept pin would be missed.
func (d *draft) misses(x *block, start int) bool {
	p := d.search.pinEnd[x.job]
	return p != 0 && x.from == d.search.pinStage[x.job] && start >= p
}

// fitted is where a block lies: from its start to its end, and where the hands
// are free in between, the first time, from pause to resume.
type fitted struct{ start, end, pause, resume int }

// lay lays out what has to be done before a block, and the block itself. The
// overhead is done at once, also where the block has to wait after it: so it
// takes the rest of a session.
func (d *draft) lay(x *block, ready int) (f fitted, ok bool) {
	d.over = d.over[:0]
	if !d.prepare(x) {
		return f, false
	}
	at, ok := d.layOver(d.t)
	if !ok {
		return f, false
	}
	if f, ok = d.fitBlock(x, max(at, ready)); !ok {
		return f, false
	}
	d.noteOver()
	d.note(stroke{toBlock, x.id, x.subject, Span{f.start, f.end}})
	switch {
	case !x.hands:
		d.t = at
	case f.pause > 0 && d.busy.To <= f.pause:
		d.t, d.busy = f.pause, Span{f.resume, f.end}
		d.subj[x.subject].until = max(d.subj[x.subject].until, f.end)
	default:
		d.t = f.end
	}
	if d.t >= d.busy.From && d.t < d.busy.To {
		d.t = d.busy.To
	}
	return f, true
}

// layOver lays out the overhead from a time on and says when it is done.
func (d *draft) layOver(t int) (int, bool) {
	for i := range d.over {
		o := &d.over[i]
		start, ok := d.put(o.cal, max(t, d.in.Subjects[o.subject].Arrives), o.minutes)
		if !ok {
			return 0, false
		}
		t = start + o.minutes
		o.Span = Span{start, t}
	}
	return t, true
}

// noteOver notes the overhead as it is laid out.
func (d *draft) noteOver() {
	if d.row != nil {
		for i := range d.over {
			d.note(d.over[i].stroke)
		}
	}
}

func (d *draft) note(k stroke) {
	if d.row != nil {
		*d.row = append(*d.row, k)
	}
}

// rows is how many strokes are noted.
func (d *draft) rows() int {
	if d.row == nil {
		return 0
	}
	return len(*d.row)
}

// forget forgets the strokes noted after the first ones.
func (d *draft) forget(rows int) {
	if d.row != nil {
		*d.row = (*d.row)[:rows]
	}
}

// fitBlock finds the earliest time from which the stages of a block fit, one
// directly after the other, beside what goes on later.
func (d *draft) fitBlock(x *block, from int) (f fitted, ok bool) {
	acts := d.in.acts[x.job][x.from:x.to]
	if !x.bench {
		return fitted{start: from, end: acts[0].ends(from)}, true
	}
	for from < never {
		if f, ok = d.fitStage(&acts[0], from); !ok {
			return f, false
		}
		i := 1
		for ; i < len(acts); i++ {
			g, ok := d.fitStage(&acts[i], f.end)
			if !ok || g.start != f.end {
				break
			}
			if f.end = g.end; f.pause == 0 {
				f.pause, f.resume = g.pause, g.resume
			}
		}
		switch {
		case i < len(acts):
			from = d.in.nextSession(f.start)
		case f.start < d.busy.To && f.end > d.busy.From:
			from = d.busy.To
		default:
			return f, true
		}
	}
	return f, false
}

// fitStage finds where a bench stage fits, tools taken to be free.
func (d *draft) fitStage(a *act, from int) (f fitted, ok bool) {
	if d.pieces, ok = a.fit(d.pieces[:0], a.Minutes, from, a.cal.at(from), nil); !ok {
		return f, false
	}
	f = fitted{start: d.pieces[0].From, end: d.pieces[0].To}
	for _, piece := range d.pieces[1:] {
		if f.pause == 0 && d.in.nextSession(f.end-1) < piece.From {
			f.pause, f.resume = f.end, piece.From
		}
		f.end = piece.To
	}
	return f, true
}

// takeEffect changes the bench by what a block does.
func (d *draft) takeEffect(x *block, start, end int) bool {
	s := &d.subj[x.subject]
	s.last = end
	s.inVisit = s.inVisit || x.bench || s.onPlace
	if !x.hands {
		s.until = max(s.until, end)
	}
	for k := x.from; k < x.to; k++ {
		a := &d.in.acts[x.job][k]
		if a.Hold == Until || a.Hold == Within {
			s.freeAt = max(s.freeAt, end)
		}
		for _, f := range a.Closings {
			d.setOwed(d.in, f, true)
		}
		for _, h := range d.in.holdFrom[a.id] {
			d.setHeld(d.in, h, true)
			d.since[h] = start
		}
		for _, h := range d.in.holdUntil[a.id] {
			if !d.endHold(h, end) {
				return false
			}
		}
	}
	return true
}

// endHold frees a subject. It says whether none of its blackouts fell into the
// time in which it was stuck.
func (d *draft) endHold(h, end int) bool {
	c := d.in.holds[h].subject
	if !d.held[h] {
		return true
	}
	d.setHeld(d.in, h, false)
	d.subj[c].until = max(d.subj[c].until, end)
	for _, b := range d.in.Subjects[c].Blackouts {
		if b.From < end && b.To > d.since[h] {
			return d.in.holds[h].job == None
		}
	}
	return true
}

// keptPlace counts a block that has left the session in which it was before.
func (d *draft) keptPlace(x *block, start int) {
	for k := x.from; k < x.to; k++ {
		a := &d.in.acts[x.job][k]
		moved := d.in.moved(a, start) + d.in.overtaken(a, &d.latest)
		d.cost.Moved += moved
		d.cost.Late = addUpTo(d.cost.Late, d.in.stayedLate(moved))
	}
}

// unprepared says whether there is overhead before a block.
func (d *draft) unprepared(x *block) bool {
	if x.place && !d.subj[x.subject].onPlace {
		return true
	}
	for k := x.from; k < x.to; k++ {
		if slices.ContainsFunc(d.in.acts[x.job][k].opens, func(a int) bool { return !d.open[a] }) {
			return true
		}
	}
	return false
}

package schedule

import "slices"

// A schedule of one pair of hands is a row of strokes: things that they do one
// after the other, each as early as the ones before it allow. A block is one,
// and so is each piece of overhead: when a subject is moved, opened, closed and
// finished is decided by where that stands in the row, not by a habit.

// stroke is one thing that the hands do.
type stroke struct {
	kind    strokeKind
	of      int // the block, setup or closing; of a move the subject that makes room, or None
	subject int
	Span
}

type strokeKind int

const (
	toBlock strokeKind = iota
	toMove
	toOpen
	toClose
	toFinish
)

// carryOut turns a row of strokes into a schedule, with all that a decode notes.
// Jobs that another schedule has no place for have none here either. It says
// whether everything else was done and put right.
func (in *instance) carryOut(row []stroke, like *decoder) (*decoder, bool) {
	in.decodes++
	dropped, waived := make([]bool, len(in.Jobs)), make([]bool, len(in.Jobs))
	for j := range dropped {
		dropped[j], waived[j] = !like.prog[j].done, true
	}
	d := newDecoder(in, order{jobs: like.order.jobs, patient: like.order.patient}, dropped, waived)
	d.begin()
	for len(row) > 0 {
		n := in.decision(row)
		if !d.doStrokes(row[:n]) {
			return nil, false
		}
		row = row[n:]
	}
	for d.startClocks(always) {
	}
	for j := range d.prog {
		if d.prog[j].done == dropped[j] {
			return nil, false
		}
	}
	if d.chainWaits() || d.visitsBlur() {
		return nil, false
	}
	d.result.Missed = slices.Clone(like.result.Missed) // of which finish takes out those that are kept after all
	d.finish()
	d.dropWhy, d.lastWhy, d.shorts = like.dropWhy, like.lastWhy, like.shorts
	d.result.Unplaced = like.result.Unplaced
	return d, len(d.void(true)) == 0
}

// decision is how many strokes of a row belong together: a block with the
// strokes that lead up to it, or a piece of overhead by itself. Nothing leads up
// to a block over a blackout of its subject.
func (in *instance) decision(row []stroke) int {
	n := 0
	for n < len(row) && row[n].kind != toBlock {
		n++
	}
	if n == len(row) {
		return 1
	}
	first, c, room, closed := n, row[n].subject, None, false
	for ; first > 0; first-- {
		s := &row[first-1]
		switch {
		case in.blackoutIn(c, s.From, row[first].From):
			return 1
		case s.subject == c && s.kind == toMove && room == None:
			room = s.of
		case s.subject == c && s.kind == toOpen && room == None:
		case s.subject == room && s.kind == toClose:
			closed = true
		case s.subject == room && s.kind == toFinish && !closed: // what stayed open is closed in a visit of its own
		default:
			return 1
		}
	}
	return n + 1
}

// blackoutIn says whether a blackout of a subject begins in a stretch.
func (in *instance) blackoutIn(c, from, to int) bool {
	return slices.ContainsFunc(in.Subjects[c].Blackouts, func(b Span) bool { return from <= b.From && b.From <= to })
}

// doStrokes carries out what belongs together, and says whether that can be done.
func (d *decoder) doStrokes(row []stroke) bool {
	last := &row[len(row)-1]
	for i := range row {
		if d.in.meetsBlackout(row[i].subject, row[i].Span) {
			return false
		}
	}
	if last.kind == toBlock {
		for d.startClocks(last.From) {
		}
	}
	if d.in.takesHands(&row[0]) {
		d.s.t = max(d.s.t, row[0].From)
	}
	d.notWhole()
	d.s.leaveForBlackouts(d.in)
	d.s.leaveForBlackoutsOf(d.in, last.subject, row[0].From)
	d.partFrom(last.subject, row[0].From)
	x := d.trying
	x.become(d.s)
	l := layout{d: d, x: x, subject: last.subject, first: x.t}
	for i := range row {
		if d.in.takesHands(&row[i]) {
			x.t = max(x.t, row[i].From)
		}
		x.leaveForBlackouts(d.in)
		l.stroke(&row[i])
	}
	if l.fail {
		return false
	}
	if last.kind == toBlock {
		return d.doBlock(last)
	}
	if x.t != last.To {
		return false
	}
	d.commitItems()
	d.keep()
	d.handEnd = d.s.t
	s := &d.s.subj[last.subject]
	s.last = d.s.t
	if last.kind == toFinish && s.owed == 0 {
		s.inVisit = false
	}
	return true
}

// doBlock commits the block under trial where it lies as its stroke has it.
func (d *decoder) doBlock(k *stroke) bool {
	x, b := d.trying, &d.in.blocks[k.of]
	p := &d.prog[b.job]
	lies := Span{x.placed[0].From, x.placed[len(x.placed)-1].To}
	if lies != k.Span || p.next != b.from || p.waits > 0 || p.ready > k.From || !d.enough(b) {
		return false
	}
	d.commit(b.job)
	return d.supplied(b, x.placed)
}

// takesHands says whether a stroke is done by the hands: some blocks are not.
func (in *instance) takesHands(k *stroke) bool { return k.kind != toBlock || in.blocks[k.of].hands }

// meetsBlackout says whether a blackout of a subject falls into a stretch.
func (in *instance) meetsBlackout(c int, s Span) bool {
	return slices.ContainsFunc(in.Subjects[c].Blackouts, func(b Span) bool { return b.From < s.To && s.From < b.To })
}

// chainWaits says whether something that ends a hold had to wait for its material
// while the hold was on, or drew on what was freed only then. A row of strokes
// does not look ahead as a decode does.
func (d *decoder) chainWaits() bool {
	for h := range d.in.holds {
		hold, since := &d.in.holds[h], d.heldSince[h]
		if hold.job == None || !d.prog[hold.job].done {
			continue
		}
		for i := range d.result.Placed {
			p := &d.result.Placed[i]
			if p.From <= since || !slices.Contains(hold.chain, p.Job) {
				continue
			}
			if d.in.Jobs[p.Job].Subject == hold.subject && d.satIdle(p, since) || d.drawsOn(p, since) {
				return true
			}
		}
	}
	return false
}

// visitsBlur says whether two visits of a subject overlap, or one of them opens
// something twice: a row of strokes does not always see that what is done beside
// the hands goes on, and where a visit ends by that.
func (d *decoder) visitsBlur() bool {
	for i := range d.result.Visits {
		v := &d.result.Visits[i]
		for k := range d.result.Visits[:i] {
			if o := &d.result.Visits[k]; o.Subject == v.Subject && o.From < v.To && v.From < o.To {
				return true
			}
		}
		for k, it := range v.Items {
			if it.Kind == Open && slices.ContainsFunc(v.Items[:k], func(o Item) bool { return o.Kind == Open && o.Of == it.Of }) {
				return true
			}
		}
	}
	return false
}

// satIdle says whether the hands had a minute for a stage, after a time and after
// what comes before it, and its material was not there.
func (d *decoder) satIdle(p *Placed, since int) bool {
	supply := d.supplyAt[d.in.base[p.Job]+p.Stage]
	if supply <= since {
		return false
	}
	ready := max(since, d.in.release(p.Job).at)
	for _, l := range d.in.Jobs[p.Job].After {
		ready = max(ready, d.prog[l.Job].end+l.Gap)
	}
	busy := 0
	for i := range d.result.Placed {
		if o := &d.result.Placed[i]; o.Job == p.Job && o.Stage == p.Stage-1 {
			ready = o.To
		}
	}
	if a := &d.in.acts[p.Job][p.Stage]; !a.Bench {
		return supply > ready
	}
	overlap := func(s Span) { busy += max(0, min(s.To, supply)-max(s.From, ready)) }
	for i := range d.result.Placed {
		if o := &d.result.Placed[i]; d.in.acts[o.Job][o.Stage].Hands {
			for _, s := range o.Pieces {
				overlap(s)
			}
		}
	}
	for _, v := range d.result.Visits {
		for _, it := range v.Items {
			overlap(it.Span)
		}
	}
	return d.in.plain.minutes(ready, supply) > busy
}

// drawsOn says whether a stage takes what a job freed only after a time.
func (d *decoder) drawsOn(p *Placed, since int) bool {
	return slices.ContainsFunc(d.ledger.taken, func(t Promise) bool {
		return t.Source == Freed && t.At > since && t.Job == p.Job && t.Stage == p.Stage
	})
}

// enough says whether there is the material for a job that a block begins.
func (d *decoder) enough(b *block) bool {
	if d.prog[b.job].next > 0 {
		return true
	}
	promises, marks := len(d.ledger.taken), len(d.ledger.marks)
	defer func() { d.ledger.undo(promises, marks) }()
	_, bad := d.trySupply(b.job, promises)
	return !bad
}

// supplied says whether the materials of a block were there when its stages began.
func (d *decoder) supplied(b *block, placed []Placed) bool {
	for i := range placed {
		if d.supplyAt[d.in.base[b.job]+placed[i].Stage] > placed[i].From {
			return false
		}
	}
	return true
}

// partFrom ends the visits of subjects on which nothing is open, owed or under
// way when the hands turn to another one, or come back only after the next
// session.
func (d *decoder) partFrom(c, at int) {
	for o := range d.s.subj {
		s := &d.s.subj[o]
		if s.open+s.owed+s.stuck > 0 || s.until > d.s.t || o == c && d.in.session(at) <= d.in.session(s.last)+1 {
			continue
		}
		s.inVisit = false
	}
}

// stroke lays one out.
func (l *layout) stroke(s *stroke) {
	in, x := l.d.in, l.x
	if (s.kind == toMove || s.kind == toClose || s.kind == toFinish) && !x.atRest(s.subject) {
		l.reject(Reason{Kind: ByStuck, Of: s.subject}, never)
		return
	}
	switch s.kind {
	case toMove:
		l.moveOnto(s.subject, s.of)
	case toOpen:
		l.item(Open, s.subject, s.of, in.Setups[s.of].Open, in.plain)
		x.setOpen(in, s.of, true)
	case toClose:
		l.item(Close, s.subject, s.of, in.Setups[s.of].Close, in.plain)
		x.setOpen(in, s.of, false)
	case toFinish:
		l.item(Finish, s.subject, s.of, in.Closings[s.of].Minutes, in.withHelpers(in.Closings[s.of].Helpers))
		x.setOwed(in, s.of, false)
	case toBlock:
		b := &in.blocks[s.of]
		if b.bench {
			l.bench(b.job, b.from, b.to, s.From)
		} else {
			l.clock(b.job, b.from, s.From)
		}
		if !l.fail {
			l.takeEffect(b.job, b.from, b.to)
		}
	}
}

// moveOnto moves a subject onto the place and another one, or None, off it.
func (l *layout) moveOnto(c, room int) {
	in, x := l.d.in, l.x
	for _, o := range []int{c, room} {
		if o == None || o == c && !x.subj[o].inVisit {
			continue
		}
		if !x.atRest(o) || x.apart(in, o) || x.subj[o].owed > 0 {
			l.reject(Reason{Kind: ByStuck, Of: o}, never)
			return
		}
		x.items = append(x.items, Item{leave, o, None, Span{x.t, x.t}})
		x.leave(o)
	}
	if x.onPlace >= in.Places {
		l.reject(Reason{Kind: ByPlace, Of: c}, never)
		return
	}
	l.item(Move, c, None, in.Move, in.plain)
	x.subj[c].onPlace = true
	x.onPlace++
}

// atRest says whether nothing keeps a subject from being moved or closed.
func (s *state) atRest(c int) bool { return s.subj[c].stuck == 0 && s.subj[c].until <= s.t }

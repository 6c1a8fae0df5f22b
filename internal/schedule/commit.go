package schedule

import (
	"cmp"
	"slices"
)

// commit makes the decision under trial: it places the next block of a job.
func (d *decoder) commit(j int) {
	p, x := &d.prog[j], d.trying
	if p.next == 0 {
		d.taken = len(d.ledger.taken)
		d.supplyOf(j)
	}
	why, passed := d.because(j), Reason{}
	if note, over := d.passedOver(j, d.skipped[j].why); over {
		passed = note
	}
	d.skipped[j] = skip{decision: -1}
	d.commitItems()
	for i, placed := range x.placed {
		placed.Pieces = slices.Clone(placed.Pieces)
		if placed.Why, placed.passed = why, passed; i > 0 {
			placed.Why = Reason{ByStage, placed.Stage - 1, x.placed[i-1].To}
		}
		a := &d.in.acts[j][placed.Stage]
		if a.Bench || x.subj[d.in.Jobs[j].Subject].onPlace {
			d.inVisit(j, a, placed.Span, x.subj[d.in.Jobs[j].Subject].onPlace)
		}
		spans := placed.Pieces
		if !a.Bench {
			spans = []Span{placed.Span}
		}
		d.booked.reserve(a, spans...)
		for _, h := range d.in.holdFrom[a.id] {
			d.heldSince[h] = placed.From
			d.hurry(h)
		}
		if len(d.in.holdUntil[a.id]) > 0 {
			d.freed[d.in.Jobs[j].Subject] = placed.To
		}
		d.result.Placed = append(d.result.Placed, placed)
	}
	d.keep()
	if d.in.byHand(j, p.next, d.in.acts[j][p.next].block) {
		d.handJob, d.handEnd = j, d.s.t
		d.decision++
	}
	last := d.result.Placed[len(d.result.Placed)-1]
	d.unwant(j, p.next, last.Stage+1)
	d.advance(j, last)
}

// keep makes the state under trial the one that holds.
func (d *decoder) keep() {
	d.s, d.trying = d.trying, d.s
}

// because is the last thing that pushed the start of a job's next stage: what
// it was passed over for since the hands were last in use elsewhere, else its
// own times, else the hands.
func (d *decoder) because(j int) Reason {
	own := d.ownTime(j)
	passed, over := Reason{}, false
	if s := d.skipped[j]; s.decision >= max(0, d.decision-1) {
		passed, over = d.passedOver(j, s.why)
	}
	// The place came free, and then the subject still had to be whole: that pushed last.
	after := func(held Reason) bool {
		return over && passed.Kind == ByBlackout && d.skipped[j].decision == d.decision && passed.Until > held.Until
	}
	if held, ok := d.placeHeld(d.in.Jobs[j].Subject); ok && held.Until > own.at && !after(held) {
		return held
	}
	if over {
		return passed
	}
	first := d.firstHand()
	if len(d.trying.items) == 0 && d.trying.placed[0].From > own.at && !d.in.byHand(j, d.prog[j].next, d.trying.placed[0].Stage+1) {
		return d.asideFor(j, own)
	}
	switch {
	case own.at >= d.handEnd && (own.why.Kind != ByNow || first == d.in.Now):
		return own.why
	case own.at >= d.handEnd || first > d.handEnd || d.handJob == None:
		return Reason{Kind: BySession, Until: first}
	}
	return Reason{ByHands, d.handJob, d.handEnd}
}

// ownTime is when a job's next stage could start by its own times alone. What
// would make its subject stuck also waits for what other jobs free for it.
func (d *decoder) ownTime(j int) moment {
	p := &d.prog[j]
	own := moment{p.ready, p.readyBy}
	a := &d.in.acts[j][p.next]
	if d.supplyAt[a.id] > own.at {
		own = moment{d.supplyAt[a.id], d.supplyWhy[a.id]}
	}
	if p.next > 0 || a.Hold != From {
		return own
	}
	for _, t := range d.ledger.taken[d.taken:] {
		if t.Source == Freed && t.Stage > 0 {
			own.later(t.At, ByChain, t.Material)
		}
	}
	return own
}

// asideFor says what a stage waited for that the hands had no part in.
func (d *decoder) asideFor(j int, own moment) Reason {
	a, start := &d.in.acts[j][d.prog[j].next], d.trying.placed[0].From
	first, _ := d.in.plain.from(own.at)
	switch {
	case start == first && own.why.Kind != ByNow:
		return own.why
	case start == first:
		return Reason{Kind: BySession, Until: start}
	case a.Helpers > 0:
		return Reason{Kind: ByHelper, Until: start}
	case len(a.Tools) > 0:
		return Reason{ByTool, a.Tools[0].Tool, start}
	}
	return Reason{Kind: BySession, Until: start}
}

// firstHand is when the decision under trial begins.
func (d *decoder) firstHand() int {
	for _, it := range d.trying.items {
		return it.From
	}
	return d.trying.placed[0].From
}

// placeHeld says who was moved off the place for the subject of the decision
// under trial, and until when it was in use, if the hands were on it last.
func (d *decoder) placeHeld(c int) (Reason, bool) {
	o, until := None, 0
	for _, it := range d.trying.items {
		switch {
		case it.Kind == Move:
			return Reason{ByPlace, o, until}, o != None && until >= d.handEnd
		case it.Subject == c:
		case it.Kind == leave:
			o, until = it.Subject, max(until, d.s.subj[it.Subject].last)
		default:
			until = it.To
		}
	}
	return Reason{}, false
}

// passedOver completes the reason why a job was passed over by when that was
// over. It is no reason any more when what it names is not over yet, or was
// another subject's business.
func (d *decoder) passedOver(j int, why Reason) (Reason, bool) {
	c, k := d.in.Jobs[j].Subject, d.prog[j].next
	switch why.Kind {
	case ByBlackout:
		return why, why.Of == c && why.Until > 0 && why.Until <= d.trying.placed[0].From
	case ByStuck:
		why.Until = d.freed[why.Of]
		return why, why.Until > 0
	case ByChain, ByChainJob:
		hold := d.in.acts[j][k].Hold
		if why.Until == 0 || why.Until > d.s.t {
			why.Until = d.s.t
		}
		return why, hold == From || hold == Within
	case ByLot, ByHarvest:
		return why, false
	case ByHelper, ByTool:
		if !d.wants(j, why) { // it would have been in the way later on
			why = Reason{Kind: BySession}
		}
	case ByPlace, ByPin:
		if why.Kind == ByPlace && (why.Of == c || d.trying.subj[why.Of].onPlace) || why.Kind == ByPin && why.Of == j {
			return why, false
		}
	}
	why.Until = d.s.t
	return why, true
}

// wants says whether the next block of a job itself needs the helper or tool
// that a reason names.
func (d *decoder) wants(j int, why Reason) bool {
	k := d.prog[j].next
	return slices.ContainsFunc(d.in.acts[j][k:d.in.acts[j][k].block], func(a act) bool {
		if why.Kind == ByHelper {
			return a.Helpers > 0 || len(a.Closings) > 0
		}
		return slices.ContainsFunc(a.Tools, func(u Use) bool { return u.Tool == why.Of && u.N > 0 })
	})
}

// hurry puts the jobs first that free a subject.
func (d *decoder) hurry(h int) {
	for _, j := range d.in.holds[h].chain {
		if !d.prog[j].done && !slices.Contains(d.urgent, j) {
			d.urgent = append(d.urgent, j)
		}
	}
	slices.SortFunc(d.urgent, func(a, b int) int { return cmp.Or(d.rank[a]-d.rank[b], a-b) })
}

// advance moves a job on past a stage, and past the clock stages that start by
// themselves after it.
func (d *decoder) advance(j int, last Placed) {
	p := &d.prog[j]
	d.passed(j, last)
	for !p.done {
		a := &d.in.acts[j][p.next]
		if a.Bench {
			return
		}
		if a.heavy {
			d.holdOn(j)
			return
		}
		placed, ok := d.placeClock(j)
		if !ok {
			return
		}
		d.passed(j, placed)
	}
}

// passed notes that a stage of a job is placed.
func (d *decoder) passed(j int, last Placed) {
	p := &d.prog[j]
	d.decisions++
	if p.next == 0 {
		d.begun = append(slices.DeleteFunc(d.begun, func(o int) bool { return d.prog[o].done }), j)
	}
	p.next, p.ready, p.notYet = last.Stage+1, last.To, 0
	p.readyBy = Reason{ByStage, last.Stage, last.To}
	if p.next < len(d.in.acts[j]) {
		if at := d.pinBound(j, p.next); at > p.ready {
			p.ready, p.readyBy = at, Reason{ByPin, None, at}
		}
		if d.order.at != nil {
			d.anchor(j)
			d.takeRank(j)
			d.ready = slices.DeleteFunc(d.ready, func(o int) bool { return o == j })
			d.enlist(j)
		}
		return
	}
	p.done, p.end = true, last.To
	d.result.Ends[j] = last.To
	d.ready = slices.DeleteFunc(d.ready, func(o int) bool { return o == j })
	d.urgent = slices.DeleteFunc(d.urgent, func(o int) bool { return o == j })
	for _, l := range d.in.next[j] {
		if d.prog[l.Job].waits--; d.prog[l.Job].waits == 0 && !d.prog[l.Job].blocked {
			d.makeReady(l.Job)
		}
	}
}

// placeClock places the clock stage that a job comes to next.
func (d *decoder) placeClock(j int) (Placed, bool) {
	p := &d.prog[j]
	a := &d.in.acts[j][p.next]
	own := moment{p.ready, p.readyBy}
	if d.supplyAt[a.id] > own.at {
		own = moment{d.supplyAt[a.id], d.supplyWhy[a.id]}
	}
	start, end, why := d.booked.freeClock(a, own.at, a.ends)
	if start == never {
		d.lastWhy[j] = why
		return Placed{}, false
	}
	if start == own.at {
		why = own.why
	}
	placed := Placed{Job: j, Stage: p.next, Span: Span{start, end}, Why: why}
	d.booked.reserve(a, placed.Span)
	for _, h := range d.in.holdUntil[a.id] {
		if s := &d.s.subj[d.in.Jobs[j].Subject]; d.s.held[h] {
			d.s.setHeld(d.in, h, false)
			s.until = max(s.until, end)
			d.freed[d.in.Jobs[j].Subject] = end
		}
	}
	d.unwant(j, p.next, p.next+1)
	d.result.Placed = append(d.result.Placed, placed)
	return placed, true
}

// holdOn starts a clock stage that needs the place at once where the subject
// is there already and nothing speaks against it.
func (d *decoder) holdOn(j int) {
	if v := d.try(j); v.ok && len(d.trying.items) == 0 {
		d.commit(j)
	}
}

// startClocks starts the first job, by time and order, that begins with a
// clock stage and can by a given time.
func (d *decoder) startClocks(by int) bool {
	best, bestAt := None, never
	for _, j := range slices.Clone(d.ready) {
		if d.prog[j].next > 0 || !d.runsByItself(j) || d.prog[j].blocked {
			continue
		}
		at, ok := d.clockReady(j)
		if !ok {
			continue
		}
		if at > by {
			d.at(at)
		} else if at < bestAt {
			best, bestAt = j, at
		}
	}
	if best == None {
		return false
	}
	d.taken = len(d.ledger.taken)
	d.supplyOf(best)
	placed, ok := d.placeClock(best)
	if !ok {
		d.ledger.undo(d.taken, len(d.ledger.marks))
		d.block(best)
		return true
	}
	d.advance(best, placed)
	return true
}

// clockReady is when a job that begins with a clock stage can start.
func (d *decoder) clockReady(j int) (int, bool) {
	promises, marks := len(d.ledger.taken), len(d.ledger.marks)
	defer func() { d.ledger.undo(promises, marks) }()
	if v, bad := d.trySupply(j, promises); bad {
		if d.lastWhy[j] = v.why; v.block {
			d.block(j)
		}
		return 0, false
	}
	a := &d.in.acts[j][0]
	start, end, why := d.booked.freeClock(a, max(d.prog[j].ready, d.supplyAt[a.id]), a.ends)
	d.lastWhy[j] = why
	if start == never || len(d.ledger.taken) > promises && d.takesFromOthers(progress{job: j, next: a.block, ready: end}) {
		return 0, false
	}
	return start, true
}

// takesFromOthers says whether what is taken just now is missing to free a
// stuck subject or to keep a pin. The job that takes it has come as far as own.
func (d *decoder) takesFromOthers(own progress) bool {
	x := d.asIs
	x.become(d.s)
	_, _, bad := d.unsafe(x, d.playing, d.s.t, own)
	return bad || d.breaksPin(x, own) != None
}

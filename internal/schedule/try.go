package schedule

// verdict is the outcome of trying the next stage of a job now.
type verdict struct {
	ok    bool
	why   Reason // not ok
	again int    // not ok: when to try again; zero when only another decision helps; never
	own   bool   // not ok: because of the job's own times
	block bool   // not ok: never, whatever else is decided
}

func no(why Reason, again int) verdict { return verdict{why: why, again: again} }

// notYet is a no for want of the job's own time to have come.
func notYet(why Reason, again int) verdict { return verdict{why: why, again: again, own: true} }

// try lays out the next stage of a job from now on and looks ahead. When it is
// ok, d.trying is the state after it. The hands must begin now, not later:
// until then they may do something else.
func (d *decoder) try(j int) verdict {
	p := &d.prog[j]
	if p.ready > d.s.t && d.in.sessionStart(p.ready) > d.s.t {
		return notYet(p.readyBy, d.in.sessionStart(p.ready))
	}
	c := d.in.Jobs[j].Subject
	if at := d.in.Subjects[c].Arrives; at > d.s.t {
		return notYet(Reason{ByArrival, c, at}, at)
	}
	if b, in := d.blackout(c); in {
		return no(Reason{ByBlackout, c, b.To}, b.To)
	}
	promises, marks := len(d.ledger.taken), len(d.ledger.marks)
	defer func() { d.ledger.undo(promises, marks) }()
	ready := p.ready
	if p.next == 0 {
		if v, bad := d.trySupply(j, promises); bad {
			return v
		}
	}
	if at := d.supplyAt[d.in.base[j]+p.next]; at > ready {
		ready = at
		if from := d.in.sessionStart(at); from > d.s.t {
			return notYet(d.supplyWhy[d.in.base[j]+p.next], from)
		}
	}
	if freed := d.freedInBlock(j); freed.at > ready {
		ready = freed.at
		if from := d.in.sessionStart(ready); from > d.s.t {
			return notYet(freed.why, from)
		}
	}
	if p.next == 0 {
		if why, bad := d.neverDone(j); bad {
			return verdict{why: why, block: true}
		}
	}
	return d.tryLayout(j, ready)
}

// freedInBlock is when what other jobs free for a job's next block is there, where
// the block makes its subject stuck: that is free by then, though only a stage tied
// to the one that does needs it.
func (d *decoder) freedInBlock(j int) (m moment) {
	k, sticks := d.prog[j].next, false
	for _, a := range d.in.acts[j][k:d.in.acts[j][k].block] {
		if why := d.supplyWhy[a.id]; sticks && why.Kind == ByHarvest && d.supplyAt[a.id] > m.at {
			m = moment{d.supplyAt[a.id], why}
		}
		sticks = sticks || a.Hold == From
	}
	return m
}

// neverDone says whether a job begun now would not be done before its
// calendars end, even if nothing else were to be done.
func (d *decoder) neverDone(j int) (Reason, bool) {
	t := max(d.s.t, d.prog[j].ready)
	for k := range d.in.acts[j] {
		a := &d.in.acts[j][k]
		t = max(t, d.supplyAt[a.id])
		if !a.Bench {
			start, end, why := d.booked.freeClock(a, t, a.ends)
			if start == never {
				return why, true
			}
			t = end
			continue
		}
		if t = a.cal.after(t, a.Minutes); t == never {
			why := Reason{Kind: BySession}
			if d.in.withHelpers(a.Helpers).after(d.s.t, a.Minutes) == never && a.Helpers > 0 {
				why = Reason{Kind: ByHelper}
			} else if len(a.Tools) > 0 {
				why = d.absentAfter(a)
			}
			return why, true
		}
	}
	return Reason{}, false
}

// absentAfter names the tool that is there for too short a time.
func (d *decoder) absentAfter(a *act) Reason {
	for _, u := range a.Tools {
		if w := d.in.Tools[u.Tool].Windows; w != nil && d.in.plain.cut(w).after(d.s.t, a.Minutes) == never {
			return Reason{Kind: ByTool, Of: u.Tool}
		}
	}
	return Reason{Kind: BySession}
}

func (d *decoder) trySupply(j, promises int) (verdict, bool) {
	d.taken = promises
	s := d.supplyOf(j)
	switch {
	case s.wait != None:
		return notYet(Reason{Kind: ByHarvest, Of: s.wait}, 0), true
	case s.wanted:
		d.waited[j] = true
		return no(Reason{Kind: ByLot, Of: s.of}, 0), true
	case s.short:
		d.shorts[j] = append(d.shorts[j][:0], s.of)
		return verdict{why: Reason{Kind: ByLot, Of: s.of}, block: true}, true
	}
	return verdict{}, false
}

// blackout is the blackout that a subject is in now.
func (d *decoder) blackout(c int) (Span, bool) {
	if i := d.s.subj[c].black; i < len(d.in.Subjects[c].Blackouts) {
		b := d.in.Subjects[c].Blackouts[i]
		return b, b.From <= d.s.t && d.s.t < b.To
	}
	return Span{}, false
}

func (d *decoder) tryLayout(j, ready int) verdict {
	p, x := &d.prog[j], d.trying
	x.become(d.s)
	l := d.lay(x, j, p.next, ready)
	if l.fail {
		return no(l.why, l.again)
	}
	a := &d.in.acts[j][p.next]
	if l.gap > d.s.t {
		if ready > d.s.t {
			return notYet(d.readyBy(j, ready), l.gap)
		}
		return no(l.gapWhy, l.gap)
	}
	if l.first > d.s.t && (a.Bench || len(x.items) > 0) {
		if ready > d.s.t {
			return notYet(d.readyBy(j, ready), l.first)
		}
		return no(d.lack(a, d.s.t), l.first)
	}
	own := progress{job: j, next: a.block, ready: x.placed[len(x.placed)-1].To}
	if why, again, bad := d.unsafe(x, d.playing, d.s.t, own); bad {
		if why.Kind == ByBlackout && again > 0 {
			why.Until = again
		}
		if c := d.offender.subject; why.Kind == BySession && d.fromStart(c) {
			d.barrier = c
		}
		v := no(why, again)
		v.block = why.Kind == ByChainJob && d.prog[why.Of].blocked
		return v
	}
	if pin := d.breaksPin(x, own); pin != None {
		d.gaveWay[pin] = true
		d.yielded = append(d.yielded, pin)
		return no(Reason{Kind: ByPin, Of: pin}, 0)
	}
	if d.endless(x, own) {
		return no(Reason{Kind: BySession}, d.in.nextSession(d.s.t))
	}
	return verdict{ok: true}
}

// readyBy says what makes the next stage of a job wait until ready.
func (d *decoder) readyBy(j, ready int) Reason {
	if ready > d.prog[j].ready {
		return d.supplyWhy[d.in.base[j]+d.prog[j].next]
	}
	return d.prog[j].readyBy
}

// consider tries a job and notes why it is passed over.
func (d *decoder) consider(j int) (ok bool, again int) {
	if t := d.prog[j].notYet; t > d.s.t {
		d.at(t)
		return false, t
	}
	v := d.try(j)
	if v.ok {
		return true, 0
	}
	if v.again == 0 {
		v.again = never
	}
	d.lastWhy[j] = v.why
	if !v.own {
		d.skipped[j] = skip{d.decision, v.why}
	} else if v.again < never {
		d.prog[j].notYet = v.again // its own times only ever get later
	}
	if v.block {
		d.block(j)
	}
	d.at(v.again)
	return false, v.again
}

// breadth is how many jobs of a sequence are considered at a decision, the next
// ones, as long as one of them can start later.
const breadth = 16

// choose takes the first job in order whose next stage can start now.
func (d *decoder) choose() bool {
	d.heldBack = false
	limit := never // with wait: when a job further up could start
	for i, j := range d.candidates() {
		if d.prog[j].blocked {
			continue
		}
		if i >= breadth && d.order.at != nil && d.event < never && !d.pressed {
			d.heldBack = true
			return false // the next of the sequence have their time; what comes long after them waits
		}
		ok, again := d.consider(j)
		switch {
		case !ok && i == 0 && d.order.at != nil && d.inTheWay(j):
			return true
		case !ok:
			if d.order.wait {
				limit = min(limit, again)
			}
		case !d.pressed && (d.trying.t > limit || limit < never && d.order.at != nil && len(d.trying.items) > 0):
			d.heldBack = true
			d.at(limit)
		default:
			if !d.startClocks(d.trying.placed[0].From) && !d.startAside(j) {
				d.commit(j)
			}
			d.pressed = false
			return true
		}
	}
	return false
}

// inTheWay closes the subject that keeps the first job of a sequence from
// starting since it has to be whole soon. It says whether there was one.
func (d *decoder) inTheWay(j int) bool {
	why := d.lastWhy[j]
	if why.Kind != ByBlackout || why.Of == d.in.Jobs[j].Subject || d.prog[j].notYet > d.s.t {
		return false
	}
	s := &d.s.subj[why.Of]
	if _, away := d.blackout(why.Of); away || s.stuck > 0 || s.open+s.owed == 0 || max(s.until, d.in.Subjects[why.Of].Arrives) > d.s.t {
		return false
	}
	done, _ := d.closeNext(why.Of, true, false)
	return done
}

// candidates are the jobs to be considered, in order: those that free a stuck
// subject, those of the subject at hand where the order is sticky, all.
func (d *decoder) candidates() []int {
	d.stamp++
	d.list = d.list[:0]
	add := func(j int) {
		if d.stamped[j] != d.stamp {
			d.stamped[j] = d.stamp
			d.list = append(d.list, j)
		}
	}
	urgent := d.urgent
	if d.order.at != nil {
		urgent = nil // a sequence has its reasons
	}
	for _, j := range urgent {
		if p := &d.prog[j]; p.waits == 0 && !p.done && !p.blocked && !d.runsByItself(j) {
			add(j)
		}
	}
	if d.in.horizon-d.s.t <= nearEnd {
		for _, j := range d.begun {
			if p := &d.prog[j]; !p.done && !p.blocked && d.takesPart(j) {
				add(j)
			}
		}
	}
	if d.order.sticky && d.handJob != None {
		for _, j := range d.ready {
			if d.in.Jobs[j].Subject == d.in.Jobs[d.handJob].Subject && d.takesPart(j) {
				add(j)
			}
		}
	}
	for _, j := range d.ready {
		if d.takesPart(j) {
			add(j)
		}
	}
	return d.list
}

// takesPart says whether a job may be worth trying now. Most are ruled out by
// one look at when they are ready.
func (d *decoder) takesPart(j int) bool {
	if d.runsByItself(j) {
		return false
	}
	p := &d.prog[j]
	if p.ready <= d.s.t || d.order.wait {
		return true
	}
	t := d.in.sessionStart(p.ready)
	d.at(t)
	return t <= d.s.t
}

// runsByItself says whether a job's next stage is a clock stage that starts
// without a decision.
func (d *decoder) runsByItself(j int) bool {
	a := &d.in.acts[j][d.prog[j].next]
	return !a.Bench && !a.heavy
}

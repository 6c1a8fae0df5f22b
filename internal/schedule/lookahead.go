package schedule

import "slices"

// Look-ahead. The bench is safe when, from where it stands, everything begun
// can still be ended in time: stuck subjects freed, setups closed and closing
// work done before each subject's next blackout, and before the last session
// is over. A decision is taken only when it leaves the bench safe, so nothing
// ever has to be taken back.

// nextBlackout is a subject's next blackout that starts at or after t.
func (d *decoder) nextBlackout(x *state, c, t int) (Span, bool) {
	for _, b := range d.in.Subjects[c].Blackouts[x.subj[c].black:] {
		if b.From >= t {
			return b, true
		}
	}
	return Span{}, false
}

// deadline is when a subject has to be whole: the start of its next blackout
// at or after t that can be kept free at all.
func (d *decoder) deadline(x *state, c, t int) (from, to int) {
	for _, b := range d.in.Subjects[c].Blackouts[x.subj[c].black:] {
		if b.From >= t && b.From > d.forgiven[c] {
			return b.From, b.To
		}
	}
	return always, always
}

// unsafe says whether the bench, after a decision that was begun at t0, cannot
// be put right in time. The state y is for playing.
func (d *decoder) unsafe(x, y *state, t0 int, own progress) (why Reason, again int, bad bool) {
	d.lookAt(x)
	owing := d.owing[:0]
	for c := range x.subj {
		s := &x.subj[c]
		limit, after := d.deadline(x, c, t0)
		if b, any := d.nextBlackout(x, c, t0); any && d.worst(x, s, own, c) > b.From {
			return Reason{Kind: ByBlackout, Of: c}, b.To, true
		} else if any && b.From <= d.forgiven[c] && (s.owed > 0 || s.open > d.s.subj[c].open) {
			return Reason{Kind: ByBlackout, Of: c}, b.To, true // bad enough as it is
		}
		if s.stuck > 0 || s.open > 0 || s.owed > 0 {
			owing = append(owing, debt{c, limit, after})
		}
	}
	d.owing = owing
	for i := range owing { // insertion keeps equal deadlines in order of subject
		for k := i; k > 0 && owing[k].limit < owing[k-1].limit; k-- {
			owing[k], owing[k-1] = owing[k-1], owing[k]
		}
	}
	if len(owing) == 0 {
		return Reason{}, 0, false
	}
	if why, again, bad = d.strictFirst(x, y, owing, own); bad {
		return why, again, true
	}
	for range owing {
		at := 0
		if at, why, again, bad = d.settle(x, y, owing, own); !bad {
			return Reason{}, 0, false
		}
		// Of those without a blackout to come, perhaps this one goes before what waits for a helper, say. It never goes
		// before one with a blackout: that one would then be the one to blame.
		first := slices.IndexFunc(owing, func(o debt) bool { return o.limit == always })
		if first < 0 || at <= first {
			return why, again, true
		}
		late := owing[at]
		copy(owing[first+1:at+1], owing[first:at])
		owing[first] = late
	}
	return why, again, true
}

// settle plays the putting right of several subjects, one after the other. When one of them fails it says which.
func (d *decoder) settle(x, y *state, owing []debt, own progress) (at int, why Reason, again int, bad bool) {
	d.playStamp++
	y.become(x)
	for i, o := range owing {
		if why, again, bad = d.settleDebt(y, o, own); bad {
			d.offender = o
			return i, why, again, true
		}
	}
	return 0, Reason{}, 0, false
}

// lookAt notes what the decision under trial begins and uses.
func (d *decoder) lookAt(x *state) {
	d.begins, d.uses = None, None
	for _, p := range x.placed {
		a := &d.in.acts[p.Job][p.Stage]
		if a.Hold == From {
			d.begins = p.From
		}
		if len(a.opens) > 0 {
			d.uses = d.in.Jobs[p.Job].Subject
		}
	}
}

// strictFirst plays the holds that this plan began each by itself: what is to be
// put right before it would make its stages start later in play than they could,
// and an older hold may run through the same jobs without asking when their
// materials come.
func (d *decoder) strictFirst(x, y *state, owing []debt, own progress) (why Reason, again int, bad bool) {
	if len(owing) == 1 && len(d.in.holdsOf[owing[0].subject]) == 1 {
		return Reason{}, 0, false // nothing comes before it
	}
	for _, o := range owing {
		for _, h := range d.in.holdsOf[o.subject] {
			if hold := &d.in.holds[h]; !x.held[h] || hold.job == None || d.prog[hold.untilJob].blocked {
				continue
			}
			d.playStamp++
			y.become(x)
			if why, again, bad = d.playHold(y, h, own); bad {
				d.offender = o
				return why, again, true
			}
		}
	}
	return Reason{}, 0, false
}

// debt is a subject that has to be put right, and by when.
type debt struct{ subject, limit, after int }

// worst is the latest time at which something begun on a subject runs.
func (d *decoder) worst(x *state, s *subjState, own progress, c int) int {
	t := s.until
	if own.job != None && d.in.Jobs[own.job].Subject == c {
		for _, p := range x.placed {
			if d.in.acts[p.Job][p.Stage].Bench {
				t = max(t, p.To)
			}
		}
	}
	return t
}

// settleDebt plays the putting right of one subject.
func (d *decoder) settleDebt(y *state, o debt, own progress) (why Reason, again int, bad bool) {
	for _, h := range d.in.holdsOf[o.subject] {
		hold := &d.in.holds[h]
		if !y.held[h] || hold.untilJob == None || d.exempt[o.subject] {
			continue
		}
		if d.prog[hold.untilJob].blocked {
			if hold.job == None {
				continue // stuck as it was from the start
			}
			return Reason{Kind: ByChainJob, Of: hold.untilJob}, never, true
		}
		if why, again, bad = d.playHold(y, h, own); bad {
			return why, again, true
		}
	}
	s := &y.subj[o.subject]
	if s.stuck > 0 || d.exempt[o.subject] && !d.leftOpen(y, o.subject) {
		if s.open+s.owed > d.hopeless[o.subject] || d.uses == o.subject {
			return Reason{Kind: ByStuck, Of: o.subject}, never, true
		}
		return Reason{}, 0, false
	}
	y.t = max(y.t, s.until, d.in.Subjects[o.subject].Arrives)
	l := layout{d: d, x: y, subject: o.subject}
	l.endVisit(o.subject, true)
	switch {
	case l.fail:
		return l.why, never, true
	case y.t > o.limit:
		return Reason{Kind: ByBlackout, Of: o.subject}, o.after, true
	}
	return Reason{}, 0, false
}

// leftOpen says whether a subject that was stuck from the start is free on a state
// with something open or owed that this plan has begun.
func (d *decoder) leftOpen(x *state, c int) bool {
	return d.in.Subjects[c].Stuck && x.subj[c].stuck == 0 && (x.subj[c].owed > 0 ||
		slices.ContainsFunc(d.in.setups[c], func(a int) bool { return x.open[a] && !d.in.Setups[a].IsOpen }))
}

// progress is how far a job has come in a try: its next stage and when the one
// before ends.
type progress struct {
	job, next, ready int
}

// simJob is a job in play.
type simJob struct {
	job, next, stop int
	ready           int
	end             int
	done            bool
	waitFor         int // a job that frees material for it, or None
}

// played is how far a job came in a play before, on the same state.
type played struct {
	stamp            int
	next, ready, end int
}

// playHold plays all that is to be done to free a subject, each stage as early
// as it can be, and wants the materials of each to be there by then.
func (d *decoder) playHold(y *state, h int, own progress) (why Reason, again int, bad bool) {
	hold := &d.in.holds[h]
	p := play{d: d, y: y, own: own, strict: hold.job != None, begun: d.heldSince[h]}
	if hold.job == own.job && d.begins != None {
		p.begun = d.begins
	}
	p.ownHarvests(hold)
	p.waitsUnderWay(hold)
	p.load(hold.chain, hold.untilJob, d.in.acts[hold.untilJob][hold.untilAt].block)
	d.eager = p.strict
	_, why, again, bad = p.run()
	d.eager = false
	p.unload()
	return why, again, bad
}

// ownHarvests wants the jobs ended from which the job that begins a hold draws
// material.
func (p *play) ownHarvests(h *hold) {
	if !p.strict || h.job != p.own.job {
		return
	}
	for _, t := range p.d.ledger.taken {
		if t.Job == h.job && t.Source == Freed && t.At > p.begun {
			p.fail(Reason{Kind: ByChain, Of: t.Material, Until: t.At}, t.At)
		}
	}
}

// waitsUnderWay wants no clock stage of the chain, begun before the hold, to
// wait for its material still.
func (p *play) waitsUnderWay(h *hold) {
	if !p.strict || h.job != p.own.job {
		return
	}
	for i := len(p.d.result.Placed) - 1; i >= 0; i-- {
		at := &p.d.result.Placed[i]
		if at.From > p.begun && (at.Why.Kind == ByLot || at.Why.Kind == ByOrder) && slices.Contains(h.chain, at.Job) {
			p.fail(Reason{Kind: ByChain, Of: at.Why.Of, Until: at.From}, p.d.in.nextSession(p.begun))
		}
	}
}

// play runs some jobs on a state without deciding anything.
type play struct {
	d      *decoder
	y      *state
	own    progress
	strict bool // materials must be there when a stage could start anyway
	all    bool // the target is all jobs
	begun  int  // with strict: since when the subject is stuck
	jobs   []simJob
	target int

	promises, marks int
	why             Reason
	again           int
}

// load sets the jobs up and takes the materials of those not begun, in order.
func (p *play) load(jobs []int, target, stop int) {
	d := p.d
	p.jobs, p.promises, p.marks = d.sims[:0], len(d.ledger.taken), len(d.ledger.marks)
	for _, j := range jobs {
		s := simJob{job: j, next: d.prog[j].next, ready: d.prog[j].ready, stop: len(d.in.acts[j]), end: d.prog[j].end, waitFor: None}
		if j == p.own.job {
			s.next, s.ready, s.end = p.own.next, p.own.ready, p.own.ready
		}
		if was := d.played[j]; was.stamp == d.playStamp && was.next >= s.next {
			s.next, s.ready, s.end = was.next, was.ready, was.end
		}
		if j == target {
			s.stop = stop
		}
		if s.done = s.next >= s.stop; !s.done && s.next == 0 {
			s.waitFor = p.supply(j)
		}
		if j == target {
			p.target = len(p.jobs)
		}
		p.jobs = append(p.jobs, s)
	}
	d.sims = p.jobs
}

// supply takes a job's materials for the time of the play. It returns the job
// that has to free some first, if that may be part of the play.
func (p *play) supply(j int) (waitFor int) {
	d := p.d
	saved := d.taken
	d.taken = len(d.ledger.taken)
	got := d.supplyIn(j, true)
	d.taken = saved
	if got.short || got.wait != None && p.strict {
		p.fail(Reason{Kind: ByChain, Of: got.of}, 0)
	}
	for _, t := range d.ledger.taken[p.promises:] {
		if p.strict && t.Source == Freed && t.At > p.begun {
			p.fail(Reason{Kind: ByChain, Of: t.Material, Until: t.At}, t.At)
		}
	}
	d.simTaken[j] = true
	return got.wait
}

func (p *play) fail(why Reason, again int) {
	if p.why == (Reason{}) {
		p.why, p.again = why, again
	}
}

func (p *play) unload() {
	p.d.ledger.undo(p.promises, p.marks)
	for _, s := range p.jobs {
		p.d.simTaken[s.job] = false
		p.d.played[s.job] = played{p.d.playStamp, s.next, s.ready, s.end}
	}
}

// run plays until the target job has come to its stop. It returns when the
// target's last block started.
func (p *play) run() (start int, why Reason, again int, bad bool) {
	for p.why == (Reason{}) && !p.over() {
		best, bestAt := None, never
		for i := range p.jobs {
			if p.jobs[i].done {
				continue
			}
			ready, known := p.readyAt(i)
			if !known {
				continue
			}
			a := &p.d.in.acts[p.jobs[i].job][p.jobs[i].next]
			if a.Bench || a.heavy {
				ready = max(ready, p.y.t)
			}
			if ready < bestAt || ready == bestAt && p.rather(i, best) {
				best, bestAt = i, ready
			}
		}
		if best == None {
			p.fail(Reason{Kind: BySession}, never)
			break
		}
		start = p.step(best, bestAt)
	}
	return start, p.why, p.again, p.why != Reason{}
}

// rather says whether, of two jobs in play that can go on at once, the first has
// to come first: what is done on the stuck subject itself shows when materials
// come late, and the other may have to wait for something that is not in play.
func (p *play) rather(i, than int) bool {
	c := p.d.in.Jobs[p.jobs[p.target].job].Subject
	return p.strict && p.d.in.Jobs[p.jobs[i].job].Subject == c && p.d.in.Jobs[p.jobs[than].job].Subject != c
}

// over says whether the play has come to its end.
func (p *play) over() bool {
	if !p.all {
		return p.jobs[p.target].done
	}
	for i := range p.jobs {
		if !p.jobs[i].done {
			return false
		}
	}
	return true
}

// readyAt is when the next stage of a job in play can start as far as others
// go.
func (p *play) readyAt(i int) (int, bool) {
	s := &p.jobs[i]
	ready := s.ready
	if s.next == 0 {
		ready = p.d.in.release(s.job).at
		after := p.d.in.Jobs[s.job].After
		for _, l := range after {
			end, done := p.endOf(l.Job)
			if !done {
				return 0, false
			}
			ready = max(ready, end+l.Gap)
		}
		if s.waitFor != None {
			end, done := p.endOf(s.waitFor)
			if !done {
				return 0, false
			}
			ready = max(ready, end)
		}
	}
	if !p.strict {
		ready = max(ready, p.d.supplyAt[p.d.in.base[s.job]+s.next])
	}
	return ready, true
}

// lay lays out a block as a decision would: not before the session in which it
// is ready, and begun later where it would idle inside.
func (p *play) lay(j, k, ready int) layout {
	d, y := p.d, p.y
	if at := d.in.sessionStart(ready); ready > y.t && at < never {
		y.t = max(y.t, at)
	}
	for {
		items, placed, pieces := len(y.items), len(y.placed), len(y.pieces)
		d.spare.become(y)
		l := d.lay(y, j, k, ready)
		later := l.gap
		if l.fail && l.again < never {
			later = l.again
		}
		if later <= d.spare.t {
			return l
		}
		d.spare.t = later
		y.restore(d.spare)
		y.items, y.placed, y.pieces = y.items[:items], y.placed[:placed], y.pieces[:pieces]
	}
}

// endOf is when a job ends, placed or in play.
func (p *play) endOf(j int) (end int, done bool) {
	for k := range p.jobs {
		if s := &p.jobs[k]; s.job == j {
			return s.end, s.next == len(p.d.in.acts[j])
		}
	}
	return p.d.prog[j].end, p.d.prog[j].done
}

// step plays the next block of a job.
func (p *play) step(i, ready int) (start int) {
	s, d := &p.jobs[i], p.d
	a := &d.in.acts[s.job][s.next]
	n := len(p.y.placed)
	if !a.Bench && !a.heavy {
		from, to, why := d.booked.freeClock(a, ready, a.ends)
		if from == never {
			p.fail(why, never)
			return 0
		}
		for _, h := range d.in.holdUntil[a.id] {
			p.y.setHeld(d.in, h, false)
			c := &p.y.subj[d.in.Jobs[s.job].Subject]
			c.until = max(c.until, to)
		}
		p.y.placed = append(p.y.placed, Placed{Job: s.job, Stage: s.next, Span: Span{from, to}})
	} else if l := p.lay(s.job, s.next, ready); l.fail {
		p.fail(l.why, l.again)
		return 0
	}
	for _, placed := range p.y.placed[n:] {
		id := d.in.base[s.job] + placed.Stage
		if p.strict && d.supplyAt[id] > placed.From {
			again := min(d.in.nextSession(p.begun), p.begun+d.supplyAt[id]-placed.From)
			p.fail(Reason{Kind: ByChain, Of: d.supplyWhy[id].Of, Until: d.supplyAt[id]}, again)
		}
		s.ready = placed.To
	}
	start = p.y.placed[n].From
	s.next, s.end = a.block, s.ready
	s.ready = max(s.ready, d.pinBound(s.job, s.next))
	s.done = s.next >= s.stop
	return start
}

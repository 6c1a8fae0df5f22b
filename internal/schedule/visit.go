package schedule

import "slices"

// Visits: what is written down of them, and when one is ended.

// commitItems writes the overhead under trial into the visits.
func (d *decoder) commitItems() {
	for c := range d.visit {
		if !d.s.subj[c].inVisit {
			d.visit[c] = None
		}
	}
	for _, it := range d.trying.items {
		if it.Kind == leave {
			d.visit[it.Subject] = None
			continue
		}
		onPlace := it.Kind == Move || d.s.subj[it.Subject].onPlace
		if v := d.visit[it.Subject]; v != None && it.Kind != Move {
			onPlace = d.result.Visits[v].OnPlace
		}
		v := d.visitOf(it.Subject, onPlace, it.From)
		if it.Kind != Move || it.From < it.To {
			v.Items = append(v.Items, it)
		}
		v.To = max(v.To, it.To)
		d.result.Cost.Overhead += it.To - it.From
		switch it.Kind {
		case Open:
			d.users[it.Of] = d.users[it.Of][:0]
		case Finish:
			d.booked.takeHelpers(d.in.Closings[it.Of].Helpers, it.Span)
			v.Saved += (len(d.callers[it.Of]) - 1) * d.in.Closings[it.Of].Minutes
			d.callers[it.Of] = d.callers[it.Of][:0]
		}
	}
}

// visitOf is the visit that a subject is in, a new one if in none. A clock stage
// on the place may have been put into it before what comes first.
func (d *decoder) visitOf(c int, onPlace bool, from int) *Visit {
	if d.visit[c] == None {
		d.visit[c] = len(d.result.Visits)
		d.result.Visits = append(d.result.Visits, Visit{Subject: c, OnPlace: onPlace, Span: Span{from, from}})
	}
	v := &d.result.Visits[d.visit[c]]
	v.From = min(v.From, from)
	return v
}

// inVisit writes a stage into its visit, with what it saves by finding open
// what another job opened and leaving closing work to others.
func (d *decoder) inVisit(j int, a *act, s Span, onPlace bool) {
	v := d.visitOf(d.in.Jobs[j].Subject, onPlace, s.From)
	v.To = max(v.To, s.To)
	for _, o := range a.opens {
		if !slices.Contains(d.users[o], j) {
			if len(d.users[o]) > 0 {
				v.Saved += d.in.Setups[o].Open + d.in.Setups[o].Close
			}
			d.users[o] = append(d.users[o], j)
		}
	}
	for _, f := range a.Closings {
		if !slices.Contains(d.callers[f], j) {
			d.callers[f] = append(d.callers[f], j)
		}
	}
}

// endVisits ends visits whose work is done or has to wait longer than to the
// next session, and closes what nobody needs any more. It does one thing at a
// time and says whether it did.
func (d *decoder) endVisits() bool {
	for c := range d.s.subj {
		s := &d.s.subj[c]
		if s.stuck > 0 || !s.inVisit && s.open == 0 {
			continue
		}
		if free := max(s.until, d.in.Subjects[c].Arrives); free > d.s.t {
			d.at(free)
			continue
		}
		if b, in := d.blackout(c); in {
			d.at(b.To)
			continue
		}
		if s.inVisit && !s.ending && d.moreSoon(c) {
			continue
		}
		if done, more := d.closeNext(c, false, false); done {
			return true
		} else if !more {
			s.inVisit, s.ending, s.finishing = false, false, false
		}
	}
	return false
}

// closeNext does the next thing that ends a subject's visit. More says whether
// there is one. With all, what could stay open is closed too; with force it is
// done at the first chance, not only now.
func (d *decoder) closeNext(c int, all, force bool) (done, more bool) {
	d.endFinished(c)
	x := d.trying
	x.become(d.s)
	if force {
		x.t = max(x.t, x.subj[c].until, d.in.Subjects[c].Arrives)
	}
	l := layout{d: d, x: x, subject: c, first: x.t}
	if !d.nextClosing(&l, c, all) {
		return false, false
	}
	x.subj[c].ending = x.subj[c].ending || d.s.subj[c].inVisit
	if l.fail {
		return false, true
	}
	if !force {
		if l.first > d.s.t {
			d.at(l.first)
			return false, true
		}
		own := progress{job: None}
		if _, _, bad := d.unsafe(x, d.playing, d.s.t, own); bad || d.breaksPin(x, own) != None {
			return false, true
		}
	}
	if limit, _ := d.deadline(d.s, c, d.s.t); x.t > limit && !d.exempt[c] {
		d.broken[c] = true
	}
	d.commitItems()
	d.keep()
	d.handEnd = d.s.t
	d.s.subj[c].last = d.s.t
	return true, true
}

// endFinished ends a visit whose closing work is done: what is still open belongs
// to another one.
func (d *decoder) endFinished(c int) {
	if s := &d.s.subj[c]; s.finishing && s.owed == 0 {
		s.inVisit, s.ending, s.finishing = false, false, false
	}
}

// closeJustInTime ends what is open and owed on a subject whose blackout begins
// this minute, where that takes no time. It says whether there was one.
func (d *decoder) closeJustInTime() bool {
	if !d.in.blackouts {
		return false
	}
	for c := range d.s.subj {
		s := &d.s.subj[c]
		if s.open+s.owed == 0 || s.stuck > 0 || d.exempt[c] || max(s.until, d.in.Subjects[c].Arrives) > d.s.t {
			continue
		}
		if at, _ := d.deadline(d.s, c, d.s.t); at > d.s.t {
			continue
		}
		d.endFinished(c)
		l := layout{d: d, x: d.trying, subject: c}
		l.x.become(d.s)
		if l.endVisit(c, true); l.fail || l.x.t > d.s.t {
			continue
		}
		d.commitItems()
		d.keep()
		return true
	}
	return false
}

// nextClosing lays out the next setup to close, or the next closing work.
func (d *decoder) nextClosing(l *layout, c int, all bool) bool {
	for _, a := range d.in.setups[c] {
		if l.x.open[a] && !l.x.subj[c].finishing && (all || !d.staysOpen(c, a)) {
			l.item(Close, c, a, d.in.Setups[a].Close, d.in.plain)
			l.x.setOpen(d.in, a, false)
			return true
		}
	}
	for _, f := range d.in.closings[c] {
		if l.x.owed[f] {
			l.item(Finish, c, f, d.in.Closings[f].Minutes, d.in.withHelpers(d.in.Closings[f].Helpers))
			l.x.setOwed(d.in, f, false)
			l.x.subj[c].finishing = true
			return true
		}
	}
	return false
}

// staysOpen says whether a setup is left open beyond a visit: it may be, it
// will be needed, and that before the subject has to be whole.
func (d *decoder) staysOpen(c, a int) bool {
	if !d.in.stays[a] || d.wanted[a] == 0 {
		return false
	}
	limit, _ := d.deadline(d.s, c, d.s.t)
	if limit == always {
		return true
	}
	for _, j := range d.in.mine[c] {
		if p := &d.prog[j]; p.waits == 0 && !p.done && !p.blocked && p.ready < limit {
			for k := p.next; k < len(d.in.acts[j]); k++ {
				if slices.Contains(d.in.acts[j][k].opens, a) {
					return true
				}
			}
		}
	}
	return false
}

// moreSoon says whether something can be done on a subject in this session or
// the next without ending its visit.
func (d *decoder) moreSoon(c int) bool {
	if d.order.patient && d.stillWanted(c) {
		return true
	}
	limit := always
	if i := d.in.session(d.s.t) + 1; i < len(d.in.plain) {
		limit = d.in.plain[i].To
	}
	for _, j := range d.in.mine[c] {
		p := &d.prog[j]
		if p.waits > 0 || p.done || p.blocked || p.ready >= limit || d.runsByItself(j) {
			continue
		}
		if !d.s.subj[c].onPlace && d.takesPlace(j) {
			continue
		}
		v := d.try(j)
		if v.ok || v.again > 0 && v.again < limit {
			return true
		}
	}
	return false
}

// stillWanted says whether work to come needs a setup of a subject that is open,
// or calls for closing work that is owed.
func (d *decoder) stillWanted(c int) bool {
	if slices.ContainsFunc(d.in.setups[c], func(a int) bool { return d.s.open[a] && d.wanted[a] > 0 }) {
		return true
	}
	return slices.ContainsFunc(d.in.closings[c], func(f int) bool { return d.s.owed[f] && d.called[f] > 0 })
}

// takesPlace says whether a job's next block needs the place.
func (d *decoder) takesPlace(j int) bool {
	k := d.prog[j].next
	return slices.ContainsFunc(d.in.acts[j][k:d.in.acts[j][k].block], func(a act) bool {
		return a.Place || d.in.HasPlace && (a.Hold == From || a.Hold == Within)
	})
}

// putRight does, at the first chance, the next thing that has to be done to
// make a subject whole: the one that must be first. With due, only subjects
// that must be by a certain time count.
func (d *decoder) putRight(due bool) bool {
	owing := d.owing[:0]
	for c := range d.s.subj {
		if s := &d.s.subj[c]; s.stuck == 0 && s.open+s.owed > 0 {
			if limit, after := d.deadline(d.s, c, d.s.t); !due || limit < always {
				owing = append(owing, debt{c, limit, after})
			}
		}
	}
	slices.SortStableFunc(owing, func(a, b debt) int { return a.limit - b.limit })
	for _, o := range slices.Clone(owing) {
		if done, _ := d.closeNext(o.subject, true, true); done {
			return true
		}
	}
	return false
}

package schedule

// prepare notes the overhead before a block: the subject moved onto the place,
// another one off it, setups opened.
func (d *draft) prepare(x *block) bool {
	in, s := d.in, &d.subj[x.subject]
	if x.place && !s.onPlace {
		if s.stuck > 0 || s.until > d.t && !d.waitUntil(s.until) {
			return false
		}
		if s.inVisit {
			d.vacate(x.subject)
		}
		room := None
		if d.onPlace >= in.Places {
			if room = d.makeRoom(); room == None {
				return false
			}
		}
		d.add(stroke{kind: toMove, of: room, subject: x.subject}, in.Move, in.plain)
		s.onPlace = true
		d.onPlace++
	}
	if x.sticks && in.HasPlace {
		for o := range d.subj {
			if o != x.subject && d.subj[o].onPlace && d.immovable(o) && (d.subj[o].stuck > 0 || !d.waitUntil(d.subj[o].freeAt)) {
				return false
			}
		}
	}
	for k := x.from; k < x.to; k++ {
		for _, a := range in.acts[x.job][k].opens {
			if !d.open[a] {
				d.add(stroke{kind: toOpen, of: a, subject: x.subject}, in.Setups[a].Open, in.plain)
				d.setOpen(in, a, true)
			}
		}
	}
	return true
}

// waitUntil lets the hands be idle until a time, after they have closed what has
// to be whole before. It says whether that can be done.
func (d *draft) waitUntil(t int) bool {
	for d.in.blackouts && t > d.t {
		c := d.nextDue(-1)
		if c == None || d.nextBlackout(c).From >= t {
			break
		}
		d.t = max(d.t, d.subj[c].until)
		if d.closedBy(c, d.t) > d.nextBlackout(c).From {
			return false
		}
		d.close(c, everything)
		d.subj[c].inVisit = false
	}
	d.t = max(d.t, t)
	return t < never
}

func (d *draft) add(k stroke, minutes int, cal calendar) {
	d.over = append(d.over, overhead{k, minutes, cal})
	d.cost.Overhead += minutes
}

// closes says how much of a subject is closed.
type closes int

const (
	toLeave  closes = iota // what must be closed when it leaves the place
	unwanted               // and what nobody needs any more
	everything
)

// endVisit notes what closes a subject, then the closing work.
func (d *draft) endVisit(c int, much closes) {
	in, s := d.in, &d.subj[c]
	if s.open > 0 {
		for _, a := range in.setups[c] {
			if d.open[a] && (much == everything || !in.stays[a] || much == unwanted && d.wanted[a] == 0) {
				d.add(stroke{kind: toClose, of: a, subject: c}, in.Setups[a].Close, in.plain)
				d.setOpen(in, a, false)
			}
		}
	}
	if s.owed > 0 {
		for _, f := range in.closings[c] {
			if d.owed[f] {
				d.add(stroke{kind: toFinish, of: f, subject: c}, in.Closings[f].Minutes, in.withHelpers(in.Closings[f].Helpers))
				d.setOwed(in, f, false)
			}
		}
	}
}

func (d *draft) vacate(c int) {
	d.endVisit(c, toLeave)
	d.leave(c)
}

// makeRoom takes a subject off the place: one with nothing to close first, then
// the one that stood there idle for longest. It returns None when none can.
func (d *draft) makeRoom() int {
	best, soonest := None, never
	for o := range d.subj {
		s := &d.subj[o]
		switch {
		case !s.onPlace || s.stuck > 0:
		case s.until > d.t:
			soonest = min(soonest, s.until)
		case best == None || d.leavesRather(o, best):
			best = o
		}
	}
	if best == None {
		if soonest == never {
			return None
		}
		if !d.waitUntil(soonest) {
			return None
		}
		return d.makeRoom()
	}
	d.vacate(best)
	return best
}

func (d *draft) leavesRather(a, b int) bool {
	x, y := &d.subj[a], &d.subj[b]
	if free := x.open+x.owed == 0; free != (y.open+y.owed == 0) {
		return free
	}
	return x.last < y.last
}

// endVisits ends the visits of all subjects for which nothing can be done soon.
// The one that a block is to be placed on goes on.
func (d *draft) endVisits(next int) {
	for c := range d.subj {
		s := &d.subj[c]
		if s.stuck > 0 || !s.inVisit && s.open == 0 || s.until > d.t || c == next || s.inVisit && d.moreSoon(c) {
			continue
		}
		d.closeInTurn(c)
		s.inVisit = false
	}
}

// closeInTurn closes what nobody needs on a subject, after what others would not
// be whole without in time.
func (d *draft) closeInTurn(c int) {
	if d.subj[c].owed == 0 && !d.unwantedOpen(c) {
		return
	}
	for range len(d.subj) {
		if !d.in.blackouts || d.nextDue(-1) == None {
			break
		}
		o, _ := d.tooLate(d.closedBy(c, d.t))
		if o == None || o == c {
			break
		}
		d.close(o, everything)
		d.subj[o].inVisit = false
	}
	d.close(c, unwanted)
}

// unwantedOpen says whether something of a subject is open that is to be closed
// when its visit ends.
func (d *draft) unwantedOpen(c int) bool {
	if d.subj[c].open > 0 {
		for _, a := range d.in.setups[c] {
			if d.open[a] && (!d.in.stays[a] || d.wanted[a] == 0) {
				return true
			}
		}
	}
	return false
}

// close closes a subject now.
func (d *draft) close(c int, much closes) {
	d.over = d.over[:0]
	d.endVisit(c, much)
	if t, ok := d.layOver(max(d.t, d.subj[c].until)); ok && len(d.over) > 0 {
		d.noteOver()
		d.t = t
		d.subj[c].last = t
	}
}

// moreSoon says whether something can be done on a subject in this session or
// the next without ending its visit.
func (d *draft) moreSoon(c int) bool {
	in, limit := d.in, always
	if d.search.patient && d.stillWanted(c) {
		return true
	}
	if i := in.session(d.t) + 1; i < len(in.plain) {
		limit = in.plain[i].To
	}
	for _, j := range in.mine[c] {
		x := &d.jobs[j]
		if x.waits > 0 || x.end != None || x.ready >= limit || x.next >= in.blocksOf[j].To || !d.search.placed[j] {
			continue
		}
		b := &in.blocks[x.next]
		if b.place && !d.subj[c].onPlace {
			continue
		}
		a := &in.acts[j][b.from]
		if x.begun && d.supplyAt[a.id] < limit || !x.begun && d.haveBy(j, a, limit) {
			return true
		}
	}
	return false
}

// stillWanted says whether blocks to come need a setup of a subject that is
// open, or call for closing work that is owed.
func (d *draft) stillWanted(c int) bool {
	for _, a := range d.in.setups[c] {
		if d.open[a] && d.wanted[a] > 0 {
			return true
		}
	}
	for _, f := range d.in.closings[c] {
		if d.owed[f] && d.called[f] > 0 {
			return true
		}
	}
	return false
}

// haveBy says whether the materials of a stage that is not begun would be there
// before a time.
func (d *draft) haveBy(j int, a *act, limit int) bool {
	for _, need := range a.Needs {
		mat, lots := &d.in.Materials[need.Material], d.lots[d.in.lotBase[need.Material]:]
		want := need.Qty - d.onHand[need.Material]
		for i := range mat.Lots {
			if l := &mat.Lots[i]; l.Job == None && l.At < limit || l.Job != None && l.Job != j && d.jobs[l.Job].end != None && d.jobs[l.Job].end < limit {
				want -= lots[i]
			}
		}
		if want > 0 && (!mat.Orderable || mat.OrderAt >= limit) {
			return false
		}
	}
	return true
}

// notWhole is a subject that would not be whole when its blackout comes, if
// after a block everything is closed that has to be, or None. It also says when
// that blackout is over.
func (d *draft) notWhole(x *block, f fitted) (c, over int) {
	if b := d.nextBlackout(x.subject); b.From < f.end || b.From < d.freeBy(x, f) {
		return x.subject, b.To
	}
	return d.tooLate(d.t)
}

// tooLate is the subject that would not be whole when its blackout comes, if from
// a time on everything is closed that has to be, or None. It also says when that
// blackout is over.
func (d *draft) tooLate(t int) (c, over int) {
	last := -1
	for {
		c := d.nextDue(last)
		if c == None {
			return None, 0
		}
		b := d.nextBlackout(c)
		if t = d.closedBy(c, max(t, min(d.subj[c].until, b.From+1))); t > b.From {
			return c, b.To
		}
		last = b.From*len(d.subj) + c
	}
}

// nextDue is the subject to be closed whose blackout comes first after the one
// that key stands for.
func (d *draft) nextDue(key int) int {
	best, bestKey := None, never
	for c := range d.subj {
		if s := &d.subj[c]; s.stuck == 0 && s.open+s.owed > 0 {
			if k := d.nextBlackout(c).From*len(d.subj) + c; k > key && k < bestKey && k < always {
				best, bestKey = c, k
			}
		}
	}
	return best
}

// nextBlackout is a subject's next blackout; it lies beyond all time when there
// is none.
func (d *draft) nextBlackout(c int) Span {
	if spans := d.in.Subjects[c].Blackouts; d.subj[c].black < len(spans) {
		return spans[d.subj[c].black]
	}
	return Span{always, always}
}

// freeBy is about when a subject is free again that a block makes stuck.
func (d *draft) freeBy(x *block, f fitted) int {
	t := 0
	for k := x.from; k < x.to && x.sticks; k++ {
		for _, h := range d.in.holdFrom[d.in.acts[x.job][k].id] {
			t = max(t, d.in.plain.after(f.end, d.in.holds[h].bench)+d.in.holds[h].clock)
		}
	}
	return t
}

// closedBy is when a subject is closed if that is begun at t.
func (d *draft) closedBy(c, t int) int {
	ok := true
	for _, a := range d.in.setups[c] {
		if d.open[a] && ok {
			t, ok = d.put(d.in.plain, t, d.in.Setups[a].Close)
			t += d.in.Setups[a].Close
		}
	}
	for _, f := range d.in.closings[c] {
		if d.owed[f] && ok {
			t, ok = d.put(d.in.withHelpers(d.in.Closings[f].Helpers), t, d.in.Closings[f].Minutes)
			t += d.in.Closings[f].Minutes
		}
	}
	if !ok {
		return never
	}
	return t
}

// hopeless says whether a draft is certain to cost more than a limit: no job
// that has not ended will end before the hands are free.
func (d *draft) hopeless(limit Cost) bool {
	if d.cost.Late != limit.Late {
		return d.cost.Late > limit.Late
	}
	return d.cost.Score()+d.left*int64(d.t-d.in.Now) > limit.Score()
}

// total is the cost with what is left to close. When the draft does not go to
// the end of its sequence, the jobs that have not ended count as if they ended
// now: the sooner all before them is done, the sooner they will be.
func (d *draft) total(whole bool) (cost Cost, ok bool) {
	for c := d.nextDue(-1); d.in.blackouts && c != None; c = d.nextDue(-1) {
		if !d.closeLast(c) || d.t > d.nextBlackout(c).From {
			return d.cost, false
		}
	}
	for c := range d.subj {
		if !d.closeLast(c) {
			return d.cost, false
		}
	}
	if !whole {
		d.cost.Weighted += d.left * int64(d.t-d.in.Now)
	}
	return d.cost, true
}

// closeLast closes a subject for good.
func (d *draft) closeLast(c int) bool {
	if d.subj[c].open+d.subj[c].owed == 0 {
		return true
	}
	d.over = d.over[:0]
	d.endVisit(c, everything)
	t, ok := d.layOver(max(d.t, d.subj[c].until))
	if ok {
		d.noteOver()
		d.t = t
	}
	return ok
}

package schedule

// Running a simulator: from one decision of the hands to the next.

func (s *Simulator) makeState() {
	n, jobs := len(s.blocks), len(s.in.Jobs)
	s.soonest = make([]int, (n+rowLength-1)/rowLength)
	s.ready, s.done, s.began, s.over, s.at = make([]int, n), make([]bool, n), make([]int, n), make([]int, n), make([]int, n)
	s.armed, s.behind, s.waitFirst, s.waitNext, s.waiting = make([]int, n), make([][]int, n), make([]int, n), make([]int, n), make([]bool, n)
	s.next, s.waits, s.jobFrom, s.ends = make([]int, jobs), make([]int, jobs), make([]int, jobs), make([]int, jobs)
	s.subj = make([]simSubject, len(s.in.Subjects))
	s.open, s.owed, s.held = make([]bool, len(s.in.Setups)), make([]bool, len(s.in.Closings)), make([]bool, len(s.in.holds))
	s.booked = newBookings(s.in)
}

// Run carries the schedule out under a course and returns when each job ended,
// None when it did not before the sessions were over. The result is
// overwritten by the next run.
func (s *Simulator) Run(c *Course) []int {
	s.course = c
	s.reset()
	for s.left > 0 && s.intoSession() {
		if s.t >= s.nextBlack {
			s.passBlackouts()
		}
		s.event = never
		if s.step() {
			continue
		}
		if s.event == never {
			break
		}
		s.pass()
	}
	return s.ends
}

// reset puts everything to where it stands now.
func (s *Simulator) reset() {
	in := s.in
	s.t, s.si, s.busy, s.head, s.placeHead, s.left, s.onPlace, s.nextBlack = in.Now, 0, Span{}, 0, 0, 0, 0, in.Now
	s.leaver, s.shut = unasked, false
	clear(s.owed)
	for row := range s.soonest {
		s.soonest[row] = never
	}
	clear(s.held)
	s.booked.clear()
	for c := range s.subj {
		s.subj[c] = simSubject{onPlace: in.Subjects[c].Placed}
		if in.Subjects[c].Placed {
			s.onPlace++
		}
	}
	for a := range s.open {
		if s.open[a] = in.Setups[a].IsOpen; s.open[a] {
			x := &s.subj[in.Setups[a].Subject]
			x.inVisit, x.owing = true, x.owing+in.Setups[a].Close
		}
	}
	for h := range in.holds {
		if in.holds[h].job == None {
			s.held[h] = true
			s.subj[in.holds[h].subject].stuck++
		}
	}
	for i := range s.blocks {
		s.ready[i], s.armed[i], s.done[i], s.began[i], s.over[i], s.at[i] = never, never, false, never, never, 0
		s.waitFirst[i], s.waiting[i] = None, false
		if s.blocks[i].job != None {
			s.left++
		}
	}
	for c := range s.subj {
		s.armEnding(c)
	}
	s.resetJobs()
}

func (s *Simulator) resetJobs() {
	for j := range s.in.Jobs {
		s.next[j], s.ends[j], s.waits[j] = 0, None, len(s.in.Jobs[j].After)
	}
	for j := range s.in.Jobs {
		if len(s.in.Jobs[j].After) == 0 && s.placed[j] {
			s.startJob(j)
		}
	}
}

// startJob lets a job take part: all before it has ended.
func (s *Simulator) startJob(j int) {
	job := &s.in.Jobs[j]
	from := max(s.in.Now, s.course.Arrives[job.Subject], job.Release)
	if job.Pinned && !s.in.startsOnClock(j) {
		from = max(from, s.in.pinStart(j))
	}
	for _, l := range job.After {
		from = max(from, s.ends[l.Job]+l.Gap)
	}
	s.jobFrom[j] = from
	s.goOn(j)
}

// goOn takes a job past the clock stages that run by themselves, and makes the
// block ready that comes next.
func (s *Simulator) goOn(j int) {
	for s.next[j] < len(s.in.acts[j]) {
		k := s.next[j]
		from, ok := s.supplied(j, k, s.jobFrom[j])
		if i := s.byStage[s.in.base[j]+k]; i != None {
			if ok {
				s.arm(i, max(from, s.course.Arrives[s.blocks[i].subject]))
				s.holdOn(i)
			}
			return
		}
		if !ok {
			return
		}
		a := &s.in.acts[j][k]
		start, end := s.freeClock(a, from)
		if start == never {
			return
		}
		s.booked.reserve(a, Span{start, end})
		for _, h := range s.in.holdUntil[a.id] {
			if s.held[h] {
				s.held[h] = false
				x := &s.subj[s.in.holds[h].subject]
				x.stuck--
				x.until = max(x.until, end)
			}
		}
		s.next[j], s.jobFrom[j] = k+1, end
	}
	s.endJob(j)
}

// supplied is from when on a stage, with those tied to it, has its material, if
// that can be said yet.
func (s *Simulator) supplied(j, k, from int) (int, bool) {
	before := 0
	for i := k; i < s.in.acts[j][k].block; i++ {
		id := s.in.base[j] + i
		for _, x := range s.sources[id] {
			at := s.arrival(&x)
			if at == never {
				return never, false
			}
			from = max(from, at-before)
		}
		before += s.course.Minutes[id]
	}
	if at := s.pinBound(j, k); at > from {
		from = at
	}
	return from, true
}

func (s *Simulator) pinBound(j, k int) int {
	if s.in.Jobs[j].Pinned && k > 0 && k == s.bench[j] {
		return s.in.pinStart(j)
	}
	return 0
}

// arrival is when material is there, never while that is open.
func (s *Simulator) arrival(x *source) int {
	switch x.kind {
	case Dated:
		return s.course.Lots[x.material][x.lot]
	case Ordered:
		return s.course.Orders[x.material]
	case Freed:
		if s.ends[x.job] == None {
			return never
		}
		return s.ends[x.job]
	}
	return s.in.Now
}

// endJob ends a job and lets those go on that waited for it.
func (s *Simulator) endJob(j int) {
	s.ends[j] = s.jobFrom[j]
	for _, l := range s.in.next[j] {
		if s.waits[l.Job]--; s.waits[l.Job] == 0 && s.placed[l.Job] {
			s.startJob(l.Job)
		}
	}
	for _, id := range s.freedFor[j] {
		o := s.jobOf[id]
		if s.waits[o] == 0 && s.ends[o] == None && s.in.base[o]+s.next[o] <= id && id < s.in.base[o]+s.in.acts[o][s.next[o]].block {
			s.goOn(o)
		}
	}
}

// intoSession moves on to where the hands can work, if they ever can.
func (s *Simulator) intoSession() bool {
	for {
		for s.si < len(s.in.plain) && s.in.plain[s.si].To <= s.t {
			s.si++
		}
		if s.si == len(s.in.plain) {
			return false
		}
		if s.t = max(s.t, s.in.plain[s.si].From); s.t < s.busy.From || s.t >= s.busy.To {
			return true
		}
		s.t = s.busy.To
	}
}

// pass lets time pass to the next event, or to the start of its session: what
// comes before a stage is done before the stage's own time has come.
func (s *Simulator) pass() {
	if s.t = s.event; s.event < s.in.plain[s.si].To {
		return
	}
	for s.si < len(s.in.plain) && s.in.plain[s.si].To <= s.event {
		s.si++
	}
	if s.si < len(s.in.plain) {
		s.t = s.in.plain[s.si].From
	}
}

// passBlackouts takes subjects off the place whose blackout has come.
func (s *Simulator) passBlackouts() {
	s.nextBlack = never
	for c := range s.subj {
		x := &s.subj[c]
		for spans := s.in.Subjects[c].Blackouts; x.black < len(spans); x.black++ {
			b := spans[x.black]
			if b.From > s.t {
				s.nextBlack = min(s.nextBlack, b.From)
				break
			}
			if x.stuck == 0 && x.onPlace && !s.apart(c) {
				s.leave(c)
			}
			if b.To > s.t {
				s.nextBlack = min(s.nextBlack, b.To)
				break
			}
		}
	}
}

// apart says whether something is open that must be closed before the subject
// leaves the place.
func (s *Simulator) apart(c int) bool {
	for _, a := range s.in.setups[c] {
		if s.open[a] && !s.in.stays[a] {
			return true
		}
	}
	return false
}

func (s *Simulator) leave(c int) {
	if s.subj[c].onPlace {
		s.subj[c].onPlace = false
		s.onPlace--
	}
	s.subj[c].inVisit = false
}

// arm lets a block go ahead from a time on. Until its time in the schedule has
// come, what is kept behind another one waits for that.
func (s *Simulator) arm(i, from int) {
	s.armed[i] = from
	s.setReady(i, max(from, s.heldTo(i)))
}

// heldTo is until when a block is held back.
func (s *Simulator) heldTo(i int) int {
	b := &s.blocks[i]
	if b.behind == None {
		return b.release
	}
	return min(b.release, s.over[b.behind]+b.lag)
}

// notBefore notes that a block cannot begin before a time, whatever else is
// done.
func (s *Simulator) notBefore(i, t int) {
	s.ready[i] = max(s.ready[i], t)
	s.later(t)
}

// later notes that something may be possible then.
func (s *Simulator) later(t int) {
	if t > s.t && t < s.event {
		s.event = t
	}
}

// step does the first thing in the order that can begin now. It says whether
// there was any.
func (s *Simulator) step() bool {
	for s.head < len(s.blocks) && s.done[s.head] {
		s.head++
	}
	for s.placeHead < len(s.blocks) && (s.done[s.placeHead] || !s.blocks[s.placeHead].place) {
		s.placeHead++
	}
	s.leaver, s.shut = unasked, false
	limit := s.in.plain[s.si].To
	for row := s.head / rowLength; row < len(s.soonest); row++ {
		if s.soonest[row] >= limit {
			s.event = min(s.event, s.soonest[row])
		} else if s.stepIn(row, limit) {
			return true
		}
	}
	return false
}

// rowLength is how many blocks are passed over at once where none is ready.
const rowLength = 32

// stepIn is step for one row.
func (s *Simulator) stepIn(row, limit int) bool {
	soonest := never
	for i := row * rowLength; i < min((row+1)*rowLength, len(s.blocks)); i++ {
		if s.ready[i] < limit && s.try(i) {
			return true
		}
		soonest = min(soonest, s.ready[i])
		if s.ready[i] >= limit { // what could not begin has noted its own time
			s.event = min(s.event, s.ready[i])
		}
	}
	s.soonest[row] = soonest
	return false
}

// setReady notes from when on a block may begin.
func (s *Simulator) setReady(i, t int) {
	s.ready[i] = t
	s.soonest[i/rowLength] = min(s.soonest[i/rowLength], t)
}

// try begins a block now if that can be.
func (s *Simulator) try(i int) bool {
	b := &s.blocks[i]
	if held := s.heldTo(i); held > s.t {
		s.later(held)
		return false
	}
	if until, in := s.blackout(b.subject); in {
		s.notBefore(i, until)
		return false
	}
	if b.job == None {
		return s.tryEnding(i)
	}
	if b.holds && !s.mayHold(i) || !s.lay(i, s.armed[i]) || !s.whole(b) {
		return false
	}
	if o := s.endangered(b); o != None && s.endNext(o) {
		return true
	}
	s.commit(i)
	return true
}

// blackout says whether a subject is in a blackout, and until when.
func (s *Simulator) blackout(c int) (int, bool) {
	x := &s.subj[c]
	if spans := s.in.Subjects[c].Blackouts; x.black < len(spans) && spans[x.black].From <= s.t {
		return spans[x.black].To, s.t < spans[x.black].To
	}
	return 0, false
}

// mayHold says whether a hold may begin: nothing before it in the order has yet
// to use the place, and what it will need is there or can be counted on.
func (s *Simulator) mayHold(i int) bool {
	b := &s.blocks[i]
	for o := s.placeHead; o < i && b.place; o++ {
		if x := &s.blocks[o]; x.subject != b.subject && x.place && !s.done[o] {
			if s.ready[i] = never; !s.waiting[i] { // until that one is done
				s.waiting[i], s.waitNext[i], s.waitFirst[o] = true, s.waitFirst[o], i
			}
			return false
		}
	}
	for _, j := range b.frees {
		if s.ends[j] == None {
			return false
		}
		if s.ends[j] > s.t {
			s.notBefore(i, s.ends[j])
			return false
		}
	}
	for k := range b.counts {
		c := &b.counts[k]
		if at := s.arrival(&c.source); at > s.t && (s.t < c.from || s.t >= c.due) {
			if s.t < c.from {
				at = min(at, c.from)
			}
			s.notBefore(i, at)
			return false
		}
	}
	x := &s.subj[b.subject]
	if spans := s.in.Subjects[b.subject].Blackouts; b.span > 0 && x.black < len(spans) && s.t+b.span > spans[x.black].From {
		s.notBefore(i, spans[x.black].To)
		return false
	}
	return true
}

// whole says whether the subject of the layout under trial can be made whole
// after it before its next blackout, as far as the estimates go.
func (s *Simulator) whole(b *turn) bool {
	x := &s.subj[b.subject]
	if x.black == len(s.blackCum[b.subject]) || x.stuck > 0 || b.span > 0 {
		return true
	}
	need := x.owing + b.minutes
	for i := range s.items {
		it := &s.items[i]
		need += it.minutes
		switch {
		case it.subject != b.subject:
		case it.kind == Open:
			need += s.in.Setups[it.of].Close
		case it.kind == Close || it.kind == Finish:
			need -= it.minutes
		}
	}
	for k := b.k; k < b.end; k++ {
		for _, f := range s.in.acts[b.job][k].Closings {
			if !s.owed[f] {
				need += s.in.Closings[f].Minutes
			}
		}
	}
	if s.handsNow()+need > s.blackCum[b.subject][x.black] {
		s.later(s.in.Subjects[b.subject].Blackouts[x.black].To)
		return false
	}
	return true
}

func (s *Simulator) handsNow() int { return s.cum[s.si] + max(0, s.t-s.in.plain[s.si].From) }

// handsFrom is how many minutes of sessions lie before a time not before now.
func (s *Simulator) handsFrom(t int) int {
	i := s.index(s.in.plain, t)
	if i == len(s.in.plain) {
		return s.cum[i]
	}
	return s.cum[i] + max(0, t-s.in.plain[i].From)
}

// endangered is a subject that could still be made whole before its blackout
// now, and could not after the block under trial.
func (s *Simulator) endangered(b *turn) int {
	if !b.hand || s.nextBlack == never {
		return None
	}
	now := s.handsNow()
	for c := range s.subj {
		x := &s.subj[c]
		if c == b.subject || x.owing == 0 || x.stuck > 0 || x.black == len(s.blackCum[c]) || x.until > s.t {
			continue
		}
		if room := s.blackCum[c][x.black] - now - x.owing; room >= 0 && room < b.minutes {
			return c
		}
	}
	return None
}

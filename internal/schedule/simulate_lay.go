package schedule

// Laying out a block in time, and doing it.

// lay lays a block out from now on: what must come before it, then its stages
// no earlier than ready. It says whether the first of it can begin now.
func (s *Simulator) lay(i, ready int) bool {
	b := &s.blocks[i]
	if !s.lead(b) {
		return false
	}
	t := s.t
	for k := range s.items {
		it := &s.items[k]
		start := s.put(it.cal, t, it.minutes)
		switch {
		case start == never:
			return false
		case start > s.t && k == 0:
			s.shut = s.shut || it.subject != b.subject || it.kind == Move // as for all others that need the place
			s.later(start)
			return false
		case start > t && s.in.plain.longest(t, start) >= max(1, it.minutes):
			s.later(s.in.sessionStart(start))
			return false
		}
		it.from, t = start, start+it.minutes
	}
	wanted := max(t, ready)
	if !b.bench {
		a := &s.in.acts[b.job][b.k]
		start, end := s.freeClock(a, wanted)
		s.stops = append(s.stops[:0], Span{start, end})
		switch {
		case start > wanted:
			s.later(start)
			return false
		case start > t && len(s.items) > 0:
			s.later(s.items[0].from + start - t)
			return false
		}
		return start < never
	}
	return s.fitBlock(b, wanted) && s.follows(i, t, wanted)
}

// follows says whether the stages laid out follow directly on what prepares
// them, but for time that is too short for them.
func (s *Simulator) follows(i, t, wanted int) bool {
	b, start := &s.blocks[i], s.stops[0].From
	if len(s.items) == 0 {
		if start > s.t {
			s.notBefore(i, start)
			return false
		}
		return true
	}
	in := s.in
	if start == t {
		return true
	}
	at := s.index(in.plain, start)
	idle := s.cum[at] + max(0, start-in.plain[at].From) - s.handsFrom(t)
	first := s.items[0].from
	cal := in.acts[b.job][b.k].cal
	switch {
	case idle == 0:
		return true
	case s.index(in.plain, first) == at:
		s.later(first + idle)
		return false
	}
	if k := s.index(cal, wanted); k < len(cal) && cal[k].From <= wanted && s.index(in.plain, wanted) == s.index(in.plain, t) {
		return true
	}
	s.later(in.plain[at].From)
	return false
}

// lead lists the overhead that must come before a block.
func (s *Simulator) lead(b *turn) bool {
	s.items, s.leaves = s.items[:0], None
	x := &s.subj[b.subject]
	own := false // its own visit ends first
	if b.place && !x.onPlace {
		if x.stuck > 0 {
			return false
		}
		if x.until > s.t {
			s.later(x.until)
			return false
		}
		if own = x.inVisit; !own && s.shut {
			return false
		}
		if s.onPlace >= s.in.Places {
			if s.leaver == unasked {
				s.leaver = s.whoLeaves()
			}
			if s.leaves = s.leaver; s.leaves == None {
				return false
			}
		}
		if own {
			s.ending(b.subject)
		}
		if s.leaves != None {
			s.ending(s.leaves)
		}
		s.items = append(s.items, simItem{kind: Move, subject: b.subject, of: None, minutes: s.in.Move, cal: s.in.plain})
	}
	if b.holds && s.in.HasPlace {
		for o := range s.subj {
			if y := &s.subj[o]; o != b.subject && y.onPlace && (y.stuck > 0 || y.freeAt > s.t) {
				s.later(y.freeAt)
				return false
			}
		}
	}
	for _, a := range b.opens {
		if !s.open[a] || own && !s.in.stays[a] {
			s.items = append(s.items, simItem{kind: Open, subject: b.subject, of: a, minutes: s.in.Setups[a].Open, cal: s.in.plain})
		}
	}
	return true
}

// ending lists what ends a subject's visit.
func (s *Simulator) ending(c int) {
	for _, a := range s.in.setups[c] {
		if s.open[a] && !s.in.stays[a] {
			s.items = append(s.items, simItem{kind: Close, subject: c, of: a, minutes: s.in.Setups[a].Close, cal: s.in.plain})
		}
	}
	for _, f := range s.in.closings[c] {
		if s.owed[f] {
			x := &s.in.Closings[f]
			s.items = append(s.items, simItem{kind: Finish, subject: c, of: f, minutes: x.Minutes, cal: s.in.withHelpers(x.Helpers)})
		}
	}
}

// index is the stretch of a calendar that ends after a time. Most asked for are
// sessions, and not far ahead.
func (s *Simulator) index(cal calendar, t int) int {
	if len(cal) != len(s.in.plain) || t < s.t || len(cal) > 0 && &cal[0] != &s.in.plain[0] {
		return cal.at(t)
	}
	i := s.si
	for i < len(cal) && cal[i].To <= t {
		i++
	}
	return i
}

// whoLeaves picks the subject that makes room on the place, as the decoder
// does.
func (s *Simulator) whoLeaves() int {
	best := None
	for o := range s.subj {
		switch y := &s.subj[o]; {
		case !y.onPlace || y.stuck > 0:
		case y.until > s.t:
			s.later(y.until)
		case best == None || s.leavesRather(o, best):
			best = o
		}
	}
	return best
}

func (s *Simulator) leavesRather(a, b int) bool {
	x, y := &s.subj[a], &s.subj[b]
	if free := x.owing == 0; free != (y.owing == 0) {
		return free
	}
	if p, q := s.nextOnPlace(a), s.nextOnPlace(b); p != q {
		return p > q
	}
	return x.last < y.last
}

// nextOnPlace is the next block of a subject that needs the place.
func (s *Simulator) nextOnPlace(c int) int {
	for _, i := range s.ofSubj[c][s.subj[c].cursor:] {
		if !s.done[i] && s.blocks[i].place {
			return i
		}
	}
	return len(s.blocks)
}

// put finds the earliest time at or after from at which something of that
// length fits into one stretch beside what is already going on.
func (s *Simulator) put(cal calendar, from, minutes int) int {
	for i := s.index(cal, from); i < len(cal); i++ {
		a := max(from, cal[i].From)
		if a < s.busy.To && a+minutes > s.busy.From {
			a = s.busy.To
		}
		if a+minutes <= cal[i].To {
			return a
		}
	}
	return never
}

// fitBlock fits the stages of a block into their calendars.
func (s *Simulator) fitBlock(b *turn, wanted int) bool {
	for _, late := range [...]bool{false, true} {
		for from := wanted; from < never; {
			next, ok := s.fitFrom(b, from, late)
			if ok {
				return true
			}
			from = next
		}
		if b.end == b.k+1 {
			return false
		}
	}
	return false
}

func (s *Simulator) fitFrom(b *turn, from int, late bool) (next int, ok bool) {
	s.pieces, s.stops = s.pieces[:0], s.stops[:0]
	t := from
	head := &s.in.acts[b.job][b.k]
	for k := b.k; k < b.end; k++ {
		a := &s.in.acts[b.job][k]
		n := len(s.pieces)
		ok := false
		if s.pieces, ok = a.fit(s.pieces, s.course.Minutes[a.id], t, s.index(a.cal, t), &s.booked); !ok {
			return head.nextStart(s.course.Minutes[head.id], from, s.index(head.cal, from), late), false
		}
		span := Span{s.pieces[n].From, s.pieces[len(s.pieces)-1].To}
		if k > b.k && (span.From != t || s.index(s.in.plain, s.pieces[n].To-1) != s.in.session(t-1)) {
			return head.nextStart(s.course.Minutes[head.id], from, s.index(head.cal, from), late), false
		}
		s.stops = append(s.stops, span)
		t = span.To
	}
	if from < s.busy.To && t > s.busy.From && b.hand {
		return s.busy.To, false
	}
	return 0, true
}

// commit does the block laid out.
func (s *Simulator) commit(i int) {
	b := &s.blocks[i]
	s.began[i] = s.stops[0].From
	if len(s.items) > 0 {
		s.began[i] = s.items[0].from
		s.doItems()
	}
	if s.leaves != None {
		s.leave(s.leaves)
	}
	x := &s.subj[b.subject]
	if b.place && !x.onPlace {
		x.onPlace = true
		s.onPlace++
	}
	last := s.stops[len(s.stops)-1].To
	x.inVisit = x.inVisit || b.bench || x.onPlace
	x.last = last
	if b.hand {
		s.passTime(i, last)
	} else {
		x.until = max(x.until, last)
	}
	for k := b.k; k < b.end; k++ {
		s.takeEffect(&s.in.acts[b.job][k], x, s.stops[k-b.k].To)
	}
	s.reserveBlock(b)
	s.over[i] = last
	s.finish(i)
	s.next[b.job], s.jobFrom[b.job] = b.end, last
	s.goOn(b.job)
}

// finish marks a block as done.
func (s *Simulator) finish(i int) {
	s.done[i], s.ready[i] = true, never
	if s.blocks[i].job != None {
		s.left--
	}
	for o := s.waitFirst[i]; o != None; o = s.waitNext[o] {
		s.waiting[o] = false
		s.arm(o, s.armed[o])
	}
	for _, o := range s.behind[i] {
		if s.armed[o] < never && !s.done[o] {
			s.arm(o, s.armed[o])
		}
	}
	s.armEnding(s.blocks[i].subject)
}

// armEnding lets the ending go ahead that comes next on a subject.
func (s *Simulator) armEnding(c int) {
	x, list := &s.subj[c], s.ofSubj[c]
	for x.cursor < len(list) && s.done[list[x.cursor]] {
		x.cursor++
	}
	if x.cursor < len(list) && s.blocks[list[x.cursor]].job == None {
		s.arm(list[x.cursor], s.in.Now)
	}
}

func (s *Simulator) doItems() {
	for k := range s.items {
		it := &s.items[k]
		s.doItem(it.kind, it.subject, it.of)
		s.t = it.from + it.minutes
	}
}

// doItem changes what overhead changes.
func (s *Simulator) doItem(kind ItemKind, c, of int) {
	x := &s.subj[c]
	switch kind {
	case Open:
		s.open[of] = true
		x.inVisit = true
		x.owing += s.in.Setups[of].Close
	case Close:
		s.open[of] = false
		x.owing -= s.in.Setups[of].Close
	case Finish:
		s.owed[of] = false
		x.owing -= s.in.Closings[of].Minutes
	}
}

// passTime moves the hands on. Where the block pauses over sessions that it
// cannot use, or does not follow at once on what prepares it, they are free
// until it goes on.
func (s *Simulator) passTime(i, last int) {
	end := None
	if s.began[i] < s.stops[0].From {
		end = s.t
	}
	for _, p := range s.pieces {
		if end != None && s.busy.To <= s.t && end < p.From && s.in.plain.minutes(end, p.From) > 0 {
			s.t, s.busy = end, Span{p.From, last}
			x := &s.subj[s.blocks[i].subject]
			x.until = max(x.until, last)
			return
		}
		end = p.To
	}
	s.t = last
}

// takeEffect changes the state by what a stage does.
func (s *Simulator) takeEffect(a *act, x *simSubject, end int) {
	if a.Hold == Until || a.Hold == Within {
		x.freeAt = max(x.freeAt, end)
	}
	for _, f := range a.Closings {
		if !s.owed[f] {
			s.owed[f] = true
			x.owing += s.in.Closings[f].Minutes
		}
	}
	for _, h := range s.in.holdFrom[a.id] {
		if !s.held[h] {
			s.held[h] = true
			x.stuck++
		}
	}
	for _, h := range s.in.holdUntil[a.id] {
		if s.held[h] {
			s.held[h] = false
			s.subj[s.in.holds[h].subject].stuck--
		}
	}
}

// tryEnding does the next thing that ends a visit, if that can be now.
func (s *Simulator) tryEnding(i int) bool {
	b := &s.blocks[i]
	x := &s.subj[b.subject]
	for s.at[i] < len(b.items) && !s.pending(&b.items[s.at[i]]) {
		if it := &b.items[s.at[i]]; it.Kind == Move && it.From > s.t {
			s.later(it.From) // it may have left the place by then
			return false
		}
		s.at[i]++
	}
	if s.at[i] == len(b.items) {
		if k := b.items[len(b.items)-1].Kind; k == Close || k == Finish {
			x.inVisit = false
		}
		s.over[i] = s.t
		s.finish(i)
		return true
	}
	it := &b.items[s.at[i]]
	free := s.course.Arrives[b.subject]
	if it.Kind != Open {
		free = max(free, x.until)
	}
	if free > s.t {
		s.later(free)
		return false
	}
	from := s.t
	switch {
	case x.stuck > 0 && it.Kind != Open:
		return false
	case it.Kind == Move:
		if !s.moveNow(i) {
			return false
		}
		from = s.items[0].from
	case !s.doNow(it.Kind, it.Subject, it.Of):
		return false
	default:
		s.t += s.itemMinutes(it.Kind, it.Of)
	}
	if s.at[i]++; s.began[i] == never {
		s.began[i] = from
	}
	x.last = s.t
	return true
}

func (s *Simulator) pending(it *Item) bool {
	switch it.Kind {
	case Close:
		return s.open[it.Of]
	case Open:
		return !s.open[it.Of]
	case Move:
		return !s.subj[it.Subject].onPlace
	}
	return s.owed[it.Of]
}

func (s *Simulator) itemMinutes(kind ItemKind, of int) int {
	switch kind {
	case Close:
		return s.in.Setups[of].Close
	case Open:
		return s.in.Setups[of].Open
	}
	return s.in.Closings[of].Minutes
}

// moveNow puts a subject onto the place ahead of its work, if that can begin now
// and nothing before it in the order has yet to use the place.
func (s *Simulator) moveNow(i int) bool {
	c := s.blocks[i].subject
	for o := s.placeHead; o < i; o++ {
		if x := &s.blocks[o]; x.place && x.subject != c && !s.done[o] {
			return false
		}
	}
	if !s.lead(&turn{subject: c, place: true}) {
		return false
	}
	t := s.t
	for k := range s.items {
		it := &s.items[k]
		if it.from = s.put(it.cal, t, it.minutes); it.from == never || k == 0 && it.from > s.t {
			if it.from < never {
				s.later(it.from)
			}
			return false
		}
		t = it.from + it.minutes
	}
	s.doItems()
	if s.leaves != None {
		s.leave(s.leaves)
	}
	s.subj[c].onPlace, s.subj[c].inVisit = true, true
	s.onPlace++
	return true
}

// doNow does a piece of overhead that ends a visit if it can begin now. The
// hands have still to pass the time.
func (s *Simulator) doNow(kind ItemKind, c, of int) bool {
	cal := s.in.plain
	if kind == Finish {
		cal = s.in.withHelpers(s.in.Closings[of].Helpers)
	}
	if start := s.put(cal, s.t, s.itemMinutes(kind, of)); start > s.t {
		if start < never {
			s.later(start)
		}
		return false
	}
	s.doItem(kind, c, of)
	return true
}

// endNext does the next thing that makes a subject whole, if that can be now.
func (s *Simulator) endNext(c int) bool {
	for _, a := range s.in.setups[c] {
		if s.open[a] {
			ok := s.doNow(Close, c, a)
			if ok {
				s.t += s.in.Setups[a].Close
			}
			return ok
		}
	}
	for _, f := range s.in.closings[c] {
		if s.owed[f] {
			ok := s.doNow(Finish, c, f)
			if ok {
				s.t += s.in.Closings[f].Minutes
			}
			return ok
		}
	}
	return false
}

// holdOn starts a clock stage that needs the place at once where its subject is
// there already.
func (s *Simulator) holdOn(i int) {
	b := &s.blocks[i]
	x := &s.subj[b.subject]
	if b.bench || b.k == 0 || s.heldTo(i) > s.armed[i] || b.place && !x.onPlace || b.holds && !s.mayHold(i) {
		return
	}
	if s.event = never; !s.lead(b) || len(s.items) > 0 {
		return
	}
	a := &s.in.acts[b.job][b.k]
	start, end := s.freeClock(a, s.armed[i])
	if start > s.armed[i] {
		return
	}
	s.stops = append(s.stops[:0], Span{start, end})
	s.commit(i)
}

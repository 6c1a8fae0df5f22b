package schedule

import "slices"

// against is what stands in the way of a stage moved up, and until when; zero
// when nothing does. Of several things it is the one that lasts longest and has a
// name.
func (m *mover) against(s *shift) (why Reason, until int) {
	for _, check := range []func(s *shift) (Reason, int){
		m.handsTaken, m.toolsTaken, m.mustBeWhole, m.inUse, m.othersStuck,
		m.otherVisit, m.freesTooSoon, m.chainWaits, m.leadsOnTooSoon, m.wasElsewhere,
	} {
		r, t := check(s)
		if until = max(until, t); t > 0 && (why.Until == 0 || r.Kind != BySession && (why.Kind == BySession || r.Until > why.Until)) {
			why = r
		}
	}
	return why, until
}

// leavesMissed says in which missed pin's session a stage would leave room for
// the pinned job, which would then have to be there.
func (m *mover) leavesMissed(s *shift) (job int, leaves bool) {
	in := m.d.in
	for _, x := range m.d.result.Missed {
		pin, k := in.Jobs[x.Job].Pin, max(0, in.firstBench(x.Job))
		if pin == None || x.Job == s.Job || !s.act.Bench && !s.act.Place {
			continue
		}
		of := in.Sessions[pin].Span
		if minutesIn(of, &s.Placed, s.items) >= minutesIn(of, s.was, s.leads) {
			continue
		}
		if !s.act.Hands || m.roomIn(of, s) >= min(MinPiece, in.acts[x.Job][k].Minutes) {
			return x.Job, true
		}
	}
	return None, false
}

// minutesIn counts the minutes of a stretch that a stage and what leads up to it
// take.
func minutesIn(of Span, p *Placed, leads []Item) (n int) {
	spans := p.Pieces
	if len(spans) == 0 {
		spans = []Span{p.Span}
	}
	for _, s := range spans {
		n += max(0, min(s.To, of.To)-max(s.From, of.From))
	}
	for _, it := range leads {
		n += max(0, min(it.To, of.To)-max(it.From, of.From))
	}
	return n
}

// roomIn is how long the hands would do nothing at a stretch in a session, with
// a stage moved up.
func (m *mover) roomIn(of Span, s *shift) (most int) {
	var busy []Span
	for i := range m.deeds {
		if x := &m.deeds[i]; x.From < x.To && x.overlaps(of) && !slices.Contains(s.leads, x.item) && !(x.job == s.Job && slices.Contains(s.was.Pieces, x.Span)) {
			busy = append(busy, x.Span)
		}
	}
	for _, it := range s.items {
		busy = append(busy, it.Span)
	}
	busy = append(busy, s.Pieces...)
	slices.SortFunc(busy, func(a, b Span) int { return a.From - b.From })
	at := of.From
	for _, b := range busy {
		most, at = max(most, min(b.From, of.To)-at), max(at, b.To)
	}
	return max(most, of.To-at)
}

// handsTaken says what else the hands do when they would be on the stage or what
// leads up to it.
func (m *mover) handsTaken(s *shift) (Reason, int) {
	taken := func(at Span) (Reason, int) {
		for i := range m.deeds {
			if x := &m.deeds[i]; x.From < x.To && x.overlaps(at) && x.job != s.Job && !slices.Contains(s.leads, x.item) {
				if x.job == None {
					return Reason{Kind: BySession, Until: x.To}, x.To
				}
				return Reason{ByHands, x.job, x.To}, x.To
			}
		}
		return Reason{}, 0
	}
	for i, it := range s.items {
		if why, until := taken(it.Span); it != s.leads[i] && until > 0 {
			return why, until
		}
	}
	if !s.act.Bench || !s.act.Hands {
		return Reason{}, 0
	}
	for _, piece := range s.Pieces {
		if why, until := taken(piece); until > 0 {
			return why, until
		}
	}
	return Reason{}, 0
}

// toolsTaken says which tool, or the helpers, is not there for the stage or for
// closing work that leads up to it.
func (m *mover) toolsTaken(s *shift) (Reason, int) {
	in, a := m.d.in, s.act
	if len(a.Tools) == 0 && a.Helpers == 0 && !slices.ContainsFunc(s.leads, func(it Item) bool { return it.Kind == Finish }) {
		return Reason{}, 0
	}
	b := m.d.bookedBut(s.was, s.leads)
	if !a.Bench {
		if start, _, why := b.freeClock(a, s.From, a.ends); start > s.From {
			return why, start
		}
		return Reason{}, 0
	}
	for _, piece := range s.Pieces {
		for _, u := range a.Tools {
			if free := b.toolFree(u.Tool, u.N, in.Tools[u.Tool].Capacity, piece); free > piece.From {
				return Reason{ByTool, u.Tool, free}, s.From + free - piece.From
			}
		}
		if free := b.helpersFree(a.Helpers, piece); free > piece.From {
			return Reason{Kind: ByHelper, Until: free}, s.From + free - piece.From
		}
	}
	for i, it := range s.items {
		if it != s.leads[i] && it.Kind == Finish && b.helpersFree(in.Closings[it.Of].Helpers, it.Span) > it.From {
			return Reason{Kind: BySession, Until: s.was.From}, s.was.From // no helper of its own
		}
	}
	return Reason{}, 0
}

// bookedBut is what everything but a stage and some overhead takes of tools and
// helpers.
func (d *decoder) bookedBut(but *Placed, leads []Item) bookings {
	b := newBookings(d.in)
	for i := range d.result.Placed {
		p := &d.result.Placed[i]
		if a := &d.in.acts[p.Job][p.Stage]; p == but {
			continue
		} else if a.Bench {
			b.reserve(a, p.Pieces...)
		} else {
			b.reserve(a, p.Span)
		}
	}
	for i := range d.result.Visits {
		for _, it := range d.result.Visits[i].Items {
			if it.Kind == Finish && !slices.Contains(leads, it) {
				b.takeHelpers(d.in.Closings[it.Of].Helpers, it.Span)
			}
		}
	}
	return b
}

// mustBeWhole says when the subject must be whole in the time that is won: the
// last time after the one before which the stage could begin. A clock stage may
// run over that, where it neither takes the place nor holds.
func (m *mover) mustBeWhole(s *shift) (Reason, int) {
	if !s.act.Bench && !s.act.heavy {
		return Reason{}, 0
	}
	c := m.d.in.Jobs[s.Job].Subject
	won, spans := Span{s.from, s.was.From}, m.d.in.Subjects[c].Blackouts
	for i, b := range slices.Backward(spans) {
		if b.overlaps(won) && (i == 0 || !spans[i-1].overlaps(won) || s.w.start(spans[i-1].To, s.act.cal, s.leads) < s.was.From) {
			return Reason{ByBlackout, c, b.To}, b.To
		}
	}
	return Reason{}, 0
}

// inUse says what is done on subjects that would be moved, closed or finished
// earlier.
func (m *mover) inUse(s *shift) (Reason, int) {
	own := m.d.in.Jobs[s.Job].Subject
	for i, it := range s.items {
		if it == s.leads[i] || it.Kind == Open {
			continue
		}
		won := Span{it.From, s.leads[i].From}
		for n := range m.d.result.Placed {
			p := &m.d.result.Placed[n]
			if a := &m.d.in.acts[p.Job][p.Stage]; (a.Bench || a.Place) && p != s.was && m.d.in.Jobs[p.Job].Subject == it.Subject && p.overlaps(won) {
				switch {
				case it.Subject == own:
					return Reason{ByWork, p.Job, p.To}, p.To
				case m.staysOn(it.Subject, s.was.From): // it makes no room
					return Reason{Kind: BySession, Until: p.To}, p.To
				}
				return Reason{ByPlace, it.Subject, p.To}, p.To
			}
		}
		for _, o := range m.look().stuck {
			if o.subject == it.Subject && o.overlaps(won) {
				return Reason{ByStuck, it.Subject, o.To}, o.To
			}
		}
		for _, b := range m.d.in.Subjects[it.Subject].Blackouts {
			if b.overlaps(won) {
				return Reason{ByBlackout, it.Subject, b.To}, b.To
			}
		}
	}
	return Reason{}, 0
}

// othersStuck says which other subject is stuck on the place in the time that is
// won, where the stage makes its own stuck, or what is closed on its own then.
func (m *mover) othersStuck(s *shift) (Reason, int) {
	in, c := m.d.in, m.d.in.Jobs[s.Job].Subject
	if s.act.Hold != From && s.act.Hold != Within {
		return Reason{}, 0
	}
	won := Span{s.From, s.was.From}
	for _, o := range m.look().stuck {
		if in.HasPlace && o.subject != c && o.overlaps(won) && m.stands(o) {
			return Reason{ByStuck, o.subject, o.To}, o.To
		}
	}
	for i := range m.d.result.Visits {
		for _, it := range m.d.result.Visits[i].Items {
			if it.Subject == c && it.Kind != Open && it.From <= won.To && won.From < it.To && !slices.Contains(s.leads, it) {
				return m.endOf(it), it.To
			}
		}
	}
	return Reason{}, 0
}

// endOf is the work that overhead brings to its end: the last on its subject
// before.
func (m *mover) endOf(it Item) Reason {
	why := Reason{Kind: BySession, Until: it.To}
	last := 0
	for i := range m.d.result.Placed {
		p := &m.d.result.Placed[i]
		if a := &m.d.in.acts[p.Job][p.Stage]; a.Bench && m.d.in.Jobs[p.Job].Subject == it.Subject && p.To <= it.From && p.To > last {
			last, why = p.To, Reason{ByWork, p.Job, it.To}
		}
	}
	return why
}

// stands says whether a subject is on the place at some time in a stretch.
func (m *mover) stands(o ofWhom) bool {
	return slices.ContainsFunc(m.look().stands, func(x ofWhom) bool { return x.subject == o.subject && x.overlaps(o.Span) })
}

// otherVisit says which other visit is in the way of one that would begin
// earlier: another of its subject, or one on the place.
func (m *mover) otherVisit(s *shift) (Reason, int) {
	if s.visit == None {
		return Reason{}, 0
	}
	visits := m.d.result.Visits
	v := &visits[s.visit]
	from := m.enters(s, v)
	if from >= v.From {
		if v.moved() && !slices.Contains(s.leads, v.Items[0]) && s.From < v.Items[0].To {
			return Reason{Kind: BySession, Until: v.Items[0].To}, v.Items[0].To
		}
		return Reason{}, 0
	}
	alone, needs := m.alone(s), Span{from, v.From}
	switch {
	case alone:
		needs = Span{s.From, min(s.To, v.From)}
	case v.moved() && !slices.Contains(s.leads, v.Items[0]):
		if s.splits = m.fitsApart(s); !s.splits {
			return Reason{Kind: BySession, Until: v.Items[0].To}, v.Items[0].To
		}
	}
	for i := range visits {
		x := &visits[i]
		if i == s.visit || x.Subject != v.Subject || x.To <= from || x.From > v.From || x.From == v.From && x.To >= v.To {
			continue
		}
		if why, until := m.notYetOver(s, i, from, alone); until > 0 {
			return why, until
		}
		if s.joins == i {
			needs = Span{x.To, max(x.To, s.To)}
		}
	}
	if s.splits {
		return Reason{}, 0
	}
	return m.placeTaken(s, v, needs)
}

// notYetOver says until when another visit of the subject is in the way of one
// that begins at a time. A stage that is all there is to its own goes over into
// it where it can, or may once work in it can begin.
func (m *mover) notYetOver(s *shift, i, from int, alone bool) (Reason, int) {
	v, x := &m.d.result.Visits[s.visit], &m.d.result.Visits[i]
	why, to := m.leavesAt(s, x)
	if to <= from {
		return Reason{}, 0
	}
	if alone && len(s.act.Closings)+len(s.act.opens) == 0 && (x.OnPlace || !v.OnPlace) {
		switch in := x.entered(); {
		case s.From < in && in < to:
			return Reason{Kind: BySession, Until: in}, in
		case in <= s.From && (x.OnPlace == v.OnPlace || s.To <= x.To):
			s.joins = i
			return Reason{}, 0
		}
	}
	return why, to
}

// enters is when a stage would enter its visit, with what leads up to it there.
func (m *mover) enters(s *shift, v *Visit) int {
	from := s.From
	for i, it := range s.items {
		if slices.Contains(v.Items, s.leads[i]) {
			from = min(from, it.From)
		}
	}
	return from
}

// leavesAt is when another visit would end, with what leads up to the stage
// moved up, and what is done in it last.
func (m *mover) leavesAt(s *shift, x *Visit) (why Reason, to int) {
	for _, it := range x.Items {
		if i := slices.Index(s.leads, it); i >= 0 {
			it = s.items[i]
		}
		if it.To > to {
			why, to = m.endOf(it), it.To
		}
	}
	for i := range m.d.result.Placed {
		if p := &m.d.result.Placed[i]; p != s.was && p.To >= to && m.d.in.partOf(p, x) {
			why, to = Reason{ByWork, p.Job, p.To}, p.To
		}
	}
	return why, to
}

// fitsApart says whether a stage may be done in a visit of its own off the place,
// before the one that it is part of.
func (m *mover) fitsApart(s *shift) bool {
	return s.act.Bench && !s.act.Place && s.act.Hold == Free && len(s.act.Closings)+len(s.act.opens)+len(s.leads) == 0 &&
		s.To <= m.d.result.Visits[s.visit].From && !m.mayStand(s)
}

// mayStand says whether the subject may still be on the place when the stage
// would begin.
func (m *mover) mayStand(s *shift) bool {
	there, still := m.look().standsAt(m.d.in.Jobs[s.Job].Subject, s.From)
	return there || still
}

// entered is when work can begin in a visit: when its subject was put onto the
// place for it.
func (v *Visit) entered() int {
	if v.moved() {
		return v.Items[0].To
	}
	return v.From
}

// placeTaken says who else is on the place, where a visit on it is to begin
// earlier or end later.
func (m *mover) placeTaken(s *shift, v *Visit, needs Span) (Reason, int) {
	if !v.OnPlace || m.d.in.Move > 0 && !v.moved() || needs.From >= needs.To {
		return Reason{}, 0
	}
	n, who, came := 0, ofWhom{Span{0, never}, None}, ofWhom{subject: None}
	for _, o := range m.look().stands {
		if o.subject == v.Subject || !o.overlaps(needs) {
			continue
		}
		if n++; came.subject == None && needs.From < o.From {
			came = o
		}
		if o.To < who.To {
			who = o
		}
	}
	switch {
	case n < m.d.in.Places:
		return Reason{}, 0
	case came.subject != None: // it came first
		return Reason{ByPlace, came.subject, came.To}, max(came.To, needs.From+1)
	}
	return Reason{ByPlace, who.subject, who.To}, who.To
}

// begins is when a job begins.
func (m *mover) begins(j int) int {
	for i := range m.d.result.Placed {
		if p := &m.d.result.Placed[i]; p.Job == j && p.Stage == 0 {
			return p.From
		}
	}
	return never
}

// freesTooSoon says whether a job that orders material, or has it from another
// one, would have had to take what is left of it from the job that now ends earlier.
func (m *mover) freesTooSoon(s *shift) (Reason, int) {
	if s.Stage < len(m.d.in.acts[s.Job])-1 || len(m.d.in.freed[s.Job]) == 0 {
		return Reason{}, 0
	}
	for _, t := range m.d.ledger.taken {
		if t.Source < Freed || t.Of == s.Job || !m.leftOver(s.Job, t.Material) {
			continue
		}
		if from := m.begins(t.Job); s.To <= from && from < s.was.To {
			return Reason{Kind: BySession, Until: s.was.From}, s.was.From
		}
	}
	return Reason{}, 0
}

// leftOver says whether nobody takes some of the material that a job frees.
func (m *mover) leftOver(j, material int) bool {
	for i, l := range m.d.in.Materials[material].Lots {
		if l.Job == j && m.d.ledger.lots[material][i] > 0 {
			return true
		}
	}
	return false
}

// chainWaits says for what a stuck subject would have to wait if the stage were
// earlier.
func (m *mover) chainWaits(s *shift) (Reason, int) {
	for _, h := range m.d.in.holdsOf[m.d.in.Jobs[s.Job].Subject] {
		begins := slices.Contains(m.d.in.holdFrom[s.act.id], h)
		if _, on := m.heldAt(h, s.was.From); !begins && !(on && m.d.in.holds[h].ends(s.Job, s.Stage)) {
			continue
		}
		for _, t := range m.d.ledger.taken {
			if t.Source == Stock || t.At <= s.From || !m.inChain(h, s, t) {
				continue
			}
			if begins && t.Source == Freed || t.At > m.soonest(s, t) {
				until := min(s.was.From, max(t.At, s.From+1))
				if t.At > s.was.From { // the rest of the chain takes the time until then
					until = min(s.was.From, m.d.in.nextSession(s.From))
				}
				if s.act.Hold != From && s.act.Hold != Within {
					return Reason{Kind: BySession, Until: until}, until
				}
				return Reason{ByChain, t.Material, until}, until
			}
		}
	}
	return Reason{}, 0
}

// leadsOnTooSoon says whether a job that comes before what ends a hold would be
// done so early, while the hold is on, that its subject would wait for material:
// when it was begun, the job was known to take until that comes.
func (m *mover) leadsOnTooSoon(s *shift) (Reason, int) {
	in := m.d.in
	if s.Stage < len(in.acts[s.Job])-1 {
		return Reason{}, 0
	}
	for h := range in.holds {
		if in.holds[h].job == None || !slices.Contains(in.holds[h].chain, s.Job) {
			continue
		}
		begun, on := m.heldAt(h, s.was.To)
		for _, t := range m.d.ledger.taken {
			if on && t.Source != Stock && t.At > max(begun, s.To) && in.Jobs[t.Job].Subject == in.holds[h].subject && m.inChain(h, s, t) &&
				t.Job != s.Job && slices.Contains(in.before([]int{t.Job}), s.Job) && t.At > m.readyBut(t, s.Job) {
				return Reason{Kind: BySession, Until: s.was.From}, s.was.From
			}
		}
	}
	return Reason{}, 0
}

// readyBut is when the stage that something is promised to could begin as far as
// all goes that comes before it, but one job.
func (m *mover) readyBut(t Promise, j int) int {
	in := m.d.in
	if t.Stage > 0 {
		return m.ends[in.base[t.Job]+t.Stage-1]
	}
	at := in.release(t.Job).at
	for _, l := range in.Jobs[t.Job].After {
		if l.Job != j {
			at = max(at, m.d.prog[l.Job].end+l.Gap)
		}
	}
	return at
}

// heldAt says since when a hold is on, if it is at a time.
func (m *mover) heldAt(h, t int) (since int, on bool) {
	in := m.d.in
	on = in.holds[h].job == None
	for i := range m.d.result.Placed {
		o := &m.d.result.Placed[i]
		id := in.base[o.Job] + o.Stage
		if slices.Contains(in.holdUntil[id], h) && o.To <= t {
			return 0, false
		}
		if slices.Contains(in.holdFrom[id], h) && o.From <= t {
			since, on = o.From, true
		}
	}
	return since, on
}

// inChain says whether what is promised is for a stage that comes later in what
// ends a hold.
func (m *mover) inChain(h int, s *shift, t Promise) bool {
	if !m.d.in.holds[h].ends(t.Job, t.Stage) || t.Job == s.Job {
		return t.Job == s.Job && t.Stage > s.Stage && m.d.in.holds[h].ends(t.Job, t.Stage)
	}
	return slices.ContainsFunc(m.d.result.Placed, func(p Placed) bool { return p.Job == t.Job && p.Stage == t.Stage && p.From > s.From })
}

// soonest is a time before which what is promised for a stage is not needed.
func (m *mover) soonest(s *shift, t Promise) int {
	at := s.To
	if t.Job != s.Job {
		if !slices.Contains(m.d.in.before([]int{t.Job}), s.Job) {
			return s.From // it does not wait for the stage
		}
		return at
	}
	for k := s.Stage + 1; k <= t.Stage && at < never; k++ {
		a := &m.d.in.acts[t.Job][k]
		switch {
		case k == t.Stage && a.Bench:
			at, _ = a.cal.from(at)
		case k == t.Stage:
		case a.Bench:
			at = a.cal.after(at, a.Minutes)
		default:
			at = a.ends(at)
		}
	}
	return at
}

// wasElsewhere says whether the stage was in a later session in the schedule
// before: there it stays.
func (m *mover) wasElsewhere(s *shift) (Reason, int) {
	if m.d.in.moved(s.act, s.From) <= m.d.in.moved(s.act, s.was.From) {
		return Reason{}, 0
	}
	return Reason{Kind: BySession, Until: s.was.From}, s.was.From
}

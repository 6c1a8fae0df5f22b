package schedule

import "slices"

// Moving up. A decision is taken with what is known by then, and a row of
// strokes has its stages where the search put them. So in the end a stage may
// stand later than anything pushes it: one beside the hands that was not thought
// of in time, or one that the hands could have begun in the rest of a session.
// When the schedule is done, each stage is held against its times, and where
// nothing stands in its way it goes up to them, with what leads up to it. The
// order of what the hands do stays as it is. What stands in its way is noted: it
// is the reason why the stage is not earlier.

// mover moves stages up in a finished schedule.
type mover struct {
	*teller
	gaps  *gaps // what is where, once asked for since the last move
	moved bool
}

// shift is a stage moved up, for a trial.
type shift struct {
	Placed
	act    *act
	w      *pushes
	was    *Placed
	leads  []Item // what leads up to it, as it is
	items  []Item // and as it will be
	from   int    // when the first of what moves begins
	visit  int    // its visit, or None
	enters int    // when what is done in that begins
	joins  int    // the visit of its subject that it goes over into, or None
	splits bool   // it goes over into a visit of its own
}

// moveUp moves up every stage that can start earlier with nothing else changed,
// and says whether there was one.
func (d *decoder) moveUp() bool {
	m := mover{teller: d.newTeller()}
	for again := true; again; {
		again = false
		for i := range d.result.Placed {
			if m.up(&d.result.Placed[i]) {
				m.renew()
				m.gaps, m.moved, again = nil, true, true
			}
		}
	}
	if m.moved {
		was := d.result.Cost
		d.finish()
		d.result.Optimal = d.result.Optimal && !d.result.Cost.Less(was)
	}
	return m.moved
}

// mostTries is how many times are tried at most for one stage.
const mostTries = 64

// up moves a stage up where it can be, and notes what stands in its way where
// it cannot.
func (m *mover) up(p *Placed) bool {
	a := &m.d.in.acts[p.Job][p.Stage]
	if p.held = (Reason{}); a.Tied || a.block > p.Stage+1 {
		return false
	}
	w := m.pushesOf(p)
	if w.joint(w.last(None)) >= p.From {
		return false
	}
	t := w.last(None)
	for range mostTries {
		s := m.lay(&w, p, t)
		if s.From >= p.From {
			return false
		}
		if j, leaves := m.leavesMissed(&s); leaves {
			p.held = Reason{ByPin, j, p.From}
			return false
		}
		why, until := m.against(&s)
		if until == 0 {
			m.put(&s)
			return true
		}
		if why.Kind != BySession || p.held.Until == 0 {
			p.held = why
		}
		if until >= p.From {
			return false
		}
		t = max(t+1, until)
	}
	return false
}

// lay lays a stage out from a time on, with what leads up to it and had not
// begun by then.
func (m *mover) lay(w *pushes, p *Placed, t int) shift {
	in := m.d.in
	s := shift{Placed: *p, act: w.act, w: w, was: p, leads: w.leads, items: slices.Clone(w.leads), from: never, visit: m.visitWith(p), joins: None}
	for i := range s.items {
		it := &s.items[i]
		if at := t + in.calendarOf(it).wait(Span{t, t + it.To - it.From}); it.From >= t && at < it.From {
			it.Span = Span{at, at + it.To - it.From}
			s.from = min(s.from, at)
		}
		t = max(t, it.To)
	}
	s.Span, s.Pieces = w.fit(t, w.act.cal)
	s.Pieces = slices.Clone(s.Pieces)
	s.from = min(s.from, s.From)
	return s
}

// calendarOf is when a piece of overhead can be done.
func (in *instance) calendarOf(it *Item) calendar {
	if it.Kind == Finish {
		return in.withHelpers(in.Closings[it.Of].Helpers)
	}
	return in.plain
}

// look is what is where in the schedule as it is.
func (m *mover) look() *gaps {
	if m.gaps == nil {
		m.gaps = m.d.findGaps()
	}
	return m.gaps
}

// put writes a stage that was moved up into the schedule.
func (m *mover) put(s *shift) {
	d := m.d
	if s.visit != None {
		s.enters = m.enters(s, &d.result.Visits[s.visit])
	}
	for i := range s.items {
		if was := s.leads[i]; was != s.items[i] {
			m.putItem(was, s.items[i])
		}
	}
	p := s.was
	p.Span, p.Pieces, p.Why, p.passed = s.Span, s.Pieces, Reason{Kind: BySession, Until: s.From}, Reason{}
	if s.visit != None {
		m.putVisit(s)
	}
	if p.Stage < len(d.in.acts[p.Job])-1 {
		return
	}
	d.prog[p.Job].end, d.result.Ends[p.Job] = p.To, p.To
	for i := range d.ledger.taken {
		if t := &d.ledger.taken[i]; t.Source == Freed && t.Of == p.Job {
			t.At = p.To
		}
	}
	d.result.Promises = d.ledger.taken
}

// putItem moves a piece of overhead, and shortens its visit by what that leaves.
func (m *mover) putItem(was, is Item) {
	for i := range m.d.result.Visits {
		v := &m.d.result.Visits[i]
		if v.Subject != was.Subject {
			continue
		}
		if n := slices.Index(v.Items, was); n >= 0 {
			v.Items[n] = is
			v.From = min(v.From, is.From)
			m.endVisit(v)
			return
		}
	}
}

// putVisit lets a stage's visit begin with it where it does, or the stage go over
// into another one.
func (m *mover) putVisit(s *shift) {
	visits := m.d.result.Visits
	v := &visits[s.visit]
	switch {
	case s.joins != None:
		visits[s.joins].To = max(visits[s.joins].To, s.To)
		m.d.result.Visits = slices.Delete(visits, s.visit, s.visit+1)
		return
	case s.splits:
		m.d.result.Visits = append(visits, Visit{Subject: v.Subject, Span: s.Span})
		m.endVisit(&m.d.result.Visits[s.visit])
		return
	case m.alone(s):
		v.Span = s.Span
	}
	v.From = min(v.From, s.enters)
	m.endVisit(v)
}

// alone says whether a stage is all there is to its visit.
func (m *mover) alone(s *shift) bool {
	v := &m.d.result.Visits[s.visit]
	return len(v.Items) == 0 && !slices.ContainsFunc(m.d.result.Placed, func(p Placed) bool {
		return (p.Job != s.Job || p.Stage != s.Stage) && m.d.in.partOf(&p, v)
	})
}

// endVisit ends a visit with the last of what is done in it.
func (m *mover) endVisit(v *Visit) {
	v.To = max(v.From, m.d.doneIn(v).To)
}

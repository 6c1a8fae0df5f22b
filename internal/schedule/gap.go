package schedule

import (
	"cmp"
	"slices"
)

// Gaps. A decode takes nothing back, so a job may have had to give way to what
// in the end was not in its way: to a pin that was missed all the same, or to
// one end of the sessions that was laid out too carefully. When the schedule is
// done, every job without a place is held against what is left of the hands'
// time. Where one stretch of it takes the whole job in a visit of its own, and
// nothing else has to change for that, the job goes there.

// gaps is a finished schedule, seen from what it leaves free.
type gaps struct {
	d      *decoder
	idle   calendar // the hands have nothing to do
	busy   [][]Span // by subject: it is in a visit, open, stuck, or has to be whole
	stuck  []ofWhom
	bound  []ofWhom  // it could not be taken off the place
	stands []ofWhom  // who is on the place when
	uses   []toolUse // of tools and, as the last of them, of helpers
	served []int     // by material: from when on jobs take none of it but what is ordered
	orders []int     // by material: from when on jobs do not order it
}

// ofWhom is a stretch of time of a subject.
type ofWhom struct {
	Span
	subject int
}

// toolUse is a stretch in which some of a tool is taken.
type toolUse struct {
	Span
	tool, n int
}

func (s Span) overlaps(o Span) bool { return s.From < o.To && o.From < s.To }

// near is a stretch with a minute before and after.
func (s Span) near() Span { return Span{s.From - 1, s.To + 1} }

// fillGaps places jobs that were left over where the finished schedule has room
// for them as it is, and says whether there was one.
func (d *decoder) fillGaps() (filled bool) {
	for again := true; again; {
		again = false
		var g *gaps
		for _, j := range d.order.jobs {
			if d.prog[j].done || !d.fitsGap(j) {
				continue
			}
			if g == nil {
				g = d.findGaps()
			}
			if g.place(j) {
				g, filled, again = nil, true, true
			}
		}
	}
	if filled {
		d.result.Unplaced = nil
		d.explain(d.dropWhy)
	}
	return filled
}

// fitsGap says whether a job is one run of bench work that leaves its subject
// as it found it, after jobs that are placed.
func (d *decoder) fitsGap(j int) bool {
	for k := range d.in.acts[j] {
		if a := &d.in.acts[j][k]; !a.Bench || a.Hold == From || a.Hold == Until {
			return false
		}
	}
	return !slices.ContainsFunc(d.in.Jobs[j].After, func(l Link) bool { return !d.prog[l.Job].done })
}

// findGaps looks through the schedule.
func (d *decoder) findGaps() *gaps {
	g := &gaps{d: d, busy: make([][]Span, len(d.in.Subjects)), served: make([]int, len(d.in.Materials)), orders: make([]int, len(d.in.Materials))}
	first := make([]int, len(d.in.Jobs))
	for _, p := range d.result.Placed {
		if p.Stage == 0 {
			first[p.Job] = p.From
		}
	}
	for _, p := range d.ledger.taken {
		last := g.served
		if p.Source == Ordered {
			last = g.orders
		}
		last[p.Material] = max(last[p.Material], first[p.Job]+1)
	}
	g.findIdle()
	g.findOpened()
	g.findStuck()
	g.bound = append(g.bound, g.stuck...)
	g.findStands()
	for c := range g.busy {
		g.busy[c] = append(g.busy[c], d.in.Subjects[c].Blackouts...)
	}
	return g
}

// findIdle notes what the hands, the tools and the helpers do, and what is left
// of the hands' time.
func (g *gaps) findIdle() {
	in := g.d.in
	for i := range g.d.result.Placed {
		p := &g.d.result.Placed[i]
		a, spans := &in.acts[p.Job][p.Stage], p.Pieces
		if !a.Bench {
			spans = []Span{p.Span}
		} else {
			g.busy[in.Jobs[p.Job].Subject] = append(g.busy[in.Jobs[p.Job].Subject], p.near())
		}
		for _, s := range spans {
			for _, u := range a.Tools {
				g.uses = append(g.uses, toolUse{s, u.Tool, u.N})
			}
			g.uses = append(g.uses, toolUse{s, len(in.Tools), a.Helpers})
		}
	}
	for _, v := range g.d.result.Visits {
		g.busy[v.Subject] = append(g.busy[v.Subject], v.near())
		for _, it := range v.Items {
			if it.Kind == Finish {
				g.uses = append(g.uses, toolUse{it.Span, len(in.Tools), in.Closings[it.Of].Helpers})
			}
		}
	}
	g.idle = g.d.idleSpans()
}

// findOpened notes when something is open.
func (g *gaps) findOpened() {
	in := g.d.in
	since := make([]int, len(in.Setups))
	for a := range since {
		if since[a] = None; in.Setups[a].IsOpen {
			since[a] = in.Now
		}
	}
	close := func(a, to int) {
		if since[a] != None {
			o := ofWhom{Span{since[a], to}, in.Setups[a].Subject}
			if g.busy[o.subject], since[a] = append(g.busy[o.subject], o.near()), None; !in.stays[a] {
				g.bound = append(g.bound, o)
			}
		}
	}
	for _, v := range g.d.result.Visits {
		for _, it := range v.Items {
			switch it.Kind {
			case Open:
				since[it.Of] = it.From
			case Close:
				close(it.Of, it.To)
			}
		}
	}
	for a := range since {
		close(a, never)
	}
}

// findStuck notes when a subject cannot be moved.
func (g *gaps) findStuck() {
	in := g.d.in
	since, until := make([]int, len(in.holds)), make([]int, len(in.holds))
	for h := range since {
		if since[h], until[h] = None, never; in.holds[h].job == None {
			since[h] = in.Now
		}
	}
	for i := range g.d.result.Placed {
		p := &g.d.result.Placed[i]
		a := &in.acts[p.Job][p.Stage]
		if a.Hold == Within {
			g.stuck = append(g.stuck, ofWhom{p.Span, in.Jobs[p.Job].Subject})
		}
		for _, h := range in.holdFrom[a.id] {
			since[h] = p.From
		}
		for _, h := range in.holdUntil[a.id] {
			until[h] = min(until[h], p.To)
		}
	}
	for h, c := range since {
		if c = in.holds[h].subject; since[h] != None {
			s := Span{since[h], until[h]}
			g.stuck, g.busy[c] = append(g.stuck, ofWhom{s, c}), append(g.busy[c], s.near())
		}
	}
}

// findStands notes who is on the place when: from visit to visit where no move
// comes between. Where a move takes no time, a subject counts as taken off after
// each visit, if it can be.
func (g *gaps) findStands() {
	in := g.d.in
	last := make([]int, len(in.Subjects)) // by subject: its last stand
	for c := range last {
		if last[c] = None; in.Subjects[c].Placed {
			last[c] = len(g.stands)
			g.stands = append(g.stands, ofWhom{Span{in.Now, in.Now}, c})
		}
	}
	for i := range g.d.result.Visits {
		v := &g.d.result.Visits[i]
		if !v.OnPlace {
			continue
		}
		c := v.Subject
		if s := last[c]; s != None && !v.moved() && (in.Move > 0 || g.leaves(g.stands[s]) > g.stands[s].To) {
			g.stands[s].To = max(g.stands[s].To, v.To)
			continue
		}
		last[c] = len(g.stands)
		g.stands = append(g.stands, ofWhom{v.Span, c})
	}
	for _, s := range last {
		if s != None {
			g.stands[s].To = g.leaves(g.stands[s])
		}
	}
}

// moved says whether the subject was put onto the place for a visit, as far as
// that takes time.
func (v *Visit) moved() bool { return len(v.Items) > 0 && v.Items[0].Kind == Move }

// leaves is when a subject could be taken off the place after it stood there.
func (g *gaps) leaves(s ofWhom) int {
	t := s.To
	for _, b := range g.bound {
		if b.subject == s.subject && b.From <= s.To {
			t = max(t, b.To)
		}
	}
	return t
}

// idleSpans lists the stretches of the sessions in which the hands do nothing.
func (d *decoder) idleSpans() []Span {
	var busy []Span
	for i := range d.result.Placed {
		if p := &d.result.Placed[i]; d.in.acts[p.Job][p.Stage].Hands {
			busy = append(busy, p.Pieces...)
		}
	}
	for i := range d.result.Visits {
		for _, it := range d.result.Visits[i].Items {
			busy = append(busy, it.Span)
		}
	}
	busy = slices.DeleteFunc(busy, func(s Span) bool { return s.From == s.To })
	slices.SortFunc(busy, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	var idle []Span
	for _, s := range d.in.plain {
		at := s.From
		for len(busy) > 0 && busy[0].From < s.To {
			if busy[0].From > at {
				idle = append(idle, Span{at, busy[0].From})
			}
			at = max(at, busy[0].To)
			busy = busy[1:]
		}
		if at < s.To {
			idle = append(idle, Span{at, s.To})
		}
	}
	return idle
}

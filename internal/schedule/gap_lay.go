package schedule

import "slices"

// filling is a job laid out in a gap, in a visit of its own.
type filling struct {
	Span
	job     int
	place   bool // it needs the place
	onPlace bool // the visit is on the place
	within  bool // its subject is stuck meanwhile
	items   []Item
	placed  []Placed
}

// place looks for the first gap that takes a job and puts it there.
func (g *gaps) place(j int) bool {
	d := g.d
	promises, marks := len(d.ledger.taken), len(d.ledger.marks)
	ready, ok := d.readyInGap(j)
	if ok {
		minutes := g.lay(j, ready.at).To - ready.at - d.in.Move
		for i := g.idle.at(ready.at); i < len(g.idle); i++ {
			gap := g.idle[i]
			for t := max(ready.at, gap.From); t+minutes <= gap.To; {
				f := g.lay(j, t)
				if f.To > gap.To {
					break
				}
				until := g.against(&f)
				if until <= t {
					g.put(&f, ready)
					return true
				}
				t = until
			}
		}
	}
	d.ledger.undo(promises, marks)
	return false
}

// readyInGap takes what a job needs of what is left and says when it can start.
func (d *decoder) readyInGap(j int) (moment, bool) {
	d.taken = len(d.ledger.taken)
	ready := d.in.release(j)
	for _, l := range d.in.Jobs[j].After {
		ready.later(d.prog[l.Job].end+l.Gap, ByJob, l.Job)
	}
	s := d.supplyOf(j)
	for k, at := range s.at {
		ready.later(at, s.why[k].Kind, s.why[k].Of)
	}
	return ready, !s.short && s.wait == None
}

// lay lays a job out from a time on.
func (g *gaps) lay(j, t int) filling {
	in, c := g.d.in, g.d.in.Jobs[j].Subject
	f := filling{Span: Span{t, t}, job: j}
	opens, calls := make([]bool, len(in.Setups)), make([]bool, len(in.Closings))
	for k := range in.acts[j] {
		a := &in.acts[j][k]
		f.within = f.within || a.Hold == Within
		f.place = f.place || a.Place || in.HasPlace && a.Hold == Within
		for _, o := range a.opens {
			opens[o] = true
		}
		for _, x := range a.Closings {
			calls[x] = true
		}
	}
	there, still := g.standsAt(c, t)
	f.onPlace = f.place || there
	if f.place && !there && !still && in.Move > 0 {
		f.item(Move, c, None, in.Move)
	}
	for _, a := range slices.Backward(in.setups[c]) {
		if opens[a] {
			f.item(Open, c, a, in.Setups[a].Open)
		}
	}
	for k := range in.acts[j] {
		s := Span{f.To, f.To + in.acts[j][k].Minutes}
		f.placed, f.To = append(f.placed, Placed{Job: j, Stage: k, Span: s, Pieces: []Span{s}}), s.To
	}
	for _, a := range in.setups[c] {
		if opens[a] {
			f.item(Close, c, a, in.Setups[a].Close)
		}
	}
	for _, x := range in.closings[c] {
		if calls[x] {
			f.item(Finish, c, x, in.Closings[x].Minutes)
		}
	}
	return f
}

func (f *filling) item(kind ItemKind, c, of, minutes int) {
	f.items = append(f.items, Item{kind, c, of, Span{f.To, f.To + minutes}})
	f.To += minutes
}

// standsAt says whether a subject is on the place at a time, in the midst of
// others of its visits or because nobody came since the last one.
func (g *gaps) standsAt(c, t int) (there, still bool) {
	for _, s := range g.stands {
		if s.subject == c && s.From <= t {
			there = t < s.To
			still = !there && !g.comes(c, Span{s.To, t})
		}
	}
	return there, still
}

// comes says whether in a stretch another subject comes onto the place, or this
// one has to be off it.
func (g *gaps) comes(c int, s Span) bool {
	return slices.ContainsFunc(g.stands, func(o ofWhom) bool { return o.subject != c && s.From <= o.From && o.From < s.To }) ||
		slices.ContainsFunc(g.d.in.Subjects[c].Blackouts, func(b Span) bool { return b.overlaps(s) })
}

// against is when what speaks against a filling is over; not after its start
// when nothing does.
func (g *gaps) against(f *filling) int {
	in, until := g.d.in, 0
	c := in.Jobs[f.job].Subject
	for _, b := range g.busy[c] {
		if b.overlaps(f.Span) {
			until = max(until, b.To)
		}
	}
	if f.within {
		for _, o := range g.stuck {
			if o.near().overlaps(f.Span) {
				until = max(until, o.To+1)
			}
		}
	}
	for k := range in.acts[f.job] {
		for _, n := range in.acts[f.job][k].Needs {
			if late := g.served[n.Material] - f.placed[0].From; late > 0 {
				until = max(until, f.From+late)
			}
		}
	}
	for _, m := range in.freed[f.job] {
		if late := g.orders[m] - f.To; late > 0 { // they would have had to take what this job frees
			until = max(until, f.From+late)
		}
	}
	return max(until, g.placeTaken(f), g.toolsAgainst(f))
}

// placeTaken is when one of those that fill the place all the time goes.
func (g *gaps) placeTaken(f *filling) int {
	if !f.onPlace {
		return 0
	}
	n, soonest := 0, never
	for _, s := range g.stands {
		if s.subject != g.d.in.Jobs[f.job].Subject && s.overlaps(f.Span) {
			n, soonest = n+1, min(soonest, s.To)
		}
	}
	if n < g.d.in.Places {
		return 0
	}
	return soonest
}

// toolsAgainst is when the filling could begin for the tools and helpers that
// are not there or taken.
func (g *gaps) toolsAgainst(f *filling) int {
	in, until := g.d.in, 0
	for _, p := range f.placed {
		a := &in.acts[p.Job][p.Stage]
		until = max(until, f.From+a.cal.wait(p.Span))
		for _, u := range a.Tools {
			until = max(until, f.From+g.toolWait(u.Tool, u.N, in.Tools[u.Tool].Capacity, p.Span))
		}
		if a.Helpers > 0 {
			until = max(until, f.From+g.toolWait(len(in.Tools), a.Helpers, g.helpersAt(p.From), p.Span))
		}
	}
	for _, it := range f.items {
		if n := 0; it.Kind == Finish {
			if n = in.Closings[it.Of].Helpers; n > 0 {
				until = max(until, f.From+in.withHelpers(n).wait(it.Span), f.From+g.toolWait(len(in.Tools), n, g.helpersAt(it.From), it.Span))
			}
		}
	}
	return until
}

// wait is how much later a stretch would have to be to lie in the calendar; zero
// when it does.
func (c calendar) wait(s Span) int {
	for i := c.at(s.From); i < len(c); i++ {
		if from := max(s.From, c[i].From); from+s.To-s.From <= c[i].To {
			return from - s.From
		}
	}
	return never
}

// helpersAt is how many helpers there are at a time.
func (g *gaps) helpersAt(t int) int {
	if i := g.d.in.plain.at(t); i < len(g.d.in.Sessions) {
		return g.d.in.Sessions[i].Helpers
	}
	return 0
}

// toolWait is how much later n of a tool may be free; zero when they are.
func (g *gaps) toolWait(tool, n, capacity int, s Span) int {
	soonest := never
	for _, u := range g.uses {
		if u.tool == tool && u.n > 0 && u.overlaps(s) {
			n, soonest = n+u.n, min(soonest, u.To)
		}
	}
	if n <= capacity {
		return 0
	}
	return max(1, soonest-s.From)
}

// put writes a filling into the schedule.
func (g *gaps) put(f *filling, ready moment) {
	d, c := g.d, g.d.in.Jobs[f.job].Subject
	g.stay(f)
	for i := range f.placed {
		if p := &f.placed[i]; i == 0 {
			p.Why = g.because(f, ready)
		} else {
			p.Why = Reason{ByStage, i - 1, f.placed[i-1].To}
		}
	}
	p := &d.prog[f.job]
	p.next, p.end, p.done, p.blocked = len(f.placed), f.placed[len(f.placed)-1].To, true, false
	d.result.Ends[f.job] = p.end
	d.result.Placed = append(d.result.Placed, f.placed...)
	d.result.Visits = append(d.result.Visits, Visit{Subject: c, OnPlace: f.onPlace, Span: f.Span, Items: f.items})
	for _, it := range f.items {
		d.result.Cost.Overhead += it.To - it.From
	}
	if d.in.Jobs[f.job].Pinned {
		d.miss(f.job, Reason{Kind: BySession})
	}
	d.finish()
}

// stay leaves out the move of the subject's next visit where it now only has to
// stay on the place for it.
func (g *gaps) stay(f *filling) {
	d, c := g.d, g.d.in.Jobs[f.job].Subject
	if !f.onPlace {
		return
	}
	for i := range d.result.Visits {
		v := &d.result.Visits[i]
		if v.Subject != c || !v.OnPlace || v.From < f.To {
			continue
		}
		if v.moved() && !g.comes(c, Span{f.To, v.From}) {
			v.Items = v.Items[1:]
			v.From += d.in.Move
			d.result.Cost.Overhead -= d.in.Move
		}
		return
	}
}

// because says why a filling does not start earlier.
func (g *gaps) because(f *filling, ready moment) Reason {
	switch {
	case ready.at == f.From && (ready.why.Kind != ByNow || f.placed[0].From == g.d.in.Now):
		return ready.why
	case g.d.in.sessionStart(f.From) < f.From && slices.ContainsFunc(g.idle, func(s Span) bool { return s.From == f.From }):
		last := None
		for i := range g.d.result.Placed {
			if p := &g.d.result.Placed[i]; p.To <= f.From && g.d.in.acts[p.Job][p.Stage].Hands && (last == None || p.To > g.d.result.Placed[last].To) {
				last = i
			}
		}
		if last != None {
			return Reason{ByHands, g.d.result.Placed[last].Job, f.From}
		}
	}
	return Reason{Kind: BySession, Until: f.From}
}

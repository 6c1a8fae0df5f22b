package schedule

import "slices"

// bench lays out bench stages k to end, the later ones tied to the first.
func (l *layout) bench(j, k, end, ready int) {
	from := max(l.x.t, ready)
	cal := l.d.in.acts[j][k].cal
	if !l.search(j, k, end, from, false) && !l.search(j, k, end, from, true) {
		l.reject(l.d.lack(&l.d.in.acts[j][k], l.x.t), never)
		return
	}
	placed := l.x.placed[len(l.x.placed)-(end-k):]
	l.settleStart(j, k, placed[0].From, max(l.x.t, ready), cal)
	last := placed[len(placed)-1].To
	if !l.d.in.byHand(j, k, end) {
		s := &l.x.subj[l.subject]
		s.until = max(s.until, last)
		return
	}
	l.passTime(placed, last)
}

// byHand says whether the hands do some of the bench stages k to end.
func (in *instance) byHand(j, k, end int) bool {
	return slices.ContainsFunc(in.acts[j][k:end], func(a act) bool { return a.Bench && a.Hands })
}

// search looks for the first start from which stages fit. With late it also
// tries to begin so late in a session that most falls into the next one.
func (l *layout) search(j, k, end, from int, late bool) bool {
	for from < never {
		n, m := len(l.x.placed), len(l.x.pieces)
		next, ok := l.block(j, k, end, from, late)
		if ok {
			return true
		}
		l.x.placed, l.x.pieces = l.x.placed[:n], l.x.pieces[:m]
		from = next
	}
	return false
}

// lack says what a stage waits for that could not start at t, in a session.
func (d *decoder) lack(a *act, t int) Reason {
	if from, ok := d.in.plain.from(t); !ok || from > t {
		return Reason{Kind: BySession}
	}
	if from, ok := d.in.withHelpers(a.Helpers).from(t); !ok || from > t {
		return Reason{Kind: ByHelper}
	}
	for _, u := range a.Tools {
		tool := &d.in.Tools[u.Tool]
		from, ok := calendar(tool.Windows).from(t)
		if u.N > 0 && tool.Windows != nil && (!ok || from > t) || d.booked.toolFree(u.Tool, u.N, tool.Capacity, Span{t, t + 1}) > t {
			return Reason{Kind: ByTool, Of: u.Tool}
		}
	}
	return Reason{Kind: BySession}
}

// settleStart checks that the stage follows directly on what prepares it. Time
// that is too short for it may pass between; otherwise the whole layout has to
// begin later.
func (l *layout) settleStart(j, k, start, wanted int, cal calendar) {
	if !l.started {
		l.started, l.first = true, start
		return
	}
	in := l.d.in
	idle := in.plain.minutes(l.x.t, start)
	if idle == 0 {
		return
	}
	if from := in.session(l.first); from == in.session(start) {
		l.mustBeginAt(l.first+idle, l.d.lack(&in.acts[j][k], l.x.t))
		return
	}
	if i := cal.at(wanted); i < len(cal) && cal[i].From <= wanted && in.session(wanted) == in.session(l.x.t) {
		return
	}
	l.mustBeginAt(in.sessionStart(start), l.d.lack(&in.acts[j][k], l.x.t))
}

// passTime moves the hands on. Where the stage pauses over sessions that it
// cannot use, or does not follow at once on what prepares it, they are free
// until it goes on.
func (l *layout) passTime(placed []Placed, last int) {
	x, end := l.x, None
	if l.first < placed[0].From {
		end = x.t
	}
	for _, p := range placed {
		for _, piece := range p.Pieces {
			if end != None && x.busy.To <= x.t && l.d.in.plain.minutes(end, piece.From) > 0 {
				x.t, x.busy = end, Span{piece.From, last}
				s := &x.subj[l.subject]
				s.until = max(s.until, last)
				return
			}
			end = piece.To
		}
	}
	x.t = last
}

// block fits stages into their calendars from a time on. It returns when to
// try again where they do not fit.
func (l *layout) block(j, k, end, from int, late bool) (next int, ok bool) {
	at, head := from, &l.d.in.acts[j][k]
	for i := k; i < end; i++ {
		a := &l.d.in.acts[j][i]
		p, ok := l.fit(a, at)
		if !ok {
			return head.nextStart(head.Minutes, from, head.cal.at(from), late), false
		}
		if i > k {
			if wait := l.d.supplyAt[a.id] - p.From; wait > 0 && !l.d.eager {
				return from + wait, false
			}
			if p.From != at || l.d.in.session(p.Pieces[0].To-1) != l.d.in.session(at-1) {
				return head.nextStart(head.Minutes, from, head.cal.at(from), late), false
			}
		}
		p.Job, p.Stage = j, i
		l.x.placed = append(l.x.placed, p)
		at = p.To
	}
	if b := l.x.busy; from < b.To && at > b.From {
		return b.To, false
	}
	return 0, true
}

// fit finds the earliest pieces for one bench stage.
func (l *layout) fit(a *act, from int) (p Placed, ok bool) {
	n := len(l.x.pieces)
	if l.x.pieces, ok = a.fit(l.x.pieces, a.Minutes, from, a.cal.at(from), &l.d.booked); !ok {
		return p, false
	}
	pieces := l.x.pieces[n:len(l.x.pieces):len(l.x.pieces)]
	return Placed{Span: Span{pieces[0].From, pieces[len(pieces)-1].To}, Pieces: pieces}, true
}

// clock lays out a clock stage that has to be decided on: it takes the place,
// or makes its subject stuck.
func (l *layout) clock(j, k, ready int) {
	a := &l.d.in.acts[j][k]
	wanted := max(l.x.t, ready)
	start, end, why := l.d.booked.freeClock(a, wanted, a.ends)
	if start == never {
		l.reject(why, never)
		return
	}
	switch {
	case start > wanted:
		l.reject(why, start)
		return
	case !l.started:
		l.started, l.first = true, start
	case start > l.x.t:
		l.mustBeginAt(l.first+start-l.x.t, Reason{Kind: BySession})
	}
	l.x.placed = append(l.x.placed, Placed{Job: j, Stage: k, Span: Span{start, end}})
	s := &l.x.subj[l.subject]
	s.until = max(s.until, end)
}

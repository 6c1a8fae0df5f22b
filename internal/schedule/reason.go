package schedule

import (
	"cmp"
	"slices"
)

// Reasons. What pushed a start last is seen best in the finished schedule: with
// everything before it as it is, the one thing without which it would be
// earlier. A stage's own times, the hands, and the sessions with their helpers
// and tools are worked out anew here. What a decision noted is the reason where
// they do not account for the start: the place, a blackout, a stuck subject.

// pushes is all that holds the first stage of a block by its time.
type pushes struct {
	list   []push
	leads  []Item // what is done just before it for its sake
	moved  bool   // whether its subject is put onto the place for it
	begins int    // when that begins
	act    *act
	in     *instance
	placed *Placed
	deeds  []deed
	pieces *[]Span // to lay out in
}

// push is one thing that a stage waits for. The hands are marked apart: what
// they were at last may have no name.
type push struct {
	moment
	hands bool
}

// deed is a stretch that the hands are taken for, by a stage or by overhead.
type deed struct {
	Span
	job  int // None for overhead
	item Item
	room int // of overhead: when its visit ends and makes room on the place, if it does
}

// teller looks at a finished schedule.
type teller struct {
	d      *decoder
	deeds  []deed
	busy   []int    // when the hands were free after the first so many of them
	ends   []int    // by stage id
	visits [][]int  // by subject, in order of time
	opened [][]Item // by setup: when it was opened, in order of time
	over   [][]int  // by subject: when something on it ended; nil until asked for
	stands []ofWhom // who is on the place when; nil until asked for
	pieces []Span
}

func (d *decoder) newTeller() *teller {
	t := &teller{d: d}
	t.renew()
	return t
}

// renew looks at the schedule anew.
func (t *teller) renew() {
	d := t.d
	t.deeds = d.deeds()
	t.busy = make([]int, len(t.deeds)+1)
	for i := range t.deeds {
		t.busy[i+1] = max(t.busy[i], t.deeds[i].To)
	}
	t.ends = make([]int, d.in.stages)
	for i := range d.result.Placed {
		p := &d.result.Placed[i]
		t.ends[d.in.base[p.Job]+p.Stage] = p.To
	}
	t.visits, t.opened, t.over = make([][]int, len(d.in.Subjects)), make([][]Item, len(d.in.Setups)), nil
	t.stands = nil
	for i := range d.result.Visits {
		v := &d.result.Visits[i]
		t.visits[v.Subject] = append(t.visits[v.Subject], i)
		for _, it := range v.Items {
			if it.Kind == Open {
				t.opened[it.Of] = append(t.opened[it.Of], it)
			}
		}
	}
}

// visits says whether a stage is part of a visit: it is, unless it is a clock
// stage that neither takes the place nor makes its subject stuck.
func (a *act) visits() bool { return a.Bench || a.heavy }

// visitWith is the visit that a stage is part of, or None.
func (t *teller) visitWith(p *Placed) int {
	for _, i := range t.visits[t.d.in.Jobs[p.Job].Subject] {
		if t.d.in.partOf(p, &t.d.result.Visits[i]) {
			return i
		}
	}
	return None
}

// partOf says whether a stage is part of a visit.
func (in *instance) partOf(p *Placed, v *Visit) bool {
	return in.Jobs[p.Job].Subject == v.Subject && v.From <= p.From && p.To <= v.To && in.acts[p.Job][p.Stage].visits()
}

// tellWhy gives every stage that is done in a block of its own the reason that
// the finished schedule shows.
func (d *decoder) tellWhy() {
	t := d.newTeller()
	for i := range d.result.Placed {
		p := &d.result.Placed[i]
		a := &d.in.acts[p.Job][p.Stage]
		t.renewReason(p, &p.Why)
		t.renewReason(p, &p.passed)
		if a.Tied || a.block > p.Stage+1 || !a.Bench && len(a.Tools) > 0 {
			continue
		}
		w := t.pushesOf(p)
		p.Why = w.reason(p)
	}
}

// renewReason gives a reason that was noted at a decision the time at which what
// it names is over in the finished schedule.
func (t *teller) renewReason(p *Placed, r *Reason) {
	switch r.Kind {
	case ByStage:
		r.Until = t.ends[t.d.in.base[p.Job]+r.Of]
	case ByJob:
		for _, l := range t.d.in.Jobs[p.Job].After {
			if l.Job == r.Of {
				r.Until = t.d.prog[l.Job].end + l.Gap
			}
		}
	case ByHarvest:
		r.Until = t.d.prog[r.Of].end
	case ByPlace:
		if at := t.lastOn(r.Of, r.Until); at == 0 || t.staysOn(r.Of, p.From) {
			r.Kind, r.Of = BySession, 0 // nothing was done on it any more, or it was thought to leave and did not
		} else {
			r.Until = at
		}
	case ByStuck:
		if at := t.freedBy(r.Of, r.Until); at > 0 {
			r.Until = at
		}
	}
}

// staysOn says whether a subject stands on the place at a time.
func (t *teller) staysOn(c, at int) bool {
	if t.stands == nil {
		t.stands = t.d.findGaps().stands
	}
	return slices.ContainsFunc(t.stands, func(s ofWhom) bool { return s.subject == c && s.From < at && at < s.To })
}

// freedBy is when a subject could be moved again the last time by a time; zero
// without one.
func (t *teller) freedBy(c, until int) (at int) {
	in := t.d.in
	for i := range t.d.result.Placed {
		p := &t.d.result.Placed[i]
		a := &in.acts[p.Job][p.Stage]
		if in.Jobs[p.Job].Subject == c && p.To <= until && (a.Hold == Within || len(in.holdUntil[a.id]) > 0) {
			at = max(at, p.To)
		}
	}
	return at
}

// lastOn is when the last thing that is over at a time was done on a subject;
// zero without one.
func (t *teller) lastOn(c, until int) int {
	if t.over == nil {
		t.findOver()
	}
	i, _ := slices.BinarySearch(t.over[c], until+1)
	if i == 0 {
		return 0
	}
	return t.over[c][i-1]
}

func (t *teller) findOver() {
	t.over = make([][]int, len(t.d.in.Subjects))
	for i := range t.d.result.Placed {
		p := &t.d.result.Placed[i]
		if a := &t.d.in.acts[p.Job][p.Stage]; a.Bench || a.Place {
			c := t.d.in.Jobs[p.Job].Subject
			t.over[c] = append(t.over[c], p.To)
		}
	}
	for i := range t.d.result.Visits {
		for _, it := range t.d.result.Visits[i].Items {
			t.over[it.Subject] = append(t.over[it.Subject], it.To)
		}
	}
	for _, list := range t.over {
		slices.Sort(list)
	}
}

// pushesOf lists what pushes a stage.
func (t *teller) pushesOf(p *Placed) pushes {
	w := pushes{act: &t.d.in.acts[p.Job][p.Stage], in: t.d.in, begins: p.From, placed: p, deeds: t.deeds, pieces: &t.pieces}
	w.list = t.d.ownPushes(p, t.ends)
	if w.act.Bench {
		w.addHands(p, t.deeds, t.busy, t.movedAt(p))
		w.addOpened(t.opened)
		if v := t.visitWith(p); v != None && t.d.result.Visits[v].moved() {
			w.addOthers(t.d.result.Visits[v].Items[0])
		}
	}
	return w
}

// movedAt is when the subject of a stage was put onto the place for it, where
// that takes no time and so is not listed: when the visit begins. Otherwise it is
// never.
func (t *teller) movedAt(p *Placed) int {
	if !t.d.in.HasPlace || t.d.in.Move > 0 {
		return never
	}
	if v := t.visitWith(p); v != None && t.d.result.Visits[v].OnPlace {
		return t.d.result.Visits[v].From
	}
	return never
}

// deeds lists what the hands do, in order of time.
func (d *decoder) deeds() []deed {
	var out []deed
	for i := range d.result.Placed {
		p := &d.result.Placed[i]
		if d.in.acts[p.Job][p.Stage].Hands {
			for _, piece := range p.Pieces {
				out = append(out, deed{Span: piece, job: p.Job})
			}
		}
	}
	for i := range d.result.Visits {
		for _, it := range d.result.Visits[i].Items {
			room := never
			if d.result.Visits[i].OnPlace {
				room = d.result.Visits[i].To
			}
			out = append(out, deed{it.Span, None, it, room})
		}
	}
	slices.SortStableFunc(out, func(a, b deed) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	return out
}

// ownPushes lists a stage's own times.
func (d *decoder) ownPushes(p *Placed, ends []int) []push {
	var out []push
	add := func(at int, kind Kind, of int) {
		out = append(out, push{moment: moment{at, Reason{kind, of, at}}})
	}
	job := &d.in.Jobs[p.Job]
	out = append(out, push{moment: moment{d.in.Now, Reason{Kind: ByNow}}})
	add(d.in.Subjects[job.Subject].Arrives, ByArrival, job.Subject)
	if p.Stage > 0 {
		add(ends[d.in.base[p.Job]+p.Stage-1], ByStage, p.Stage-1)
	} else {
		add(job.Release, ByRelease, None)
		for _, l := range job.After {
			add(d.prog[l.Job].end+l.Gap, ByJob, l.Job)
		}
	}
	if k := d.in.firstBench(p.Job); job.Pinned && p.Stage == max(0, k) {
		add(d.in.pinStart(p.Job), ByPin, None)
	}
	for _, t := range d.promisesOf(p) {
		switch t.Source {
		case Dated:
			add(t.At, ByLot, t.Material)
		case Freed:
			add(t.At, ByHarvest, t.Of)
		case Ordered:
			add(t.At, ByOrder, t.Material)
		}
	}
	for _, h := range d.in.holdFrom[d.in.acts[p.Job][p.Stage].id] {
		for _, t := range d.ledger.taken {
			if t.Source == Freed && d.in.holds[h].ends(t.Job, t.Stage) && (t.Job != p.Job || t.Stage > p.Stage) {
				add(t.At, ByChain, t.Material)
			}
		}
	}
	return out
}

// ends says whether a stage belongs to what ends a hold.
func (h *hold) ends(j, k int) bool {
	return (j == h.job || slices.Contains(h.chain, j)) && (j != h.untilJob || k <= h.untilAt)
}

// promisesOf lists the promises to a stage.
func (d *decoder) promisesOf(p *Placed) []Promise {
	list := d.result.Promises
	from, _ := slices.BinarySearchFunc(list, p, func(t Promise, p *Placed) int { return cmp.Or(t.Job-p.Job, t.Stage-p.Stage) })
	to := from
	for to < len(list) && list[to].Job == p.Job && list[to].Stage == p.Stage {
		to++
	}
	return list[from:to]
}

// addHands finds what leads up to a stage, and what the hands were at before.
func (w *pushes) addHands(p *Placed, deeds []deed, busy []int, movedAt int) {
	c := w.in.Jobs[p.Job].Subject
	n, _ := slices.BinarySearchFunc(deeds, p.From, func(x deed, t int) int { return cmp.Or(cmp.Compare(x.From, t), 1) })
	for i := n; i < len(deeds) && deeds[i].From == p.From && deeds[i].To == p.From; i++ {
		if x := &deeds[i]; x.leadsTo(c) || x.job == None && movedAt == p.From {
			n = i + 1
		}
	}
	for ; n > 0; n-- {
		x := &deeds[n-1]
		if x.From == p.From && x.To == p.From && movedAt != p.From && !x.leadsTo(c) {
			continue // it holds nothing up
		}
		if x.job == None && x.To > p.From { // it goes on beside a stage without the hands
			continue
		}
		w.moved = w.moved || w.begins == movedAt && !x.leadsTo(c)
		if x.job != None || w.moved && !x.makesRoom(c, p.From) || !w.moved && !x.leadsTo(c) {
			break
		}
		w.moved = w.moved || x.item.Kind == Move
		w.leads = append(w.leads, x.item)
		w.begins = x.From
	}
	slices.Reverse(w.leads)
	for n > 0 && deeds[n-1].From == p.From && deeds[n-1].To == p.From { // that takes no time of the hands
		n--
	}
	if n == 0 || !w.act.Hands && len(w.leads) == 0 {
		return
	}
	w.list = append(w.list, handsAfter(deeds[:n], busy[n], w.begins))
}

// handsAfter is the push of what the hands were at before, up to a time. What
// they still are at then, beside what takes no time of theirs, holds nothing up.
func handsAfter(before []deed, at, begins int) push {
	if at > begins {
		before = slices.DeleteFunc(slices.Clone(before), func(x deed) bool { return x.To > begins })
		at = 0
		for i := range before {
			at = max(at, before[i].To)
		}
	}
	for i := len(before) - 1; i >= 0; i-- {
		if before[i].job != None {
			return push{moment{at, Reason{ByHands, before[i].job, at}}, true}
		}
	}
	return push{moment{at, Reason{Kind: BySession, Until: at}}, true}
}

// addOpened finds what was opened for others that the stage needs open.
func (w *pushes) addOpened(opened [][]Item) {
	for _, a := range w.act.opens {
		for _, it := range slices.Backward(opened[a]) {
			if it.To <= w.placed.From {
				w.addOthers(it)
				break
			}
		}
	}
}

// addOthers adds overhead that is done for others, and that the stage has use
// of. It has no name of its own.
func (w *pushes) addOthers(it Item) {
	if it.To <= w.placed.From && !slices.Contains(w.leads, it) {
		w.list = append(w.list, push{moment{it.To, Reason{Kind: BySession, Until: it.To}}, false})
	}
}

// leadsTo says whether it is overhead that opens a subject or moves it.
func (x *deed) leadsTo(c int) bool {
	return x.job == None && x.item.Subject == c && (x.item.Kind == Open || x.item.Kind == Move)
}

// makesRoom says whether it is overhead that ends a visit which is in the way of
// a subject's being moved by a time: its own, or one on the place.
func (x *deed) makesRoom(c, by int) bool {
	return x.item.Kind != Open && x.item.Kind != Move && (x.item.Subject == c || x.room <= by)
}

// reason is what pushed the stage last: that without which it would start
// earlier. Where several push to the same time it is the first of them. What
// would start then in any case waits for a session, a helper or a tool.
func (w *pushes) reason(p *Placed) Reason {
	last, by := w.last(None), None
	for i, b := range w.list {
		if (by == None || b.at > w.list[by].at) && w.start(b.at, w.act.cal, w.leads) >= p.From {
			by = i
		}
	}
	switch {
	case by == None && w.joint(last) < p.From:
		return w.noted(p, last)
	case by == None:
		return w.together(p, last)
	case p.Why.Kind == ByPlace && w.start(last, w.act.cal, w.own(p)) < p.From:
		return p.Why
	case w.list[by].at <= w.in.Now && w.begins == w.in.Now:
		return Reason{Kind: ByNow}
	case w.list[by].at < w.begins && w.start(w.in.Now, w.act.cal, w.leads) >= p.From:
		return w.unhelped(p, last)
	case w.list[by].at < w.begins && w.list[by].why.Kind == BySession:
		return w.unhelped(p, last)
	case w.list[by].hands && p.Why.Until == w.list[by].at && p.Why.Kind.fromOthers() && p.Why.Kind != ByChain && (p.Why.Kind != ByPlace || w.moved):
		return p.Why
	case w.list[by].hands && p.passed.Until == w.list[by].at && p.passed.Kind == ByStuck:
		return p.passed
	}
	return w.list[by].why
}

// together is the last of the pushes that only together lead to the start: one
// comes while what leads up to the stage is going on already.
func (w *pushes) together(p *Placed, last int) Reason {
	by := None
	for i, b := range w.list {
		if (by == None || b.at > w.list[by].at) && b.why.Kind != BySession && w.joint(w.last(i)) < p.From {
			by = i
		}
	}
	if by == None {
		return w.unhelped(p, last)
	}
	return w.list[by].why
}

// fromOthers says whether a reason is in what else is going on.
func (k Kind) fromOthers() bool {
	switch k {
	case ByPlace, ByBlackout, ByStuck, ByChain, ByChainJob:
		return true
	}
	return false
}

// own is what leads up to the stage on its own subject.
func (w *pushes) own(p *Placed) []Item {
	c := w.in.Jobs[p.Job].Subject
	return slices.DeleteFunc(slices.Clone(w.leads), func(it Item) bool { return it.Subject != c })
}

// unhelped is the helper or the tool that a stage waits for, else the session.
func (w *pushes) unhelped(p *Placed, last int) Reason {
	a := w.act
	if a.Helpers > 0 && w.start(last, w.in.calendarWith(0, a.Tools, None), w.leads) < p.From {
		return Reason{Kind: ByHelper, Until: p.From}
	}
	for _, u := range a.Tools {
		if w.start(last, w.in.calendarWith(a.Helpers, a.Tools, u.Tool), w.leads) < p.From {
			return Reason{ByTool, u.Tool, p.From}
		}
	}
	return Reason{Kind: BySession, Until: w.begins}
}

// calendarWith is when so many helpers and some tools are there, but one of them.
func (in *instance) calendarWith(helpers int, tools []Use, but int) calendar {
	c := in.withHelpers(helpers)
	for _, u := range tools {
		if w := in.Tools[u.Tool].Windows; u.N > 0 && w != nil && u.Tool != but {
			c = c.cut(w)
		}
	}
	return c
}

// noted is what the decision noted where times do not account for the start, or
// the blackout after which it is the first chance. What would have kept the
// subject stuck is over when the stage starts, whenever it was looked at last.
func (w *pushes) noted(p *Placed, last int) Reason {
	r := w.fromOutside(p, last)
	if r.Kind != ByChain && r.Kind != ByChainJob {
		return r
	}
	idle := w.in.plain.minutes(r.Until, p.From)
	for _, x := range w.leads {
		idle -= w.in.plain.minutes(max(r.Until, x.From), x.To)
	}
	if idle > 0 {
		r.Until = p.From
	}
	return r
}

// fromOutside is that reason with the time at which it was looked at.
func (w *pushes) fromOutside(p *Placed, last int) Reason {
	if p.held.Until <= p.From && p.held.Kind != BySession && p.held.Until > 0 {
		return p.held
	}
	if p.Why.outside() {
		return p.Why
	}
	c := w.in.Jobs[p.Job].Subject
	for _, b := range slices.Backward(w.in.Subjects[c].Blackouts) {
		if last < b.To && b.To <= p.From && w.start(b.To, w.act.cal, w.leads) >= p.From {
			return Reason{ByBlackout, c, b.To}
		}
	}
	if p.passed.outside() {
		return p.passed
	}
	return p.Why
}

// outside says whether a reason is none of the stage's times or the hands.
func (r Reason) outside() bool {
	return r.Kind.fromOthers() || r.Kind == ByHelper || r.Kind == ByTool || r.Kind == ByPin && r.Of != None
}

// start is the earliest start of the stage when what leads up to it begins no
// earlier than t, as far as a calendar goes. What began before t is as it is.
func (w *pushes) start(t int, cal calendar, leads []Item) int {
	if !w.act.Bench {
		return t
	}
	for i := range leads {
		it := &leads[i]
		if it.From < t {
			continue
		}
		t += w.in.calendarOf(it).wait(Span{t, t + it.To - it.From}) + it.To - it.From
	}
	s, _ := w.fit(t, cal)
	return s.From
}

// joint is the earliest start of the stage when all that pushes it is over at t:
// what began before that goes on until it ends.
func (w *pushes) joint(t int) int {
	at := t
	for i := range w.leads {
		if w.leads[i].From < t {
			at = max(at, w.leads[i].To)
		}
	}
	return w.start(at, w.act.cal, w.leads)
}

// last is when the last of the pushes is over, but one.
func (w *pushes) last(but int) int {
	at := 0
	for i := range w.list {
		if i != but {
			at = max(at, w.list[i].at)
		}
	}
	return at
}

// inOthersTime says whether pieces of the stage after a pause would take the
// hands from what they do by then.
func (w *pushes) inOthersTime(pieces []Span) bool {
	if !w.act.Hands {
		return false
	}
	for _, piece := range pieces[1:] {
		i, _ := slices.BinarySearchFunc(w.deeds, piece.From, func(x deed, t int) int { return cmp.Compare(x.To, t+1) })
		for ; i < len(w.deeds) && w.deeds[i].From < piece.To; i++ {
			if x := &w.deeds[i]; x.From < x.To && x.job != w.placed.Job && x.overlaps(piece) && x.From >= w.placed.From {
				return true
			}
		}
	}
	return false
}

// fit is the earliest stretch of the stage from a time on, and its pieces, as
// far as a calendar goes. To begin earlier and end later is not earlier, nor is to
// take the hands from what comes after.
func (w *pushes) fit(t int, cal calendar) (Span, []Span) {
	if !w.act.Bench {
		return Span{t, w.act.ends(t)}, nil
	}
	a := *w.act
	a.cal = cal
	for i := cal.at(t); i < len(cal); i++ {
		for from := max(t, cal[i].From); from < cal[i].To; from++ {
			pieces, _, ok := a.cut((*w.pieces)[:0], a.Minutes, i, from, nil)
			if *w.pieces = pieces; !ok {
				continue
			}
			s := Span{pieces[0].From, pieces[len(pieces)-1].To}
			if s.From >= w.placed.From || s.To <= w.placed.To && !w.inOthersTime(pieces) {
				return s, pieces
			}
		}
	}
	return Span{never, never}, nil
}

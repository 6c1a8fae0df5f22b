package schedule

import (
	"cmp"
	"slices"
)

// Shortening. Overhead costs the same whenever it is done, and in a row of strokes
// it stands wherever there was time: a car may be opened in the rest of a session
// weeks before its work, and closed up weeks after. Nobody wants it in pieces, or
// on the place, that long for nothing. So in the finished schedule what leads up to
// work is put off to the last session with room for it, and what ends work is
// brought forward to the first. Within a session it is done as soon as the hands
// are free. No stage moves for that.

// shortener moves overhead about in a finished schedule.
type shortener struct {
	d       *decoder
	idle    []Span   // when the hands do nothing
	stuck   []ofWhom // when subjects cannot be moved
	subject int
	stages  []Placed // of the subject, in order of time
	items   []Item   // what is moved, opened and closed on it, in order of time
	changes int
}

// shortenRounds is how often all of it is looked at: what one piece leaves free may
// be room for another.
const shortenRounds = 4

// shorten lets subjects be in pieces and on the place no longer than need be, and
// says whether there was something to do.
func (d *decoder) shorten() bool {
	d.putOffUnlisted()
	g := d.findGaps()
	s := shortener{d: d, idle: g.idle, stuck: g.stuck}
	stages, items := d.onSubjects()
	for range shortenRounds {
		was := s.changes
		for s.subject = range d.in.Subjects {
			s.stages, s.items = stages[s.subject], items[s.subject]
			s.bringForward()
			s.putOff()
			items[s.subject] = s.items
		}
		if s.changes == was {
			break
		}
	}
	if s.changes > 0 {
		d.result.sortVisits()
		d.leaveOutIdleMoves()
	}
	return s.changes > 0
}

// onSubjects lists the stages and the overhead of every subject, in order of time.
func (d *decoder) onSubjects() (stages [][]Placed, items [][]Item) {
	stages, items = make([][]Placed, len(d.in.Subjects)), make([][]Item, len(d.in.Subjects))
	for _, p := range d.result.Placed {
		c := d.in.Jobs[p.Job].Subject
		stages[c] = append(stages[c], p)
	}
	for i := range d.result.Visits {
		v := &d.result.Visits[i]
		items[v.Subject] = append(items[v.Subject], v.Items...)
	}
	for _, list := range items {
		slices.SortStableFunc(list, func(a, b Item) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	}
	return stages, items
}

// putOffUnlisted puts off moves that take no time: they are not listed, and a visit
// on the place begins with one.
func (d *decoder) putOffUnlisted() {
	for i := range d.result.Visits {
		if v := &d.result.Visits[i]; v.OnPlace && d.in.Move == 0 {
			d.fitVisit(v)
		}
	}
}

// fitVisit lets a visit begin and end with what is done in it. It says whether
// anything is.
func (d *decoder) fitVisit(v *Visit) bool {
	done := d.doneIn(v)
	if done.From == never {
		return false
	}
	v.Span = done
	return true
}

// doneIn is the stretch in which something is done in a visit; it begins never where
// nothing is.
func (d *decoder) doneIn(v *Visit) Span {
	done := Span{never, 0}
	for _, it := range v.Items {
		done = Span{min(done.From, it.From), max(done.To, it.To)}
	}
	for i := range d.result.Placed {
		if p := &d.result.Placed[i]; d.in.partOf(p, v) {
			done = Span{min(done.From, p.From), max(done.To, p.To)}
		}
	}
	return done
}

// bringForward brings what is closed and finished forward, the first of it first.
func (s *shortener) bringForward() {
	for _, it := range slices.Clone(s.items) {
		if it.Kind != Close && it.Kind != Finish {
			continue
		}
		from := s.overBy(it)
		if from >= it.From {
			continue
		}
		if to, ok := s.firstRoom(it, from, it.From); ok && s.mayMove(it, Span{to.From, it.From}) {
			s.shift(it, to)
		}
	}
}

// putOff puts off what is moved and opened, the last of it first, and then closes
// up to one another what was put off to the same session.
func (s *shortener) putOff() {
	var later []Item
	for _, it := range slices.Backward(slices.Clone(s.items)) {
		before := s.wanted(it)
		if it.Kind != Move && it.Kind != Open || s.d.in.session(before) <= s.d.in.session(it.From) {
			continue
		}
		to, ok := s.lastRoom(it, before)
		switch {
		case !ok || s.d.in.session(to.From) <= s.d.in.session(it.From) || !s.mayMove(it, Span{it.From, before}):
		case it.Kind == Move:
			later = append(later, s.shift(it, to))
		default:
			later = append(later, s.putOffOpening(it, to))
		}
	}
	for _, it := range slices.Backward(later) {
		from := max(s.overBy(it), s.d.in.plain[s.d.in.session(it.From)].From)
		if to, ok := s.firstRoom(it, from, it.From); ok {
			s.shift(it, to)
		}
	}
}

// overBy is when the last thing on the subject is over that comes before a piece of
// overhead.
func (s *shortener) overBy(it Item) (at int) {
	for i := range s.stages {
		if p := &s.stages[i]; p.From < it.From {
			at = max(at, min(p.To, it.From))
		}
	}
	for _, o := range s.items[:slices.Index(s.items, it)] {
		at = max(at, o.To)
	}
	return at
}

// wanted is when what comes next on the subject begins or, of an opening, what
// needs it.
func (s *shortener) wanted(it Item) int {
	at := never
	for i := range s.stages {
		p := &s.stages[i]
		if p.From >= it.To && p.From < at && (it.Kind == Move || slices.Contains(s.d.in.acts[p.Job][p.Stage].opens, it.Of)) {
			at = p.From
		}
	}
	for _, o := range s.items[slices.Index(s.items, it)+1:] {
		if it.Kind == Move || o.Kind == Close && o.Of == it.Of || o.Kind == Open && slices.Contains(s.d.in.Setups[o.Of].Inside, it.Of) {
			return min(at, o.From)
		}
	}
	return at
}

// mayMove says whether nothing comes of overhead being done at the other end of a
// stretch: the subject has not to be whole meanwhile and is not stuck, which an
// opening does not mind, and no missed pin could be kept.
func (s *shortener) mayMove(it Item, over Span) bool {
	in := s.d.in
	return !slices.ContainsFunc(in.Subjects[s.subject].Blackouts, over.overlaps) &&
		(it.Kind == Open || !slices.ContainsFunc(s.stuck, func(o ofWhom) bool { return o.subject == s.subject && o.overlaps(over) })) &&
		!slices.ContainsFunc(s.d.result.Missed, func(m Missed) bool {
			pin := in.Jobs[m.Job].Pin
			return in.session(over.From) <= pin && pin <= in.session(over.To)
		})
}

// inTheWay is the stage of the subject that is under way at some time in a stretch.
// One that was when the overhead was done before is none.
func (s *shortener) inTheWay(it Item, at Span) *Placed {
	for i := range s.stages {
		if p := &s.stages[i]; p.overlaps(at) && !(p.From < it.From && it.From < p.To) {
			return p
		}
	}
	return nil
}

// lastRoom is the last stretch before a time in which the hands can do a piece of
// overhead.
func (s *shortener) lastRoom(it Item, before int) (at Span, ok bool) {
	length := it.To - it.From
	if length == 0 {
		i := s.d.in.session(before)
		return Span{before, before}, i < len(s.d.in.plain) && s.d.in.plain[i].From <= before
	}
	for _, free := range slices.Backward(s.idle) {
		if free.To <= it.To {
			break
		}
		for to := min(free.To, before); to-length >= free.From; {
			at := Span{to - length, to}
			p := s.inTheWay(it, at)
			if p == nil {
				return at, true
			}
			to = p.From
		}
	}
	return Span{}, false
}

// firstRoom is the first stretch from a time on, and before another, in which the
// hands can do a piece of overhead.
func (s *shortener) firstRoom(it Item, from, before int) (at Span, ok bool) {
	length := it.To - it.From
	from = max(from, s.d.in.Subjects[s.subject].Arrives)
	if length == 0 {
		i := s.d.in.session(from)
		return Span{from, from}, from < before && i < len(s.d.in.plain) && s.d.in.plain[i].From <= from && s.inTheWay(it, Span{from, from + 1}) == nil
	}
	for _, free := range s.idle {
		for t := max(from, free.From); t < before && t+length <= free.To; {
			at := Span{t, t + length}
			if p := s.inTheWay(it, at); p != nil {
				t = p.To
			} else if t = s.helpersFree(it, at); t == at.From {
				return at, true
			}
		}
	}
	return Span{}, false
}

// helpersFree is from when on overhead has its helpers, where it is not done when
// it is.
func (s *shortener) helpersFree(it Item, at Span) int {
	if it.Kind != Finish || s.d.in.Closings[it.Of].Helpers == 0 {
		return at.From
	}
	if wait := s.d.in.calendarOf(&it).wait(at); wait > 0 {
		return at.From + wait
	}
	b := s.d.bookedBut(nil, []Item{it})
	return b.helpersFree(s.d.in.Closings[it.Of].Helpers, at)
}

// shift does a piece of overhead at another time, with nothing else on the subject
// in between. It is left where it is when somebody else may be on the place then.
func (s *shortener) shift(it Item, to Span) Item {
	i, k := s.visitOf(it)
	v := &s.d.result.Visits[i]
	if to.From < v.From && v.OnPlace && s.d.in.Move == 0 && !s.held(it) {
		if !s.needsNoPlace(v) {
			return it
		}
		v.OnPlace = false
	}
	is := it
	is.Span = to
	v.Items[k] = is
	s.d.fitVisit(v)
	s.items[slices.Index(s.items, it)] = is
	s.changed()
	return is
}

// held says whether the subject cannot have left the place before a piece of
// overhead.
func (s *shortener) held(it Item) bool { return it.Kind == Close && !s.d.in.stays[it.Of] }

// needsNoPlace says whether a visit might as well be off the place.
func (s *shortener) needsNoPlace(v *Visit) bool {
	return !slices.ContainsFunc(v.Items, s.held) && !slices.ContainsFunc(s.stages, func(p Placed) bool { return s.d.in.partOf(&p, v) })
}

// putOffOpening opens something later.
func (s *shortener) putOffOpening(it Item, to Span) Item {
	i, k := s.visitOf(it)
	v := &s.d.result.Visits[i]
	if v.Items = slices.Delete(v.Items, k, k+1); !s.d.fitVisit(v) {
		s.d.result.Visits = slices.Delete(s.d.result.Visits, i, i+1)
	}
	is := it
	is.Span = to
	s.open(is)
	k = slices.Index(s.items, it)
	s.items = insertItem(slices.Delete(s.items, k, k+1), is)
	s.changed()
	return is
}

// changed looks at what the hands do anew.
func (s *shortener) changed() { s.idle, s.changes = s.d.idleSpans(), s.changes+1 }

// visitOf is where a piece of overhead is listed.
func (s *shortener) visitOf(it Item) (visit, item int) {
	for i := range s.d.result.Visits {
		if v := &s.d.result.Visits[i]; v.Subject == s.subject {
			if k := slices.Index(v.Items, it); k >= 0 {
				return i, k
			}
		}
	}
	return None, None
}

// open writes an opening into the visit in whose time it falls, into the next one
// if its subject is where that takes place, or into a visit of its own off the
// place.
func (s *shortener) open(it Item) {
	var in, before, next *Visit
	for i := range s.d.result.Visits {
		switch v := &s.d.result.Visits[i]; {
		case v.Subject != s.subject:
		case v.From <= it.From && it.To <= v.To:
			in = v
		case v.To <= it.From && (before == nil || before.To <= v.From):
			before = v
		case it.To <= v.From && (next == nil || v.To <= next.From):
			next = v
		}
	}
	stays := before != nil && before.OnPlace && s.d.in.Move > 0
	switch {
	case in != nil:
		in.Items = insertItem(in.Items, it)
	case next != nil && (!next.OnPlace || stays && !next.moved()):
		next.From, next.Items = it.From, insertItem(next.Items, it)
	default:
		s.d.result.Visits = append(s.d.result.Visits, Visit{Subject: s.subject, Span: it.Span, Items: []Item{it}})
	}
}

// insertItem puts overhead before all that is not done earlier.
func insertItem(list []Item, it Item) []Item {
	k := slices.IndexFunc(list, func(o Item) bool { return it.To <= o.From })
	if k == None {
		k = len(list)
	}
	return slices.Insert(list, k, it)
}

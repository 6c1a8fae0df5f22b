package schedule

import "slices"

// expand tries all strokes that could come next.
func (s *labels) expand(l *label) {
	in := s.in
	for _, j := range s.order {
		s.tryBlock(l, j)
	}
	for c := range in.Subjects {
		s.tryMoves(l, c)
		for _, a := range in.setups[c] {
			if l.key.open>>a&1 == 0 {
				s.tryOpen(l, a)
			} else {
				s.tryClose(l, a)
			}
		}
		for _, f := range in.closings[c] {
			s.tryFinish(l, f)
		}
	}
}

// tryBlock tries the next block of a job, as early as it can be and, where that
// may be of use, later.
func (s *labels) tryBlock(l *label, j int) {
	b := s.blockOf(l, j)
	if b == None {
		return
	}
	in, x := s.in, &s.in.blocks[b]
	c := x.subject
	if x.place && l.key.onPlace>>c&1 == 0 || l.key.ending>>c&1 > 0 || !s.mayBegin(l, x) {
		return
	}
	for k := x.from; k < x.to; k++ {
		for _, a := range in.acts[j][k].opens {
			if l.key.open>>a&1 == 0 {
				return
			}
		}
	}
	from, ok := s.readyFor(l, x)
	if !ok {
		return
	}
	if !s.calledAgain(l, x) {
		s.layBlock(l, b, from)
	}
	s.later(c, from, func(t int) { s.layBlock(l, b, t) })
}

// calledAgain says whether a block calls for all the closing work that was done
// last on its subject, where that still stands: then it could have been left for later.
func (s *labels) calledAgain(l *label, x *block) bool {
	var calls uint64
	for k := x.from; k < x.to; k++ {
		for _, f := range s.in.acts[x.job][k].Closings {
			calls |= 1 << f
		}
	}
	if calls &^= l.key.owed; calls == 0 {
		return false
	}
	c, ended := x.subject, uint64(0)
	for at := l.t; l.before != nil; at, l = l.did.From, l.before {
		k := &l.did
		switch {
		case s.parts(k, c, at):
			return false
		case k.kind == toFinish && k.subject == c:
			if ended |= 1 << k.of; l.before.key.ending>>c&1 == 0 {
				return ended&^calls == 0
			}
		}
	}
	return false
}

// mayBegin says whether all before a block is done, and no other stuck subject
// is in its way.
func (s *labels) mayBegin(l *label, x *block) bool {
	if x.from == s.firstOf(x.job) && s.waitsFor(l, x.job) != None {
		return false
	}
	if !x.sticks || !s.in.HasPlace {
		return true
	}
	for o := range s.in.Subjects {
		if o != x.subject && l.key.onPlace>>o&1 > 0 && s.stuck(l, o) != None {
			return false
		}
	}
	return true
}

// firstOf is the stage that a job's first block begins with.
func (s *labels) firstOf(j int) int { return s.in.blocks[s.in.blocksOf[j].From].from }

// readyFor is when a block may start as far as its own times go.
func (s *labels) readyFor(l *label, x *block) (from int, ok bool) {
	in := s.in
	from = max(l.t, l.times[x.job], in.Subjects[x.subject].Arrives)
	if x.sticks && in.HasPlace {
		for o := range in.Subjects {
			if o != x.subject && l.key.onPlace>>o&1 > 0 {
				from = max(from, l.times[s.subjAt+o])
			}
		}
	}
	if k := max(0, in.firstBench(x.job)); in.Jobs[x.job].Pinned && k >= x.from && k < x.to {
		from = max(from, in.pinStart(x.job))
	}
	if l.key.next[x.job] == 0 && !s.promise(l, x.job) {
		return 0, false
	}
	freed := from
	if l.key.next[x.job] == 0 && slices.ContainsFunc(in.acts[x.job], func(a act) bool { return a.Hold == From || a.Hold == Within }) {
		freed = max(from, s.freedAt)
	}
	first, at := s.suppliedFor(l, x)
	if at > max(first, freed) { // what is tied to it might do with less
		s.doubt(l)
	}
	if h := s.stuck(l, x.subject); h != None && at > in.Now && in.holds[h].job != x.job && slices.Contains(in.holds[h].chain, x.job) {
		s.doubt(l) // it might sit and wait
		return 0, false
	}
	return s.unheld(l, x, max(freed, at))
}

// doubt notes that something might come of a label that is not tried.
func (s *labels) doubt(l *label) {
	if l.lowLate < s.doubtLate || l.lowLate == s.doubtLate && l.lowScore < s.doubtScore {
		s.doubtLate, s.doubtScore = l.lowLate, l.lowScore
	}
}

// sure says whether nothing that was not tried could cost less than the best known.
func (s *labels) sure() bool {
	if s.in.blackouts && s.blocks > fewBlocks {
		return false // see later
	}
	return s.doubtLate > s.late || s.doubtLate == s.late && s.doubtScore >= s.score
}

// suppliedFor is when the materials of a block's first stage are there, and those
// of all its stages.
func (s *labels) suppliedFor(l *label, x *block) (first, at int) {
	for k := x.from; k < x.to; k++ {
		if slot := s.stageAt[s.in.acts[x.job][k].id]; l.key.next[x.job] == 0 {
			at = max(at, s.supplyAt[k])
		} else if slot != None {
			at = max(at, l.times[slot])
		}
		if k == x.from {
			first = at
		}
	}
	return first, at
}

// promise takes what a job needs and notes in supplyAt when it is there, and in
// freedAt when what other jobs free for it is. It says whether there is enough.
func (s *labels) promise(l *label, j int) bool {
	in := s.in
	s.supplyAt, s.freedAt = s.supplyAt[:0], 0
	for k := range in.acts[j] {
		at := in.Now
		for i, need := range in.acts[j][k].Needs {
			t, ok := s.take(l, j, need.Material, s.takenBefore(l, j, k, i, need.Material), need.Qty)
			if !ok {
				return false
			}
			at = max(at, t)
		}
		s.supplyAt = append(s.supplyAt, at)
	}
	return true
}

// takenBefore is how much of a material is promised to the jobs begun and to a
// job's own needs before one.
func (s *labels) takenBefore(l *label, j, k, i, m int) (n int) {
	for _, o := range s.in.needers[m] {
		if o != j && s.placed[o] && l.key.next[o] > 0 {
			n += s.in.need(o, m)
		}
	}
	for q := range k + 1 {
		for p, need := range s.in.acts[j][q].Needs {
			if need.Material == m && (q < k || p < i) {
				n += need.Qty
			}
		}
	}
	return n
}

// take is when so much of a material is there after so much that is taken.
func (s *labels) take(l *label, j, m, taken, want int) (at int, ok bool) {
	mat := &s.in.Materials[m]
	at = s.in.Now
	lot := func(n, t int) {
		skip := min(taken, n)
		taken -= skip
		if got := min(want, n-skip); got > 0 {
			want -= got
			at = max(at, t)
		}
	}
	lot(mat.OnHand, s.in.Now)
	for _, x := range mat.Lots {
		if x.Job == None {
			lot(x.Qty, x.At)
		}
	}
	freed, waits := s.freedLots(l, j, mat)
	for _, x := range freed {
		before := want
		if lot(x.Qty, x.At); want < before {
			s.freedAt = max(s.freedAt, x.At)
		}
	}
	switch {
	case want == 0:
		return at, true
	case waits || !mat.Orderable:
		return 0, false
	}
	return max(at, mat.OrderAt), true
}

// freedLots lists what jobs have freed, the first first, and says whether one is
// still to free some.
func (s *labels) freedLots(l *label, j int, mat *Material) (out []Lot, waits bool) {
	for _, x := range mat.Lots {
		if x.Job == None || x.Job == j || !s.placed[x.Job] {
			continue
		}
		if !s.done(l, x.Job) {
			waits = true
			continue
		}
		out = append(out, Lot{Qty: x.Qty, At: l.times[s.endAt[x.Job]], Job: x.Job})
	}
	slices.SortStableFunc(out, func(a, b Lot) int { return a.At - b.At })
	return out, waits
}

// mostWaits is how many blackouts to come the hands may wait for with a stroke and do
// nothing else until they are over, where there are no more than fewBlocks to be done.
const (
	mostWaits = 6
	fewBlocks = 10
)

// later calls for the next blackouts of a subject with when each is over: something
// may be better done after it. What makes the subject stuck may have to wait for a
// longer time without one.
func (s *labels) later(c, from int, try func(t int)) {
	n := 1
	switch {
	case s.blocks <= fewBlocks:
		n = mostWaits
	case len(s.in.holdsOf[c]) > 0:
		n = 3
	}
	for _, b := range s.in.Subjects[c].Blackouts {
		if b.To > from && n > 0 {
			n--
			try(b.To)
		}
	}
}

// unheld is when a block can start that makes its subject stuck, so that the rest
// of its job does not wait for material then. Other blocks start when they may.
func (s *labels) unheld(l *label, x *block, from int) (int, bool) {
	for k := x.from; k < x.to; k++ {
		if h := s.in.holdFrom[s.in.acts[x.job][k].id]; len(h) > 0 {
			hold, last := &s.in.holds[h[0]], len(s.in.acts[x.job])-1
			if hold.untilJob == x.job {
				last = hold.untilAt
			}
			return s.unheldUntil(l, x, last, from)
		}
	}
	return from, true
}

func (s *labels) unheldUntil(l *label, x *block, last, from int) (int, bool) {
	supplied := func(k int) int {
		if l.key.next[x.job] == 0 {
			return s.supplyAt[k]
		}
		if slot := s.stageAt[s.in.base[x.job]+k]; slot != None {
			return l.times[slot]
		}
		return 0
	}
	at, ok := s.in.startUnheld(x, last, from, supplied)
	if !ok || at != from {
		s.doubt(l)
	}
	return at, ok
}

// fit is where a block lies that starts no earlier than a time: outside the
// blackouts of its subject, and in the session to which it is pinned.
func (s *labels) fit(x *block, from int) (Span, bool) {
	acts := s.in.acts[x.job][x.from:x.to]
	for from < never {
		at, ok := s.fitOnce(acts, from)
		if !ok {
			return at, false
		}
		if at.To < 0 { // tied stages that do not follow at once
			from = at.From
			continue
		}
		if b, hit := s.blackout(x.subject, at); hit {
			from = b.To
			continue
		}
		if j := &s.in.Jobs[x.job]; j.Pinned && j.Pin != None {
			if k := max(0, s.in.firstBench(x.job)); k >= x.from && k < x.to && at.From >= s.in.Sessions[j.Pin].To {
				return at, false
			}
		}
		return at, true
	}
	return Span{}, false
}

// fitOnce lays stages out one directly after the other; To is negative where the
// later ones do not follow, and From then when to begin instead.
func (s *labels) fitOnce(acts []act, from int) (at Span, ok bool) {
	for i := range acts {
		a := &acts[i]
		s.pieces, ok = a.fit(s.pieces[:0], a.Minutes, from, a.cal.at(from), nil)
		if !ok {
			return at, false
		}
		first, last := s.pieces[0], s.pieces[len(s.pieces)-1]
		for p := 1; p < len(s.pieces); p++ {
			s.skips = s.skips || s.in.nextSession(s.pieces[p-1].To-1) < s.pieces[p].From
		}
		if i == 0 {
			at.From = first.From
		} else if here := s.in.session(from - 1); s.in.session(first.To-1) != here {
			return Span{s.in.nextSession(at.From), -1}, true
		} else if first.From != from { // so that what is left of it is not too short
			return Span{at.From + first.From - from, -1}, true
		}
		from = last.To
	}
	at.To = from
	return at, true
}

// blackout is the first blackout of a subject that meets a stretch.
func (s *labels) blackout(c int, at Span) (Span, bool) {
	for _, b := range s.in.Subjects[c].Blackouts {
		if b.From < at.To && b.To > at.From {
			return b, true
		}
	}
	return Span{}, false
}

// layBlock adds a block that starts no earlier than a time.
func (s *labels) layBlock(l *label, b, from int) {
	x := &s.in.blocks[b]
	s.skips = false
	at, ok := s.fit(x, from)
	if s.skips { // something else might be done in between
		s.doubt(l)
	}
	if !ok {
		return
	}
	k := stroke{toBlock, b, x.subject, at}
	if s.outOfTurn(l, &k) {
		return
	}
	n := s.after(l, k)
	if !s.passed(n, l.t, at.From) || x.place && n.key.onPlace>>x.subject&1 == 0 {
		return
	}
	if l.key.next[x.job] == 0 {
		for k, t := range s.supplyAt {
			if slot := s.stageAt[s.in.base[x.job]+k]; slot != None {
				n.times[slot] = t
			}
		}
	}
	n.key.next[x.job]++
	n.blocks++
	n.t = at.To
	for k := x.from; k < x.to; k++ {
		a := &s.in.acts[x.job][k]
		for _, f := range a.Closings {
			n.key.owed |= 1 << f
		}
		if slot := s.stageAt[a.id]; slot != None {
			n.times[slot] = 0
		}
		if k == x.from {
			moved := s.in.moved(a, at.From) + s.in.overtaken(a, &n.latest)
			n.score += moved
			n.late = addUpTo(n.late, s.in.stayedLate(moved))
		}
	}
	n.times[x.job] = at.To
	if s.runClocks(n, x.job, x.to) {
		s.goOn(n, at)
	}
}

// goOn moves the hands on after a stroke and queues the label.
func (s *labels) goOn(n *label, at Span) {
	n.t = never
	if t, ok := s.in.plain.from(at.To); ok {
		n.t = t
	}
	if n.t < never && s.passed(n, at.From, n.t) || n.t >= never && n.blocks == s.blocks {
		if n.t >= never {
			n.t = at.To
		}
		s.push(n)
	}
}

// runClocks runs the clock stages of a job that come next, and ends it where
// nothing else comes. It says whether a stuck subject does not wait in them.
func (s *labels) runClocks(n *label, j, k int) bool {
	in, t := s.in, n.times[j]
	acts := in.acts[j]
	for ; k < len(acts) && in.blockAt[acts[k].id] == None; k++ {
		a := &acts[k]
		if slot := s.stageAt[a.id]; slot != None {
			if n.times[slot] > t {
				if s.stuck(n, in.Jobs[j].Subject) != None || len(in.holdUntil[a.id]) > 0 {
					return false
				}
				t = n.times[slot]
			}
			n.times[slot] = 0
		}
		t = a.ends(t)
		if len(in.holdUntil[a.id]) > 0 {
			i := s.subjAt + in.Jobs[j].Subject
			n.times[i] = max(n.times[i], t)
		}
	}
	n.times[j] = t
	return k < len(acts) || s.ended(n, j, t)
}

// ended counts a job that has come to its end and lets those go on that waited
// for it.
func (s *labels) ended(n *label, j, end int) bool {
	job := &s.in.Jobs[j]
	n.late = addUpTo(n.late, job.Late(end))
	n.score += job.Weight * int64(end-s.in.Now)
	if i := s.endAt[j]; i != None {
		n.times[i] = end
	}
	for _, x := range s.in.next[j] {
		if o := x.Job; s.placed[o] {
			n.times[o] = max(n.times[o], end+x.Gap)
			if s.in.blockAt[s.in.base[o]] == None && s.waitsFor(n, o) == None && !s.runClocks(n, o, 0) {
				return false
			}
		}
	}
	return true
}

package schedule

import (
	"math"
	"slices"
)

// Small schedules are gone through stroke by stroke (stroke.go). A label is one
// beginning of a row of strokes. Labels are taken up by how many blocks they have
// done and, of those with the same number, the one first that may end best: some of
// each number, then again and more of those that are left, so that good rows are
// known early. A label is dropped when another has done the same and is nowhere
// later nor dearer, when it cannot end below the best cost known (label_bound.go),
// or when the same comes of another order (label_turn.go). When none is left the
// best row is the best there is, as far as strokes go.

// mostJobs is how many jobs a label can tell apart, and mostBlocks how many blocks
// there may be so that going through them comes to an end in good time.
const (
	mostJobs   = 40
	mostBlocks = 40
)

// labelKey is what has been done, whatever the times.
type labelKey struct {
	next    [mostJobs]uint8 // by job: how many of its blocks
	onPlace uint32          // subjects
	ending  uint32          // subjects whose closing work has begun
	open    uint64          // setups
	owed    uint64          // closings
}

// label is one beginning.
type label struct {
	key         labelKey
	t           int   // when the hands are free, in a session
	late, score int64 // as a Cost counts them in drafts
	times       []int // see labels.slots
	latest      int   // when the stages of the next session were that have come
	before      *label
	did         stroke
	blocks      int // done
	dead        bool

	lowLate, lowScore int64 // it cannot end below
}

// labels is a search through them.
type labels struct {
	in     *instance
	like   *decoder
	placed []bool // by job: whether it has a place at all
	lazy   []bool // by subject: whether it may be put right at the end as well as sooner
	order  []int  // the jobs with a place, prerequisites first

	// Slots of label.times: by job, when its next block may start; by subject, until when something on it runs; by stage
	// with needs but a job's first, when they are there; by job that frees material, when it ended.
	slots, subjAt int
	stageAt       []int // by stage id
	endAt         []int // by job

	work   workTime
	rest   []restOf // by stage id
	ends   []int    // to reckon with, by job
	late   int64    // the cost to stay below
	score  int64
	best   *label
	known  map[labelKey][]*label
	queues []labelHeap // by blocks done
	made   int         // labels tried
	most   int         // to be tried at most

	doubtLate, doubtScore int64 // what was not tried cannot end below

	skips    bool // a block just laid out leaves out a session
	short    bool // for some label the sessions did not do to put everything right
	pieces   []Span
	supplyAt []int // of the block under trial, by stage of its job
	freedAt  int
	fresh    []label
	freshAt  []int
	spare    []*label
	blocks   int        // to be done
	needed   []needs    // by block: from it on
	needs    []needs    // by block: for itself
	slotted  [][]int    // by job: its stages with a slot
	ways     []way      // see through
	rivals   []uint64   // by job: those that need the same materials, and itself
	supplies []supplyBy // see supplyFor
	todo     []todo
	left     []leftOf
	owing    []owing
	lateIn   [][]int64 // by job with a price for lateness: what it costs to end in each session
	opening  []int     // by setup: how many jobs need it opened
	moving   []int     // by subject: how many jobs need it put onto the place
	unit     int64     // of all weights
}

// restOf is what is left of a job from a stage on: all minutes, those of the
// hands, and those after the hands' last.
type restOf struct{ all, hands, tail int }

// needs is what some blocks need: the place, setups, closing work.
type needs struct {
	place      bool
	open, call uint64
}

// labelHeap has the label first that may end best. What is to come costs somewhat
// more than its bound.
type labelHeap []queued

type queued struct {
	late, score int64 // it may end near
	t           int
	*label
}

func (q *queued) before(o *queued) bool {
	if q.late != o.late {
		return q.late < o.late
	}
	return q.score < o.score || q.score == o.score && q.t < o.t
}

func (h *labelHeap) push(l *label) {
	*h = append(*h, queued{l.lowLate, l.lowScore + (l.lowScore-l.score)/4, l.t, l})
	q := *h
	for i := len(q) - 1; i > 0; {
		up := (i - 1) / 2
		if !q[i].before(&q[up]) {
			break
		}
		q[i], q[up] = q[up], q[i]
		i = up
	}
}

func (h *labelHeap) pop() *label {
	q := *h
	first, last := q[0].label, len(q)-1
	q[0] = q[last]
	q[last] = queued{}
	q = q[:last]
	*h = q
	for i := 0; ; {
		down := 2*i + 1
		if down >= len(q) {
			return first
		}
		if down+1 < len(q) && q[down+1].before(&q[down]) {
			down++
		}
		if !q[down].before(&q[i]) {
			return first
		}
		q[i], q[down] = q[down], q[i]
		i = down
	}
}

// labelled says whether labels know all that there is in an instance, as one
// schedule of it stands.
func (in *instance) labelled(like *decoder) bool {
	if in.aside || len(like.result.Missed) > 0 || len(in.Jobs) > mostJobs || len(in.Subjects) > 32 || len(in.Setups) > 64 || len(in.Closings) > 64 || !in.plainly(like) {
		return false
	}
	blocks := 0
	for j := range in.Jobs {
		if !like.prog[j].done {
			continue
		}
		if blocks += in.blocksOf[j].To - in.blocksOf[j].From; blocks > mostBlocks {
			return false
		}
		for k := range in.acts[j] {
			a := &in.acts[j][k]
			if !a.Bench && (a.heavy || len(a.Tools) > 0 || len(a.Needs) > 0 && !in.acts[j][0].Bench) {
				return false
			}
		}
	}
	return true
}

// newLabels begins at now, to stay below the cost of a schedule.
func newLabels(in *instance, like *decoder) *labels {
	s := &labels{
		in: in, like: like, placed: make([]bool, len(in.Jobs)), stageAt: make([]int, in.stages), endAt: make([]int, len(in.Jobs)),
		rest: make([]restOf, in.stages), ends: make([]int, len(in.Jobs)), known: map[labelKey][]*label{}, doubtLate: math.MaxInt64, needed: make([]needs, len(in.blocks)), needs: make([]needs, len(in.blocks)),
		slotted: make([][]int, len(in.Jobs)), ways: make([]way, in.stages<<waysBits),
		lateIn: make([][]int64, len(in.Jobs)),
		rivals: make([]uint64, len(in.Jobs)), supplies: make([]supplyBy, len(in.Jobs)<<waysBits),
		work:    newWorkTime(in.plain),
		opening: make([]int, len(in.Setups)), moving: make([]int, len(in.Subjects)),
	}
	known := like.result.Cost.inDraft()
	s.late, s.score = known.Late, known.Score()
	for c := range in.Subjects {
		s.lazy = append(s.lazy, len(in.Subjects[c].Blackouts) == 0 && !slices.ContainsFunc(in.closings[c], func(f int) bool { return in.Closings[f].Helpers > 0 }))
	}
	s.subjAt = len(in.Jobs)
	s.slots = s.subjAt + len(in.Subjects)
	for _, j := range in.order {
		if s.placed[j] = like.prog[j].done; !s.placed[j] {
			s.late, s.score = s.without(j)
			continue
		}
		s.order = append(s.order, j)
		s.addJob(j)
	}
	return s
}

// without is the cost to stay below, less what a job without a place costs.
func (s *labels) without(j int) (late, score int64) {
	end := s.in.horizon + far
	lost := s.in.Jobs[j].Late(end)
	if s.late == math.MaxInt64 || s.score == math.MaxInt64 {
		return s.late, s.score
	}
	return s.late - lost, s.score - max(leastLost, s.in.Jobs[j].Weight)*int64(end-s.in.Now)
}

func (s *labels) addJob(j int) {
	in := s.in
	s.blocks += in.blocksOf[j].To - in.blocksOf[j].From
	s.addNeeds(j)
	s.addRivals(j)
	s.addLateness(j)
	for w := in.Jobs[j].Weight; w != 0; { // the greatest common measure
		s.unit, w = w, s.unit%w
	}
	rest := restOf{}
	for k := len(in.acts[j]) - 1; k >= 0; k-- {
		a := &in.acts[j][k]
		rest.all += a.Minutes
		if a.Bench {
			rest.hands += a.Minutes
		} else if rest.hands == 0 {
			rest.tail += a.Minutes
		}
		s.rest[a.id] = rest
		if s.stageAt[a.id] = None; k > 0 && len(a.Needs) > 0 {
			s.stageAt[a.id] = s.slots
			s.slotted[j] = append(s.slotted[j], k)
			s.slots++
		}
	}
	if s.endAt[j] = None; len(in.freed[j]) > 0 {
		s.endAt[j] = s.slots
		s.slots++
	}
}

// addNeeds notes what the blocks of a job need from each one on.
func (s *labels) addNeeds(j int) {
	in, n := s.in, needs{}
	for b := in.blocksOf[j].To - 1; b >= in.blocksOf[j].From; b-- {
		x, own := &in.blocks[b], needs{place: in.blocks[b].place}
		for k := x.from; k < x.to; k++ {
			for _, a := range in.acts[j][k].opens {
				own.open |= 1 << a
			}
			for _, f := range in.acts[j][k].Closings {
				own.call |= 1 << f
			}
		}
		n = needs{n.place || own.place, n.open | own.open, n.call | own.call}
		s.needs[b], s.needed[b] = own, n
	}
}

// firstBreadth is how many labels are taken up of each number of blocks when the
// labels are gone through for the first time; each time after that it is twice as
// many, of those that are left.
const firstBreadth = 32

// run goes through the labels. It says whether none was left. Where the sessions
// run out before everything is put right, that may have to be done sooner.
func (s *labels) run() bool {
	all := s.takeUp()
	if s.short && s.made < s.most {
		clear(s.lazy)
		return s.takeUp()
	}
	return all && !s.short
}

// takeUp goes through the labels from the first one on.
func (s *labels) takeUp() bool {
	clear(s.known)
	s.queues = make([]labelHeap, s.blocks)
	s.push(s.first())
	for breadth, left := firstBreadth, true; left; breadth *= 2 {
		left = false
		for n := range s.queues {
			q := &s.queues[n]
			for taken := 0; len(*q) > 0 && taken < breadth; {
				if s.made >= s.most {
					return !s.anyLeft()
				}
				if l := q.pop(); !l.dead && !s.tooDear(l) {
					s.expand(l)
					taken++
				}
			}
			left = left || len(*q) > 0
		}
	}
	return true
}

// anyLeft says whether a label is left that could come to something.
func (s *labels) anyLeft() bool {
	return slices.ContainsFunc(s.queues, func(q labelHeap) bool {
		return slices.ContainsFunc(q, func(l queued) bool { return !l.dead && !s.tooDear(l.label) })
	})
}

// first is the bench at now.
func (s *labels) first() *label {
	in := s.in
	l := &label{times: make([]int, s.slots)}
	now := firstState(in)
	t, ok := in.plain.from(in.Now)
	if !ok {
		t = never
	}
	l.t = t
	for c := range now.subj {
		if now.subj[c].onPlace {
			l.key.onPlace |= 1 << c
		}
	}
	for a, open := range now.open {
		if open {
			l.key.open |= 1 << a
		}
	}
	for _, j := range s.order {
		l.times[j] = in.release(j).at
	}
	for _, j := range s.order {
		if s.waitsFor(l, j) == None && in.blockAt[in.base[j]] == None {
			s.runClocks(l, j, 0)
		}
	}
	s.passed(l, in.Now, l.t)
	return l
}

// newLabel takes an empty label from the stock.
func (s *labels) newLabel() *label {
	if n := len(s.spare); n > 0 {
		l := s.spare[n-1]
		s.spare = s.spare[:n-1]
		return l
	}
	if len(s.fresh) == 0 {
		s.fresh = make([]label, 256)
		s.freshAt = make([]int, 256*s.slots)
	}
	l := &s.fresh[0]
	s.fresh = s.fresh[1:]
	l.times, s.freshAt = s.freshAt[:s.slots:s.slots], s.freshAt[s.slots:]
	return l
}

// after copies a label for another stroke.
func (s *labels) after(l *label, k stroke) *label {
	s.made++
	n := s.newLabel()
	times := n.times
	*n = *l
	n.times, n.before, n.did, n.dead = times, l, k, false
	copy(n.times, l.times)
	return n
}

// push queues a label unless it is dropped.
func (s *labels) push(l *label) {
	if l.blocks == s.blocks {
		l.lowLate, l.lowScore = l.late, l.score+overheadWeight*int64(s.overheadOf(l.key.open, l.key.owed, l.key.open))
		if !s.tooDear(l) {
			s.end(l)
		}
		return
	}
	if l.t >= never {
		return
	}
	s.settleTimes(l)
	list := s.known[l.key]
	for _, o := range list {
		if s.covers(o, l) {
			s.drop(l)
			return
		}
	}
	if l.lowLate, l.lowScore = s.atLeast(l); s.tooDear(l) {
		s.drop(l)
		return
	}
	kept := list[:0]
	for _, o := range list {
		if o.dead = s.covers(l, o); !o.dead {
			kept = append(kept, o)
		}
	}
	s.known[l.key] = append(kept, l)
	s.queues[l.blocks].push(l)
}

// drop puts a label that nothing refers to back into the stock.
func (s *labels) drop(l *label) { s.spare = append(s.spare, l) }

// settleTimes makes times alike that make no difference: a block starts no
// sooner than in a session, and not before now.
func (s *labels) settleTimes(l *label) {
	for _, j := range s.order {
		if s.in.blockAt[s.in.base[j]] != None || l.key.next[j] > 0 {
			if l.times[j] <= l.t {
				l.times[j] = l.t
			} else if at := s.in.plain.at(l.times[j]); at < len(s.in.plain) {
				l.times[j] = max(l.times[j], s.in.plain[at].From)
			}
		}
		if s.done(l, j) {
			l.times[j] = 0
		}
	}
	for c := range s.in.Subjects {
		if i := s.subjAt + c; l.times[i] <= l.t {
			l.times[i] = 0
		}
	}
}

// covers says whether nothing can come of a label that cannot come of another
// with the same key.
func (s *labels) covers(l, o *label) bool {
	if l.t > o.t || l.late > o.late || l.late == o.late && l.score > o.score {
		return false
	}
	for i, t := range l.times {
		if t > o.times[i] {
			return false
		}
	}
	if s.in.blackouts && l.t < o.t {
		for c := range s.in.Subjects {
			for _, b := range s.in.Subjects[c].Blackouts {
				if l.t <= b.From && b.From < o.t && (l.key.onPlace>>c&1 > 0 || !s.whole(l, c)) {
					return false // waiting would not do
				}
			}
		}
	}
	return true
}

// tooDear says whether a label cannot end below the best cost known.
func (s *labels) tooDear(l *label) bool {
	return l.lowLate > s.late || l.lowLate == s.late && l.lowScore >= s.score
}

// blockOf is a job's next block, or None.
func (s *labels) blockOf(l *label, j int) int {
	if b := s.in.blocksOf[j].From + int(l.key.next[j]); b < s.in.blocksOf[j].To {
		return b
	}
	return None
}

// done says whether a job has come to its end. A job with no block has when all
// before it have.
func (s *labels) done(l *label, j int) bool {
	return s.blockOf(l, j) == None && (l.key.next[j] > 0 || s.waitsFor(l, j) == None)
}

// waitsFor is a job that has to end before a job begins, or None.
func (s *labels) waitsFor(l *label, j int) int {
	for _, x := range s.in.Jobs[j].After {
		if !s.done(l, x.Job) {
			return x.Job
		}
	}
	return None
}

// stages is how many stages of a job are placed.
func (s *labels) stages(l *label, j int) int {
	if b := s.blockOf(l, j); b != None {
		if l.key.next[j] == 0 && s.waitsFor(l, j) != None {
			return 0
		}
		return s.in.blocks[b].from
	}
	if s.done(l, j) {
		return len(s.in.acts[j])
	}
	return 0
}

// stuck says whether a subject cannot be moved, and by which hold.
func (s *labels) stuck(l *label, c int) (h int) {
	for _, h := range s.in.holdsOf[c] {
		if hold := &s.in.holds[h]; s.held(l, h, hold) {
			return h
		}
	}
	return None
}

func (s *labels) held(l *label, h int, hold *hold) bool {
	if hold.job != None {
		k := s.stages(l, hold.job)
		if !slices.ContainsFunc(s.in.acts[hold.job][:k], func(a act) bool { return slices.Contains(s.in.holdFrom[a.id], h) }) {
			return false
		}
	}
	for _, id := range hold.untilActs {
		for _, j := range s.in.mine[hold.subject] {
			if k := id - s.in.base[j]; k >= 0 && k < len(s.in.acts[j]) && s.placed[j] && k < s.stages(l, j) {
				return false
			}
		}
	}
	return true
}

// whole says whether nothing of a subject is open, owed or stuck.
func (s *labels) whole(l *label, c int) bool {
	return s.closed(l, c, true) && !s.owes(l, c) && s.stuck(l, c) == None
}

// closed says whether no setup of a subject is open but, without all, what may
// stay open.
func (s *labels) closed(l *label, c int, all bool) bool {
	if l.key.open == 0 {
		return true
	}
	for _, a := range s.in.setups[c] {
		if l.key.open>>a&1 > 0 && (all || !s.in.stays[a]) {
			return false
		}
	}
	return true
}

func (s *labels) owes(l *label, c int) bool {
	if l.key.owed == 0 {
		return false
	}
	for _, f := range s.in.closings[c] {
		if l.key.owed>>f&1 > 0 {
			return true
		}
	}
	return false
}

// movable says whether a subject may get off the place or onto it.
func (s *labels) movable(l *label, c int) bool {
	return l.key.ending>>c&1 == 0 && !s.owes(l, c) && s.closed(l, c, false) && s.stuck(l, c) == None
}

// passed lets the blackouts begin that begin from a time on and before another.
// It says whether every subject was whole then; those on the place leave it.
func (s *labels) passed(l *label, from, to int) bool {
	if !s.in.blackouts {
		return true
	}
	for c := range s.in.Subjects {
		for _, b := range s.in.Subjects[c].Blackouts {
			if b.From >= to {
				break
			}
			if b.From < from {
				continue
			}
			if !s.whole(l, c) || l.times[s.subjAt+c] > b.From {
				return false
			}
			l.key.onPlace &^= 1 << c
		}
	}
	return true
}

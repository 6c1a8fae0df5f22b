package schedule

import (
	"math/rand/v2"
	"slices"
)

// A search goes from a decoded schedule's sequence of blocks to better ones:
// it moves blocks about, reckons a draft of each sequence, and goes on from a
// draft that is not much dearer than the one before, less and less so as it goes
// on (simulated annealing; Kirkpatrick, Gelatt and Vecchi 1983, from memory). The
// strokes of the best draft are carried out.
type search struct {
	in       *instance
	rng      *rand.Rand
	patient  bool   // the habit of ending visits
	placed   []bool // by job: whether it is part of the sequence
	release  []int  // by job
	pinned   []int  // by job: when a pin lets its block start; zero without one
	pinEnd   []int  // by job: when a pin that is kept ends; zero without one
	pinStage []int  // by job

	seq, at []int   // the sequence, and by block its place in it
	lo, hi  int     // the places that are moved about
	cost    Cost    // of the sequence's draft, up to hi
	late    []int   // the last blocks of the jobs that end late in it
	shift   shifted // the last move

	// Of the sequence's draft: the bench before every stride places, up to the last
	// point that is up to date, and before every place what of it the search compares.
	points []*draft
	stride int
	valid  int
	paces  []pace

	work  *draft // of the sequence under trial
	trial []pace

	best     []int
	bestCost Cost
}

// pace is how far a draft has come: when the hands are free, and its cost.
type pace struct {
	t           int
	late, score int64
}

func (d *draft) pace() pace { return pace{d.t, d.cost.Late, d.cost.Score()} }

// window is how many places of a long sequence are moved about at a time:
// what lies far off will be planned again before its time comes.
const window = 256

// fewJobs is for how many jobs the bench is kept before every place; with more of
// them it is kept before every other one, and so on.
const fewJobs = 150

// newSearch begins with a sequence of the blocks of a result.
func newSearch(in *instance, r *Result, seq []int, seed uint64) *search {
	n := len(in.Jobs)
	s := &search{
		in: in, rng: rand.New(rand.NewPCG(seed, 1)), placed: make([]bool, n), release: make([]int, n),
		pinned: make([]int, n), pinEnd: make([]int, n), pinStage: make([]int, n), at: make([]int, len(in.blocks)),
		shift: shifted{mark: make([]int, len(in.blocks))}, stride: 1 + n/fewJobs,
	}
	for j := range in.Jobs {
		s.placed[j] = r.Ends[j] != None
		s.release[j] = in.release(j).at
		s.pinStage[j] = max(0, in.firstBench(j))
		if in.Jobs[j].Pinned {
			s.pinned[j] = in.pinStart(j)
			if p := in.Jobs[j].Pin; p != None && !slices.ContainsFunc(r.Missed, func(m Missed) bool { return m.Job == j }) {
				s.pinEnd[j] = in.Sessions[p].To
			}
		}
	}
	s.seq = slices.DeleteFunc(slices.Clone(seq), func(b int) bool { return !s.placed[in.blocks[b].job] })
	for b := range s.at {
		s.at[b] = None
	}
	for i, b := range s.seq {
		s.at[b] = i
	}
	s.hi = len(s.seq)
	s.points, s.work = []*draft{s.firstDraft()}, newDraft(s)
	return s
}

// look picks the places that are moved about, a window of the sequence, and
// drafts what the search goes on from. A block that a draft cannot place where
// the schedule had it lets others pass; where none can be placed, the window ends.
// It says whether there is anything to move.
func (s *search) look(lo int) bool {
	s.lo, s.hi = lo, len(s.seq)
	if s.hi-s.lo > window+window/2 {
		s.hi = s.lo + window
	}
	for i := len(s.points); i*s.stride < len(s.seq); i++ {
		s.points = append(s.points, newDraft(s))
	}
	s.paces, s.trial = make([]pace, len(s.seq)), make([]pace, len(s.seq))
	tries := s.hi
	for failed := s.draftAll(0); failed != None; failed = s.draftAll(failed) {
		if tries--; tries < 0 || !s.letPass(failed) {
			s.hi = failed
		}
	}
	s.best, s.bestCost = slices.Clone(s.seq), s.cost
	s.findLate()
	return s.hi-s.lo > 1
}

// build looks for better sequences with beams, each of which goes by what the one
// before it found. It needs no sequence that can be drafted as a whole.
func (s *search) build(width, passes int) {
	if s.isLong() || width == 0 {
		return
	}
	whole := s.hi == len(s.seq)
	for range passes {
		seq := newBeam(s, width).run()
		if seq == nil {
			break
		}
		s.goOnFrom(seq)
		if !whole || s.cost.Less(s.bestCost) {
			s.best, s.bestCost = append(s.best[:0], seq...), s.cost
		}
		whole = true
	}
	if whole {
		s.goOnFrom(s.best)
	}
}

// goOnFrom takes up a sequence that can be drafted.
func (s *search) goOnFrom(seq []int) {
	copy(s.seq, seq)
	s.hi = len(seq)
	s.number(0, s.hi)
	s.draftAll(0)
	s.findLate()
}

// mostPass is how many blocks are tried in the place of one that a draft cannot
// place.
const mostPass = 30

// letPass lets the first block come before the one at a place that can be placed
// there.
func (s *search) letPass(p int) bool {
	d, left := s.work, mostPass
	for q := p + 1; q < len(s.seq) && left > 0; q++ {
		if !s.free(p, q) {
			continue
		}
		left--
		i := p / s.stride
		d.copyFrom(s.points[i])
		for k := i * s.stride; k < p; k++ {
			d.place(s.seq[k])
		}
		if d.place(s.seq[q]) {
			b := s.seq[q]
			copy(s.seq[p+1:q+1], s.seq[p:q])
			s.seq[p] = b
			s.number(p, q+1)
			return true
		}
	}
	return false
}

// free says whether the block at q may come before all those from p on.
func (s *search) free(p, q int) bool {
	for _, o := range s.in.blocks[s.seq[q]].after {
		if s.at[o] >= p {
			return false
		}
	}
	return true
}

// draftAll drafts the sequence from a place on, up to hi. It returns the place
// where that fails, or None.
func (s *search) draftAll(from int) (failed int) {
	i, d := from/s.stride, s.work
	d.copyFrom(s.points[i])
	for p := i * s.stride; p < s.hi; p++ {
		if p%s.stride == 0 {
			s.points[p/s.stride].copyFrom(d)
		}
		if s.paces[p] = d.pace(); !d.place(s.seq[p]) {
			return p
		}
	}
	ok := false
	if s.cost, ok = d.total(s.hi == len(s.seq)); !ok {
		return s.hi - 1
	}
	s.valid = (s.hi - 1) / s.stride
	return None
}

// run tries so many moves.
func (s *search) run(moves int) {
	heat := newHeat(0, moves)
	if s.in.free { // else what is moved weighs so much that it is best to go down
		heat = newHeat(s.cost.Score(), moves)
	}
	for range moves {
		if !s.move() {
			continue
		}
		limit := s.cost
		limit.Weighted += heat.grace(s.rng)
		cost, ok := s.reckon(s.shift.lo, s.shift.hi, limit)
		if !ok || limit.Less(cost) {
			s.takeBack()
			continue
		}
		s.keep(s.shift.lo)
		if s.cost = cost; cost.Less(s.bestCost) {
			s.best, s.bestCost = append(s.best[:0], s.seq...), cost
		}
	}
}

// reckon drafts the sequence under trial up to hi, of which the places before
// from are as they were and those from until on follow each other as they did.
// It says whether that can be done at a cost that is not certain to be more than
// limit, or as good as certain.
func (s *search) reckon(from, until int, limit Cost) (cost Cost, ok bool) {
	i, d := s.point(from), s.work
	d.copyFrom(s.points[i])
	for p := i * s.stride; p < s.hi; p++ {
		s.trial[p] = d.pace()
		if p >= until {
			if s.fallsBehind(d, &s.paces[p], limit) {
				return Cost{}, false
			}
		} else if p%4 == 0 && d.hopeless(limit) {
			return Cost{}, false
		}
		if !d.place(s.seq[p]) {
			return Cost{}, false
		}
	}
	return d.total(s.hi == len(s.seq))
}

// point is the last point at or before a place. It brings those up to there up to
// date.
func (s *search) point(from int) int {
	i := from / s.stride
	for ; s.valid < i; s.valid++ {
		d := s.points[s.valid+1]
		d.copyFrom(s.points[s.valid])
		for p := s.valid * s.stride; p < (s.valid+1)*s.stride; p++ {
			d.place(s.seq[p])
		}
	}
	return i
}

// fallsBehind says whether a draft, past the blocks that were moved, is behind
// the draft that it came from by more than it may be: what follows is the same,
// later by as much as the hands are.
func (s *search) fallsBehind(d *draft, was *pace, limit Cost) bool {
	late := d.cost.Late - was.late
	if late > 0 && s.cost.Late+late > limit.Late {
		return true
	}
	behind := d.cost.Score() - was.score + d.left*int64(d.t-was.t)
	return late >= 0 && s.cost.Score()+behind > limit.Score()
}

// keep makes the sequence under trial, which is new from a place on, the one to
// go on from.
func (s *search) keep(from int) {
	i := from / s.stride
	copy(s.paces[i*s.stride:], s.trial[i*s.stride:])
	s.valid = min(s.valid, i)
	s.findLate()
}

// findLate lists the last blocks of the jobs that end late in the draft reckoned
// last.
func (s *search) findLate() {
	s.late = s.late[:0]
	if s.work.cost.Late == 0 {
		return
	}
	for j := range s.work.jobs {
		end, blocks := s.work.jobs[j].end, s.in.blocksOf[j]
		if s.placed[j] && end != None && blocks.From < blocks.To && s.in.Jobs[j].Late(end) > 0 {
			s.late = append(s.late, blocks.To-1)
		}
	}
}

// isLong says whether a window of the sequence is moved about at a time.
func (s *search) isLong() bool { return len(s.seq) > window+window/2 }

// carried is the best sequence carried out as its draft has it, or decoded where
// that does not do; nil where neither does. Jobs that have no place in a schedule
// have none here either.
func (s *search) carried(like *decoder) *decoder {
	if s.in.plainly(like) {
		if row, ok := s.row(); ok {
			if d, ok := s.in.carryOut(row, like); ok {
				return d
			}
		}
	}
	if s.isLong() { // then decodes take long, and come to more
		return nil
	}
	dropped, why := like.lost(None)
	return s.in.decodeUpTo(fewRounds, s.order(like.order.jobs), dropped, why)
}

// row lists the strokes of the best sequence's draft. Blocks beyond the window
// follow as they can be placed.
func (s *search) row() (row []stroke, ok bool) {
	d := s.work
	d.copyFrom(s.points[0])
	d.row = &row
	defer func() { d.row = nil }()
	for _, b := range s.best[:s.hi] {
		if !d.place(b) {
			return nil, false
		}
	}
	left := slices.Clone(s.best[s.hi:])
	before, tries := newDraft(s), 2*len(left)
	before.copyFrom(d)
	for len(left) > 0 {
		n := slices.IndexFunc(left, func(b int) bool {
			rows := len(row)
			if tries--; d.place(b) {
				before.copyFrom(d)
				return true
			}
			d.copyFrom(before)
			d.forget(rows)
			return tries < 0
		})
		if n < 0 || tries < 0 {
			return nil, false
		}
		left = slices.Delete(left, n, n+1)
	}
	_, ok = d.total(true)
	return row, ok
}

// plainly says whether a schedule was made without giving anything up, so that
// strokes tell it.
func (in *instance) plainly(like *decoder) bool {
	for c := range in.Subjects {
		if like.exempt[c] || like.forgiven[c] >= 0 || like.broken[c] {
			return false
		}
	}
	return true
}

// order is how the best sequence is decoded; jobs that are not part of it come
// last, in the order given.
func (s *search) order(jobs []int) order {
	o := s.in.inSequence(s.best, jobs)
	o.patient = s.patient
	return o
}

func (in *instance) inSequence(seq, jobs []int) order {
	o := order{jobs: jobs, at: make([]int, len(in.blocks)), wait: true}
	for b := range o.at {
		o.at[b] = None
	}
	for i, b := range seq {
		o.at[b] = i
	}
	return o
}

package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A search goes from a decoded schedule's sequence of blocks to better ones:
// it moves blocks about, reckons a draft of each sequence, and goes on from a
// draft that is no worse than the one some steps ago (late acceptance, Burke
// and Bykov; from memory). What it finds is decoded in earnest.
type search struct {
	in       *instance
	rng      *rand.Rand
	patient  bool   // the habit of the orders that are looked for
	placed   []bool // by job: whether it is part of the sequence
	release  []int  // by job
	pinned   []int  // by job: when a pin lets its block start; zero without one
	pinEnd   []int  // by job: when a pin that is kept ends; zero without one
	pinStage []int  // by job

	seq, at []int    // the sequence, and by block its place in it
	lo, hi  int      // the places that are moved about
	cost    Cost     // of the sequence's draft, up to hi
	points  []*draft // the bench before every stride places
	trial   []*draft // the same, of the sequence under trial
	work    *draft
	past    []Cost // costs some steps ago

	best     []int
	bestCost Cost
}

// window is how many places of a long sequence are moved about at a time:
// what lies far off will be planned again before its time comes.
const window = 256

// stride is how many places lie between two points from which a draft can go
// on.
const stride = 8

// newSearch begins with the sequence of a result.
func newSearch(in *instance, r *Result, seed uint64) *search {
	n := len(in.Jobs)
	s := &search{
		in: in, rng: rand.New(rand.NewPCG(seed, 1)), placed: make([]bool, n), release: make([]int, n),
		pinned: make([]int, n), pinEnd: make([]int, n), pinStage: make([]int, n), at: make([]int, len(in.blocks)),
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
	s.seq = in.sequenceOf(r)
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
// reckons the draft that the search goes on from. It says whether there is one.
func (s *search) look(lo int) bool {
	s.lo, s.hi = lo, len(s.seq)
	if s.hi-s.lo > window+window/2 {
		s.hi = s.lo + window
	}
	for i := len(s.points); i*stride < s.hi; i++ {
		s.points = append(s.points, newDraft(s))
	}
	for i := len(s.trial); i < len(s.points); i++ {
		s.trial = append(s.trial, newDraft(s))
	}
	from := 0
	for range 4 * len(s.seq) {
		cost, failed := s.reckon(from, s.hi, Cost{Late: math.MaxInt64})
		s.keep(from)
		if failed == None {
			s.cost, s.bestCost = cost, cost
			s.best = slices.Clone(s.seq)
			return true
		}
		if from = failed; !s.letPass(failed) {
			return false
		}
	}
	return false
}

// letPass lets the first block pass that may come before the one at a place,
// which a draft cannot place where the schedule had it.
func (s *search) letPass(p int) bool {
	for q := p + 1; q < len(s.seq); q++ {
		if s.free(p, q, q+1) {
			s.rotate(p, q, q+1)
			return true
		}
	}
	return false
}

// reckon drafts the sequence up to hi, of which the places before from are as
// they were and those from until on follow each other as they did. Where it
// fails, since a block cannot be placed or the cost is certain to be more than
// limit, or as good as certain, it says at which place.
func (s *search) reckon(from, until int, limit Cost) (cost Cost, failed int) {
	i, d := from/stride, s.work
	d.copyFrom(s.points[i])
	for p := i * stride; p < s.hi; p++ {
		if p%stride == 0 && p/stride > i {
			if p >= until && s.fallsBehind(d, s.points[p/stride], limit) {
				return Cost{}, p
			}
			s.trial[p/stride].copyFrom(d)
		}
		if p%4 == 0 && d.hopeless(limit) || !d.place(s.seq[p]) {
			return Cost{}, p
		}
	}
	cost, ok := d.total(s.hi == len(s.seq))
	if !ok {
		return cost, s.hi - 1
	}
	return cost, None
}

// fallsBehind says whether a draft, past the blocks that were moved, is behind
// the draft that it came from by more than it may be: what follows is the same,
// later by as much as the hands are.
func (s *search) fallsBehind(d, was *draft, limit Cost) bool {
	late := d.cost.Late - was.cost.Late
	if late > 0 && s.cost.Late+late > limit.Late {
		return true
	}
	behind := d.cost.Score() - was.cost.Score() + d.left*int64(d.t-was.t)
	return late >= 0 && s.cost.Score()+behind > limit.Score()
}

// keep makes the sequence under trial the one to go on from.
func (s *search) keep(from int) {
	for i := from/stride + 1; i < len(s.points) && i < len(s.trial); i++ {
		s.points[i], s.trial[i] = s.trial[i], s.points[i]
	}
}

// run tries so many moves.
func (s *search) run(moves int) {
	s.past = slices.Repeat([]Cost{s.cost}, 1+moves/1000)
	for n := range moves {
		lo, mid, hi, ok := s.move()
		if !ok {
			continue
		}
		s.rotate(lo, mid, hi)
		old := &s.past[n%len(s.past)]
		limit := s.cost
		if limit.Less(*old) {
			limit = *old
		}
		if cost, failed := s.reckon(lo, hi, limit); failed == None && !limit.Less(cost) {
			s.keep(lo)
			s.cost = cost
			if cost.Less(s.bestCost) {
				s.bestCost = cost
				s.best = append(s.best[:0], s.seq...)
			}
		} else {
			s.rotate(lo, lo+hi-mid, hi)
		}
		*old = s.cost
	}
}

// move picks two neighbouring stretches of the sequence, lo to mid and mid to
// hi, that may change places: one to six blocks go a few places on or back,
// next to another block on the same subject, or anywhere.
func (s *search) move() (lo, mid, hi int, ok bool) {
	n := s.hi - s.lo
	if n < 2 {
		return 0, 0, 0, false
	}
	p := s.lo + s.rng.IntN(n)
	length := 1
	if s.rng.IntN(3) == 0 {
		length = min(1+s.rng.IntN(6), s.hi-p)
	}
	q := p
	switch s.rng.IntN(4) {
	case 0:
		q = s.lo + s.rng.IntN(n)
	case 1:
		q = s.neighbour(p)
	default:
		q = p + s.rng.IntN(25) - 12
	}
	switch {
	case q < p:
		lo, mid, hi = max(s.lo, q), p, p+length
	case q > p:
		lo, mid, hi = p, p+length, min(s.hi, q+length)
	}
	if lo >= mid || mid >= hi {
		return 0, 0, 0, false
	}
	return lo, mid, hi, s.free(lo, mid, hi)
}

// neighbour is a place next to a block on the same subject, some way off.
func (s *search) neighbour(p int) int {
	c := s.in.blocks[s.seq[p]].subject
	step := 1 - 2*s.rng.IntN(2)
	for q := p + 2*step; q >= s.lo && q < s.hi; q += step {
		if s.in.blocks[s.seq[q]].subject == c && s.rng.IntN(2) == 0 {
			return q - step
		}
	}
	return p
}

// free says whether nothing in the first stretch must come before anything in
// the second.
func (s *search) free(lo, mid, hi int) bool {
	if mid-lo <= hi-mid {
		for _, b := range s.seq[lo:mid] {
			for _, o := range s.in.blocks[b].before {
				if p := s.at[o]; p >= mid && p < hi {
					return false
				}
			}
		}
		return true
	}
	for _, b := range s.seq[mid:hi] {
		for _, o := range s.in.blocks[b].after {
			if p := s.at[o]; p >= lo && p < mid {
				return false
			}
		}
	}
	return true
}

// rotate lets two neighbouring stretches change places.
func (s *search) rotate(lo, mid, hi int) {
	slices.Reverse(s.seq[lo:mid])
	slices.Reverse(s.seq[mid:hi])
	slices.Reverse(s.seq[lo:hi])
	for i := lo; i < hi; i++ {
		s.at[s.seq[i]] = i
	}
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

package schedule

import (
	"math/bits"
	"math/rand/v2"
	"slices"
)

// shifted is the last move of a search: what was in the places that it changed,
// and the blocks that it moved.
type shifted struct {
	lo, hi int
	was    []int
	group  []int // where the blocks were
	mark   []int // by block: the stamp of the last move that it was in
	stamp  int
}

// move moves one to six blocks a few places on or back, next to another block on
// the same subject, or anywhere; or what ends late some way back. What has to stay
// before or after them moves along. It says whether anything was moved.
func (s *search) move() bool {
	n := s.hi - s.lo
	if len(s.late) > 0 && s.rng.IntN(10) == 0 {
		if p := s.at[s.late[s.rng.IntN(len(s.late))]]; p > s.lo && p < s.hi {
			return s.moveOn(p, 1, -1-s.rng.IntN(min(p-s.lo, 40)))
		}
	}
	p, length := s.lo+s.rng.IntN(n), 1
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
	return s.moveOn(p, length, max(s.lo, min(s.hi-length, q))-p)
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

// moveOn moves the blocks from a place on by so many places, back when it is
// negative, and takes along what would have to stay before or after one of them.
func (s *search) moveOn(p, length, by int) bool {
	if by == 0 {
		return false
	}
	x := &s.shift
	x.stamp++
	x.group = x.group[:0]
	for i := p; i < p+length; i++ {
		s.takeAlong(i)
	}
	for k := 0; k < len(x.group); k++ {
		b, at := &s.in.blocks[s.seq[x.group[k]]], x.group[k]
		if by < 0 {
			for _, o := range b.after {
				if s.at[o] >= max(s.lo, at+by) {
					s.takeAlong(s.at[o])
				}
			}
			continue
		}
		for _, o := range b.before {
			if q := s.at[o]; q != None && q <= at+by && q < s.hi {
				s.takeAlong(q)
			}
		}
	}
	slices.Sort(x.group)
	x.lo, x.hi = x.group[0], x.group[len(x.group)-1]+1
	if by < 0 {
		x.lo = max(s.lo, x.lo+by)
	} else {
		x.hi = min(s.hi, x.hi+by)
	}
	x.was = append(x.was[:0], s.seq[x.lo:x.hi]...)
	if by < 0 {
		s.mergeBack(by)
	} else {
		s.mergeOn(by)
	}
	s.number(x.lo, x.hi)
	return true
}

func (s *search) takeAlong(p int) {
	if b := s.seq[p]; s.shift.mark[b] != s.shift.stamp {
		s.shift.mark[b] = s.shift.stamp
		s.shift.group = append(s.shift.group, p)
	}
}

// mergeBack writes the changed places: those moved back as soon as it is their
// turn, the others as they were.
func (s *search) mergeBack(by int) {
	x := &s.shift
	w, k := x.lo, 0
	for i, b := range x.was {
		for ; k < len(x.group) && x.group[k]+by <= x.lo+i; k++ {
			s.seq[w] = x.was[x.group[k]-x.lo]
			w++
		}
		if x.mark[b] != x.stamp {
			s.seq[w] = b
			w++
		}
	}
}

// mergeOn is mergeBack the other way, from the end.
func (s *search) mergeOn(by int) {
	x := &s.shift
	w, k := x.hi-1, len(x.group)-1
	for i := len(x.was) - 1; i >= 0; i-- {
		for ; k >= 0 && x.group[k]+by >= x.lo+i; k-- {
			s.seq[w] = x.was[x.group[k]-x.lo]
			w--
		}
		if b := x.was[i]; x.mark[b] != x.stamp {
			s.seq[w] = b
			w--
		}
	}
}

// takeBack undoes the last move.
func (s *search) takeBack() {
	copy(s.seq[s.shift.lo:], s.shift.was)
	s.number(s.shift.lo, s.shift.hi)
}

// number notes the places of the blocks from lo to hi.
func (s *search) number(lo, hi int) {
	for i := lo; i < hi; i++ {
		s.at[s.seq[i]] = i
	}
}

// heat is how much dearer a search lets a sequence be than the one before it, on
// average: less and less.
type heat struct {
	mean      int64
	steps, at int
}

// A search of many moves can afford to begin hotter. It cools in steps of a
// twentieth to less than a fiftieth.
const (
	coolings  = 80
	coolBy    = 20
	hotMoves  = 5_000_000
	hottest   = 100
	leastHeat = 3000
)

func newHeat(score int64, moves int) heat {
	share := int64(min(leastHeat, max(hottest, hotMoves/max(1, moves))))
	return heat{mean: score / share, steps: max(1, moves/coolings)}
}

// grace is a random number of about the exponential distribution.
func (h *heat) grace(rng *rand.Rand) int64 {
	if h.at++; h.at%h.steps == 0 {
		h.mean -= h.mean / coolBy
	}
	x := rng.Uint64()
	halvings := int64(bits.LeadingZeros64(x|1))<<10 | int64(x&1023) // in 1,024ths
	return h.mean / 1477 * halvings                                 // of which 1,477 make a factor of e
}

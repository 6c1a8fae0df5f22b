package schedule

import (
	"math/bits"
	"slices"
)

// workTime counts the hands' minutes.
type workTime struct {
	cal    calendar
	before []int // minutes before each stretch, and in all
}

func newWorkTime(cal calendar) workTime {
	w := workTime{cal: cal, before: make([]int, len(cal)+1)}
	for i, s := range cal {
		w.before[i+1] = w.before[i] + s.To - s.From
	}
	return w
}

// at is how many minutes there are before a time.
func (w *workTime) at(t int) int {
	i := w.cal.at(t)
	if i == len(w.cal) {
		return w.before[i]
	}
	return w.before[i] + max(0, t-w.cal[i].From)
}

// end is when so many minutes are over.
func (w *workTime) end(minutes int) int {
	lo, hi := 0, len(w.before) // by hand: it is asked for most
	for lo < hi {
		if mid := int(uint(lo+hi) >> 1); w.before[mid] < minutes {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	switch lo {
	case 0:
		return 0
	case len(w.before):
		return never
	}
	return w.cal[lo-1].From + minutes - w.before[lo-1]
}

// atLeast is a cost below which no row of strokes ends that begins like a label:
// each job alone from now on and, the other way, all of them one after the other,
// the shortest first with the largest weight. Overhead that is due in any case is
// added.
func (s *labels) atLeast(l *label) (late, score int64) {
	in := s.in
	late = l.late
	alone, tails, now := int64(0), int64(0), s.work.at(l.t)
	s.minutes, s.weights = s.minutes[:0], s.weights[:0]
	for _, j := range s.order {
		b := s.blockOf(l, j)
		if b == None && (l.key.next[j] > 0 || s.done(l, j)) {
			continue
		}
		job := &in.Jobs[j]
		start := l.times[j]
		for _, x := range job.After {
			if s.placed[x.Job] && !s.done(l, x.Job) {
				start = max(start, s.ends[x.Job]+x.Gap)
			}
		}
		k := s.stages(l, j)
		rest := s.rest[in.base[j]+k]
		if in.blockAt[in.base[j]+k] != None {
			start = max(start, l.t)
		}
		end := start + rest.all
		if rest.hands > 0 {
			end = max(end, s.work.end(s.work.at(max(start, l.t))+rest.hands)+rest.tail)
			s.minutes, s.weights = append(s.minutes, rest.hands), append(s.weights, job.Weight)
			tails += job.Weight * int64(rest.tail)
		} else {
			tails += job.Weight * int64(end-in.Now)
		}
		s.ends[j] = end
		late = addUpTo(late, job.Late(end))
		alone += job.Weight * int64(end-in.Now)
	}
	slices.Sort(s.minutes)
	slices.Sort(s.weights)
	row, sum := tails, now
	for i, n := range s.minutes {
		sum += n
		row += s.weights[len(s.weights)-1-i] * int64(s.work.end(sum)-in.Now)
	}
	return late, l.score + max(alone, row) + overheadWeight*int64(s.due(l))
}

// due is the overhead that is due in any case: what is open must be closed and
// what is owed done, and once at least what blocks to come need.
func (s *labels) due(l *label) (minutes int) {
	in := s.in
	open, owed, move := l.key.open, l.key.owed, uint32(0)
	for _, j := range s.order {
		if b := s.blockOf(l, j); b != None {
			n := &s.needed[b]
			open |= n.open
			owed |= n.call
			if n.place {
				move |= 1 << in.Jobs[j].Subject
			}
		}
	}
	for all := open; all > 0; all &= all - 1 {
		a := bits.TrailingZeros64(all)
		if minutes += in.Setups[a].Close; l.key.open>>a&1 == 0 {
			minutes += in.Setups[a].Open
		}
	}
	for ; owed > 0; owed &= owed - 1 {
		minutes += in.Closings[bits.TrailingZeros64(owed)].Minutes
	}
	if in.HasPlace {
		minutes += in.Move * bits.OnesCount32(move&^l.key.onPlace)
	}
	return minutes
}

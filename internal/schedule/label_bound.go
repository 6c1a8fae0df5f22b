package schedule

import (
	"cmp"
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

// leftOf is what is left of a job with work for the hands, reckoned in their
// minutes: its stages with a share of the overhead that they need.
type leftOf struct {
	weight int64
	size   int
	starts int // the hands cannot begin with it before
	ends   int // nor be done with it before
}

// atLeast is a cost below which no row of strokes ends that begins like a label:
// each job alone from now on, with what it needs opened and on the place; and, the
// other way, all of them together (packed, inTurn). Overhead that is due in any
// case is added.
func (s *labels) atLeast(l *label) (late, score int64) {
	in := s.in
	late = l.late
	alone, tails := int64(0), int64(0)
	s.countNeeds(l)
	at := s.work.at(l.t)
	s.left, s.owing = s.left[:0], s.owing[:0]
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
		end := 0
		if rest.hands > 0 {
			whole, first, share := s.overheadFor(l, j, b)
			if start = max(start, l.t); first > 0 && in.blockAt[in.base[j]+k] == b {
				start = max(start, s.work.end(at+first))
			}
			from := s.work.at(start)
			hands := s.work.end(max(at+whole, from) + rest.hands)
			done, worked := s.alone(l, j, k, start)
			end = max(done, hands+rest.tail)
			tails += job.Weight * int64(rest.tail)
			x := leftOf{job.Weight, rest.hands + share, from - at, max(hands, worked)}
			if share > 0 {
				x.starts = 0
			}
			s.left = append(s.left, x)
		} else {
			end, _ = s.alone(l, j, k, start)
			tails += job.Weight * int64(end-in.Now)
		}
		s.ends[j] = end
		own := job.Late(end)
		late = addUpTo(late, own)
		if s.lateIn[j] != nil && rest.hands > 0 {
			s.owing = append(s.owing, owing{s.lateIn[j], own, 0, len(s.left) - 1})
		}
		alone += job.Weight * int64(end-in.Now)
	}
	if late = addUpTo(late, s.overdue(l.t, at)); late > s.late {
		return late, 0
	}
	score = l.score + overheadWeight*int64(s.due(l))
	if late == s.late && score+alone >= s.score {
		return late, score + alone
	}
	return late, score + max(alone, tails+s.inTurn(at), tails+s.packed(l.t, at))
}

// mostOwed is the most lateness that is reckoned with times minutes.
const mostOwed = 1 << 44

// owing is a job that may cost something by being late.
type owing struct {
	in   []int64 // to end in each session
	own  int64   // in any case
	more int64   // not to end in the session looked at
	left int     // index of what is left of it
}

// addLateness notes what it costs at least to end a job's work in each session.
func (s *labels) addLateness(j int) {
	if _, any := s.in.Jobs[j].firstDue(); !any {
		return
	}
	acts := s.in.acts[j]
	k := len(acts)
	for k > 0 && !acts[k-1].Bench {
		k--
	}
	for _, x := range s.in.plain {
		t := x.From
		for i := k; i < len(acts); i++ {
			t = acts[i].ends(t)
		}
		s.lateIn[j] = append(s.lateIn[j], s.in.Jobs[j].Late(t))
	}
	if n := len(s.lateIn[j]); n > 0 && s.lateIn[j][n-1] > mostOwed {
		s.lateIn[j] = nil
	}
}

// overdue is what jobs cost by being late, beyond what each does alone, since not
// all of them can be done by the end of a session: those are not that save least by
// it in the hands' minutes.
func (s *labels) overdue(t, at int) (sum int64) {
	for i := s.in.plain.at(t); i+1 < len(s.in.plain) && len(s.owing) > 1; i++ {
		end, minutes, open := s.in.plain[i].To, s.work.before[i+1]-at, false
		size, all := 0, int64(0)
		for n := range s.owing {
			o := &s.owing[n]
			x := &s.left[o.left]
			open = open || x.ends > end
			if o.more = 0; x.ends <= end {
				size += x.size
				if o.more = max(0, o.in[i+1]-o.own); o.more > 0 {
					o.own = o.in[i+1]
					all += o.more
				}
			}
		}
		if size <= minutes {
			if !open {
				break
			}
			continue
		}
		if all > 0 {
			sum = addUpTo(sum, all-s.savable(minutes))
		}
	}
	return sum
}

// savable is the most that can be saved in so many of the hands' minutes.
func (s *labels) savable(minutes int) (sum int64) {
	slices.SortFunc(s.owing, func(a, b owing) int {
		return cmp.Compare(b.more*int64(s.left[a.left].size), a.more*int64(s.left[b.left].size))
	})
	for n := range s.owing {
		o := &s.owing[n]
		if size := s.left[o.left].size; o.more > 0 && size <= minutes {
			minutes -= size
			sum += o.more
		} else if o.more > 0 {
			return sum + o.more*int64(minutes)/int64(size)
		}
	}
	return sum
}

// countNeeds counts for how many jobs each setup has to be opened yet, and each
// subject be put onto the place.
func (s *labels) countNeeds(l *label) {
	clear(s.opening)
	clear(s.moving)
	for _, j := range s.order {
		b := s.blockOf(l, j)
		if b == None {
			continue
		}
		n := &s.needed[b]
		for all := n.open &^ l.key.open; all > 0; all &= all - 1 {
			s.opening[bits.TrailingZeros64(all)]++
		}
		if c := s.in.Jobs[j].Subject; n.place && l.key.onPlace>>c&1 == 0 {
			s.moving[c]++
		}
	}
}

// alone is when a job ends at least whose stages go on from one at a time, with
// nothing else to do but to wait for sessions, clocks and material, and when the
// hands are done with it.
func (s *labels) alone(l *label, j, k, start int) (end, hands int) {
	x := s.through(j, k, start)
	end, hands = x.end, x.hands
	later := func(q, at int) {
		if q >= k && at > start {
			x := s.through(j, q, at)
			end, hands = max(end, x.end), max(hands, x.hands)
		}
	}
	if l.key.next[j] == 0 {
		for q, at := range s.supplyFor(l, j) {
			later(q, at)
		}
		return end, hands
	}
	for _, q := range s.slotted[j] {
		later(q, l.times[s.stageAt[s.in.base[j]+q]])
	}
	return end, hands
}

// way is when a job ends whose stages go on at a time, one less than from, and when
// the hands are done with it.
type way struct{ from, end, hands int }

// waysBits says how many such times are kept for each stage.
const waysBits = 5

// through is when a job ends at least whose stages from one on start at a time.
func (s *labels) through(j, k, t int) *way {
	id := s.in.base[j] + k
	x := &s.ways[id<<waysBits|int(uint32(t)*2654435769>>(32-waysBits))]
	if x.from == t+1 {
		return x
	}
	*x = way{from: t + 1}
	for ; k < len(s.in.acts[j]) && t < never; k++ {
		if a := &s.in.acts[j][k]; a.Bench {
			t = a.cal.after(t, a.Minutes)
			x.hands = t
		} else {
			t = min(never, a.ends(t))
		}
	}
	x.end = t
	return x
}

// supplyFor is when the materials of a job that has not begun are there at least,
// by stage, after what the jobs that have begun take. It is empty where nothing
// can be said of that.
func (s *labels) supplyFor(l *label, j int) []int {
	if s.rivals[j] == 0 {
		return nil
	}
	mask := uint32(0)
	for all := s.rivals[j]; all > 0; all &= all - 1 {
		if o := bits.TrailingZeros32(all); o != j && l.key.next[o] > 0 {
			mask |= 1 << o
		}
	}
	known := &s.supplies[j<<waysBits|int(mask*2654435769>>(32-waysBits))]
	if known.mask != mask|1<<31 {
		at, freed := s.supplyAt, s.freedAt // of the block under trial
		s.supplyAt = known.at
		if !s.promise(l, j) {
			s.supplyAt = s.supplyAt[:0]
		}
		known.mask, known.at = mask|1<<31, s.supplyAt
		s.supplyAt, s.freedAt = at, freed
	}
	return known.at
}

// addRivals notes which jobs need the materials of a job, where the more of them is
// taken the later the rest is there: no job frees any, nor does an order come before
// what is on its way.
func (s *labels) addRivals(j int) {
	for k := range s.in.acts[j] {
		for _, n := range s.in.acts[j][k].Needs {
			m := &s.in.Materials[n.Material]
			if slices.ContainsFunc(m.Lots, func(x Lot) bool { return x.Job != None || m.Orderable && x.At > m.OrderAt }) {
				s.rivals[j] = 0
				return
			}
			for _, o := range s.in.needers[n.Material] {
				s.rivals[j] |= 1 << o
			}
		}
	}
}

// supplyBy is when the materials of a job are there, by stage, after some jobs.
type supplyBy struct {
	mask uint32
	at   []int
}

// overheadFor is the overhead that a job needs before its end, what of it before
// its next block, and its share of it where other jobs need the same.
func (s *labels) overheadFor(l *label, j, b int) (whole, first, share int) {
	n, x := &s.needed[b], &s.needs[b]
	for all := n.open &^ l.key.open; all > 0; all &= all - 1 {
		a := bits.TrailingZeros64(all)
		if whole += s.in.Setups[a].Open; x.open>>a&1 > 0 {
			first += s.in.Setups[a].Open
		}
		share += s.in.Setups[a].Open / s.opening[a]
	}
	if c := s.in.Jobs[j].Subject; n.place && l.key.onPlace>>c&1 == 0 {
		if whole += s.in.Move; x.place {
			first += s.in.Move
		}
		share += s.in.Move / s.moving[c]
	}
	return whole, first, share
}

// inTurn is the weighted time of the hands' work, when what is left comes one
// after the other, the shortest first with the largest weight.
func (s *labels) inTurn(at int) (sum int64) {
	s.minutes, s.weights = s.minutes[:0], s.weights[:0]
	for i := range s.left {
		s.minutes, s.weights = append(s.minutes, s.left[i].size), append(s.weights, s.left[i].weight)
	}
	slices.Sort(s.minutes)
	slices.Sort(s.weights)
	for i, n := range s.minutes {
		at += n
		sum += s.weights[len(s.weights)-1-i] * int64(s.work.end(at)-s.in.Now)
	}
	return sum
}

// mostPacked and longPacked bound the weights and the minutes that are reckoned
// with squares of minutes.
const (
	mostPacked = 1 << 28
	longPacked = 1 << 14
)

// packed is the weighted time of the hands' work, reckoned by what is unfinished
// at each time: no more can be finished by then than what fits into the hands'
// minutes until then, the most weight in a minute first. Between two sessions it is
// whole jobs that are finished or not; in a session every job counts as finished
// as far as it is, and half of it is added, since on the average of its minutes
// half of it is done.
func (s *labels) packed(t, at int) int64 {
	slices.SortFunc(s.left, func(a, b leftOf) int {
		return cmp.Compare(b.weight*int64(a.size), a.weight*int64(b.size))
	})
	all, last, half := int64(0), 0, int64(0)
	for i := range s.left {
		x := &s.left[i]
		all += x.weight
		last = max(last, x.ends)
		half += x.weight * int64(x.size)
		if all > mostPacked || x.size > longPacked {
			return 0
		}
	}
	sum := 2*all*int64(t-s.in.Now) + half
	cal := s.in.plain
	for i := cal.at(t); i < len(cal); i++ {
		from, to := s.work.before[i], s.work.before[i+1]
		from = max(from, at)
		sum += 2*all*int64(to-from) - s.underWay(from-at, to-at)
		if cal[i].To >= last && s.finishable(cal[i].To, to-at) == all {
			break
		}
		if i+1 < len(cal) {
			sum += 2 * int64(cal[i+1].From-cal[i].To) * (all - s.finishable(cal[i].To, to-at))
		}
	}
	return sum / 2
}

// underWay is twice the sum over some of the hands' minutes of the most weight
// that is done by then.
func (s *labels) underWay(from, to int) (sum int64) {
	n := 0
	for i := range s.left {
		x := &s.left[i]
		if x.starts >= to {
			continue
		}
		lo, hi := max(from, n), min(to, n+x.size)
		if lo < hi { // grows there
			size := int64(x.size)
			sum += (x.weight*(int64(hi-n)*int64(hi-n)-int64(lo-n)*int64(lo-n)) + size - 1) / size
		}
		n += x.size
		if n >= to {
			break
		}
		sum += 2 * x.weight * int64(to-max(from, n))
	}
	return sum
}

// finishable is the most weight that can be finished by a time in so many of the
// hands' minutes, or somewhat more.
func (s *labels) finishable(by, minutes int) (weight int64) {
	before := (*leftOf)(nil)
	for i := range s.left {
		x := &s.left[i]
		if x.ends > by {
			continue
		}
		if x.size <= minutes {
			minutes -= x.size
			weight += x.weight
			before = x
			continue
		}
		without := int64(0)
		for k := i + 1; k < len(s.left); k++ {
			if y := &s.left[k]; y.ends <= by {
				without = int64(minutes) * y.weight / int64(y.size)
				break
			}
		}
		with := int64(0)
		if before != nil {
			with = max(0, x.weight-(int64(x.size-minutes)*before.weight+int64(before.size)-1)/int64(before.size))
		}
		weight += max(without, with)
		break
	}
	return weight - weight%max(1, s.unit)
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

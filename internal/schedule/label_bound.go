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

// todo is a job that has not come to its end, with its next block and stage.
type todo struct{ job, block, stage int }

// atLeast is a cost below which no row of strokes ends that begins like a label:
// each job alone from now on, with what it needs opened and on the place; and, the
// other way, all of them together (packed). Overhead that is due in any case is
// added.
func (s *labels) atLeast(l *label) (late, score int64) {
	late = l.late
	due := s.countNeeds(l)
	alone, tails, at := int64(0), int64(0), s.work.at(l.t)
	s.left, s.owing = s.left[:0], s.owing[:0]
	for _, x := range s.todo {
		job := &s.in.Jobs[x.job]
		end, tail := s.jobAtLeast(l, x, at)
		s.ends[x.job] = end
		own := job.Late(end)
		late = addUpTo(late, own)
		if s.lateIn[x.job] != nil && tail != None {
			s.owing = append(s.owing, owing{s.lateIn[x.job], own, 0, s.left[len(s.left)-1]})
		}
		alone += job.Weight * int64(end-s.in.Now)
		if tail == None {
			tail = end - s.in.Now
		}
		tails += job.Weight * int64(tail)
	}
	if late = addUpTo(late, s.overdue(l.t, at)); late > s.late {
		return late, 0
	}
	score = l.score + overheadWeight*int64(due)
	if late == s.late && score+alone >= s.score {
		return late, score + alone
	}
	return late, score + max(alone, tails+s.packed(l.t, at))
}

// jobAtLeast is when a job ends at least, and what of that comes after the hands,
// or None where they have nothing to do on it.
func (s *labels) jobAtLeast(l *label, x todo, at int) (end, tail int) {
	in, job := s.in, &s.in.Jobs[x.job]
	start := l.times[x.job]
	for _, o := range job.After {
		if s.placed[o.Job] && !s.done(l, o.Job) {
			start = max(start, s.ends[o.Job]+o.Gap)
		}
	}
	id := in.base[x.job] + x.stage
	rest := &s.rest[id]
	if rest.hands == 0 {
		end, _ = s.alone(l, x.job, x.stage, start)
		return end, None
	}
	whole, first, share := s.overheadFor(l, x.job, x.block)
	if start = max(start, l.t); first > 0 && in.blockAt[id] == x.block {
		start = max(start, s.work.end(at+first))
	}
	from := at
	if start > l.t {
		from = s.work.at(start)
	}
	hands := s.work.end(max(at+whole, from) + rest.hands)
	end, worked := s.alone(l, x.job, x.stage, start)
	y := leftOf{job.Weight, rest.hands + share, from - at, max(hands, worked)}
	if share > 0 {
		y.starts = 0
	}
	s.left = append(s.left, y)
	return max(end, hands+rest.tail), rest.tail
}

// mostOwed is the most lateness that is reckoned with times minutes.
const mostOwed = 1 << 44

// owing is a job that may cost something by being late.
type owing struct {
	in   []int64 // to end in each session
	own  int64   // in any case
	more int64   // not to end in the session looked at
	leftOf
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
			open = open || o.ends > end
			if o.more = 0; o.ends <= end {
				size += o.size
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
		return cmp.Compare(b.more*int64(a.size), a.more*int64(b.size))
	})
	for n := range s.owing {
		o := &s.owing[n]
		if o.more > 0 && o.size <= minutes {
			minutes -= o.size
			sum += o.more
		} else if o.more > 0 {
			return sum + o.more*int64(minutes)/int64(o.size)
		}
	}
	return sum
}

// countNeeds lists what is to be done and counts for how many jobs each setup has
// to be opened yet, and each subject be put onto the place. It returns the overhead
// that is due in any case: what is open must be closed and what is owed done, and
// once at least what blocks to come need.
func (s *labels) countNeeds(l *label) (due int) {
	in := s.in
	clear(s.opening)
	clear(s.moving)
	s.todo = s.todo[:0]
	open, owed := l.key.open, l.key.owed
	for _, j := range s.order {
		b := s.blockOf(l, j)
		if b == None && (l.key.next[j] > 0 || s.done(l, j)) {
			continue
		}
		s.todo = append(s.todo, todo{j, b, s.stages(l, j)})
		if b == None {
			continue
		}
		n := &s.needed[b]
		for all := n.open &^ l.key.open; all > 0; all &= all - 1 {
			s.opening[bits.TrailingZeros64(all)]++
		}
		open |= n.open
		owed |= n.call
		if c := in.Jobs[j].Subject; n.place && l.key.onPlace>>c&1 == 0 {
			if s.moving[c]++; s.moving[c] == 1 {
				due += in.Move
			}
		}
	}
	return due + s.overheadOf(open, owed, l.key.open)
}

// overheadOf is how long it takes to open setups, but those that are open, to close
// them all again and to do closing work.
func (s *labels) overheadOf(open, owed, now uint64) (minutes int) {
	for all := open; all > 0; all &= all - 1 {
		a := bits.TrailingZeros64(all)
		if minutes += s.in.Setups[a].Close; now>>a&1 == 0 {
			minutes += s.in.Setups[a].Open
		}
	}
	for ; owed > 0; owed &= owed - 1 {
		minutes += s.in.Closings[bits.TrailingZeros64(owed)].Minutes
	}
	return minutes
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
	mask := uint64(0)
	for all := s.rivals[j]; all > 0; all &= all - 1 {
		if o := bits.TrailingZeros64(all); o != j && l.key.next[o] > 0 {
			mask |= 1 << o
		}
	}
	known := &s.supplies[j<<waysBits|int(uint32(mask^mask>>32)*2654435769>>(32-waysBits))]
	if known.mask != mask|1<<63 {
		at, freed := s.supplyAt, s.freedAt // of the block under trial
		s.supplyAt = known.at
		if !s.promise(l, j) {
			s.supplyAt = s.supplyAt[:0]
		}
		known.mask, known.at = mask|1<<63, s.supplyAt
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
	mask uint64
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
	for i := range s.left { // few, and mostly in order
		for k := i; k > 0 && s.left[k].weight*int64(s.left[k-1].size) > s.left[k-1].weight*int64(s.left[k].size); k-- {
			s.left[k], s.left[k-1] = s.left[k-1], s.left[k]
		}
	}
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

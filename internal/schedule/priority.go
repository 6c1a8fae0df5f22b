package schedule

import (
	"cmp"
	"math/bits"
	"slices"
)

// Orders to try. None is best for every garage, so several are decoded and the
// best result is kept.

// orders lists the orders for an instance: fewer when there is a lot to place,
// so that the answer stays quick.
func (in *instance) orders() []order {
	late := in.byValue(in.lateFirst())
	ratio := in.byValue(in.ratios())
	pace := in.paced()
	out := []order{
		{jobs: late, sticky: true},
		{jobs: late},
		{jobs: pace},
		{jobs: pace, sticky: true},
		{jobs: ratio, sticky: true},
		{jobs: ratio},
		{jobs: late, wait: true},
		{jobs: pace, wait: true},
		{jobs: ratio, wait: true},
		{jobs: pace, wait: true, sticky: true},
		{jobs: in.bySubject(pace), sticky: true},
	}
	if len(in.Jobs) > 600 { // the second one is mostly given up where not all of them have room
		return []order{out[1], out[0]}
	}
	return out
}

// value ranks jobs: the higher class first, in it the higher ratio of gain to
// effort.
type value struct {
	class        int
	gain, effort int64
}

func compareValues(a, b value) int {
	aHigh, aLow := bits.Mul64(uint64(a.gain), uint64(b.effort))
	bHigh, bLow := bits.Mul64(uint64(b.gain), uint64(a.effort))
	return cmp.Or(cmp.Compare(b.class, a.class), cmp.Compare(bHigh, aHigh), cmp.Compare(bLow, aLow))
}

// byValue orders jobs by value, each directly after all that must come before
// it. Pinned jobs and what they need go first.
func (in *instance) byValue(values []value) []int {
	list := make([]int, len(in.Jobs))
	for j := range list {
		list[j] = j
	}
	slices.SortStableFunc(list, func(a, b int) int { return compareValues(values[a], values[b]) })
	return in.withPrerequisites(list)
}

func (in *instance) withPrerequisites(list []int) []int {
	out := make([]int, 0, len(list))
	seen := make([]bool, len(list))
	add := func(chain []int) {
		for _, j := range chain {
			if !seen[j] {
				seen[j] = true
				out = append(out, j)
			}
		}
	}
	for _, j := range list {
		if in.Jobs[j].Pinned {
			add(in.pinChain(j))
		}
	}
	for _, j := range list {
		if !seen[j] {
			if len(in.Jobs[j].After) == 0 && !in.needsFreed(j) {
				add([]int{j})
			} else {
				add(in.pinChain(j))
			}
		}
	}
	return out
}

// needsFreed says whether a job may need material that another job frees.
func (in *instance) needsFreed(j int) bool {
	for k := range in.Jobs[j].Stages {
		for _, n := range in.Jobs[j].Stages[k].Needs {
			if len(in.lacking(j, n.Material)) > 0 {
				return true
			}
		}
	}
	return false
}

// effort is the hands' minutes of a job, at least one.
func (in *instance) effort(j int) int64 {
	n := 0
	for k := range in.Jobs[j].Stages {
		if s := &in.Jobs[j].Stages[k]; s.Bench {
			n += s.Minutes
		}
	}
	return int64(max(1, n))
}

// ratios values jobs by weight over effort, together with what must come
// before them; a job is worth at least what it leads to.
func (in *instance) ratios() []value {
	out := make([]value, len(in.Jobs))
	for j := range out {
		out[j] = value{0, in.Jobs[j].Weight, in.effort(j)}
	}
	for i := len(in.order) - 1; i >= 0; i-- {
		j := in.order[i]
		for _, l := range in.next[j] {
			n := value{0, out[j].gain + out[l.Job].gain, out[j].effort + out[l.Job].effort}
			if compareValues(n, out[j]) < 0 {
				out[j] = n
			}
		}
	}
	return out
}

// lateFirst puts jobs whose lateness costs something first, by their due date.
func (in *instance) lateFirst() []value {
	out := in.ratios()
	for j := range out {
		if at, any := in.Jobs[j].firstDue(); any {
			out[j] = value{1, int64(always - at), 1}
		}
	}
	return out
}

// paced orders jobs by going through them in an assumed time: weight over
// effort, raised for a job whose lateness costs as its last start comes near.
func (in *instance) paced() []int {
	values := in.ratios()
	left := make([]int, len(in.Jobs))
	for j := range left {
		left[j] = j
	}
	spare := in.paceWindow()
	t := in.Now
	list := make([]int, 0, len(left))
	for len(left) > 0 {
		best, bestValue := 0, value{class: -1}
		for i, j := range left {
			v := values[j]
			v.gain += in.urgency(j, t, spare)
			if bestValue.class < 0 || compareValues(v, bestValue) < 0 {
				best, bestValue = i, v
			}
		}
		j := left[best]
		list = append(list, j)
		left = slices.Delete(left, best, best+1)
		t = in.plain.after(t, int(in.effort(j)))
		if t == never {
			t = in.horizon
		}
	}
	return in.withPrerequisites(list)
}

// paceWindow is how long before its last start a job begins to be urgent.
func (in *instance) paceWindow() int64 {
	return max(1440, int64(in.horizon-in.Now)/4)
}

// urgency is what a job's due dates add to its gain at a time.
func (in *instance) urgency(j, t int, window int64) (gain int64) {
	effort := in.effort(j)
	in.Jobs[j].priced(func(d Due) {
		if slack := int64(d.At-t) - effort; slack < window {
			share := (window - max(0, slack)) * 1000 / window
			gain = addUpTo(gain, (d.PerDay+d.Once)/10*share)
		}
	})
	return gain
}

// bySubject keeps the jobs of a subject together, subjects in the order of
// their first job.
func (in *instance) bySubject(list []int) []int {
	var out []int
	seen := make([]bool, len(in.Subjects))
	for _, j := range list {
		if c := in.Jobs[j].Subject; !seen[c] {
			seen[c] = true
			for _, o := range list {
				if in.Jobs[o].Subject == c {
					out = append(out, o)
				}
			}
		}
	}
	return in.withPrerequisites(out)
}

// sequenceBefore is the order in which blocks started in the schedule before.
// A block that was not in it goes where the one before it in its job is, or to
// the end.
func (in *instance) sequenceBefore() []int {
	type start struct{ block, at int }
	var list []start
	any := false
	for b := range in.blocks {
		x := &in.blocks[b]
		at := in.acts[x.job][x.from].Before
		any = any || at != 0
		switch {
		case at != 0:
		case x.from > 0 && b > in.blocksOf[x.job].From:
			at = list[b-1].at
		default:
			at = always
		}
		list = append(list, start{b, at})
	}
	if !any {
		return nil
	}
	slices.SortStableFunc(list, func(a, b start) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.block, b.block)) })
	out := make([]int, len(list))
	for i, s := range list {
		out[i] = s.block
	}
	return out
}

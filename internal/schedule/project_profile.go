package schedule

import (
	"math/bits"
	"slices"
	"sort"
)

// load is how much is taken, or free, of all tools at once: one word in which
// every tool has a lane. Above each lane lies a guard bit, set in what is free.
// Where a tool is short, taking a load from what is free borrows the guard, so
// that one subtraction compares all tools.
type load uint64

// lane is the bits of a load that belong to a tool.
type lane struct {
	tool     int
	capacity int
	shift    int
	width    int
}

// part is a lane's figure in a load.
func (l lane) part(x load) int { return int(x >> l.shift & (1<<l.width - 1)) }

// lanes lays out the tools that can be short at all: those of which all stages
// together take more than there is, or that are not always there.
func (in *instance) lanes() []lane {
	total := make([]int, len(in.Tools))
	for j := range in.Jobs {
		for k := range in.Jobs[j].Stages {
			for _, u := range in.Jobs[j].Stages[k].Tools {
				total[u.Tool] = min(total[u.Tool]+u.N, maxTime)
			}
		}
	}
	var out []lane
	shift := 0
	for i, t := range in.Tools {
		if total[i] > t.Capacity || total[i] > 0 && t.Windows != nil {
			capacity := min(t.Capacity, total[i])
			width := bits.Len(uint(capacity))
			out = append(out, lane{i, capacity, shift, width})
			shift += width + 1
		}
	}
	return out
}

// fitOneLoad says whether all lanes have room in a word.
func fitOneLoad(lanes []lane) bool {
	if len(lanes) == 0 {
		return true
	}
	l := lanes[len(lanes)-1]
	return l.shift+l.width < 64
}

func loadOf(lanes []lane, uses []Use) load {
	var x load
	for _, l := range lanes {
		for _, u := range uses {
			if u.Tool == l.tool {
				x += load(u.N) << l.shift
			}
		}
	}
	return x
}

// profile is what is free of the tools over time: from each at up to the next,
// and before the first and after the last for ever.
type profile struct {
	at     []int
	free   []load
	guards load
}

// baseProfile is the tools in their windows, with nothing placed.
func baseProfile(tools []Tool, lanes []lane) profile {
	p := profile{at: []int{-always}}
	for _, l := range lanes {
		p.guards |= 1 << (l.shift + l.width)
		for _, w := range tools[l.tool].Windows {
			p.at = append(p.at, w.From, w.To)
		}
	}
	slices.Sort(p.at)
	p.at = slices.Compact(p.at)
	p.free = make([]load, len(p.at))
	for i, t := range p.at {
		p.free[i] = p.guards
		for _, l := range lanes {
			if w := tools[l.tool].Windows; w == nil || slices.ContainsFunc(w, func(s Span) bool { return s.From <= t && t < s.To }) {
				p.free[i] += load(l.capacity) << l.shift
			}
		}
	}
	return p
}

// mirrored is a profile with time running the other way.
func (p *profile) mirrored() profile {
	m := profile{at: []int{-always}, guards: p.guards}
	for i := len(p.at) - 1; i > 0; i-- {
		m.at = append(m.at, -p.at[i])
		m.free = append(m.free, p.free[i])
	}
	m.free = append(m.free, p.free[0])
	return m
}

func (p *profile) clone() profile {
	return profile{slices.Clone(p.at), slices.Clone(p.free), p.guards}
}

// become makes a profile equal to another one, keeping its memory.
func (p *profile) become(o *profile) {
	p.at, p.free, p.guards = append(p.at[:0], o.at...), append(p.free[:0], o.free...), o.guards
}

// freeAt is what is free at a time.
func (p *profile) freeAt(t int) load {
	return p.free[sort.SearchInts(p.at, t+1)-1]
}

// place finds the earliest time from ready on at which a load is free for so
// many minutes, and takes it. It fails where the tools are never there again.
func (p *profile) place(ready, minutes int, l load) (start int, ok bool) {
	if l == 0 {
		return ready, true
	}
	i := len(p.at) - 1
	for p.at[i] > ready {
		i--
	}
	start = ready
	for k := i; ; k++ {
		if (p.free[k]-l)&p.guards != p.guards {
			if k+1 == len(p.at) {
				return never, false
			}
			i, start = k+1, p.at[k+1]
		} else if k+1 == len(p.at) || p.at[k+1] >= start+minutes {
			p.takeFrom(i, k, start, start+minutes, l)
			return start, true
		}
	}
}

// take takes a load that is free.
func (p *profile) take(start, minutes int, l load) {
	if l == 0 {
		return
	}
	i := sort.SearchInts(p.at, start+1) - 1
	p.takeFrom(i, sort.SearchInts(p.at, start+minutes)-1, start, start+minutes, l)
}

// takeFrom takes a load between two times, which lie in the stretches i and k.
func (p *profile) takeFrom(i, k, start, end int, l load) {
	if k+1 == len(p.at) || p.at[k+1] > end {
		p.split(k, end)
	}
	if p.at[i] < start {
		p.split(i, start)
		i, k = i+1, k+1
	}
	for free := p.free[i : k+1]; len(free) > 0; free = free[1:] {
		free[0] -= l
	}
}

// split cuts stretch i in two.
func (p *profile) split(i, at int) {
	n := len(p.at)
	p.at, p.free = append(p.at, 0), append(p.free, 0)
	copy(p.at[i+2:], p.at[i+1:n])
	copy(p.free[i+2:], p.free[i+1:n])
	p.at[i+1], p.free[i+1] = at, p.free[i]
}

package schedule

import "slices"

// Small garages are planned by going through all sequences. A sequence is cut
// short as soon as what is placed, with everything that is left ended as soon
// as by itself it could be, costs more than the best one found.

// exactBlocks is how many blocks may be left for all their sequences to be gone
// through, and exactNodes how many places are tried at most for that.
const (
	exactBlocks = 10
	exactNodes  = 60_000
)

// allSequences goes through the sequences of a search.
type allSequences struct {
	*search
	depth   []*draft // the bench after so many blocks
	used    []bool   // by block
	current []int
	rest    []int // by block: minutes from its start to its job's end, hands and clock
	nodes   int
}

// enumerate finds the best of all sequences. It says whether it went through
// them all.
func (s *search) enumerate() bool {
	e := allSequences{search: s, used: make([]bool, len(s.in.blocks)), rest: make([]int, len(s.in.blocks))}
	e.depth = []*draft{s.points[0]}
	for range s.seq {
		e.depth = append(e.depth, newDraft(s))
	}
	for b := range e.rest {
		e.rest[b] = s.in.minutesFrom(b)
	}
	e.from(0)
	return e.nodes <= exactNodes
}

// minutesFrom is how long it takes at least from a block's start to its job's
// end.
func (in *instance) minutesFrom(b int) int {
	x, n := &in.blocks[b], 0
	for k := x.from; k < len(in.acts[x.job]); k++ {
		n += in.acts[x.job][k].Minutes // zero for days outside
	}
	return n
}

// from goes through all ways to go on after so many blocks.
func (e *allSequences) from(n int) {
	if n == len(e.seq) {
		d := e.work
		d.copyFrom(e.depth[n])
		if cost, ok := d.total(true); ok && cost.Less(e.bestCost) {
			e.bestCost = cost
			e.best = slices.Clone(e.current)
		}
		return
	}
	for _, b := range e.seq {
		if e.used[b] || !e.comesNext(b) || e.nodes > exactNodes {
			continue
		}
		e.nodes++
		d := e.depth[n+1]
		d.copyFrom(e.depth[n])
		if !d.place(b) {
			continue
		}
		e.used[b] = true
		if e.atLeast(d).Less(e.bestCost) {
			e.current = append(e.current, b)
			e.from(n + 1)
			e.current = e.current[:n]
		}
		e.used[b] = false
	}
}

// comesNext says whether all blocks before a block are placed.
func (e *allSequences) comesNext(b int) bool {
	for _, o := range e.in.blocks[b].after {
		if e.at[o] != None && !e.used[o] {
			return false
		}
	}
	return true
}

// atLeast is a cost that no sequence goes below that begins like a draft: every
// job left ends as if it were next.
func (e *allSequences) atLeast(d *draft) Cost {
	c := d.cost
	for j := range d.jobs {
		x := &d.jobs[j]
		if x.end != None || !e.placed[j] || x.next >= e.in.blocksOf[j].To {
			continue
		}
		b := &e.in.blocks[x.next]
		start := max(x.ready, e.release[j])
		if b.hands {
			start = max(start, d.t)
		}
		end := start + e.rest[x.next]
		c.Late = addUpTo(c.Late, e.in.Jobs[j].Late(end))
		c.Weighted += e.in.Jobs[j].Weight * int64(end-e.in.Now)
	}
	return c
}

// sketched says whether drafts of an instance leave nothing out and nothing but
// the sequence decides: only then the best draft proves anything. Where there is
// overhead, when to have it is settled by rule, and a schedule that puts it off
// for ever may cost less.
func (in *instance) sketched() bool {
	if in.aside || in.blackouts || len(in.holds)+len(in.Setups)+len(in.Closings) > 0 || in.HasPlace && in.Move > 0 {
		return false
	}
	for j := range in.Jobs {
		if in.Jobs[j].Pinned {
			return false
		}
		for k := range in.acts[j] {
			if len(in.acts[j][k].Tools) > 0 {
				return false
			}
		}
	}
	return true
}

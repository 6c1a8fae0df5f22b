package schedule

import (
	"cmp"
	"slices"
)

// bound is a price that no schedule can be below: that of every job ending at
// the earliest time it could if it had the tools for itself and for what comes
// before it.
func (p *project) bound() price {
	head := p.heads()
	start := slices.Clone(head)
	for _, j := range p.paid {
		i := p.last(j)
		if len(p.paid) > manyPaid {
			break
		}
		tail := p.tailsTo(i)
		for _, l := range p.lanes {
			start[i] = max(start[i], p.crowded(l, head, tail)-p.tasks[i].minutes)
		}
	}
	return p.price(start)
}

// manyPaid is from how many jobs on that cost something it is no use to look
// at the tools for each of them alone: they stand in one another's way.
const manyPaid = 8

// heads are the earliest starts by the critical path, every task with the
// tools for itself.
func (p *project) heads() []int {
	head := make([]int, len(p.tasks))
	var alone profile
	for i := range p.tasks {
		t := &p.tasks[i]
		head[i] = t.release
		for _, b := range p.forward.before[i] {
			head[i] = max(head[i], head[b.task]+p.tasks[b.task].minutes+b.gap)
		}
		alone.become(&p.forward.base)
		head[i], _ = alone.place(head[i], t.minutes, t.load)
	}
	return head
}

// tailsTo is for every task how long after its end another one ends at least,
// or None when it need not come before that.
func (p *project) tailsTo(last int) []int {
	tail := make([]int, len(p.tasks))
	for i := range tail {
		tail[i] = None
	}
	tail[last] = 0
	for i := last; i >= 0; i-- {
		if tail[i] == None {
			continue
		}
		for _, b := range p.forward.before[i] {
			tail[b.task] = max(tail[b.task], b.gap+p.tasks[i].minutes+tail[i])
		}
	}
	return tail
}

// crowded is the earliest end that one tool allows: for all tasks that start
// no earlier than some time and leave at least some time after them, their work
// must fit between the two. It is tried for every pair of such times.
func (p *project) crowded(l lane, head, tail []int) int {
	var byHead []int
	for i, q := range tail {
		if q != None && l.part(p.tasks[i].load) > 0 {
			byHead = append(byHead, i)
		}
	}
	slices.SortFunc(byHead, func(a, b int) int { return cmp.Compare(head[b], head[a]) })
	best := 0
	for _, k := range byHead {
		work := 0
		for _, i := range byHead {
			if tail[i] < tail[k] {
				continue
			}
			work += p.tasks[i].minutes * l.part(p.tasks[i].load)
			best = max(best, head[i]+(work+l.capacity-1)/l.capacity+tail[k])
		}
	}
	return best
}

package schedule

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// plan is a schedule as the search knows it: what it costs, and a list to
// generate the opposite one from, that goes the other way in time.
type plan struct {
	list  []int
	price price
}

// breeding is a genetic search over lists. It keeps two halves of a population,
// plans that go forward and plans that go backward in time. Two plans of a half
// have a child, a list of the mother's order with a stretch of the father's,
// and the child's schedule goes the other way. So to be justified and to be
// bred is one step, and costs one schedule. A child takes the father's place in
// the other half when the plan there is no better (after Debels and Vanhoucke
// 2007, and Hartmann 1998 for the lists; both from memory).
//
// A schedule that goes backward has a price of its own only where the one thing
// that counts is when the project ends. Elsewhere there is one half alone:
// children go forward and are justified, which costs two schedules.
type breeding struct {
	*builder
	rng    *rand.Rand
	effort int
	bound  price
	twin   bool // both directions

	start, late []int // of the schedule under way
	child       []int
	spare       []int
	part        []uint8 // by task: before, in or after the father's stretch

	best      []int // the starts of the best schedule
	bestPrice price
	proven    bool // that there is nothing better
}

// The generator is seeded alike each time, so that equal problems have equal
// results.
func newBreeding(p *project, effort int) *breeding {
	n := len(p.tasks)
	return &breeding{
		builder: newBuilder(p), rng: rand.New(rand.NewPCG(2007, 1998)), effort: effort,
		bound: p.bound(), twin: p.endCounts(), start: make([]int, n), late: make([]int, n),
		child: make([]int, n), spare: make([]int, n), part: make([]uint8, n), best: make([]int, n), bestPrice: dear,
	}
}

// endCounts says whether only the end of the whole project counts, and nothing
// but what comes before holds a task back.
func (p *project) endCounts() bool {
	last := len(p.tasks) - 1
	if len(p.paid) != 1 || p.last(p.paid[0]) != last || len(p.forward.base.at) > 1 {
		return false
	}
	return !slices.Contains(p.tailsTo(last), None) &&
		!slices.ContainsFunc(p.tasks, func(t task) bool { return t.release != p.tasks[0].release })
}

// halfSize is how many plans there are in a half: more when there is time to
// breed them, since a small population soon has one ancestor.
func (g *breeding) halfSize() int { return min(max(10, g.effort/40), 400) }

func (g *breeding) run() {
	g.sample(g.p.rules()[0], 2)
	g.decode(&plan{list: g.spare}, false)
	if !g.over() && !g.enumerate() {
		g.search()
	}
	g.proven = g.proven || !g.bound.less(g.bestPrice)
	g.tidy()
}

// enumerate settles a small project for good.
func (g *breeding) enumerate() bool {
	n := len(g.p.tasks)
	if n > enumerable {
		return false
	}
	best, done := g.p.enumerate(min(enumerated, g.effort*n), g.bestPrice)
	if best != nil {
		g.best, g.bestPrice = best, g.p.price(best)
	}
	g.proven = done
	return done
}

// search breeds until there is nothing left to gain or to spend.
func (g *breeding) search() {
	forward := g.settle()
	back := forward
	if g.twin {
		back = g.opposite(forward)
	}
	for !g.over() {
		g.breed(back, forward, false)
		if g.twin {
			g.breed(forward, back, true)
		}
	}
}

// over says whether there is nothing left to gain or to spend.
func (g *breeding) over() bool { return g.built >= g.effort || !g.bound.less(g.bestPrice) }

// settle makes the first plans, from lists by several rules and by chance.
func (g *breeding) settle() []plan {
	rules := g.p.rules()
	plans := make([]plan, g.halfSize())
	for k := range plans {
		plans[k] = plan{make([]int, len(g.child)), dear}
		if !g.over() {
			g.sample(rules[k%len(rules)], k/len(rules)%3)
			g.decode(&plans[k], false)
		}
	}
	return plans
}

// opposite makes the first plans that go backward.
func (g *breeding) opposite(forward []plan) []plan {
	plans := make([]plan, len(forward))
	for k := range plans {
		plans[k] = plan{make([]int, len(g.child)), dear}
		if !g.over() {
			copy(g.child, forward[k].list)
			g.decode(&plans[k], true)
		}
	}
	return plans
}

// breed lets every plan of a half have a child by a good one of the same half.
func (g *breeding) breed(parents, others []plan, back bool) {
	spare := plan{list: g.spare}
	for f := range parents {
		if g.over() {
			break
		}
		mother, father := g.pick(parents), &parents[f]
		if g.rng.Uint64()&1 == 0 {
			mother, father = father, mother
		}
		g.cross(mother.list, father.list)
		g.mutate(back)
		if g.decode(&spare, back); !others[f].price.less(spare.price) {
			others[f], spare = spare, others[f]
		}
	}
	g.spare = spare.list
}

// pick is the better one of two plans.
func (g *breeding) pick(plans []plan) *plan {
	a, b := &plans[g.rng.IntN(len(plans))], &plans[g.rng.IntN(len(plans))]
	if b.price.less(a.price) {
		return b
	}
	return a
}

// cross makes the child: the mother's order, but for a stretch of the father's
// order. What comes before the stretch in his order comes before it in the
// child too, so nothing stands before what it follows.
func (g *breeding) cross(mother, father []int) {
	from, to := g.rng.IntN(len(father)+1), g.rng.IntN(len(father)+1)
	from, to = min(from, to), max(from, to)
	for k, i := range father {
		switch {
		case k < from:
			g.part[i] = 0
		case k < to:
			g.part[i] = 1
		default:
			g.part[i] = 2
		}
	}
	next := [3]int{0, from, to}
	for _, i := range mother {
		g.child[next[g.part[i]]] = i
		next[g.part[i]]++
	}
	copy(g.child[from:to], father[from:to])
}

// mutate moves some tasks of the child's list up or down, up to what must stay
// before or after them.
func (g *breeding) mutate(back bool) {
	before := g.p.side(back).before
	far := len(g.child) / 4
	for range moved {
		k, by := g.rng.IntN(len(g.child)), g.rng.IntN(2*far+1)-far
		for ; by > 0 && k+1 < len(g.child) && g.exchange(k, before); by-- {
			k++
		}
		for ; by < 0 && k > 0 && g.exchange(k-1, before); by++ {
			k--
		}
	}
}

// moved is how many tasks a mutation moves.
const moved = 2

// exchange lets two neighbours in the child's list change places if they may.
func (g *breeding) exchange(k int, before [][]bond) bool {
	a, b := g.child[k], g.child[k+1]
	for _, o := range before[b] {
		if o.task == a {
			return false
		}
	}
	g.child[k], g.child[k+1] = b, a
	return true
}

// decode makes the child's schedule, and a plan of it.
func (g *breeding) decode(x *plan, back bool) {
	if back {
		g.backward(g.child, g.start)
		g.turn()
	} else if !g.forward(g.child, g.start) {
		x.price = dear
		copy(x.list, g.child)
		return
	}
	if x.price = g.p.price(g.start); x.price.less(g.bestPrice) {
		g.bestPrice = x.price
		copy(g.best, g.start)
	}
	switch {
	case back:
		g.byStart(g.start, x.list)
	case g.twin:
		g.byEnd(g.start, x.list)
	default:
		g.justify(g.start, g.late, x.list)
	}
}

// turn lets a schedule that was made backward run forward, from the first
// moment on.
func (g *breeding) turn() {
	first := 0
	for i := range g.start {
		g.start[i] = -(g.start[i] + g.p.tasks[i].minutes)
		first = min(first, g.start[i])
	}
	for i := range g.start {
		g.start[i] += g.p.tasks[0].release - first
	}
}

// tidy starts everything in the best schedule as early as it can be in the
// order in which it starts there, so that nothing waits without a reason.
func (g *breeding) tidy() {
	if g.bestPrice != dear {
		g.byStart(g.best, g.child)
		g.forward(g.child, g.start)
		copy(g.best, g.start)
	}
}

// sample makes a list by chance: of those that can come next, the most pressing
// one of some that are drawn.
func (g *breeding) sample(press []int64, draws int) {
	waits, list := g.keys, g.child[:0]
	for i := range waits {
		if waits[i] = len(g.p.forward.before[i]); waits[i] == 0 {
			list = append(list, i)
		}
	}
	for at := range waits { // what lies in the list from here on can come next
		next := at + g.rng.IntN(len(list)-at)
		for range draws {
			if o := at + g.rng.IntN(len(list)-at); press[list[o]] > press[list[next]] {
				next = o
			}
		}
		list[at], list[next] = list[next], list[at]
		for _, o := range g.p.back.before[list[at]] {
			if waits[o.task]--; waits[o.task] == 0 {
				list = append(list, o.task)
			}
		}
	}
}

// rules say, each in its way, how pressing every task is: how long it is to the
// end from there, what the end is worth for the time that it takes, and how soon
// an end is due. A rule that knows no difference is left out.
func (p *project) rules() [][]int64 {
	n := len(p.tasks)
	length, worth, due := make([]int64, n), make([]int64, n), make([]int64, n)
	for i := n - 1; i >= 0; i-- {
		t := &p.tasks[i]
		job := &p.in.Jobs[t.job]
		due[i] = -never
		if i == p.last(t.job) {
			worth[i] = job.Weight
			if at, any := job.firstDue(); any {
				due[i] = -int64(at)
			}
		}
		for _, o := range p.back.before[i] {
			length[i] = max(length[i], int64(o.gap)+length[o.task])
			worth[i] = addUpTo(worth[i], worth[o.task])
			due[i] = max(due[i], int64(o.gap)+due[o.task])
		}
		length[i] += int64(t.minutes)
		due[i] += int64(t.minutes)
	}
	for i := range worth {
		worth[i] = worth[i] / (1 + length[i])
	}
	rules := [][]int64{length}
	if len(p.paid) > 1 {
		rules = append(rules, worth, due)
	}
	return rules
}

// solveProject solves an instance that is a project. It fails where it is none,
// or where not everything has a place.
func (in *instance) solveProject() (Result, bool) {
	p, ok := in.asProject()
	if !ok || slices.Max(p.heads()) >= never {
		return Result{}, false
	}
	g := newBreeding(p, cmp.Or(in.Effort, p.quick()))
	if g.run(); g.bestPrice == dear {
		return Result{}, false
	}
	r := p.result(g.best)
	r.Optimal, r.Decodes = g.proven, g.built
	return r, true
}

// quick is how many schedules are soon made: in some ten milliseconds up to a
// hundred tasks, in a tenth of a second for a thousand.
func (p *project) quick() int {
	n := len(p.tasks)
	return max(300, min(800*n, 1_200_000/(n+n*n/60)))
}

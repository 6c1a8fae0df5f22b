package schedule

// enumeration goes through all schedules of a small project: it starts one task
// after another, each as early as it can, in the order of their starts. Some
// best schedule is made that way, since in the order of their starts the tasks
// of any schedule can be started no later than there, one by one.
type enumeration struct {
	p      *project
	nodes  int // how many starts may still be tried
	placed []bool
	tools  []profile // by how many tasks are placed
	start  []int
	heads  [][]int // the earliest starts, by how many tasks are placed

	best      []int
	bestPrice price
}

// enumerable is up to how many tasks it is tried, and enumerated how many
// starts are tried at most. All orders of seven tasks are fewer.
const (
	enumerable = 12
	enumerated = 20_000
)

// enumerate finds a schedule below a price, if there is one. It says whether it
// got to the end; then what it found, or else that price, is the best there is.
func (p *project) enumerate(nodes int, below price) (best []int, done bool) {
	n := len(p.tasks)
	e := &enumeration{p: p, nodes: nodes, placed: make([]bool, n), tools: make([]profile, n+1), start: make([]int, n), heads: make([][]int, n+1), bestPrice: below}
	for d := range e.heads {
		e.heads[d] = make([]int, n)
	}
	e.tools[0].become(&p.forward.base)
	e.from(0, -1)
	return e.best, e.nodes >= 0
}

// from tries all tasks that can be the next to start.
func (e *enumeration) from(placed, last int) {
	if !e.hopeful(placed, last) {
		return
	}
	if placed == len(e.placed) {
		e.best, e.bestPrice = append(e.best[:0], e.start...), e.p.price(e.start)
		return
	}
	for i := range e.placed {
		if e.placed[i] || !e.ready(i) {
			continue
		}
		if e.nodes--; e.nodes < 0 {
			return
		}
		tools, t := &e.tools[placed+1], &e.p.tasks[i]
		tools.become(&e.tools[placed])
		at, ok := tools.place(e.earliest(i, e.start), t.minutes, t.load)
		if !ok || last != None && key(at, i) < key(e.start[last], last) {
			continue
		}
		e.placed[i], e.start[i] = true, at
		e.from(placed+1, i)
		e.placed[i] = false
	}
}

// ready says whether all before a task is placed.
func (e *enumeration) ready(i int) bool {
	for _, o := range e.p.forward.before[i] {
		if !e.placed[o.task] {
			return false
		}
	}
	return true
}

// earliest is when what comes before a task lets it start.
func (e *enumeration) earliest(i int, start []int) int {
	t := e.p.tasks[i].release
	for _, o := range e.p.forward.before[i] {
		t = max(t, start[o.task]+e.p.tasks[o.task].minutes+o.gap)
	}
	return t
}

// hopeful says whether a better schedule could still come of what is placed:
// nothing else starts before the task placed last.
func (e *enumeration) hopeful(placed, last int) bool {
	head := e.heads[placed]
	for i := range head {
		if head[i] = e.start[i]; !e.placed[i] {
			if head[i] = e.earliest(i, head); last != None {
				head[i] = max(head[i], e.start[last])
			}
		}
	}
	return e.p.price(head).less(e.bestPrice)
}

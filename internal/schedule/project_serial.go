package schedule

import "slices"

// builder makes schedules of a project. It reuses its memory: nothing is
// allocated from the second schedule on.
type builder struct {
	p     *project
	tools profile
	built int   // how many schedules
	limit []int // the earliest start of each task, in the direction under way
	keys  []int
}

func newBuilder(p *project) *builder {
	n := len(p.tasks)
	return &builder{p: p, limit: make([]int, n), keys: make([]int, n)}
}

// serial is serial schedule generation: it goes through a list in which
// nothing stands before what comes before it, and starts each task as early as
// those before it in the list let it.
func (b *builder) serial(s *side, list, start []int) bool {
	b.built++
	b.tools.become(&s.base)
	tasks := b.p.tasks
	for _, i := range list {
		t := b.limit[i]
		for _, o := range s.before[i] {
			t = max(t, start[o.task]+tasks[o.task].minutes+o.gap)
		}
		at, ok := b.tools.place(t, tasks[i].minutes, tasks[i].load)
		if !ok {
			return false
		}
		start[i] = at
	}
	return true
}

// forward generates a schedule as early as a list allows.
func (b *builder) forward(list, start []int) bool {
	for i := range b.limit {
		b.limit[i] = b.p.tasks[i].release
	}
	return b.serial(b.p.forward, list, start)
}

// backward generates a schedule, seen backward, as late as a list allows that
// goes backward too, up to time zero.
func (b *builder) backward(list, start []int) {
	clear(b.limit)
	b.serial(b.p.back, list, start)
}

// justify pushes all tasks of a schedule as late as they can be without a job
// that costs something ending later, the last first, and lists them by their
// start then. To generate the schedule of that list is to push everything back
// to the left: no task starts later than it did before it was pushed to the
// right, so no job ends later, and often some end earlier (Li and Willis 1992,
// Valls, Ballestín and Quintanilla 2005; both from memory).
func (b *builder) justify(start, late, list []int) {
	b.holdEnds(start)
	b.byEnd(start, list)
	b.serial(b.p.back, list, late)
	for i := range late {
		late[i] = -(late[i] + b.p.tasks[i].minutes)
	}
	b.byStart(late, list)
}

// holdEnds lets no job that costs something end later than in a schedule, and
// nothing later than its last end. Seen backward, that is where tasks start at
// the earliest.
func (b *builder) holdEnds(start []int) {
	last := b.p.in.Now
	for i := range start {
		last = max(last, start[i]+b.p.tasks[i].minutes)
	}
	for i := range b.limit {
		b.limit[i] = -last
	}
	for _, j := range b.p.paid {
		i := b.p.last(j)
		end := start[i] + b.p.tasks[i].minutes
		if job := &b.p.in.Jobs[j]; job.Weight == 0 {
			end = min(last, max(end, job.Due))
		}
		b.limit[i] = -end
	}
}

// byStart lists tasks by their start, the first first.
func (b *builder) byStart(start, list []int) {
	for i := range start {
		b.keys[i] = key(start[i], i)
	}
	slices.Sort(b.keys)
	for at, k := range b.keys {
		list[at] = taskOf(k)
	}
}

// byEnd lists tasks by their end, the last first.
func (b *builder) byEnd(start, list []int) {
	for i := range start {
		b.keys[i] = -key(start[i]+b.p.tasks[i].minutes, i)
	}
	slices.Sort(b.keys)
	for at, k := range b.keys {
		list[at] = taskOf(-k)
	}
}

// key is a time and a task in one figure, to be sorted by both.
func key(time, task int) int { return time<<taskBits | task }

func taskOf(key int) int { return key & (maxTasks - 1) }

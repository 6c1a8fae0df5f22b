package schedule

import (
	"cmp"
	"slices"
)

// project is an instance in which the hands, the place and all that goes with
// them play no part: clock stages on tools, and nothing else. That is the
// resource-constrained project of the literature, and it is solved as one.
//
// Its tasks are the stages, numbered so that what comes first has the lower
// number.
type project struct {
	in      *instance
	tasks   []task
	first   []int // by job, its first task
	paid    []int // jobs whose end costs something
	lanes   []lane
	forward *side
	back    *side
}

// task is a stage of a project.
type task struct {
	job, stage int
	minutes    int
	load       load
	release    int
}

// bond is a task that comes before, and how long it must be over.
type bond struct{ task, gap int }

// side picks a direction of time.
func (p *project) side(back bool) *side {
	if back {
		return p.back
	}
	return p.forward
}

// side is a project in one direction of time. Seen backward, time is negated:
// the start of a task is its end with the sign changed, what followed comes
// before, and windows lie the other way round. So one generator serves both.
type side struct {
	before [][]bond
	base   profile // the tools before anything is placed
}

// Times and task numbers are sorted as one figure, so both are limited.
const (
	taskBits = 20
	maxTasks = 1 << taskBits
	maxTime  = 1 << 40
)

// asProject recognises a project.
func (in *instance) asProject() (*project, bool) {
	if !in.isProject() {
		return nil, false
	}
	p := &project{in: in, first: make([]int, len(in.Jobs))}
	if p.lanes = in.lanes(); !fitOneLoad(p.lanes) {
		return nil, false
	}
	for _, j := range in.order {
		job := &in.Jobs[j]
		p.first[j] = len(p.tasks)
		for k := range job.Stages {
			s := &job.Stages[k]
			p.tasks = append(p.tasks, task{j, k, s.Minutes, loadOf(p.lanes, s.Tools), in.release(j).at})
		}
	}
	for j := range in.Jobs {
		if job := &in.Jobs[j]; job.Weight != 0 || job.LatePerDay != 0 || job.LateOnce != 0 || len(job.MoreDues) > 0 {
			p.paid = append(p.paid, j)
		}
	}
	p.makeSides()
	return p, p.latest() < maxTime
}

// isProject says whether there is nothing in a problem but what a project has.
func (in *instance) isProject() bool {
	if in.stages == 0 || in.stages >= maxTasks {
		return false
	}
	for c := range in.Subjects {
		if s := &in.Subjects[c]; s.Placed || s.Stuck || len(s.Blackouts) > 0 {
			return false
		}
	}
	if slices.ContainsFunc(in.Setups, func(s Setup) bool { return s.IsOpen }) {
		return false
	}
	for j := range in.Jobs {
		job := &in.Jobs[j]
		if job.Pinned || job.Weight < 0 || len(job.Stages) == 0 {
			return false
		}
		for k := range job.Stages {
			if !in.isTask(&job.Stages[k]) {
				return false
			}
		}
	}
	return true
}

// isTask says whether a stage takes nothing but time and tools. A stage that
// takes tools for no time at all is left to the decoder: it may stand between
// two windows.
func (in *instance) isTask(s *Stage) bool {
	if s.Bench || s.Ends != nil || s.Helpers > 0 || s.Place || s.Hold != Free || s.Tied ||
		len(s.Setups)+len(s.Closings)+len(s.Needs) > 0 {
		return false
	}
	for _, u := range s.Tools {
		if u.N > in.Tools[u.Tool].Capacity || u.N > 0 && s.Minutes == 0 {
			return false
		}
	}
	return s.Minutes >= 0
}

// makeSides works out what each direction of time needs.
func (p *project) makeSides() {
	n := len(p.tasks)
	p.forward = &side{before: make([][]bond, n), base: baseProfile(p.in.Tools, p.lanes)}
	p.back = &side{before: make([][]bond, n), base: p.forward.base.mirrored()}
	link := func(from, to, gap int) {
		p.forward.before[to] = append(p.forward.before[to], bond{from, gap})
		p.back.before[from] = append(p.back.before[from], bond{to, gap})
	}
	for i := range p.tasks {
		t := &p.tasks[i]
		if t.stage > 0 {
			link(i-1, i, 0)
			continue
		}
		for _, l := range p.in.Jobs[t.job].After {
			link(p.last(l.Job), i, l.Gap)
		}
	}
}

// last is the last task of a job.
func (p *project) last(j int) int { return p.first[j] + len(p.in.Jobs[j].Stages) - 1 }

// latest is a time by which everything could be over if windows let it.
func (p *project) latest() int {
	t := p.in.Now
	for i := range p.tasks {
		t = max(t, p.tasks[i].release)
	}
	for i := range p.tasks {
		t += p.tasks[i].minutes
		for _, b := range p.forward.before[i] {
			t += b.gap
		}
	}
	for _, at := range p.forward.base.at[1:] {
		t = max(t, at)
	}
	return t
}

// price is what a project is judged by, the first difference deciding.
type price struct{ late, weighted int64 }

func (c price) less(o price) bool {
	return c.late < o.late || c.late == o.late && c.weighted < o.weighted
}

// dear is more than any schedule costs.
var dear = price{late: 1<<63 - 1}

// price is what a schedule costs.
func (p *project) price(start []int) price {
	var c price
	for _, j := range p.paid {
		i := p.last(j)
		job, end := &p.in.Jobs[j], start[i]+p.tasks[i].minutes
		c.late = addUpTo(c.late, job.Late(end))
		c.weighted = addUpTo(c.weighted, job.Weight*int64(end-p.in.Now))
	}
	return c
}

// result is a schedule with its reasons.
func (p *project) result(start []int) Result {
	r := Result{Ends: make([]int, len(p.in.Jobs))}
	for j := range r.Ends {
		i := p.last(j)
		r.Ends[j] = start[i] + p.tasks[i].minutes
	}
	why := p.reasons(start)
	for i := range p.tasks {
		t := &p.tasks[i]
		r.Placed = append(r.Placed, Placed{Job: t.job, Stage: t.stage, Span: Span{start[i], start[i] + t.minutes}, Why: why[i]})
	}
	slices.SortFunc(r.Placed, func(a, b Placed) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Stage, b.Stage))
	})
	c := p.price(start)
	r.Cost = Cost{Late: c.late, Weighted: c.weighted}
	return r
}

// reasons says for every task what pushed its start last: its job's own times,
// what came before it, or else the tool that was not free just before.
func (p *project) reasons(start []int) []Reason {
	whole := p.forward.base.clone()
	for i := range p.tasks {
		whole.take(start[i], p.tasks[i].minutes, p.tasks[i].load)
	}
	why := make([]Reason, len(p.tasks))
	for i := range p.tasks {
		t := &p.tasks[i]
		own := p.in.release(t.job)
		for _, b := range p.forward.before[i] {
			o := &p.tasks[b.task]
			if at := start[b.task] + o.minutes + b.gap; at > own.at && o.job == t.job {
				own = moment{at, Reason{ByStage, o.stage, at}}
			} else {
				own.later(at, ByJob, o.job)
			}
		}
		if why[i] = own.why; own.at < start[i] {
			why[i] = Reason{ByTool, p.lacking(whole.freeAt(start[i]-1), t.load), start[i]}
		}
	}
	return why
}

// lacking is a tool of which less is free than a load takes.
func (p *project) lacking(free, l load) int {
	for _, lane := range p.lanes {
		if lane.part(free) < lane.part(l) {
			return lane.tool
		}
	}
	return None
}

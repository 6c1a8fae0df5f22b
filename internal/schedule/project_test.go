package schedule_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"axlestand/internal/schedule"
)

// shape says what a random project may have beside tasks and links.
type shape struct {
	jobs    int
	stages  int  // at most, of one job
	windows bool // tools that are not always there
	end     bool // only the end of the last job counts; else every job has a weight and a due date
}

// randomProject makes up a project. Its windows come again and again, overlap, and go on for so
// long that everything finds a place.
func randomProject(random *rand.Rand, s shape) *schedule.Problem {
	p := &schedule.Problem{Now: random.IntN(50), Subjects: []schedule.Subject{{}, {Arrives: 40}}}
	for range 1 + random.IntN(3) {
		t := schedule.Tool{Capacity: 1 + random.IntN(4)}
		if s.windows && random.IntN(2) == 0 {
			for from := random.IntN(10); from < 4000; from += 40 {
				t.Windows = append(t.Windows, schedule.Span{From: from, To: from + 30})
			}
		}
		p.Tools = append(p.Tools, t)
	}
	for j := range s.jobs {
		job := schedule.Job{Pin: schedule.None}
		for o := range j {
			if s.end && j == s.jobs-1 || random.IntN(4) == 0 {
				job.After = append(job.After, schedule.Link{Job: o, Gap: random.IntN(2) * random.IntN(9)})
			}
		}
		for range 1 + random.IntN(s.stages) {
			job.Stages = append(job.Stages, randomTask(random, p.Tools))
		}
		if !s.end {
			job.Subject, job.Release = random.IntN(2), random.IntN(2)*random.IntN(120)
			job.Weight = int64(random.IntN(4))
			job.Due, job.LatePerDay, job.LateOnce = random.IntN(200), int64(random.IntN(3)), int64(random.IntN(3))
		} else if j == s.jobs-1 {
			job.Weight = 1
		}
		p.Jobs = append(p.Jobs, job)
	}
	return p
}

func randomTask(random *rand.Rand, tools []schedule.Tool) schedule.Stage {
	s := schedule.Stage{Minutes: random.IntN(13)}
	for i, t := range tools {
		if n := random.IntN(t.Capacity + 1); n > 0 && s.Minutes > 0 {
			s.Tools = append(s.Tools, schedule.Use{Tool: i, N: n})
		}
	}
	return s
}

// faults goes over a schedule minute by minute. It knows the problem and the result and nothing of how that came about.
func faults(p *schedule.Problem, r schedule.Result) (out []string) {
	ends := make([]int, len(p.Jobs))
	at := map[[2]int]schedule.Span{}
	for _, x := range r.Placed {
		at[[2]int{x.Job, x.Stage}] = x.Span
	}
	for j := range p.Jobs {
		job := &p.Jobs[j]
		ready := max(p.Now, job.Release, p.Subjects[job.Subject].Arrives)
		for _, l := range job.After {
			k := len(p.Jobs[l.Job].Stages) - 1
			ready = max(ready, at[[2]int{l.Job, k}].To+l.Gap)
		}
		for k, s := range job.Stages {
			x, ok := at[[2]int{j, k}]
			if !ok || x.From < ready || x.To != x.From+s.Minutes {
				out = append(out, fmt.Sprintf("job %d stage %d at %v, placed %v, ready at %d", j, k, x, ok, ready))
			}
			ready, ends[j] = x.To, x.To
		}
	}
	if len(r.Placed) != len(at) || len(r.Unplaced) > 0 || !slices.Equal(ends, r.Ends) {
		out = append(out, fmt.Sprintf("%d of %d stages, ends %v, said %v", len(r.Placed), len(at), ends, r.Ends))
	}
	if late, weighted := costOf(p, ends); late != r.Cost.Late || weighted != r.Cost.Weighted {
		out = append(out, fmt.Sprintf("cost %d and %d, said %+v", late, weighted, r.Cost))
	}
	return append(out, overuse(p, r)...)
}

func costOf(p *schedule.Problem, ends []int) (late, weighted int64) {
	for j, end := range ends {
		job := &p.Jobs[j]
		weighted += job.Weight * int64(end-p.Now)
		if over := end - job.Due; over > 0 {
			late += job.LateOnce
			for ; over > 0; over -= 24 * 60 {
				late += job.LatePerDay
			}
		}
	}
	return late, weighted
}

// overuse lists the minutes in which more of a tool is taken than there is.
func overuse(p *schedule.Problem, r schedule.Result) (out []string) {
	type minute struct{ tool, at int }
	used := map[minute]int{}
	for _, x := range r.Placed {
		for _, u := range p.Jobs[x.Job].Stages[x.Stage].Tools {
			for t := x.From; t < x.To; t++ {
				used[minute{u.Tool, t}] += u.N
			}
		}
	}
	for m, n := range used {
		tool := p.Tools[m.tool]
		there := tool.Windows == nil || slices.ContainsFunc(tool.Windows, func(w schedule.Span) bool { return w.From <= m.at && m.at < w.To })
		if n > tool.Capacity || n > 0 && !there {
			out = append(out, fmt.Sprintf("tool %d at %d: %d of %d, there %v", m.tool, m.at, n, tool.Capacity, there))
		}
	}
	return out
}

func TestSolve_projectIsFeasible(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 1996))
	for n := range 400 {
		s := shape{jobs: 1 + random.IntN(25), stages: 1 + random.IntN(3), windows: n%2 == 0, end: n%4 < 2}
		p := randomProject(random, s)
		p.Effort = 200
		r := schedule.Solve(p)
		for _, f := range faults(p, r) {
			t.Errorf("project %d of %+v: %s", n, s, f)
		}
		for _, f := range wrongReasons(p, r) {
			t.Errorf("project %d of %+v: %s", n, s, f)
		}
	}
}

// wrongReasons lists the stages of which the reason is not what holds them: with everything else where it is, a stage must not
// be able to start a minute earlier, and that must be for the reason given.
func wrongReasons(p *schedule.Problem, r schedule.Result) (out []string) {
	for n, x := range r.Placed {
		earlier := schedule.Result{Placed: slices.Clone(r.Placed)}
		earlier.Placed[n].Span = schedule.Span{From: x.From - 1, To: x.To - 1}
		job := &p.Jobs[x.Job]
		right := false
		switch x.Why.Kind {
		case schedule.ByNow:
			right = x.From == p.Now
		case schedule.ByRelease:
			right = x.From == job.Release
		case schedule.ByArrival:
			right = x.From == p.Subjects[job.Subject].Arrives && x.Why.Of == job.Subject
		case schedule.ByStage:
			right = x.Why.Of == x.Stage-1 && slices.ContainsFunc(r.Placed, func(o schedule.Placed) bool {
				return o.Job == x.Job && o.Stage == x.Why.Of && o.To == x.From
			})
		case schedule.ByJob:
			right = slices.ContainsFunc(job.After, func(l schedule.Link) bool {
				return l.Job == x.Why.Of && r.Ends[l.Job]+l.Gap == x.From
			})
		case schedule.ByTool:
			right = x.Why.Until == x.From && slices.ContainsFunc(overuse(p, earlier), func(f string) bool {
				return len(f) > 0 && f[:len(fmt.Sprintf("tool %d at %d:", x.Why.Of, x.From-1))] == fmt.Sprintf("tool %d at %d:", x.Why.Of, x.From-1)
			})
		}
		if !right {
			out = append(out, fmt.Sprintf("job %d stage %d at %v: %+v", x.Job, x.Stage, x.Span, x.Why))
		}
	}
	return out
}

// brute is the least cost of a project with one task a job: every task is tried in every order, at the first minute at which
// all that is placed before it lets it run. Some best schedule has each task at such a minute.
type brute struct {
	p    *schedule.Problem
	ends []int
	used [][]int // by tool and minute
	late int64
	cost int64
}

const (
	bruteHorizon = 5000
	unplaced     = -1
)

func bestOf(p *schedule.Problem) (late, weighted int64) {
	b := &brute{p: p, ends: make([]int, len(p.Jobs)), used: make([][]int, len(p.Tools)), late: 1 << 60}
	for i := range b.ends {
		b.ends[i] = unplaced
	}
	for i := range b.used {
		b.used[i] = make([]int, bruteHorizon)
	}
	b.try(len(p.Jobs))
	return b.late, b.cost
}

func (b *brute) try(left int) {
	if left == 0 {
		if late, cost := costOf(b.p, b.ends); cmp.Or(cmp.Compare(late, b.late), cmp.Compare(cost, b.cost)) < 0 {
			b.late, b.cost = late, cost
		}
		return
	}
	for j := range b.p.Jobs {
		if b.ends[j] != unplaced {
			continue
		}
		job := &b.p.Jobs[j]
		t := max(b.p.Now, job.Release, b.p.Subjects[job.Subject].Arrives)
		ready := true
		for _, l := range job.After {
			ready = ready && b.ends[l.Job] != unplaced
			t = max(t, b.ends[l.Job]+l.Gap)
		}
		if !ready {
			continue
		}
		s := &job.Stages[0]
		for !b.fits(s, t) {
			t++
		}
		b.take(s, t, 1)
		b.ends[j] = t + s.Minutes
		b.try(left - 1)
		b.ends[j] = unplaced
		b.take(s, t, -1)
	}
}

func (b *brute) fits(s *schedule.Stage, from int) bool {
	for _, u := range s.Tools {
		tool := &b.p.Tools[u.Tool]
		for t := from; t < from+s.Minutes; t++ {
			if b.used[u.Tool][t]+u.N > tool.Capacity {
				return false
			}
			if tool.Windows != nil && !slices.ContainsFunc(tool.Windows, func(w schedule.Span) bool { return w.From <= t && t < w.To }) {
				return false
			}
		}
	}
	return true
}

func (b *brute) take(s *schedule.Stage, from, sign int) {
	for _, u := range s.Tools {
		for t := from; t < from+s.Minutes; t++ {
			b.used[u.Tool][t] += sign * u.N
		}
	}
}

func TestSolve_smallProjectIsOptimal(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(9, 1998))
	for n := range 300 {
		s := shape{jobs: 1 + n%7, stages: 1, windows: n%3 == 0, end: n%2 == 0}
		p := randomProject(random, s)
		late, cost := bestOf(p)
		for _, effort := range []int{0, 1, 4, 16, 64} {
			p.Effort = effort
			r := schedule.Solve(p)
			if best := r.Cost.Late == late && r.Cost.Weighted == cost; !best && (effort == 0 || r.Optimal) || !r.Optimal && effort == 0 {
				t.Errorf("project %d of %+v, effort %d: %+v, said to be optimal %v; the best has %d and %d", n, s, effort, r.Cost, r.Optimal, late, cost)
			}
		}
	}
}

func TestSolve_projectIsTheSameAgain(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(11, 2007))
	for n := range 20 {
		p := randomProject(random, shape{jobs: 20, stages: 2, windows: n%2 == 0, end: n%4 < 2})
		p.Effort = 500
		if a, b := schedule.Solve(p), schedule.Solve(p); !reflect.DeepEqual(a, b) {
			t.Errorf("project %d: solved twice with two results", n)
		}
	}
}

// Once the first schedules are made, more of them take no more memory.
func TestSolve_projectAllocatesNothingBySchedule(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 1998))
	p := randomProject(random, shape{jobs: 15, stages: 2})
	allocations := func(effort int) float64 {
		p.Effort = effort
		return testing.AllocsPerRun(1, func() { schedule.Solve(p) })
	}
	if few, many := allocations(20_000), allocations(30_000); many > few+10 {
		t.Errorf("20,000 schedules: %v allocations, 30,000: %v", few, many)
	}
}

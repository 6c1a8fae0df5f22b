package planner

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"axlestand/internal/schedule"
)

// Pace says how the owner's estimates of bench work turn out: at the median
// they run Factor times what was written, and the logarithm of that is
// uncertain by Sigma. One factor holds for all work, so that it does not
// average out over many stages.
type Pace struct {
	Factor float64 `json:"factor"`
	Sigma  float64 `json:"sigma"`
}

// DefaultPace is the pace when nothing was learnt: estimates are right at the
// median, and in two of three cases all of them are off by a fifth at most
// (common practice, no source).
var DefaultPace = Pace{Factor: 1, Sigma: 0.2}

// Chance is how likely a job of a plan is to be done in time.
type Chance struct {
	Job string    `json:"job"`
	P50 time.Time `json:"p50,omitzero"` // done by then in half of the cases; zero: not within the sessions
	P80 time.Time `json:"p80,omitzero"` // in four of five
	Due time.Time `json:"due,omitzero"`
	// Done is the chance, 0 to 1, to be done by Due, or before the sessions
	// are over where there is no due date. HalfWidth is how far it may be off
	// for want of samples, in 95 of 100 cases.
	Done      float64 `json:"done"`
	HalfWidth float64 `json:"half_width"`
	// LateCost is what being late costs on average. What is not done when the
	// sessions are over counts as ended then.
	LateCost float64 `json:"late_cost"`
}

// Chances carries a plan of a problem out many times, each time with other
// minutes and arrivals, and counts. Plans that Plan did not make of this
// problem are refused. Chances are in the order of the jobs' ids; jobs without
// a place have none.
//
// Minutes follow a beta distribution over low, likely and high with the mean
// (low + 4 likely + high)/6, as PERT has it (Malcolm, Roseboom, Clark & Fazar
// 1959, from memory); those of bench work are multiplied by one log-normal
// factor for all, the pace. Arrivals lie on the line that plans read them off
// at the asked confidence. Each draw depends on the seed, the id of what it is
// for and the number of the sample alone: two problems that differ in one thing
// share all other draws, so that their difference is that of the thing.
//
// The owner is taken to work on in the plan's order and, where something is
// late, to take the next thing that can be done: see schedule.Simulator.
func Chances(p Problem, a Answer, samples int, seed uint64) ([]Chance, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if samples < 1 {
		return nil, fmt.Errorf("samples: %d is too few", samples)
	}
	p, _ = p.leaveOutEndless()
	m := newModel(p)
	r, err := m.result(a)
	if err != nil {
		return nil, err
	}
	ends := m.simulate(&r, samples, seed)
	var out []Chance
	for j := range m.jobList {
		if r.Ends[j] != schedule.None {
			out = append(out, m.chance(j, ends[j]))
		}
	}
	return out, nil
}

// notDone is the end of a job that was not done in a sample, after all others.
const notDone = math.MaxInt32

// simulate returns the ends of each job, by sample, in minutes from now. The
// samples are shared out among the processors; each is the same on any of them.
func (m *model) simulate(r *schedule.Result, samples int, seed uint64) [][]int32 {
	ends := make([][]int32, len(m.jobList))
	for j := range ends {
		if r.Ends[j] != schedule.None {
			ends[j] = make([]int32, samples)
		}
	}
	const least = 250 // samples for which another processor is worth preparing
	share := max(least, (samples+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
	var all sync.WaitGroup
	for from := 0; from < samples; from += share {
		all.Go(func() { m.simulateFrom(r, ends, from, min(from+share, samples), seed) })
	}
	all.Wait()
	return ends
}

func (m *model) simulateFrom(r *schedule.Result, ends [][]int32, from, to int, seed uint64) {
	sim := schedule.NewSimulator(&m.problem, r)
	dice := m.newDice(sim, r, seed)
	for i := from; i < to; i++ {
		for j, end := range sim.Run(dice.roll(i)) {
			switch {
			case ends[j] == nil:
			case end == schedule.None || end-m.now >= notDone:
				ends[j][i] = notDone
			default:
				ends[j][i] = int32(end - m.now)
			}
		}
	}
}

// chance sums a job's ends up.
func (m *model) chance(j int, ends []int32) Chance {
	slices.Sort(ends)
	c := Chance{Job: m.jobList[j].ID, P50: m.sampleTime(ends, 0.5), P80: m.sampleTime(ends, 0.8)}
	job := &m.problem.Jobs[j]
	due, last := int32(notDone-1), 0
	for _, s := range m.problem.Sessions {
		last = max(last, s.To)
	}
	for _, d := range m.jobList[j].AllDues() { // the first is the one to be done by
		at := minute(dayEnd(d.At, m.zone))
		if last = max(last, at+1); c.Due.IsZero() || m.time(at).Before(c.Due) {
			c.Due = m.time(at)
			due = int32(min(max(at-m.now, math.MinInt32), notDone-1))
		}
	}
	done := 0
	for _, end := range ends {
		if end <= due {
			done++
		}
		at := m.now + int(end)
		if end == notDone {
			at = last
		}
		c.LateCost += float64(job.Late(at)) / 1000
	}
	c.LateCost /= float64(len(ends))
	c.Done, c.HalfWidth = float64(done)/float64(len(ends)), halfWidth(done, len(ends))
	return c
}

// sampleTime is the time by which the asked share of the ends lies.
func (m *model) sampleTime(ends []int32, share float64) time.Time {
	end := ends[int(math.Ceil(share*float64(len(ends))))-1]
	if end == notDone {
		return time.Time{}
	}
	return m.time(m.now + int(end))
}

// halfWidth is half of the 95 % interval of a share of n, with two hits and two
// misses added so that it is not zero at the ends (Agresti & Coull 1998, from
// memory).
func halfWidth(hits, n int) float64 {
	share := float64(hits+2) / float64(n+4)
	return 1.96 * math.Sqrt(share*(1-share)/float64(n+4))
}

// result turns an answer back into numbers.
func (m *model) result(a Answer) (schedule.Result, error) {
	r := schedule.Result{Ends: make([]int, len(m.jobList))}
	for j := range r.Ends {
		r.Ends[j] = schedule.None
	}
	placed := make([]int, len(m.jobList))
	for i := range a.Stages {
		s := &a.Stages[i]
		j, k, ok := m.stageAt(s.Job, s.Stage)
		if !ok {
			return r, fmt.Errorf("stages[%d]: the problem has no stage %q of a job %q", i, s.Stage, s.Job)
		}
		placed[j]++
		r.Ends[j] = max(r.Ends[j], minute(s.To))
		r.Placed = append(r.Placed, schedule.Placed{Job: j, Stage: k, Span: schedule.Span{From: minute(s.From), To: minute(s.To)}})
	}
	for j, n := range placed {
		if n != 0 && n != len(m.jobList[j].Stages) {
			return r, fmt.Errorf("stages: not each stage of job %q is placed once", m.jobList[j].ID)
		}
	}
	if err := m.visitsBack(a, &r); err != nil {
		return r, err
	}
	return r, m.promisesBack(a, &r)
}

func (m *model) stageAt(job, stage string) (j, k int, ok bool) {
	if j, ok = m.jobs[job]; !ok {
		return 0, 0, false
	}
	k = slices.IndexFunc(m.jobList[j].Stages, func(s Stage) bool { return s.ID == stage })
	return j, k, k >= 0
}

func (m *model) visitsBack(a Answer, r *schedule.Result) error {
	for i := range a.Visits {
		car, ok := m.cars[a.Visits[i].Car]
		if !ok {
			return fmt.Errorf("visits[%d]: the problem has no car %q", i, a.Visits[i].Car)
		}
		v := schedule.Visit{
			Subject: car, OnPlace: a.Visits[i].OnLift,
			Span: schedule.Span{From: minute(a.Visits[i].From), To: minute(a.Visits[i].To)},
		}
		for k, o := range a.Visits[i].Overhead {
			it := schedule.Item{
				Kind: schedule.ItemKind(slices.Index(overheadKinds[:], o.Kind)), Subject: car, Of: schedule.None,
				Span: schedule.Span{From: minute(o.From), To: minute(o.To)},
			}
			known := true
			switch o.Kind {
			case OverheadOpen, OverheadClose:
				it.Of, known = m.access[o.Of]
			case OverheadClosing:
				it.Of, known = m.closing[o.Of]
			case OverheadChange:
			default:
				known = false
			}
			if !known {
				return fmt.Errorf("visits[%d].overhead[%d]: the problem has no %s %q", i, k, o.Kind, o.Of)
			}
			v.Items = append(v.Items, it)
		}
		r.Visits = append(r.Visits, v)
	}
	return nil
}

func (m *model) promisesBack(a Answer, r *schedule.Result) error {
	for i, p := range a.Promises {
		j, k, ok := m.stageAt(p.Job, p.Stage)
		part, known := m.parts[p.Part]
		out := schedule.Promise{Job: j, Stage: k, Material: part, Qty: p.Qty, At: minute(p.At)}
		out.Source = schedule.Source(slices.Index(sources[:], p.Source))
		if p.Source == FromJob {
			var of bool
			out.Of, of = m.jobs[p.Of]
			known = known && of
		}
		if !ok || !known || out.Source < 0 {
			return fmt.Errorf("promises[%d]: not of this problem", i)
		}
		r.Promises = append(r.Promises, out)
	}
	return nil
}

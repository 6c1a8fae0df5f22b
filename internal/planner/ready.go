package planner

import (
	"slices"
	"time"
)

// Ready is a job that can be done now with what is on hand.
type Ready struct {
	Job     string
	Minutes int       // of the owner's time, opening and closing included
	Until   time.Time // when the last of its bench stages that fit now is done
	Whole   bool      // nothing of the job is left after that
}

// ReadyNow finds the jobs of which all the bench work that comes first fits between now and until, with the given number of
// helpers and with the parts on hand alone: each job by itself, as if it were the only one. A job that leaves its car
// immobile is ready only when its chain can be ended too.
func ReadyNow(p Problem, until time.Time, helpers int) ([]Ready, error) {
	b, err := newBench(p, until, helpers)
	if err != nil || b == nil {
		return nil, err
	}
	var ready []Ready
	for _, job := range p.Jobs {
		if !b.mayStart(job) || !b.mayFit(job) {
			continue
		}
		if answer, fits := b.try([]Job{job}); fits {
			r, _ := readyIn(answer, job, until)
			r.Minutes += overheadUntil(answer, until)
			ready = append(ready, r)
		}
	}
	return ready, nil
}

// bench is a garage between now and a time, with what is on hand.
type bench struct {
	p       Problem // without jobs; its sessions begin with the one from now on
	all     []Job
	until   time.Time
	span    int // minutes
	helpers int
	onHand  map[string]int
	cars    map[string]bool // here
	left    time.Time       // end of the last session
	busy    map[string]bool // cars that have a say in other cars' work, whatever is done
}

// newBench is nil when there is no time at all.
func newBench(p Problem, until time.Time, helpers int) (*bench, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if !until.After(p.Now) {
		return nil, nil
	}
	b := &bench{
		p: p, all: p.Jobs, until: until, span: int(until.Sub(p.Now).Minutes()), helpers: helpers,
		onHand: map[string]int{}, cars: map[string]bool{}, busy: map[string]bool{},
	}
	b.p.Jobs, b.p.Previous = nil, nil
	b.p.Sessions = sessionsFrom(p, until, helpers)
	b.p.Parts = onHandOnly(p.Parts)
	for _, part := range p.Parts {
		b.onHand[part.ID] = part.OnHand
	}
	for _, c := range p.Cars {
		b.cars[c.ID] = c.Arrives == nil
		b.busy[c.ID] = c.OnLift || c.Immobile
	}
	for _, a := range p.Access {
		b.busy[a.Car] = b.busy[a.Car] || a.Open
	}
	for _, s := range b.p.Sessions {
		if s.To.After(b.left) {
			b.left = s.To
		}
	}
	return b, nil
}

// sessionsFrom puts a session from now to until before what is left of the others.
func sessionsFrom(p Problem, until time.Time, helpers int) []Session {
	sessions := []Session{{From: p.Now, To: until, Helpers: helpers}}
	for _, s := range p.Sessions {
		if s.From.Before(until) {
			s.From = until
		}
		if s.From.Before(s.To) {
			sessions = append(sessions, s)
		}
	}
	return sessions
}

func onHandOnly(parts []Part) []Part {
	left := slices.Clone(parts)
	for i := range left {
		left[i].Arrivals, left[i].OrderLeadDays = nil, nil
	}
	return left
}

// mayStart says whether nothing has to happen before a job but work on it.
func (b *bench) mayStart(job Job) bool {
	return len(job.After) == 0 && job.Stages[0].Kind == Bench && b.cars[job.Car]
}

// mayFit is false only where no plan could do what a job begins with in time: it is far cheaper than a plan, and most jobs of
// a large garage go no further.
func (b *bench) mayFit(jobs ...Job) bool {
	minutes, needs := 0, map[string]int{}
	for _, job := range jobs {
		zone, _ := loadZone(b.p.Zone)
		if !job.NotBefore.IsZero() && !dayStart(job.NotBefore, zone).Before(b.until) {
			return false
		}
		for i, s := range job.Stages {
			for _, n := range s.Parts {
				if needs[n.Part] += n.Qty; needs[n.Part] > b.onHand[n.Part] {
					return false
				}
			}
			if i >= leading(job) {
				continue
			}
			if s.Needs[Helpers] > b.helpers {
				return false
			}
			if hands, said := s.Needs[Hands]; len(jobs) == 1 || !said || hands > 0 {
				minutes += s.Minutes[1]
			}
		}
	}
	return minutes <= b.span
}

// leading is how many bench stages a job begins with.
func leading(job Job) int {
	n := 0
	for n < len(job.Stages) && job.Stages[n].Kind == Bench {
		n++
	}
	return n
}

// try plans some jobs alone and says whether each does in time what it begins with.
func (b *bench) try(jobs []Job) (Answer, bool) {
	answer := b.strip(jobs).plan()
	for _, job := range jobs {
		if _, fits := readyIn(answer, job, b.until); !fits {
			return answer, false
		}
	}
	return answer, true
}

// strip is the problem with some jobs alone, and of all else only what can matter to them.
func (b *bench) strip(jobs []Job) Problem {
	p := b.p
	for _, job := range jobs {
		for _, j := range withChain(job, b.all) {
			if !slices.ContainsFunc(p.Jobs, func(o Job) bool { return o.ID == j.ID }) {
				p.Jobs = append(p.Jobs, j)
			}
		}
	}
	if len(jobs) == 1 {
		p.Effort = 1
	}
	onCar, needed := map[string]bool{}, map[string]bool{Lift: true}
	for _, j := range p.Jobs {
		onCar[j.Car] = true
		for _, s := range j.Stages {
			for id := range s.Needs {
				needed[id] = true
			}
			for _, n := range s.Parts {
				needed["part "+n.Part] = true
			}
		}
	}
	matters := func(car string) bool { return onCar[car] || b.busy[car] }
	p.Cars = only(p.Cars, func(c Car) bool { return matters(c.ID) })
	p.Access = only(p.Access, func(a Access) bool { return matters(a.Car) })
	p.Closing = only(p.Closing, func(c Closing) bool { return matters(c.Car) })
	p.Parts = only(p.Parts, func(x Part) bool { return needed["part "+x.ID] })
	p.Resources = only(p.Resources, func(r Resource) bool { return needed[r.ID] })
	return p
}

// only is what of a list is wanted.
func only[T any](list []T, wanted func(T) bool) []T {
	var out []T
	for _, x := range list {
		if wanted(x) {
			out = append(out, x)
		}
	}
	return out
}

// withChain is the job alone; when it leaves its car immobile, also the jobs of the car that wait for it, one of which lets
// the car roll again.
func withChain(job Job, all []Job) []Job {
	job.Pin = Moment{}
	chain := []Job{job}
	open := false
	for _, s := range job.Stages {
		open = s.Immobile == ImmobileFrom || open && s.Immobile != ImmobileUntil
	}
	if !open {
		return chain
	}
	for grown := true; grown; {
		grown = false
		for _, next := range all {
			in := func(id string) bool {
				return slices.ContainsFunc(chain, func(j Job) bool { return j.ID == id })
			}
			waits := slices.ContainsFunc(next.After, func(a After) bool { return in(a.Job) })
			if !waits || in(next.ID) || next.Car != job.Car {
				continue
			}
			next.After = slices.DeleteFunc(slices.Clone(next.After), func(a After) bool { return !in(a.Job) })
			chain, grown = append(chain, next), true
		}
	}
	return chain
}

// readyIn says whether the bench stages that the job begins with are all placed before until.
func readyIn(answer Answer, job Job, until time.Time) (Ready, bool) {
	r := Ready{Job: job.ID, Whole: leading(job) == len(job.Stages)}
	placed := 0
	for _, s := range answer.Stages {
		if s.Job != job.ID || s.Kind != Bench || s.To.After(until) {
			continue
		}
		placed++
		r.Until = s.To
		for _, piece := range s.Pieces {
			r.Minutes += int(piece.To.Sub(piece.From).Minutes())
		}
	}
	return r, placed >= leading(job)
}

// overheadUntil is the owner's time for opening, closing and changing cars in a plan up to a time.
func overheadUntil(answer Answer, until time.Time) int {
	minutes := 0
	for _, v := range answer.Visits {
		for _, o := range v.Overhead {
			if !o.To.After(until) {
				minutes += int(o.To.Sub(o.From).Minutes())
			}
		}
	}
	return minutes
}

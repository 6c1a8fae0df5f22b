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
	p.Sessions = sessionsFrom(p, until, helpers)
	p.Parts = onHandOnly(p.Parts)
	jobs := p.Jobs
	var ready []Ready
	for _, job := range jobs {
		if len(job.After) > 0 || job.Stages[0].Kind != Bench || !carHere(p, job.Car) {
			continue
		}
		p.Jobs = withChain(job, jobs)
		answer, err := Plan(p)
		if err != nil {
			return nil, err
		}
		if r, ok := readyIn(answer, job, until); ok {
			ready = append(ready, r)
		}
	}
	return ready, nil
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

func carHere(p Problem, id string) bool {
	return slices.ContainsFunc(p.Cars, func(c Car) bool { return c.ID == id && c.Arrives == nil })
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
	leading := 0
	for leading < len(job.Stages) && job.Stages[leading].Kind == Bench {
		leading++
	}
	r := Ready{Job: job.ID, Whole: leading == len(job.Stages)}
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
	for _, v := range answer.Visits {
		for _, o := range v.Overhead {
			if !o.To.After(until) {
				r.Minutes += int(o.To.Sub(o.From).Minutes())
			}
		}
	}
	return r, placed >= leading
}

package planner_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/planner"
)

// readyTheLongWay plans each job in the whole garage, at full effort. The short way has to find the same.
func readyTheLongWay(t *testing.T, p planner.Problem, until time.Time, helpers int) []planner.Ready {
	t.Helper()
	p, jobs := asOfNow(p, until, helpers), p.Jobs
	var ready []planner.Ready
	for _, job := range jobs {
		here := slices.ContainsFunc(p.Cars, func(c planner.Car) bool { return c.ID == job.Car && c.Arrives == nil })
		if len(job.After) > 0 || job.Stages[0].Kind != planner.Bench || !here {
			continue
		}
		p.Jobs = chainOf(job, jobs)
		p.Effort = 1 // when a visit ends is then the same habit
		answer, err := planner.Plan(p)
		if err != nil {
			t.Fatal(err)
		}
		if r, ok := readyOf(answer, job, until); ok {
			ready = append(ready, r)
		}
	}
	return ready
}

// ofSet is the whole garage with the jobs alone that are said to fit, and these jobs.
func ofSet(p planner.Problem, fit planner.Fit, until time.Time, helpers int) (planner.Problem, []planner.Job) {
	p, all := asOfNow(p, until, helpers), p.Jobs
	p.Jobs = nil
	var jobs []planner.Job
	for _, r := range fit.Jobs {
		job := all[slices.IndexFunc(all, func(j planner.Job) bool { return j.ID == r.Job })]
		jobs = append(jobs, job)
		for _, next := range chainOf(job, all) {
			if !slices.ContainsFunc(p.Jobs, func(j planner.Job) bool { return j.ID == next.ID }) {
				p.Jobs = append(p.Jobs, next)
			}
		}
	}
	return p, jobs
}

// checked holds a plan against every rule.
func checked(t *testing.T, p planner.Problem, plan planner.Answer) []string {
	t.Helper()
	problem, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	return check(problem, answer)
}

// asOfNow is the garage with what is on hand alone and a session from now on.
func asOfNow(p planner.Problem, until time.Time, helpers int) planner.Problem {
	sessions := []planner.Session{{From: p.Now, To: until, Helpers: helpers}}
	for _, s := range p.Sessions {
		if s.From.Before(until) {
			s.From = until
		}
		if s.From.Before(s.To) {
			sessions = append(sessions, s)
		}
	}
	p.Sessions, p.Parts, p.Previous = sessions, slices.Clone(p.Parts), nil
	for i := range p.Parts {
		p.Parts[i].Arrivals, p.Parts[i].OrderLeadDays = nil, nil
	}
	return p
}

// chainOf is a job, and when it leaves its car immobile all jobs of the car that come after it.
func chainOf(job planner.Job, all []planner.Job) []planner.Job {
	job.Pin = planner.Moment{}
	chain, open := []planner.Job{job}, false
	for _, s := range job.Stages {
		open = s.Immobile == planner.ImmobileFrom || open && s.Immobile != planner.ImmobileUntil
	}
	for grown := open; grown; {
		grown = false
		for _, next := range all {
			in := func(id string) bool {
				return slices.ContainsFunc(chain, func(j planner.Job) bool { return j.ID == id })
			}
			if next.Car != job.Car || in(next.ID) || !slices.ContainsFunc(next.After, func(a planner.After) bool { return in(a.Job) }) {
				continue
			}
			next.After = slices.DeleteFunc(slices.Clone(next.After), func(a planner.After) bool { return !in(a.Job) })
			chain, grown = append(chain, next), true
		}
	}
	return chain
}

func readyOf(answer planner.Answer, job planner.Job, until time.Time) (planner.Ready, bool) {
	first := slices.IndexFunc(job.Stages, func(s planner.Stage) bool { return s.Kind != planner.Bench })
	r := planner.Ready{Job: job.ID, Whole: first < 0}
	if first < 0 {
		first = len(job.Stages)
	}
	placed := 0
	for _, s := range answer.Stages {
		if s.Job != job.ID || s.Kind != planner.Bench || s.To.After(until) {
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
	return r, placed >= first
}

func TestReadyNow_SameAsTheLongWay(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 10)
	found := 0
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		until, helpers := p.Now.Add(time.Duration(60+seed%7*60)*time.Minute), int(seed%3)
		got, err := planner.ReadyNow(p, until, helpers)
		if err != nil {
			t.Fatal(err)
		}
		want := readyTheLongWay(t, p, until, helpers)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("AXLESTAND_SEED=%d: %s", seed, diff)
		}
		found += len(want)
	}
	if last-first > 100 && found < 100 {
		t.Errorf("only %d jobs were ready", found)
	}
}

// TestFits holds the plan by which jobs are said to fit against every rule of the whole garage.
func TestFits(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 25)
	several := 0
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		until := p.Now.Add(time.Duration(60+seed%7*60) * time.Minute)
		fit, err := planner.Fits(p, until, 1)
		if err != nil {
			t.Fatal(err)
		}
		ready, err := planner.ReadyNow(p, until, 1)
		if err != nil {
			t.Fatal(err)
		}
		if (len(fit.Jobs) == 0) != (len(ready) == 0) {
			t.Errorf("AXLESTAND_SEED=%d: %d jobs are ready and %d fit", seed, len(ready), len(fit.Jobs))
		}
		if fit.Minutes > 0 && fit.Until.After(until) {
			t.Errorf("AXLESTAND_SEED=%d: ends %s, later than %s", seed, fit.Until, until)
		}
		if len(fit.Jobs) == 0 {
			continue
		}
		alone, jobs := ofSet(p, fit, until, 1)
		for _, bad := range checked(t, alone, fit.Plan) {
			t.Errorf("AXLESTAND_SEED=%d: %s", seed, bad)
		}
		for _, job := range jobs {
			if _, ok := readyOf(fit.Plan, job, until); !ok {
				t.Errorf("AXLESTAND_SEED=%d: %s is said to fit beside %d others, and is done later", seed, job.ID, len(jobs)-1)
			}
		}
		if len(fit.Jobs) > 1 {
			several++
		}
	}
	if last-first > 100 && several < 10 {
		t.Errorf("more than one job fit %d times only", several)
	}
}

// Two jobs behind the same wheels fit into two hours, since the wheels come off once: 20 to open, 40 and 35 of work, 20 to
// close are 115 minutes, and each alone with its own wheels would make 155. The third, heavier than either, takes 110 with a
// change of cars and would leave room for none.
func TestFits_SharesAccess(t *testing.T) {
	t.Parallel()
	p, err := planner.ReadProblem(strings.NewReader(`{"now":"2027-03-06T09:00","zone":"UTC","sessions":[{"from":"2027-03-13T09:00","to":"2027-03-13T17:00"}],
		"cars":[{"id":"estate"},{"id":"van"}],
		"access":[{"id":"wheels","car":"estate","open_minutes":20,"close_minutes":20}],
		"jobs":[{"id":"hose","car":"estate","weight":3,"stages":[{"id":"fit","kind":"bench","minutes":[40,40,40],"access":["wheels"]}]},
		 {"id":"sensor","car":"estate","weight":2,"stages":[{"id":"fit","kind":"bench","minutes":[35,35,35],"access":["wheels"]}]},
		 {"id":"doors","car":"van","weight":4,"stages":[{"id":"hang","kind":"bench","minutes":[110,110,110]}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	fit, err := planner.Fits(p, p.Now.Add(2*time.Hour), 0)
	if err != nil {
		t.Fatal(err)
	}
	var jobs []string
	for _, r := range fit.Jobs {
		jobs = append(jobs, r.Job)
	}
	if want := []string{"hose", "sensor"}; !slices.Equal(jobs, want) || fit.Minutes != 115 {
		t.Errorf("got %v, %d min; want %v, 115 min", jobs, fit.Minutes, want)
	}
}

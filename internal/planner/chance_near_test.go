package planner_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"axlestand/internal/planner"
)

// sure takes all doubt out of a problem: everything is as likely.
func sure(p planner.Problem) planner.Problem {
	for i := range p.Cars {
		if t := p.Cars[i].Arrives; t != nil {
			p.Cars[i].Arrives = planner.Sure(t[1])
		}
	}
	for i := range p.Parts {
		if r := p.Parts[i].OrderLeadDays; r != nil {
			*r = planner.Exactly(r[1])
		}
		for k := range p.Parts[i].Arrivals {
			if t := p.Parts[i].Arrivals[k].At; t != nil {
				p.Parts[i].Arrivals[k].At = planner.Sure(t[1])
			}
		}
	}
	for i := range p.Jobs {
		for k := range p.Jobs[i].Stages {
			s := &p.Jobs[i].Stages[k]
			s.Minutes, s.Days = planner.Exactly(s.Minutes[1]), planner.Exactly(s.Days[1])
		}
	}
	p.Pace = &planner.Pace{Factor: 1}
	return p
}

// planEnds are the ends of the jobs of a plan.
func planEnds(a planner.Answer) map[string]time.Time {
	ends := map[string]time.Time{}
	for _, s := range a.Stages {
		if s.To.After(ends[s.Job]) {
			ends[s.Job] = s.To
		}
	}
	return ends
}

// TestChances_OfASureProblem carries out plans of generated garages in which nothing is in doubt: what comes of it is the
// plan itself, but where the planner looked further ahead than somebody who follows it does.
func TestChances_OfASureProblem(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 10)
	jobs, exact, near, never := 0, 0, 0, 0
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		p = sure(p)
		a, err := planner.Plan(p)
		if err != nil {
			t.Fatal(err)
		}
		chances, err := planner.Chances(p, a, 1, seed)
		if err != nil {
			t.Fatalf("AXLESTAND_SEED=%d: %v", seed, err)
		}
		ends := planEnds(a)
		if len(chances) != len(ends) {
			t.Errorf("AXLESTAND_SEED=%d: chances of %d jobs, %d are placed", seed, len(chances), len(ends))
		}
		for _, c := range chances {
			jobs++
			switch off := c.P50.Sub(ends[c.Job]).Abs(); {
			case c.P50.IsZero():
				never++
			case off == 0:
				exact++
				near++
			case off <= time.Hour:
				near++
			}
			if first+1 == last {
				t.Logf("%s ends %v in the plan, %v carried out", c.Job, ends[c.Job], c.P50)
			}
		}
	}
	t.Logf("%d jobs end: %.2f %% as planned to the minute, %.2f %% within an hour, %.2f %% not at all", jobs,
		percent(exact, jobs), percent(near, jobs), percent(never, jobs))
	if first+1 < last && (percent(exact, jobs) < 99 || percent(never, jobs) > 0.5) {
		t.Error("carried out without doubt, plans come out otherwise")
	}
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }

func TestChances_SameBytesAgain(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 50)
	failed := 0
	for seed := first; seed < last && failed < 10; seed++ {
		problem := generate(seed)
		want := chancesOf(t, problem)
		for _, again := range [][]byte{problem, shuffled(seed, problem), shuffled(seed+1<<32, problem)} {
			if got := chancesOf(t, again); !bytes.Equal(got, want) {
				t.Errorf("AXLESTAND_SEED=%d: other chances\n%s", seed, firstDifference(want, got))
				failed++
				break
			}
		}
	}
}

func chancesOf(t *testing.T, problem []byte) []byte {
	t.Helper()
	p, err := planner.ReadProblem(bytes.NewReader(problem))
	if err != nil {
		t.Fatal(err)
	}
	a, err := planner.Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	c, err := planner.Chances(p, a, 300, 7)
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

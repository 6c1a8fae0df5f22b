package planner

import (
	"math"
	"testing"
	"time"
)

// series is a row of jobs, one after another, in one long session.
func series(pace float64, ranges ...Range) Problem {
	now := time.Date(2027, 3, 6, 8, 0, 0, 0, time.UTC)
	p := Problem{
		Now: now, Zone: "UTC", Pace: &Pace{Factor: 1, Sigma: pace},
		Sessions: []Session{{From: now, To: now.AddDate(0, 0, 30)}},
		Cars:     []Car{{ID: "estate"}},
	}
	for i, r := range ranges {
		job := Job{ID: string(rune('a' + i)), Car: "estate", Weight: 1, Stages: []Stage{{ID: "s", Kind: Bench, Minutes: r}}}
		if i > 0 {
			job.After = []After{{Job: string(rune('a' + i - 1))}}
		}
		p.Jobs = append(p.Jobs, job)
	}
	return p
}

// drawnEnds are the ends of a problem's jobs in minutes from now.
func drawnEnds(t *testing.T, p Problem, samples int, seed uint64) [][]int32 {
	t.Helper()
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	m := newModel(p)
	r, err := m.result(a)
	if err != nil {
		t.Fatal(err)
	}
	return m.simulate(&r, samples, seed)
}

func moments(ends []int32) (mean, variance float64) {
	for _, e := range ends {
		mean += float64(e) / float64(len(ends))
	}
	for _, e := range ends {
		variance += (float64(e) - mean) * (float64(e) - mean) / float64(len(ends)-1)
	}
	return mean, variance
}

// PERT: the mean is (l + 4m + h)/6, and with the two parameters of the beta
// adding up to 6 the variance is (mean - l)(h - mean)/7 (the beta distribution's
// variance, ab/((a+b)^2 (a+b+1)), scaled to the range).
func pert(r Range) (mean, variance float64) {
	mean = float64(r[0]+4*r[1]+r[2]) / 6
	return mean, (mean - float64(r[0])) * (float64(r[2]) - mean) / 7
}

func TestChances_SeriesOfTwo(t *testing.T) {
	t.Parallel()
	const samples = 40_000
	for _, r := range [][2]Range{
		{{600, 900, 1800}, {300, 1200, 1500}},
		{{1000, 1000, 4000}, {100, 2000, 2000}},
		{{0, 777, 2222}, {500, 500, 500}},
	} {
		ends := drawnEnds(t, series(0, r[0], r[1]), samples, 3)
		m1, v1 := pert(r[0])
		m2, v2 := pert(r[1])
		mean, variance := moments(ends[1])
		if err := math.Sqrt((v1 + v2) / samples); math.Abs(mean-m1-m2) > 4*err+0.5 {
			t.Errorf("%v: mean %.1f, want %.1f", r, mean, m1+m2)
		}
		if math.Abs(variance/(v1+v2)-1) > 0.03 {
			t.Errorf("%v: variance %.0f, want %.0f", r, variance, v1+v2)
		}
	}
}

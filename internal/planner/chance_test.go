package planner

import (
	"math"
	"testing"
	"time"

	"axlestand/internal/schedule"
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

// below is the chance that a draw over a range is at most x, for ranges whose
// likely value lies a whole number of quarters up: the incomplete beta function
// of whole parameters that add up to 6 is a sum of binomial terms (DLMF 8.17.5,
// from memory).
func below(r Range, x float64) float64 {
	u := min(max((x-float64(r[0]))/float64(r[2]-r[0]), 0), 1)
	a := 1 + 4*(r[1]-r[0])/(r[2]-r[0])
	sum := 0.0
	for j := a; j <= 5; j++ {
		sum += []float64{1, 5, 10, 10, 5, 1}[j] * math.Pow(u, float64(j)) * math.Pow(1-u, float64(5-j))
	}
	return sum
}

// within says whether a share of so many samples may come of a chance.
func within(t *testing.T, what string, got, want float64, samples int) {
	t.Helper()
	if err := 4*math.Sqrt(want*(1-want)/float64(samples)) + 0.001; math.Abs(got-want) > err {
		t.Errorf("%s: %.4f, want %.4f within %.4f", what, got, want, err)
	}
}

func shareBelow(ends []int32, x float64) float64 {
	n := 0
	for _, e := range ends {
		if float64(e) <= x {
			n++
		}
	}
	return float64(n) / float64(len(ends))
}

func TestChances_SeriesDoneBy(t *testing.T) {
	t.Parallel()
	const samples = 40_000
	first, second := Range{600, 1200, 3000}, Range{200, 1700, 2200} // one quarter up, three quarters up
	ends := drawnEnds(t, series(0, first, second), samples, 5)[1]
	for x := 1600.5; x < 4200; x += 200 {
		want := 0.0 // the convolution: sum over what the first takes
		for m := first[0]; m < first[2]; m++ {
			want += (below(first, float64(m+1)) - below(first, float64(m))) * below(second, x-float64(m)-0.5)
		}
		within(t, "both done by", shareBelow(ends, x), want, samples)
	}
}

func TestChances_MaximumOfTwo(t *testing.T) {
	t.Parallel()
	const samples = 40_000
	a, b := Range{600, 1200, 3000}, Range{0, 1400, 2800}
	p := series(0.5, Exactly(1), Exactly(1), Exactly(1)) // the pace is of no matter to what is not bench work
	p.Jobs[0].Stages[0] = Stage{ID: "s", Kind: Wait, Minutes: a}
	p.Jobs[1].Stages[0] = Stage{ID: "s", Kind: Wait, Minutes: b}
	p.Jobs[2].Stages[0] = Stage{ID: "s", Kind: Wait, Minutes: Exactly(0)}
	p.Jobs[1].After, p.Jobs[2].After = nil, []After{{Job: "a"}, {Job: "b"}}
	ends := drawnEnds(t, p, samples, 9)[2]
	mean := 0.0
	for x := 0; x < 3000; x++ {
		mean += 1 - below(a, float64(x)+0.5)*below(b, float64(x)+0.5)
		if x%200 == 0 {
			within(t, "the later one done by", shareBelow(ends, float64(x)), below(a, float64(x)+0.5)*below(b, float64(x)+0.5), samples)
		}
	}
	if got, _ := moments(ends); math.Abs(got-mean) > 8 {
		t.Errorf("the later one ends after %.1f minutes on average, want %.1f", got, mean)
	}
}

func TestChances_PaceIsSharedByAllWork(t *testing.T) {
	t.Parallel()
	// Twenty jobs of a hundred minutes: with one factor for all, the logarithm of the whole is as uncertain as that of one.
	var ranges []Range
	for range 20 {
		ranges = append(ranges, Exactly(1000))
	}
	p := series(0.3, ranges...)
	p.Pace.Factor = 1.25
	p.Sessions[0].To = p.Now.AddDate(0, 0, 300)
	ends := drawnEnds(t, p, 20_000, 1)
	last := ends[19]
	mean, variance := 0.0, 0.0
	for _, e := range last {
		mean += math.Log(float64(e)) / float64(len(last))
	}
	for _, e := range last {
		variance += (math.Log(float64(e)) - mean) * (math.Log(float64(e)) - mean) / float64(len(last))
	}
	if got := math.Exp(mean) / 25_000; math.Abs(got-1) > 0.01 {
		t.Errorf("the median is %.3f of what it should be", got)
	}
	if got := math.Sqrt(variance); math.Abs(got-0.3) > 0.01 {
		t.Errorf("the logarithm is uncertain by %.3f, want 0.3", got)
	}
}

func TestChances_ArrivalsLieOnTheLine(t *testing.T) {
	t.Parallel()
	const samples = 20_000
	p := series(0, Exactly(1))
	at := Times{At(p.Now.Add(1000 * time.Minute)), At(p.Now.Add(2000 * time.Minute)), At(p.Now.Add(6000 * time.Minute))}
	p.Parts = []Part{{ID: "arm", Arrivals: []Arrival{{Qty: 1, At: &at}}}}
	p.Jobs[0].Stages[0].Parts = []Need{{Part: "arm", Qty: 1}}
	ends := drawnEnds(t, p, samples, 2)[0]
	for _, want := range []struct{ minutes, share float64 }{
		{997, 0}, {1002, 0.1}, {1501, 0.3}, {2001, 0.5}, {4001, 0.7}, {5001, 0.8}, {5991, 0.9}, {6001, 1},
	} {
		within(t, "there by", shareBelow(ends, want.minutes+2), want.share, samples)
	}
	// What is overdue is not there yet.
	past := Times{At(p.Now.Add(-3000 * time.Minute)), At(p.Now.Add(-2000 * time.Minute)), At(p.Now.Add(2000 * time.Minute))}
	p.Parts[0].Arrivals[0].At = &past
	for _, e := range drawnEnds(t, p, 1000, 2)[0] {
		if e < 1 {
			t.Fatalf("done %d minutes before now", -e)
		}
	}
}

func TestChances_DueLateCostAndHalfWidth(t *testing.T) {
	t.Parallel()
	p := series(0, Range{600, 1200, 3000})
	p.Jobs[0].Due, p.Jobs[0].LateCost, p.Jobs[0].LateCostPerDay = At(p.Now.Add(1350*time.Minute)), 100, 10
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Chances(p, a, 2000, 4)
	if err != nil {
		t.Fatal(err)
	}
	want := below(Range{600, 1200, 3000}, 1350.5)
	within(t, "done by the due date", c[0].Done, want, 2000)
	if math.Abs(c[0].HalfWidth-0.0219) > 0.0003 { // 1.96 sqrt(p (1-p) / 2000), p about a half
		t.Errorf("half width %.4f", c[0].HalfWidth)
	}
	cost := (1 - want) * 100 // and ten for each day begun
	for late := 0; late < 1650; late += 1440 {
		cost += 10 * (1 - below(Range{600, 1200, 3000}, float64(1350+late)+0.5))
	}
	if math.Abs(c[0].LateCost-cost) > 6 {
		t.Errorf("late cost %.2f, want %.2f", c[0].LateCost, cost)
	}
	if x := below(Range{600, 1200, 3000}, c[0].P80.Sub(p.Now).Minutes()); math.Abs(x-0.8) > 0.03 {
		t.Errorf("P80 is done by in %.2f of cases", x)
	}
	if c[0].Due != p.Jobs[0].Due.Time {
		t.Errorf("due %v", c[0].Due)
	}
}

func TestChances_NoSessionLeft(t *testing.T) {
	t.Parallel()
	p := series(0, Range{600, 1200, 3000})
	p.Sessions[0].To = p.Now.Add(1300 * time.Minute)
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Chances(p, a, 2000, 4)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "done in the session", c[0].Done, below(Range{600, 1200, 3000}, 1300.5), 2000)
	if c[0].P50.IsZero() == (c[0].Done >= 0.5) || !c[0].P80.IsZero() {
		t.Errorf("done in %.2f of cases, P50 %v, P80 %v", c[0].Done, c[0].P50, c[0].P80)
	}
}

func TestChances_refusesAnotherPlan(t *testing.T) {
	t.Parallel()
	p := series(0, Exactly(60), Exactly(60))
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Chances(p, a, 0, 1); err == nil {
		t.Error("no samples are not refused")
	}
	p.Jobs = p.Jobs[:1]
	if _, err := Chances(p, a, 10, 1); err == nil {
		t.Error("the plan of another problem is not refused")
	}
}

// TestChances_WhatIfsShareTheirDraws compares a garage with one in which a part
// comes later.
func TestChances_WhatIfsShareTheirDraws(t *testing.T) {
	t.Parallel()
	const samples = 1000
	p := garageProblem(30, 4, 60)
	later := p
	later.Parts = append([]Part(nil), p.Parts...)
	late := *p.Parts[1].Arrivals[0].At
	for i := range late {
		late[i].Time = late[i].Time.AddDate(0, 0, 7)
	}
	later.Parts[1].Arrivals = []Arrival{{Qty: p.Parts[1].Arrivals[0].Qty, At: &late}}
	total := func(ends [][]int32) []float64 {
		sum := make([]float64, samples)
		for _, job := range ends {
			for i, e := range job {
				sum[i] += float64(e)
			}
		}
		return sum
	}
	base := total(drawnEnds(t, p, samples, 1))
	common, apart := spreadOf(base, total(drawnEnds(t, later, samples, 1))), spreadOf(base, total(drawnEnds(t, later, samples, 2)))
	t.Logf("variance of the difference: 1/%.0f of that of independent draws", apart/common)
	if common > apart/10 {
		t.Errorf("the variance of the difference is %.3g, with independent draws %.3g", common, apart)
	}

	// A part that nobody needs changes nothing at all.
	unneeded := p
	unneeded.Parts = append([]Part{{ID: "a-part", Arrivals: []Arrival{{Qty: 1, At: &late}}}}, p.Parts...)
	if d := spreadOf(base, total(drawnEnds(t, unneeded, samples, 1))); d != 0 {
		t.Errorf("a part that nobody needs makes a difference with the variance %.3g", d)
	}
}

// spreadOf is the variance of the differences of two lists.
func spreadOf(a, b []float64) float64 {
	sum, square := 0.0, 0.0
	for i := range a {
		sum += b[i] - a[i]
		square += (b[i] - a[i]) * (b[i] - a[i])
	}
	n := float64(len(a))
	return square/n - sum/n*sum/n
}

func TestChances_AllocateNothingBySample(t *testing.T) {
	p := garageProblem(60, 6, 26)
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	m := newModel(p)
	r, err := m.result(a)
	if err != nil {
		t.Fatal(err)
	}
	sim := schedule.NewSimulator(&m.problem, &r)
	dice := m.newDice(sim, &r, 1)
	for i := range 2000 {
		sim.Run(dice.roll(i))
	}
	i := 0
	if n := testing.AllocsPerRun(500, func() { sim.Run(dice.roll(i)); i++ }); n > 0 {
		t.Errorf("%.2f allocations a sample", n)
	}
}

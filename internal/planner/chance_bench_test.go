package planner

import (
	"testing"

	"axlestand/internal/schedule"
)

// BenchmarkChanceSample is one sample of 60 jobs on 6 cars.
func BenchmarkChanceSample(b *testing.B) {
	p := garageProblem(60, 6, 26)
	a, err := Plan(p)
	if err != nil {
		b.Fatal(err)
	}
	m := newModel(p)
	r, err := m.result(a)
	if err != nil {
		b.Fatal(err)
	}
	sim := schedule.NewSimulator(&m.problem, &r)
	dice := m.newDice(sim, &r, 1)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		sim.Run(dice.roll(i))
		i++
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N), "µs/sample")
}

// BenchmarkChances is what a request asks for: 2,000 samples of 60 jobs on 6
// cars, and 1,000 jobs on 12.
func BenchmarkChances(b *testing.B) {
	for _, size := range []struct {
		name              string
		jobs, cars, weeks int
	}{{"60_jobs", 60, 6, 26}, {"1000_jobs", 1000, 12, 260}} {
		b.Run(size.name, func(b *testing.B) {
			p := garageProblem(size.jobs, size.cars, size.weeks)
			a, err := Plan(p)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := Chances(p, a, 2000, 1); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/2000, "µs/sample")
		})
	}
}

package planner

import "testing"

// BenchmarkFrees_60Jobs asks what frees most on 60 jobs of 6 cars, with the plan at hand.
func BenchmarkFrees_60Jobs(b *testing.B) {
	p := seededGarage(4, 60, 6, 26)
	base, err := Plan(p)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Frees(p, base, 0); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(thingsToTry(p, base))), "things")
}

// BenchmarkUnblock_60Jobs asks what frees a blocked job, for each of them.
func BenchmarkUnblock_60Jobs(b *testing.B) {
	p := seededGarage(4, 60, 6, 26)
	base, err := Plan(p)
	if err != nil {
		b.Fatal(err)
	}
	i := 0
	for b.Loop() {
		if _, err := Unblock(p, base.Blocked[i%len(base.Blocked)].Job); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

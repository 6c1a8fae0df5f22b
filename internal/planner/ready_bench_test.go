package planner

import (
	"testing"
	"time"
)

func BenchmarkReadyNow_500Jobs(b *testing.B) {
	p := garageProblem(500, 12, 52)
	ready := 0
	for b.Loop() {
		list, err := ReadyNow(p, p.Now.Add(4*time.Hour), 0)
		if err != nil {
			b.Fatal(err)
		}
		ready = len(list)
	}
	b.ReportMetric(float64(ready), "ready")
}

func BenchmarkFits_500Jobs(b *testing.B) {
	p := garageProblem(500, 12, 52)
	jobs := 0
	for b.Loop() {
		fit, err := Fits(p, p.Now.Add(4*time.Hour), 0)
		if err != nil {
			b.Fatal(err)
		}
		jobs = len(fit.Jobs)
	}
	b.ReportMetric(float64(jobs), "jobs")
}

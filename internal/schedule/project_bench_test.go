package schedule_test

import (
	"bufio"
	"cmp"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"axlestand/internal/schedule"
)

// psplib is one of the 480 projects with 30 tasks of PSPLIB (Kolisch and Sprecher, European Journal of Operational Research 96,
// 1996) with its proven optimum (Demeulemeester and Herroelen 1995).
type psplib struct {
	Name       string
	Optimum    int
	Capacity   []int
	Duration   []int
	Request    [][]int
	Successors [][]int
}

// problem is the project as jobs of one stage; only the end of the last one, which comes after all others, counts.
func (x *psplib) problem() *schedule.Problem {
	p := &schedule.Problem{Subjects: []schedule.Subject{{}}}
	for _, n := range x.Capacity {
		p.Tools = append(p.Tools, schedule.Tool{Capacity: n})
	}
	for i, minutes := range x.Duration {
		s := schedule.Stage{Minutes: minutes}
		for k, n := range x.Request[i] {
			if n > 0 {
				s.Tools = append(s.Tools, schedule.Use{Tool: k, N: n})
			}
		}
		p.Jobs = append(p.Jobs, schedule.Job{Pin: schedule.None, Stages: []schedule.Stage{s}})
	}
	for i, list := range x.Successors {
		for _, j := range list {
			p.Jobs[j].After = append(p.Jobs[j].After, schedule.Link{Job: i})
		}
	}
	p.Jobs[len(p.Jobs)-1].Weight = 1
	return p
}

// readPSPLIB reads the projects from the folder in AXLESTAND_PSPLIB, or from where they lie beside this repository.
func readPSPLIB() ([]psplib, error) {
	folder := cmp.Or(os.Getenv("AXLESTAND_PSPLIB"), filepath.Join("..", "..", "..", "shared", "psplib"))
	f, err := os.Open(filepath.Join(folder, "j30.jsonl"))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []psplib
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var x psplib
		if err := json.Unmarshal(lines.Bytes(), &x); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// BenchmarkPSPLIB holds projects against their optima, with a number of schedules and with as many as fit a time, which is
// measured first.
func BenchmarkPSPLIB(b *testing.B) {
	list, err := readPSPLIB()
	if err != nil {
		b.Logf("left out: no projects (set AXLESTAND_PSPLIB to the folder with j30.jsonl): %v", err)
		return
	}
	b.Run("J30/5000", func(b *testing.B) { holdAgainstOptima(b, list, 5000) })
	b.Run("J30/50ms", func(b *testing.B) { holdAgainstOptima(b, list, schedulesIn(50*time.Millisecond, list)) })
}

func holdAgainstOptima(b *testing.B, list []psplib, effort int) {
	var sum, worst float64
	var optimal int
	for b.Loop() {
		sum, worst, optimal = 0, 0, 0
		for i := range list {
			p := list[i].problem()
			p.Effort = effort
			r := schedule.Solve(p)
			if f := faults(p, r); f != nil {
				b.Fatalf("%s: %v", list[i].Name, f)
			}
			off := 100 * float64(int(r.Cost.Weighted)-list[i].Optimum) / float64(list[i].Optimum)
			sum, worst = sum+off, max(worst, off)
			if off == 0 {
				optimal++
			}
		}
	}
	n := float64(len(list))
	b.ReportMetric(float64(effort), "schedules")
	b.ReportMetric(sum/n, "%mean")
	b.ReportMetric(worst, "%worst")
	b.ReportMetric(float64(optimal), "optimal")
	b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/n, "ms/case")
}

// schedulesIn is how many schedules of the slowest of some projects are made in a time.
func schedulesIn(limit time.Duration, list []psplib) int {
	const some = 2000
	slowest := time.Duration(1)
	for i := 0; i < len(list); i += 10 {
		p := list[i].problem()
		p.Effort = some
		best := time.Hour
		for range 3 {
			start := time.Now()
			schedule.Solve(p)
			best = min(best, time.Since(start))
		}
		slowest = max(slowest, best)
	}
	return int(limit * some / slowest)
}

package schedule_test

import (
	"math/rand/v2"
	"testing"

	"axlestand/internal/schedule"
)

// bench is a problem of jobs with one stage each on one subject, in one session without end.
func bench(minutes []int, weights []int64) *schedule.Problem {
	p := &schedule.Problem{
		Sessions: []schedule.Session{{Span: schedule.Span{From: 0, To: 1_000_000}}},
		Subjects: []schedule.Subject{{}},
	}
	for i := range minutes {
		p.Jobs = append(p.Jobs, schedule.Job{
			Weight: weights[i], Pin: schedule.None, Due: 1_000_000,
			Stages: []schedule.Stage{{Bench: true, Hands: true, Minutes: minutes[i]}},
		})
	}
	return p
}

// cheapest is the least weighted completion over all orders of the jobs.
func cheapest(minutes []int, weights []int64, done []bool, at int) int64 {
	best := int64(-1)
	for i := range minutes {
		if done[i] {
			continue
		}
		done[i] = true
		end := at + minutes[i]
		cost := weights[i]*int64(end) + cheapest(minutes, weights, done, end)
		done[i] = false
		if best < 0 || cost < best {
			best = cost
		}
	}
	return max(best, 0)
}

// One machine, all jobs there from the start: the order of falling weight over time is the best there is (W. E. Smith, Various
// optimizers for single-stage production, Naval Research Logistics Quarterly 3, 1956; from memory). It is held against all
// orders tried out.
func TestSolve_oneMachineIsOptimal(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(7, 1956))
	for n := range 300 {
		minutes, weights := make([]int, 1+n%6), make([]int64, 1+n%6)
		for i := range minutes {
			minutes[i], weights[i] = 1+random.IntN(300), int64(1+random.IntN(9))
		}
		want := cheapest(minutes, weights, make([]bool, len(minutes)), 0)
		if got := schedule.Solve(bench(minutes, weights)).Cost.Weighted; got != want {
			t.Errorf("minutes %v, weights %v: weighted completion %d, the best order has %d", minutes, weights, got, want)
		}
	}
}

func TestSolve_boundIsBelow(t *testing.T) {
	t.Parallel()
	p := bench([]int{60, 45, 30}, []int64{1, 2, 3})
	p.Jobs[0].Release = 100
	p.Jobs[2].After = []schedule.Link{{Job: 1, Gap: 15}}
	ends := schedule.Solve(p).Ends
	for j, bound := range schedule.Bound(p) {
		if bound > ends[j] {
			t.Errorf("job %d ends at %d, below its bound %d", j, ends[j], bound)
		}
	}
	// Worked by hand: 45 minutes of the second, a gap of 15, 30 of the third, then the first.
	if want := [3]int{160, 45, 90}; [3]int(ends) != want {
		t.Errorf("the jobs end at %v, want %v", ends, want)
	}
}

func TestSolve_pausesAtTheEndOfASession(t *testing.T) {
	t.Parallel()
	p := bench([]int{100}, []int64{1})
	p.Sessions = []schedule.Session{{Span: schedule.Span{From: 0, To: 90}}, {Span: schedule.Span{From: 200, To: 300}}}
	placed := schedule.Solve(p).Placed
	if len(placed) != 1 || len(placed[0].Pieces) != 2 {
		t.Fatalf("placed %+v, want one stage in two pieces", placed)
	}
	// No piece is shorter than 20 minutes, and a pause comes at the session's end alone: so it begins 10 minutes late.
	first, second := placed[0].Pieces[0], placed[0].Pieces[1]
	if first != (schedule.Span{From: 10, To: 90}) || second != (schedule.Span{From: 200, To: 220}) {
		t.Errorf("pieces %v and %v", first, second)
	}
}

func TestSolve_nothingToDo(t *testing.T) {
	t.Parallel()
	if r := schedule.Solve(&schedule.Problem{}); len(r.Placed)+len(r.Unplaced) > 0 {
		t.Errorf("found %+v", r)
	}
	p := bench([]int{30}, []int64{1})
	p.Sessions = nil
	if r := schedule.Solve(p); len(r.Unplaced) != 1 || r.Unplaced[0].Why[0].Kind != schedule.BySession {
		t.Errorf("without a session: %+v", r)
	}
}

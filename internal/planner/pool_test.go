package planner

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
)

// shelf is a garage with jobs of an hour each on one car, of which each needs what is written for it.
func shelf(stock []garage.Stock, needs ...garage.Need) garage.Snapshot {
	shot := garage.Snapshot{
		Settings: garage.Settings{Zone: "UTC", Confidence: 80, Lifts: 1},
		Patterns: []garage.SessionPattern{{ID: 1, Weekday: 6, FromMinute: 540, ToMinute: 1020}},
		Cars:     []garage.Car{{ID: 1, Stands: garage.Inside}},
		Parts:    []garage.Part{{ID: 7, Name: "Caliper", Grade: "maker", Unit: "piece"}},
		Stock:    stock,
	}
	for i, n := range needs {
		id := i + 1
		shot.Jobs = append(shot.Jobs, garage.Job{ID: garage.JobID(id), CarID: 1, Weight: 3})
		shot.Stages = append(shot.Stages, garage.Stage{ID: garage.StageID(id), JobID: garage.JobID(id), Kind: garage.Bench, Low: 60, Likely: 60, High: 60})
		n.ID, n.StageID, n.PartID, n.Stops = garage.NeedID(id), garage.StageID(id), 7, true
		shot.Needs = append(shot.Needs, n)
	}
	return shot
}

var shelfNow = time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)

// given says which jobs the plan gives pieces on hand, and which are blocked.
func given(t *testing.T, shot garage.Snapshot) string {
	t.Helper()
	problem, answer, err := PlanGarage(shot, shelfNow)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, p := range answer.Promises {
		if p.Source == FromOnHand {
			got[p.Job] = true
		}
	}
	for _, b := range answer.Blocked {
		got[b.Job+" blocked"] = true
	}
	_ = problem
	var all []string
	for k := range got {
		all = append(all, k)
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}

func lies(quantity int, grade, condition string) garage.Stock {
	lot := garage.LotID(1 + len(grade)*10 + len(condition))
	return garage.Stock{PartID: 7, BinID: 1, LotID: &lot, Quantity: quantity, Grade: grade, Condition: condition}
}

func TestFromGarage_grades(t *testing.T) {
	t.Parallel()
	early, late := shelfNow.Add(-2*time.Hour), shelfNow.Add(-time.Hour)
	tests := []struct {
		name  string
		stock []garage.Stock
		needs []garage.Need
		want  string
	}{
		{"a bad piece is none", []garage.Stock{lies(1, "maker", "bad")}, []garage.Need{{Quantity: 1}}, "job-1 blocked"},
		{"the grade will do", []garage.Stock{lies(1, "maker", "")}, []garage.Need{{Quantity: 1, LeastGrade: "aftermarket"}}, "job-1"},
		{"the grade is too low", []garage.Stock{lies(1, "used", "")}, []garage.Need{{Quantity: 1, LeastGrade: "aftermarket"}}, "job-1 blocked"},
		{"not known what it is", []garage.Stock{lies(1, "", "")}, []garage.Need{{Quantity: 1, LeastGrade: "made here"}}, "job-1 blocked"},
		{
			"the used one goes where it will do",
			[]garage.Stock{lies(1, "used", "good"), lies(1, "maker", "")},
			[]garage.Need{{Quantity: 1}, {Quantity: 1, LeastGrade: "maker"}},
			"job-1, job-2",
		},
		{
			"one need takes both",
			[]garage.Stock{lies(1, "used", "good"), lies(1, "maker", "")},
			[]garage.Need{{Quantity: 2}, {Quantity: 1, LeastGrade: "maker"}},
			"job-1 blocked, job-2",
		},
		{
			"kept for the second",
			[]garage.Stock{lies(1, "maker", "")},
			[]garage.Need{{Quantity: 1}, {Quantity: 1, PinnedAt: &late}},
			"job-1 blocked, job-2",
		},
		{
			"kept for the one asked for first",
			[]garage.Stock{lies(1, "maker", "")},
			[]garage.Need{{Quantity: 1, PinnedAt: &late}, {Quantity: 1, PinnedAt: &early}},
			"job-1 blocked, job-2",
		},
		{
			"a part of it is kept",
			[]garage.Stock{lies(3, "maker", "")},
			[]garage.Need{{Quantity: 1}, {Quantity: 2, PinnedAt: &late}},
			"job-1, job-2",
		},
	}
	for _, tt := range tests {
		if got := given(t, shelf(tt.stock, tt.needs...)); got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.name, got, tt.want)
		}
	}
}

// TestFromGarage_promisesOnce draws shelves and needs at random: of no row of stock more is promised than lies there, and no
// need gets a piece of too low a grade or one that is kept for another.
func TestFromGarage_promisesOnce(t *testing.T) {
	t.Parallel()
	for seed := range 300 {
		random := rand.New(rand.NewPCG(uint64(seed), 6))
		var stock []garage.Stock
		for _, grade := range []string{"maker", "aftermarket", "used", ""} {
			for _, condition := range []string{"", "bad"} {
				if n := random.IntN(4); n > 0 {
					stock = append(stock, lies(n, grade, condition))
				}
			}
		}
		var needs []garage.Need
		for range 1 + random.IntN(6) {
			n := garage.Need{Quantity: 1 + random.IntN(2), LeastGrade: []string{"", "maker", "aftermarket", "used"}[random.IntN(4)]}
			if random.IntN(4) == 0 {
				n.PinnedAt = new(shelfNow.Add(-time.Duration(random.IntN(9)) * time.Hour))
			}
			needs = append(needs, n)
		}
		shot := shelf(stock, needs...)
		_, answer, err := PlanGarage(shot, shelfNow)
		if err != nil {
			t.Fatal(err)
		}
		// Grades are nested: what is promised to needs of a grade and better ones must lie there.
		for _, least := range []string{"maker", "aftermarket", "used", ""} {
			have := 0
			for _, s := range stock {
				if (garage.Need{LeastGrade: least}).Meets(s.Grade, s.Condition) {
					have += s.Quantity
				}
			}
			promised := 0
			for _, p := range answer.Promises {
				need := shot.Needs[RefNumber[garage.JobID](p.Job)-1]
				if strictness(need.LeastGrade) <= strictness(least) && p.Source == FromOnHand {
					promised += p.Qty
				}
			}
			if promised > have {
				t.Fatalf("seed %d: %d promised to needs of %q and better, %d on hand", seed, promised, least, have)
			}
		}
	}
}

// TestPromised: of jobs that need one piece, one is ready.
func TestPromised(t *testing.T) {
	t.Parallel()
	for pieces, want := range []int{0, 1, 2, 3, 3} {
		shot := shelf([]garage.Stock{{PartID: 7, BinID: 1, Quantity: pieces, Grade: "maker"}}, garage.Need{Quantity: 1}, garage.Need{Quantity: 1}, garage.Need{Quantity: 1})
		problem, answer, err := PlanGarage(shot, shelfNow)
		if err != nil {
			t.Fatal(err)
		}
		ready, err := ReadyNow(problem, shelfNow.Add(4*time.Hour), 0)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range answer.Promised(problem, ready) {
			got = append(got, r.Job)
		}
		if len(got) != want {
			t.Errorf("with %d pieces %s are ready, want %d", pieces, fmt.Sprint(got), want)
		}
	}
}

// TestPromised_unplanned: jobs that the plan gives nothing, since it could not place them, do not share a piece either.
func TestPromised_unplanned(t *testing.T) {
	t.Parallel()
	shot := shelf([]garage.Stock{{PartID: 7, BinID: 1, Quantity: 1, Grade: "maker"}}, garage.Need{Quantity: 1}, garage.Need{Quantity: 1})
	problem, _ := FromGarage(shot, shelfNow)
	ready := []Ready{{Job: "job-1"}, {Job: "job-2"}}
	if got := (Answer{}).Promised(problem, ready); len(got) != 1 || got[0].Job != "job-1" {
		t.Errorf("ready: %v", got)
	}
}

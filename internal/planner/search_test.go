package planner

import (
	"testing"
)

// asPrevious is where an answer has its bench stages, as the plan before of the next one.
func asPrevious(a Answer) []Earlier {
	var out []Earlier
	for _, s := range a.Stages {
		if s.Kind == Bench {
			out = append(out, Earlier{Job: s.Job, Stage: s.Stage, From: s.From})
		}
	}
	return out
}

// score is all of a plan's cost but lateness, as the solver weighs it.
func score(a Answer) float64 { return a.Totals.score() }

func planned(t *testing.T, p Problem) Answer {
	t.Helper()
	a, err := Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// More effort never costs more, and on the whole it pays: the search finds better plans than the rules that it starts from.
func TestPlan_effortPays(t *testing.T) {
	t.Parallel()
	better, saved := 0, 0.0
	const garages = 12
	for seed := range uint64(garages) {
		p := seededGarage(seed, 30, 4, 30)
		p.Effort = 4 // the rules alone
		rules := planned(t, p)
		p.Effort = 0
		searched := planned(t, p)
		if len(rules.Blocked) != len(searched.Blocked) {
			continue
		}
		if searched.Totals.LateCost > rules.Totals.LateCost {
			t.Errorf("garage %d: searched late %v, by rules %v", seed, searched.Totals.LateCost, rules.Totals.LateCost)
		}
		if searched.Totals.LateCost < rules.Totals.LateCost || score(searched) < score(rules) {
			better++
		}
		saved += 1 - score(searched)/score(rules)
	}
	t.Logf("the search saved %.1f %%", 100*saved/garages)
	if better < garages/2 || saved/garages < 0.05 {
		t.Errorf("the search was better in %d of %d garages and saved %.1f %%", better, garages, 100*saved/garages)
	}
}

// A garage in which nothing has changed is planned as it was.
func TestPlan_staysWhereItWas(t *testing.T) {
	t.Parallel()
	for seed := range uint64(10) {
		p := seededGarage(seed, 20, 4, 20)
		before := planned(t, p)
		p.Previous = asPrevious(before)
		after := planned(t, p)
		if late := before.Totals.LateCost; after.Totals.LateCost < 0.95*late || score(after) < 0.95*score(before) {
			continue // another plan was worth it
		}
		if after.Totals.Moved > 0 {
			t.Errorf("garage %d: %d stages are on another day though nothing changed", seed, after.Totals.Moved)
		}
	}
}

// Of a small garage all sequences are gone through, and the plan says so. The work fits into one session, so the best order
// is that of falling weight over time (W. E. Smith 1956, from memory).
func TestPlan_saysOptimal(t *testing.T) {
	t.Parallel()
	p := seededGarage(1, 0, 1, 10)
	p.Cars[0].RoadNeeds, p.Access, p.Closing, p.ChangeCarMinutes = nil, nil, nil, 0
	for i, minutes := range []int{90, 30, 60, 45} {
		p.Jobs = append(p.Jobs, Job{
			ID: string(rune('a' + i)), Car: "car-0", Weight: []float64{3, 1, 4, 1}[i],
			Stages: []Stage{{ID: "s", Kind: Bench, Minutes: Exactly(minutes)}},
		})
	}
	a := planned(t, p)
	order := ""
	for _, s := range a.Stages {
		order += s.Job
	}
	if !a.Totals.Optimal || order != "cabd" {
		t.Errorf("order %s, optimal %v; want cabd, and that it is the best there is", order, a.Totals.Optimal)
	}
	p.Effort = 1
	if a := planned(t, p); a.Totals.Decodes > 3 {
		t.Errorf("an effort of one order decoded %d", a.Totals.Decodes)
	}
}

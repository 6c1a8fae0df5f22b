package planner

import (
	"testing"
	"time"
)

// TestLookLonger holds that a longer look pays where there is much to put in order, and that what the owner takes is not lost
// with the next plan, which is made in an instant.
func TestLookLonger(t *testing.T) {
	t.Parallel()
	for _, seed := range []uint64{101, 102, 103} {
		p := seededGarage(seed, 60, 6, 26)
		base := planned(t, p)
		l, err := LookLonger(p, base)
		if err != nil {
			t.Fatal(err)
		}
		better := 1 - score(l.Plan)/score(base)
		if !l.Better || l.Gain.LateCost < 0 || better < 0.03 {
			t.Errorf("seed %d: %.1f %% better, %+v", seed, 100*better, l.Gain)
		}
		p.Previous, p.Now = planStands(l.Plan), p.Now.Add(5*time.Minute)
		next := planned(t, p)
		if late, lost := next.Totals.LateCost-l.Plan.Totals.LateCost, score(next)/score(l.Plan)-1; late > 0 || lost > 0.002 || next.Totals.Moved > 3 {
			t.Errorf("seed %d: the next plan loses %.2f %% of it and %.0f to lateness, and moves %d", seed, 100*lost, late, next.Totals.Moved)
		}
		t.Logf("figure: seed %d, a longer look | %.1f %% better, of which the next plan loses %.2f %% and moves %d | at least 3 %%", seed, 100*better, 100*(score(next)/score(l.Plan)-1), next.Totals.Moved)
	}
}

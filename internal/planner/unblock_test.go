package planner_test

import (
	"bytes"
	"slices"
	"testing"

	"axlestand/internal/planner"
)

// TestUnblock_IsLeast tries all smaller sets, up to three things, of what could matter to a blocked job.
func TestUnblock_IsLeast(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 1)
	want := int(last-first) / 100 // garages with a blocked job: 300 with AXLESTAND_PROBLEMS=30000
	sizes, garages, helpless, elsewhere := map[int]int{}, 0, 0, 0
	for seed := first; seed < last && garages < max(1, want); seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		p.Effort = planner.TriesEffort
		blocked := planned(t, p).Blocked
		if len(blocked) == 0 {
			continue
		}
		garages++
		job := blocked[int(seed)%len(blocked)].Job
		asked := p
		asked.Effort = 0
		sets, err := planner.Unblock(asked, job)
		if err != nil {
			t.Fatal(err)
		}
		if len(sets) == 0 {
			helpless++
			continue
		}
		sizes[len(sets[0])]++
		for _, set := range sets {
			full := p
			if full.Effort = 0; !freed(t, full.With(set...), job) {
				elsewhere++
				if !freed(t, p.With(set...), job) {
					t.Errorf("AXLESTAND_SEED=%d: %s is not freed by %+v", seed, job, set)
				}
			}
		}
		for size := range min(4, len(sets[0])) {
			if less := freeing(t, p, job, planner.ThingsFor(p, job), nil, size); less != nil {
				t.Errorf("AXLESTAND_SEED=%d: %s is freed by %+v, and also by %+v", seed, job, sets[0], less)
			}
		}
	}
	t.Logf("%d garages with a blocked job: sizes of the least sets %v, none found %d, not so at full effort %d", garages, sizes, helpless, elsewhere)
	if elsewhere*100 > garages {
		t.Errorf("%d sets do not free the job at full effort", elsewhere)
	}
	if helpless*20 > garages {
		t.Errorf("nothing frees the job in %d of %d garages", helpless, garages)
	}
}

func freed(t *testing.T, p planner.Problem, job string) bool {
	t.Helper()
	return slices.ContainsFunc(planned(t, p).Stages, func(s planner.PlacedStage) bool { return s.Job == job })
}

// freeing looks for a set of so many things more that frees a job.
func freeing(t *testing.T, p planner.Problem, job string, from, set []planner.Thing, size int) []planner.Thing {
	t.Helper()
	if size == 0 {
		if freed(t, p.With(set...), job) {
			return append([]planner.Thing{}, set...)
		}
		return nil
	}
	for i, thing := range from {
		if found := freeing(t, p, job, from[i+1:], append(set, thing), size-1); found != nil {
			return found
		}
	}
	return nil
}

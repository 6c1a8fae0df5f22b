package schedule_test

import (
	"math/rand/v2"
	"testing"

	"axlestand/internal/schedule"
)

// Clock stages take tools in garages as well as in projects: none is taken more often than it is there, also where a stage
// is placed long before the hands have come to.
func TestSolve_toolsOfClockStages(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(5, 1))
	for n := range 300 {
		p := randomProject(random, shape{jobs: 1 + random.IntN(25), stages: 1 + random.IntN(3), windows: n%2 == 0})
		p.Subjects[0].Blackouts = []schedule.Span{{From: 1 << 30, To: 1<<30 + 1}} // not a project any more
		if bad := overuse(p, schedule.Solve(p)); len(bad) > 0 {
			t.Errorf("problem %d: %v", n, bad)
		}
	}
}

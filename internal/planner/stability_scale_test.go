package planner

import (
	"runtime"
	"testing"
	"time"
)

// mostGrowth is how many times as long, and as much memory, ten times the jobs may take.
const mostGrowth = 30

// TestPlan_Scales is not parallel, so that it measures the planner and not its neighbours; a machine that is busy
// with something else only costs it more tries.
func TestPlan_Scales(t *testing.T) {
	small, few := leastEffort(t, seededGarage(1, 100, 12, 26))
	large, many := leastEffort(t, seededGarage(1, 1000, 12, 260))
	longer, more := float64(large)/float64(small), float64(many)/float64(few)
	t.Logf("figure: 1,000 jobs beside 100 | %v beside %v, %.1f times as long | at most %d times",
		large.Round(time.Millisecond), small.Round(time.Millisecond), longer, mostGrowth)
	t.Logf("figure: memory for them | %.1f beside %.1f MB, %.1f times as much | at most %d times", float64(many)/1e6, float64(few)/1e6, more, mostGrowth)
	if longer > mostGrowth {
		t.Errorf("ten times the jobs take %.1f times as long, %d may be", longer, mostGrowth)
	}
	if more > mostGrowth {
		t.Errorf("ten times the jobs take %.1f times the memory, %d may be", more, mostGrowth)
	}
}

// leastEffort is the shortest time of some plans of a garage, and what one of them allocates.
func leastEffort(t *testing.T, p Problem) (least time.Duration, bytes uint64) {
	t.Helper()
	for range 4 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		planned(t, p)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		if least == 0 || took < least {
			least = took
		}
		bytes = after.TotalAlloc - before.TotalAlloc
	}
	return least, bytes
}

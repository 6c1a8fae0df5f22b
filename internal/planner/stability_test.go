package planner

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A small change must not reshuffle the plan: half an hour more on one of 60 jobs.

// inNumbers scales a number of cases with AXLESTAND_PROBLEMS, which is 5,000 for all of them.
func inNumbers(t *testing.T, n int) int {
	t.Helper()
	if s := os.Getenv("AXLESTAND_PROBLEMS"); s != "" {
		all, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		n = n * all / 5000
	}
	return max(1, n)
}

// planStands says where the stages of a plan stand.
func planStands(a Answer) (out []Earlier) {
	for _, s := range a.Stages {
		out = append(out, Earlier{Job: s.Job, Stage: s.Stage, From: s.From})
	}
	return out
}

// movedJobs lists the jobs that have a stage on another day, or none any more.
func movedJobs(before, after Answer) []string {
	days := map[string]string{}
	for _, s := range after.Stages {
		days[s.Job+"/"+s.Stage] = s.From.Format(time.DateOnly)
	}
	var out []string
	for _, s := range before.Stages {
		if days[s.Job+"/"+s.Stage] != s.From.Format(time.DateOnly) && !slices.Contains(out, s.Job) {
			out = append(out, s.Job)
		}
	}
	return out
}

// benchIn lists the bench stages that begin in a session, in order.
func benchIn(a Answer, s Session) (out []string) {
	for _, x := range a.Stages {
		if x.Kind == Bench && !x.From.Before(s.From) && x.From.Before(s.To) {
			out = append(out, x.Job+"/"+x.Stage)
		}
	}
	return out
}

// nextSession is the first session in which work begins.
func nextSession(p Problem, a Answer) Session {
	for _, s := range p.Sessions {
		if s.To.After(p.Now) && len(benchIn(a, s)) > 0 {
			return s
		}
	}
	return Session{}
}

// stability is what half an hour on one job did.
type stability struct {
	moved, movedCold int
	dearer           float64 // the score beside that of a plan made anew, in percent
	late             float64 // the lateness beside that of a plan made anew
	order            bool    // the next session is as it was
	inNext           bool    // the job is in the next session
}

// halfAnHour plans, makes the stage of a job longer and plans again, with the plan before and without.
func halfAnHour(t *testing.T, seed uint64) stability {
	t.Helper()
	plan := func(p Problem) Answer {
		a, err := Plan(p)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	p := seededGarage(seed, 60, 6, 26)
	before := plan(p)
	next := nextSession(p, before)
	job, stage := lengthened(p, before, seed)
	p.Jobs[job].Stages[stage].Minutes[1] += 30
	p.Jobs[job].Stages[stage].Minutes[2] += 30
	cold := plan(p)
	p.Previous = planStands(before)
	warm := plan(p)
	moved := movedJobs(before, warm)
	if len(moved) == 0 != (warm.Totals.Moved == 0) {
		t.Errorf("seed %d: %d jobs moved, %d stages are said to be", seed, len(moved), warm.Totals.Moved)
	}
	return stability{
		moved: len(moved), movedCold: len(movedJobs(before, cold)),
		dearer: 100 * (score(warm) - score(cold)) / score(cold), late: warm.Totals.LateCost - cold.Totals.LateCost,
		order: slices.Equal(benchIn(before, next), benchIn(warm, next)),
		inNext: slices.ContainsFunc(benchIn(before, next), func(s string) bool {
			return strings.HasPrefix(s, p.Jobs[job].ID+"/")
		}),
	}
}

// lengthened picks a placed bench stage by the seed.
func lengthened(p Problem, a Answer, seed uint64) (job, stage int) {
	var list []PlacedStage
	for _, s := range a.Stages {
		if s.Kind == Bench {
			list = append(list, s)
		}
	}
	s := list[int(seed*7)%len(list)]
	job = slices.IndexFunc(p.Jobs, func(j Job) bool { return j.ID == s.Job })
	return job, slices.IndexFunc(p.Jobs[job].Stages, func(x Stage) bool { return x.ID == s.Stage })
}

// How far a replan may go, on average.
const (
	mostMoved  = 10.0 // jobs on another day
	mostDearer = 1.5  // percent, beside a plan made anew
	leastKept  = 80   // of a hundred next sessions, as they were
)

func TestPlan_Stable(t *testing.T) {
	t.Parallel()
	var moved, cold, dearer, late float64
	n, kept, free := max(8, inNumbers(t, 8)), 0, 0 // of fewer the average says little
	worst := 0
	for seed := range uint64(n) {
		s := halfAnHour(t, seed+1)
		moved, cold, dearer, late = moved+float64(s.moved), cold+float64(s.movedCold), dearer+s.dearer, late+s.late
		worst = max(worst, s.moved)
		if !s.inNext {
			free++
			if s.order {
				kept++
			} else {
				t.Logf("seed %d: the next session is another though the job is not in it", seed+1)
			}
		}
		if s.dearer > 1 || s.late > 0 || s.moved > 12 {
			t.Logf("seed %d: %d jobs moved, %+.2f %% dearer, %+.0f later than anew", seed+1, s.moved, s.dearer, s.late)
		}
	}
	x := float64(n)
	t.Logf("figure: half an hour on one of 60 jobs, %d times | %.1f jobs moved to another day (worst %d; planned anew %.1f) | at most 6", n, moved/x, worst, cold/x)
	t.Logf("figure: cost beside planning anew | %+.2f %%, lateness %+.1f | within 1 %%", dearer/x, late/x)
	t.Logf("figure: next session as it was, where the job is not in it | %d of %d | all", kept, free)
	if moved/x > mostMoved {
		t.Errorf("%.1f jobs moved, %.1f may", moved/x, mostMoved)
	}
	if dearer/x > mostDearer {
		t.Errorf("%.2f %% dearer than planned anew, %.1f may be", dearer/x, mostDearer)
	}
	if kept*100 < free*leastKept {
		t.Errorf("the next session is as before in %d of %d, %d in a hundred should be", kept, free, leastKept)
	}
}

// TestPlan_NearLongSearch holds plans of 60 jobs against those of a search that tries many times as many orders.
func TestPlan_NearLongSearch(t *testing.T) {
	t.Parallel()
	n, effort := inNumbers(t, 2), inNumbers(t, 100)
	gap, late, worst := 0.0, 0, 0.0
	for seed := range uint64(n) {
		p := seededGarage(seed+101, 60, 6, 26)
		usual := planned(t, p)
		p.Effort = max(effort, 5*usual.Totals.Decodes)
		long := planned(t, p)
		switch {
		case len(long.Blocked) != len(usual.Blocked):
			t.Errorf("garage %d: %d jobs blocked, with more effort %d", seed, len(usual.Blocked), len(long.Blocked))
		case long.Totals.LateCost > usual.Totals.LateCost:
			t.Errorf("garage %d: more effort ends later: %v beside %v", seed, long.Totals.LateCost, usual.Totals.LateCost)
		case long.Totals.LateCost < usual.Totals.LateCost:
			late++
		default:
			more := 100 * (score(usual) - score(long)) / score(long)
			gap, worst = gap+more, max(worst, more)
		}
	}
	gap /= float64(max(1, n-late))
	t.Logf("figure: 60 jobs beside a search of %d orders, %d garages | mean gap %.2f %%, worst %.2f %%, %d dearer in lateness | mean gap at most 1 %%",
		effort, n, gap, worst, late)
	if gap > mostGap {
		t.Errorf("mean gap %.2f %%, %.1f may be", gap, mostGap)
	}
}

// mostGap is how much dearer, in percent and on average, plans may be than those of a long search.
const mostGap = 12.0

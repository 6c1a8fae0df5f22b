package planner_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/planner"
)

// problems is how many generated problems a normal run plans and checks. AXLESTAND_PROBLEMS sets another
// number, AXLESTAND_SEED plans the problem of one seed alone.
const problems = 2500

func seeds(t *testing.T, share int) (first, last uint64) {
	t.Helper()
	if s := os.Getenv("AXLESTAND_SEED"); s != "" {
		n, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		return n, n + 1
	}
	n := problems
	if s := os.Getenv("AXLESTAND_PROBLEMS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	return 0, uint64(n / share)
}

// planOf reads a problem, plans it and returns the answer as JSON. A panic is a failure like others, so that
// the seed is told.
func planOf(problem []byte) (answer []byte, err error) {
	defer func() {
		if x := recover(); x != nil {
			answer, err = nil, fmt.Errorf("panic: %v", x)
		}
	}()
	p, err := planner.ReadProblem(bytes.NewReader(problem))
	if err != nil {
		return nil, fmt.Errorf("refused: %w", err)
	}
	plan, err := planner.Plan(p)
	if err != nil {
		return nil, fmt.Errorf("not planned: %w", err)
	}
	return json.Marshal(plan)
}

func TestPlan_HoldsEveryRule(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 1)
	failed := 0
	for seed := first; seed < last && failed < 10; seed++ {
		problem := generate(seed)
		answer, err := planOf(problem)
		if err != nil {
			t.Errorf("AXLESTAND_SEED=%d: %v", seed, err)
			failed++
			continue
		}
		if bad := check(problem, answer); len(bad) > 0 {
			t.Errorf("AXLESTAND_SEED=%d breaks:\n%s", seed, strings.Join(bad, "\n"))
			failed++
		}
	}
	t.Logf("figure: rules on %d generated garages | %d break one | 0", last-first, failed)
}

// onceWrong are problems beyond those of a normal run that were planned wrongly once: work blocked beside an
// idle gap, a car put onto a lift that was taken, helpers in two places, a pin lost to waiting, a car immobile
// for good, what stayed open closed after the closing work, work undone whose closing up takes no time before a road need,
// work on a car that stays immobile and so is never closed up, a car immobile for a part that a pinned job or work on
// another car was thought to leave or to need first, or that a waiting job takes before, a visit that begins after its
// first work, work before what comes before it is done, a reason that was over sooner than told, or
// later than the start, and what is opened on a car that may roll again once no session is left to close it,
// a car closed up before another that has to be on the road first, a lift that was not left, a part that comes from another job for work tied to
// what makes the car immobile, a car closed up before it is here, a car put onto the lift and taken off it
// with nothing done, work moved up over a closing of no time that its car could not be closed after any more, and a lift
// told to be taken by a car on which nothing is done.
var onceWrong = []uint64{
	6894, 7206, 11058, 12540, 14603, 14917, 20901, 21953, 23071, 25538, 25950, 27799, 29197, 31566, 34913, 35595, 39589, 42028, 44432, 48669, 49751, 56495, 57035,
	57767, 61822, 64295, 66669, 68532, 71171, 73182, 82354, 85313, 86909, 88595, 93414, 104633,
	74914, 77339, 101245, 203639, 301483, 601440, 726056, 732149, 799304, 840407, 852667, 857630, 898193, 913220, 940023, 941166, 956015, 965912, 982009,
}

func TestPlan_HoldsWhatItOnceBroke(t *testing.T) {
	t.Parallel()
	for _, seed := range onceWrong {
		problem := generate(seed)
		answer, err := planOf(problem)
		if err != nil {
			t.Errorf("AXLESTAND_SEED=%d: %v", seed, err)
		} else if bad := check(problem, answer); len(bad) > 0 {
			t.Errorf("AXLESTAND_SEED=%d breaks:\n%s", seed, strings.Join(bad, "\n"))
		}
	}
}

func TestPlan_SameBytesAgain(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 5)
	failed := 0
	for seed := first; seed < last && failed < 10; seed++ {
		problem := generate(seed)
		want, err := planOf(problem)
		if err != nil {
			continue // the test above says so
		}
		for i, again := range [][]byte{problem, shuffled(seed, problem), shuffled(seed+1<<32, problem)} {
			got, err := planOf(again)
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("AXLESTAND_SEED=%d: planned again (%d) it differs %v\n%s", seed, i, err, firstDifference(want, got))
				failed++
				break
			}
		}
	}
}

// firstDifference shows where two texts part.
func firstDifference(want, got []byte) string {
	i := 0
	for i < min(len(want), len(got)) && want[i] == got[i] {
		i++
	}
	cut := func(b []byte) []byte { return b[max(0, min(i-80, len(b))):min(len(b), i+160)] }
	return fmt.Sprintf("want …%s\ngot  …%s", cut(want), cut(got))
}

// Not parallel: the number of processors belongs to the whole process.
func TestPlan_SameOnOneProcessorAndTwo(t *testing.T) {
	first, last := seeds(t, 20)
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	for seed := first; seed < last; seed++ {
		problem := generate(seed)
		runtime.GOMAXPROCS(1)
		one, _ := planOf(problem)
		runtime.GOMAXPROCS(2)
		two, _ := planOf(problem)
		if !bytes.Equal(one, two) {
			t.Errorf("AXLESTAND_SEED=%d: another plan on two processors\n%s", seed, firstDifference(one, two))
		}
	}
}

// TestGenerate_ReachesEveryRule holds the generator to its purpose: what never occurs in any plan is not
// tested by all the others.
func TestGenerate_ReachesEveryRule(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	const last = 1000
	for seed := range uint64(last) {
		problem := generate(seed)
		answer, err := planOf(problem)
		if err != nil {
			continue
		}
		for _, what := range reached(problem, answer) {
			seen[what]++
		}
	}
	for _, what := range strings.Fields(`nothing_placed nothing_blocked paused paused_twice shared lift_held_overnight
		two_on_lift late pin_kept note source:on_hand source:arrival source:job source:order open close closing change
		visit_off_lift follows outside wait tool helper stays_over_visits clock_changes immobile_over_two_jobs
		why:part why:job`) {
		if seen[what] == 0 {
			t.Errorf("no generated plan has: %s", what)
		}
	}
	for _, kind := range becauseKinds {
		if seen["because:"+kind] == 0 {
			t.Errorf("no stage of a generated plan starts when it does because of: %s", kind)
		}
	}
	var lines []string
	for what, n := range seen {
		lines = append(lines, fmt.Sprintf("%s %d", what, n))
	}
	slices.Sort(lines)
	t.Logf("of %d problems: %s", last, strings.Join(lines, ", "))
}

// reached names what a plan shows.
func reached(problem, answer []byte) []string {
	c := newChecker()
	if err := c.load(problem, answer); err != nil {
		return nil
	}
	c.checkShape()
	c.checkListed()
	c.checkVisits()
	out := reachedStages(c)
	add := func(what string, yes bool) {
		if yes {
			out = append(out, what)
		}
	}
	add("nothing_placed", len(c.works) == 0)
	add("nothing_blocked", len(c.blocked) == 0)
	add("late", c.a.Totals.LateCost > 0)
	add("shared", c.a.Totals.MinutesSaved > 0)
	add("note", len(c.a.Notes) > 0)
	for _, p := range c.a.Promises {
		add("source:"+p.Source, true)
	}
	for _, it := range c.items() {
		add(it.kind, true)
	}
	for _, v := range c.visits {
		add("visit_off_lift", !v.onLift)
	}
	for _, why := range c.blocked {
		for _, w := range why {
			add("why:"+w.Kind, true)
		}
	}
	for _, o := range c.openings() {
		add("stays_over_visits", o.visit != nil && o.to > o.visit.to)
	}
	all := c.allStandings()
	for _, s := range all {
		add("two_on_lift", c.onLiftAt(all, s.from) == 2)
	}
	return out
}

func reachedStages(c *checker) []string {
	var out []string
	add := func(what string, yes bool) {
		if yes {
			out = append(out, what)
		}
	}
	for _, w := range c.works {
		add("because:"+w.answer.Because.Kind, true)
		add("paused", len(w.pieces) == 2)
		add("paused_twice", len(w.pieces) > 2)
		add("follows", w.stage.FollowsAtOnce)
		add(w.stage.Kind, true)
		add("tool", w.stage.Needs["press"]+w.stage.Needs["puller"] > 0)
		add("helper", w.stage.Needs["helpers"] > 0)
		_, offset := c.timeAt(w.from).Zone()
		_, later := c.timeAt(w.to).Zone()
		add("clock_changes", offset != later)
		if w.job.Pin != "" && w.stage.Kind == "bench" {
			s, found := c.pinned(w.job)
			add("pin_kept", found && s.holds(span{w.from, w.from}))
		}
	}
	for _, m := range c.immobileSpans() {
		add("lift_held_overnight", m.start != nil && m.until != nil && m.length() > 12*60)
		add("immobile_over_two_jobs", m.start != nil && m.until != nil && m.start.job != m.until.job)
	}
	return out
}

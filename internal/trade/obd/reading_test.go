package obd

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// Monitors and how many may be unready: SAE J1979 and US EPA's guidance on OBD, from memory.
func TestJudgeReadiness(t *testing.T) {
	t.Parallel()
	unready := func(ms ...Monitor) []State {
		var states []State
		for _, m := range Monitors() {
			states = append(states, State{Monitor: m, Supported: m != AirCondition, Complete: !slices.Contains(ms, m) && m != AirCondition})
		}
		return states
	}
	for _, c := range []struct {
		year   int
		states []State
		not    []Monitor
		enough bool
	}{
		{2001, unready(), nil, true},
		{2001, unready(Catalyst), []Monitor{Catalyst}, true},
		{2001, unready(Catalyst, Vapour), []Monitor{Catalyst, Vapour}, false},
		{2000, unready(Catalyst, Vapour), []Monitor{Catalyst, Vapour}, true},
		{1996, unready(Catalyst, Vapour, OxygenHeater), []Monitor{Catalyst, Vapour, OxygenHeater}, false},
		{2010, unready(Misfire, FuelSystem, Components), nil, true},
	} {
		got, err := JudgeReadiness(c.year, c.states)
		if err != nil || !slices.Equal(got.NotReady, c.not) || got.Enough != c.enough {
			t.Errorf("%d %v: %+v, %v", c.year, c.not, got, err)
		}
	}
	for want, err := range map[string]error{
		"year":    second(JudgeReadiness(1995, nil)),
		"monitor": second(JudgeReadiness(2001, []State{{Monitor: Catalyst}, {Monitor: Catalyst}})),
	} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := JudgeReadiness(2001, []State{{Monitor: "x"}}); field(err) != "monitor" {
		t.Errorf("got %v", err)
	}
	if len(Monitors()) != 11 || !strings.Contains(ClearingWarning, "freeze frame") {
		t.Error("three continuous and eight other monitors")
	}
}

// Computed: (1 + 0.12)(1 + 0.08) − 1 = 20.96 %, not 20 %.
func TestTotalTrim(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ short, long, want Trim }{{12, 8, 20.96}, {0, 0, 0}, {-10, 10, -1}, {-100, 50, -100}} {
		if got, err := TotalTrim(c.short, c.long); err != nil || !near(float64(got), float64(c.want), 1e-9) {
			t.Errorf("%v and %v: %v, %v, want %v", c.short, c.long, got, err, c.want)
		}
	}
	if field(second(TotalTrim(101, 0))) != "short" || field(second(TotalTrim(0, Trim(math.NaN())))) != "long" {
		t.Error("a trim that is none passes")
	}
}

// Normal to 8 %, from 10 % on look for the cause: common practice, no source.
func TestJudgeTrim(t *testing.T) {
	t.Parallel()
	for total, want := range map[Trim]Verdict{0: Good, 8: Good, -8: Good, 9: Watch, -10: Watch, 10.1: Fault, -20.96: Fault} {
		if got := JudgeTrim(total); got != want {
			t.Errorf("%v: %s, want %s", total, got, want)
		}
	}
}

// The pattern table: common practice, no source.
func TestPoints(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		banks []TrimPattern
		want  string
	}{
		{[]TrimPattern{{18, 2}}, "vacuum leak"},
		{[]TrimPattern{{1, 15}}, "fuel filter"},
		{[]TrimPattern{{14, 15}}, "air-mass meter that reads too little"},
		{[]TrimPattern{{-14, -15}}, "leaking injector"},
		{[]TrimPattern{{18, 2}, {19, 1}}, "vacuum leak"},
		{[]TrimPattern{{14, 15}, {1, 2}}, "sensor of that bank"},
		{[]TrimPattern{{1, 2}, {-14, -15}}, "injector on that bank"},
		{[]TrimPattern{{1, 2}}, ""},
		{[]TrimPattern{{14, -15}}, ""},
		{[]TrimPattern{{14, 15}, {-14, -15}}, ""},
	} {
		got, err := Points(c.banks...)
		if err != nil || !strings.Contains(strings.Join(got, ", "), c.want) || (c.want == "") != (len(got) == 0) {
			t.Errorf("%v: %v, %v, want %q", c.banks, got, err, c.want)
		}
	}
	if field(second(Points())) != "banks" || field(second(Points(TrimPattern{}, TrimPattern{}, TrimPattern{}))) != "banks" || field(second(Points(TrimPattern{Trim(math.NaN()), 0}))) != "banks" {
		t.Error("no bank, three banks or no figure passes")
	}
}

// The two sets and their ratios computed; the limits are common practice, no source.
func TestJudgeCompression(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bar        []float64
		ratio      float64
		verdict    Verdict
		low        []int
		neighbours [][2]int
	}{
		{[]float64{12.1, 12.3, 11.9, 9.0}, .732, Fault, []int{3}, nil},
		{[]float64{12.0, 12.0, 11.5, 11.0}, .917, Good, nil, nil},
		{[]float64{12, 9.6, 12, 12}, .8, Watch, []int{1}, nil},
		{[]float64{12, 8, 8.2, 12}, .667, Fault, []int{1, 2}, [][2]int{{1, 2}}},
		{[]float64{8, 12, 8, 12}, .667, Fault, []int{0, 2}, nil},
		{[]float64{8, 9, 8, 12}, .667, Fault, []int{0, 1, 2}, [][2]int{{0, 1}, {1, 2}}},
	} {
		got, err := JudgeCompression(c.bar, DefaultCompression)
		if err != nil || !near(got.Ratio, c.ratio, .0005) || got.Verdict != c.verdict || !slices.Equal(got.Low, c.low) || !slices.Equal(got.Neighbours, c.neighbours) {
			t.Errorf("%v: %+v, %v", c.bar, got, err)
		}
	}
	for want, err := range map[string]error{
		"readings": second(JudgeCompression([]float64{12}, DefaultCompression)),
		"limits":   second(JudgeCompression([]float64{12, 12}, CompressionLimits{Watch: .7, Fault: .8})),
	} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if field(second(JudgeCompression([]float64{12, 0}, DefaultCompression))) != "readings" {
		t.Error("a reading of nothing passes")
	}
}

// The limits of the watch and the fault belong to the better side: 0.90 passes, 0.75 is not yet a fault. Common practice, no source.
func TestJudgeCompression_at_its_limits(t *testing.T) {
	t.Parallel()
	for low, want := range map[float64]Verdict{9: Good, 8.99: Watch, 7.5: Watch, 7.49: Fault} {
		if got, err := JudgeCompression([]float64{10, low}, DefaultCompression); err != nil || got.Verdict != want {
			t.Errorf("%v of 10: %+v, %v, want %s", low, got, err, want)
		}
	}
}

// Common practice, no source.
func TestJudgeWet_and_leak_down(t *testing.T) {
	t.Parallel()
	for wet, want := range map[float64]WetResult{9: Valve, 9.3: Valve, 10.5: Rings} {
		if got, err := JudgeWet(9, wet); err != nil || got != want {
			t.Errorf("9 to %v: %s, %v", wet, got, err)
		}
	}
	if field(second(JudgeWet(0, 1))) != "dry" || field(second(JudgeWet(1, -1))) != "wet" {
		t.Error("no pressure passes")
	}
	for leak, want := range map[float64]Verdict{0: Good, 9.9: Good, 10: Watch, 20: Watch, 20.1: Fault, 100: Fault} {
		if got, err := JudgeLeakDown(leak); err != nil || got != want {
			t.Errorf("%v %%: %s, %v", leak, got, err)
		}
	}
	if field(second(JudgeLeakDown(101))) != "leak" {
		t.Error("101 % passes")
	}
}

// Rested flooded battery at 25 °C: common practice, no source.
func TestJudgeCharge(t *testing.T) {
	t.Parallel()
	for v, want := range map[Volts]float64{12.65: 100, 12.45: 75, 12.24: 50, 12.06: 25, 11.89: 0, 11: 0, 13: 100, 12.55: 87.5, 12.345: 62.5} {
		if got, err := JudgeCharge(Flooded, v, 4); err != nil || !got.Known || !near(got.Percent, want, 1e-9) || got.Full != (v >= 12.65) {
			t.Errorf("%v V: %+v, %v, want %v", v, got, err, want)
		}
	}
	for _, c := range []struct {
		kind Battery
		v    Volts
		rest float64
		want string
	}{{Flooded, 14, 4, "voltage"}, {Flooded, -1, 4, "voltage"}, {Flooded, 12.5, 3.9, "rest"}, {AGM, 12.5, 0, "rest"}, {"lithium", 12.5, 5, "battery"}} {
		if got, err := JudgeCharge(c.kind, c.v, c.rest); field(err) != c.want {
			t.Errorf("%+v: %+v, %v", c, got, err)
		}
	}
}

// A row in circulation gives an AGM battery of 75 % 12.45 V beside 12.40 V for 50 %, which cannot be. Of AGM it is said only when it
// is full, from 12.8 V on (common practice, no source); the flooded figures are never used for it.
func TestJudgeCharge_of_AGM_has_no_half_charges(t *testing.T) {
	t.Parallel()
	for v, full := range map[Volts]bool{12.8: true, 12.79: false, 12.45: false, 12.40: false} {
		if got, err := JudgeCharge(AGM, v, 4); err != nil || got.Full != full || got.Known != full {
			t.Errorf("%v V: %+v, %v", v, got, err)
		}
	}
}

// Common practice, no source.
func TestJudge_charging_cranking_drops_and_current(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what string
		got  Verdict
		want Verdict
	}{
		{"13.7 V", first(JudgeCharging(13.7, false)), Good},
		{"14.7 V", first(JudgeCharging(14.7, false)), Good},
		{"13.6 V", first(JudgeCharging(13.6, false)), Fault},
		{"14.8 V", first(JudgeCharging(14.8, false)), Fault},
		{"12.5 V smart", first(JudgeCharging(12.5, true)), Good},
		{"15 V smart", first(JudgeCharging(15, true)), Good},
		{"15.1 V smart", first(JudgeCharging(15.1, true)), Fault},
		{"9.6 V cranking", first(JudgeCranking(9.6)), Good},
		{"9.5 V cranking", first(JudgeCranking(9.5)), Fault},
		{"earth 0.1", first(JudgeDrop(Earth, .1)), Good},
		{"earth 0.2", first(JudgeDrop(Earth, .2)), Watch},
		{"earth 0.21", first(JudgeDrop(Earth, .21)), Fault},
		{"positive 0.2", first(JudgeDrop(Positive, .2)), Good},
		{"positive 0.3", first(JudgeDrop(Positive, .3)), Watch},
		{"positive 0.31", first(JudgeDrop(Positive, .31)), Fault},
		{"starter 0.5", first(JudgeDrop(Starter, .5)), Good},
		{"starter 0.51", first(JudgeDrop(Starter, .51)), Fault},
		{"49 mA", first(JudgeQuiescent(49, 60)), Good},
		{"50 mA", first(JudgeQuiescent(50, 20)), Fault},
		{"intake 3.4 kPa", first(JudgeSmoke(Intake, 3.4)), Good},
		{"intake 10.3 kPa", first(JudgeSmoke(Intake, 10.3)), Good},
		{"intake 10.4 kPa", first(JudgeSmoke(Intake, 10.4)), Fault},
		{"intake 3 kPa", first(JudgeSmoke(Intake, 3)), Watch},
		{"vapour 3.5 kPa", first(JudgeSmoke(VapourSystem, 3.5)), Good},
		{"vapour 3.6 kPa", first(JudgeSmoke(VapourSystem, 3.6)), Fault},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.what, c.got, c.want)
		}
	}
	for _, c := range []struct {
		want string
		err  error
	}{
		{"voltage", second(JudgeCharging(-1, false))},
		{"voltage", second(JudgeCranking(40))},
		{"voltage", second(JudgeDrop(Earth, Volts(math.NaN())))},
		{"circuit", second(JudgeDrop("x", .1))},
		{"current", second(JudgeQuiescent(-1, 60))},
		{"asleep", second(JudgeQuiescent(10, 19))},
		{"pressure", second(JudgeSmoke(Intake, -1))},
		{"system", second(JudgeSmoke("x", 1))},
		{"capacity", second(DaysToHalf(0, 1))},
		{"current", second(DaysToHalf(1, 0))},
	} {
		if field(c.err) != c.want {
			t.Errorf("%s: %v", c.want, c.err)
		}
	}
}

func first[T any](v T, _ error) T { return v }

// Computed: 0.5·60·1000/(80·24) = 15.6 days. The smoke pressures agree with 0.5 to 1.5 psi and 14 inches of water.
func TestDaysToHalf_and_smoke_pressures(t *testing.T) {
	t.Parallel()
	if got, err := DaysToHalf(60, 80); err != nil || !near(got, 15.6, .05) {
		t.Errorf("got %v, %v", got, err)
	}
	const psi, inchWater = 6.894757293168, .249089
	if !near(IntakeSmokeFrom, .5*psi, .05) || !near(IntakeSmokeTo, 1.5*psi, .05) || !near(VapourSmoke, 14*inchWater, .05) {
		t.Error("the pressures do not agree with those in psi and inches of water")
	}
}

func TestSwap(t *testing.T) {
	t.Parallel()
	for at, want := range map[[2]bool]SwapResult{{false, true}: PartBad, {true, false}: PartGood, {true, true}: SwapUnclear, {false, false}: SwapUnclear} {
		if got := Swap(at[0], at[1]); got != want {
			t.Errorf("old place %v, new place %v: %s", at[0], at[1], got)
		}
	}
}

// Computed: chances .5, .3, .2 and costs 10, 5, 60 give B, A, C 24.0; A, B, C 24.5; C, B, A 69.0; C, A, B 69.5. The rule:
// Mitten 1960, from memory.
func TestOrderChecks(t *testing.T) {
	t.Parallel()
	a, b, c := Check{"A", 500, 10}, Check{"B", 300, 5}, Check{"C", 200, 60}
	for _, o := range []struct {
		checks []Check
		want   int64
	}{{[]Check{b, a, c}, 24_000}, {[]Check{a, b, c}, 24_500}, {[]Check{c, b, a}, 69_000}, {[]Check{c, a, b}, 69_500}} {
		if got, err := ExpectedCost(o.checks); err != nil || got != o.want {
			t.Errorf("%v: %d, %v, want %d", o.checks, got, err, o.want)
		}
		ordered, err := OrderChecks(o.checks)
		if err != nil || !slices.Equal(ordered, []Check{b, a, c}) {
			t.Errorf("%v: ordered %v, %v", o.checks, ordered, err)
		}
	}
	free, sure := Check{"free", 1, 0}, Check{"free and sure", 400, 0}
	if got, _ := OrderChecks([]Check{a, free, c, sure, {"never", 0, 3}, {"never and free", 0, 0}}); got[0] != sure || got[1] != free || got[2].ID != "never and free" || got[5].ID != "never" {
		t.Errorf("got %v", got)
	}
	if field(second(OrderChecks([]Check{{"x", 1001, 1}}))) != "chance" || field(second(OrderChecks([]Check{{"x", 1, -1}}))) != "cost" ||
		field(second(ExpectedCost([]Check{{"x", 600, 1}, {"y", 401, 1}}))) != "chance" || field(second(ExpectedCost([]Check{{"x", -1, 1}}))) != "chance" {
		t.Error("a chance or cost that is none passes")
	}
}

// No order of up to six checks is cheaper on average than the one given.
func TestOrderChecks_is_the_cheapest_of_all_orders(t *testing.T) {
	t.Parallel()
	seed := uint64(1)
	next := func(n uint64) int {
		seed = seed*6364136223846793005 + 1442695040888963407
		return int((seed >> 33) % n)
	}
	for range 200 {
		var checks []Check
		left := 1000
		for range 2 + next(4) {
			c := Check{Chance: next(uint64(left + 1)), Cost: int64(next(50))}
			left -= c.Chance
			checks = append(checks, c)
		}
		ordered, err := OrderChecks(checks)
		best, err2 := ExpectedCost(ordered)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		permute(checks, 0, func(order []Check) {
			if cost, _ := ExpectedCost(order); cost < best {
				t.Fatalf("%v costs %d, %v only %d", ordered, best, order, cost)
			}
		})
	}
}

func permute(c []Check, from int, visit func([]Check)) {
	if from == len(c) {
		visit(c)
		return
	}
	for i := from; i < len(c); i++ {
		c[from], c[i] = c[i], c[from]
		permute(c, from+1, visit)
		c[from], c[i] = c[i], c[from]
	}
}

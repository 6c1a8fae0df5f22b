package interval

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
)

// field is the name of the value that an error is about.
func field(err error) string {
	if e, ok := errors.AsType[*input.Error](err); ok && strings.HasSuffix(e.Sentence, ".") && !strings.Contains(e.Sentence, "%!") {
		return e.Field
	}
	return ""
}

func second[T any](_ T, err error) error { return err }

const km = 1000

// Computed: 10,000 km or 12 months from 10 January 2026 at 120,000 km; reading after 92 days.
func TestNextDue(t *testing.T) {
	t.Parallel()
	last := Reading{day("2026-01-10"), 120_000 * km}
	rule := Rule{Months: 12, Metres: 10_000 * km}
	for _, c := range []struct {
		km, rate   int64 // the rate in metres a day, to half of its last digit printed in km
		left       int64
		byKm, due  string
		by         Cause
		tolerances int64
	}{
		{121_860, 20_220, 8140, "2027-05-20", "2027-01-10", ByTime, 5},
		{125_520, 60_000, 4480, "2026-06-26", "2026-06-26", ByDistance, 0},
	} {
		now := Reading{day("2026-04-12"), c.km * km}
		rate, err := DailyRate([]Reading{last, now}, nil)
		if err != nil || int64(rate) < c.rate-c.tolerances || int64(rate) > c.rate+c.tolerances {
			t.Errorf("%d km: rate %d, %v, want %d", c.km, rate, err, c.rate)
		}
		due, err := NextDue(rule, last, now, rate, nil)
		if err != nil || due.LeftMetres != c.left*km || due.Distance != day(c.byKm) || due.Time != day("2027-01-10") || due.On != day(c.due) || due.By != c.by {
			t.Errorf("%d km: %+v, %v", c.km, due, err)
		}
	}
}

func TestNextDue_with_one_limit_or_no_rate(t *testing.T) {
	t.Parallel()
	last, now := Reading{day("2026-01-10"), 100 * km}, Reading{day("2026-04-12"), 200 * km}
	for _, c := range []struct {
		name string
		rule Rule
		rate Rate
		want Due
	}{
		{"months alone", Rule{Months: 12}, 10 * km, Due{On: day("2027-01-10"), By: ByTime, Time: day("2027-01-10")}},
		{"distance alone", Rule{Metres: 150 * km}, 10 * km, Due{On: day("2026-04-17"), By: ByDistance, Distance: day("2026-04-17"), LeftMetres: 50 * km}},
		{"a part of a day counts whole", Rule{Metres: 151 * km}, 10 * km, Due{On: day("2026-04-18"), By: ByDistance, Distance: day("2026-04-18"), LeftMetres: 51 * km}},
		{"distance without a rate", Rule{Metres: 150 * km}, 0, Due{LeftMetres: 50 * km}},
		{"both without a rate", Rule{Months: 12, Metres: 150 * km}, 0, Due{On: day("2027-01-10"), By: ByTime, Time: day("2027-01-10"), LeftMetres: 50 * km}},
		{"passed, without a rate", Rule{Metres: 80 * km}, 0, Due{On: now.On, By: ByDistance, Distance: now.On, LeftMetres: -20 * km}},
		{"more than a hundred years away", Rule{Metres: 5_000_000 * km}, 1, Due{LeftMetres: 4_999_900 * km}},
	} {
		if got, err := NextDue(c.rule, last, now, c.rate, nil); err != nil || got != c.want {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
}

func TestDue_is_overdue_by_days_and_by_distance_apart(t *testing.T) {
	t.Parallel()
	due, err := NextDue(Rule{Months: 3, Metres: 80 * km}, Reading{day("2026-01-10"), 100 * km}, Reading{day("2026-04-12"), 200 * km}, 10*km, nil)
	if err != nil || due.OverdueDays(day("2026-04-12")) != 2 || due.OverdueMetres() != 20*km || due.OverdueDays(day("2026-04-10")) != 0 {
		t.Errorf("%+v, %v", due, err)
	}
	if d := (Due{LeftMetres: 5}); d.OverdueDays(day("2026-04-12")) != 0 || d.OverdueMetres() != 0 {
		t.Error("without months nothing is overdue by days, with some left nothing by distance")
	}
}

// A car that is laid up runs nothing: the distance is reached as many days later, and never while no end is known.
func TestNextDue_skips_laid_up_days(t *testing.T) {
	t.Parallel()
	last, now := Reading{day("2026-01-10"), 0}, Reading{day("2026-04-12"), 0}
	rule := Rule{Metres: 100 * km}
	for _, c := range []struct {
		name string
		laid []Span
		want string
	}{
		{"not at all", nil, "2026-04-22"},
		{"before the reading", []Span{{day("2026-01-01"), day("2026-04-12")}}, "2026-04-22"},
		{"over the reading", []Span{{day("2026-01-01"), day("2026-04-14")}}, "2026-04-24"},
		{"ten days between", []Span{{day("2026-04-15"), day("2026-04-24")}}, "2026-05-02"},
		{"from the last day on", []Span{{day("2026-04-22"), day("2026-04-24")}}, "2026-04-25"},
		{"after it", []Span{{day("2026-04-23"), day("2026-04-24")}}, "2026-04-22"},
		{"twice, overlapping", []Span{{day("2026-04-16"), day("2026-04-18")}, {day("2026-04-15"), day("2026-04-17")}}, "2026-04-26"},
		{"for good", []Span{{day("2026-04-20"), Date{}}}, ""},
		{"for good, later", []Span{{day("2026-05-20"), Date{}}}, "2026-04-22"},
	} {
		got, err := NextDue(rule, last, now, 10*km, c.laid)
		if err != nil || got.Distance.String() != c.want {
			t.Errorf("%s: %s, %v, want %s", c.name, got.Distance, err, c.want)
		}
	}
}

// The day given has exactly the days of use before it that the distance takes: found by walking day by day.
func TestAfterUse_agrees_with_walking(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 5))
	base := day("2026-01-01")
	for range 3000 {
		var spans []Span
		for range r.IntN(4) {
			from := base.AddDays(r.IntN(90))
			spans = append(spans, Span{from, from.AddDays(r.IntN(20))})
		}
		laid := func(d Date) bool {
			return slices.ContainsFunc(spans, func(s Span) bool { return !d.Before(s.From) && !s.To.Before(d) })
		}
		from, days := base.AddDays(r.IntN(60)), r.IntN(40)
		want := from
		for n := days; n > 0; {
			if want = want.AddDays(1); !laid(want) {
				n--
			}
		}
		joined, err := merged(spans)
		got, ok := afterUse(from, days, joined)
		if err != nil || !ok || got != want {
			t.Fatalf("%d days of use after %s with %v: %s, %v, want %s", days, from, spans, got, err, want)
		}
		if n := daysOfUse(from, want, joined); n != days {
			t.Fatalf("%s to %s with %v: %d days of use, want %d", from, want, spans, n, days)
		}
	}
}

func TestNextDue_refuses(t *testing.T) {
	t.Parallel()
	last, now := Reading{day("2026-01-10"), 100}, Reading{day("2026-04-12"), 200}
	rule := Rule{Months: 12}
	for _, c := range []struct {
		want string
		err  error
	}{
		{"rule", second(NextDue(Rule{}, last, now, 1, nil))},
		{"rule", second(NextDue(Rule{Months: -1, Metres: 5}, last, now, 1, nil))},
		{"rule", second(NextDue(Rule{Months: 1201}, last, now, 1, nil))},
		{"last", second(NextDue(rule, Reading{Metres: 1}, now, 1, nil))},
		{"now", second(NextDue(rule, last, Reading{}, 1, nil))},
		{"now", second(NextDue(rule, last, Reading{now.On, -1}, 1, nil))},
		{"now", second(NextDue(rule, last, Reading{day("2026-01-09"), 200}, 1, nil))},
		{"now", second(NextDue(rule, last, Reading{now.On, 99}, 1, nil))},
		{"rate", second(NextDue(rule, last, now, -1, nil))},
		{"laid_up", second(NextDue(rule, last, now, 1, []Span{{day("2026-01-10"), day("2026-01-09")}}))},
		{"laid_up", second(NextDue(rule, last, now, 1, []Span{{}}))},
		{"share", second(Severe(rule, 499))},
		{"share", second(Severe(rule, 1001))},
		{"rule", second(Severe(Rule{}, 500))},
	} {
		if field(c.err) != c.want {
			t.Errorf("%s: %v", c.want, c.err)
		}
	}
}

// Half the distance, half to all of the months: common practice, no source.
func TestSevere(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rule  Rule
		share int
		want  Rule
	}{
		{Rule{12, 10_000 * km}, 500, Rule{6, 5000 * km}},
		{Rule{12, 10_000 * km}, 1000, Rule{12, 5000 * km}},
		{Rule{1, 0}, 500, Rule{1, 0}},
		{Rule{0, 1}, 750, Rule{0, 1}},
	} {
		if got, err := Severe(c.rule, c.share); err != nil || got != c.want {
			t.Errorf("%+v by %d: %+v, %v", c.rule, c.share, got, err)
		}
	}
}

func TestDailyRate(t *testing.T) {
	t.Parallel()
	d := func(s string, k int64) Reading { return Reading{day(s), k * km} }
	for _, c := range []struct {
		name     string
		readings []Reading
		laid     []Span
		want     Rate
	}{
		{"none", nil, nil, 0},
		{"one", []Reading{d("2026-01-01", 10)}, nil, 0},
		{"thirteen days", []Reading{d("2026-01-01", 0), d("2026-01-14", 130)}, nil, 0},
		{"fourteen days", []Reading{d("2026-01-01", 0), d("2026-01-15", 140)}, nil, 10 * km},
		{"in any order", []Reading{d("2026-01-15", 140), d("2026-01-01", 0)}, nil, 10 * km},
		{"on one day", []Reading{d("2026-01-01", 0), d("2026-01-01", 5)}, nil, 0},
		{"stands", []Reading{d("2026-01-01", 10), d("2026-03-01", 10)}, nil, 0},
		{"laid up does not count", []Reading{d("2026-01-01", 0), d("2026-03-01", 140)}, []Span{{day("2026-01-10"), day("2026-02-23")}}, 10 * km},
		{"laid up leaves too little", []Reading{d("2026-01-01", 0), d("2026-03-01", 140)}, []Span{{day("2026-01-02"), day("2026-02-23")}}, 0},
		{"still laid up", []Reading{d("2026-01-01", 0), d("2026-01-21", 200), d("2026-03-01", 200)}, []Span{{day("2026-01-22"), Date{}}}, 10 * km},
		{"still laid up, and noted twice", []Reading{d("2026-01-01", 0), d("2026-01-21", 200), d("2026-03-01", 200)}, []Span{{day("2026-01-22"), Date{}}, {day("2026-02-01"), day("2026-02-10")}}, 10 * km},
		{"a line through three: slope of least squares", []Reading{d("2026-01-01", 0), d("2026-01-11", 50), d("2026-01-21", 400)}, nil, 20 * km},
		{"the year before last does not count", []Reading{d("2023-01-01", 0), d("2025-01-01", 73_000), d("2025-07-01", 73_181), d("2025-12-31", 73_364)}, nil, 1 * km},
		{"an old one does where the newer cover too little", []Reading{d("2024-01-01", 0), d("2025-12-31", 7300), d("2026-01-05", 7350)}, nil, 10 * km},
		{"half a metre counts as one", []Reading{{day("2026-01-01"), 0}, {day("2026-01-21"), 10}}, nil, 1},
		{"less is none", []Reading{{day("2026-01-01"), 0}, {day("2026-01-21"), 9}}, nil, 0},
	} {
		if got, err := DailyRate(c.readings, c.laid); err != nil || got != c.want {
			t.Errorf("%s: %d, %v, want %d", c.name, got, err, c.want)
		}
	}
	for _, c := range []struct {
		want string
		err  error
	}{
		{"readings", second(DailyRate([]Reading{d("2026-01-01", 10), d("2026-02-01", 9)}, nil))},
		{"readings", second(DailyRate([]Reading{{Date{}, 1}}, nil))},
		{"readings", second(DailyRate([]Reading{d("2026-01-01", -1)}, nil))},
		{"readings", second(DailyRate([]Reading{d("2026-01-01", 10_000_001)}, nil))},
		{"laid_up", second(DailyRate(nil, []Span{{Date{}, day("2026-01-01")}}))},
	} {
		if field(c.err) != c.want {
			t.Errorf("%s: %v", c.want, c.err)
		}
	}
}

// Readings on a straight line give its slope, whatever their days and however many; readings that scatter give one between the least and the most.
func TestDailyRate_of_a_straight_line(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 6))
	for range 500 {
		perDay, start := r.Int64N(400_000), r.Int64N(5_000_000_000)
		var readings []Reading
		for n := range 2 + r.IntN(40) {
			at := n*20 + r.IntN(20)
			readings = append(readings, Reading{day("2020-01-01").AddDays(at), start + int64(at)*perDay})
		}
		r.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
		got, err := DailyRate(readings, nil)
		if covers := int64(got) != 0 || perDay == 0 || len(readings) == 2; err != nil || !covers || got != 0 && int64(got) != perDay {
			t.Fatalf("%d metres a day: %d, %v of %v", perDay, got, err, readings)
		}
	}
}

func TestDefaults_and_running_in(t *testing.T) {
	t.Parallel()
	for what, months := range map[string]int{
		"brake fluid": 24, "coolant, IAT": 24, "coolant, OAT": 60, "engine oil": 12, "fuel hoses": 120, "inspect the lift": 12, "calibrate the torque wrench": 12,
	} { // common practice, no source
		if !slices.ContainsFunc(Defaults(), func(d Default) bool { return d.What == what && d.Months == months && d.From == 0 }) {
			t.Errorf("%s: want %d months", what, months)
		}
	}
	for what, from := range map[string]int{"look at the tyres": 60, "test the battery": 48} {
		if !slices.ContainsFunc(Defaults(), func(d Default) bool { return d.What == what && d.Months == 12 && d.From == from }) {
			t.Errorf("%s: want yearly from %d months on", what, from)
		}
	}
	var at []int64
	for _, r := range RunInList() {
		at = append(at, r.Metres/km)
	}
	if !slices.Equal(at, []int64{0, 20, 100, 500, 1000}) || RunInList()[0].Minutes != 30 || RunInList()[4].From != 500*km {
		t.Errorf("got %+v", RunInList())
	}
}

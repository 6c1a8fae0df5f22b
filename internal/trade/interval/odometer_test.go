package interval

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The international mile is exact: 1609.344 m (computed from 1 in = 25.4 mm).
func TestMetres(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		shown int64
		unit  Unit
		want  int64
	}{{1, Kilometre, 1000}, {1, Mile, 1609}, {1000, Mile, 1_609_344}, {2, Mile, 3219}, {0, Mile, 0}, {9_999_999, Mile, 16_093_438_391}} {
		if got, err := Metres(c.shown, c.unit); err != nil || got != c.want {
			t.Errorf("%d %s: %d, %v, want %d", c.shown, c.unit, got, err, c.want)
		}
	}
	if field(second(Metres(1, "ft"))) != "unit" || field(second(Metres(-1, Mile))) != "shown" || field(second(Metres(10_000_000, Mile))) != "shown" {
		t.Error("a unit or figure that is none passes")
	}
}

func TestSegment(t *testing.T) {
	t.Parallel()
	first := Segment{Unit: Kilometre}
	rolled, err := first.RollOver(99_990)
	if total, err2 := rolled.Total(15); err != nil || err2 != nil || total != 100_015*km {
		t.Errorf("rolled over: %d, %v, %v", total, err, err2)
	}
	if six, err := first.RollOver(123_456); err != nil || six.Offset != 1_000_000*km {
		t.Errorf("a counter of six digits rolls over after a million: %+v, %v", six, err)
	}
	twice, _ := rolled.RollOver(99_000)
	if twice.Offset != 200_000*km {
		t.Errorf("rolled over twice: %+v", twice)
	}
	used, err := first.Swap(120_000, 80_000, Kilometre)
	if total, _ := used.Total(80_500); err != nil || total != 120_500*km {
		t.Errorf("a used cluster goes on from what the car had run: %d, %v", total, err)
	}
	higher, err := first.Swap(120_000, 130_000, Kilometre)
	if total, _ := higher.Total(130_500); err != nil || total != 120_500*km || higher.Offset != -10_000*km {
		t.Errorf("a cluster that showed more: %+v, %d, %v", higher, total, err)
	}
	miles, err := first.Swap(100_000, 0, Mile)
	if total, _ := miles.Total(100); err != nil || total != 100_000*km+160_934 {
		t.Errorf("a cluster in miles: %d, %v", total, err)
	}
	for _, err := range []error{second(first.RollOver(-1)), second(first.RollOver(9_999_999)), second(first.Swap(-1, 0, Mile)), second(first.Swap(0, 10_000_000, Mile)), second(first.Total(-1))} {
		if field(err) != "shown" {
			t.Errorf("got %v", err)
		}
	}
	if field(second(first.Swap(0, 0, "ft"))) != "unit" {
		t.Error("feet pass")
	}
}

// What to ask about: common practice, no source.
func TestDoubts(t *testing.T) {
	t.Parallel()
	today := day("2026-05-01")
	for _, c := range []struct {
		name   string
		unit   Unit
		before *Shown
		entry  Shown
		want   []Doubt
	}{
		{"the first", Kilometre, nil, Shown{today, 5}, nil},
		{"as usual", Kilometre, &Shown{day("2026-04-01"), 120_000}, Shown{today, 121_000}, nil},
		{"tomorrow", Kilometre, &Shown{day("2026-04-01"), 120_000}, Shown{today.AddDays(1), 121_000}, []Doubt{FutureDay}},
		{"twice", Kilometre, &Shown{today, 121_000}, Shown{today, 121_000}, []Doubt{Twice}},
		{"it stood", Kilometre, &Shown{day("2026-04-01"), 120_000}, Shown{today, 120_000}, nil},
		{"1500 km in a day", Kilometre, &Shown{day("2026-04-30"), 120_000}, Shown{today, 121_500}, nil},
		{"1501 km in a day", Kilometre, &Shown{day("2026-04-30"), 120_000}, Shown{today, 121_501}, []Doubt{TooFast}},
		{"932 mi in a day", Mile, &Shown{day("2026-04-30"), 120_000}, Shown{today, 120_932}, nil},
		{"933 mi in a day", Mile, &Shown{day("2026-04-30"), 120_000}, Shown{today, 120_933}, []Doubt{TooFast}},
		{"less", Kilometre, &Shown{day("2026-04-01"), 120_000}, Shown{today, 1000}, []Doubt{Backwards}},
		{"rolled over", Kilometre, &Shown{day("2026-04-01"), 99_800}, Shown{today, 400}, []Doubt{Backwards, RolledOver}},
		{"miles for km", Kilometre, &Shown{day("2026-04-01"), 120_000}, Shown{today, 75_300}, []Doubt{Backwards, UnitMixUp}},
		{"km for miles", Mile, &Shown{day("2026-04-01"), 75_000}, Shown{today, 121_500}, []Doubt{TooFast, UnitMixUp}},
	} {
		if got, err := Doubts(c.unit, c.before, c.entry, today); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, %v, want %q", c.name, got, err, c.want)
		}
	}
	for want, err := range map[string]error{
		"on":    second(Doubts(Mile, &Shown{today, 5}, Shown{today.AddDays(-1), 5}, today)),
		"shown": second(Doubts(Mile, nil, Shown{today, -1}, today)),
		"unit":  second(Doubts("ft", nil, Shown{today, 1}, today)),
	} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Computed: what the cars ran with it, and what it had run before.
func TestComponentMetres(t *testing.T) {
	t.Parallel()
	if got, err := ComponentMetres(50_000*km, Stint{120_000 * km, 130_000 * km}, Stint{80_000 * km, 80_500 * km}); err != nil || got != 60_500*km {
		t.Errorf("got %d, %v", got, err)
	}
	if got, err := ComponentMetres(0); err != nil || got != 0 {
		t.Errorf("new and not fitted: %d, %v", got, err)
	}
	for want, err := range map[string]error{"before": second(ComponentMetres(-1)), "stints": second(ComponentMetres(0, Stint{5, 4}))} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// However often a cluster is swapped or rolls over, the car has run what was driven.
func TestSegment_keeps_what_the_car_has_run(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(9, 9))
	for range 2000 {
		segment, shown, driven := Segment{Unit: Kilometre}, int64(0), int64(0)
		for range 30 {
			switch r.IntN(4) {
			case 0:
				if shown < 100_000 {
					rest := 100_000 - shown
					segment, _ = segment.RollOver(shown)
					driven, shown = driven+rest, 0
				}
			case 1:
				next := r.Int64N(300_000)
				segment, _ = segment.Swap(shown, next, Kilometre)
				shown = next
			default:
				n := r.Int64N(90)
				driven, shown = driven+n, shown+n
			}
			if total, err := segment.Total(shown); err != nil || total != driven*km {
				t.Fatalf("driven %d km, reckoned %d m, %v", driven, total, err)
			}
		}
	}
}

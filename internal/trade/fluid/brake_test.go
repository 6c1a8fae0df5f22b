package fluid

import (
	"errors"
	"math"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// field is the name of the value that an error is about.
func field(err error) string {
	if e, ok := errors.AsType[*input.Error](err); ok && strings.HasSuffix(e.Sentence, ".") && !strings.Contains(e.Sentence, "%!") {
		return e.Field
	}
	return ""
}

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

func brakeFluid(t *testing.T, name string) BrakeFluid {
	t.Helper()
	f, err := ParseBrakeFluid(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Published: 49 CFR 571.116 (FMVSS 116), S5.1.1 dry, S5.1.2 wet, S5.1.3 viscosity, S5.1.14 colour; the degrees Fahrenheit are printed
// beside. The classes of ISO 4925: from memory of the standard.
func TestBrakeFluids(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name             string
		dry, dryF        float64
		wet, wetF        float64
		cold             int
		hot              float64
		base             Base
		colour, standard string
	}{
		{"DOT 3", 205, 401, 140, 284, 1500, 1.5, Glycol, "colourless to amber", "FMVSS 116"},
		{"DOT 4", 230, 446, 155, 311, 1800, 1.5, Glycol, "colourless to amber", "FMVSS 116"},
		{"DOT 5", 260, 500, 180, 356, 900, 1.5, Silicone, "purple", "FMVSS 116"},
		{"DOT 5.1", 260, 500, 180, 356, 900, 1.5, Glycol, "colourless to amber", "FMVSS 116"},
		{"ISO 4925 class 3", 205, 401, 140, 284, 1500, 0, Glycol, "", "ISO 4925"},
		{"ISO 4925 class 4", 230, 446, 155, 311, 1500, 0, Glycol, "", "ISO 4925"},
		{"ISO 4925 class 5-1", 260, 500, 180, 356, 900, 0, Glycol, "", "ISO 4925"},
		{"ISO 4925 class 6", 250, 482, 165, 329, 750, 0, Glycol, "", "ISO 4925"},
		{"ISO 4925 class 7", 260, 500, 180, 356, 750, 0, Glycol, "", "ISO 4925"},
		{"Mineral oil", 0, 32, 0, 32, 0, 0, Mineral, "green", "FMVSS 116"},
	} {
		f := brakeFluid(t, c.name)
		if float64(f.Dry) != c.dry || float64(f.Wet) != c.wet || f.ColdMax != c.cold || f.HotMin != c.hot || f.Base != c.base || f.Colour != c.colour {
			t.Errorf("%s: %+v", c.name, f)
		}
		if float64(f.Dry)*1.8+32 != c.dryF || float64(f.Wet)*1.8+32 != c.wetF {
			t.Errorf("%s: does not agree with the printed degrees Fahrenheit", c.name)
		}
		if !strings.Contains(f.Standard, c.standard) || f.Memory != (c.standard == iso4925) {
			t.Errorf("%s: source %q, from memory %v", c.name, f.Standard, f.Memory)
		}
	}
	if len(BrakeFluids()) != 10 {
		t.Errorf("%d fluids, want 10", len(BrakeFluids()))
	}
}

// 270/190 °C for DOT 5.1 is in circulation; the standard says 260/180 (published: 49 CFR 571.116, S5.1.1, S5.1.2).
func TestBrakeFluids_do_not_promise_270_for_DOT_5_1(t *testing.T) {
	t.Parallel()
	if f := brakeFluid(t, "DOT 5.1"); f.Dry != 260 || f.Wet != 180 {
		t.Errorf("got %v/%v", f.Dry, f.Wet)
	}
}

func TestParseBrakeFluid(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"dot4": "DOT 4", " DOT  5.1 ": "DOT 5.1", "Class 6": "ISO 4925 class 6", "iso4925 CLASS 5-1": "ISO 4925 class 5-1", "mineral OIL": "Mineral oil",
	} {
		if got := brakeFluid(t, typed).Name; got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
	for _, typed := range []string{"", "DOT", "DOT 6", "DOT 5-1", "class 5.1", "4", "DOT 4 DOT 4"} {
		if got, err := ParseBrakeFluid(typed); field(err) != "fluid" {
			t.Errorf("%q: %v, %v", typed, got, err)
		}
	}
	for _, f := range BrakeFluids() {
		if again, err := ParseBrakeFluid(f.String()); err != nil || again != f {
			t.Errorf("%s reads back as %v, %v", f, again, err)
		}
	}
}

// Mixing: common practice, no source; silicone and mineral oil never with others: published, 49 CFR 571.116, S5.1.14.
func TestMixBrake(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b, grade string
		dry, wet    Celsius
		cold        int
	}{
		{"DOT 3", "DOT 4", "DOT 3", 205, 140, 1800}, // DOT 4 may be thicker in the cold than DOT 3
		{"DOT 3", "DOT 5.1", "DOT 3", 205, 140, 1500},
		{"DOT 4", "DOT 5.1", "DOT 4", 230, 155, 1800},
		{"DOT 5.1", "class 6", "ISO 4925 class 6", 250, 165, 900},
		{"DOT 4", "class 6", "DOT 4", 230, 155, 1800},
		{"DOT 3", "class 3", "DOT 3", 205, 140, 1500},
		{"class 4", "DOT 4", "DOT 4", 230, 155, 1800},
		{"class 6", "class 7", "ISO 4925 class 6", 250, 165, 750},
		{"DOT 5", "DOT 5", "DOT 5", 260, 180, 900},
	} {
		for _, pair := range [][2]string{{c.a, c.b}, {c.b, c.a}} {
			got, err := MixBrake(brakeFluid(t, pair[0]), brakeFluid(t, pair[1]))
			if err != nil || got != (Mix{c.grade, c.dry, c.wet, c.cold}) {
				t.Errorf("%v: %+v, %v, want %s", pair, got, err, c.grade)
			}
		}
	}
	for _, a := range BrakeFluids() {
		for _, b := range BrakeFluids() {
			_, err := MixBrake(a, b)
			refused, ok := errors.AsType[*Refusal](err)
			if (a.Base != b.Base) != ok || ok && !strings.HasPrefix(refused.Reason, a.Name) {
				t.Errorf("%s with %s: %v", a, b, err)
			}
		}
	}
}

// Common practice, no source.
func TestFillBrake(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		asked, offered string
		abs            bool
		want           string
	}{
		{"DOT 3", "DOT 4", true, ""},
		{"DOT 4", "DOT 5.1", true, ""},
		{"DOT 4", "class 6", true, ""},
		{"class 6", "class 7", true, ""},
		{"DOT 5", "DOT 5", false, ""},
		{"DOT 4", "DOT 3", false, "step down"},
		{"DOT 5.1", "class 6", true, "step down"},
		{"class 6", "DOT 5.1", true, "low-viscosity"},
		{"DOT 4", "DOT 5", false, "must never meet"},
		{"DOT 4", "DOT 5", true, "ABS"},
		{"DOT 5", "DOT 4", false, "must never meet"},
		{"Mineral oil", "DOT 4", false, "must never meet"},
	} {
		err := FillBrake(brakeFluid(t, c.asked), brakeFluid(t, c.offered), c.abs)
		refused, ok := errors.AsType[*Refusal](err)
		if ok != (c.want != "") || ok && !strings.Contains(refused.Error(), c.want) {
			t.Errorf("%s for %s: %v, want %q", c.offered, c.asked, err, c.want)
		}
	}
}

// 2 to 3 % marginal, from 3 % change: common practice, no source.
func TestJudgeWater(t *testing.T) {
	t.Parallel()
	for percent, want := range map[float64]Water{0: WaterLow, 1.9: WaterLow, 2: WaterMarginal, 2.9: WaterMarginal, 3: WaterHigh, 3.7: WaterHigh} {
		if got, err := JudgeWater(Percent(percent)); err != nil || got != want {
			t.Errorf("%g %%: %s, %v, want %s", percent, got, err, want)
		}
	}
	for _, bad := range []Share{-.01, 1.01, Share(math.NaN())} {
		if _, err := JudgeWater(bad); field(err) != "water" {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// A warning from 12 months on: common practice, no source.
func TestOpenBottle(t *testing.T) {
	t.Parallel()
	opened := interval.NewDate(2024, 2, 29)
	for today, old := range map[interval.Date]bool{opened: false, interval.NewDate(2025, 2, 27): false, interval.NewDate(2025, 2, 28): true} {
		got, err := OpenBottle(opened, today, BrakeOpenedMonths)
		if err != nil || got.WarnFrom != interval.NewDate(2025, 2, 28) || got.Old != old {
			t.Errorf("on %s: %+v, %v", today, got, err)
		}
	}
	for want, err := range map[string]error{
		"opened": second(OpenBottle(opened, opened.AddDays(-1), 12)),
		"months": second(OpenBottle(opened, opened, 0)),
	} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := OpenBottle(interval.Date{}, opened, 12); field(err) != "opened" {
		t.Errorf("no day: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

// Computed, π/4·d²·L: a pipe of 4.75 mm with a wall of 0.71 mm has a bore of 3.33 mm.
func TestCylinderVolume(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ bore, length, want, tolerance float64 }{
		{4.75 - 2*.71, 1000, 8.71, .005},
		{54, 25, 57.3, .05},
	} {
		if got, err := CylinderVolume(c.bore, c.length); err != nil || !near(float64(got), c.want, c.tolerance) {
			t.Errorf("%g x %g: %v, %v, want %v", c.bore, c.length, got, err, c.want)
		}
	}
	if field(second(CylinderVolume(0, 1))) != "bore" || field(second(CylinderVolume(1, math.NaN()))) != "length" {
		t.Error("no bore or no length passes")
	}
}

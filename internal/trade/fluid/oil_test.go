package fluid

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Published: SAE J300 (2015), cranking and pumping viscosity of the W grades.
func TestWinterGrades(t *testing.T) {
	t.Parallel()
	for grade, want := range map[string]WinterLimits{
		"0W":  {0, 6200, -35, 60000, -40, 3.8},
		"5W":  {5, 6600, -30, 60000, -35, 3.8},
		"10W": {10, 7000, -25, 60000, -30, 4.1},
		"15W": {15, 7000, -20, 60000, -25, 5.6},
		"20W": {20, 9500, -15, 60000, -20, 5.6},
		"25W": {25, 13000, -10, 60000, -15, 9.3},
	} {
		v, err := ParseViscosity(grade)
		got, ok := v.WinterLimits()
		if _, hot := v.HotLimits(); err != nil || !ok || hot || got != want {
			t.Errorf("%s: %+v, %v", grade, got, err)
		}
	}
	if len(WinterGrades()) != 6 {
		t.Error("six W grades")
	}
}

// Published: SAE J300 (2015), kinematic viscosity at 100 °C and viscosity at high shear.
func TestHotGrades(t *testing.T) {
	t.Parallel()
	for grade, want := range map[string]HotLimits{
		"8": {8, 4.0, 6.1, 1.7}, "12": {12, 5.0, 7.1, 2.0}, "16": {16, 6.1, 8.2, 2.3}, "20": {20, 6.9, 9.3, 2.6}, "30": {30, 9.3, 12.5, 2.9},
		"50": {50, 16.3, 21.9, 3.7}, "60": {60, 21.9, 26.1, 3.7}, "40": {40, 12.5, 16.3, 3.7},
		"0W-40": {40, 12.5, 16.3, 3.5}, "5W-40": {40, 12.5, 16.3, 3.5}, "10W-40": {40, 12.5, 16.3, 3.5},
		"15W-40": {40, 12.5, 16.3, 3.7}, "20W-40": {40, 12.5, 16.3, 3.7}, "25W-40": {40, 12.5, 16.3, 3.7},
		"0W-20": {20, 6.9, 9.3, 2.6}, "10W-60": {60, 21.9, 26.1, 3.7},
	} {
		v, err := ParseViscosity(grade)
		if got, ok := v.HotLimits(); err != nil || !ok || got != want {
			t.Errorf("%s: %+v, %v", grade, got, err)
		}
	}
	if len(HotGrades()) != 8 {
		t.Error("eight grades")
	}
}

// The issue of 1999 is still copied: 5.6 mm²/s for a 20 and 2.9 mPa·s for 0W-40. Since then 6.9 and 3.5 (published: SAE J300, 2015).
func TestHotGrades_are_not_those_of_1999(t *testing.T) {
	t.Parallel()
	twenty, _ := Viscosity{Hot: 20}.HotLimits()
	forty, _ := Viscosity{HasWinter: true, Hot: 40}.HotLimits()
	if twenty.KV100Min == 5.6 || twenty.KV100Min != 6.9 || forty.HTHSMin == 2.9 || forty.HTHSMin != 3.5 {
		t.Errorf("20: %+v, 0W-40: %+v", twenty, forty)
	}
}

// The ranges include their lower and exclude their upper end: 12.5 is a 40, not a 30. Published: SAE J300 (2015).
func TestGradesAt(t *testing.T) {
	t.Parallel()
	for kv, want := range map[float64][]int{
		12.5: {40}, 12.49: {30}, 9.3: {30}, 9.29: {20}, 16.3: {50}, 21.9: {60}, 26.1: nil, 3.99: nil,
		4.0: {8}, 5.5: {8, 12}, 6.1: {12, 16}, 7.0: {12, 16, 20}, 7.1: {16, 20}, 8.2: {20},
	} {
		if got, err := GradesAt(kv); err != nil || !slices.Equal(got, want) {
			t.Errorf("%g: %v, %v, want %v", kv, got, err, want)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := GradesAt(bad); field(err) != "viscosity" {
			t.Errorf("%g: %v", bad, err)
		}
	}
}

func TestParseViscosity(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"5W-30": "5W-30", "5w30": "5W-30", "SAE 10 W – 60": "10W-60", "sae 30": "30", "0W-8": "0W-8", "20w": "20W", "0W": "0W", "20": "20",
	} {
		if got, err := ParseViscosity(typed); err != nil || got.String() != want {
			t.Errorf("%q: %q, %v, want %q", typed, got, err, want)
		}
	}
	for _, typed := range []string{"", "SAE", "-", "5W-", "-30", "W-30", "5-30", "5W-35", "3W-30", "05W-30", "5W-30-40", "5W--30", "75W-90", "530", "30W", "5W-30 C3"} {
		if got, err := ParseViscosity(typed); field(err) != "viscosity" {
			t.Errorf("%q: %+v, %v", typed, got, err)
		}
	}
}

func FuzzParseViscosity(f *testing.F) {
	for _, s := range []string{"5W-30", "sae 40", "\xff", "0W", "W", "٣٠"} {
		f.Add(s)
	}
	f.Fuzz(checkViscosity)
}

// checkViscosity holds of every input: what is read prints in a form that reads the same and has limits.
func checkViscosity(t *testing.T, typed string) {
	v, err := ParseViscosity(typed)
	if err != nil {
		if field(err) != "viscosity" {
			t.Errorf("%q: %v", typed, err)
		}
		return
	}
	again, err := ParseViscosity(v.String())
	_, winter := v.WinterLimits()
	_, hot := v.HotLimits()
	if err != nil || again != v || winter != v.HasWinter || hot != (v.Hot > 0) || !winter && !hot {
		t.Errorf("%q: read %+v, again %+v, %v", typed, v, again, err)
	}
}

func TestParseViscosity_of_100_000_random_inputs(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(300, 2015))
	pieces := []string{"0", "5", "10", "15", "20", "25", "W", "w", "-", "–", " ", "8", "12", "16", "30", "40", "50", "60", "SAE", "x", "\xff", "3"}
	read := 0
	for range 100_000 {
		var b strings.Builder
		for range 1 + r.IntN(5) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		checkViscosity(t, b.String())
		if _, err := ParseViscosity(b.String()); err == nil {
			read++
		}
	}
	if read < 1000 {
		t.Errorf("only %d of 100,000 were grades: the inputs try too little", read)
	}
}

// The issue of 2021 dropped A3/B3 and C1 and brought A7/B7 and C6: ACEA 2021, from memory.
func TestACEA(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]ACEA{"a3/b4": {"A3/B4", 0}, "ACEA C3-16": {"C3", 2016}, "C3-2021": {"C3", 2021}, "A3/B3-98": {"A3/B3", 1998}, "E6": {"E6", 0}, "A3": {"A3", 0}} {
		got, err := ParseACEA(typed)
		if again, _ := ParseACEA(got.String()); err != nil || got != want || again != got {
			t.Errorf("%q: %+v, %v", typed, got, err)
		}
	}
	for _, typed := range []string{"", "3", "C", "C3-1", "C3-1815", "ACEA"} {
		if got, err := ParseACEA(typed); field(err) != "acea" {
			t.Errorf("%q: %+v, %v", typed, got, err)
		}
	}
	for sequence, in := range map[ACEA]bool{
		{"A3/B3", 2016}: true, {"A3/B3", 2021}: false, {"C1", 2021}: false, {"A7/B7", 2021}: true, {"C6", 2016}: false, {"C6", 2021}: true, {"C3", 2021}: true, {"C1", 0}: true,
	} {
		if sequence.InIssue() != in {
			t.Errorf("%s: in its issue %v, want %v", sequence, !in, in)
		}
	}
}

// No upward interchange: ACEA 2021, from memory.
func TestACEA_Replaces_only_itself(t *testing.T) {
	t.Parallel()
	c3, c2, old := ACEA{"C3", 2021}, ACEA{"C2", 2021}, ACEA{"C3", 2012}
	if c3.Replaces(ACEA{Code: "C3"}) != nil || c3.Replaces(old) != nil {
		t.Error("the same sequence of the same or a later issue serves")
	}
	for _, err := range []error{c3.Replaces(c2), c2.Replaces(c3), old.Replaces(c3)} {
		if _, ok := errors.AsType[*Refusal](err); !ok {
			t.Errorf("got %v", err)
		}
	}
}

// Common practice, no source.
func TestAPICovers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		offered, asked string
		covers, warns  bool
	}{{"SN", "SL", true, true}, {"api sn", "SN", true, false}, {"SL", "SN", false, true}} {
		covers, sentence, err := APICovers(c.offered, c.asked)
		if err != nil || covers != c.covers || (sentence != "") != c.warns {
			t.Errorf("%s for %s: %v, %q, %v", c.offered, c.asked, covers, sentence, err)
		}
	}
	if _, s, _ := APICovers("SP", "SF"); !strings.Contains(s, "ZDDP") {
		t.Errorf("flat tappets are forgotten: %q", s)
	}
	if _, _, err := APICovers("CF", "SN"); field(err) != "offered" {
		t.Errorf("got %v", err)
	}
	if _, _, err := APICovers("SN", "SI"); field(err) != "asked" {
		t.Errorf("got %v", err)
	}
}

// Σ top-ups / km × 1000, unknown below 500 km: computed; the limit is common practice, no source.
func TestOilConsumption(t *testing.T) {
	t.Parallel()
	if got, known, err := OilConsumption(1.2, 3000); err != nil || !known || !near(float64(got), .4, 1e-12) {
		t.Errorf("got %v, %v, %v", got, known, err)
	}
	if _, known, err := OilConsumption(.3, 499); err != nil || known {
		t.Errorf("499 km: known %v, %v", known, err)
	}
	if _, known, _ := OilConsumption(0, 500); !known {
		t.Error("500 km are enough")
	}
	if _, _, err := OilConsumption(-1, 1000); field(err) != "top_ups" {
		t.Errorf("got %v", err)
	}
	if _, _, err := OilConsumption(1, -1); field(err) != "km" {
		t.Errorf("got %v", err)
	}
}

package wheel

import (
	"math/rand/v2"
	"strings"
	"testing"

	"axlestand/internal/trade/unit"
)

func TestParseSize(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"205/55 R16 91V":         "205/55 R16 91V",
		"205/55R16 91V":          "205/55 R16 91V",
		"205 / 55 r 16 91 v":     "205/55 R16 91V",
		"225/45ZR17 (94Y)":       "225/45 ZR17 (94Y)",
		"225/45 ZR17":            "225/45 ZR17",
		"195/70 R15C 104/102R":   "195/70 R15C 104/102R",
		"165 R13":                "165 R13",
		"165 R13 82S":            "165 R13 82S",
		"P205/55R16 91V":         "P205/55 R16 91V",
		"LT245/75 R16 120/116Q":  "LT245/75 R16 120/116Q",
		"T125/70 D16 96M":        "T125/70 D16 96M",
		"155/80-13 79P":          "155/80-13 79P",
		"155/80 B13":             "155/80 B13",
		"225/40 R18 92Y XL":      "225/40 R18 92Y XL",
		"225/40 R18 XL 92Y":      "225/40 R18 92Y XL",
		"190/65 R390 89H":        "190/65 R390 89H",
		"105/20 R10":             "105/20 R10",
		"355/85 R24":             "355/85 R24",
		"245/70 R16,5":           "245/70 R16.5",
		"  185/60  R14\u00a082H": "185/60 R14 82H",
	} {
		if z, err := ParseSize(typed); err != nil || z.String() != want {
			t.Errorf("%q is %q, %v, want %q", typed, z, err, want)
		}
	}
}

func TestParseSize_refuses(t *testing.T) {
	t.Parallel()
	for typed, says := range map[string]string{
		"":                     "from the sidewall",
		"5.60-15":              "from the sidewall",
		"31x10.5 R15":          "from the sidewall",
		"205/55 R16 91":        "from the sidewall",
		"205/55 R16 (91V":      "from the sidewall",
		"205/55 R16 XL 91V XL": "from the sidewall",
		"200/55 R16":           "not 200",
		"365/55 R16":           "355",
		"095/55 R16":           "not 95",
		"205/15 R16":           "not 15",
		"205/57 R16":           "85",
		"205/90 R16":           "85",
		"205/55 R9":            "from the sidewall",
		"205/55 R25":           "10 to 24",
		"205/55 R15.5":         "10 to 24",
		"205/55 R400":          "10 to 24",
		"205/55 R16 59V":       "60 to 126",
		"205/55 R16 91I":       "no speed symbol",
		"205/55 R16 91/95V":    "twin",
		"205/55 R16 (91V)":     "Only a Y",
	} {
		_, err := ParseSize(typed)
		refused(t, typed, err, "size", says)
	}
}

func sizeReadsBack(t *testing.T, typed string) bool {
	t.Helper()
	z, err := ParseSize(typed)
	if err != nil {
		return false
	}
	if again, err := ParseSize(z.String()); err != nil || again != z {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, z, again, err)
	}
	if z, err := z.WithAspect(82); err == nil {
		if d, err := z.Diameter(); err != nil || d.In(unit.Mm) < 300 || d.In(unit.Mm) > 1300 {
			t.Errorf("%q is %v across, %v", typed, d, err)
		}
	}
	return true
}

func rimReadsBack(t *testing.T, typed string) bool {
	t.Helper()
	r, err := ParseRim(typed)
	if err != nil {
		return false
	}
	if again, err := ParseRim(r.String()); err != nil || again != r {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, r, again, err)
	}
	return true
}

func dateReadsBack(t *testing.T, typed string) bool {
	t.Helper()
	c, err := ParseDateCode(typed, today)
	if err != nil {
		return false
	}
	if again, err := ParseDateCode(c.String(), today); err != nil || again != c {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, c, again, err)
	}
	return true
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"205/55 R16 91V", "225/45ZR17 (94Y)", "195/70 R15C 104/102R", "165 R13", "LT245/75R16 XL 120/116Q", "190/65 R390", "155/80-13"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { sizeReadsBack(t, s) })
}

func FuzzParseRim(f *testing.F) {
	for _, s := range []string{"7.5J×17 ET38 5×112 66.6", "8J ET25", "6.5 x 15 ET-10", "7JJ 4/114,3 CB 73.1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { rimReadsBack(t, s) })
}

func FuzzParseDateCode(f *testing.F) {
	for _, s := range []string{"2319", "DOT A1B2 C3D4 3024", "539", "5306"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { dateReadsBack(t, s) })
}

func TestGrammars_random_texts(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	var read [3]int
	for range 34_000 {
		if sizeReadsBack(t, jumble(random, 2, "205", "P195", "165", "LT225", "")+jumble(random, 5, "165", "/55", "/70", " ", "R15", "R16", "ZR17", "R", "-13", "15", "C", " 91V", " (94Y)", " 104/102R", " XL", "EL", "390", "16.5", "/", "(", "\xff")) {
			read[0]++
		}
		if rimReadsBack(t, jumble(random, 6, "7.5J", "8", "6,25", "JJ", "×17", " x 15", " ET38", "ET-5", " 5×112", " 4/114.3", " 66.6", " CB 57.1", "0", " ", "\xff")) {
			read[1]++
		}
		if dateReadsBack(t, jumble(random, 4, "DOT", " ", "23", "19", "53", "06", "0", "9", "26", "A1", "\xff")) {
			read[2]++
		}
	}
	for i, n := range read {
		if n < 300 {
			t.Errorf("grammar %d read only %d texts: the test reaches too little", i, n)
		}
	}
}

// Computed from D = 2·W·A/100 + 25.4·R, which is D = d + 2H, H = 0.01·S·Ra of UN Regulation 30 (from memory). The rolling
// circumference of 3.05·D is an estimate (ETRTO, DIN 75020-5, from memory).
func TestDiameter(t *testing.T) {
	t.Parallel()
	first := size(t, "205/55 R16")
	for _, c := range []struct {
		size                              string
		diameter, circle, rolling, larger float64
	}{
		{"205/55 R16", 631.90, 1985.2, 1927.3, 0},
		{"225/45 R17", 634.30, 1992.7, 1934.6, 0.38},
		{"225/40 R18", 637.20, 2001.8, 1943.5, 0.84},
		{"195/65 R15", 634.50, 1993.3, 1935.2, 0.41},
		{"215/55 R16", 642.90, 2019.7, 1960.8, 1.74},
		{"205/50 R16", 611.40, 1920.8, 1864.8, -3.24},
		{"185/60 R14", 577.60, 1814.6, 1761.7, -8.59},
		{"175/70 R13", 575.20, 1807.0, 1754.4, -8.97},
		{"235/50 R16", 641.40, 2015.0, 1956.3, 1.50},
		{"205/60 R16", 652.40, 2049.6, 1989.8, 3.24},
		{"245/55 R18", 726.70, 2283.0, 2216.4, 15.00},
	} {
		z := size(t, c.size)
		d, err := z.Diameter()
		if err != nil {
			t.Fatal(err)
		}
		around, err := z.Circumference()
		if err != nil {
			t.Fatal(err)
		}
		larger, err := z.Larger(first)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.size+" diameter", d.In(unit.Mm), c.diameter, 0.01)
		near(t, c.size+" circle", around.Circle.In(unit.Mm), c.circle, 0.1)
		near(t, c.size+" rolling", around.Rolling.In(unit.Mm), c.rolling, 0.1)
		near(t, c.size+" larger", larger, c.larger, 0.01)
	}
}

func TestDiameter_of_old_and_odd_sizes(t *testing.T) {
	t.Parallel()
	old := size(t, "165 R13")
	_, err := old.Diameter()
	refused(t, "no aspect", err, "aspect", "82 % or 80 %")
	_, err = old.Circumference()
	refused(t, "no aspect", err, "aspect", "82 % or 80 %")
	_, err = old.Larger(size(t, "205/55 R16"))
	refused(t, "no aspect", err, "aspect", "82 % or 80 %")
	taken, err := old.WithAspect(OldAspects[0])
	if err != nil || taken.String() != "165 R13" {
		t.Errorf("with an aspect it is written %q, %v", taken, err)
	}
	if d, err := taken.Diameter(); err != nil || d.In(unit.Mm) < 600.79 || d.In(unit.Mm) > 600.81 {
		t.Errorf("165 R13 at 82 %% is %v, %v, want 600.8 mm", d, err)
	}
	_, err = old.WithAspect(8)
	refused(t, "8 %", err, "aspect", "20 to 90")
	_, err = size(t, "205/55 R16").WithAspect(80)
	refused(t, "two aspects", err, "aspect", "itself")
	_, err = Size{}.Diameter()
	refused(t, "none", err, "size", "Give the size")
	if d, err := size(t, "190/65 R390").Diameter(); err != nil || d.In(unit.Mm) != 637 {
		t.Errorf("190/65 R390, its rim in mm, is %v across, %v, want 637 mm", d, err)
	}
}

// 2.99·D for diagonal tyres is an estimate (ETRTO, DIN 75020-5, from memory).
func TestCircumference_of_a_diagonal_tyre(t *testing.T) {
	t.Parallel()
	around, err := size(t, "155/80-13").Circumference()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rolling", around.Rolling.In(unit.Mm), 2.99*578.2, 0.1)
	near(t, "turns on a km", TurnsPerKm(unit.Mm.Of(2000)), 500, 1e-9)
	if got := TurnsPerKm(unit.Length{}); got != 0 {
		t.Errorf("without a circumference it turns %v times", got)
	}
	if Estimate == "" || !strings.Contains(Legal, "do not show") {
		t.Error("the words that go with figures are missing")
	}
}

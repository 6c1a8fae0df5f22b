package torque

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

func TestParseStages_as_printed(t *testing.T) {
	t.Parallel()
	for printed, want := range map[string]string{
		"40 Nm":                                "40 Nm",
		"40N·m":                                "40 Nm",
		"30 Nm + 90° + 90°":                    "30 Nm + 90° + 90°",
		"30 Nm plus 90 deg, then 90 deg":       "30 Nm + 90° + 90°",
		"30Nm+90°+90°":                         "30 Nm + 90° + 90°",
		"25 lbf ft, loosen 180°, 30 Nm":        "25 lbf ft, loosen 180°, 30 Nm",
		"25 lbf ft; back off 180°; 30 Nm":      "25 lbf ft, loosen 180°, 30 Nm",
		"40 Nm, wait 10 min, loosen, 40 Nm":    "40 Nm, wait 10 min, loosen, 40 Nm",
		"40 Nm, wait 1 h, loosen fully, 40 Nm": "40 Nm, wait 60 min, loosen, 40 Nm",
		"38-42 Nm":                             "38–42 Nm",
		"38 to 42 Nm":                          "38–42 Nm",
		"38 Nm – 42 Nm":                        "38–42 Nm",
		"40 ± 4 Nm":                            "40 Nm ± 4 Nm",
		"40 Nm +/- 4":                          "40 Nm ± 4 Nm",
		"30 Nm + 90° ± 5°":                     "30 Nm + 90° ± 5°",
		"30,5 Nm,50 Nm":                        "30.5 Nm, 50 Nm",
		"hand tight":                           "hand tight",
		"finger-tight + 3/4 turn":              "hand tight + 0.75 turn",
		"Hand tight, then a further 1/2 turn":  "hand tight + 0.5 turn",
		"45 Nm (33 lbf ft)":                    "45 Nm (33 lbf ft)",
		"38-42 Nm (28-31 lbf ft)":              "38–42 Nm (28–31 lbf ft)",
		"20 Nm (14 lbf ft)":                    "20 Nm (14 lbf ft)", // makers round roughly
		"60 Nm, retighten at 1000 km":          "60 Nm, retighten at 1000 km",
		"Stage 1: 20 Nm\nStage 2: 40 Nm\n":     "20 Nm, 40 Nm",
		"1) 20 Nm; 2) 40 Nm":                   "20 Nm, 40 Nm",
		"tighten to 20 Nm → turn 90°":          "20 Nm + 90°",
		"50 Nm, loosen 1/4 turn":               "50 Nm, loosen 0.25 turn",
	} {
		got, err := ParseStages(printed)
		if err != nil || got.String() != want {
			t.Errorf("%q is read as %q, %v, want %q", printed, got, err, want)
		}
	}
}

func TestParseStages_refuses(t *testing.T) {
	t.Parallel()
	for printed, says := range map[string]string{
		"":                                    "as printed",
		" , ":                                 "as printed",
		"tight":                               "like 45 Nm",
		"40":                                  "unit too",
		"40 lb":                               "lbf ft or lbf in",
		"40 mm":                               "a length",
		"1,250 Nm":                            "two ways",
		"0 Nm":                                "more than 0",
		"90°":                                 "counts from a torque",
		"40 Nm, loosen 180°, 90°":             "counts from a torque",
		"40 Nm + 361°":                        "more than one turn",
		"40 Nm + 1.5 turns":                   "more than one turn",
		"40 Nm + 0°":                          "more than 0",
		"40 Nm, 30 Nm":                        "loosening stage missing",
		"40 Nm, 25 lbf ft":                    "loosening stage missing",
		"30 Nm + 20 Nm":                       "After + comes an angle",
		"42-38 Nm":                            "not the larger",
		"4 ± 5 Nm":                            "tolerance",
		"wait 10 min":                         "Which torque",
		"40 Nm, wait 0 min":                   "from 1 minute",
		"45 Nm (45 lbf ft)":                   "45 Nm is 33 lbf ft, not 45 lbf ft",
		"9 Nm (80 lbf ft)":                    "Look at the page",
		"45 Nm (45 Nm)":                       "same unit",
		"40 Nm, loosen hard":                  "angle or by nothing",
		strings.Repeat("4", 401):              "too long",
		"1 Nm" + strings.Repeat(", 1 Nm", 12): "more stages",
		"40 Nm, retighten at " + strings.Repeat("x", 61): "few words",
	} {
		_, err := ParseStages(printed)
		refused(t, printed, err, "stages", says)
	}
}

// A torque falls in the middle of a spec only after the fastener was loosened.
func TestParseStages_loosening_starts_anew(t *testing.T) {
	t.Parallel()
	s := stages(t, "60 Nm, loosen 90°, 40 Nm + 60°")
	if got := s.Highest().String(); got != "60 Nm" || !s.Turns() {
		t.Errorf("highest %s, turns %t", got, s.Turns())
	}
	if s := stages(t, "40 Nm, 40 Nm"); s.Turns() || len(s) != 2 {
		t.Errorf("a second pass at the same torque is %v", s)
	}
}

func TestFigure_ends_and_aim(t *testing.T) {
	t.Parallel()
	for printed, want := range map[string][3]string{
		"40 Nm":                 {"40 Nm", "40 Nm", "40 Nm"},
		"38-42 Nm":              {"38 Nm", "40 Nm", "42 Nm"},
		"40 ± 4 Nm":             {"36 Nm", "40 Nm", "44 Nm"},
		"20 lbf ft to 40.67 Nm": {"20 lbf ft", "24.998326305553192 lbf ft", "40.67 Nm"},
	} {
		f := stages(t, printed)[0].Torque
		if got := [3]string{f.Low().String(), f.Aim().String(), f.Top().String()}; got != want {
			t.Errorf("%s: %v, want %v", printed, got, want)
		}
	}
}

func stagesReadBack(t *testing.T, typed string) bool {
	t.Helper()
	s, err := ParseStages(typed)
	if err != nil {
		if e, ok := errors.AsType[*input.Error](err); !ok || len(e.Sentence) < 10 {
			t.Errorf("%q: %#v", typed, err)
		}
		return false
	}
	if again, err := ParseStages(s.String()); err != nil || !slices.Equal(again, s) {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, s, again, err)
	}
	return true
}

func threadReadsBack(t *testing.T, typed string) bool {
	t.Helper()
	th, err := ParseThread(typed)
	if err != nil {
		return false
	}
	if again, err := ParseThread(th.String()); err != nil || again != th {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, th, again, err)
	}
	if !(th.StressArea() > 0) {
		t.Errorf("%q has a stress area of %v", typed, th.StressArea())
	}
	return true
}

func sequenceReadsBack(t *testing.T, typed string) bool {
	t.Helper()
	s, err := ParseSequence(typed)
	if err != nil {
		return false
	}
	again, err := ParseSequence(s.String())
	if err != nil || again.String() != s.String() || !slices.Equal(again.Order, s.Order) {
		t.Errorf("%q is read as %q, which is read as %q, %v", typed, s, again, err)
	}
	return s.Pattern != AnyOrder
}

func FuzzParseStages(f *testing.F) {
	for _, s := range []string{
		"40 Nm", "30 Nm + 90° + 90°", "25 lbf ft, loosen 180°, 30 Nm", "38–42 Nm (28–31 lbf ft)", "40 ± 4 Nm", "hand tight + 1/2 turn",
		"40 Nm, wait 10 min, loosen, 40 Nm", "60 Nm, retighten at 1,000 km, then 60 Nm", "1) 20,5 Nm; 2) 40 Nm", "20 Nm +/- 1", "4 m-kg to 40 Nm",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { stagesReadBack(t, s) })
}

func FuzzParseThread(f *testing.F) {
	for _, s := range []string{"M10×1.25", "m8x1 LH", "M10", "3/8-16 UNC", "1 1/4-12", `1/2"-20 UNF left-hand`, "M12X1,5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { threadReadsBack(t, s) })
}

func FuzzParseSequence(f *testing.F) {
	for _, s := range []string{"star 5", "spiral 2×5", "numbered 1-3-2-4", "1 2 3", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { sequenceReadsBack(t, s) })
}

// jumble strings pieces together at random: a deterministic share of what fuzzing does.
func jumble(random *rand.Rand, most int, pieces ...string) string {
	var b strings.Builder
	for range 1 + random.IntN(most) {
		b.WriteString(pieces[random.IntN(len(pieces))])
	}
	return b.String()
}

func TestGrammars_random_texts(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	var read [3]int
	count := func(i int, ok bool) {
		if ok {
			read[i]++
		}
	}
	for range 34_000 {
		count(0, stagesReadBack(t, jumble(random, 7, "40 Nm", "25 lbf ft", " + 90°", ", ", "+", "loosen ", "180°", "hand tight", "wait 10 min",
			"retighten at ", "1,000 km", " (", ")", "33", "1/2 turn", "–", "-", " to ", "±", "+/-", "4,5", "0", " then ", "\x00", "\xff", "Nm", " ", "stage 1: ", "°", "\n")))
		count(1, threadReadsBack(t, jumble(random, 5, "M", "M10", "x", "×", "1.25", "1,5", "8", "12", "3/8", "-16", "\"", " UNC", " LH", "left-hand", " ", "1 ", "0", "\xff")))
		count(2, sequenceReadsBack(t, jumble(random, 6, "star", "spiral", "numbered", " ", "2", "5", "x", "1-3-2-4", "-", "1", "3", ",", "60", "\xff")))
	}
	for i, n := range read {
		if n < 300 {
			t.Errorf("grammar %d read only %d texts: the test reaches too little", i, n)
		}
	}
}

func TestParseThread(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"M10": "M10×1.5", "m10x1.25": "M10×1.25", "M 8 * 1,0": "M8×1", "M10×1.5 left-hand": "M10×1.5 LH", "M5": "M5×0.8",
		"3/8-16 UNC": "3/8-16 UNC", `1/2"-20`: "1/2-20", "1 1/4-12 UNF": "1 1/4-12 UNF",
	} {
		if th, err := ParseThread(typed); err != nil || th.String() != want {
			t.Errorf("%q is read as %q, %v, want %q", typed, th, err, want)
		}
	}
	for typed, says := range map[string]string{
		"": "M10×1.25", "10": "M10×1.25", "M99": "M1 to M64", "M11": "pitch too", "M10×5": "does not go", "3/8-2": "do not go", "9/8-16": "not a size",
		strings.Repeat("M", 50): "M10×1.25",
	} {
		_, err := ParseThread(typed)
		refused(t, typed, err, "thread", says)
	}
	// ISO 261, coarse pitches (from memory).
	for typed, pitch := range map[string]float64{"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1, "M7": 1, "M8": 1.25, "M10": 1.5, "M12": 1.75, "M14": 2, "M16": 2, "M18": 2.5, "M20": 2.5, "M22": 2.5, "M24": 3, "M27": 3, "M30": 3.5} {
		if th := thread(t, typed); th.Pitch != pitch {
			t.Errorf("%s has a pitch of %v, want %v", typed, th.Pitch, pitch)
		}
	}
}

func TestParseClass(t *testing.T) {
	t.Parallel()
	if c, err := ParseClass(" 10,9 "); err != nil || c != Class109 || c.String() != "10.9" {
		t.Errorf("10,9 is %v, %v", c, err)
	}
	for _, typed := range []string{"", "8", "8.9", "A2-70", "13.9"} {
		_, err := ParseClass(typed)
		refused(t, typed, err, "class", "8.8, 10.9 or 12.9")
	}
	// The code of the class: 8.8 has about 800 MPa tensile and 640 MPa yield strength.
	near(t, "8.8 tensile", Class88.NominalStrength().In(unit.Megapascal), 800, 1e-9)
	near(t, "8.8 yield", Class88.NominalYield().In(unit.Megapascal), 640, 1e-9)
}

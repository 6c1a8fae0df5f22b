package garage_test

import (
	"strings"
	"testing"

	"axlestand/internal/garage"
)

func TestReadStep(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"Undo the nuts":                                       "do: Undo the nuts",
		"Caliper bolts 45 Nm":                                 "torque: Caliper bolts | 45 Nm",
		"Tighten the bush bolt to 30 Nm + 90°":                "torque: Tighten the bush bolt | 30 Nm + 90°",
		"Head bolts: 40 Nm, wait 10 min, loosen, 30 Nm + 90°": "torque: Head bolts | 40 Nm, wait 10 min, loosen, 30 Nm + 90°",
		"Fill with 0.9 l":                                     "fluid: Fill | 0.9 l",
		"Let the oil settle 15 min":                           "wait: Let the oil settle | 15 min",
		"Let it cure for 1 h 30 min":                          "wait: Let it cure | 1 h 30 min",
		"Wait 10 min":                                         "wait: Wait | 10 min",
		"10 min":                                              "wait: Wait | 10 min",
		"Disc thickness min 22 mm":                            "measure: Disc thickness | at least 22\u00a0mm",
		"Runout, max 0.05 mm":                                 "measure: Runout | at most 0.05\u00a0mm",
		"Gap 1,2–1,6 mm":                                      "measure: Gap | 1.2 to 1.6\u00a0mm",
		"Gap 1.6–1.2 mm":                                      "do: Gap 1.6–1.2 mm",
		"Boot loose, 2 screws":                                "do: Boot loose, 2 screws",
		"Take 3 to 5 people":                                  "do: Take 3 to 5 people",
		"Check the boots":                                     "check: Check the boots",
		"Photo of the routing":                                "photo: Photo of the routing",
		"Wheels on, gut anziehen 110 Nm":                      "torque: Wheels on, gut anziehen | 110 Nm",
		"Bläschen prüfen":                                     "do: Bläschen prüfen",
	} {
		s := garage.ReadStep(line)
		got := string(s.Kind) + ": " + s.Text
		if f := s.FigureText(); f != "" {
			got += " | " + f
		}
		if got != want {
			t.Errorf("%q: got %q, want %q", line, got, want)
		}
	}
}

func TestReadSteps(t *testing.T) {
	t.Parallel()
	steps := garage.ReadSteps("1. Wheels off\r\n\n- Stands under the sills\npause: nothing loose\nCaution: the spring is\ncaution: under load\n☐ Arm off\nCaution: mind the end")
	if len(steps) != 4 || steps[0].Text != "Wheels off" || steps[1].PauseAfter != "nothing loose" ||
		steps[2].CautionOwn != "the spring is under load" || steps[2].Text != "Arm off" || steps[3].Text != "mind the end" {
		t.Errorf("got %+v", steps)
	}
	if got := garage.ReadSteps(" \n\n"); len(got) != 0 {
		t.Errorf("nothing, and %+v", got)
	}
}

// FuzzReadSteps holds whatever is pasted against what steps must be: they hold, no word of a line is lost, and reading the text
// of a step again changes nothing.
func FuzzReadSteps(f *testing.F) {
	for _, seed := range []string{
		"Caliper bolts 45 Nm", "30 Nm + 90°", "Fill with 0.9 l", "Gap 1,2–1,6 mm", "1. A\nPause: b\nCaution: c", "45", "° Nm", "Wait 1h30min", "max 5 V",
		"A to to 45 Nm", "min 1e9 mm", "Ünder 3 bar", "- - - 4 Nm", "hand tight + 1/2 turn",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 2000 {
			return
		}
		for _, s := range garage.ReadSteps(text) {
			if long := len([]rune(s.Text)) > 200 || len([]rune(s.Figure)) > 200 || len([]rune(s.PauseAfter)) > 200; long {
				continue // the form says so
			}
			if err := s.Validate(); err != nil {
				t.Errorf("%q became %+v: %v", text, s, err)
			}
			for _, word := range strings.Fields(s.Text + " " + s.Figure) {
				known := word == "Tighten" || word == "Fill" || word == "in" || word == "Wait"
				if !known && !strings.Contains(text, strings.TrimSpace(word)) {
					t.Errorf("%q became %+v: %q is not in it", text, s, word)
				}
			}
		}
	})
}

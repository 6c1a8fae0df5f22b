package torque

import (
	"strings"
	"testing"

	"axlestand/internal/trade/unit"
)

// The bounds are common practice, no source: a quarter over the generic maximum, 15 % of it, lbf in over 250, lbf ft under 3.
func TestPlausible(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ spec, thread, class, code, says string }{
		"a usual figure":                     {"45 Nm", "M10", "8.8", "", ""},
		"a stage by angle is low on purpose": {"5 Nm + 90°", "M10", "10.9", "", ""},
		"lbf in read as Nm":                  {"90 Nm", "M6", "8.8", "high", "fit in lbf in"},
		"Nm read as lbf in":                  {"45 lbf in", "M10", "8.8", "low", "fit in Nm."},
		"Nm read as lbf ft":                  {"54 lbf ft", "M10", "8.8", "high", "fit in Nm"},
		"kgf m read as Nm":                   {"4.5 Nm", "M10", "8.8", "low", "fit in kgf m"},
		"another thread":                     {"120 Nm", "M8", "10.9", "high", "Wrong unit or thread?"},
		"lbf ft read as lbf in":              {"300 lbf in", "", "", "twelve", "lbf ft?"},
		"lbf in read as lbf ft":              {"2.5 lbf ft", "", "", "twelve", "lbf in?"},
		"no thread, nothing to compare with": {"9999 Nm", "", "", "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			th, _ := ParseThread(c.thread)
			cl, _ := ParseClass(c.class)
			got := Plausible(stages(t, c.spec), th, cl)
			switch {
			case c.code == "" && len(got) > 0:
				t.Errorf("warns %v", got)
			case c.code != "" && (len(got) != 1 || got[0].Code != c.code || !strings.Contains(got[0].Text, c.says)):
				t.Errorf("got %v, want %s: …%s…", got, c.code, c.says)
			case c.code == "high" || c.code == "low":
				if !strings.Contains(got[0].Text, "generic, not for this joint") {
					t.Errorf("a generic figure without its label: %s", got[0].Text)
				}
			}
		})
	}
}

func TestAgainstCondition(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		printed, made Condition
		says          string
	}{
		{Dry, Dry, ""},
		{Unsaid, Oiled, ""},
		{Dry, Unsaid, ""},
		{Dry, Oiled, "further"},
		{Dry, Locked, "with threadlocker"},
		{Oiled, Dry, "clamps less"},
		{Oiled, Locked, "with threadlocker"},
	} {
		got := AgainstCondition(c.printed, c.made)
		if (c.says == "") != (len(got) == 0) || len(got) > 0 && !strings.Contains(got[0].Text, c.says) {
			t.Errorf("%q against %q: %v", c.printed, c.made, got)
		}
	}
	for typed, want := range map[string]Condition{"": Unsaid, "Dry": Dry, "lubricated": Oiled, "thread locker": Locked, "locked": Locked} {
		if got, err := ParseCondition(typed); err != nil || got != want {
			t.Errorf("%q is %q, %v", typed, got, err)
		}
	}
	for _, c := range Conditions {
		if got, err := ParseCondition(string(c)); err != nil || got != c {
			t.Errorf("%q reads back as %q, %v", c, got, err)
		}
	}
	_, err := ParseCondition("wet")
	refused(t, "wet", err, "condition", "dry, oiled")
}

// Common practice, no source: 50, 100 and 200 km.
func TestRetorque(t *testing.T) {
	t.Parallel()
	for km, want := range map[float64]RetorqueState{0: RetorqueAhead, 49: RetorqueAhead, 50: RetorqueDue, 99: RetorqueDue, 100: RetorqueLate, 199: RetorqueLate, 200: RetorqueMissed} {
		if got := WheelRetorque.State(unit.Km.Of(km)); got != want {
			t.Errorf("after %v km: %s, want %s", km, got, want)
		}
	}
	if err := WheelRetorque.Check(); err != nil {
		t.Error(err)
	}
	refused(t, "late before due", RetorqueRule{unit.Km.Of(50), unit.Km.Of(40), unit.Km.Of(200)}.Check(), "late", "after due")
	refused(t, "no rule", RetorqueRule{}.Check(), "due", "distance")
}

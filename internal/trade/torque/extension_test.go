package torque

import (
	"math"
	"math/rand/v2"
	"testing"

	"axlestand/internal/trade/unit"
)

func ext(length unit.Length, degrees float64) Extension {
	return Extension{Length: length, Angle: unit.Degree.Of(degrees)}
}

// Computed from S = T·L/(L + E·cos θ).
func TestSetting(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		torque    unit.Torque
		wrench    unit.Length
		ext       Extension
		want      float64
		lastDigit float64
		direction string
	}{
		{unit.Nm.Of(80), unit.Mm.Of(400), ext(unit.Mm.Of(50), 0), 71.11, 0.01, "less"},
		{unit.Nm.Of(100), unit.Mm.Of(500), ext(unit.Mm.Of(150), 0), 76.92, 0.01, "less"},
		{unit.LbfFt.Of(100), unit.Inch.Of(12), ext(unit.Inch.Of(9), 0), 57.14, 0.01, "less"},
		// That a crow-foot is corrected at 90° only is in circulation and wrong: 90° is the one angle without a correction.
		{unit.Nm.Of(100), unit.Mm.Of(400), ext(unit.Mm.Of(60), 90), 100, 1e-12, "same"},
		{unit.Nm.Of(100), unit.Mm.Of(400), ext(unit.Mm.Of(60), 45), 90.41, 0.01, "less"},
		{unit.Nm.Of(100), unit.Mm.Of(400), ext(unit.Mm.Of(60), 180), 117.65, 0.01, "more"},
	} {
		got, err := Setting(c.torque, c.wrench, c.ext)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.torque.String()+" with "+c.ext.Length.String(), got.In(c.torque.Unit()), c.want, c.lastDigit)
		if got := c.ext.Direction(); got != c.direction {
			t.Errorf("%v at %v: %s, want %s", c.ext.Length, c.ext.Angle, got, c.direction)
		}
	}
	got, err := AtBolt(unit.Nm.Of(100), unit.Mm.Of(500), ext(unit.Mm.Of(150), 0))
	if err != nil || math.Abs(got.In(unit.Nm)-130) > 1e-9 {
		t.Errorf("set to 100 Nm, the bolt gets %v, %v, want 130 Nm", got, err)
	}
}

func TestSetting_refuses(t *testing.T) {
	t.Parallel()
	nm, mm := unit.Nm.Of(100), unit.Mm.Of
	for name, c := range map[string]struct {
		wrench      unit.Length
		ext         Extension
		field, says string
	}{
		"no wrench length":       {mm(0), ext(mm(50), 0), "wrench length", "grip"},
		"a negative one":         {mm(-400), ext(mm(50), 0), "wrench length", "grip"},
		"a negative extension":   {mm(400), ext(mm(-50), 0), "extension", "centre"},
		"behind the grip":        {mm(400), ext(mm(400), 180), "extension", "behind the grip"},
		"mixed units":            {mm(400), ext(unit.Inch.Of(2), 0), "extension", "lengths in mm or both in inches"},
		"an angle over 180°":     {mm(400), ext(mm(50), 181), "angle", "180°"},
		"an angle below 0°":      {mm(400), ext(mm(50), -1), "angle", "0°"},
		"an angle of no number°": {mm(400), ext(mm(50), math.NaN()), "angle", "180°"},
	} {
		_, err := Setting(nm, c.wrench, c.ext)
		refused(t, name, err, c.field, c.says)
		_, err = AtBolt(nm, c.wrench, c.ext)
		refused(t, name, err, c.field, c.says)
	}
	_, err := Setting(unit.Torque{}, mm(400), ext(mm(50), 0))
	refused(t, "no torque", err, "torque", "bolt")
	_, err = AtBolt(unit.Nm.Of(0), mm(400), ext(mm(50), 0))
	refused(t, "set to nothing", err, "torque", "set to")
	if got, err := Setting(nm, unit.Length{}, Extension{}); err != nil || got != nm {
		t.Errorf("without an extension: %v, %v", got, err)
	}
}

func TestSetting_and_AtBolt_are_inverse(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(7, 8))
	for range 10_000 {
		want := unit.Nm.Of(5 + 200*random.Float64())
		wrench := unit.Mm.Of(200 + 500*random.Float64())
		e := ext(unit.Mm.Of(1+150*random.Float64()), 180*random.Float64())
		set, err := Setting(want, wrench, e)
		if err != nil {
			t.Fatal(err)
		}
		back, err := AtBolt(set, wrench, e)
		if err != nil || math.Abs(back.Value()/want.Value()-1) > 1e-12 {
			t.Fatalf("%v set to %v gives %v, %v", want, set, back, err)
		}
		if less := set.Value() < want.Value(); less != (e.Angle.Value() < 90) {
			t.Fatalf("at %v, %v is set to %v", e.Angle, want, set)
		}
	}
}

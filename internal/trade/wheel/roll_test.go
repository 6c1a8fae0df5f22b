package wheel

import (
	"math"
	"testing"

	"axlestand/internal/trade/unit"
)

// UN Regulation 39, 5.3: V1 − V2 ≤ 0.1·V2 + 4. For 120 km/h, 1.2 + 4 is in circulation and wrong: it is 12 + 4.
func TestShownAtMost_UN_R39(t *testing.T) {
	t.Parallel()
	for v2, want := range map[float64]float64{40: 48, 50: 59, 70: 81, 80: 92, 90: 103, 110: 125, 120: 136, 130: 147} {
		if got := ShownAtMost(unit.KmPerHour.Of(v2)).In(unit.KmPerHour); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %v km/h at most %v, want %v", v2, got, want)
		}
	}
	if got := ShownAtMost(unit.KmPerHour.Of(120)).In(unit.KmPerHour); got < 126 {
		t.Errorf("at 120 km/h at most %v", got)
	}
}

func reading(shown, true float64) Reading {
	return Reading{unit.KmPerHour.Of(shown), unit.KmPerHour.Of(true)}
}

func TestCheckSpeedometer(t *testing.T) {
	t.Parallel()
	for want, readings := range map[string][]Reading{
		"":           {reading(40, 40), reading(92, 80), reading(136, 120)},
		"low!":       {reading(79.9, 80)},
		"high!":      {reading(136.1, 120)},
		"low! high!": {reading(39, 40), reading(100, 80)},
	} {
		found, err := CheckSpeedometer(readings)
		if err != nil || codes(found) != want {
			t.Errorf("%v: %v, %v, want %q", readings, found, err, want)
		}
	}
	_, err := CheckSpeedometer(nil)
	refused(t, "no readings", err, "readings", "40, 80 and 120")
	_, err = CheckSpeedometer([]Reading{{}})
	refused(t, "an empty reading", err, "readings", "shown")
	_, err = CheckSpeedometer([]Reading{{Shown: unit.KmPerHour.Of(50)}})
	refused(t, "half a reading", err, "readings", "true speed")
}

// A larger tyre makes the same indication faster in truth, and the odometer count less.
func TestOtherTyres(t *testing.T) {
	t.Parallel()
	old, larger := unit.Mm.Of(631.9), unit.Mm.Of(652.4)
	changed, err := OtherTyres([]Reading{reading(100, 98)}, old, larger)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "true speed", changed[0].True.In(unit.KmPerHour), 98*652.4/631.9, 1e-9)
	if found, err := CheckSpeedometer(changed); err != nil || codes(found) != "low!" {
		t.Errorf("100 shown at %v passes: %v, %v", changed[0].True, found, err)
	}
	km, err := TrueDistance(unit.Km.Of(1000), old, larger)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "true distance", km.In(unit.Km), 1032.44, 0.01)
	_, err = OtherTyres(nil, old, unit.Length{})
	refused(t, "no new size", err, "new", "gets")
	_, err = TrueDistance(unit.Km.Of(1), unit.Length{}, larger)
	refused(t, "no old size", err, "old", "had")
}

// Computed from n = v/3.6·60·i_g·i_f/U.
func TestEngineSpeed(t *testing.T) {
	t.Parallel()
	circle, rolling := unit.Metre.Of(math.Pi*0.6319), unit.Metre.Of(3.05*0.6319)
	for _, c := range []struct {
		kmh, gear float64
		around    unit.Length
		want      float64
	}{{100, 0.85, circle, 2897}, {100, 0.85, rolling, 2984}, {30, 3.50, circle, 3579}} {
		n, err := EngineSpeed(unit.KmPerHour.Of(c.kmh), Gearing{c.gear, 1, 4.06}, c.around)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "1/min", n, c.want, 1)
	}
	v := unit.KmPerHour.Of(100)
	for field, try := range map[string]func() (float64, error){
		"circumference": func() (float64, error) { return EngineSpeed(v, Gearing{0.85, 1, 4.06}, unit.Metre.Of(0)) },
		"gear":          func() (float64, error) { return EngineSpeed(v, Gearing{0, 1, 4.06}, circle) },
		"transfer":      func() (float64, error) { return EngineSpeed(v, Gearing{Gear: 0.85, Final: 4.06}, circle) },
		"final drive":   func() (float64, error) { return EngineSpeed(v, Gearing{0.85, 1, -4.06}, circle) },
		"speed":         func() (float64, error) { return EngineSpeed(unit.KmPerHour.Of(-1), Gearing{0.85, 1, 4.06}, circle) },
	} {
		_, err := try()
		refused(t, field, err, field, "Give the")
	}
}

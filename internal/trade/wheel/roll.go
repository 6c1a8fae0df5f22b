package wheel

import (
	"fmt"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// ShownAtMost is the most that a speedometer may show at a true speed: 1.1·V2 + 4 km/h, UN Regulation 39, 5.3.
func ShownAtMost(true unit.Speed) unit.Speed {
	return unit.KmPerHour.Of(true.In(unit.KmPerHour)*11/10 + 4)
}

// Reading is a speed shown and the true one beside it, from a satellite receiver.
type Reading struct{ Shown, True unit.Speed }

// CheckSpeedometer holds readings against UN Regulation 39: never less than is true, never more than a tenth and 4 km/h over.
// Without readings there is no verdict: what another tyre does is known, what the speedometer did before is not.
func CheckSpeedometer(readings []Reading) ([]Finding, error) {
	if len(readings) == 0 {
		return nil, input.Wrong("readings", "How far the speedometer was off before is not known. Read it against a satellite receiver at 40, 80 and 120 km/h.")
	}
	var found []Finding
	for _, r := range readings {
		v1, v2 := r.Shown.In(unit.KmPerHour), r.True.In(unit.KmPerHour)
		if err := input.First(
			input.Positive("readings", v1, "Give the speed that is shown."),
			input.Positive("readings", v2, "Give the true speed."),
		); err != nil {
			return nil, err
		}
		switch most := ShownAtMost(r.True); {
		case v1 < v2:
			found = append(found, Finding{"low", fmt.Sprintf("It shows %s at %s: it must never show less than is true.", r.Shown, r.True.Readable()), true})
		case v1 > most.In(unit.KmPerHour):
			found = append(found, Finding{"high", fmt.Sprintf("It shows %s at %s: at most %s.", r.Shown, r.True.Readable(), most.Readable()), true})
		}
	}
	return found, nil
}

// OtherTyres is what readings become on tyres of another diameter: the same is shown at V_true·D_new/D_old.
func OtherTyres(readings []Reading, old, new unit.Length) ([]Reading, error) {
	ratio, err := ratioOf(old, new)
	if err != nil {
		return nil, err
	}
	changed := make([]Reading, len(readings))
	for i, r := range readings {
		changed[i] = Reading{Shown: r.Shown, True: r.True.Unit().Of(r.True.Value() * ratio)}
	}
	return changed, nil
}

// TrueDistance is what was really driven when the odometer, right for the old diameter, counted so much on the new one.
func TrueDistance(counted unit.Distance, old, new unit.Length) (unit.Distance, error) {
	ratio, err := ratioOf(old, new)
	if err != nil {
		return unit.Distance{}, err
	}
	return counted.Unit().Of(counted.Value() * ratio), nil
}

func ratioOf(old, new unit.Length) (float64, error) {
	if err := input.First(
		input.Positive("old", old.In(unit.Mm), "Give the size that the car had."),
		input.Positive("new", new.In(unit.Mm), "Give the size that it gets."),
	); err != nil {
		return 0, err
	}
	return new.In(unit.Mm) / old.In(unit.Mm), nil
}

// Gearing is what lies between engine and wheels. Transfer is that of a transfer box or hub and 1 without one: it is asked
// for, so that it is not left out.
type Gearing struct{ Gear, Transfer, Final float64 }

// EngineSpeed is the engine's speed in 1/min at a road speed: n = v/3.6·60·i_g·i_t·i_f/U. With an estimated circumference it
// is an [Estimate]; no slip is reckoned with.
func EngineSpeed(v unit.Speed, g Gearing, circumference unit.Length) (float64, error) {
	if err := input.First(
		input.Within("speed", v.In(unit.KmPerHour), 0, 1000, "Give the road speed."),
		input.Positive("circumference", circumference.In(unit.Mm), "Give the circumference of the tyre."),
		input.Positive("gear", g.Gear, "Give the gear's ratio, like 0.85."),
		input.Positive("transfer", g.Transfer, "Give the ratio of the transfer box or hub, 1 without one."),
		input.Positive("final drive", g.Final, "Give the final drive's ratio, like 4.06."),
	); err != nil {
		return 0, err
	}
	return v.In(unit.MetrePerSecond) * 60 * g.Gear * g.Transfer * g.Final / circumference.In(unit.Metre), nil
}

package brake

import (
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Gravity is the standard one, in m/s².
const Gravity = 9.80665

// Mounting is how a caliper is held.
type Mounting string

// Mountings of a caliper.
const (
	Floating Mounting = "floating" // pistons on one side, the other pad is drawn against the disc
	Fixed    Mounting = "fixed"    // pistons on both sides
)

// Caliper is one caliper. All its pistons are given, by diameter; of a fixed one the formulas take half.
type Caliper struct {
	Mounting Mounting
	Pistons  []unit.Length
}

// Area is the area in mm² of the pistons on one side, which is what clamps, whatever pushes from the other. A refusal is an
// [*input.Error] for "pistons" or "mounting".
func (c Caliper) Area() (float64, error) {
	sum := 0.0
	for _, p := range c.Pistons {
		mm := p.In(unit.Mm)
		if err := input.Within("pistons", mm, 20, 80, "%s is no diameter of a piston: 20 to 80 mm. Is it a radius, or are millimetres and inches mixed up?", p); err != nil {
			return 0, err
		}
		sum += math.Pi / 4 * mm * mm
	}
	switch {
	case len(c.Pistons) == 0:
		return 0, input.Wrong("pistons", "Give the diameters of the pistons.")
	case c.Mounting == Floating && len(c.Pistons) > 3:
		return 0, input.Wrong("pistons", "A floating caliper has up to three pistons, all on one side.")
	case c.Mounting == Floating:
		return sum, nil
	case c.Mounting != Fixed:
		return 0, input.Wrong("mounting", "Say whether the caliper is fixed or floating.")
	}
	return sum / 2, checkSides(c.Pistons)
}

// checkSides refuses a fixed caliper whose pistons do not come in pairs: then one side was given for both, or the other way
// round.
func checkSides(pistons []unit.Length) error {
	count := map[float64]int{}
	for _, p := range pistons {
		count[p.In(unit.Mm)]++
	}
	for _, n := range count {
		if n%2 != 0 {
			return input.Wrong("pistons", "Give all pistons of a fixed caliper, both sides: each diameter comes in pairs.")
		}
	}
	return nil
}

// Axle is the brakes of one axle, both sides alike.
type Axle struct {
	Caliper  Caliper
	Friction float64     // of the pads
	Radius   unit.Length // effective radius of the disc
	Tyre     unit.Length // rolling radius
}

func (a Axle) check() error {
	if _, err := a.Caliper.Area(); err != nil {
		return err
	}
	return input.First(
		input.Within("friction", a.Friction, 0.2, 0.8, "The friction of pads is from 0.2 to 0.8, mostly near 0.4."),
		input.Within("radius", a.Radius.In(unit.Mm), 60, 200, "An effective radius is from 60 to 200 mm. Is it a diameter, or are millimetres and inches mixed up?"),
		input.Within("tyre", a.Tyre.In(unit.Mm), 200, 500, "The radius of a tyre is from 200 to 500 mm. Is it a diameter?"),
	)
}

// brakeForce is k: the braking force at the road for a pressure of 1 MPa, in N, both wheels left out alike.
func (a Axle) brakeForce() (float64, error) {
	if err := a.check(); err != nil {
		return 0, err
	}
	area, err := a.Caliper.Area()
	return 2 * a.Friction * area * a.Radius.In(unit.Mm) / a.Tyre.In(unit.Mm), err
}

// Pedal is what makes pressure of a foot.
type Pedal struct {
	Force unit.Force
	Ratio float64     // of the lever
	Servo float64     // 1 without one
	Bore  unit.Length // of the master cylinder
}

// Pressure is that in the lines: p = F·i·servo/A. A refusal is an [*input.Error] for "force", "ratio", "servo" or "bore".
func (p Pedal) Pressure() (unit.Pressure, error) {
	bore := p.Bore.In(unit.Mm)
	if err := input.First(
		p.checkLever(),
		input.Within("servo", p.Servo, 1, 10, "A servo helps by 1 (none) to 10."),
		input.Within("bore", bore, 12, 40, "A master cylinder's bore is from 12 to 40 mm. Are millimetres and inches mixed up?"),
	); err != nil {
		return unit.Pressure{}, err
	}
	return unit.Megapascal.Of(p.Force.In(unit.Newton) * p.Ratio * p.Servo / (math.Pi / 4 * bore * bore)), nil
}

func (p Pedal) checkLever() error {
	return input.First(
		input.Within("force", p.Force.In(unit.Newton), 1, 2000, "A foot pushes with up to 2000 N; 500 N is hard."),
		input.Within("ratio", p.Ratio, 1, 10, "A pedal's ratio is from 1 to 10."),
	)
}

// BoreFor is the bore of the master cylinder that makes a pressure without a servo: √(4·F·i/(π·p)).
func (p Pedal) BoreFor(pressure unit.Pressure) (unit.Length, error) {
	mpa := pressure.In(unit.Megapascal)
	if err := input.First(p.checkLever(), input.Within("pressure", mpa, 0.1, 20, "The pressure in brake lines is up to 20 MPa.")); err != nil {
		return unit.Length{}, err
	}
	return unit.Mm.Of(math.Sqrt(4 * p.Force.In(unit.Newton) * p.Ratio / (math.Pi * mpa))), nil
}

// Clamp is the force on each pad: N = p·A.
func (c Caliper) Clamp(p unit.Pressure) (unit.Force, error) {
	area, err := c.Area()
	if err != nil {
		return unit.Force{}, err
	}
	return unit.Newton.Of(p.In(unit.Megapascal) * area), nil
}

// WheelTorque is that of one wheel of the axle: T = 2·µ·p·A·r.
func (a Axle) WheelTorque(p unit.Pressure) (unit.Torque, error) {
	if err := a.check(); err != nil {
		return unit.Torque{}, err
	}
	clamp, err := a.Caliper.Clamp(p)
	if err != nil {
		return unit.Torque{}, err
	}
	return unit.Nm.Of(2 * a.Friction * clamp.In(unit.Newton) * a.Radius.In(unit.Metre)), nil
}

// Radii are two ways to see a disc's effective radius. The truth lies between them and near either.
type Radii struct{ Pressure, Wear unit.Length }

// EffectiveRadius is that of a disc whose pads rub from an inner to an outer radius: with uniform pressure
// ⅔·(r_o³ − r_i³)/(r_o² − r_i²), with uniform wear the middle. A refusal is an [*input.Error] for "outer" or "inner".
func EffectiveRadius(outer, inner unit.Length) (Radii, error) {
	o, i := outer.In(unit.Mm), inner.In(unit.Mm)
	if err := input.First(
		input.Within("outer", o, 70, 220, "The outer radius of a disc is from 70 to 220 mm. Is it a diameter?"),
		input.Within("inner", i, 40, o-1, "The pads rub from an inner radius of 40 mm at least to less than the outer one."),
	); err != nil {
		return Radii{}, err
	}
	return Radii{
		Pressure: unit.Mm.Of(2.0 / 3 * (o*o*o - i*i*i) / (o*o - i*i)),
		Wear:     unit.Mm.Of((o + i) / 2),
	}, nil
}

package brake

import (
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Car is what of a car decides on its braking.
type Car struct {
	Weight    unit.Force  // of car and load
	Wheelbase unit.Length // L
	Height    unit.Length // h, of the centre of gravity
	Front     float64     // ψ_f: the share of the weight on the front axle at rest
}

// WeightOf is the force with which a mass rests on the ground.
func WeightOf(m unit.Mass) unit.Force { return unit.Newton.Of(m.In(unit.Kilogram) * Gravity) }

func (c Car) check() error {
	if err := input.First(
		input.Positive("weight", c.Weight.In(unit.Newton), "Give the weight of car and load."),
		input.Positive("wheelbase", c.Wheelbase.In(unit.Mm), "Give the wheelbase."),
		input.Positive("height", c.Height.In(unit.Mm), "Give the height of the centre of gravity; 540 mm is usual for a car."),
	); err != nil {
		return err
	}
	return input.First(
		input.Within("height", c.lever(), 0, 0.4, "The centre of gravity is at most 0.4 of the wheelbase high."),
		input.Within("front share", c.Front, 0.3, 0.75, "The front axle carries from 0.3 to 0.75 of the car at rest."),
	)
}

// lever is h/L.
func (c Car) lever() float64 { return c.Height.In(unit.Mm) / c.Wheelbase.In(unit.Mm) }

func checkDeceleration(z float64) error {
	return input.Within("deceleration", z, 0, 1.5, "The deceleration is from 0 to 1.5 times that of gravity.")
}

func checkRoad(mu float64) error {
	return input.Within("road", mu, 0.05, 1.5, "The friction of tyre on road is from 0.05 to 1.5; 0.8 is a dry road.")
}

// AxleLoads are the loads on the axles at a deceleration of z times gravity. A refusal is an [*input.Error] for "weight",
// "wheelbase", "height", "front share" or "deceleration".
func (c Car) AxleLoads(z float64) (front, rear unit.Force, err error) {
	if err := input.First(c.check(), checkDeceleration(z)); err != nil {
		return unit.Force{}, unit.Force{}, err
	}
	w, share := c.Weight.In(unit.Newton), c.Front+z*c.lever()
	return unit.Newton.Of(w * share), unit.Newton.Of(w * (1 - share)), nil
}

// IdealFront is the front share of braking at which both axles use the road alike at z: their share of the load.
func (c Car) IdealFront(z float64) (float64, error) {
	if err := input.First(c.check(), checkDeceleration(z)); err != nil {
		return 0, err
	}
	return c.Front + z*c.lever(), nil
}

// Setup is the brakes of a car: equal pressure on both axles, no valve between.
type Setup struct{ Front, Rear Axle }

// FrontShare is φ, the share of the braking force that the front axle makes.
func (s Setup) FrontShare() (float64, error) {
	front, err := s.Front.brakeForce()
	if err != nil {
		return 0, err
	}
	rear, err := s.Rear.brakeForce()
	if err != nil {
		return 0, err
	}
	return front / (front + rear), nil
}

// Locking says which axle locks first on a road, and at what decelerations, in times gravity.
type Locking struct {
	Critical    float64 // above this deceleration it is the rear
	Front, Rear float64 // where each would lock if the other did not; +Inf for never
	RearFirst   bool
	Note        string
}

// Locks reckons the order of locking of a front share φ on a road of friction mu:
//
//	z_crit = (φ − ψ_f)·L/h, z_front = µ·ψ_f/(φ − µ·h/L), z_rear = µ·(1 − ψ_f)/(1 − φ + µ·h/L)
func (c Car) Locks(frontShare, mu float64) (Locking, error) {
	if err := input.First(
		c.check(), checkRoad(mu),
		input.Within("front share of braking", frontShare, 0.01, 0.99, "The front axle makes from 0.01 to 0.99 of the braking force."),
	); err != nil {
		return Locking{}, err
	}
	l := Locking{Critical: (frontShare - c.Front) / c.lever(), Front: math.Inf(1), Note: Disclaimer}
	if d := frontShare - mu*c.lever(); d > 0 {
		l.Front = mu * c.Front / d
	}
	l.Rear = mu * (1 - c.Front) / (1 - frontShare + mu*c.lever())
	l.RearFirst = l.Rear < l.Front
	return l, nil
}

// AdhesionUsed is the friction that each axle needs of the road at a deceleration z. More than the road has is refused: the
// car does not reach that deceleration.
func (c Car) AdhesionUsed(frontShare, z, road float64) (front, rear float64, err error) {
	load, err := c.IdealFront(z)
	if err = input.First(err, checkRoad(road), input.Within("deceleration", z, 0, road, "A road of friction %.2g slows no car by more than that.", road)); err != nil {
		return 0, 0, err
	}
	return frontShare * z / load, (1 - frontShare) * z / (1 - load), nil
}

// Adhesion holds a balance against two conditions of UN Regulation 13-H (from memory). Passing them is not an approval.
type Adhesion struct {
	UsesRoad   bool // z ≥ 0.1 + 0.7·(k − 0.2) for k from 0.2 to 0.8 with no axle locked
	FrontFirst bool // the rear's adhesion curve is not above the front's, up to z 0.8
	Note       string
}

// Adhesion checks a front share of braking in steps of a hundredth.
func (c Car) Adhesion(frontShare float64) (Adhesion, error) {
	a := Adhesion{UsesRoad: true, FrontFirst: true, Note: Disclaimer}
	for i := 15; i <= 80; i++ {
		at := float64(i) / 100
		l, err := c.Locks(frontShare, at)
		if err != nil {
			return Adhesion{}, err
		}
		if i >= 20 && min(l.Front, l.Rear) < 0.1+0.7*(at-0.2) {
			a.UsesRoad = false
		}
		front, rear, err := c.AdhesionUsed(frontShare, at, at)
		if err != nil {
			return Adhesion{}, err
		}
		if rear > front {
			a.FrontFirst = false
		}
	}
	return a, nil
}

// StoppingDistance is the way from a speed to rest at a deceleration of z times gravity, without the time to react: v²/(2·z·g).
func StoppingDistance(v unit.Speed, z, road float64) (unit.Length, error) {
	if err := input.First(
		input.Within("speed", v.In(unit.KmPerHour), 0, 500, "Give the speed."),
		input.Positive("deceleration", z, "Give the deceleration in times gravity, like 0.9."),
		checkRoad(road),
		input.Within("deceleration", z, 0, road, "A road of friction %.2g slows no car by more than that.", road),
	); err != nil {
		return unit.Length{}, err
	}
	ms := v.In(unit.MetrePerSecond)
	return unit.Metre.Of(ms * ms / (2 * z * Gravity)), nil
}

package brake

import (
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Change is what another set-up does, as ratios of new to old at the same pressure.
type Change struct {
	FrontTorque, RearTorque float64
	FrontShareOld           float64 // of the braking force
	FrontShareNew           float64
	LocksOld, LocksNew      Locking
	Volume                  float64     // of fluid for the same way of the pads, and so of pedal travel
	Bore                    unit.Length // of the master cylinder for the same travel; none when the old bore is not given
	FrontPressure           float64     // for the same torque at the front
	Note                    string
}

// Compare sets a new set-up beside the old one on a car and a road. The bore of the master cylinder may be none. A refusal is
// an [*input.Error].
func Compare(c Car, old, new Setup, bore unit.Length, road float64) (Change, error) {
	ch := Change{Note: Disclaimer}
	var err error
	if ch.FrontTorque, err = torqueRatio(old.Front, new.Front); err != nil {
		return Change{}, err
	}
	if ch.RearTorque, err = torqueRatio(old.Rear, new.Rear); err != nil {
		return Change{}, err
	}
	ch.FrontPressure = 1 / ch.FrontTorque
	if ch.FrontShareOld, ch.LocksOld, err = order(c, old, road); err != nil {
		return Change{}, err
	}
	if ch.FrontShareNew, ch.LocksNew, err = order(c, new, road); err != nil {
		return Change{}, err
	}
	ch.Volume, err = VolumeRatio([]Caliper{old.Front.Caliper, old.Rear.Caliper}, []Caliper{new.Front.Caliper, new.Rear.Caliper})
	if err != nil || bore.IsZero() {
		return ch, err
	}
	ch.Bore, err = SameTravelBore(bore, ch.Volume)
	return ch, err
}

// torqueRatio is that of A·r·µ, at equal pressure.
func torqueRatio(old, new Axle) (float64, error) {
	before, err := old.WheelTorque(unit.Megapascal.Of(1))
	if err != nil {
		return 0, err
	}
	after, err := new.WheelTorque(unit.Megapascal.Of(1))
	if err != nil {
		return 0, err
	}
	return after.In(unit.Nm) / before.In(unit.Nm), nil
}

func order(c Car, s Setup, road float64) (float64, Locking, error) {
	share, err := s.FrontShare()
	if err != nil {
		return 0, Locking{}, err
	}
	l, err := c.Locks(share, road)
	return share, l, err
}

// VolumeRatio is by how much more fluid the calipers of one circuit take, ΣA new to old, one caliper of each axle.
func VolumeRatio(old, new []Caliper) (float64, error) {
	sum := func(calipers []Caliper) (total float64, err error) {
		for _, c := range calipers {
			area, err := c.Area()
			if err != nil {
				return 0, err
			}
			total += area
		}
		return total, input.Positive("pistons", total, "Give the calipers of the circuit.")
	}
	before, err := sum(old)
	if err != nil {
		return 0, err
	}
	after, err := sum(new)
	if err != nil {
		return 0, err
	}
	return after / before, nil
}

// SameTravelBore is the master cylinder's bore that keeps the pedal's travel: the old one times √ratio. The pressure, and the
// force of the foot with it, changes the other way.
func SameTravelBore(old unit.Length, volumeRatio float64) (unit.Length, error) {
	if err := input.First(
		input.Within("bore", old.In(unit.Mm), 12, 40, "A master cylinder's bore is from 12 to 40 mm. Are millimetres and inches mixed up?"),
		input.Within("volume ratio", volumeRatio, 0.1, 10, "The circuit's volume changes by a factor from 0.1 to 10."),
	); err != nil {
		return unit.Length{}, err
	}
	return old.Unit().Of(old.Value() * math.Sqrt(volumeRatio)), nil
}

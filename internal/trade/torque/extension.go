package torque

import (
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Extension is a crow-foot or other attachment that moves the fastener away from the wrench's drive. None when its length is.
type Extension struct {
	Length unit.Length // from the centre of the drive to the centre of the fastener
	Angle  unit.Angle  // to the wrench's axis: 0° straight ahead, 90° square to it, 180° pointing back
}

// IsZero says that there is none. A bar between drive and socket along the bolt's axis is none: it changes nothing.
func (e Extension) IsZero() bool { return e.Length.IsZero() || e.Length.Value() == 0 }

// ExtensionHolds says when the correction holds.
const ExtensionHolds = "Holds for a rigid attachment in the plane of the wrench and a hand square to it at the mark of the grip. A socket bar along the bolt's axis needs no correction."

// Direction says in a word which way an extension changes the setting: "less", "same" or "more". 90° is the one angle that
// changes nothing.
func (e Extension) Direction() string {
	cos := e.cos()
	switch {
	case e.IsZero() || cos == 0:
		return "same"
	case cos > 0:
		return "less"
	}
	return "more"
}

// cos is exact where the trade uses it most.
func (e Extension) cos() float64 {
	switch a := e.Angle.In(unit.Degree); a {
	case 90:
		return 0
	case 60:
		return 0.5
	case 120:
		return -0.5
	default:
		return math.Cos(a * math.Pi / 180)
	}
}

// leverage is what the torque at the bolt is of the torque set: (L + E·cos θ)/L.
func (e Extension) leverage(wrench unit.Length) (float64, error) {
	if e.IsZero() {
		return 1, nil
	}
	if err := input.First(
		input.Positive("wrench length", wrench.In(unit.Mm), "Measure the wrench from the centre of its drive to the mark of its grip."),
		input.Positive("extension", e.Length.In(unit.Mm), "Measure the extension from the centre of the drive to the centre of the bolt."),
		input.Within("angle", e.Angle.In(unit.Degree), 0, 180, "The angle is from 0° straight ahead over 90° square to 180° pointing back."),
	); err != nil {
		return 0, err
	}
	if wrench.Unit().Imperial() != e.Length.Unit().Imperial() {
		return 0, input.Wrong("extension", "Give both lengths in mm or both in inches.")
	}
	l, arm := wrench.In(unit.Mm), e.Length.In(unit.Mm)*e.cos()
	if l+arm <= 0 {
		return 0, input.Wrong("extension", "Pointing back, the extension reaches behind the grip: no setting gives a torque.")
	}
	return (l + arm) / l, nil
}

// Setting is what to set on a wrench so that the fastener gets t: S = T·L/(L + E·cos θ). The result has t's unit and is not
// rounded. A refusal is an [*input.Error] for "torque", "wrench length", "extension" or "angle".
func Setting(t unit.Torque, wrench unit.Length, e Extension) (unit.Torque, error) {
	if err := input.Positive("torque", t.Value(), "Give the torque that the bolt is to get."); err != nil {
		return unit.Torque{}, err
	}
	by, err := e.leverage(wrench)
	if err != nil {
		return unit.Torque{}, err
	}
	return t.Unit().Of(t.Value() / by), nil
}

// AtBolt is what the fastener gets from a wrench set to s: [Setting] the other way round.
func AtBolt(s unit.Torque, wrench unit.Length, e Extension) (unit.Torque, error) {
	if err := input.Positive("torque", s.Value(), "Give the torque that the wrench is set to."); err != nil {
		return unit.Torque{}, err
	}
	by, err := e.leverage(wrench)
	if err != nil {
		return unit.Torque{}, err
	}
	return s.Unit().Of(s.Value() * by), nil
}

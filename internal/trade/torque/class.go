package torque

import (
	"fmt"
	"slices"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Class is the property class of a steel bolt: 8.8 is {8, 8}.
type Class struct{ Strength, Yield int }

// The classes with figures of ISO 898-1:2013.
var (
	Class88  = Class{8, 8}
	Class109 = Class{10, 9}
	Class129 = Class{12, 9}
)

// classes are those of ISO 898-1:2013 (from memory).
var classes = []Class{{4, 6}, {4, 8}, {5, 6}, {5, 8}, {6, 8}, Class88, {9, 8}, Class109, Class129}

// ParseClass reads the property class from a bolt's head: "8.8", "10,9". A refusal is an [*input.Error] for "class".
func ParseClass(typed string) (Class, error) {
	s := strings.ReplaceAll(strings.TrimSpace(typed), ",", ".")
	for _, c := range classes {
		if s == c.String() {
			return c, nil
		}
	}
	return Class{}, input.Wrong("class", "Write the class from the bolt's head, like 8.8, 10.9 or 12.9. A nut's single number and stainless steel have no figures here.")
}

// String is the class as [ParseClass] reads it; "" for none.
func (c Class) String() string {
	if c == (Class{}) {
		return ""
	}
	return fmt.Sprintf("%d.%d", c.Strength, c.Yield)
}

// NominalStrength is what the first number says: a hundredth of the tensile strength in MPa.
func (c Class) NominalStrength() unit.Pressure { return unit.Megapascal.Of(float64(c.Strength) * 100) }

// NominalYield is what both numbers say: ten times their product in MPa.
func (c Class) NominalYield() unit.Pressure {
	return unit.Megapascal.Of(float64(c.Strength) * float64(c.Yield) * 10)
}

// strength is what ISO 898-1:2013 gives for a class, in MPa.
type strength struct{ proof, tensile, yield float64 }

func (c Class) strength(d float64) (strength, error) {
	switch {
	case c == Class88 && d <= 16:
		return strength{580, 800, 640}, nil
	case c == Class88:
		return strength{600, 830, 660}, nil
	case c == Class109:
		return strength{830, 1040, 940}, nil
	case c == Class129:
		return strength{970, 1220, 1100}, nil
	case slices.Contains(classes, c):
		return strength{}, input.Wrong("class", "There are no figures here for class %s, only for 8.8, 10.9 and 12.9.", c)
	}
	return strength{}, input.Wrong("class", "Give the class from the bolt's head: 8.8, 10.9 or 12.9.")
}

// ProofStress is the stress that a bolt of the class and diameter withstands without a lasting stretch.
func (c Class) ProofStress(t Thread) (unit.Pressure, error) {
	s, err := c.strength(t.Diameter)
	return unit.Megapascal.Of(s.proof), err
}

// Loads are the forces on a bolt: up to proof it springs back, at ultimate it may break.
type Loads struct{ Proof, Ultimate unit.Force }

// BoltLoads are the least loads that a steel bolt of a thread and class must withstand: stress area times strength.
func BoltLoads(t Thread, c Class) (Loads, error) {
	if t.IsZero() {
		return Loads{}, input.Wrong("thread", "Give the thread, like M10×1.5.")
	}
	s, err := c.strength(t.Diameter)
	if err != nil {
		return Loads{}, err
	}
	area := t.StressArea()
	return Loads{Proof: unit.Newton.Of(area * s.proof), Ultimate: unit.Newton.Of(area * s.tensile)}, nil
}

// ReusablePreload is three quarters of the proof load, the usual preload of a joint that is opened again (Shigley, from
// memory). It is generic.
func ReusablePreload(t Thread, c Class) (unit.Force, error) {
	loads, err := BoltLoads(t, c)
	if err != nil {
		return unit.Force{}, err
	}
	return unit.Newton.Of(0.75 * loads.Proof.In(unit.Newton)), nil
}

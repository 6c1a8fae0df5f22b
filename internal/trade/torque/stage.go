package torque

import (
	"fmt"
	"strings"

	"axlestand/internal/trade/unit"
)

// Act is what a stage has the owner do.
type Act string

// The acts of a stage.
const (
	Tighten   Act = "tighten"    // to a torque
	Turn      Act = "turn"       // by an angle, further
	HandTight Act = "hand tight" // without a wrench
	Loosen    Act = "loosen"     // by an angle, or fully when there is none
	Wait      Act = "wait"
	Retighten Act = "retighten" // to the last figure again, at a later time
)

// Figure is a value as printed: alone, as a range, or with a tolerance.
type Figure[K unit.Kind] struct {
	Value unit.Quantity[K] // the lower end of a range
	High  unit.Quantity[K] // the upper end of a range, else none
	Tol   unit.Quantity[K] // plus or minus, else none
}

// Stage is one act on all fasteners of a joint, each in its turn of the sequence, before the next stage begins.
type Stage struct {
	Act     Act
	Torque  Figure[unit.TorqueKind] // of Tighten
	Also    Figure[unit.TorqueKind] // the same torque printed in a second unit, if it was
	Angle   Figure[unit.AngleKind]  // of Turn and Loosen
	Minutes int                     // of Wait
	When    string                  // of Retighten: "1000 km", "engine cold"
}

// Stages are the stages of one spec in order.
type Stages []Stage

// Low is the least that the figure allows.
func (f Figure[K]) Low() unit.Quantity[K] {
	if f.Tol.IsZero() {
		return f.Value
	}
	u := f.Value.Unit()
	return u.Of(f.Value.Value() - f.Tol.In(u))
}

// Top is the most that the figure allows.
func (f Figure[K]) Top() unit.Quantity[K] {
	u := f.Value.Unit()
	switch {
	case !f.High.IsZero():
		return f.High
	case !f.Tol.IsZero():
		return u.Of(f.Value.Value() + f.Tol.In(u))
	}
	return f.Value
}

// Aim is the value to aim at: the middle of a range.
func (f Figure[K]) Aim() unit.Quantity[K] {
	if f.High.IsZero() {
		return f.Value
	}
	u := f.Value.Unit()
	return u.Of((f.Value.Value() + f.High.In(u)) / 2)
}

// IsZero says that there is no figure.
func (f Figure[K]) IsZero() bool { return f.Value.IsZero() }

// String is the figure as [ParseStages] reads it.
func (f Figure[K]) String() string {
	switch {
	case !f.High.IsZero() && f.High.Unit() == f.Value.Unit():
		return f.Value.Number() + "–" + f.High.String()
	case !f.High.IsZero():
		return f.Value.String() + " to " + f.High.String()
	case !f.Tol.IsZero():
		return f.Value.String() + " ± " + f.Tol.String()
	}
	return f.Value.String()
}

// String is the stage as [ParseStages] reads it, without what joins it to the stage before.
func (s Stage) String() string {
	switch s.Act {
	case Tighten:
		if !s.Also.IsZero() {
			return s.Torque.String() + " (" + s.Also.String() + ")"
		}
		return s.Torque.String()
	case Turn:
		return s.Angle.String()
	case Loosen:
		return strings.TrimSpace("loosen " + s.Angle.String())
	case Wait:
		return fmt.Sprintf("wait %d min", s.Minutes)
	case Retighten:
		return "retighten at " + s.When
	}
	return string(s.Act)
}

// String is the stages on one line as [ParseStages] reads them: "25 lbf ft, loosen 180°, 30 Nm + 90°".
func (s Stages) String() string {
	var b strings.Builder
	for i, stage := range s {
		switch {
		case stage.Act == Turn:
			b.WriteString(" + ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(stage.String())
	}
	return b.String()
}

// Highest is the highest torque that a stage aims at; none when no stage has one.
func (s Stages) Highest() (highest unit.Torque) {
	for _, stage := range s {
		if aim := stage.Torque.Aim(); highest.IsZero() || !aim.IsZero() && aim.Compare(highest) > 0 {
			highest = aim
		}
	}
	return highest
}

// Turns says that a stage goes on by an angle, so that the torque printed is not the last word.
func (s Stages) Turns() bool {
	for _, stage := range s {
		if stage.Act == Turn {
			return true
		}
	}
	return false
}

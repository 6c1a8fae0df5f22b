package fluid

import (
	"math"

	"axlestand/internal/trade/input"
)

// Capacity is what a system holds. What goes in at a service is mostly less than what is in it altogether: the
// rest stays in coolers and converters. Each has its source; zero is not known.
type Capacity struct {
	Dry           Litres // all that is in it, filled from dry
	Service       Litres // what a drain and refill takes
	DrySource     string
	ServiceSource string
}

// total refuses to work with a service fill where the whole is not known.
func (c Capacity) total(d Litres) error {
	err := input.First(
		input.Positive("dry", c.Dry, "What the system holds altogether is not known; the service fill is not the same."),
		input.Positive("drained", d, "Give what is drained each time, more than zero."),
	)
	if err == nil && d > c.Dry {
		return input.Wrong("drained", "No more can be drained than the system holds.")
	}
	return err
}

// OldShare is how much of the old is left after n changes of d litres: (1 − d/V)^n. The engine runs between them to mix. Refused
// are a capacity that is not known for "dry", a drained volume of none or more than that for "drained", and n below
// zero for "rounds".
func OldShare(c Capacity, d Litres, n int) (Share, error) {
	if err := c.total(d); err != nil {
		return 0, err
	}
	if n < 0 {
		return 0, input.Wrong("rounds", "Give the number of changes, zero or more.")
	}
	return Share(math.Pow(float64(1-d/c.Dry), float64(n))), nil
}

// Rounds is the number of changes of d litres after which at most the share of the old is left. It refuses like [OldShare], and
// a share that is not between 0 and 1 for "share".
func Rounds(c Capacity, d Litres, share Share) (int, error) {
	if err := c.total(d); err != nil {
		return 0, err
	}
	if !(share > 0 && share < 1) {
		return 0, input.Wrong("share", "Give the share of the old that may stay, more than 0 and less than 100 %.")
	}
	if d == c.Dry {
		return 1, nil
	}
	exact := math.Log(float64(share)) / math.Log(float64(1-d/c.Dry))
	return int(math.Ceil(exact - slack)), nil
}

// ShareAfter is the share of coolant, or of whatever else is in the fluid, after n changes of d litres with a fill of the share
// fill: it goes from now towards fill. It refuses like [OldShare], and shares outside 0 to 100 % for "now" and "fill".
func ShareAfter(c Capacity, d Litres, n int, now, fill Share) (Share, error) {
	err := input.First(
		input.Within("now", now, 0, 1, "Give the share now, from 0 to 100 %."),
		input.Within("fill", fill, 0, 1, "Give the share of what is filled in, from 0 to 100 %."),
	)
	if err != nil {
		return 0, err
	}
	old, err := OldShare(c, d, n)
	return fill + (now-fill)*old, err
}

// Displaced is what an additive displaces.
type Displaced struct {
	DrawOff Litres // to be drawn off first, so that the level stays
	Leaves  Share  // of what was in it before
}

// Additive is what to draw off before a dose goes into a full system with so much room up to its mark: dose − room, and what then is
// left of the fluid before. Refused are a capacity that is not known for "dry", a dose of none for "dose", more than
// the system holds for "dose", and room below zero for "room".
func Additive(c Capacity, dose, room Litres) (Displaced, error) {
	err := input.First(
		input.Positive("dry", c.Dry, "What the system holds altogether is not known; the service fill is not the same."),
		input.Positive("dose", dose, "Give the dose, more than zero."),
		input.Within("room", room, 0, c.Dry, "Give the room up to the mark: zero when it is full, and not more than it holds."),
	)
	if err != nil {
		return Displaced{}, err
	}
	switch {
	case dose > c.Dry:
		return Displaced{}, input.Wrong("dose", "That is more than the system holds.")
	case room == c.Dry:
		return Displaced{}, input.Wrong("room", "An empty system has nothing to draw off: fill it first.")
	}
	draw := max(0, dose-room)
	return Displaced{DrawOff: draw, Leaves: Share((c.Dry - room - draw) / (c.Dry - room))}, nil
}

// CylinderVolume is the volume of a bore of so many millimetres over a length in millimetres: of a brake pipe, or behind a
// piston. π/4·d²·L. A bore or length of none is refused for "bore" and "length".
func CylinderVolume(bore, length float64) (Millilitres, error) {
	err := input.First(
		input.Positive("bore", bore, "Give the bore in millimetres, more than zero."),
		input.Positive("length", length, "Give the length in millimetres, more than zero."),
	)
	if err != nil {
		return 0, err
	}
	return Millilitres(math.Pi / 4 * bore * bore * length / 1000), nil
}

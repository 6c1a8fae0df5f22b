package brake

import (
	"fmt"
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Usual limits of discs; common practice, no source. The car's own limit wins.
const (
	points         = 8     // where a disc is measured, 10 to 15 mm inside its edge
	usualVariation = 0.015 // mm
	usualRunOut    = 0.10  // mm
)

// HowDiscs says how discs are treated; common practice, no source.
const HowDiscs = "Change discs and pads of an axle together. Clean the hub; turning the disc to other bolt holes may cut its run-out. The figure cast on the disc (MIN TH) wins; a thickness to machine to is not the one to discard at."

// HowBedding says how new pads are bedded; common practice, no source. The pads' maker wins.
const HowBedding = "About ten gentle stops from 50 km/h, then about ten harder ones from 80 to 20 km/h, never to rest; then drive until they are cool."

// Disc is a disc as measured. Least is the thickness cast on it; RunOut may be none.
type Disc struct {
	Readings []unit.Length
	Least    unit.Length
	RunOut   unit.Length
}

// Thickness is the smallest reading, which is the one that counts. A refusal is an [*input.Error] for "readings" or "least".
func (d Disc) Thickness() (smallest, largest unit.Length, err error) {
	for _, r := range d.Readings {
		if err := input.Within("readings", r.In(unit.Mm), 3, 60, "%s is no thickness of a disc: 3 to 60 mm.", r); err != nil {
			return unit.Length{}, unit.Length{}, err
		}
		if smallest.IsZero() || r.Compare(smallest) < 0 {
			smallest = r
		}
		if largest.IsZero() || r.Compare(largest) > 0 {
			largest = r
		}
	}
	if smallest.IsZero() {
		return smallest, largest, input.Wrong("readings", "Measure the disc with a micrometer at %d points.", points)
	}
	return smallest, largest, input.Within("least", d.Least.In(unit.Mm), 3, 60, "Give the least thickness that is cast on the disc.")
}

// Check holds a disc against its limits.
func (d Disc) Check() ([]Finding, error) {
	smallest, largest, err := d.Thickness()
	if err != nil {
		return nil, err
	}
	var found []Finding
	add := func(bad bool, code, text string, args ...any) {
		found = append(found, Finding{code, fmt.Sprintf(text, args...), bad})
	}
	if smallest.Compare(d.Least) <= 0 {
		add(true, "worn", "Its thinnest point has %s, the least is %s: replace the discs of the axle.", smallest, d.Least)
	}
	if len(d.Readings) < points {
		add(false, "points", "%d points were measured: take at least %d, 10 to 15 mm inside the edge.", len(d.Readings), points)
	}
	const rounding = 1e-9
	if v := largest.In(unit.Mm) - smallest.In(unit.Mm); v > usualVariation+rounding {
		add(true, "variation", "Its thickness varies by %.3f mm; usual is at most %.3f mm, unless the car's own limit is another.", v, usualVariation)
	}
	if r := d.RunOut.In(unit.Mm); r > usualRunOut+rounding {
		add(true, "run-out", "It runs out by %.2f mm; usual is at most %.2f mm, unless the car's own limit is another.", r, usualRunOut)
	}
	return found, nil
}

// Measured is a thickness and the distance that the car had driven then.
type Measured struct {
	Thickness unit.Length
	At        unit.Distance
}

// DistanceLeft is how far a disc or pad lasts at the wear between two measurements. Less than 0.1 mm apart it is unknown, which
// is an [*input.Error] for "wear".
func DistanceLeft(first, second Measured, least unit.Length) (unit.Distance, error) {
	worn := first.Thickness.In(unit.Mm) - second.Thickness.In(unit.Mm)
	driven := second.At.In(unit.Km) - first.At.In(unit.Km)
	if err := input.First(
		input.Positive("least", least.In(unit.Mm), "Give the least thickness."),
		input.Positive("wear", driven, "The second measurement was not made after the first."),
		input.Within("wear", worn, 0.1-1e-9, math.MaxFloat64, "Unknown: the two measurements are less than 0.1 mm apart. Measure again later."),
	); err != nil {
		return unit.Distance{}, err
	}
	return unit.Km.Of(max(0, second.Thickness.In(unit.Mm)-least.In(unit.Mm)) / worn * driven), nil
}

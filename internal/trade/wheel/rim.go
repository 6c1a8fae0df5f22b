package wheel

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Rim is a wheel as it is stamped: width between the beads, diameter, offset, bolt circle and bore.
type Rim struct {
	Width    float64 // in
	Flange   string  // J, JJ, K, B or empty
	Diameter float64 // in; 0 when not said
	ET       float64 // offset, mm: how far the hub's face lies outside the middle
	HasET    bool    // an offset of 0 is one
	Bolts    int
	Circle   float64 // mm; 0 when not said
	Bore     float64 // mm; 0 when not said
}

var rimText = regexp.MustCompile(`^([0-9]{1,2}(?:\.[0-9]{1,2})?) ?(JJ|J|K|B)?(?: ?[X×] ?([0-9]{2}(?:\.5)?))?(?: ?ET ?([+-]?[0-9]{1,3}(?:\.[0-9])?))?(?: ([3-8])[X×/]([0-9]{2,3}(?:\.[0-9]{1,2})?))?(?: (?:CB ?)?([0-9]{2,3}(?:\.[0-9]{1,2})?))?$`)

// ParseRim reads "7.5J×17 ET38 5×112 66.6", or less of it: "8J ET25". A refusal is an [*input.Error] for "rim".
func ParseRim(typed string) (Rim, error) {
	s := strings.ToUpper(strings.TrimSpace(spaces.ReplaceAllString(typed, " ")))
	s = strings.NewReplacer(",", ".", "\u2212", "-", "\u2013", "-").Replace(s)
	m := rimText.FindStringSubmatch(s)
	if m == nil || len(s) > 60 {
		return Rim{}, input.Wrong("rim", "Write the wheel as stamped, like 7.5J×17 ET38 5×112 66.6.")
	}
	number := func(s string) float64 { f, _ := strconv.ParseFloat("0"+strings.TrimLeft(s, "+-"), 64); return f }
	r := Rim{Width: number(m[1]), Flange: m[2], Diameter: number(m[3]), ET: number(m[4]), HasET: m[4] != "", Circle: number(m[6]), Bore: number(m[7])}
	if strings.HasPrefix(m[4], "-") && r.ET != 0 {
		r.ET = -r.ET
	}
	r.Bolts, _ = strconv.Atoi("0" + m[5])
	if err := r.check(); err != nil {
		return Rim{}, err
	}
	return r, nil
}

func (r Rim) check() error {
	switch {
	case r.Width < 3 || r.Width > 14 || r.Width*4 != math.Trunc(r.Width*4):
		return input.Wrong("rim", "A wheel is from 3 to 14 in wide, not %s.", plain(r.Width))
	case r.Diameter != 0 && r.Diameter != 16.5 && (r.Diameter < 10 || r.Diameter > 24 || r.Diameter != math.Trunc(r.Diameter)):
		return input.Wrong("rim", "A wheel is from 10 to 24 in across, not %s.", plain(r.Diameter))
	case math.Abs(r.ET) > 120:
		return input.Wrong("rim", "An offset is from -120 to 120 mm, not %s.", plain(r.ET))
	case r.Bolts > 0 && (r.Circle < 80 || r.Circle > 230):
		return input.Wrong("rim", "A bolt circle is from 80 to 230 mm, not %s.", plain(r.Circle))
	case r.Bore != 0 && (r.Bore < 40 || r.Bore > 180):
		return input.Wrong("rim", "A bore is from 40 to 180 mm, not %s.", plain(r.Bore))
	}
	return nil
}

// String is the wheel as [ParseRim] reads it.
func (r Rim) String() string {
	s := plain(r.Width) + r.Flange
	if r.Diameter > 0 {
		s += "×" + plain(r.Diameter)
	}
	if r.HasET {
		s += " ET" + plain(r.ET)
	}
	if r.Bolts > 0 {
		s += fmt.Sprintf(" %d×%s", r.Bolts, plain(r.Circle))
	}
	if r.Bore > 0 {
		s += " " + plain(r.Bore)
	}
	return s
}

// Lips says what the formulas of offset leave out; common practice, no source.
const Lips = "The rim's lips stand out about 12 to 13 mm more on either side; differences hold."

// Mounted is a wheel with the spacer between it and the hub, which may be none.
type Mounted struct {
	Rim    Rim
	Spacer unit.Length
}

func (m Mounted) offset() float64 { return m.Rim.ET - m.Spacer.In(unit.Mm) }

// Inner is how far the rim reaches inwards from the hub's face: 25.4·J/2 + ET, ET less the spacer.
func (m Mounted) Inner() unit.Length { return unit.Mm.Of(25.4*m.Rim.Width/2 + m.offset()) }

// Outer is how far the rim reaches outwards from the hub's face: 25.4·J/2 − ET, ET less the spacer.
func (m Mounted) Outer() unit.Length { return unit.Mm.Of(25.4*m.Rim.Width/2 - m.offset()) }

// Moved is how much further a wheel reaches than another; negative is less far. The track is that of the axle, both sides.
type Moved struct{ Inner, Outer, Track unit.Length }

// Swap is what changes from one wheel to another. A lower ET widens the track. A refusal is an [*input.Error] for "rim" or
// "spacer".
func Swap(from, to Mounted) (Moved, error) {
	for _, m := range []Mounted{from, to} {
		if err := m.Rim.check(); err != nil {
			return Moved{}, err
		}
		if !m.Rim.HasET {
			return Moved{}, input.Wrong("rim", "The offset of %s is not known.", m.Rim)
		}
		if err := input.Within("spacer", m.Spacer.In(unit.Mm), 0, 100, "A spacer is from 0 to 100 mm thick."); err != nil {
			return Moved{}, err
		}
	}
	return Moved{
		Inner: unit.Mm.Of(to.Inner().In(unit.Mm) - from.Inner().In(unit.Mm)),
		Outer: unit.Mm.Of(to.Outer().In(unit.Mm) - from.Outer().In(unit.Mm)),
		Track: unit.Mm.Of(2 * (from.offset() - to.offset())),
	}, nil
}

// OffsetFromBackspace is ET = backspace − W/2, both measured from lip to lip.
func OffsetFromBackspace(backspace, width unit.Length) (unit.Length, error) {
	b, w := backspace.In(unit.Mm), width.In(unit.Mm)
	if err := input.First(
		input.Positive("width", w, "Measure the whole width of the wheel from lip to lip."),
		input.Within("backspace", b, 0, w, "The backspace is measured from the inner lip to the hub's face and is less than the width."),
	); err != nil {
		return unit.Length{}, err
	}
	return unit.Mm.Of(b - w/2), nil
}

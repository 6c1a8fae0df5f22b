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

// Size is a tyre's size as moulded on its sidewall.
type Size struct {
	Prefix  string  // P, LT, T or empty
	Width   int     // mm
	Aspect  int     // height of the sidewall in % of the width; 0 where the old way of writing leaves it out
	Build   string  // R, ZR, D, B or -
	Rim     float64 // in; mm for the metric rim of 390
	Van     bool    // C after the rim
	Load    int     // load index; 0 when not written
	Twin    int     // load index of twin tyres; 0 when not written
	Speed   string  // speed symbol; empty when not written
	Over    bool    // (94Y): faster than the symbol
	Mark    string  // XL, RF, EL or empty
	Assumed int     // the aspect taken where none is written; see [Size.WithAspect]
}

var (
	sizeText = regexp.MustCompile(`^(P|LT|T)? ?([0-9]{3})(?: ?/ ?([0-9]{2}))? ?(ZR|R|D|B|-) ?([0-9]{2,3}(?:\.[0-9])?) ?(C)?(?: (XL|RF|EL))?(?: ?(\(?)([0-9]{2,3})(?:/([0-9]{2,3}))? ?([A-Z][0-9]?)(\)?))?(?: ?(XL|RF|EL))?$`)
	spaces   = regexp.MustCompile(`[\s\x{a0}\x{202f}]+`)
)

func wrongSize(sentence string, args ...any) error { return input.Wrong("size", sentence, args...) }

// ParseSize reads "205/55 R16 91V", "225/45ZR17 (94Y)", "195/70 R15C 104/102R", "165 R13". A refusal is an [*input.Error] for
// "size".
func ParseSize(typed string) (Size, error) {
	s := strings.ToUpper(strings.TrimSpace(spaces.ReplaceAllString(typed, " ")))
	s = strings.NewReplacer(",", ".", "\u2013", "-", "\u2212", "-").Replace(s)
	m := sizeText.FindStringSubmatch(s)
	if m == nil || len(s) > 60 {
		return Size{}, wrongSize("Write the size from the sidewall, like 205/55 R16 91V.")
	}
	z := Size{Prefix: m[1], Build: m[4], Van: m[6] != "", Speed: m[11], Over: m[8] != "", Mark: m[7] + m[13]}
	z.Width, _ = strconv.Atoi(m[2])
	z.Aspect, _ = strconv.Atoi("0" + m[3])
	z.Rim, _ = strconv.ParseFloat(m[5], 64)
	z.Load, _ = strconv.Atoi("0" + m[9])
	z.Twin, _ = strconv.Atoi("0" + m[10])
	if m[8] == "" != (m[12] == "") || m[7] != "" && m[13] != "" {
		return Size{}, wrongSize("Write the size from the sidewall, like 205/55 R16 91V.")
	}
	if err := z.check(m[3] != ""); err != nil {
		return Size{}, err
	}
	return z, nil
}

func (z Size) check(aspect bool) error {
	switch {
	case z.Width < 105 || z.Width > 355 || z.Width%10 != 5 && (z.Width%10 != 0 || !z.metricRim()): // metric rims have 190, 220 and so on (from memory)
		return wrongSize("Widths are 105, 115 and so on to 355 mm, not %d.", z.Width)
	case aspect && (z.Aspect < 20 || z.Aspect > 85 || z.Aspect%5 != 0):
		return wrongSize("The figure after the stroke is 20, 25 and so on to 85 %%, not %d.", z.Aspect)
	case !z.metricRim() && z.Rim != 16.5 && (z.Rim < 10 || z.Rim > 24 || z.Rim != math.Trunc(z.Rim)):
		return wrongSize("Rims are from 10 to 24 in; 16.5 in and 390 mm are known too. %s is not.", plain(z.Rim))
	}
	return z.checkService()
}

func (z Size) checkService() error {
	if z.Speed == "" {
		return nil
	}
	if _, err := LoadOf(z.Load); err != nil {
		return wrongSize("%d is no load index of a car's tyre: 60 to 126.", z.Load)
	}
	if _, err := LoadOf(z.Twin); z.Twin != 0 && (err != nil || z.Twin > z.Load) {
		return wrongSize("The load index of twin tyres is not more than that of single ones.")
	}
	if _, err := SpeedOf(z.Speed); err != nil {
		return wrongSize("%s is no speed symbol.", z.Speed)
	}
	if z.Over && z.Speed != "Y" {
		return wrongSize("Only a Y stands in brackets, like (94Y).")
	}
	return nil
}

func (z Size) metricRim() bool { return z.Rim == 390 }

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// String is the size as [ParseSize] reads it.
func (z Size) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s%d", z.Prefix, z.Width)
	if z.Aspect > 0 {
		fmt.Fprintf(&b, "/%d", z.Aspect)
	}
	if z.Build != "-" {
		b.WriteByte(' ')
	}
	b.WriteString(z.Build + plain(z.Rim))
	if z.Van {
		b.WriteByte('C')
	}
	if s := z.Service(); s != "" {
		b.WriteString(" " + s)
	}
	if z.Mark != "" {
		b.WriteString(" " + z.Mark)
	}
	return b.String()
}

// Service is load index and speed symbol as moulded: "91V", "104/102R", "(94Y)"; "" when they are not known.
func (z Size) Service() string {
	if z.Speed == "" {
		return ""
	}
	s := strconv.Itoa(z.Load)
	if z.Twin > 0 {
		s += "/" + strconv.Itoa(z.Twin)
	}
	s += z.Speed
	if z.Over {
		return "(" + s + ")"
	}
	return s
}

// OldAspects are the aspects that a size without one may have; common practice, no source. The owner says which.
var OldAspects = []int{82, 80}

// WithAspect is the size with an aspect taken for one that is not written.
func (z Size) WithAspect(percent int) (Size, error) {
	if z.Aspect > 0 {
		return z, input.Wrong("aspect", "The size says %d %% itself.", z.Aspect)
	}
	if percent < 20 || percent > 90 {
		return z, input.Wrong("aspect", "The height of a sidewall is from 20 to 90 %% of the width.")
	}
	z.Assumed = percent
	return z, nil
}

// Diameter is D = 2·W·A/100 + 25.4·R. A size without an aspect is refused with an [*input.Error] for "aspect".
func (z Size) Diameter() (unit.Length, error) {
	aspect := max(z.Aspect, z.Assumed)
	switch {
	case z.Width == 0:
		return unit.Length{}, wrongSize("Give the size of the tyre.")
	case aspect == 0:
		return unit.Length{}, input.Wrong("aspect", "%s does not say how high its sidewall is: 82 %% or 80 %%?", z)
	}
	rim := 25.4 * z.Rim
	if z.metricRim() {
		rim = z.Rim
	}
	return unit.Mm.Of(2*float64(z.Width)*float64(aspect)/100 + rim), nil
}

// Radial says that it is a radial tyre, not a diagonal or belted one.
func (z Size) Radial() bool { return strings.HasSuffix(z.Build, "R") }

// Circumferences of a tyre: that of its circle, and how far it is estimated to roll in one turn.
type Circumferences struct {
	Circle  unit.Length
	Rolling unit.Length // an [Estimate]
}

// Circumference is π·D, and 3.05·D for a radial or 2.99·D for another tyre.
func (z Size) Circumference() (Circumferences, error) {
	d, err := z.Diameter()
	if err != nil {
		return Circumferences{}, err
	}
	factor := 2.99
	if z.Radial() {
		factor = 3.05
	}
	mm := d.In(unit.Mm)
	return Circumferences{Circle: unit.Mm.Of(math.Pi * mm), Rolling: unit.Mm.Of(factor * mm)}, nil
}

// TurnsPerKm is how often a wheel turns on a kilometre with a circumference; 0 without one.
func TurnsPerKm(circumference unit.Length) float64 {
	mm := circumference.In(unit.Mm)
	if mm <= 0 {
		return 0
	}
	return 1e6 / mm
}

// Larger is by how many percent a size's diameter is larger than that of another; negative when it is smaller.
func (z Size) Larger(than Size) (percent float64, err error) {
	d, err := z.Diameter()
	if err != nil {
		return 0, err
	}
	from, err := than.Diameter()
	if err != nil {
		return 0, err
	}
	return 100 * (d.In(unit.Mm)/from.In(unit.Mm) - 1), nil
}

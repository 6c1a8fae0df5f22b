package unit

import (
	"cmp"
	"math"
	"strconv"
	"strings"
)

// Quantity is an amount of one kind, in the unit and with the decimals in which it was written. The zero Quantity is none
// at all, which is something else than 0 of a unit.
type Quantity[K Kind] struct {
	value  float64
	places int // decimals as written
	unit   Unit[K]
}

// The kinds of quantity that the trade packages speak of.
type (
	Torque      = Quantity[TorqueKind]
	Length      = Quantity[LengthKind]
	Distance    = Quantity[DistanceKind]
	Volume      = Quantity[VolumeKind]
	Pressure    = Quantity[PressureKind]
	Temperature = Quantity[TemperatureKind]
	Speed       = Quantity[SpeedKind]
	Mass        = Quantity[MassKind]
	Force       = Quantity[ForceKind]
	Angle       = Quantity[AngleKind]
	Power       = Quantity[PowerKind]
)

// IsZero says that it is no quantity at all: nothing was given.
func (q Quantity[K]) IsZero() bool { return q == Quantity[K]{} }

// Value is the number as written.
func (q Quantity[K]) Value() float64 { return q.value }

// Unit is the unit as written.
func (q Quantity[K]) Unit() Unit[K] { return q.unit }

// In is the number of u in it; 0 when there is no quantity.
func (q Quantity[K]) In(u Unit[K]) float64 {
	if q.unit == u || q.unit.def == nil {
		return q.value
	}
	from, to := q.unit.def, u.def
	if from.zero == 0 && to.zero == 0 {
		return q.value * from.factor / to.factor
	}
	return (q.value-from.zero)*from.factor/to.factor + to.zero
}

// To is the same amount in u, unrounded.
func (q Quantity[K]) To(u Unit[K]) Quantity[K] {
	if q.unit == u || q.unit.def == nil {
		return q
	}
	return u.Of(q.In(u))
}

// Compare is negative when q is less than r, positive when it is more.
func (q Quantity[K]) Compare(r Quantity[K]) int {
	if q.unit.def == nil || r.unit.def == nil {
		return cmp.Compare(q.value, r.value)
	}
	return cmp.Compare(q.value, r.In(q.unit))
}

// String is the quantity as [Parse] reads it, in its own unit and with its own decimals; "" for none.
func (q Quantity[K]) String() string {
	if q.unit.def == nil {
		return ""
	}
	if q.unit.def.tight {
		return q.Number() + q.unit.def.symbol
	}
	return q.Number() + " " + q.unit.def.symbol
}

// Number is the number alone, with a point before the decimals.
func (q Quantity[K]) Number() string { return strconv.FormatFloat(q.value, 'f', q.places, 64) }

// Round is the quantity rounded to a multiple of step in its own unit, halves away from zero.
func (q Quantity[K]) Round(step float64) Quantity[K] {
	if step <= 0 || q.unit.def == nil {
		return q
	}
	v := math.Round(q.value/step) * step
	places := shortest(step)
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'f', places, 64), 64)
	return Quantity[K]{value: v + 0, places: safe[K](v, places), unit: q.unit}
}

// Readable is the quantity rounded to what a wrench, a bottle or a gauge with its unit can show.
func (q Quantity[K]) Readable() Quantity[K] {
	if q.unit.def == nil {
		return q
	}
	for _, s := range q.unit.def.steps {
		if math.Abs(q.value) < s.below {
			return q.Round(s.step)
		}
	}
	return q
}

// Show is the quantity in u for reading: as written when it was written in u, otherwise converted and rounded to what a
// tool can show.
func (q Quantity[K]) Show(u Unit[K]) string {
	if q.unit == u {
		return q.String()
	}
	return q.To(u).Readable().String()
}

// shortest is the number of decimals in the shortest text that reads back as v.
func shortest(v float64) int {
	_, decimals, _ := strings.Cut(strconv.FormatFloat(v, 'f', -1, 64), ".")
	return len(decimals)
}

// safe is the number of decimals with which v is printed: as asked for, but one more where three after the point would look
// like thousands.
func safe[K Kind](v float64, places int) int {
	var k K
	if places == 3 && k.table().grouped && math.Abs(v) >= 1 && math.Abs(v) < 1000 {
		return 4
	}
	return places
}

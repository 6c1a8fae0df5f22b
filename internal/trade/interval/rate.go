package interval

import (
	"cmp"
	"math/big"
	"slices"

	"axlestand/internal/trade/input"
)

// Reading is what a car had run on a day, over all its odometers, in metres.
type Reading struct {
	On     Date
	Metres int64
}

// Span is a time in which a car is laid up, both days included. Without a To it still is.
type Span struct {
	From, To Date
}

// Rate is how far a car runs in a day of use, in metres. Zero is not known.
type Rate int64

// RateDays is how many days of use readings must cover before they tell a rate, RateWindow how many are looked at.
const (
	RateDays   = 14
	RateWindow = 365
)

// maxMetres is more than any car runs.
const maxMetres = 10_000_000_000

// DailyRate is the slope of the least-squares line through the readings of the last year of use. It is zero, not known, where there are
// less than two readings or they cover less than 14 days of use. Readings without a day, out of range or running backwards
// are refused for "readings", a span that ends before it begins for "laid_up".
func DailyRate(readings []Reading, laidUp []Span) (Rate, error) {
	spans, err := merged(laidUp)
	if err != nil {
		return 0, err
	}
	ordered := slices.Clone(readings)
	slices.SortFunc(ordered, func(a, b Reading) int { return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Metres, b.Metres)) })
	for i, r := range ordered {
		if err := r.check("readings"); err != nil {
			return 0, err
		}
		if i > 0 && r.Metres < ordered[i-1].Metres {
			return 0, input.Wrong("readings", "The reading of %s is less than that of %s: a swapped cluster or a counter that rolled over starts a new segment.", r.On, ordered[i-1].On)
		}
	}
	return slope(window(ordered, spans)), nil
}

func (r Reading) check(field string) error {
	if r.On.IsZero() {
		return input.Wrong(field, "A reading has a day.")
	}
	if r.Metres < 0 || r.Metres > maxMetres {
		return input.Wrong(field, "A reading is from 0 to 10,000,000 km.")
	}
	return nil
}

// point is a reading as days of use before the last one and metres before it, both counted down.
type point struct {
	days, metres int64
}

// window picks the readings to look at, from the last one back.
func window(ordered []Reading, laidUp []Span) []point {
	var points []point
	for i := len(ordered) - 1; i >= 0; i-- {
		last := ordered[len(ordered)-1]
		p := point{days: int64(daysOfUse(ordered[i].On, last.On, laidUp)), metres: last.Metres - ordered[i].Metres}
		if n := len(points); n >= 2 && p.days > RateWindow && points[n-1].days >= RateDays {
			break
		}
		points = append(points, p)
	}
	if n := len(points); n < 2 || points[n-1].days < RateDays {
		return nil
	}
	return points
}

// slope works on whole numbers of any size: the sums of a long life are beyond 64 bits.
func slope(points []point) Rate {
	n := big.NewInt(int64(len(points)))
	x, y, xx, xy := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	for _, p := range points {
		px, py := big.NewInt(p.days), big.NewInt(p.metres)
		x.Add(x, px)
		y.Add(y, py)
		xx.Add(xx, new(big.Int).Mul(px, px))
		xy.Add(xy, new(big.Int).Mul(px, py))
	}
	up := new(big.Int).Sub(xy.Mul(xy, n), new(big.Int).Mul(x, y))
	down := new(big.Int).Sub(xx.Mul(xx, n), new(big.Int).Mul(x, x))
	if down.Sign() == 0 {
		return 0
	}
	// round to the nearest: (2·up + down) / (2·down); neither is below zero, since readings do not run backwards
	up.Lsh(up, 1).Add(up, down)
	return Rate(up.Quo(up, down.Lsh(down, 1)).Int64())
}

// merged puts the spans in order and joins those that overlap. A span without an end is the last one.
func merged(spans []Span) ([]Span, error) {
	ordered := slices.Clone(spans)
	slices.SortFunc(ordered, func(a, b Span) int { return a.From.Compare(b.From) })
	var joined []Span
	for _, s := range ordered {
		if s.From.IsZero() || !s.To.IsZero() && s.To.Before(s.From) {
			return nil, input.Wrong("laid_up", "A car is laid up from a day to one that is not before it.")
		}
		n := len(joined)
		switch {
		case n > 0 && joined[n-1].To.IsZero():
		case n > 0 && !joined[n-1].To.Before(s.From):
			if s.To.IsZero() || joined[n-1].To.Before(s.To) {
				joined[n-1].To = s.To
			}
		default:
			joined = append(joined, s)
		}
	}
	return joined, nil
}

// daysOfUse counts the days after from, up to and with to, on which the car is not laid up.
func daysOfUse(from, to Date, laidUp []Span) int {
	days := max(0, from.Days(to))
	for _, s := range laidUp {
		begin, end := s.From, s.To
		if !from.Before(begin) {
			begin = from.AddDays(1)
		}
		if end.IsZero() || to.Before(end) {
			end = to
		}
		days -= max(0, begin.Days(end)+1)
	}
	return days
}

// afterUse is the day on which so many days of use are over, counted from a day; ok is false when that is never, or not within a hundred years.
func afterUse(from Date, days int, laidUp []Span) (on Date, ok bool) {
	const century = 36525
	if days > century {
		return Date{}, false
	}
	on = from.AddDays(days)
	for _, s := range laidUp {
		begin := s.From
		if !from.Before(begin) {
			begin = from.AddDays(1)
		}
		if days == 0 || on.Before(begin) || !s.To.IsZero() && s.To.Before(begin) {
			continue
		}
		if s.To.IsZero() {
			return Date{}, false
		}
		on = on.AddDays(begin.Days(s.To) + 1)
	}
	return on, from.Days(on) <= century
}

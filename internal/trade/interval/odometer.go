package interval

import (
	"axlestand/internal/trade/input"
)

// Unit is what an odometer counts.
type Unit string

// The units.
const (
	Kilometre Unit = "km"
	Mile      Unit = "mi"
)

// millimetres of a unit: the international mile is exact.
var millimetres = map[Unit]int64{Kilometre: 1_000_000, Mile: 1_609_344}

// maxShown is more than any odometer shows.
const maxShown = 9_999_999

// Metres is a figure of an odometer in metres, rounded to the nearest. A unit that there is not is refused for "unit", a figure outside 0 to
// 9,999,999 for "shown".
func Metres(shown int64, unit Unit) (int64, error) {
	per, known := millimetres[unit]
	switch {
	case !known:
		return 0, input.Wrong("unit", "Choose km or mi.")
	case shown < 0 || shown > maxShown:
		return 0, input.Wrong("shown", "From 0 to 9,999,999.")
	}
	return (shown*per + 500) / 1000, nil
}

// Segment is a stretch of one odometer: what it counts, and what the car had run when it showed zero, which is below zero for a used
// cluster that showed more than the car had run.
type Segment struct {
	Unit   Unit
	Offset int64 // metres
}

// Total is what the car has run in metres when the odometer shows a figure. It refuses like [Metres].
func (s Segment) Total(shown int64) (int64, error) {
	m, err := Metres(shown, s.Unit)
	return s.Offset + m, err
}

// RollOver is the segment after a counter that last showed a figure went on from zero: after 99,999 or the next such number. It refuses
// like [Metres].
func (s Segment) RollOver(lastShown int64) (Segment, error) {
	at := int64(100_000)
	for at <= lastShown && at <= maxShown {
		at *= 10
	}
	m, err := Metres(at, s.Unit)
	if at > maxShown || lastShown < 0 {
		err = input.Wrong("shown", "From 0 to 9,999,999.")
	}
	return Segment{Unit: s.Unit, Offset: s.Offset + m}, err
}

// Swap is the segment after the cluster was swapped when the old one showed a figure and the new one another, in its own unit. It refuses
// like [Metres].
func (s Segment) Swap(oldShown, newShown int64, unit Unit) (Segment, error) {
	total, err := s.Total(oldShown)
	if err != nil {
		return Segment{}, err
	}
	m, err := Metres(newShown, unit)
	return Segment{Unit: unit, Offset: total - m}, err
}

// Doubt is a reason to ask before a reading is kept.
type Doubt string

// The reasons.
const (
	FutureDay  Doubt = "the day has not come yet"
	Twice      Doubt = "the reading is noted already"
	Backwards  Doubt = "less than before: was the cluster swapped?"
	RolledOver Doubt = "less than before: did the counter roll over?"
	TooFast    Doubt = "more than 1500 km a day"
	UnitMixUp  Doubt = "it would fit in the other unit: miles for kilometres, or the other way round"
)

// FastMetres is what nobody drives in a day. Common practice, no source.
const FastMetres = 1_500_000

// Shown is a figure on a day.
type Shown struct {
	On    Date
	Shown int64
}

// Doubts lists what is to be asked about a reading of one odometer, given the one before it, if there is one. Common practice, no source. It
// refuses like [Metres], and a reading on a day before the other for "on".
func Doubts(unit Unit, before *Shown, entry Shown, today Date) ([]Doubt, error) {
	at, err := Metres(entry.Shown, unit)
	if err != nil {
		return nil, err
	}
	var doubts []Doubt
	if today.Before(entry.On) {
		doubts = append(doubts, FutureDay)
	}
	if before == nil {
		return doubts, nil
	}
	was, err := Metres(before.Shown, unit)
	switch {
	case err != nil:
		return nil, err
	case entry.On.Before(before.On):
		return nil, input.Wrong("on", "Compare with the reading before that day.")
	case *before == entry:
		return append(doubts, Twice), nil
	}
	return append(doubts, compare(unit, was, at, *before, entry)...), nil
}

func compare(unit Unit, was, at int64, before, entry Shown) (doubts []Doubt) {
	days := int64(max(1, before.On.Days(entry.On)))
	plausible := func(m int64) bool { return m >= was && m-was <= FastMetres*days }
	if plausible(at) {
		return nil
	}
	if at >= was {
		doubts = append(doubts, TooFast)
	} else {
		doubts = append(doubts, Backwards)
		if rolled, err := (Segment{Unit: unit}).RollOver(before.Shown); err == nil && plausible(rolled.Offset+at) {
			doubts = append(doubts, RolledOver)
		}
	}
	other := Mile
	if unit == Mile {
		other = Kilometre
	}
	if m, err := Metres(entry.Shown, other); err == nil && plausible(m) {
		doubts = append(doubts, UnitMixUp)
	}
	return doubts
}

// Stint is a time that a component spent on a car: what the car had run when it was fitted, and when it was taken off or now.
type Stint struct {
	From, To int64 // metres
}

// ComponentMetres is what a component has run: what it had when it was first fitted here, and what each car ran with it. Less than zero is
// refused for "before", a stint that ends before it begins for "stints".
func ComponentMetres(before int64, stints ...Stint) (int64, error) {
	if before < 0 || before > maxMetres {
		return 0, input.Wrong("before", "Give what it had run before it was fitted, zero or more.")
	}
	total := before
	for _, s := range stints {
		if s.From < 0 || s.To < s.From || s.To > maxMetres {
			return 0, input.Wrong("stints", "The car cannot have run less when it was taken off than when it was fitted.")
		}
		total += s.To - s.From
	}
	return total, nil
}

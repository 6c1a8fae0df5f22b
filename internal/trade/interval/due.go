package interval

import (
	"axlestand/internal/trade/input"
)

// Rule is how often something is done. Zero is no limit of that kind; one of the two is there.
type Rule struct {
	Months int
	Metres int64
}

// Cause is which of the two limits comes first.
type Cause string

// The limits.
const (
	ByTime     Cause = "time"
	ByDistance Cause = "distance"
)

// Due says when something is due.
type Due struct {
	On         Date  // the first of the two; zero where no day is known
	By         Cause // which of the two that is
	Time       Date  // by the months; zero without such a limit
	Distance   Date  // by the distance; zero without such a limit or a rate
	LeftMetres int64 // until the distance is reached, less than zero when it is passed; zero without such a limit
}

// OverdueDays is by how many days the months have passed; zero while they have not.
func (d Due) OverdueDays(today Date) int {
	if d.Time.IsZero() {
		return 0
	}
	return max(0, d.Time.Days(today))
}

// OverdueMetres is by how much the distance is passed, as of the reading; zero while it is not.
func (d Due) OverdueMetres() int64 { return max(0, -d.LeftMetres) }

// NextDue says when something is due that was last done at a reading, for a car that now stands at another and runs so far in a
// day of use. Without a rate there is only the date by the months. What is due by distance already is due on the day of the
// reading. A rule without a limit is refused for "rule", readings that are none for "last" and "now", one that is
// before the last for "now", a rate below zero for "rate", a span that ends before it begins for "laid_up".
func NextDue(rule Rule, last, now Reading, rate Rate, laidUp []Span) (Due, error) {
	spans, err := merged(laidUp)
	if err := input.First(err, rule.check(), last.check("last"), now.check("now")); err != nil {
		return Due{}, err
	}
	switch {
	case now.On.Before(last.On) || now.Metres < last.Metres:
		return Due{}, input.Wrong("now", "The reading now cannot be before the last time it was done.")
	case rate < 0:
		return Due{}, input.Wrong("rate", "A car does not run backwards.")
	}
	var due Due
	if rule.Months > 0 {
		due.Time = last.On.AddMonths(rule.Months)
		due.On, due.By = due.Time, ByTime
	}
	if rule.Metres > 0 {
		due.LeftMetres = last.Metres + rule.Metres - now.Metres
		due.Distance = reach(due.LeftMetres, now.On, rate, spans)
	}
	if !due.Distance.IsZero() && (due.On.IsZero() || due.Distance.Before(due.On)) {
		due.On, due.By = due.Distance, ByDistance
	}
	return due, nil
}

// maxRuleMonths is a hundred years.
const maxRuleMonths = 1200

func (r Rule) check() error {
	switch {
	case r.Months < 0 || r.Metres < 0 || r.Months == 0 && r.Metres == 0:
		return input.Wrong("rule", "Give a distance, a number of months or both, each more than zero.")
	case r.Months > maxRuleMonths || r.Metres > maxMetres:
		return input.Wrong("rule", "At most 1200 months and 10,000,000 km.")
	}
	return nil
}

// reach is the day on which the rest of the distance is run, or the zero Date.
func reach(left int64, from Date, rate Rate, laidUp []Span) Date {
	switch {
	case left <= 0:
		return from
	case rate <= 0:
		return Date{}
	}
	days := (left + int64(rate) - 1) / int64(rate)
	on, ok := afterUse(from, int(min(days, maxMetres)), laidUp)
	if !ok {
		return Date{}
	}
	return on
}

// Severe is a rule for severe use: half the distance, and the months by a share in thousandths from 500 to 1000, at least one. Common
// practice, no source. A share outside is refused for "share", a rule without a limit for "rule".
func Severe(r Rule, monthShare int) (Rule, error) {
	if err := r.check(); err != nil {
		return Rule{}, err
	}
	if monthShare < 500 || monthShare > 1000 {
		return Rule{}, input.Wrong("share", "Severe use shortens the months to between a half and the whole.")
	}
	severe := Rule{Months: r.Months * monthShare / 1000, Metres: r.Metres / 2}
	if r.Months > 0 {
		severe.Months = max(1, severe.Months)
	}
	if r.Metres > 0 {
		severe.Metres = max(1, severe.Metres)
	}
	return severe, nil
}

// SevereUse says what counts as such. Common practice, no source.
const SevereUse = "Trips below 8 to 10 km, cold, dust, towing, track days, long storage."

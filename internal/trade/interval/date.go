package interval

import (
	"cmp"
	"time"
)

// Date is a civil day without time or zone. The zero Date is no day at all.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// NewDate is the day of a calendar date; out-of-range days roll over as in time.Date.
func NewDate(year int, month time.Month, day int) Date {
	y, m, d := time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Date()
	return Date{Year: y, Month: m, Day: d}
}

// String is the day as "2006-01-02", or "" for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.midnight().Format(time.DateOnly)
}

// IsZero says that it is no day at all.
func (d Date) IsZero() bool { return d == Date{} }

// midnight has no daylight saving to trip over.
func (d Date) midnight() time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
}

// AddDays is the day n days later.
func (d Date) AddDays(n int) Date { return NewDate(d.Year, d.Month, d.Day+n) }

// Days is the number of days from d to other; negative when other is before d.
func (d Date) Days(other Date) int {
	return int((other.midnight().Unix() - d.midnight().Unix()) / (24 * 60 * 60))
}

// Compare is negative when d is before other, positive when after.
func (d Date) Compare(other Date) int {
	return cmp.Or(cmp.Compare(d.Year, other.Year), cmp.Compare(d.Month, other.Month), cmp.Compare(d.Day, other.Day))
}

// Before says whether d is earlier than other.
func (d Date) Before(other Date) bool { return d.Compare(other) < 0 }

// Weekend says that the day is a Saturday or a Sunday.
func (d Date) Weekend() bool {
	w := d.midnight().Weekday()
	return w == time.Saturday || w == time.Sunday
}

// AddMonths is the same day n whole months later, or the last day of that month where it has no such day. Months add to the
// day that counting began on: going on from a day that was cut short would lose days for good.
func (d Date) AddMonths(n int) Date {
	first := NewDate(d.Year, d.Month+time.Month(n), 1)
	return NewDate(first.Year, first.Month, min(d.Day, daysIn(first.Year, first.Month)))
}

func daysIn(year int, month time.Month) int { return NewDate(year, month+1, 0).Day }

// Months is the number of whole months from d to other: the most that can be added to d without passing other. It is
// negative when other is before d.
func (d Date) Months(other Date) int {
	n := (other.Year-d.Year)*12 + int(other.Month-d.Month)
	if other.Before(d.AddMonths(n)) {
		n--
	}
	return n
}

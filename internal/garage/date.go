package garage

import (
	"cmp"
	"database/sql/driver"
	"fmt"
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
	return DateOf(time.Date(year, month, day, 12, 0, 0, 0, time.UTC))
}

// DateOf is the day that t falls on in t's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{Year: y, Month: m, Day: d}
}

// ParseDate reads "2006-01-02" with years 1 to 9999.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() < 1 {
		return Date{}, fmt.Errorf("%q is not a date like 2027-03-06", s)
	}
	return DateOf(t), nil
}

// String is the day as "2006-01-02", or "" for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.In(time.UTC).Format(time.DateOnly)
}

// IsZero says that it is no day at all.
func (d Date) IsZero() bool { return d == Date{} }

// In is the first instant of the day in a zone. A midnight that the zone skips becomes the first instant after it.
func (d Date) In(zone *time.Location) time.Time {
	t := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, zone)
	for DateOf(t).Before(d) {
		t = t.Add(15 * time.Minute)
	}
	return t
}

// AddDays is the day n days later.
func (d Date) AddDays(n int) Date { return NewDate(d.Year, d.Month, d.Day+n) }

// Compare is negative when d is before other, positive when after.
func (d Date) Compare(other Date) int {
	return cmp.Or(cmp.Compare(d.Year, other.Year), cmp.Compare(d.Month, other.Month), cmp.Compare(d.Day, other.Day))
}

// Before says whether d is earlier than other.
func (d Date) Before(other Date) bool { return d.Compare(other) < 0 }

// Weekday is 1 for Monday to 7 for Sunday, as in ISO 8601.
func (d Date) Weekday() int { return (int(d.In(time.UTC).Weekday())+6)%7 + 1 }

// Scan reads a database date; a null needs a *Date to land in.
func (d *Date) Scan(src any) error {
	switch v := src.(type) {
	case time.Time:
		*d = DateOf(v)
		return nil
	case string:
		parsed, err := ParseDate(v)
		*d = parsed
		return err
	}
	return fmt.Errorf("cannot read a date from %T", src)
}

// Value writes a database date; the zero Date is null.
func (d Date) Value() (driver.Value, error) {
	if d.IsZero() {
		return nil, nil
	}
	return d.String(), nil
}

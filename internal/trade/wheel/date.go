package wheel

import (
	"fmt"
	"regexp"
	"strconv"
	"time"

	"axlestand/internal/trade/input"
)

// DateCode is when a tyre was made: the last digits after DOT, a week and a year.
type DateCode struct {
	Week   int
	Year   int       // 0 for three digits: before 2000, in an unknown decade
	Last   int       // the last digit of the year, for three digits
	Sunday time.Time // the first day of the week; zero when the year is not known
	Note   string    // what is odd about the code; empty mostly
}

var dateDigits = regexp.MustCompile(`(?:^|[^0-9A-Za-z])([0-9]{3,4})$`)

// ParseDateCode reads the week and year off a tyre's marking, "2319" or all of "DOT A1B2 C3D4 2319". Four digits are in use
// since 2000 (rule of 8 July 1999, 64 FR 36807). A refusal is an [*input.Error] for "date code".
func ParseDateCode(typed string, today time.Time) (DateCode, error) {
	m := dateDigits.FindStringSubmatch(spaces.ReplaceAllString(" "+typed, " "))
	if m == nil || len(typed) > 60 {
		return DateCode{}, input.Wrong("date code", "Write the last four digits after DOT, like 2319 for week 23 of 2019.")
	}
	c := DateCode{}
	c.Week, _ = strconv.Atoi(m[1][:2])
	year, _ := strconv.Atoi(m[1][2:])
	if c.Week < 1 || c.Week > 53 {
		return DateCode{}, input.Wrong("date code", "Weeks are 01 to 53, not %02d.", c.Week)
	}
	if len(m[1]) == 3 {
		c.Last, c.Note = year, "Three digits: made before 2000, and the decade is not known."
		return c, nil
	}
	c.Year = 2000 + year
	c.Sunday = sunday(c.Year, c.Week)
	if c.Sunday.After(today) {
		return DateCode{}, input.Wrong("date code", "Week %d of %d is yet to come.", c.Week, c.Year)
	}
	if c.Week == 53 && c.Sunday.Year() != c.Year {
		c.Note = fmt.Sprintf("%d has no full week 53 from Sunday to Saturday; the maker may count weeks from Monday.", c.Year)
	}
	return c, nil
}

// sunday is the first day of a week; week 1 is the first full one from Sunday to Saturday.
func sunday(year, week int) time.Time {
	first := time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC)
	return first.AddDate(0, 0, (7-int(first.Weekday()))%7+7*(week-1))
}

// String is the code as [ParseDateCode] reads it.
func (c DateCode) String() string {
	if c.Year == 0 {
		return fmt.Sprintf("%02d%d", c.Week, c.Last)
	}
	return fmt.Sprintf("%02d%02d", c.Week, c.Year%100)
}

// Months is the tyre's age in whole months, counted from the first day of its week; known is false for three digits.
func (c DateCode) Months(today time.Time) (months int, known bool) {
	if c.Sunday.IsZero() {
		return 0, false
	}
	y, m, d := today.Date()
	months = 12*(y-c.Sunday.Year()) + int(m-c.Sunday.Month())
	if d < c.Sunday.Day() {
		months--
	}
	return max(months, 0), true
}

// Ages at which a tyre wants a look or an end; common practice, no source.
const (
	InspectMonths = 5 * 12
	ReplaceMonths = 10 * 12
)

// CheckAge says what a tyre's age asks for.
func (c DateCode) CheckAge(today time.Time) []Finding {
	months, known := c.Months(today)
	switch {
	case !known:
		return []Finding{{"age", "Made before 2000: replace it, whatever its tread.", true}}
	case months >= ReplaceMonths:
		return []Finding{{"age", fmt.Sprintf("It is %d years old: replace it, whatever its tread.", months/12), true}}
	case months >= InspectMonths:
		return []Finding{{"age", fmt.Sprintf("It is %d years old: look for cracks every year.", months/12), false}}
	}
	return nil
}

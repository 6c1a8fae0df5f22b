package page

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"axlestand/internal/garage"
	"axlestand/internal/trade/unit"
)

// The functions of this file read one field of a form as typed. What does not parse is noted under the field's name and
// read as zero, so that a form is read to its end and every message shown at once.

// fields gathers what is wrong with the values of a form while they are read.
type fields struct {
	Errors garage.FieldErrors
}

// with adds what a Validate method found; what did not parse stays as noted.
func (f *fields) with(err error) garage.FieldErrors {
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		f.Errors.Merge(invalid.Fields)
	}
	return f.Errors
}

// int reads a whole number; thousands may be set apart by blanks or apostrophes.
func (f *fields) int(name, typed string) int {
	digits := strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", "'", "", "’", "").Replace(strings.TrimSpace(typed))
	n, err := strconv.ParseInt(digits, 10, 32)
	if err != nil {
		f.Errors.Add(name, "A whole number, please.")
	}
	return int(n)
}

// intOr is int, with a value for an empty field.
func (f *fields) intOr(name, typed string, empty int) int {
	if strings.TrimSpace(typed) == "" {
		return empty
	}
	return f.int(name, typed)
}

// optionalInt is nil for an empty field.
func (f *fields) optionalInt(name, typed string) *int {
	if strings.TrimSpace(typed) == "" {
		return nil
	}
	return new(f.int(name, typed))
}

// id reads the value of a choice among records; the empty choice is zero.
func (f *fields) id(name, typed string) int64 {
	if typed == "" {
		return 0
	}
	n, err := strconv.ParseInt(typed, 10, 64)
	if err != nil || n < 1 {
		f.Errors.Add(name, "Choose one of the list.")
	}
	return n
}

// version reads the hidden field of that name; nonsense is version 0, which never was and so leads to a conflict.
func version(typed string) int64 {
	n, _ := strconv.ParseInt(typed, 10, 64)
	return n
}

// date reads a date like 2027-03-06; an empty field is an error.
func (f *fields) date(name, typed string) garage.Date {
	d, err := garage.ParseDate(strings.TrimSpace(typed))
	if err != nil {
		f.Errors.Add(name, "A date like 2027-03-06, please.")
	} else {
		f.year(name, d.Year)
	}
	return d
}

// year refuses years that can only be a slip of the hand: plans reach neither as far back nor as far ahead.
func (f *fields) year(name string, year int) {
	if year < 1900 || year > 2199 {
		f.Errors.Add(name, "A year from 1900 to 2199, please.")
	}
}

// dates reads days set apart by lines, blanks or commas; it puts them in order, each once.
func (f *fields) dates(name, typed string) (days []garage.Date) {
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' }) {
		d, err := garage.ParseDate(word)
		if err != nil {
			f.Errors.Add(name, fmt.Sprintf("“%.20s” is no date like 2027-03-06.", word))
			continue
		}
		f.year(name, d.Year)
		days = append(days, d)
	}
	slices.SortFunc(days, garage.Date.Compare)
	return slices.Compact(days)
}

// datesText is a day a line.
func datesText(days []garage.Date) string {
	lines := make([]string, len(days))
	for i, d := range days {
		lines[i] = d.String()
	}
	return strings.Join(lines, "\n")
}

// optionalDate is nil for an empty field.
func (f *fields) optionalDate(name, typed string) *garage.Date {
	if strings.TrimSpace(typed) == "" {
		return nil
	}
	return new(f.date(name, typed))
}

// minuteOfDay reads a time of day like 09:30 as minutes after midnight; 24:00 is the end of the day.
func (f *fields) minuteOfDay(name, typed string) int {
	typed = strings.TrimSpace(typed)
	if typed == "24:00" {
		return 1440
	}
	t, err := time.Parse("15:04", typed)
	if err != nil {
		f.Errors.Add(name, "A time like 09:30, please.")
		return 0
	}
	return t.Hour()*60 + t.Minute()
}

// optionalInstant reads a local date and time like 2027-03-06T09:00 in the garage's zone; nil for an empty field.
func (f *fields) optionalInstant(name, typed string, zone *time.Location) *time.Time {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return nil
	}
	t, err := time.ParseInLocation("2006-01-02T15:04", typed, zone)
	if err != nil {
		f.Errors.Add(name, "A date and time like 2027-03-06T09:00, please.")
		return nil
	}
	f.year(name, t.Year())
	return &t
}

// money reads an amount as minor units of a currency; an empty field is zero.
func (f *fields) money(name, typed, currency string) int64 {
	minor, wrong := garage.ParseMoney(typed, currency)
	if wrong != "" {
		f.Errors.Add(name, wrong)
	}
	return minor
}

// clockText writes minutes after midnight as 09:30.
func clockText(minute int) string {
	two := func(n int) string { return string([]byte{byte('0' + n/10), byte('0' + n%10)}) }
	return two(minute/60) + ":" + two(minute%60)
}

// dateText writes an optional date as typed in a form; nil is empty.
func dateText(d *garage.Date) string {
	if d == nil {
		return ""
	}
	return d.String()
}

// intText writes an optional number as typed in a form; nil is empty.
func intText(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// Weekdays are the names of the days, Monday first: Weekdays[d-1] is day d.
var Weekdays = []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}

// optionalFigure reads a number with or without decimals, behind a point or a comma; nil for an empty field.
func (f *fields) optionalFigure(name, typed string) *float64 {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return nil
	}
	if !figureText.MatchString(typed) {
		f.Errors.Add(name, "A number, please.")
		return new(float64)
	}
	v, err := strconv.ParseFloat(strings.Replace(typed, ",", ".", 1), 64)
	if err != nil {
		f.Errors.Add(name, "A number, please.")
	}
	return &v
}

var figureText = regexp.MustCompile(`^-?[0-9]{1,9}(?:[.,][0-9]{1,6})?$`)

// withUnit adds a unit to a number that was typed alone, where the field says which one is meant; all else stays as typed.
func withUnit[K unit.Kind](typed string, bare unit.Unit[K]) string {
	typed = strings.TrimSpace(typed)
	if figureText.MatchString(typed) {
		return typed + " " + bare.String()
	}
	return typed
}

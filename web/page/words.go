package page

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
)

// Durations, weights and dates are worded here for all pages, and durations read.

const (
	hour = 60
	day  = 24 * hour
)

// TimeWords is a stretch of time that passes by the clock, in minutes: 45 min, 1 h 30, 2 days, 1 day 3 h.
func TimeWords(minutes int) string {
	if minutes < day {
		return WorkWords(minutes)
	}
	words := DayCount(minutes / day)
	if rest := minutes % day; rest > 0 {
		words += " " + WorkWords(rest)
	}
	return words
}

// WorkWords is a stretch of work in minutes: 45 min, 1 h 30, 30 h. It knows no days, since a day's work is not 24 hours.
func WorkWords(minutes int) string {
	switch h, m := minutes/hour, minutes%hour; {
	case h == 0:
		return fmt.Sprintf("%d\u00a0min", m)
	case m == 0:
		return fmt.Sprintf("%d\u00a0h", h)
	default:
		return fmt.Sprintf("%d\u00a0h\u00a0%02d", h, m)
	}
}

// DayCount is a number of days: 1 day, 3 days.
func DayCount(days int) string {
	if days == 1 {
		return "1\u00a0day"
	}
	return strconv.Itoa(days) + "\u00a0days"
}

// countWords is a number of things: 1 job, 3 jobs.
func countWords(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// daysWords is a number of days, rounded.
func daysWords(days float64) string { return DayCount(int(math.Round(days))) }

// stageTime words one figure of a stage: outside work is counted in days, a wait passes by the clock.
func stageTime(kind garage.StageKind, figure int) string {
	switch kind {
	case garage.OutsideWork:
		return DayCount(figure)
	case garage.Wait:
		return TimeWords(figure)
	}
	return WorkWords(figure)
}

var (
	plainFigure = regexp.MustCompile(`^\d{1,6}$`)
	clockFigure = regexp.MustCompile(`^(\d{1,4}):([0-5]\d)$`)
	unitFigures = regexp.MustCompile(`^(?:(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:d|day|days))?\s*(?:(\d{1,4}(?:[.,]\d{1,2})?)\s*h)?\s*(?:(\d{1,4})\s*(?:m|min)?)?$`)
)

// parseDuration reads minutes as typed: 90, 1:30, 1h30, 1 h 30 min, 1.5 h, 2 d, 1 d 6 h. A figure alone is minutes.
func parseDuration(typed string) (minutes int, ok bool) {
	s := strings.ToLower(strings.TrimSpace(strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(typed)))
	if plainFigure.MatchString(s) {
		minutes, err := strconv.Atoi(s)
		return minutes, err == nil
	}
	if m := clockFigure.FindStringSubmatch(s); m != nil {
		return atoi(m[1])*hour + atoi(m[2]), true
	}
	m := unitFigures.FindStringSubmatch(s)
	if m == nil || m[1] == "" && m[2] == "" && m[3] == "" {
		return 0, false
	}
	return int(math.Round(decimal(m[1])*day+decimal(m[2])*hour)) + atoi(m[3]), true
}

var dayFigure = regexp.MustCompile(`^(\d{1,4})\s*(?:d|day|days)?$`)

// parseDays reads whole days as typed: 3, 3 d, 3 days.
func parseDays(typed string) (days int, ok bool) {
	m := dayFigure.FindStringSubmatch(strings.ToLower(strings.TrimSpace(strings.ReplaceAll(typed, "\u00a0", " "))))
	if m == nil {
		return 0, false
	}
	return atoi(m[1]), true
}

// atoi and decimal read what a pattern has let through; nothing is zero.
func atoi(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

func decimal(figure string) float64 {
	f, _ := strconv.ParseFloat(strings.ReplaceAll(figure, ",", "."), 64)
	return f
}

// DayWords is a date as read: Sat 6 Mar 2027.
func DayWords(d garage.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.In(time.UTC).Format("Mon 2 Jan 2006")
}

// shortDay is a date near today, without its year when it is this one: Sat 6 Mar.
func shortDay(d, today garage.Date) string {
	if d.Year != today.Year {
		return DayWords(d)
	}
	return d.In(time.UTC).Format("Mon 2 Jan")
}

// InstantWords is a time of day as read, in its own zone: Sat 6 Mar 2027 09:00.
func InstantWords(t time.Time) string { return t.Format("Mon 2 Jan 2006 15:04") }

// daysBetween counts from one day to another; negative when the other is earlier.
func daysBetween(from, to garage.Date) int {
	return int(to.In(time.UTC).Sub(from.In(time.UTC)).Hours() / 24)
}

// DueWords says when something is due, seen from today: due today, due Sat 6 Mar, in 3 days, 2 days late.
func DueWords(due, today garage.Date) string {
	switch n := daysBetween(today, due); {
	case n == 0:
		return "due today"
	case n == 1:
		return "due tomorrow"
	case n < 0:
		return DayCount(-n) + " late, was due " + shortDay(due, today)
	case n <= 31:
		return "due " + shortDay(due, today) + ", in " + DayCount(n)
	}
	return "due " + shortDay(due, today)
}

// dueEntry is DueWords where "Due" stands before it already: today, Sat 6 Mar, in 3 days.
func dueEntry(due, today garage.Date) string { return strings.TrimPrefix(DueWords(due, today), "due ") }

// LatenessWords says what being late costs, empty when nothing: costs 5.00 EUR a day and 120.00 EUR once.
func LatenessWords(perDay, once int64, currency string) string {
	var parts []string
	if perDay > 0 {
		parts = append(parts, garage.MoneyText(perDay, currency)+" a day")
	}
	if once > 0 {
		parts = append(parts, garage.MoneyText(once, currency)+" once")
	}
	if len(parts) == 0 {
		return ""
	}
	return "late costs " + strings.Join(parts, " and ")
}

// weightWords are the words for weights 1 to 9: how much an hour's wait for the end of a job matters.
var weightWords = []string{
	"whenever there is time", "no hurry", "as usual", "rather soon", "soon", "very soon", "pressing", "urgent", "before all else",
}

// WeightWords is a weight from 1 to 9 in words.
func WeightWords(weight int) string {
	if weight < 1 || weight > len(weightWords) {
		return ""
	}
	return weightWords[weight-1]
}

// immobileWords say what a stage does to the car.
var immobileWords = map[string]string{
	"":       "The car rolls as before",
	"from":   "From its start the car cannot roll",
	"until":  "The car cannot roll until its end",
	"within": "The car cannot roll only during it",
}

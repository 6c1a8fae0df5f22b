package page

import (
	"strings"
	"testing"

	"axlestand/internal/garage"
)

func TestParseDuration(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int{
		"90": 90, " 90 ": 90, "90 min": 90, "90m": 90, "1:30": 90, "0:45": 45, "1h30": 90, "1 h 30": 90, "1h": 60, "1 h 30 min": 90,
		"1.5 h": 90, "1,5h": 90, "2 d": 2880, "2d": 2880, "2 days": 2880, "1 day 6 h": 1800, "1 d 30 min": 1470, "0": 0,
		"1\u00a0h\u00a005": 65,
	} {
		if got, ok := parseDuration(typed); !ok || got != want {
			t.Errorf("%q: got %d %v, want %d", typed, got, ok, want)
		}
	}
	for _, typed := range []string{"", "  ", "soon", "-5", "1:75", "1h30h", "h", "d", "1 2", "99999999999", "1:", "2 weeks"} {
		if got, ok := parseDuration(typed); ok {
			t.Errorf("%q was read as %d", typed, got)
		}
	}
}

func TestParseDays(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int{"3": 3, "3 d": 3, "1 day": 1, "10days": 10} {
		if got, ok := parseDays(typed); !ok || got != want {
			t.Errorf("%q: got %d %v, want %d", typed, got, ok, want)
		}
	}
	for _, typed := range []string{"", "1:30", "2 h", "1.5", "-1"} {
		if got, ok := parseDays(typed); ok {
			t.Errorf("%q was read as %d", typed, got)
		}
	}
}

// What a page shows of a duration can be typed again.
func TestDurationWords_readBack(t *testing.T) {
	t.Parallel()
	for _, minutes := range []int{0, 1, 45, 60, 61, 90, 600, 1439, 1440, 1500, 2880, 2881, 4325} {
		for _, words := range []string{WorkWords(minutes), TimeWords(minutes)} {
			if got, ok := parseDuration(words); !ok || got != minutes {
				t.Errorf("%q is read as %d %v, want %d", words, got, ok, minutes)
			}
		}
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	today := garage.NewDate(2027, 3, 5)
	for _, tt := range []struct{ got, want string }{
		{WorkWords(45), "45 min"},
		{WorkWords(65), "1 h 05"},
		{WorkWords(1500), "25 h"},
		{TimeWords(1440), "1 day"},
		{TimeWords(2970), "2 days 1 h 30"},
		{stageTime(garage.OutsideWork, 1), "1 day"},
		{stageTime(garage.Wait, 1440), "1 day"},
		{stageTime(garage.Bench, 1440), "24 h"},
		{DayWords(garage.NewDate(2027, 3, 6)), "Sat 6 Mar 2027"},
		{DayWords(garage.Date{}), ""},
		{DueWords(today, today), "due today"},
		{DueWords(today.AddDays(1), today), "due tomorrow"},
		{DueWords(today.AddDays(8), today), "due Sat 13 Mar, in 8 days"},
		{DueWords(today.AddDays(-2), today), "2 days late, was due Wed 3 Mar"},
		{DueWords(today.AddDays(60), today), "due Tue 4 May"},
		{DueWords(garage.NewDate(2028, 1, 9), today), "due Sun 9 Jan 2028"},
		{LatenessWords(500, 12000, "EUR"), "late costs 5.00 EUR a day and 120.00 EUR once"},
		{LatenessWords(0, 0, "EUR"), ""},
		{WeightWords(1), "whenever there is time"},
		{WeightWords(9), "before all else"},
		{WeightWords(0) + WeightWords(10), ""},
		{countWords(1, "job", "jobs") + countWords(2, "job", "jobs"), "1 job2 jobs"},
	} {
		if got := strings.ReplaceAll(tt.got, "\u00a0", " "); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

func TestDaysWords(t *testing.T) {
	t.Parallel()
	for days, want := range map[float64]string{0.5: "1\u00a0day", 1.4: "1\u00a0day", 1.5: "2\u00a0days", 81.2: "81\u00a0days"} {
		if got := daysWords(days); got != want {
			t.Errorf("%v is %q, want %q", days, got, want)
		}
	}
}

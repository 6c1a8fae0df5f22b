package interval

import (
	"testing"
	"time"
)

func day(s string) Date {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return NewDate(t.Date())
}

// Computed: the day is kept, or the month's last one taken. The end of January plus a month is the end of February, not 3 March.
func TestAddMonths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from string
		n    int
		want string
	}{
		{"2026-01-31", 1, "2026-02-28"},
		{"2028-01-31", 1, "2028-02-29"},
		{"2024-02-29", 12, "2025-02-28"},
		{"2024-02-29", 48, "2028-02-29"},
		{"2026-08-31", 6, "2027-02-28"},
		{"2026-03-31", -1, "2026-02-28"},
		{"2026-12-15", 1, "2027-01-15"},
		{"2026-01-15", -1, "2025-12-15"},
		{"2026-05-05", 0, "2026-05-05"},
	} {
		if got := day(c.from).AddMonths(c.n); got != day(c.want) {
			t.Errorf("%s + %d months: %s, want %s", c.from, c.n, got, c.want)
		}
	}
}

// Counted from one day, months never drift: the day comes back wherever the month has it, and counting them gives what was added.
func TestAddMonths_never_drifts(t *testing.T) {
	t.Parallel()
	for d := day("2023-12-25"); d.Before(day("2028-03-05")); d = d.AddDays(1) {
		for n := -30; n <= 130; n++ {
			got := d.AddMonths(n)
			last := daysIn(got.Year, got.Month)
			if got.Day != min(d.Day, last) || (got.Year*12+int(got.Month))-(d.Year*12+int(d.Month)) != n {
				t.Fatalf("%s + %d months: %s", d, n, got)
			}
			if m := d.Months(got); m != n {
				t.Fatalf("%s to %s: %d months, want %d", d, got, m, n)
			}
			if m := d.Months(got.AddDays(-1)); m != n-1 {
				t.Fatalf("%s to the day before %s: %d months, want %d", d, got, m, n-1)
			}
		}
	}
}

func TestDays(t *testing.T) {
	t.Parallel()
	if n := day("2026-01-10").Days(day("2026-04-12")); n != 92 {
		t.Errorf("10 January to 12 April: %d days, want 92", n)
	}
	for n := -800; n <= 800; n++ {
		d := day("2026-02-28")
		if got := d.Days(d.AddDays(n)); got != n {
			t.Fatalf("%d days count as %d", n, got)
		}
	}
	if !day("2026-03-07").Weekend() || !day("2026-03-08").Weekend() || day("2026-03-06").Weekend() || day("2026-03-09").Weekend() {
		t.Error("7 and 8 March 2026 are a weekend, the days about it are not")
	}
	if (Date{}).String() != "" || day("2026-03-07").String() != "2026-03-07" || !(Date{}).IsZero() {
		t.Error("a day as text")
	}
}

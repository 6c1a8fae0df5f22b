package deposit

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// field is the name of the value that an error is about.
func field(err error) string {
	if e, ok := errors.AsType[*input.Error](err); ok && strings.HasSuffix(e.Sentence, ".") && !strings.Contains(e.Sentence, "%!") {
		return e.Field
	}
	return ""
}

func second[T any](_ T, err error) error { return err }

func day(s string) interval.Date {
	if s == "" {
		return interval.Date{}
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return interval.NewDate(t.Date())
}

// The first three computed, basis + n with the last day included; the windows are those met in practice (common practice, no source).
func TestLastDay(t *testing.T) {
	t.Parallel()
	dates := Dates{Purchased: day("2026-03-02"), Shipped: day("2026-08-31"), Delivered: day("2026-03-06"), Invoiced: day("2026-03-03")}
	for _, c := range []struct {
		window Window
		basis  Basis
		want   string
	}{
		{Window{30, CalendarDays}, FromDelivery, "2026-04-05"},
		{Window{30, CalendarDays}, FromPurchase, "2026-04-01"},
		{Window{30, BusinessDays}, FromPurchase, "2026-04-13"},
		{Window{14, CalendarDays}, FromInvoice, "2026-03-17"},
		{Window{40, CalendarDays}, FromPurchase, "2026-04-11"},
		{Window{45, CalendarDays}, FromDelivery, "2026-04-20"},
		{Window{6, WholeMonths}, FromShipping, "2027-02-28"},
		{Window{12, WholeMonths}, FromPurchase, "2027-03-02"},
		{Window{0, CalendarDays}, FromPurchase, "2026-03-02"},
		{Window{0, BusinessDays}, FromPurchase, "2026-03-02"},
		{Window{1, BusinessDays}, FromDelivery, "2026-03-09"},
	} {
		got, err := Terms{Window: c.window, Basis: c.basis}.LastDay(dates, nil)
		if err != nil || got != day(c.want) {
			t.Errorf("%v from %s: %s, %v, want %s", c.window, c.basis, got, err, c.want)
		}
	}
}

func TestWindow_passes_over_holidays(t *testing.T) {
	t.Parallel()
	holidays := []interval.Date{day("2026-04-03"), day("2026-04-06"), day("2026-04-04")} // the third is a Saturday
	if got, err := (Window{30, BusinessDays}).From(day("2026-03-02"), holidays); err != nil || got != day("2026-04-15") {
		t.Errorf("two holidays on weekdays: %s, %v", got, err)
	}
	if got, err := (Window{30, CalendarDays}).From(day("2026-03-06"), holidays); err != nil || got != day("2026-04-05") {
		t.Errorf("calendar days know no holidays: %s, %v", got, err)
	}
}

// The last day of a window of business days is one, and between it and the first day lie as many: counted day by day.
func TestWindow_of_business_days(t *testing.T) {
	t.Parallel()
	holidays := []interval.Date{day("2026-12-25"), day("2027-01-01"), day("2027-01-06")}
	for from := day("2026-12-01"); from.Before(day("2027-01-15")); from = from.AddDays(1) {
		for n := 1; n < 40; n++ {
			got, err := (Window{n, BusinessDays}).From(from, holidays)
			counted := 0
			for d := from.AddDays(1); !got.Before(d); d = d.AddDays(1) {
				if !d.Weekend() && !slices.Contains(holidays, d) {
					counted++
				}
			}
			if err != nil || counted != n || got.Weekend() || slices.Contains(holidays, got) {
				t.Fatalf("%d from %s: %s holds %d, %v", n, from, got, counted, err)
			}
		}
	}
}

func TestLastDay_refuses(t *testing.T) {
	t.Parallel()
	w := Window{30, CalendarDays}
	for want, b := range map[string]Basis{"purchased": FromPurchase, "shipped": FromShipping, "delivered": FromDelivery, "invoiced": FromInvoice, "basis": "order"} {
		if _, err := (Terms{Window: w, Basis: b}).LastDay(Dates{}, nil); field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	for _, w := range []Window{{-1, CalendarDays}, {3654, CalendarDays}, {2611, BusinessDays}, {121, WholeMonths}, {5, ""}, {5, "weeks"}} {
		if _, err := w.From(day("2026-03-02"), nil); field(err) != "window" {
			t.Errorf("%+v: %v", w, err)
		}
	}
	if _, err := w.From(interval.Date{}, nil); field(err) != "from" {
		t.Errorf("no day: %v", err)
	}
}

// At 10, 3 and 0 days, and when the job that frees the old unit ends after the last day.
func TestAlarmOf(t *testing.T) {
	t.Parallel()
	last := day("2026-04-05")
	for left, want := range map[int]Level{11: InTime, 10: TenDays, 4: TenDays, 3: ThreeDays, 1: ThreeDays, 0: Today, -1: TooLate} {
		if got := AlarmOf(last, last.AddDays(-left), interval.Date{}); got.Level != want || got.DaysLeft != left || got.FreedTooLate {
			t.Errorf("%d days left: %+v, want %q", left, got, want)
		}
	}
	for freed, late := range map[string]bool{"2026-04-05": false, "2026-04-06": true, "": false} {
		if got := AlarmOf(last, day("2026-03-01"), day(freed)); got.FreedTooLate != late || got.Level != InTime {
			t.Errorf("freed on %s: %+v", freed, got)
		}
	}
}

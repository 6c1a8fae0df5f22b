package garage

import (
	"testing"
	"time"
	_ "time/tzdata"
)

func TestDate_In(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		zone string
		day  Date
		want string
	}{
		{"Europe/Vienna", NewDate(2027, time.March, 28), "2027-03-28T00:00:00+01:00"},
		{"Africa/Cairo", NewDate(2024, time.April, 26), "2024-04-26T01:00:00+03:00"},    // clocks go forward at midnight
		{"Pacific/Apia", NewDate(2011, time.December, 30), "2011-12-31T00:00:00+14:00"}, // there was no such day
		{"UTC", NewDate(2028, time.February, 30), "2028-03-01T00:00:00Z"},
	} {
		t.Run(tt.zone, func(t *testing.T) {
			t.Parallel()
			zone, err := time.LoadLocation(tt.zone)
			if err != nil {
				t.Fatal(err)
			}
			if got := tt.day.In(zone).Format(time.RFC3339); got != tt.want {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
}

// A day that could not be read is compared all the same, with the rest of its form.
func TestDate_zero(t *testing.T) {
	t.Parallel()
	first := NewDate(1, time.January, 1)
	if (Date{}).In(time.UTC).After(first.In(time.UTC)) || !(Date{}).Before(first) || first.Before(Date{}) {
		t.Error("no day at all is not before the first")
	}
	for _, pair := range [][2]Date{
		{NewDate(2026, time.December, 31), NewDate(2027, time.January, 1)},
		{NewDate(2027, time.January, 31), NewDate(2027, time.February, 1)},
		{NewDate(2027, time.March, 9), NewDate(2027, time.March, 10)},
	} {
		if !pair[0].Before(pair[1]) || pair[1].Before(pair[0]) {
			t.Errorf("%s and %s", pair[0], pair[1])
		}
	}
}

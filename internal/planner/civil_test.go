package planner

import (
	"testing"
	"time"
)

// firstMinute finds the first minute that bears a date by walking up to it. It is the outside check of midnight: the dates of
// all minutes come from the IANA time zone database as Go's time package reads it.
func firstMinute(t *testing.T, date string, zone *time.Location) time.Time {
	t.Helper()
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		t.Fatal(err)
	}
	for at := day.Add(-30 * time.Hour); at.Before(day.Add(30 * time.Hour)); at = at.Add(time.Minute) {
		if at.In(zone).Format(time.DateOnly) == date {
			return at
		}
	}
	t.Fatalf("no minute bears %s in %s", date, zone)
	return time.Time{}
}

func TestMidnight_IsTheFirstMinuteOfTheDay(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, zone, date string }{
		{"an ordinary day", "Europe/Vienna", "2027-06-15"},
		{"clocks go forward at two", "Europe/Vienna", "2027-03-28"},
		{"clocks go back at three", "Europe/Vienna", "2027-10-31"},
		{"midnight is skipped", "America/Santiago", "2027-09-05"},
		{"midnight is skipped in the east", "Asia/Beirut", "2027-03-28"},
		{"midnight comes twice", "America/Havana", "2027-11-07"},
		{"the day before midnight comes twice", "America/Asuncion", "2023-03-26"},
		{"half an hour", "Australia/Lord_Howe", "2027-10-03"},
		{"a day that the zone left out is no day at all, the next one is", "Pacific/Apia", "2011-12-31"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			zone, err := time.LoadLocation(test.zone)
			if err != nil {
				t.Fatal(err)
			}
			day, _ := time.Parse(time.DateOnly, test.date)
			got, want := midnight(day.Year(), day.Month(), day.Day(), zone), firstMinute(t, test.date, zone)
			if !got.Equal(want) {
				t.Errorf("got %s, want %s", got, want.In(zone))
			}
		})
	}
}

func TestDayStartAndEnd(t *testing.T) {
	t.Parallel()
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	day := On(2027, time.March, 28) // 23 hours long
	start, end := dayStart(day, vienna), dayEnd(day, vienna)
	if got := end.Sub(start); got != 23*time.Hour {
		t.Errorf("the day is %s long, want 23h", got)
	}
	instant := At(start.Add(90 * time.Minute))
	if !dayStart(instant, vienna).Equal(instant.Time) || !dayEnd(instant, vienna).Equal(instant.Time) {
		t.Error("an instant is not itself")
	}
}

func TestMinute_RoundsEitherWay(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		at       time.Time
		down, up int
	}{
		{time.Unix(120, 0), 2, 2},
		{time.Unix(121, 0), 2, 3},
		{time.Unix(120, 1), 2, 3},
		{time.Unix(-1, 0), -1, 0},
	} {
		if minute(test.at) != test.down || minuteUp(test.at) != test.up {
			t.Errorf("%s: %d and %d, want %d and %d", test.at.UTC(), minute(test.at), minuteUp(test.at), test.down, test.up)
		}
	}
}

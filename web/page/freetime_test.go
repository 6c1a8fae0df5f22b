package page

import (
	"net/url"
	"testing"
	"time"
)

func TestReadFreeTime_takesAStretchOrTheNextClockTime(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		query, until, words, wrong string
	}{
		{"", "2027-03-05T20:00", "2\u00a0h", ""},
		{"for=240", "2027-03-05T22:00", "half a day", ""},
		{"for=17", "2027-03-05T20:00", "2\u00a0h", ""},
		{"until=21:30", "2027-03-05T21:30", "the time until 21:30", ""},
		{"until=01:00", "2027-03-06T01:00", "the time until 01:00", ""},
		{"until=18:00", "2027-03-06T18:00", "the time until 18:00", ""},
		{"until=soon", "2027-03-05T20:00", "2\u00a0h", "A time of day, such as 17:30."},
		{"until=25:00", "2027-03-05T20:00", "2\u00a0h", "A time of day, such as 17:30."},
	} {
		q, err := url.ParseQuery(c.query)
		if err != nil {
			t.Fatal(err)
		}
		free := ReadFreeTime(q, now)
		if got := free.Until.Format("2006-01-02T15:04"); got != c.until || free.Words() != c.words || free.Error != c.wrong {
			t.Errorf("%q: until %s, %q, %q; want %s, %q, %q", c.query, got, free.Words(), free.Error, c.until, c.words, c.wrong)
		}
	}
}

package planner

import (
	"testing"
	"time"
)

// viennaModel is a model of an empty garage on Friday 5 March 2027, 18:00 in Vienna.
func viennaModel(t *testing.T, confidence float64) *model {
	t.Helper()
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	return newModel(Problem{Now: time.Date(2027, 3, 5, 18, 0, 0, 0, vienna), Zone: "Europe/Vienna", Confidence: confidence})
}

func march(d int) Moment { return On(2027, time.March, d) }

func TestArrival(t *testing.T) {
	t.Parallel()
	clock := func(d, h, m int) Moment { return At(time.Date(2027, 3, d, h, m, 0, 0, time.UTC)) }
	for _, test := range []struct {
		name       string
		confidence float64
		at         Times
		want       string // local
	}{
		// 15 + 0.75*7 = 20.25, so the 21st, usable from the 22nd.
		{"dates, four in five", 0.8, Times{march(12), march(15), march(22)}, "2027-03-22T00:00"},
		{"not said is four in five", 0, Times{march(12), march(15), march(22)}, "2027-03-22T00:00"},
		{"dates, even odds", 0.5, Times{march(12), march(15), march(22)}, "2027-03-16T00:00"},
		{"nothing is beyond the high value", 0.99, Times{march(12), march(15), march(22)}, "2027-03-23T00:00"},
		{"never before now", 0.8, Times{march(1), march(2), march(3)}, "2027-03-05T18:00"},
		{"today is there tonight", 0.8, *Sure(march(5)), "2027-03-06T00:00"},
		// 10:00 + 0.75*61 min = 10:45:45, so 10:46; Vienna is an hour ahead.
		{"times, to the minute above", 0.8, Times{clock(8, 9, 0), clock(8, 10, 0), clock(8, 11, 1)}, "2027-03-08T11:46"},
		// From 29 March on a day ends at 22:00 UTC.
		{"over the change of the clocks", 0.8, *Sure(march(28)), "2027-03-29T00:00"},
		// The day counts as its end: 9 March 24:00 + 0.75*12 h.
		{"a date beside a time", 0.8, Times{march(8), march(9), At(time.Date(2027, 3, 10, 11, 0, 0, 0, time.UTC))}, "2027-03-10T09:00"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			m := viennaModel(t, test.confidence)
			if got := m.time(m.arrival(test.at)).Format("2006-01-02T15:04"); got != test.want {
				t.Errorf("got %s, want %s", got, test.want)
			}
		})
	}
}

func TestOrder_ArrivesAndOrderBy(t *testing.T) {
	t.Parallel()
	m := viennaModel(t, 0.8)
	lead := Range{3, 5, 12} // 5 + 0.75*7 = 10.25, so 11 days: there on the 16th, usable from the 17th
	if got := m.time(m.orderArrives(lead)).Format("2006-01-02T15:04"); got != "2027-03-17T00:00" {
		t.Errorf("ordered now it is there %s", got)
	}
	for start, want := range map[string]string{
		"2027-03-17T00:00": "2027-03-05", // today, at the last
		"2027-03-17T09:00": "2027-03-05",
		"2027-03-16T23:59": "2027-03-04",
		"2027-03-30T09:00": "2027-03-18",
	} {
		at, err := time.ParseInLocation("2006-01-02T15:04", start, m.zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.orderBy(lead, at).String(); got != want {
			t.Errorf("to start %s order by %s, want %s", start, got, want)
		}
	}
}

// Outside work ends with the n-th whole working day after it began.
func TestWorkingDays(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, from string
		days       int
		working    []string
		want       string
	}{
		{"friday afternoon, two days", "2027-03-05T14:00", 2, nil, "2027-03-10T00:00"},
		{"a working day's first minute counts", "2027-03-08T00:00", 1, nil, "2027-03-09T00:00"},
		{"a minute later it does not", "2027-03-08T00:01", 1, nil, "2027-03-10T00:00"},
		{"no days", "2027-03-06T12:00", 0, nil, "2027-03-06T12:00"},
		{"five days are a week", "2027-03-06T12:00", 5, nil, "2027-03-13T00:00"},
		{"saturdays only", "2027-03-06T12:00", 3, []string{"sat"}, "2027-03-28T00:00"},
		{"all days, over the change of the clocks", "2027-03-27T12:00", 2, []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}, "2027-03-30T00:00"},
		{"a hundred days", "2027-03-05T14:00", 100, nil, "2027-07-24T00:00"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			m := viennaModel(t, 0)
			from, err := time.ParseInLocation("2006-01-02T15:04", test.from, m.zone)
			if err != nil {
				t.Fatal(err)
			}
			got := m.time(m.workingDays(test.days, test.working)(minute(from))).Format("2006-01-02T15:04")
			if got != test.want {
				t.Errorf("got %s, want %s", got, test.want)
			}
		})
	}
}

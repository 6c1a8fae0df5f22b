package garage

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var vienna = func() *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		panic(err)
	}
	return zone
}()

func TestSupposition_Text(t *testing.T) {
	t.Parallel()
	at := func(day, hour int) time.Time { return time.Date(2027, 3, day, hour, 0, 0, 0, vienna) }
	for text, x := range map[string]Supposition{
		"car-later_3_7":                             {Kind: CarLater, ID: 3, Days: 7},
		"car-later_3_-7":                            {Kind: CarLater, ID: 3, Days: -7},
		"car-here_3":                                {Kind: CarHere, ID: 3},
		"part-later_12_14":                          {Kind: PartLater, ID: 12, Days: 14},
		"part-here_12":                              {Kind: PartHere, ID: 12},
		"in-stock_5_2":                              {Kind: InStock, ID: 5, Quantity: 2},
		"helpers_2027-03-13T0900_1":                 {Kind: WithHelp, From: at(13, 9), Helpers: 1},
		"session_2027-03-14T1000_1300_0":            {Kind: MoreTime, From: at(14, 10), To: at(14, 13)},
		"session_2027-03-28T2200_0000_1":            {Kind: MoreTime, From: at(28, 22), To: at(29, 0), Helpers: 1}, // a day of 23 hours
		"without_6":                                 {Kind: WithoutJob, ID: 6},
		"fixed_9223372036854775807_2027-03-13T0900": {Kind: FixedJob, ID: 1<<63 - 1, From: at(13, 9)},
	} {
		if got := x.Text(vienna); got != text {
			t.Errorf("written %q, want %q", got, text)
		}
		got, ok := ParseSupposition(text, vienna)
		if !ok || !cmp.Equal(got, x) {
			t.Errorf("%s is read as %+v %v", text, got, ok)
		}
	}
	for _, text := range []string{
		"", "_", "donor_3", "car-later_3", "car-later_3_x", "car-later_0_7", "car-later_3_7_7", "car-later_3_99999", "in-stock_5_0",
		"session_2027-03-14T1000_0900_0", "session_2027-03-14_1000_1300_0", "helpers_2027-03-13T0900_10", "fixed_6", "fixed_6_soon",
		"without_99999999999999999999", "fixed_6_0001-01-01T0000",
	} {
		if x, ok := ParseSupposition(text, vienna); ok {
			t.Errorf("%q is read as %+v", text, x)
		}
	}
}

func TestSupposition_In(t *testing.T) {
	t.Parallel()
	day := func(d int) Date { return NewDate(2027, 3, d) }
	low, likely, high := day(16), day(20), day(26)
	shot := Snapshot{
		Settings:   Settings{Zone: "Europe/Vienna"},
		Patterns:   []SessionPattern{{ID: 1, Weekday: 6, FromMinute: 540, ToMinute: 1020, Helpers: 1}, {ID: 2, Weekday: 6, FromMinute: 1200, ToMinute: 1440}},
		Exceptions: []SessionException{{ID: 1, OnDate: day(20), FromMinute: 600, ToMinute: 720, Note: "short"}, {ID: 2, OnDate: day(27), Off: true}},
		Cars: []Car{
			{ID: 1, Stands: OnLift},
			{ID: 2, Stands: NotHere, ArrivesLow: &low, ArrivesLikely: &likely, ArrivesHigh: &high},
		},
		Jobs:     []Job{{ID: 1, CarID: 1}, {ID: 2, CarID: 1}},
		Stages:   []Stage{{ID: 11, JobID: 1}, {ID: 21, JobID: 2}, {ID: 12, JobID: 1}},
		Parts:    []Part{{ID: 5}},
		Stock:    []Stock{{PartID: 5, BinID: 1, Quantity: 1}},
		Arrivals: []Arrival{{ID: 12, PartID: 5, Quantity: 2, Low: day(10), Likely: day(11), High: day(20)}},
	}
	before := cmp.Diff(nil, shot)
	suppose := func(text string) Snapshot {
		t.Helper()
		x, ok := ParseSupposition(text, vienna)
		if !ok {
			t.Fatalf("%s is not read", text)
		}
		s, err := x.In(shot)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		return s
	}
	want := func(text string, got, want any) {
		t.Helper()
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", text, diff)
		}
	}
	s := suppose("car-later_2_7")
	want("a week later", []Date{*s.Cars[1].ArrivesLow, *s.Cars[1].ArrivesLikely, *s.Cars[1].ArrivesHigh}, []Date{day(23), day(27), NewDate(2027, 4, 2)})
	want("here", suppose("car-here_2").Cars[1].Stands, Outside)
	want("part later", suppose("part-later_12_-3").Arrivals, []Arrival{{ID: 12, PartID: 5, Quantity: 2, Low: day(7), Likely: day(8), High: day(17)}})
	s = suppose("part-here_12")
	want("part here", s.Stock, []Stock{{PartID: 5, BinID: 1, Quantity: 1}, {PartID: 5, Quantity: 2}})
	want("part here", len(s.Arrivals), 0)
	want("in stock", suppose("in-stock_5_4").Stock[1], Stock{PartID: 5, Quantity: 4})
	want("left out", suppose("without_1").Stages, []Stage{{ID: 21, JobID: 2}})
	pinned := suppose("fixed_2_2027-03-13T0900").Jobs
	if pinned[0].PinnedAt != nil || !pinned[1].PinnedAt.Equal(time.Date(2027, 3, 13, 9, 0, 0, 0, vienna)) {
		t.Errorf("fixed: %+v", pinned)
	}
	want("helpers", suppose("helpers_2027-03-13T0900_2").Exceptions[2:], []SessionException{
		{OnDate: day(13), FromMinute: 540, ToMinute: 1020, Helpers: 2}, {OnDate: day(13), FromMinute: 1200, ToMinute: 1440},
	})
	want("helpers on a day of its own", suppose("helpers_2027-03-20T1000_3").Exceptions, []SessionException{
		{ID: 2, OnDate: day(27), Off: true}, {OnDate: day(20), FromMinute: 600, ToMinute: 720, Helpers: 3, Note: "short"},
	})
	want("a session on a day off", suppose("session_2027-03-27T2000_0000_1").Exceptions[1:], []SessionException{
		{OnDate: day(27), FromMinute: 1200, ToMinute: 1440, Helpers: 1},
	})
	for _, text := range []string{
		"car-later_1_7", "car-later_9_7", "car-here_1", "part-later_9_1", "part-here_9", "in-stock_9_1", "without_9",
		"fixed_9_2027-03-13T0900", "helpers_2027-03-13T1000_1", "helpers_2027-03-12T0900_1",
	} {
		x, ok := ParseSupposition(text, vienna)
		if _, err := x.In(shot); !ok || !errors.Is(err, ErrNotFound) {
			t.Errorf("%s: %v %v", text, ok, err)
		}
	}
	want("the garage itself", cmp.Diff(nil, shot), before)
}

func TestSupposition_ways_to_meet_a_need(t *testing.T) {
	t.Parallel()
	s := Snapshot{
		Settings:   Settings{Zone: "UTC", Currency: "EUR"},
		Parts:      []Part{{ID: 5, Name: "Arm", LeadLow: new(2), LeadLikely: new(3), LeadHigh: new(4)}, {ID: 6, Name: "Arm, used"}},
		Needs:      []Need{{ID: 9, PartID: 5, PinnedAt: new(time.Now())}},
		DonorParts: []DonorPart{{ID: 7, CarID: 3, PartID: 6, RemovalMinutes: new(40)}},
	}
	suppose := func(text string) (Snapshot, error) {
		x, ok := ParseSupposition(text, time.UTC)
		if !ok || x.Text(time.UTC) != text {
			t.Fatalf("%s is read as %+v, written %s", text, x, x.Text(time.UTC))
		}
		return x.In(s)
	}
	if got, err := suppose("other-part_9_6"); err != nil || got.Needs[0].PartID != 6 || got.Needs[0].PinnedAt != nil || s.Needs[0].PartID != 5 {
		t.Errorf("another part: %+v, %v", got.Needs, err)
	}
	got, err := suppose("off-donor_7")
	if err != nil || len(got.Jobs) != 1 || len(got.Stages) != 1 || got.DonorParts[0].HarvestJobID == nil || *got.DonorParts[0].HarvestJobID != got.Jobs[0].ID {
		t.Fatalf("off the donor: %+v, %v", got, err)
	}
	if st := got.Stages[0]; st.Low != 30 || st.Likely != 40 || st.High != 80 || got.Jobs[0].Title != "Take off: Arm, used" || s.DonorParts[0].HarvestJobID != nil {
		t.Errorf("%+v %+v", st, got.Jobs[0])
	}
	if got, err := suppose("ordered_5_2_2027-03-05T1800"); err != nil || got.Arrivals[0].Quantity != 2 || got.Arrivals[0].High != NewDate(2027, 3, 9) {
		t.Errorf("ordered: %+v, %v", got.Arrivals, err)
	}
	for _, text := range []string{"other-part_9_66", "other-part_8_6", "off-donor_8", "ordered_6_1_2027-03-05T1800"} {
		if _, err := suppose(text); err == nil {
			t.Errorf("%s is taken", text)
		}
	}
	for _, text := range []string{"other-part_9", "off-donor_x", "ordered_5_0_2027-03-05T1800", "ordered_5_1"} {
		if _, ok := ParseSupposition(text, time.UTC); ok {
			t.Errorf("%s is read", text)
		}
	}
}

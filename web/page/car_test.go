package page

import (
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

// wrong lists the fields that a form is wrong at, as one text.
func wrong(e garage.FieldErrors) string {
	var names []string
	for name := range e {
		names = append(names, name)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

func TestCarForm_and_back(t *testing.T) {
	t.Parallel()
	for _, car := range []garage.Car{
		garagetest.Car(func(c *garage.Car) { c.ID, c.Version, c.Immobile, c.Notes = 7, 3, true, "two\nlines" }),
		garagetest.Donor(func(c *garage.Car) { c.ID = 8 }),
	} {
		form := NewCarForm(car)
		if got := form.Car(); len(form.Errors) > 0 || cmp.Diff(car, got) != "" {
			t.Errorf("%v; (-want +got):\n%s", form.Errors, cmp.Diff(car, got))
		}
	}
}

func TestCarForm_reads_what_was_typed(t *testing.T) {
	t.Parallel()
	good := url.Values{"name": {"Tern"}, "role": {"daily"}, "stands": {"inside"}}
	tests := []struct {
		name   string
		change url.Values
		want   string
	}{
		{"as it is", nil, ""},
		{"nothing at all", url.Values{"name": {""}, "role": {""}, "stands": {""}}, "name role stands"},
		{"a year in words", url.Values{"year": {"eighty-eight"}}, "year"},
		{"a date that is none", url.Values{"arrives_low": {"2027-02-30"}}, "arrives"},
		{"a VIN with blanks", url.Values{"vin": {" 0dem 44-a "}}, ""},
	}
	for _, tt := range tests {
		values := url.Values{}
		for k, v := range good {
			values[k] = v
		}
		for k, v := range tt.change {
			values[k] = v
		}
		form := ReadCarForm(values)
		car := form.Car()
		if got := wrong(form.Errors); got != tt.want {
			t.Errorf("%s: wrong at %q, want %q", tt.name, got, tt.want)
		}
		if tt.change.Has("vin") && (car.VIN != "0DEM44A" || form.VIN != " 0dem 44-a ") {
			t.Errorf("VIN read as %q, kept as %q", car.VIN, form.VIN)
		}
	}
}

func TestMoves(t *testing.T) {
	t.Parallel()
	tests := []struct {
		stands   garage.Stands
		immobile bool
		want     string
		stuck    bool
	}{
		{garage.Inside, false, "lift outside", false},
		{garage.OnLift, false, "inside outside", false},
		{garage.OnLift, true, "", true},
		{garage.Outside, true, "inside", true},
		{garage.NotHere, false, "outside inside", false},
		{garage.NotHere, true, "outside inside", false},
	}
	for _, tt := range tests {
		ways, stuck := moves(garage.Car{Stands: tt.stands, Immobile: tt.immobile})
		var got []string
		for _, m := range ways {
			got = append(got, m.To)
		}
		if strings.Join(got, " ") != tt.want || (stuck != "") != tt.stuck {
			t.Errorf("%s, immobile %v: got %v, %q; want %s", tt.stands, tt.immobile, got, stuck, tt.want)
		}
	}
}

func TestRoadNeedForm(t *testing.T) {
	t.Parallel()
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		form RoadNeedForm
		want string // wrong fields, or the need in words
	}{
		{"every week", RoadNeedForm{How: "weekly", Weekdays: []string{"1", "5"}, From: "07:00", To: "18:00"}, "Mon, Fri 07:00 to 18:00"},
		{"to the end of the day", RoadNeedForm{How: "weekly", Weekdays: []string{"7"}, From: "20:00", To: "00:00"}, "Sun 20:00 to 24:00"},
		{"leftovers of the other kind", RoadNeedForm{How: "weekly", Weekdays: []string{"7"}, From: "20:00", To: "22:00", StartsAt: "x"}, "Sun 20:00 to 22:00"},
		{"once", RoadNeedForm{How: "once", StartsAt: "2027-03-28T01:30", EndsAt: "2027-03-28T04:00", From: "x"}, "Sun 28 Mar 2027 01:30 to 04:00"},
		{"over night", RoadNeedForm{How: "once", StartsAt: "2027-03-06T20:00", EndsAt: "2027-03-07T02:00"}, "Sat 6 Mar 2027 20:00 to Sun 7 Mar 2027 02:00"},
		{"no day", RoadNeedForm{How: "weekly", From: "07:00", To: "18:00"}, "weekdays"},
		{"the eighth day", RoadNeedForm{How: "weekly", Weekdays: []string{"8"}, From: "07:00", To: "18:00"}, "weekdays"},
		{"backwards", RoadNeedForm{How: "weekly", Weekdays: []string{"1"}, From: "18:00", To: "07:00"}, "to"},
		{"no times", RoadNeedForm{How: "weekly", Weekdays: []string{"1"}}, "from to"},
		{"once without times", RoadNeedForm{How: "once"}, "ends_at starts_at"},
		{"once backwards", RoadNeedForm{How: "once", StartsAt: "2027-03-08T07:00", EndsAt: "2027-03-08T06:00"}, "ends_at"},
		{"neither", RoadNeedForm{}, "how"},
	}
	for _, tt := range tests {
		need := tt.form.RoadNeed(vienna)
		got := wrong(tt.form.Errors)
		if got == "" {
			got = roadNeedText(need, vienna)
			again := NewRoadNeedForm(need, vienna)
			if back := again.RoadNeed(vienna); len(again.Errors) > 0 || roadNeedText(back, vienna) != got {
				t.Errorf("%s: shown and read again it is %q, %v", tt.name, roadNeedText(back, vienna), again.Errors)
			}
		}
		if got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestDaysText(t *testing.T) {
	t.Parallel()
	for want, days := range map[string][]int{
		"Mon to Fri":      {5, 4, 3, 2, 1},
		"Mon, Tue":        {1, 2},
		"Mon, Wed to Fri": {1, 3, 4, 5},
		"Sat, Sun":        {6, 7},
		"Mon to Sun":      {1, 2, 3, 4, 5, 6, 7},
		"":                nil,
	} {
		if got := daysText(days); got != want {
			t.Errorf("%v: got %q, want %q", days, got, want)
		}
	}
}

func TestReadingForm(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		form ReadingForm
		want string
	}{
		{"a figure with blanks", ReadingForm{ReadOn: "2027-03-05", Shown: "123 456"}, ""},
		{"a figure with a point", ReadingForm{ReadOn: "2027-03-05", Shown: "123.4"}, "shown"},
		{"nothing", ReadingForm{}, "read_on shown"},
		{"swapped, nothing known of the old one", ReadingForm{ReadOn: "2027-03-05", Shown: "10", Change: garage.ClusterSwapped}, "old_shown"},
		{"swapped, the new one from zero", ReadingForm{ReadOn: "2027-03-05", Shown: "10", Change: garage.ClusterSwapped, OldShown: "9"}, ""},
		{"not swapped, nonsense in its fields", ReadingForm{ReadOn: "2027-03-05", Shown: "10", OldShown: "x"}, ""},
	}
	for _, tt := range tests {
		tt.form.Entry()
		if got := wrong(tt.form.Errors); got != tt.want {
			t.Errorf("%s: wrong at %q, want %q", tt.name, got, tt.want)
		}
	}
}

package garage_test

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
)

func day(s string) garage.Date {
	d, err := garage.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// readings of one odometer, in the order in which they were entered: "2027-03-01 120000", all in segment 1.
func odometer(unit string, lines ...string) garage.Odometer {
	o := garage.Odometer{Segments: []garage.OdometerSegment{{ID: 1, Number: 1, Unit: unit, Reason: garage.FirstOdometer}}}
	for i, line := range lines {
		on, shown, _ := strings.Cut(line, " ")
		n := 0
		for _, c := range shown {
			n = n*10 + int(c-'0')
		}
		o.Readings = append(o.Readings, garage.OdometerReading{ID: garage.ReadingID(i + 1), SegmentID: 1, ReadOn: day(on), Shown: n})
	}
	return o
}

func wrongFields(err error) []string {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok {
		return nil
	}
	return slices.Sorted(maps.Keys(invalid.Fields))
}

func TestOdometer_Place(t *testing.T) {
	t.Parallel()
	today := day("2027-03-10")
	known := []string{"2027-01-01 120000", "2027-02-01 121000"}
	tests := []struct {
		name  string
		have  garage.Odometer
		entry garage.ReadingEntry
		want  []string // the fields it is refused at
	}{
		{"first reading", garage.Odometer{}, garage.ReadingEntry{ReadOn: today, Shown: 120000, Unit: "km"}, nil},
		{"first reading without a unit", garage.Odometer{}, garage.ReadingEntry{ReadOn: today, Shown: 120000}, []string{"unit"}},
		{"further on", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 122000}, nil},
		{"not driven", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 121000}, nil},
		{"no date", odometer("km", known...), garage.ReadingEntry{Shown: 122000}, []string{"read_on"}},
		{"tomorrow", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-03-11"), Shown: 122000}, []string{"read_on"}},
		{"below zero", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: -1}, []string{"shown"}},
		{"too long", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 10_000_000, Fast: true}, []string{"shown"}},
		{"noted already", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 121000}, []string{"shown"}},
		{"backwards", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 12200}, []string{"change", "shown"}},
		{"backwards on the day of the last", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 9}, []string{"change", "shown"}},
		{"earlier that day", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 120990}, nil},
		{"between", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-01-15"), Shown: 120500}, nil},
		{"between but less than before", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-01-15"), Shown: 119000}, []string{"shown"}},
		{"between but more than later", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-01-15"), Shown: 121001}, []string{"shown"}},
		{"1500 km a day", odometer("km", "2027-03-08 1000"), garage.ReadingEntry{ReadOn: today, Shown: 4000}, nil},
		{"over 1500 km a day", odometer("km", "2027-03-08 1000"), garage.ReadingEntry{ReadOn: today, Shown: 4002}, []string{"fast"}},
		{"over 1500 km a day, confirmed", odometer("km", "2027-03-08 1000"), garage.ReadingEntry{ReadOn: today, Shown: 4002, Fast: true}, nil},
		{"as many miles are more", odometer("mi", "2027-03-08 1000"), garage.ReadingEntry{ReadOn: today, Shown: 4000}, []string{"fast"}},
		{"fast to the next reading", odometer("km", "2027-01-01 0", "2027-01-03 9000"), garage.ReadingEntry{ReadOn: day("2027-01-02"), Shown: 100}, []string{"fast"}},
		{"rolled over", odometer("km", "2027-03-08 99990"), garage.ReadingEntry{ReadOn: today, Shown: 20, Change: garage.RolledOver}, nil},
		{"rolled over before any reading", garage.Odometer{}, garage.ReadingEntry{ReadOn: today, Shown: 20, Change: garage.RolledOver}, []string{"change"}},
		{"swapped", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 80100, Change: garage.ClusterSwapped, OldShown: 121500, NewShown: 80000, Unit: "km"}, nil},
		{"swapped on the day of the last", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 0, Change: garage.ClusterSwapped, OldShown: 121000, Unit: "km"}, nil},
		{"swapped, the old one ran backwards", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 80100, Change: garage.ClusterSwapped, OldShown: 120999, NewShown: 80000, Unit: "km"}, []string{"old_shown"}},
		{"swapped, the new one ran backwards", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 79999, Change: garage.ClusterSwapped, OldShown: 121500, NewShown: 80000, Unit: "km"}, []string{"new_shown"}},
		{"swapped with later readings", odometer("km", known...), garage.ReadingEntry{ReadOn: day("2027-01-15"), Shown: 10, Change: garage.ClusterSwapped, OldShown: 120500, Unit: "km"}, []string{"change"}},
		{"some other change", odometer("km", known...), garage.ReadingEntry{ReadOn: today, Shown: 122000, Change: "polished"}, []string{"change"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, err := tt.have.Place(tt.entry, today)
			if got := wrongFields(err); !slices.Equal(got, tt.want) {
				t.Errorf("got %v (%v), want %v", got, err, tt.want)
			}
		})
	}
}

func TestOdometer_Place_new_segment(t *testing.T) {
	t.Parallel()
	today := day("2027-03-10")
	tests := []struct {
		name  string
		have  garage.Odometer
		entry garage.ReadingEntry
		want  garage.OdometerSegment
		total int64
	}{
		{
			"a five-digit counter starts again at 100,000", odometer("km", "2027-03-08 99990"),
			garage.ReadingEntry{ReadOn: today, Shown: 20, Change: garage.RolledOver},
			garage.OdometerSegment{Number: 2, Unit: "km", OffsetM: 100_000_000, Reason: garage.RolledOver},
			100_020_000,
		},
		{
			"a six-digit one at a million", odometer("mi", "2020-03-08 999990"),
			garage.ReadingEntry{ReadOn: today, Shown: 20, Change: garage.RolledOver},
			garage.OdometerSegment{Number: 2, Unit: "mi", OffsetM: 1_609_344_000, Reason: garage.RolledOver},
			1_609_376_187,
		},
		{
			"a used cluster with more on it gives a negative offset", odometer("km", "2027-01-01 50000"),
			garage.ReadingEntry{ReadOn: today, Shown: 180300, Change: garage.ClusterSwapped, OldShown: 50500, NewShown: 180000, Unit: "km"},
			garage.OdometerSegment{Number: 2, Unit: "km", OffsetM: -129_500_000, Reason: garage.ClusterSwapped},
			50_800_000,
		},
		{
			"from miles to kilometres", odometer("mi", "2027-01-01 1000"),
			garage.ReadingEntry{ReadOn: today, Shown: 10, Change: garage.ClusterSwapped, OldShown: 1000, Unit: "km"},
			garage.OdometerSegment{Number: 2, Unit: "km", OffsetM: 1_609_344, Reason: garage.ClusterSwapped},
			1_619_344,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := tt.have.Place(tt.entry, today)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("segment (-want +got):\n%s", diff)
			}
			if total := got.TotalMetres(tt.entry.Shown); total != tt.total {
				t.Errorf("total: got %d m, want %d", total, tt.total)
			}
		})
	}
}

func TestOdometer_reversed_readings_do_not_count(t *testing.T) {
	t.Parallel()
	o := odometer("km", "2027-01-01 120000", "2027-02-01 921000")
	mistake := garage.ReadingID(2)
	o.Readings = append(o.Readings, garage.OdometerReading{ID: 3, SegmentID: 1, ReadOn: day("2027-02-02"), Shown: 921000, Reverses: &mistake})
	last, ok := o.Last()
	if !ok || last.Metres != 120_000_000 {
		t.Errorf("last: got %v, %v; want 120,000 km", last.Metres, ok)
	}
	if _, err := o.Place(garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 121000}, day("2027-03-01")); err != nil {
		t.Errorf("the right figure in its place: %v", err)
	}
	o.Readings = append(o.Readings, garage.OdometerReading{ID: 4, SegmentID: 1, ReadOn: day("2027-02-02"), Shown: 120000, Reverses: new(garage.ReadingID(1))})
	if _, ok := o.Last(); ok {
		t.Error("with all reversed, nothing is known")
	}
	for unit, want := range map[string]garage.SegmentID{"km": 1, "mi": 0} {
		segment, err := o.Place(garage.ReadingEntry{ReadOn: day("2027-02-01"), Shown: 75000, Unit: unit}, day("2027-03-01"))
		if err != nil || segment.ID != want {
			t.Errorf("starting afresh in %s: got segment %d, %v; want %d", unit, segment.ID, err, want)
		}
	}
}

func TestDistanceText(t *testing.T) {
	t.Parallel()
	tests := []struct {
		metres int64
		unit   string
		want   string
	}{
		{0, "km", "0\u00a0km"},
		{999, "km", "1\u00a0km"},
		{123_456_000, "km", "123\u202f456\u00a0km"},
		{123_456_000, "mi", "76\u202f712\u00a0mi"}, // 123456 / 1.609344 = 76711.8
		{-5_000_000, "km", "\u22125000\u00a0km"},
	}
	for _, tt := range tests {
		if got := garage.DistanceText(tt.metres, tt.unit); got != tt.want {
			t.Errorf("%d m: got %q, want %q", tt.metres, got, tt.want)
		}
	}
}

// TestOdometer_Reaches: the slope of the line through 10,000 km on 1 January and 13,100 km on 1 February is 100 km a day (31 days), so
// 14,000 km are reached 9 days on. Worked out by hand.
func TestOdometer_Reaches(t *testing.T) {
	t.Parallel()
	o := garage.Odometer{Segments: []garage.OdometerSegment{{ID: 1, Number: 1, Unit: "km"}}}
	if _, known := o.Reaches(1); known {
		t.Error("known without a reading")
	}
	o.Readings = append(o.Readings, garage.OdometerReading{ID: 1, SegmentID: 1, ReadOn: garage.NewDate(2027, 1, 1), Shown: 10_000})
	if _, known := o.Reaches(14_000_000); known {
		t.Error("known by one reading")
	}
	o.Readings = append(o.Readings, garage.OdometerReading{ID: 2, SegmentID: 1, ReadOn: garage.NewDate(2027, 2, 1), Shown: 13_100})
	if day, known := o.Reaches(14_000_000); !known || day != garage.NewDate(2027, 2, 10) {
		t.Errorf("got %v, %v", day, known)
	}
	if day, known := o.Reaches(12_000_000); !known || day != garage.NewDate(2027, 2, 1) {
		t.Errorf("what it has run already: %v, %v", day, known)
	}
}

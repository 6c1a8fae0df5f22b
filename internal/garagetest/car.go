package garagetest

import (
	"time"

	"axlestand/internal/garage"
)

// Car is a project car that stands inside.
func Car(changes ...func(*garage.Car)) garage.Car {
	return with(garage.Car{
		Version: 1,
		Name:    "Tern estate",
		Role:    garage.Project,
		Make:    "Tern",
		Model:   "1.6 estate",
		Year:    new(1988),
		VIN:     "0DEM44A16HA000017",
		Plate:   "AX 17",
		Engine:  "1.6, four in line",
		Stands:  garage.Inside,
	}, changes)
}

// Donor is a donor car that is not here yet; it arrives about 26 March 2027.
func Donor(changes ...func(*garage.Car)) garage.Car {
	donor := garage.Car{
		Version:       1,
		Name:          "Tern saloon",
		Role:          garage.Donor,
		Make:          "Tern",
		Model:         "1.4 saloon",
		Year:          new(1987),
		Stands:        garage.NotHere,
		ArrivesLow:    new(garage.NewDate(2027, time.March, 19)),
		ArrivesLikely: new(garage.NewDate(2027, time.March, 26)),
		ArrivesHigh:   new(garage.NewDate(2027, time.April, 20)),
	}
	return with(donor, changes)
}

// RoadNeed is a daily way to work.
func RoadNeed(changes ...func(*garage.RoadNeed)) garage.RoadNeed {
	return with(garage.RoadNeed{
		Version: 1, Why: "To work", Weekdays: []int{1, 2, 3, 4, 5}, FromMinute: 7 * 60, ToMinute: 18 * 60,
	}, changes)
}

// Access are the rear wheels.
func Access(changes ...func(*garage.Access)) garage.Access {
	return with(garage.Access{Version: 1, Name: "Rear wheels", OpenMinutes: 15, CloseMinutes: 20}, changes)
}

// ClosingWork is a bleed of the brakes with a helper on the pedal.
func ClosingWork(changes ...func(*garage.ClosingWork)) garage.ClosingWork {
	return with(garage.ClosingWork{Version: 1, Name: "Bleed the brakes", Minutes: 45, Helpers: 1}, changes)
}

// Odometer is one in kilometres with three readings, the second of them mistyped and reversed.
func Odometer() garage.Odometer {
	mistyped := garage.ReadingID(2)
	return garage.Odometer{
		Segments: []garage.OdometerSegment{{ID: 1, CarID: 1, Number: 1, Unit: "km", Reason: garage.FirstOdometer}},
		Readings: []garage.OdometerReading{
			{ID: 1, SegmentID: 1, ReadOn: garage.NewDate(2027, time.January, 4), Shown: 218400},
			{ID: 2, SegmentID: 1, ReadOn: garage.NewDate(2027, time.February, 1), Shown: 291020, Note: "read in the dark"},
			{ID: 3, SegmentID: 1, ReadOn: garage.NewDate(2027, time.February, 2), Shown: 291020, Reverses: &mistyped},
			{ID: 4, SegmentID: 1, ReadOn: garage.NewDate(2027, time.February, 1), Shown: 219020},
		},
	}
}

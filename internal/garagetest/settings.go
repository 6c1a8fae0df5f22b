// Package garagetest makes sample values of the domain, each valid as it stands and open to change:
//
//	garagetest.Settings(func(s *garage.Settings) { s.Lifts = 2 })
//
// A noun has a file here as in every layer. Tests and the gallery use it, the program never does.
package garagetest

import "axlestand/internal/garage"

// Settings are those of a garage in Vienna with one lift.
func Settings(changes ...func(*garage.Settings)) garage.Settings {
	return with(garage.Settings{
		Holidays:         []garage.Date{garage.NewDate(2027, 3, 29), garage.NewDate(2027, 12, 24)},
		Version:          1,
		Name:             "The shed",
		Zone:             "Europe/Vienna",
		Currency:         "EUR",
		DistanceUnit:     "km",
		TorqueUnit:       "Nm",
		Confidence:       80,
		ChangeCarMinutes: 20,
		Lifts:            1,
		Estimates:        garage.TurnOut,
	}, changes)
}

// with applies the changes of a test to a sample.
func with[T any](sample T, changes []func(*T)) T {
	for _, change := range changes {
		change(&sample)
	}
	return sample
}

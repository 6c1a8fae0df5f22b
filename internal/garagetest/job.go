package garagetest

import "axlestand/internal/garage"

// Job is a repair without a car, a phase or a due date.
func Job(changes ...func(*garage.Job)) garage.Job {
	return with(garage.Job{
		Version:  1,
		Kind:     garage.Repair,
		Title:    "Rear brakes",
		Reason:   "The left caliper sticks.",
		Weight:   3,
		Currency: "EUR",
	}, changes)
}

// Stage is two hours or so at the bench, on the lift.
func Stage(changes ...func(*garage.Stage)) garage.Stage {
	return with(garage.Stage{
		Version:  1,
		Position: 1,
		Name:     "Fit the calipers",
		Kind:     garage.Bench,
		Low:      90,
		Likely:   120,
		High:     200,
		Lift:     true,
	}, changes)
}

// Need is two pieces without which the job stops.
func Need(changes ...func(*garage.Need)) garage.Need {
	return with(garage.Need{Version: 1, Quantity: 2, Stops: true}, changes)
}

// Phase has a budget of 1,500 euros.
func Phase(changes ...func(*garage.Phase)) garage.Phase {
	return with(garage.Phase{Version: 1, Name: "Safe for the road", Budget: 150000, Currency: "EUR"}, changes)
}

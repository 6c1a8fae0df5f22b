package garagetest

import (
	"time"

	"axlestand/internal/garage"
)

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

// JobSheet is an upgrade of three stages, the first of them done, that waits for a harvest; its kit has a line for every
// place where pieces can be.
func JobSheet(changes ...func(*garage.JobSheet)) garage.JobSheet {
	done, took := time.Date(2027, 3, 2, 19, 0, 0, 0, time.UTC), 155
	due, phase, harvest := garage.NewDate(2027, 4, 3), garage.PhaseID(1), garage.JobID(2)
	return with(garage.JobSheet{
		Job: Job(func(j *garage.Job) {
			j.ID, j.CarID, j.Kind, j.Weight, j.PhaseID, j.Due = 1, 1, garage.Upgrade, 6, &phase, &due
			j.DueFor, j.LateCostPerDay, j.LateCost = "Inspection", 500, 12000
		}),
		Car:    Car(func(c *garage.Car) { c.ID = 1 }),
		Phase:  new(Phase(func(p *garage.Phase) { p.ID = phase })),
		After:  []garage.JobLink{{ID: harvest, Title: "Take the rear arms off", CarID: 2, CarName: "Tern saloon", GapMinutes: 1440}},
		Before: []garage.JobLink{{ID: 3, Title: "Yearly inspection", CarID: 1, CarName: "Tern estate"}},
		Stages: []garage.Stage{
			Stage(func(s *garage.Stage) {
				s.ID, s.Position, s.Name, s.DoneAt, s.ActualMinutes = 1, 1, "Measure the arms", &done, &took
			}),
			Stage(func(s *garage.Stage) {
				s.ID, s.Position, s.Helpers, s.Immobile = 2, 2, 1, "within"
				s.Tools, s.Access, s.Closing = []garage.ToolID{1}, []garage.AccessID{1}, []garage.ClosingID{1}
			}),
			{ID: 3, Version: 1, Position: 3, Name: "Wheel alignment", Kind: garage.OutsideWork, Low: 1, Likely: 2, High: 4},
		},
		Tools:   []garage.Tool{Tool(func(t *garage.Tool) { t.ID = 1 })},
		Access:  []garage.Access{Access(func(a *garage.Access) { a.ID = 1 })},
		Closing: []garage.ClosingWork{ClosingWork(func(c *garage.ClosingWork) { c.ID = 1 })},
		Needs: []garage.Need{
			{ID: 1, StageID: 1, PartID: 1, Quantity: 1},
			{ID: 2, StageID: 2, PartID: 2, Quantity: 2, Stops: true},
			{ID: 3, StageID: 2, PartID: 3, Quantity: 4, Stops: true, Note: "single use"},
			{ID: 4, StageID: 2, PartID: 4, Quantity: 2},
		},
		Used: []garage.StageUse{{StageID: 1, PartID: 1, Quantity: 1}},
		Parts: []garage.Part{
			Part(func(p *garage.Part) { p.ID, p.Name, p.Number, p.Side = 1, "Chalk", "", "" }),
			Part(func(p *garage.Part) { p.ID, p.Name, p.Side = 2, "Trailing arm", "left" }),
			Part(func(p *garage.Part) { p.ID, p.Name, p.Side = 3, "Bush bolt", "" }),
			{ID: 4, Version: 1, Name: "Stone guard", Unit: "piece", Currency: "EUR"},
		},
		Stock: []garage.Stock{{PartID: 3, BinID: 1, Quantity: 1}},
		Bins:  []garage.Bin{Bin(func(b *garage.Bin) { b.ID = 1 })},
		Arrivals: []garage.Arrival{Arrival(func(a *garage.Arrival) {
			a.ID, a.PartID, a.Quantity = 1, 3, 2
			a.Low, a.Likely, a.High = garage.NewDate(2027, 3, 8), garage.NewDate(2027, 3, 10), garage.NewDate(2027, 3, 17)
		})},
		DonorParts: []garage.DonorPart{
			{ID: 1, CarID: 2, PartID: 2, Quantity: 1, Condition: "good", HarvestJobID: &harvest},
			{ID: 2, CarID: 2, PartID: 4, Quantity: 2, Condition: "unknown"},
		},
		Donors:   []garage.Car{Donor(func(c *garage.Car) { c.ID = 2 })},
		Harvests: []garage.JobLink{{ID: harvest, Title: "Take the rear arms off"}},
	}, changes)
}

// HarvestSheet is a harvest all stages of which are done, with one part off the donor and one to go.
func HarvestSheet(changes ...func(*garage.JobSheet)) garage.JobSheet {
	done, id := time.Date(2027, 3, 2, 19, 0, 0, 0, time.UTC), garage.JobID(2)
	return with(garage.JobSheet{
		Job:    Job(func(j *garage.Job) { j.ID, j.CarID, j.Kind, j.Title = id, 2, garage.Harvest, "Take the rear arms off" }),
		Car:    Donor(func(c *garage.Car) { c.ID = 2 }),
		Stages: []garage.Stage{Stage(func(s *garage.Stage) { s.ID, s.Name, s.DoneAt = 4, "Arms off", &done })},
		Before: []garage.JobLink{{ID: 1, Title: "Rear brakes", CarID: 1, CarName: "Tern estate"}},
		Parts:  []garage.Part{{ID: 2, Name: "Trailing arm", Side: "left", Unit: "piece"}, {ID: 5, Name: "Hub", Unit: "piece"}},
		Bins:   []garage.Bin{Bin(func(b *garage.Bin) { b.ID = 1 })},
		Harvest: []garage.DonorPart{
			{ID: 1, CarID: 2, PartID: 2, Quantity: 1, HarvestJobID: &id, TakenAt: &done},
			{ID: 3, CarID: 2, PartID: 5, Quantity: 2, HarvestJobID: &id},
		},
	}, changes)
}

// JobChoices are what the forms of a job on the first of two cars offer.
func JobChoices(changes ...func(*garage.JobChoices)) garage.JobChoices {
	sheet := JobSheet()
	return with(garage.JobChoices{
		Settings: Settings(),
		Car:      sheet.Car,
		Cars:     []garage.Car{sheet.Car, sheet.Donors[0]},
		Phases:   []garage.Phase{*sheet.Phase},
		Jobs:     append(sheet.Before, sheet.After...),
		Tools:    sheet.Tools,
		Access:   sheet.Access,
		Closing:  sheet.Closing,
	}, changes)
}

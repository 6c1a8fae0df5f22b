package main

import (
	"fmt"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("car",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return carIndex(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return carIndex(b, carList()) }},
		Entry{Name: "index-500", Page: func(b ui.Page) templ.Component { return carIndex(b, manyCars(500)) }},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return carShow(b, garagetest.Car(), carParts()) }},
		Entry{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return carShow(b, garage.Car{ID: 3, Name: "New one", Role: garage.Daily, Stands: garage.Outside}, page.CarParts{})
		}},
		Entry{Name: "show-donor", Page: func(b ui.Page) templ.Component { return carShow(b, garagetest.Donor(), page.CarParts{}) }},
		Entry{Name: "show-immobile", Page: func(b ui.Page) templ.Component { return carShow(b, stuckCar(), carParts()) }},
		Entry{Name: "show-long", Page: func(b ui.Page) templ.Component { return carShow(b, longCar(), carParts()) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			return carForm(b, page.CarForm{Role: string(garage.Project), Stands: string(garage.Outside)}, "")
		}},
		Entry{Name: "edit-wrong", Page: wrongCar},
	)
	register("odometer",
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component { return odometer(b, garage.Odometer{}, page.ReadingForm{}) }},
		Entry{Name: "readings", Page: func(b ui.Page) templ.Component { return odometer(b, garagetest.Odometer(), page.ReadingForm{}) }},
		Entry{Name: "backwards", Page: func(b ui.Page) templ.Component {
			return odometer(b, garagetest.Odometer(), page.ReadingForm{Shown: "40", Errors: garage.FieldErrors{
				"change": "It showed 219 020 km on 2027-02-01 and cannot run backwards. Was the cluster swapped, or did it roll over?",
				"shown":  "Less than 219 020 km on 2027-02-01.",
			}})
		}},
		Entry{Name: "fast", Page: func(b ui.Page) templ.Component {
			return odometer(b, garagetest.Odometer(), page.ReadingForm{Shown: "290000", Errors: garage.FieldErrors{
				"fast": "That is 2218 km a day since 2027-02-01. Tick to keep it, or correct the figure or its unit.",
			}})
		}},
	)
	register("roadneed",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return roadNeed(b, page.RoadNeedForm{How: "weekly"}) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			return roadNeed(b, page.NewRoadNeedForm(garagetest.RoadNeed(func(n *garage.RoadNeed) { n.ID = 1 }), time.UTC))
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.RoadNeedForm{Why: longName, How: "weekly"}
			form.RoadNeed(time.UTC)
			return roadNeed(b, form)
		}},
	)
	register("access",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return accessForm(b, page.AccessForm{}) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			return accessForm(b, page.NewAccessForm(garagetest.Access(func(a *garage.Access) { a.ID, a.Inside = 2, []garage.AccessID{1} })))
		}},
		Entry{Name: "loop", Page: func(b ui.Page) templ.Component {
			form := page.NewAccessForm(garagetest.Access(func(a *garage.Access) { a.ID, a.Inside = 1, []garage.AccessID{3} }))
			form.Errors = garage.FieldErrors{"inside": "That is a loop: Undertray inside Gearbox inside Undertray."}
			return accessForm(b, form)
		}},
	)
	register("closing",
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			return closingForm(b, page.NewClosingForm(garagetest.ClosingWork(func(c *garage.ClosingWork) { c.ID = 1 })))
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.ClosingForm{Helpers: "11"}
			form.ClosingWork()
			return closingForm(b, form)
		}},
	)
}

// galleryDay is the day on which the gallery's pages are seen.
var galleryDay = garage.NewDate(2027, time.March, 5)

func titled(b ui.Page, title string, nav ui.Nav) page.Base {
	b.Title, b.Active = title, nav
	return page.Base{Page: b}
}

func carIndex(b ui.Page, cars []garage.CarSummary) templ.Component {
	return page.CarIndex(page.NewCarIndex(titled(b, "Cars", ui.NavCars), cars, carPlan()))
}

func carList() []garage.CarSummary {
	return []garage.CarSummary{
		{Car: stuckCar(), OpenJobs: 3},
		{Car: garagetest.Car(func(c *garage.Car) { c.ID, c.Role = 2, garage.Daily }), OpenJobs: 5},
		{Car: longCar(), OpenJobs: 1},
		{Car: garagetest.Donor(func(c *garage.Car) { c.ID = 4 })},
	}
}

// carPlan has a job planned on each of the first two cars, and one blocked on the long one.
func carPlan() page.Planned {
	at := time.Date(2027, 3, 6, 8, 0, 0, 0, time.UTC)
	job := func(id garage.JobID, car garage.CarID, title string) garage.Job {
		return garagetest.Job(func(j *garage.Job) { j.ID, j.CarID, j.Title = id, car, title })
	}
	shot := garage.Snapshot{
		Settings: garagetest.Settings(), Cars: []garage.Car{garagetest.Car(func(c *garage.Car) { c.ID = 2 })},
		Jobs: []garage.Job{job(1, 1, "Gearbox out and in"), job(3, 2, "Front arms"), job(2, 9, longName)},
	}
	answer := planner.Answer{
		Stages: []planner.PlacedStage{
			{Job: planner.JobRef(1), From: at, To: at.Add(3 * time.Hour), Because: planner.Reason{Kind: planner.BecauseNow}},
			{Job: planner.JobRef(3), From: at.Add(4 * time.Hour), To: at.Add(6 * time.Hour), Because: planner.Reason{Kind: planner.BecauseNow}},
		},
		Blocked: []planner.Blocked{{Job: planner.JobRef(2), Why: []planner.Why{{Kind: planner.BecauseCar, Of: planner.CarRef(2)}}}},
	}
	return page.NewPlanned(shot, planner.Problem{}, answer, at.Add(-12*time.Hour))
}

func manyCars(n int) []garage.CarSummary {
	var cars []garage.CarSummary
	for i := range n {
		c := carList()[i%4]
		c.ID = garage.CarID(i + 1)
		c.Name = fmt.Sprintf("%s %d", c.Name, i+1)
		cars = append(cars, c)
	}
	return cars
}

func stuckCar() garage.Car {
	return garagetest.Car(func(c *garage.Car) {
		c.ID, c.Name, c.Make, c.Model, c.Stands, c.Immobile = 1, "Kite coupé", "Kite", "2.0 coupé", garage.OnLift, true
	})
}

func longCar() garage.Car {
	return garagetest.Car(func(c *garage.Car) {
		c.ID, c.Name, c.Make, c.Model, c.Engine, c.Plate, c.VIN, c.Notes = 9, longName, longWord, longName, longName, longWord, "ODEM44A16HA000O17", longName+"\n\n"+longWord
	})
}

func carParts() page.CarParts {
	return page.CarParts{
		Jobs: []garage.Job{
			garagetest.Job(func(j *garage.Job) { j.ID, j.Due = 1, new(galleryDay.AddDays(3)) }),
			garagetest.Job(func(j *garage.Job) { j.ID, j.Title, j.Kind = 2, longName, garage.Upgrade }),
		},
		Odometer: garagetest.Odometer(),
		RoadNeeds: []garage.RoadNeed{
			garagetest.RoadNeed(func(n *garage.RoadNeed) { n.ID = 1 }),
			{ID: 2, StartsAt: new(time.Date(2027, 3, 8, 7, 0, 0, 0, time.UTC)), EndsAt: new(time.Date(2027, 3, 9, 18, 0, 0, 0, time.UTC))},
		},
		Access: carAccess(),
		Closing: []garage.ClosingWork{
			garagetest.ClosingWork(func(c *garage.ClosingWork) { c.ID = 1 }),
			garagetest.ClosingWork(func(c *garage.ClosingWork) { c.ID, c.Name = 2, longName }),
		},
	}
}

func carAccess() []garage.Access {
	return []garage.Access{
		{ID: 1, Name: "Undertray", OpenMinutes: 10, CloseMinutes: 15},
		{ID: 2, Name: "Subframe", OpenMinutes: 90, CloseMinutes: 120, Inside: []garage.AccessID{1}, IsOpen: true},
		{ID: 3, Name: longName, OpenMinutes: 180, CloseMinutes: 240, Inside: []garage.AccessID{1, 2}, Stays: true},
	}
}

func carShow(b ui.Page, c garage.Car, parts page.CarParts) templ.Component {
	return page.CarShow(page.NewCarShow(titled(b, c.Name, ui.NavCars), c, parts, carPlan()))
}

func carForm(b ui.Page, form page.CarForm, name string) templ.Component {
	return page.CarEdit(page.NewCarFormView(titled(b, "Add a car", ui.NavCars), form, name))
}

func wrongCar(b ui.Page) templ.Component {
	form := page.NewCarForm(garagetest.Donor(func(c *garage.Car) { c.ID, c.Name, c.ArrivesLow = 4, "", nil }))
	form.Year = "about 1987"
	form.Car()
	return carForm(b, form, longName)
}

func odometer(b ui.Page, o garage.Odometer, form page.ReadingForm) templ.Component {
	form.ReadOn, form.Unit = galleryDay.String(), "km"
	return page.Odometer(page.NewOdometer(titled(b, "Odometer", ui.NavCars), garagetest.Car(func(c *garage.Car) { c.ID = 1 }), o, form, garagetest.Settings()))
}

func roadNeed(b ui.Page, form page.RoadNeedForm) templ.Component {
	form.CarID = 1
	return page.RoadNeedEdit(page.RoadNeedView{Base: titled(b, "Road need", ui.NavCars), CarID: 1, CarName: "Tern estate", Form: form})
}

func accessForm(b ui.Page, form page.AccessForm) templ.Component {
	form.CarID = 1
	return page.AccessEdit(page.NewAccessView(titled(b, "Access", ui.NavCars), garagetest.Car(func(c *garage.Car) { c.ID = 1 }), form, carAccess()))
}

func closingForm(b ui.Page, form page.ClosingForm) templ.Component {
	form.CarID = 1
	return page.ClosingEdit(page.ClosingView{Base: titled(b, "Closing work", ui.NavCars), CarID: 1, CarName: "Tern estate", Form: form})
}

package page

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
)

// PlanFreesView is what would free most of the plan.
type PlanFreesView struct {
	Base
	Rows []FreesRow
}

// FreesRow is one thing that could be otherwise, with what the plan would gain.
type FreesRow struct {
	Title string
	Href  string // the what-if of it, or where it is seen to
	Gains []string
}

// NewPlanFrees lists gains, most first.
func NewPlanFrees(base Base, p Planned, gains []planner.Gain) PlanFreesView {
	v := PlanFreesView{Base: base}
	for _, g := range gains {
		row := p.thingRow(g.Thing)
		row.Gains = p.gainWords(g)
		v.Rows = append(v.Rows, row)
	}
	return v
}

// gainWords say what a thing would gain: money, jobs that become possible, jobs sooner.
func (p Planned) gainWords(g planner.Gain) []string {
	var words []string
	if g.LateCost >= 1 {
		words = append(words, "saves "+garage.MoneyText(int64(g.LateCost), p.Shot.Settings.Currency))
	}
	if len(g.Frees) > 0 {
		words = append(words, "frees "+p.jobNames(g.Frees)+", "+WorkWords(max(0, g.Minutes))+" at the bench")
	}
	if len(g.Blocks) > 0 {
		words = append(words, "but blocks "+p.jobNames(g.Blocks))
	}
	if len(g.Sooner) > 0 {
		text := countWords(len(g.Sooner), "job sooner", "jobs sooner")
		if len(g.Later) > 0 {
			text += fmt.Sprintf(", %d later", len(g.Later))
		}
		if days := g.Days; days >= 0.5 {
			text += ", " + daysWords(days) + " in all"
		}
		words = append(words, text)
	}
	return words
}

// jobNames names a few jobs and counts the rest.
func (p Planned) jobNames(refs []string) string {
	const most = 3
	var names []string
	for _, ref := range refs[:min(most, len(refs))] {
		names = append(names, p.jobs[ref].Title)
	}
	if more := len(refs) - most; more > 0 {
		names = append(names, countWords(more, "more", "more"))
	}
	return strings.Join(names, ", ")
}

// thingRow words a thing and leads to the what-if of it, or to where it is seen to.
func (p Planned) thingRow(t planner.Thing) FreesRow {
	row := p.thingWords(t)
	if x, ok := p.supposed(t); ok {
		row.Href = p.suppose(x)
	}
	return row
}

func (p Planned) thingWords(t planner.Thing) FreesRow {
	part, car, job := p.parts[t.Of], p.cars[t.Of], p.jobs[t.Of]
	switch t.Kind {
	case planner.ThingArrival:
		return FreesRow{Title: quantityText(t.Qty, part) + " here now", Href: route.Part(part.ID)}
	case planner.ThingOrder:
		return FreesRow{Title: quantityText(t.Qty, part) + " on hand instead of to be ordered", Href: route.Part(part.ID)}
	case planner.ThingBuy:
		return FreesRow{Title: quantityText(t.Qty, part) + " bought", Href: route.Part(part.ID)}
	case planner.ThingCar:
		return FreesRow{Title: car.Name + " here now", Href: route.Car(car.ID)}
	case planner.ThingHelper:
		if n := p.helpersAt(t.At); n > 0 {
			return FreesRow{Title: countWords(n+1, "helper", "helpers") + " in the session " + p.whenText(t.At), Href: route.Sessions()}
		}
		return FreesRow{Title: "A helper in the session " + p.whenText(t.At), Href: route.Sessions()}
	case planner.ThingSession:
		return FreesRow{Title: "A further session " + p.spanText(t.At, t.To), Href: route.Sessions()}
	case planner.ThingTool:
		if t.Of == planner.Lift {
			return FreesRow{Title: "One more lift", Href: route.Settings()}
		}
		return FreesRow{Title: "One more of " + p.tools[t.Of] + ", all the time", Href: route.Tools()}
	case planner.ThingUntil:
		return FreesRow{Title: "A stage of " + job.Title + " that lets the car roll again", Href: route.Job(job.ID)}
	case planner.ThingRoll:
		return FreesRow{Title: car.Name + " rolling again", Href: route.Car(car.ID)}
	case planner.ThingRoadNeed:
		title := car.Name + " not needed on the road"
		if !t.At.IsZero() {
			title += " " + p.spanText(t.At, t.To)
		}
		return FreesRow{Title: title, Href: route.Car(car.ID)}
	case planner.ThingPin:
		return FreesRow{Title: job.Title + " not fixed to its session", Href: route.JobWhen(job.ID)}
	case planner.ThingNotBefore:
		return FreesRow{Title: job.Title + " sooner than you said", Href: route.JobWhen(job.ID)}
	}
	return FreesRow{Title: t.Kind, Href: route.WhatIf()}
}

// supposed is a thing as a what-if has it; not every thing is one.
func (p Planned) supposed(t planner.Thing) (garage.Supposition, bool) {
	switch t.Kind {
	case planner.ThingArrival:
		a, ok := p.arrivalOf(p.parts[t.Of].ID, t)
		return garage.Supposition{Kind: garage.PartHere, ID: int64(a.ID)}, ok
	case planner.ThingOrder, planner.ThingBuy:
		return garage.Supposition{Kind: garage.InStock, ID: int64(p.parts[t.Of].ID), Quantity: t.Qty}, true
	case planner.ThingCar:
		return garage.Supposition{Kind: garage.CarHere, ID: int64(p.cars[t.Of].ID)}, true
	case planner.ThingHelper:
		return garage.Supposition{Kind: garage.WithHelp, From: t.At, Helpers: p.helpersAt(t.At) + 1}, true
	case planner.ThingSession:
		return garage.Supposition{Kind: garage.MoreTime, From: t.At, To: t.To}, garage.DateOf(t.At.In(p.Now.Location())) == garage.DateOf(t.To.Add(-time.Minute).In(p.Now.Location()))
	}
	return garage.Supposition{}, false
}

func (p Planned) suppose(x garage.Supposition) string { return route.WhatIf(x.Text(p.Now.Location())) }

// arrivalOf is the arrival that a thing means: of several as large, the one expected nearest to its time.
func (p Planned) arrivalOf(part garage.PartID, t planner.Thing) (garage.Arrival, bool) {
	var found []garage.Arrival
	for _, a := range p.Shot.Arrivals {
		if a.PartID == part && a.Quantity == t.Qty {
			found = append(found, a)
		}
	}
	if len(found) == 0 {
		return garage.Arrival{}, false
	}
	off := func(a garage.Arrival) time.Duration { return t.At.Sub(a.Likely.In(p.Now.Location())).Abs() }
	return slices.MinFunc(found, func(a, b garage.Arrival) int { return int(off(a) - off(b)) }), true
}

func (p Planned) helpersAt(at time.Time) int {
	for _, s := range p.Problem.Sessions {
		if s.From.Equal(at) {
			return s.Helpers
		}
	}
	return 0
}

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
	if len(g.Sooner) > 0 {
		text := countWords(len(g.Sooner), "job sooner", "jobs sooner")
		if days := g.Days; days >= 0.5 {
			text += fmt.Sprintf(", %.0f days in all", days)
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

// thingRow words a thing and leads to the what-if of it.
func (p Planned) thingRow(t planner.Thing) FreesRow {
	part := p.parts[t.Of]
	switch t.Kind {
	case planner.ThingArrival:
		row := FreesRow{Title: quantityText(t.Qty, part) + " here now", Href: route.Part(part.ID)}
		if a, ok := p.arrivalOf(part.ID, t); ok {
			row.Href = p.suppose(garage.Supposition{Kind: garage.PartHere, ID: int64(a.ID)})
		}
		return row
	case planner.ThingOrder, planner.ThingBuy:
		title := quantityText(t.Qty, part) + " bought"
		if t.Kind == planner.ThingOrder {
			title = quantityText(t.Qty, part) + " on hand instead of to be ordered"
		}
		return FreesRow{Title: title, Href: p.suppose(garage.Supposition{Kind: garage.InStock, ID: int64(part.ID), Quantity: t.Qty})}
	case planner.ThingCar:
		car := p.cars[t.Of]
		return FreesRow{Title: car.Name + " here now", Href: p.suppose(garage.Supposition{Kind: garage.CarHere, ID: int64(car.ID)})}
	case planner.ThingHelper:
		title := "A helper in the session " + p.whenText(t.At)
		if n := p.helpersAt(t.At); n > 0 {
			title = countWords(n+1, "helper", "helpers") + " in the session " + p.whenText(t.At)
		}
		return FreesRow{Title: title, Href: p.suppose(garage.Supposition{Kind: garage.WithHelp, From: t.At, Helpers: p.helpersAt(t.At) + 1})}
	case planner.ThingSession:
		return FreesRow{
			Title: "A further session " + p.spanText(t.At, t.To),
			Href:  p.suppose(garage.Supposition{Kind: garage.MoreTime, From: t.At, To: t.To}),
		}
	case planner.ThingTool:
		if t.Of == planner.Lift {
			return FreesRow{Title: "One more lift", Href: route.Settings()}
		}
		return FreesRow{Title: "One more of " + p.tools[t.Of] + ", all the time", Href: route.Tools()}
	}
	return FreesRow{Title: t.Kind, Href: route.WhatIf()}
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

package page

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// soonDays is how near a date must be to need the owner.
const soonDays = 10

// TodayView answers what to do now.
type TodayView struct {
	Base
	Sub     string
	Lift    []LiftRow
	LiftFor bool // the garage has a lift
	Free    FreeTime
	Spans   []ui.Link
	Alone   string
	Helper  ui.Link // switches the helper on or off
	Fits    string  // address of which jobs fit together
	Ready   []ui.ListItem
	Hidden  int // more ready jobs than are shown
	Needs   []NeedsRow
	Next    *SessionRow
	Empty   bool // nothing is entered yet
	NoJobs  bool // nothing is to be done
	NoHours bool // not one session ahead
}

// LiftRow is a car on a lift and what it is there for.
type LiftRow struct {
	Car   string
	Href  string
	State string
	Mood  ui.Mood
	Next  ui.Link // the job that goes on
	When  string
}

// NeedsRow is something that needs the owner, the most pressing first.
type NeedsRow struct {
	Title string
	Href  string
	Text  string
	Mood  ui.Mood
	rank  int
	on    garage.Date
}

// mostReady is how many ready jobs are shown.
const mostReady = 12

// NewToday shows at a moment what is on the lift, what is ready for the time the owner has, and what needs the owner.
func NewToday(base Base, p Planned, now time.Time, ready []planner.Ready, free FreeTime) TodayView {
	v := TodayView{
		Base: base, Sub: now.In(p.Now.Location()).Format("Monday 2 January, 15:04"), Lift: p.liftRows(), LiftFor: p.Shot.Settings.Lifts > 0,
		Needs: p.needsRows(), Next: p.nextSession(), Empty: len(p.Shot.Cars) == 0 && len(p.Shot.Jobs) == 0,
		NoJobs: len(p.Shot.Jobs) == 0, NoHours: len(p.Problem.Sessions) == 0,
	}
	v.Free, v.Spans, v.Fits = free, free.spans(), free.together()
	v.Alone, v.Helper = "For you alone.", ui.Link{Text: "A helper is here", Href: free.with(true)}
	if free.Helper {
		v.Alone, v.Helper = "With a helper.", ui.Link{Text: "You are alone", Href: free.with(false)}
	}
	v.Ready, v.Hidden = p.readyItems(ready)
	return v
}

// readyItems are in the order of the plan, then of weight.
func (p Planned) readyItems(ready []planner.Ready) (items []ui.ListItem, hidden int) {
	place := map[string]int{}
	starts := map[string]time.Time{}
	for i, s := range p.Answer.Stages {
		if _, seen := place[s.Job]; !seen {
			place[s.Job], starts[s.Job] = i+1, s.From
		}
	}
	at := func(r planner.Ready) int { return cmp.Or(place[r.Job], len(p.Answer.Stages)+1) }
	ready = slices.Clone(ready)
	slices.SortStableFunc(ready, func(a, b planner.Ready) int {
		return cmp.Or(cmp.Compare(at(a), at(b)), cmp.Compare(p.jobs[b.Job].Weight, p.jobs[a.Job].Weight))
	})
	for _, r := range ready[:min(mostReady, len(ready))] {
		items = append(items, p.readyItem(r, starts[r.Job]))
	}
	return items, len(ready) - len(items)
}

func (p Planned) readyItem(r planner.Ready, planned time.Time) ui.ListItem {
	job := p.jobs[r.Job]
	sub := p.cars[planner.CarRef(job.CarID)].Name
	if bins := p.binsOf(job.ID); len(bins) > 0 {
		sub += " · parts in " + strings.Join(bins, ", ")
	}
	if !planned.IsZero() {
		sub += " · in the plan " + p.dayText(planned)
	}
	meta := WorkWords(r.Minutes)
	if !r.Whole {
		meta += " to start with"
	}
	return ui.ListItem{Title: job.Title, Href: route.Job(job.ID), Sub: sub, Meta: meta, State: ui.State(ui.Ready, "ready")}
}

// binsOf are the bins that hold what a job needs.
func (p Planned) binsOf(job garage.JobID) []string {
	parts := map[garage.PartID]bool{}
	for _, n := range p.Shot.Needs {
		if p.stages[planner.StageRef(n.StageID)].JobID == job {
			parts[n.PartID] = true
		}
	}
	var bins []string
	for _, s := range p.Shot.Stock {
		if !parts[s.PartID] {
			continue
		}
		for _, b := range p.Shot.Bins {
			if b.ID == s.BinID && !slices.Contains(bins, b.Name) {
				bins = append(bins, b.Name)
			}
		}
	}
	slices.Sort(bins)
	return bins
}

// liftRows are the cars that stand on a lift, each with the job that goes on there.
func (p Planned) liftRows() []LiftRow {
	var rows []LiftRow
	for _, car := range p.Shot.Cars {
		if car.Stands != garage.OnLift {
			continue
		}
		row := LiftRow{Car: car.Name, Href: route.Car(car.ID), State: "rolls", Mood: ui.Ready}
		var open []string
		for _, a := range p.Shot.Access {
			if a.CarID == car.ID && a.IsOpen {
				open = append(open, a.Name)
			}
		}
		if len(open) > 0 {
			row.State, row.Mood = "open: "+strings.Join(open, ", "), ui.Loose
		}
		if car.Immobile {
			row.State, row.Mood = "immobile", ui.Blocked
		}
		for _, s := range p.Answer.Stages {
			if s.Car == planner.CarRef(car.ID) && len(s.Pieces) > 0 {
				job := p.jobs[s.Job]
				row.Next = ui.Link{Text: job.Title, Href: route.CardNow(job.ID)}
				row.When = p.stages[s.Stage].Name + ", " + p.whenText(s.From)
				break
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// nextSession is the first session that the plan puts work into.
func (p Planned) nextSession() *SessionRow {
	for _, s := range p.Problem.Sessions {
		if work := p.work(s.From, s.To); len(work) > 0 {
			row := SessionRow{Title: p.spanText(s.From, s.To), Work: work}
			if s.Helpers > 0 {
				row.Sub = countWords(s.Helpers, "helper", "helpers")
			}
			return &row
		}
	}
	return nil
}

// needsRows are dates with money on them, orders to make, arrivals to check in and cars left open, the most pressing first.
func (p Planned) needsRows() []NeedsRow {
	today := garage.DateOf(p.Now)
	soon := today.AddDays(soonDays)
	var rows []NeedsRow
	for _, d := range p.dues() {
		if d.Lost || d.due.Before(soon) {
			rows = append(rows, NeedsRow{Title: d.Title, Href: d.Href, Text: d.For + ": " + d.Text, Mood: d.Mood, rank: rankOf(d.Lost), on: d.due})
		}
	}
	for _, o := range p.orders() {
		if !o.by.IsZero() && o.by.Before(today.AddDays(4)) {
			text := "order by " + o.By + " for " + o.For
			if o.Today {
				text = "order today for " + o.For
			}
			rows = append(rows, NeedsRow{Title: o.Part, Href: o.Href, Text: text, Mood: ui.Ready, rank: 2, on: o.by})
		}
	}
	rows = append(rows, p.coreRows()...)
	rows = append(rows, p.arrivalRows(today)...)
	for _, n := range p.notes() {
		rows = append(rows, NeedsRow{Title: n.Title, Href: n.Href, Text: n.Text, Mood: ui.Waits, rank: 3})
	}
	rows = append(rows, p.openRows()...)
	slices.SortStableFunc(rows, func(a, b NeedsRow) int { return cmp.Or(cmp.Compare(a.rank, b.rank), a.on.Compare(b.on)) })
	return rows
}

// rankOf puts money that is being lost first.
func rankOf(lost bool) int {
	if lost {
		return 0
	}
	return 1
}

// arrivalRows are the parts and donors that should be here.
func (p Planned) arrivalRows(today garage.Date) []NeedsRow {
	var rows []NeedsRow
	for _, a := range p.Shot.Arrivals {
		if today.Before(a.Likely) {
			continue
		}
		part := p.parts[planner.PartRef(a.PartID)]
		text := "expected today: check it in when it is here"
		if a.Likely.Before(today) {
			text = "should be here since " + p.dayText(a.Likely.In(p.Now.Location())) + ": check it in, or change the dates"
		}
		rows = append(rows, NeedsRow{Title: quantityText(a.Quantity, part), Href: route.Part(part.ID), Mood: ui.Ready, rank: 2, on: a.Likely, Text: text})
	}
	for _, car := range p.Shot.Cars {
		if car.Stands == garage.NotHere && car.ArrivesLikely != nil && !today.Before(*car.ArrivesLikely) {
			text := "arrives today: say when it is here"
			if car.ArrivesLikely.Before(today) {
				text = "should have arrived: say that it has, or change the dates"
			}
			rows = append(rows, NeedsRow{Title: car.Name, Href: route.Car(car.ID), Mood: ui.Ready, rank: 2, on: *car.ArrivesLikely, Text: text})
		}
	}
	return rows
}

// openRows are the cars left with something open that are not on a lift.
func (p Planned) openRows() []NeedsRow {
	var rows []NeedsRow
	for _, car := range p.Shot.Cars {
		var open []string
		for _, a := range p.Shot.Access {
			if a.CarID == car.ID && a.IsOpen {
				open = append(open, a.Name)
			}
		}
		if len(open) > 0 && car.Stands != garage.OnLift {
			rows = append(rows, NeedsRow{
				Title: car.Name, Href: route.Car(car.ID), Mood: ui.Loose, rank: 4,
				Text: fmt.Sprintf("loose: %s", strings.Join(open, ", ")),
			})
		}
	}
	return rows
}

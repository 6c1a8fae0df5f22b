package main

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/testdata"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("plan",
		planEntry("demo", demoGarage),
		planEntry("changed", changedGarage),
		planEntry("no-jobs", noJobs),
		planEntry("no-sessions", func() garage.Snapshot {
			shot := demoGarage()
			shot.Patterns, shot.Exceptions = nil, nil
			return shot
		}),
		planEntry("long-names", longNames),
		planEntry("500-jobs", manyJobs),
	)
	// The first two stand where the page of the plan fetches them from.
	register("plan", chancesEntry("chances", demoGarage), freesEntry("frees", demoGarage))
	register("plan-chances", chancesEntry("too-late", tooLate), chancesEntry("long-names", longNames), chancesEntry("no-jobs", noJobs))
	register("plan-frees", freesEntry("changed", changedGarage), freesEntry("long-names", longNames), freesEntry("no-jobs", noJobs))
	register("plan-longer", longerEntry("better", sixtyJobs, true), longerEntry("nothing-better", demoGarage, true), longerEntry("changed-meanwhile", sixtyJobs, false))
	register("job-why",
		whyEntry("placed", demoGarage, "Heated front seats", ""),
		whyEntry("another-session", demoGarage, "Heated front seats", "2027-04-03T07:00:00Z"),
		whyEntry("not-in-that-session", demoGarage, "Heated front seats", "2027-03-06T08:00:00Z"),
		whyEntry("blocked", demoGarage, "Sill wax", ""),
		whyEntry("blocked-by-more", changedGarage, "Yearly inspection", ""),
		whyEntry("not-planned", demoGarage, "", ""),
		whyEntry("long-names", longNames, "", ""),
	)
	register("job-chance", jobChanceEntry("demo", 1), jobChanceEntry("blocked", 999))
	register("what-if",
		whatIfChancesEntry("sure", demoGarage, "car-later_3_28"),
		whatIfEntry("nothing-yet", demoGarage, nil),
		whatIfEntry("donor-later", demoGarage, url.Values{"if": {"car-later_3_28", "in-stock_1_2", "helpers_2027-03-09T1900_1"}}),
		whatIfEntry("left-out", demoGarage, url.Values{"if": {"without_1", "fixed_9_2027-03-06T0900"}}),
		whatIfEntry("nothing-comes-of-it", demoGarage, url.Values{"if": {"car-later_3_1", "without_999"}}),
		whatIfEntry("refused", demoGarage, url.Values{"add": {"session"}, "on": {"soon"}, "from": {"17:00"}, "to": {"9"}, "helpers": {"ten"}}),
		whatIfEntry("long-names", longNames, url.Values{"if": {"car-later_3_28", "without_1", "in-stock_1_2"}}),
		whatIfEntry("500-jobs", manyJobs, url.Values{"if": {"session_2027-03-07T1400_1800_1", "fixed_1_2027-03-13T0900"}}),
		whatIfEntry("no-jobs", noJobs, nil),
	)
	register("today",
		todayEntry("demo", demoGarage),
		todayEntry("on-the-lift", onTheLift),
		todayEntry("empty", noJobs),
		todayEntry("long-names", longNames),
		todayEntry("500-jobs", manyJobs),
		togetherEntry("demo", demoGarage, "480"),
		togetherEntry("none", noJobs, "60"),
		togetherEntry("long-names", longNames, "480"),
	)
}

// galleryNow is a Thursday evening two days before the demo garage's first Saturday.
var galleryNow = time.Date(2027, time.March, 4, 17, 30, 0, 0, time.UTC)

func demoGarage() garage.Snapshot {
	records, err := exchange.ReadDemo(testdata.Demo, garage.DateOf(galleryNow))
	if err != nil {
		panic(err)
	}
	records.CountStock()
	return records.Snapshot
}

// onTheLift is the demo garage with the coupé's clutch out, the car immobile on the lift.
func onTheLift() garage.Snapshot {
	shot := demoGarage()
	for i := range shot.Cars {
		if shot.Cars[i].Name == "Kite coupé" {
			shot.Cars[i].Stands, shot.Cars[i].Immobile = garage.OnLift, true
		}
	}
	for i := range shot.Stages {
		if shot.Stages[i].Name == "Clutch out" {
			shot.Stages = append(shot.Stages[:i:i], shot.Stages[i+1:]...)
			break
		}
	}
	for i := range shot.Access {
		shot.Access[i].IsOpen = strings.Contains(shot.Access[i].Name, "Gearbox") || strings.Contains(shot.Access[i].Name, "exhaust")
	}
	return shot
}

// changedGarage is the demo garage after a change for the worse: the plan before had another Saturday and no blocked jobs.
func changedGarage() garage.Snapshot {
	shot := demoGarage()
	before := plannedGarage(shot).Answer.Record()
	for i := range before.Stages {
		if i%3 == 0 {
			before.Stages[i].From = before.Stages[i].From.AddDate(0, 0, 7*(i%2)-7)
		}
	}
	before.MadeAt, before.Blocked = galleryNow.Add(-30*time.Hour), []garage.JobID{shot.Jobs[0].ID}
	shot.PlanBefore = &before
	for i := range shot.Parts {
		shot.Parts[i].LeadLow, shot.Parts[i].LeadLikely, shot.Parts[i].LeadHigh = nil, nil, nil
	}
	return shot
}

func longNames() garage.Snapshot {
	shot := demoGarage()
	long := strings.Repeat("Donaudampfschifffahrtsgesellschaft ", 5) + strings.Repeat("x", 25)
	for i := range shot.Cars {
		shot.Cars[i].Name = fmt.Sprintf("%d %s", i, long)
	}
	for i := range shot.Jobs {
		shot.Jobs[i].Title = fmt.Sprintf("%d %s", i, long)
	}
	for i := range shot.Parts {
		shot.Parts[i].Name = fmt.Sprintf("%d %s", i, long)
	}
	return shot
}

// manyJobs adds small jobs until there are 500.
func manyJobs() garage.Snapshot { return withSmallJobs(500) }

func sixtyJobs() garage.Snapshot { return withSmallJobs(60) }

// withSmallJobs is the demo garage with small jobs added until there are so many.
func withSmallJobs(total int) garage.Snapshot {
	shot := demoGarage()
	for n := len(shot.Jobs) + 1; n <= total; n++ {
		id := garage.JobID(1000 + n)
		shot.Jobs = append(shot.Jobs, garage.Job{
			ID: id, CarID: garage.CarID(1 + n%2), Kind: garage.Repair, Title: fmt.Sprintf("Small job %d", n), Weight: 1 + n%9, Currency: "EUR",
		})
		shot.Stages = append(shot.Stages, garage.Stage{
			ID: garage.StageID(1000 + n), JobID: id, Position: 1, Name: "Do it", Kind: garage.Bench, Low: 20, Likely: 30 + n%90, High: 200, Lift: n%3 == 0,
		})
	}
	return shot
}

func plannedGarage(shot garage.Snapshot) page.Planned {
	problem, answer, err := planner.PlanGarage(shot, galleryNow)
	if err != nil {
		panic(err)
	}
	return page.NewPlanned(shot, problem, answer, galleryNow)
}

func whatIfEntry(name string, shot func() garage.Snapshot, typed url.Values) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "What if", ui.NavPlan
		p := plannedGarage(shot())
		supposed, then, gone := p.Suppositions(typed["if"])
		var wrong garage.FieldErrors
		if typed.Has("add") {
			_, wrong = p.ReadSupposition(typed)
		}
		v := page.NewWhatIf(page.Base{Page: base}, p, plannedGarage(then), supposed, typed, wrong)
		v.Gone, v.Changed = gone, name == "left-out"
		return page.WhatIf(v)
	}}
}

func noJobs() garage.Snapshot { return garage.Snapshot{Settings: demoGarage().Settings} }

func mustChances(p page.Planned) []planner.Chance {
	chances, err := planner.Chances(p.Problem, p.Answer, 400, 1)
	if err != nil {
		panic(err)
	}
	return chances
}

func mustShortfalls(p page.Planned) []planner.Shortfall {
	short, err := planner.Shortfalls(p.Problem)
	if err != nil {
		panic(err)
	}
	return short
}

// tooLate is the demo garage with dates that nobody can keep.
func tooLate() garage.Snapshot {
	shot := demoGarage()
	soon := garage.DateOf(galleryNow).AddDays(2)
	for i := range shot.Jobs {
		if shot.Jobs[i].Title == "Rear brake upgrade" || shot.Jobs[i].Title == "Exchange starter motor" || shot.Jobs[i].Title == "Front control arms" {
			shot.Jobs[i].Due, shot.Jobs[i].LateCost = &soon, 12000
		}
	}
	return shot
}

func chancesEntry(name string, shot func() garage.Snapshot) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "How sure it is", ui.NavPlan
		p := plannedGarage(shot())
		return page.PlanChances(page.NewPlanChances(page.Base{Page: base}, p, mustChances(p), 400, mustShortfalls(p)))
	}}
}

func jobChanceEntry(name string, id garage.JobID) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "How sure it is", ui.NavCars
		p := plannedGarage(demoGarage())
		job := p.Shot.Jobs[0]
		job.ID = id
		return page.JobChance(page.NewJobChance(page.Base{Page: base}, p, job, mustChances(p)))
	}}
}

func whyEntry(name string, shot func() garage.Snapshot, title, at string) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "Why then", ui.NavCars
		p := plannedGarage(shot())
		job := garage.Job{ID: 999, Title: "Long done"}
		for _, j := range p.Shot.Jobs {
			if j.Title == title || name == "long-names" {
				job = j
			}
		}
		ref := planner.JobRef(job.ID)
		var sets [][]planner.Thing
		if slices.ContainsFunc(p.Answer.Blocked, func(b planner.Blocked) bool { return b.Job == ref }) {
			sets, _ = planner.Unblock(p.Problem, ref)
		}
		v := page.NewJobWhy(page.Base{Page: base}, p, job, sets)
		if t, ok := p.ReadSession(at); ok {
			forced, err := planner.Force(p.Problem, p.Answer, ref, t)
			if err != nil {
				panic(err)
			}
			v.Force(p, forced)
		}
		return page.JobWhy(v)
	}}
}

func freesEntry(name string, shot func() garage.Snapshot) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "What would help", ui.NavPlan
		p := plannedGarage(shot())
		gains, err := planner.Frees(p.Problem, p.Answer, 12)
		if err != nil {
			panic(err)
		}
		return page.PlanFrees(page.NewPlanFrees(page.Base{Page: base}, p, gains))
	}}
}

func longerEntry(name string, shot func() garage.Snapshot, same bool) Entry {
	found := sync.OnceValues(func() (page.Planned, planner.Longer) { // it takes a second
		p := plannedGarage(shot())
		longer, err := planner.LookLonger(p.Problem, p.Answer)
		if err != nil {
			panic(err)
		}
		return p, longer
	})
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "A longer look", ui.NavPlan
		p, longer := found()
		v := page.NewPlanLonger(page.Base{Page: base}, p, longer, "found")
		v.Changed = !same
		return page.PlanLonger(v)
	}}
}

func whatIfChancesEntry(name string, shot func() garage.Snapshot, text string) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "How sure it is", ui.NavPlan
		p := plannedGarage(shot())
		supposed, then, _ := p.Suppositions([]string{text})
		return page.WhatIfChances(page.NewWhatIfChances(page.Base{Page: base}, p, supposed, mustChances(p), mustChances(plannedGarage(then))))
	}}
}

func planEntry(name string, shot func() garage.Snapshot) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active, base.Wide = "Plan", ui.NavPlan, true
		p := plannedGarage(shot())
		return page.Plan(page.NewPlan(page.Base{Page: base}, p, garage.DateOf(p.Now)))
	}}
}

func togetherEntry(name string, shot func() garage.Snapshot, minutes string) Entry {
	return Entry{Name: "together-" + name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "What fits together", ui.NavToday
		p := plannedGarage(shot())
		free := page.ReadFreeTime(url.Values{"for": {minutes}}, p.Now)
		fit, err := planner.Fits(p.Problem, free.Until, free.Helpers())
		if err != nil {
			panic(err)
		}
		return page.Together(page.NewTogether(page.Base{Page: base}, p, fit, free))
	}}
}

func todayEntry(name string, shot func() garage.Snapshot) Entry {
	return Entry{Name: name, Page: func(base ui.Page) templ.Component {
		base.Title, base.Active = "Today", ui.NavToday
		p := plannedGarage(shot())
		ready, err := planner.ReadyNow(p.Problem, p.Now.Add(4*time.Hour), 0)
		if err != nil {
			panic(err)
		}
		return page.Today(page.NewToday(page.Base{Page: base}, p, galleryNow, ready, page.ReadFreeTime(url.Values{"for": {"240"}}, p.Now)))
	}}
}

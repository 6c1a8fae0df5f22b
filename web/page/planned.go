package page

import (
	"fmt"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// Planned is a garage at a moment with its plan. It finds the records behind the plan's names and says its reasons in words.
type Planned struct {
	Shot    garage.Snapshot
	Problem planner.Problem
	Answer  planner.Answer
	Now     time.Time // in the garage's zone

	cars    map[string]garage.Car
	jobs    map[string]garage.Job
	stages  map[string]garage.Stage
	parts   map[string]garage.Part
	access  map[string]string
	closing map[string]string
	tools   map[string]string
	leftOut map[string]bool // jobs supposed not to be done
}

// NewPlanned indexes a garage and its plan.
func NewPlanned(shot garage.Snapshot, problem planner.Problem, answer planner.Answer, now time.Time) Planned {
	p := Planned{
		Shot: shot, Problem: problem, Answer: answer, Now: now.In(shot.Settings.Location()),
		cars: map[string]garage.Car{}, jobs: map[string]garage.Job{}, stages: map[string]garage.Stage{},
		parts: map[string]garage.Part{}, access: map[string]string{}, closing: map[string]string{}, tools: map[string]string{},
	}
	for _, v := range shot.Cars {
		p.cars[planner.CarRef(v.ID)] = v
	}
	for _, v := range shot.Jobs {
		p.jobs[planner.JobRef(v.ID)] = v
	}
	for _, v := range shot.Stages {
		p.stages[planner.StageRef(v.ID)] = v
	}
	for _, v := range shot.Parts {
		p.parts[planner.PartRef(v.ID)] = v
	}
	for _, v := range problem.Parts { // pools of a part
		p.parts[v.ID] = p.parts[planner.PartRef(planner.RefNumber[garage.PartID](v.ID))]
	}
	for _, v := range shot.Access {
		p.access[planner.AccessRef(v.ID)] = v.Name
	}
	for _, v := range shot.Closing {
		p.closing[planner.ClosingRef(v.ID)] = v.Name
	}
	for _, v := range shot.Tools {
		p.tools[planner.ToolRef(v.ID)] = v.Name
	}
	return p
}

// dayText is a day as in "Sat 6 Mar", with the year when it is not this one.
func (p Planned) dayText(t time.Time) string {
	if t.Year() != p.Now.Year() {
		return t.Format("Mon 2 Jan 2006")
	}
	return t.Format("Mon 2 Jan")
}

// endDay is the last day before t: what ends at midnight ends with the day before.
func (p Planned) endDay(t time.Time) string {
	return p.dayText(t.Add(-time.Minute).In(p.Now.Location()))
}

// untilText is the last moment before t: an end at midnight belongs to the day before.
func (p Planned) untilText(t time.Time) string {
	t = t.In(p.Now.Location())
	if t.Hour() == 0 && t.Minute() == 0 {
		return p.dayText(t.Add(-time.Minute))
	}
	return p.whenText(t)
}

// fromText is the first moment from t on: a start at midnight is just the day.
func (p Planned) fromText(t time.Time) string {
	t = t.In(p.Now.Location())
	if t.Hour() == 0 && t.Minute() == 0 {
		return p.dayText(t)
	}
	return p.whenText(t)
}

// whenText is a day and a time of day.
func (p Planned) whenText(t time.Time) string {
	t = t.In(p.Now.Location())
	return p.dayText(t) + " " + t.Format("15:04")
}

// spanText is a stretch of time, the day said once where it is one.
func (p Planned) spanText(from, to time.Time) string {
	from, to = from.In(p.Now.Location()), to.In(p.Now.Location())
	if garage.DateOf(from) == garage.DateOf(to) {
		return p.dayText(from) + " " + from.Format("15:04") + "–" + to.Format("15:04")
	}
	return p.whenText(from) + " – " + p.untilText(to)
}

// because says in the owner's words why a stage is not earlier.
func (p Planned) because(r planner.Reason) string {
	switch r.Kind {
	case planner.BecauseNow:
		return "nothing holds it"
	case planner.BecauseNotBefore:
		return "not before " + p.fromText(r.Until)
	case planner.BecausePin:
		if job, ok := p.jobs[r.Of]; ok {
			return "after " + job.Title + ", which is pinned"
		}
		return "pinned to " + p.whenText(r.Until)
	case planner.BecauseCar:
		return "waits: " + p.cars[r.Of].Name + " arrives" + p.by(r.Until)
	case planner.BecauseJob:
		return "waits: " + p.jobs[r.Of].Title + p.doneBy(r.Until)
	case planner.BecauseStage:
		return "follows " + p.stages[r.Of].Name
	case planner.BecausePart:
		return "waits: " + p.parts[r.Of].Name + ", expected" + p.by(r.Until)
	case planner.BecauseHarvest:
		return "waits: " + p.harvestText(r.Of)
	case planner.BecauseOrder:
		return "waits: " + p.parts[r.Of].Name + ", not ordered yet, here" + p.by(r.Until) + " if ordered today"
	}
	return p.becauseBusy(r)
}

// becauseBusy words the reasons that lie in what the garage has: hands, lift, tools, time.
func (p Planned) becauseBusy(r planner.Reason) string {
	switch r.Kind {
	case planner.BecauseHands:
		if job, ok := p.jobs[r.Of]; ok {
			return "after " + job.Title
		}
		return "you are busy until " + p.untilText(r.Until)
	case planner.BecauseLift:
		if car, ok := p.cars[r.Of]; ok {
			return "waits: the lift, held by " + car.Name + p.to(r.Until)
		}
		return "waits: the lift" + p.to(r.Until)
	case planner.BecauseHelper:
		return "waits: a helper" + p.from(r.Until)
	case planner.BecauseTool:
		return "waits: " + p.tools[r.Of] + p.from(r.Until)
	case planner.BecauseSession:
		return "no session it fits into" + p.time(" before ", r.Until, p.fromText)
	case planner.BecauseRoadNeed:
		return p.cars[r.Of].Name + " must be whole" + p.to(r.Until)
	case planner.BecauseImmobile:
		return "waits: " + p.cars[r.Of].Name + " is immobile" + p.to(r.Until)
	case planner.BecauseChain:
		return p.chainText(r)
	case planner.BecauseWork:
		return "waits: " + p.jobs[r.Of].Title + " on the same car" + p.to(r.Until)
	}
	return r.Kind
}

// chainText says from when on a car does not stand immobile for something: that is not the day on which it is here.
func (p Planned) chainText(r planner.Reason) string {
	what := p.parts[r.Of].Name
	if job, ok := p.jobs[r.Of]; ok {
		what = job.Title
	}
	return "waits" + p.to(r.Until) + ", so that the car does not stand immobile for " + what
}

// harvestText names the donor that a harvest job is done on.
func (p Planned) harvestText(ref string) string {
	job := p.jobs[ref]
	donor := p.cars[planner.CarRef(job.CarID)].Name
	for _, s := range p.Answer.Stages {
		if s.Job == ref {
			return job.Title + ", off " + donor + " on " + p.endDay(s.To)
		}
	}
	return job.Title + ", off " + donor
}

func (p Planned) by(t time.Time) string     { return p.time(" by ", t, p.untilText) }
func (p Planned) to(t time.Time) string     { return p.time(" until ", t, p.untilText) }
func (p Planned) from(t time.Time) string   { return p.time(" from ", t, p.fromText) }
func (p Planned) doneBy(t time.Time) string { return p.time(", done ", t, p.untilText) }

func (p Planned) time(word string, t time.Time, text func(time.Time) string) string {
	if t.IsZero() {
		return ""
	}
	return word + text(t)
}

// mood is how a reason stands: ready, or waiting for something.
func mood(r planner.Reason) ui.Mood {
	switch r.Kind {
	case planner.BecauseNow, planner.BecauseHands, planner.BecauseStage, planner.BecausePin:
		return ui.Ready
	}
	return ui.Waits
}

// blockedText says in the owner's words what blocks a job.
func (p Planned) blockedText(w planner.Why) string {
	switch w.Kind {
	case planner.BecausePart, planner.BecauseOrder:
		return p.shortText(w)
	case planner.BecauseJob, planner.BecauseHarvest:
		if p.leftOut[w.Of] {
			return "waits for " + p.jobs[w.Of].Title + ", which is left out"
		}
		return "waits for " + p.jobs[w.Of].Title + ", which is blocked"
	case planner.BecauseNoStages:
		return "has no stages yet"
	case planner.BecauseNoEnd:
		return "makes the car immobile, and no stage lets it roll again"
	case planner.BecauseNoLift:
		return "needs a lift, and there is none"
	case planner.BecauseSession:
		return "no session left that it fits into"
	case planner.BecauseHelper:
		return "no session left with a helper"
	case planner.BecauseTool:
		return p.tools[w.Of] + " is not here when it could be used"
	case planner.BecauseLift:
		return "the lift is held by " + p.cars[w.Of].Name
	case planner.BecauseImmobile:
		return p.cars[w.Of].Name + " is immobile"
	case planner.BecauseRoadNeed:
		return p.cars[w.Of].Name + " is never free long enough between the times it must be whole"
	case planner.BecauseCar:
		return p.cars[w.Of].Name + " does not arrive in time"
	}
	return w.Kind
}

func (p Planned) shortText(w planner.Why) string {
	part := p.parts[w.Of]
	text := fmt.Sprintf("short of %s: none on hand, expected, or to be ordered", quantityText(w.Short, part))
	if len(w.TakenBy) > 0 {
		var takers []string
		for _, ref := range w.TakenBy {
			takers = append(takers, p.jobs[ref].Title)
		}
		text = fmt.Sprintf("short of %s: promised to %s", quantityText(w.Short, part), strings.Join(takers, ", "))
	}
	return text
}

// quantityText is so much of a part: "2 × Rear disc", "500 ml Brake fluid".
func quantityText(n int, part garage.Part) string {
	if part.Unit == "piece" || part.Unit == "set" || part.Unit == "" {
		return fmt.Sprintf("%d\u00a0× %s", n, part.Name)
	}
	return fmt.Sprintf("%d\u00a0%s %s", n, part.Unit, part.Name)
}

// frees leads to where a blocked job can be helped.
func (p Planned) frees(blocked garage.Job, w planner.Why) ui.Link {
	switch w.Kind {
	case planner.BecauseNoStages:
		if !blocked.Supposed() {
			return ui.Link{Text: "Add a stage", Href: route.StageNew(blocked.ID)}
		}
	case planner.BecausePart, planner.BecauseOrder:
		return ui.Link{Text: "Stock, order or find the part", Href: route.Part(p.parts[w.Of].ID)}
	case planner.BecauseJob, planner.BecauseHarvest:
		return ui.Link{Text: "Look at that job", Href: jobHref(p.jobs[w.Of])}
	case planner.BecauseSession, planner.BecauseHelper:
		return ui.Link{Text: "Add a session", Href: route.Sessions()}
	case planner.BecauseTool:
		return ui.Link{Text: "Look at the tools", Href: route.Tools()}
	case planner.BecauseNoLift:
		return ui.Link{Text: "Settings", Href: route.Settings()}
	}
	return ui.Link{}
}

// overheadText says what is done around the jobs of a visit.
func (p Planned) overheadText(o planner.Overhead, car string) string {
	switch o.Kind {
	case planner.OverheadOpen:
		return p.access[o.Of] + ": open"
	case planner.OverheadClose:
		return p.access[o.Of] + ": close up"
	case planner.OverheadClosing:
		return p.closing[o.Of]
	}
	return p.cars[car].Name + " onto the lift"
}

// JobPlanned says where the plan puts a job and why not earlier, or what blocks it. The zero value for a job that is not in
// the plan.
func (p Planned) JobPlanned(id garage.JobID) JobPlanned {
	ref := planner.JobRef(id)
	var planned JobPlanned
	var end time.Time
	for _, s := range p.Answer.Stages {
		if s.Job != ref {
			continue
		}
		if planned.From == "" {
			planned.From, planned.Why = p.whenText(s.From), p.because(s.Because)
		}
		if s.To.After(end) {
			end = s.To
			planned.To = p.untilText(end)
		}
	}
	if why := p.whyBlocked(id); why != "" {
		planned.Why = "blocked: " + why
	}
	return planned
}

// jobHref leads to a job; to where it is made, for one that is only supposed.
func jobHref(j garage.Job) string {
	if j.Supposed() {
		return route.Harvest(j.CarID)
	}
	return route.Job(j.ID)
}

// jobWhyHref leads to why a job is not planned.
func jobWhyHref(j garage.Job) string {
	if j.Supposed() {
		return route.Harvest(j.CarID)
	}
	return route.JobWhy(j.ID)
}

package page

import (
	"slices"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// JobWhyView says why a job stands where it does in the plan: what it leans on, what another session would cost, or what would
// free it.
type JobWhyView struct {
	Base
	Job      garage.Job
	Planned  JobPlanned
	Chain    []ChainRow // what came before, first to last
	Sets     []FreeingSet
	Helps    []ui.Link // where a blocked job can be helped
	Blocked  bool
	Sessions []ui.Option
	At       string
	Forced   *ForcedView
}

// ChainRow is a stage of the critical chain.
type ChainRow struct {
	When  string
	Title string
	Href  string
	Sub   string
	Mood  ui.Mood
	Why   string
}

// FreeingSet is a set of things that frees a job together.
type FreeingSet struct {
	Things []FreesRow
	WhatIf string // empty where not all of it can be supposed
}

// ForcedView is what comes of a job in a session of the owner's choice.
type ForcedView struct {
	Session string
	Kept    bool
	Lines   []string // what breaks, or what it costs
	Change  PlanChange
	WhatIf  string
}

// NewJobWhy explains a job's place.
func NewJobWhy(base Base, p Planned, job garage.Job, sets [][]planner.Thing) JobWhyView {
	v := JobWhyView{Base: base, Job: job, Planned: p.JobPlanned(job.ID), Sessions: p.sessionChoices()}
	ref := planner.JobRef(job.ID)
	v.Blocked, v.Helps = p.whyBlocked(job.ID) != "", p.helps(job)
	links := planner.Chain(p.Problem, p.Answer, ref)
	for _, l := range slices.Backward(links) {
		owner, stage := p.jobs[l.Job], p.stages[l.Stage]
		v.Chain = append(v.Chain, ChainRow{
			When: p.spanText(l.From, l.To), Title: owner.Title, Href: route.Job(owner.ID),
			Sub: p.cars[planner.CarRef(owner.CarID)].Name + " · " + stage.Name, Mood: mood(l.Because), Why: p.because(l.Because),
		})
	}
	for _, set := range sets {
		v.Sets = append(v.Sets, p.freeingSet(set))
	}
	if v.Blocked || v.Planned.From == "" {
		v.Sessions = nil
	}
	return v
}

func (v JobWhyView) heading() string {
	if v.Blocked {
		return "Why it is blocked"
	}
	return "Why then"
}

func (p Planned) freeingSet(things []planner.Thing) FreeingSet {
	set := FreeingSet{}
	var texts []string
	for _, t := range things {
		set.Things = append(set.Things, p.thingWords(t))
		if x, ok := p.supposed(t); ok {
			texts = append(texts, x.Text(p.Now.Location()))
		}
	}
	if len(texts) == len(things) {
		set.WhatIf = route.WhatIf(texts...)
	}
	return set
}

// ReadSession reads the session that a job is asked about; false when it is none of those to come.
func (p Planned) ReadSession(typed string) (time.Time, bool) {
	at, err := time.Parse(time.RFC3339, typed)
	if err != nil {
		return at, false
	}
	return at, slices.ContainsFunc(p.Problem.Sessions, func(s planner.Session) bool { return s.From.Equal(at) })
}

// Force adds what comes of the job in a session of the owner's choice.
func (v *JobWhyView) Force(p Planned, f planner.Forced) {
	v.At = sessionValue(f.Session.From)
	w := ForcedView{Session: p.spanText(f.Session.From, f.Session.To), Kept: f.Kept}
	for _, why := range f.Why {
		if why.Kind == planner.BecausePart && why.Short > 0 || why.Kind == planner.BecauseNoEnd {
			w.Lines = append(w.Lines, p.blockedText(why))
			continue
		}
		w.Lines = append(w.Lines, p.because(planner.Reason{Kind: why.Kind, Of: why.Of, Until: why.Until}))
	}
	if f.Kept {
		w.Lines = p.forcedCosts(f)
		w.Change = p.forcedChange(f)
		x := garage.Supposition{Kind: garage.FixedJob, ID: int64(v.Job.ID), From: f.Session.From}
		w.WhatIf = p.suppose(x)
	}
	v.Forced = &w
}

// forcedCosts are what the session costs over the plan as it is.
func (p Planned) forcedCosts(f planner.Forced) []string {
	var lines []string
	currency := p.Shot.Settings.Currency
	switch {
	case f.LateCost >= 1:
		lines = append(lines, garage.MoneyText(int64(f.LateCost), currency)+" more lost to lateness")
	case f.LateCost <= -1:
		lines = append(lines, garage.MoneyText(int64(-f.LateCost), currency)+" less lost to lateness")
	}
	if f.Overhead > 0 {
		lines = append(lines, WorkWords(f.Overhead)+" more to open, close and change cars")
	}
	switch days := f.Weighted / 24; {
	case days >= 0.5:
		lines = append(lines, "jobs end later: "+daysWords(days)+" in all, each times how much it matters")
	case len(lines) == 0:
		lines = append(lines, "it costs nothing")
	}
	return lines
}

// forcedChange lists what is otherwise with the job in that session.
func (p Planned) forcedChange(f planner.Forced) PlanChange {
	then := NewPlanned(p.Shot, p.Problem, f.Otherwise, p.Now)
	c := then.change(p.Answer.Record(), f.Otherwise.Record())
	c.Table.Columns[1].Head, c.Table.Columns[2].Head = "The plan", "With that"
	return c
}

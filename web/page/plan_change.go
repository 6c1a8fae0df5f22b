package page

import (
	"slices"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/ui"
)

// PlanChange is what is different between two plans: in a line, and job by job. The zero value is no difference.
type PlanChange struct {
	Line  string
	Table ui.TableData
}

// since is what became different since the plan before.
func (p Planned) since() PlanChange {
	after := p.Answer.Record()
	// A plan that no kept one was made for yet is compared with the kept one itself, where that tells a difference.
	if kept := p.Shot.Plan; kept != nil && p.Shot.PlanOf < p.Shot.Version {
		if c := p.change(*kept, after); c.Line != "" {
			c.Line = "Since the plan of " + p.whenText(kept.MadeAt) + ": " + c.Line
			return c
		}
	}
	if p.Shot.PlanBefore == nil {
		return PlanChange{}
	}
	c := p.change(*p.Shot.PlanBefore, after)
	if c.Line != "" {
		c.Line = "Since the plan of " + p.whenText(p.Shot.PlanBefore.MadeAt) + ": " + c.Line
	}
	return c
}

// change words what is different between two plans of this garage.
func (p Planned) change(before, after garage.PlanRecord) PlanChange {
	c := planner.Changes(before, after, p.Now.Location())
	v := PlanChange{Line: p.changeLine(c, after.LateCost-before.LateCost)}
	v.Table = ui.TableData{
		Caption: "What is different", Quiet: true,
		Columns: []ui.Column{{Head: "Job", Lead: true}, {Head: "Before"}, {Head: "Now"}},
	}
	for _, id := range c.Blocked {
		v.Table.Rows = append(v.Table.Rows, p.changeRow(id, p.startIn(before, id), "blocked: "+p.whyBlocked(id)))
	}
	for _, id := range c.Freed {
		v.Table.Rows = append(v.Table.Rows, p.changeRow(id, "blocked", p.startIn(after, id)))
	}
	for _, m := range c.Moved {
		row := p.changeRow(m.JobID, p.dayText(m.From.In(p.Now.Location())), p.dayText(m.To.In(p.Now.Location())))
		row[0].Sub += " · " + p.stages[planner.StageRef(m.StageID)].Name
		days := daysBetween(garage.DateOf(m.From.In(p.Now.Location())), garage.DateOf(m.To.In(p.Now.Location())))
		row[2].Sub = DayCount(max(days, -days)) + " later"
		if days < 0 {
			row[2].Sub = DayCount(-days) + " earlier"
		}
		v.Table.Rows = append(v.Table.Rows, row)
	}
	for _, id := range c.Added {
		v.Table.Rows = append(v.Table.Rows, p.changeRow(id, "not there", p.startIn(after, id)))
	}
	return v
}

func (p Planned) changeLine(c planner.Change, money int64) string {
	var words []string
	for _, part := range []struct {
		n         int
		one, many string
	}{
		{len(c.Moved), "job moved to another day", "jobs moved to another day"},
		{len(c.Blocked), "newly blocked", "newly blocked"},
		{len(c.Freed), "freed", "freed"},
		{len(c.Added), "new", "new"},
	} {
		if part.n > 0 {
			words = append(words, countWords(part.n, part.one, part.many))
		}
	}
	currency := p.Shot.Settings.Currency
	switch {
	case money > 0:
		words = append(words, garage.MoneyText(money, currency)+" more lost to lateness")
	case money < 0:
		words = append(words, garage.MoneyText(-money, currency)+" less lost to lateness")
	}
	return strings.Join(words, ", ")
}

func (p Planned) changeRow(id garage.JobID, before, now string) []ui.Cell {
	job := p.jobs[planner.JobRef(id)]
	return []ui.Cell{
		{Text: job.Title, Href: jobHref(garage.Job{ID: id, CarID: job.CarID}), Sub: p.cars[planner.CarRef(job.CarID)].Name}, {Text: before}, {Text: now},
	}
}

// startIn is the day on which a job began in a plan.
func (p Planned) startIn(r garage.PlanRecord, id garage.JobID) string {
	for _, s := range r.Stages {
		if s.JobID == id {
			return p.dayText(s.From.In(p.Now.Location()))
		}
	}
	return "not there"
}

func (p Planned) whyBlocked(id garage.JobID) string {
	i := slices.IndexFunc(p.Answer.Blocked, func(b planner.Blocked) bool { return b.Job == planner.JobRef(id) })
	if i < 0 {
		return ""
	}
	var why []string
	for _, w := range p.Answer.Blocked[i].Why {
		why = append(why, p.blockedText(w))
	}
	return strings.Join(why, "; ")
}

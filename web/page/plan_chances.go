package page

import (
	"fmt"
	"math"
	"slices"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/ui"
)

// PlanChancesView says how sure the dates of the plan are.
type PlanChancesView struct {
	Base
	Sub   string
	Dues  []DueRow
	Table ui.TableData
}

// NewPlanChances adds chances to the dates, and lists by when each job is likely done.
func NewPlanChances(base Base, p Planned, chances []planner.Chance, samples int, short []planner.Shortfall) PlanChancesView {
	v := PlanChancesView{Base: base, Sub: fmt.Sprintf("The plan carried out %d times, with work that takes shorter or longer and parts that come sooner or later.", samples), Dues: p.withShortfalls(p.withChances(p.dates(), chances), short)}
	v.Table = ui.TableData{Caption: "When jobs are likely done", Quiet: true, Columns: []ui.Column{
		{Head: "Job", Lead: true}, {Head: "In the plan"}, {Head: "Even odds"}, {Head: "In four of five cases"}, {Head: "In time", Num: true},
	}}
	ends := p.ends()
	for _, c := range byPlan(p, chances) {
		job := p.jobs[c.Job]
		row := p.changeRow(job.ID, p.untilText(ends[c.Job]), p.likelyText(c.P50))
		row = append(row, ui.Cell{Text: p.likelyText(c.P80)}, ui.Cell{})
		if !c.Due.IsZero() {
			row[4] = ui.Cell{Text: chanceText(c)}
		}
		v.Table.Rows = append(v.Table.Rows, row)
	}
	return v
}

// leastLoss is a loss on average, in minor units, below which it says nothing.
const leastLoss = 100

// byPlan puts chances into the order in which the plan ends the jobs.
func byPlan(p Planned, chances []planner.Chance) []planner.Chance {
	ends := p.ends()
	chances = slices.Clone(chances)
	slices.SortStableFunc(chances, func(a, b planner.Chance) int { return ends[a.Job].Compare(ends[b.Job]) })
	return chances
}

// isOf says whether a date is that of a job by the end of which it is due: a job may have several.
func (p Planned) isOf(d DueRow, job string, due time.Time) bool {
	return planner.JobRef(d.job) == job && d.due.AddDays(1).In(p.Now.Location()).Equal(due)
}

// withChances says with each date how likely it is kept, where that is known.
func (p Planned) withChances(dues []DueRow, chances []planner.Chance) []DueRow {
	for i := range dues {
		for _, c := range chances {
			if !p.isOf(dues[i], c.Job, c.Due) {
				continue
			}
			dues[i].Chance = chanceText(c) + " in time"
			if lost := losesText(c, dues[i].currency); lost != "" {
				dues[i].Chance += ", " + lost + " lost on average"
			}
		}
	}
	return dues
}

// withShortfalls says of dates that no plan can keep what is short.
func (p Planned) withShortfalls(dues []DueRow, short []planner.Shortfall) []DueRow {
	for i := range dues {
		for _, s := range short {
			if p.isOf(dues[i], s.Job, s.Due) {
				dues[i].Short = p.shortfallText(s)
			}
		}
	}
	return dues
}

func (p Planned) shortfallText(s planner.Shortfall) string {
	switch {
	case s.Short > 0 && s.Together:
		return fmt.Sprintf("Not all dates up to this one that cost something can be kept: short by %s.", WorkWords(s.Short))
	case s.Short > 0:
		return fmt.Sprintf("No plan can keep it: short by %s. It wants %s at the bench before, the sessions have %s.",
			WorkWords(s.Short), WorkWords(s.Need), WorkWords(s.Have))
	}
	return "No plan can keep it: what it waits for comes too late, so that it ends " + p.endDay(s.Earliest) + " at the earliest."
}

// chanceText is a chance with how far it may be off for want of samples: ≈ 83 % ± 2.
func chanceText(c planner.Chance) string {
	return fmt.Sprintf("≈\u00a0%.0f\u00a0%% ±\u00a0%d", 100*c.Done, int(math.Ceil(100*c.HalfWidth)))
}

// likelyText is a day by which a job is done, or that it is not within the sessions that are known.
func (p Planned) likelyText(t time.Time) string {
	if t.IsZero() {
		return "not within half a year"
	}
	return p.endDay(t)
}

// losesText is what is lost on average, where that says something. Beside a date that is as good as kept it would be the price of
// the one case in hundreds in which nothing goes right.
func losesText(c planner.Chance, currency string) string {
	if c.LateCost < leastLoss || math.Round(100*c.Done) == 100 {
		return ""
	}
	return garage.MoneyText(int64(math.Round(c.LateCost)), currency)
}

// JobChanceView says how sure the plan of a job is.
type JobChanceView struct {
	Base
	Job    garage.Job
	Chance []ui.Def
}

// NewJobChance words the chance of a job; a job without a place in the plan has none.
func NewJobChance(base Base, p Planned, job garage.Job, chances []planner.Chance) JobChanceView {
	v := JobChanceView{Base: base, Job: job}
	for _, c := range chances {
		if c.Job != planner.JobRef(job.ID) {
			continue
		}
		v.Chance = []ui.Def{
			{Term: "Done by, even odds", Text: p.likelyText(c.P50)},
			{Term: "In four of five cases", Text: p.likelyText(c.P80)},
		}
		if !c.Due.IsZero() {
			v.Chance = append(v.Chance, ui.Def{Term: "In time", Text: chanceText(c)})
		}
		v.Chance = append(v.Chance, ui.Def{Term: "Lost on average", Text: losesText(c, job.Currency)})
	}
	return v
}

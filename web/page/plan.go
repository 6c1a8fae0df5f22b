package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// planDays is how much of the plan one page shows: five weeks.
const planDays = 35

// mostBlocked is how many blocked jobs are shown before the rest is folded away.
const mostBlocked = 12

// PlanView is the plan of five weeks: a time line by car, the sessions with what is done in them and why not earlier, and
// what the plan cannot do.
type PlanView struct {
	Base
	Summary  string
	Change   PlanChange
	Jumps    []ui.Link // to the lists that stand below the sessions on the phone
	Range    string
	Earlier  string // address of the five weeks before, empty at the start
	Later    string
	Chart    Chart
	Sessions []SessionRow
	After    string // the day from which there is more
	Blocked  []BlockedRow
	Folded   []BlockedRow // the rest
	Orders   []OrderRow
	Notes    []NoteRow
	Dues     []DueRow
	Totals   []ui.Def
	NoJobs   bool
	NoHours  bool // not one session ahead
	Longer   bool // a longer look may find a better one
}

// SessionRow is one session with what is done in it.
type SessionRow struct {
	Title string
	Sub   string
	Work  []WorkRow
}

// with is who else is there.
func (s SessionRow) with() string {
	if s.Sub == "" {
		return ""
	}
	return " · " + s.Sub
}

// WorkRow is a piece of work in a session: a stage, or what surrounds stages in a visit.
type WorkRow struct {
	At     string
	Title  string
	Href   string // empty for what surrounds stages
	Sub    string // car, stage; of what surrounds stages the car, where it is another one than before
	Length string
	Mood   ui.Mood
	Why    string
	// WhyHref leads to the whole of why.
	WhyHref string
	start   time.Time
	car     string
}

// BlockedRow is a job that cannot be planned and what would free it.
type BlockedRow struct {
	Title string
	Href  string
	Car   string
	Why   []string
	Frees []ui.Link
	// WhyHref leads to the least that would free it.
	WhyHref string
}

// OrderRow is a part that the plan counts on and nobody has ordered.
type OrderRow struct {
	Part  string
	Href  string
	By    string
	For   string
	Today bool // by today, or too late already
	by    garage.Date
}

// NoteRow is a wish of the owner's that could not be kept.
type NoteRow struct {
	Title string
	Href  string
	Text  string
}

// DueRow is a due date with what it costs to miss and where the plan stands.
type DueRow struct {
	Title string
	Href  string
	For   string
	Text  string
	Lost  bool // money is lost by the plan as it stands
	Mood  ui.Mood
	due   garage.Date

	Short  string // why no plan can keep it
	Chance string // how likely it is kept, where that was worked out

	job      garage.JobID
	cost     int64 // what is lost by the plan as it stands, minor units
	currency string
}

// NewPlan shows the five weeks from a day on.
func NewPlan(base Base, p Planned, from garage.Date) PlanView {
	today := garage.DateOf(p.Now)
	if from.Before(today) {
		from = today
	}
	to := from.AddDays(planDays)
	start, end := from.In(p.Now.Location()), to.In(p.Now.Location())
	v := PlanView{
		Base:    base,
		Summary: p.summary(),
		Change:  p.since(),
		Range:   p.dayText(start) + " to " + p.dayText(end.Add(-time.Minute)),
		Chart:   newChart(p, start, end),
		Orders:  p.orders(),
		Notes:   p.notes(),
		Dues:    p.dates(),
		Totals:  p.totals(),
		NoJobs:  len(p.Shot.Jobs) == 0,
		NoHours: len(p.Problem.Sessions) == 0,
		Longer:  len(p.ends()) > 1 && !p.Answer.Totals.Optimal,
	}
	v.Sessions = p.sessionRows(start, end)
	if today.Before(from) {
		earlier := from.AddDays(-planDays)
		v.Earlier = route.PlanFrom(earlier.String())
		if !today.Before(earlier) {
			v.Earlier = route.Plan()
		}
	}
	if p.lastEnd().After(end) {
		v.Later = route.PlanFrom(to.String())
		v.After = p.dayText(end)
	}
	v.Blocked, v.Folded = p.blockedRows()
	v.Jumps = v.jumps()
	return v
}

func (v PlanView) jumps() []ui.Link {
	var links []ui.Link
	for _, list := range []struct {
		length          int
		one, many, name string
	}{
		{len(v.Notes), "pin not kept", "pins not kept", "pins"},
		{len(v.Dues), "date", "dates", "dates"},
		{len(v.Orders), "part to order", "parts to order", "orders"},
		{len(v.Blocked) + len(v.Folded), "job blocked", "jobs blocked", "blocked"},
	} {
		if list.length > 0 {
			links = append(links, ui.Link{Text: countWords(list.length, list.one, list.many), Href: "#" + list.name})
		}
	}
	return links
}

func (p Planned) summary() string {
	placed := map[string]bool{}
	for _, s := range p.Answer.Stages {
		placed[s.Job] = true
	}
	text := fmt.Sprintf("Planned %s · %s planned", p.whenText(p.Now), countWords(len(placed), "job", "jobs"))
	if n := len(p.Answer.Blocked); n > 0 {
		text += fmt.Sprintf(", %d blocked", n)
	}
	return text
}

func (p Planned) lastEnd() time.Time {
	var last time.Time
	for _, s := range p.Answer.Stages {
		if s.To.After(last) {
			last = s.To
		}
	}
	return last
}

// sessionRows are the sessions between two instants, and between them the days on which a wait or outside work begins while
// there is none.
func (p Planned) sessionRows(start, end time.Time) []SessionRow {
	var rows []SessionRow
	since := start
	for _, s := range p.Problem.Sessions {
		if !s.To.After(start) || !s.From.Before(end) {
			continue
		}
		rows = append(rows, p.betweenRows(since, s.From)...)
		row := SessionRow{Title: p.spanText(s.From, s.To), Work: p.work(s.From, s.To)}
		if s.Helpers > 0 {
			row.Sub = countWords(s.Helpers, "helper", "helpers")
		}
		rows = append(rows, row)
		since = s.To.Add(time.Minute)
	}
	return append(rows, p.betweenRows(since, end)...)
}

// betweenRows are the days on which a wait or outside work begins between two instants.
func (p Planned) betweenRows(from, to time.Time) []SessionRow {
	var rows []SessionRow
	for _, s := range p.Answer.Stages {
		if len(s.Pieces) > 0 || s.From.Before(from) || !s.From.Before(to) {
			continue
		}
		title := p.dayText(s.From.In(p.Now.Location()))
		if len(rows) == 0 || rows[len(rows)-1].Title != title {
			rows = append(rows, SessionRow{Title: title, Sub: "no session"})
		}
		last := &rows[len(rows)-1]
		last.Work = append(last.Work, p.passingRow(s))
	}
	return rows
}

// work is what is done between two instants, in order: pieces of stages, and the opening, closing and changing between them.
func (p Planned) work(from, to time.Time) []WorkRow {
	var rows []WorkRow
	for _, s := range p.Answer.Stages {
		for i, piece := range s.Pieces {
			if !piece.From.Before(from) && piece.From.Before(to) {
				rows = append(rows, p.pieceRow(s, i))
			}
		}
		// What begins at the session's very end is put off the owner's hands in it.
		if len(s.Pieces) == 0 && !s.From.Before(from) && !s.From.After(to) {
			rows = append(rows, p.passingRow(s))
		}
	}
	for _, v := range p.Answer.Visits {
		for _, o := range v.Overhead {
			if !o.From.Before(from) && o.From.Before(to) {
				row := WorkRow{At: p.clock(o.From), Title: p.overheadText(o, v.Car), Length: WorkWords(int(o.To.Sub(o.From).Minutes())), start: o.From, car: v.Car}
				if o.Kind != planner.OverheadChange { // which names the car
					row.Sub = p.cars[v.Car].Name
				}
				rows = append(rows, row)
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b WorkRow) int { return a.start.Compare(b.start) })
	for i := range rows {
		if row := &rows[i]; row.Href == "" && i > 0 && row.car == rows[i-1].car {
			row.Sub = ""
		}
	}
	return rows
}

func (p Planned) clock(t time.Time) string { return t.In(p.Now.Location()).Format("15:04") }

func (p Planned) pieceRow(s planner.PlacedStage, i int) WorkRow {
	job, stage, piece := p.jobs[s.Job], p.stages[s.Stage], s.Pieces[i]
	row := WorkRow{
		At: p.clock(piece.From), Title: job.Title, Href: jobHref(job), Sub: p.cars[s.Car].Name + " · " + stage.Name,
		Length: WorkWords(int(piece.To.Sub(piece.From).Minutes())), start: piece.From, car: s.Car,
		Mood: mood(s.Because), Why: p.because(s.Because), WhyHref: jobWhyHref(job),
	}
	if i > 0 {
		row.Mood, row.Why, row.WhyHref = ui.Ready, "goes on", ""
	}
	return row
}

// passingRow is a wait or outside work at its start.
func (p Planned) passingRow(s planner.PlacedStage) WorkRow {
	job, stage := p.jobs[s.Job], p.stages[s.Stage]
	what := "waits"
	if stage.Kind == garage.OutsideWork {
		what = "away"
	}
	return WorkRow{
		At: p.clock(s.From), Title: job.Title, Href: jobHref(job), Sub: p.cars[s.Car].Name + " · " + stage.Name,
		Mood: ui.Waits, Why: what + " until " + p.untilText(s.To), start: s.From, car: s.Car,
	}
}

func (p Planned) blockedRows() (shown, folded []BlockedRow) {
	var rows []BlockedRow
	for _, b := range p.Answer.Blocked {
		job := p.jobs[b.Job]
		row := BlockedRow{Title: job.Title, Href: jobHref(job), WhyHref: jobWhyHref(job), Car: p.cars[planner.CarRef(job.CarID)].Name}
		for _, w := range b.Why {
			row.Why = append(row.Why, p.blockedText(w))
		}
		row.Frees = p.helps(job)
		rows = append(rows, row)
	}
	// What can be helped by itself comes before what only waits for another blocked job.
	slices.SortStableFunc(rows, func(a, b BlockedRow) int { return cmp.Compare(len(a.Why), len(b.Why)) })
	cut := min(mostBlocked, len(rows))
	return rows[:cut], rows[cut:]
}

// helps leads to where what blocks a job can be helped.
func (p Planned) helps(job garage.Job) []ui.Link {
	var links []ui.Link
	for _, b := range p.Answer.Blocked {
		if b.Job != planner.JobRef(job.ID) {
			continue
		}
		for _, w := range b.Why {
			if link := p.frees(job, w); link.Href != "" && !slices.Contains(links, link) {
				links = append(links, link)
			}
		}
	}
	return links
}

// orders are the parts that the plan counts on by an order not made yet, the most urgent first.
func (p Planned) orders() []OrderRow {
	var rows []OrderRow
	today := garage.DateOf(p.Now)
	for _, promise := range p.Answer.Promises {
		if promise.Source != planner.FromOrder {
			continue
		}
		part, job := p.parts[promise.Part], p.jobs[promise.Job]
		row := OrderRow{
			Part: quantityText(promise.Qty, part), Href: route.Part(part.ID), For: job.Title + ", " + p.cars[planner.CarRef(job.CarID)].Name,
		}
		if by := promise.OrderBy; !by.IsZero() {
			row.by = garage.DateOf(by.Time)
			row.By = p.dayText(row.by.In(p.Now.Location()))
			row.Today = !today.Before(row.by)
		}
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(a, b OrderRow) int { return a.by.Compare(b.by) })
	return rows
}

func (p Planned) notes() []NoteRow {
	var rows []NoteRow
	for _, n := range p.Answer.Notes {
		job := p.jobs[n.Job]
		pin := "the session it is pinned to"
		if job.PinnedAt != nil {
			pin = "its pin, " + p.whenText(*job.PinnedAt)
		}
		rows = append(rows, NoteRow{
			Title: job.Title, Href: jobHref(job),
			Text: "Not in " + pin + ": " + p.because(planner.Reason{Kind: n.Kind, Of: n.Of, Until: n.Until}) + ".",
		})
	}
	return rows
}

// dues are the jobs with a due date, in order of it.
func (p Planned) dues() []DueRow {
	ends := p.ends()
	var rows []DueRow
	for _, job := range p.Shot.Jobs {
		if job.Due == nil {
			continue
		}
		due := *job.Due
		row := DueRow{
			Title: job.Title, Href: jobHref(job), due: due, job: job.ID, currency: job.Currency,
			For: cmp.Or(job.DueFor, "Due") + ", " + p.dayText(due.In(p.Now.Location())),
		}
		end, placed := ends[planner.JobRef(job.ID)]
		limit := due.AddDays(1).In(p.Now.Location())
		switch {
		case !placed:
			row.Mood, row.Text, row.cost = ui.Blocked, "no date: the job is blocked"+p.atRisk(job, 1), lateCost(job, 1)
			if p.leftOut[planner.JobRef(job.ID)] {
				row.Text = "blocked: left out" + p.atRisk(job, 1)
			}
		case end.After(limit):
			days := int((end.Sub(limit) + 24*time.Hour - 1) / (24 * time.Hour))
			row.Mood, row.cost = ui.Blocked, lateCost(job, days)
			row.Text = fmt.Sprintf("late: done %s, %s too late%s", p.untilText(end), DayCount(days), p.atRisk(job, days))
		default:
			row.Mood, row.Text = ui.Done, "in time: done "+p.untilText(end)
		}
		row.Lost = row.cost > 0
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(a, b DueRow) int { return a.due.Compare(b.due) })
	return rows
}

// atRisk is what lateness of so many days costs.
func (p Planned) atRisk(job garage.Job, days int) string {
	cost := lateCost(job, days)
	if cost == 0 {
		return ""
	}
	return ", " + garage.MoneyText(cost, job.Currency) + " lost"
}

func lateCost(job garage.Job, days int) int64 { return job.LateCost + job.LateCostPerDay*int64(days) }

// ends are when the jobs that are placed end.
func (p Planned) ends() map[string]time.Time {
	ends := map[string]time.Time{}
	for _, s := range p.Answer.Stages {
		if s.To.After(ends[s.Job]) {
			ends[s.Job] = s.To
		}
	}
	return ends
}

// estimatesText says what the plan takes the owner's estimates for, once something is known of how they turn out.
func (p Planned) estimatesText() string {
	if len(p.Shot.Took) == 0 {
		return ""
	}
	all := planner.FactorsOf(p.Shot.Took).All
	all.Records = len(p.Shot.Took)
	if planner.PlansAsLearnt(p.Shot) {
		return "taken as they turn out: " + factorText(all)
	}
	return "taken as written; they turn out " + factorText(all)
}

// goodText says how far the plan can be from the best there is.
func (p Planned) goodText() string {
	t := p.Answer.Totals
	switch over := t.WeightedCompletion - t.Bound; {
	case len(p.Answer.Stages) == 0:
		return ""
	case t.Optimal:
		return "optimal: no order of the work is better"
	case over <= 0 || t.Bound <= 0:
		return "no plan ends its jobs sooner"
	default:
		return fmt.Sprintf("its jobs end at most %.0f\u00a0%% later than in the best plan there can be, weighed by how much they matter", math.Ceil(100*over/t.Bound))
	}
}

func (p Planned) totals() []ui.Def {
	t := p.Answer.Totals
	late := "nothing"
	if t.LateCost > 0 {
		late = garage.MoneyText(int64(t.LateCost), p.Shot.Settings.Currency)
	}
	return []ui.Def{
		{Term: "How good it is", Text: p.goodText()},
		{Term: "Your estimates", Text: p.estimatesText()},
		{Term: "Lost to lateness", Text: late},
		{Term: "Opening, closing, changing cars", Text: WorkWords(t.OverheadMinutes)},
		{Term: "Saved by sharing them", Text: WorkWords(t.MinutesSaved)},
	}
}

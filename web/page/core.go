package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/internal/trade/cost"
	"axlestand/internal/trade/deposit"
	"axlestand/internal/trade/interval"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// CoreForm is a core deposit as typed.
type CoreForm struct {
	Version, Job, Supplier, OrderNumber, Deposit, Tax string
	Window, WindowCount, Basis, BasisOn               string
	Box, Drained, Complete, FreightByBuyer            string
	Refund, RefundCount                               string
	ReturnTo, ReturnNumber, Note                      string
	Errors                                            garage.FieldErrors
}

// BlankCoreForm is the form of a deposit for a part that is bought from its usual supplier.
func BlankCoreForm(part garage.Part) CoreForm {
	return CoreForm{
		Supplier: part.Supplier, WindowCount: string(deposit.CalendarDays), Basis: string(deposit.FromPurchase),
		RefundCount: string(deposit.CalendarDays), Tax: "0",
	}
}

// NewCoreForm is the form filled from what is stored.
func NewCoreForm(c garage.Core) CoreForm {
	f := CoreForm{
		Version: strconv.FormatInt(c.Version, 10), Supplier: c.Supplier, OrderNumber: c.OrderNumber,
		Deposit: garage.MoneyFigure(c.Deposit, c.Currency), Tax: strings.TrimSuffix(c.Tax.String(), "\u00a0%"),
		Window: strconv.Itoa(c.WindowN), WindowCount: string(c.WindowCount), Basis: string(c.Basis), BasisOn: dateText(c.BasisOn),
		Box: yes(c.Box), Drained: yes(c.Drained), Complete: yes(c.Complete), FreightByBuyer: yes(c.FreightByBuyer),
		Refund: intText(c.RefundN), RefundCount: string(c.RefundCount), ReturnTo: c.ReturnTo, ReturnNumber: c.ReturnNumber, Note: c.Note,
	}
	if c.JobID != nil {
		f.Job = idText(*c.JobID)
	}
	return f
}

// ReadCoreForm is the form as sent.
func ReadCoreForm(v url.Values) CoreForm {
	return CoreForm{
		Version: v.Get("version"), Job: v.Get("job"), Supplier: v.Get("supplier"), OrderNumber: v.Get("order_number"),
		Deposit: v.Get("deposit"), Tax: v.Get("tax"), Window: v.Get("window"), WindowCount: v.Get("window_count"),
		Basis: v.Get("basis"), BasisOn: v.Get("basis_on"), Box: v.Get("box"), Drained: v.Get("drained"), Complete: v.Get("complete"),
		FreightByBuyer: v.Get("freight_by_buyer"), Refund: v.Get("refund"), RefundCount: v.Get("refund_count"),
		ReturnTo: v.Get("return_to"), ReturnNumber: v.Get("return_number"), Note: v.Get("note"),
	}
}

// Core reads what was typed over what is there, and notes in Errors what does not parse or does not hold.
func (f *CoreForm) Core(over garage.Core) garage.Core {
	var in fields
	c := over
	c.Version, c.JobID = version(f.Version), nil
	if id := in.id("job", f.Job); id != 0 {
		c.JobID = new(garage.JobID(id))
	}
	c.Supplier, c.OrderNumber = strings.TrimSpace(f.Supplier), strings.TrimSpace(f.OrderNumber)
	c.Deposit = in.money("deposit", f.Deposit, c.Currency)
	c.Tax = 0
	if strings.TrimSpace(f.Tax) != "" {
		tax, err := cost.ParsePercent(f.Tax)
		if err != nil {
			in.Errors.Add("tax", garage.TradeSentence(err))
		}
		c.Tax = tax
	}
	c.WindowN, c.WindowCount = in.int("window", f.Window), deposit.Count(f.WindowCount)
	c.Basis, c.BasisOn = deposit.Basis(f.Basis), in.optionalDate("basis_on", f.BasisOn)
	c.Box, c.Drained, c.Complete, c.FreightByBuyer = f.Box != "", f.Drained != "", f.Complete != "", f.FreightByBuyer != ""
	c.RefundN, c.RefundCount = in.optionalInt("refund", f.Refund), deposit.Count(f.RefundCount)
	c.ReturnTo, c.ReturnNumber, c.Note = strings.TrimSpace(f.ReturnTo), strings.TrimSpace(f.ReturnNumber), strings.TrimSpace(f.Note)
	f.Errors = in.with(c.Validate())
	return c
}

// Conflict sets the form beside what is stored.
func (f CoreForm) Conflict(stored CoreForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Supplier", Yours: f.Supplier, Stored: stored.Supplier},
		{Field: "Order", Yours: f.OrderNumber, Stored: stored.OrderNumber},
		{Field: "Deposit", Yours: f.Deposit, Stored: stored.Deposit},
		{Field: "Tax", Yours: f.Tax, Stored: stored.Tax},
		{Field: "Window", Yours: f.Window + " " + f.WindowCount, Stored: stored.Window + " " + stored.WindowCount},
		{Field: "Counted from", Yours: f.Basis + " " + f.BasisOn, Stored: stored.Basis + " " + stored.BasisOn},
		{Field: "In the new part's box", Yours: f.Box, Stored: stored.Box},
		{Field: "Drained", Yours: f.Drained, Stored: stored.Drained},
		{Field: "Complete", Yours: f.Complete, Stored: stored.Complete},
		{Field: "Freight at your cost", Yours: f.FreightByBuyer, Stored: stored.FreightByBuyer},
		{Field: "Refund within", Yours: f.Refund + " " + f.RefundCount, Stored: stored.Refund + " " + stored.RefundCount},
		{Field: "Return to", Yours: f.ReturnTo, Stored: stored.ReturnTo},
		{Field: "Number of the return", Yours: f.ReturnNumber, Stored: stored.ReturnNumber},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var coreLabels = []ui.Option{
	{Value: "supplier", Text: "Supplier"},
	{Value: "order_number", Text: "Order"},
	{Value: "job", Text: "Job that frees the old unit"},
	{Value: "deposit", Text: "Deposit"},
	{Value: "tax", Text: "Tax"},
	{Value: "window", Text: "Window"},
	{Value: "window_count", Text: "Counted in"},
	{Value: "basis", Text: "Counted from"},
	{Value: "basis_on", Text: "That day"},
	{Value: "refund", Text: "Refund within"},
	{Value: "refund_count", Text: "Refund counted in"},
	{Value: "return_to", Text: "Return to"},
	{Value: "return_number", Text: "Number of the return"},
	{Value: "note", Text: "Note"},
}

// CoreFormView is the page of a core deposit's form; the core's ID is zero for a new one.
type CoreFormView struct {
	Base
	Core garage.Core
	Part garage.Part
	Jobs []ui.Option
	Form CoreForm
}

// Action is where the form is sent.
func (v CoreFormView) Action() string {
	if v.Core.ID == 0 {
		return route.CoresOf(v.Core.PartID)
	}
	return route.Core(v.Core.ID)
}

// NewCoreForm is the page of a core deposit's form; jobs of the plan may free the old unit.
func (p Planned) NewCoreForm(base Base, core garage.Core, part garage.Part, form CoreForm) CoreFormView {
	jobs := append([]ui.Option{{Text: "None"}}, p.jobOptions()...)
	if form.Job != "" {
		known := false
		for _, o := range jobs {
			known = known || o.Value == form.Job
		}
		if !known && core.JobID != nil && form.Job == idText(*core.JobID) {
			jobs = append(jobs, ui.Option{Value: form.Job, Text: "A job that is closed"})
		}
	}
	return CoreFormView{Base: base, Core: core, Part: part, Jobs: jobs, Form: form}
}

func coreCounts() (options []ui.Option) {
	for _, c := range garage.CoreCounts {
		options = append(options, ui.Option{Value: string(c), Text: string(c)})
	}
	return options
}

func coreBases() []ui.Option {
	return []ui.Option{
		{Value: string(deposit.FromPurchase), Text: "the purchase"},
		{Value: string(deposit.FromShipping), Text: "the shipping"},
		{Value: string(deposit.FromDelivery), Text: "the delivery"},
		{Value: string(deposit.FromInvoice), Text: "the invoice"},
	}
}

// CoresView lists the core deposits.
type CoresView struct {
	Base
	Totals []string // paid = refunded + lost + outstanding, for each currency
	Table  ui.TableData
}

// NewCores lists the core deposits with the days left and what to do next.
func NewCores(base Base, p Planned, rows []garage.CoreRow) CoresView {
	v := CoresView{Base: base, Totals: coreTotals(rows), Table: ui.TableData{
		Caption: "Core deposits", Quiet: true,
		Columns: []ui.Column{{Head: "Unit", Lead: true}, {Head: "Deposit"}, {Head: "Last day"}, {Head: "Freed by"}, {Head: "Next"}},
	}}
	for _, c := range rows {
		a := p.coreAlarm(c.Core)
		job := ui.Cell{Text: "no job"}
		if c.JobTitle != nil {
			job = ui.Cell{Text: *c.JobTitle, Href: route.Job(*c.FreedBy), Sub: joined(", ", conditional(c.DonorPartID != nil, "a donor's unit"), a.freed)}
		}
		money := ui.Cell{Text: garage.MoneyText(c.Paid, c.Currency)}
		if c.Outstanding != c.Paid {
			money.Sub = coreSplit(c.Refunded, c.Forfeited, c.Outstanding, c.Currency)
		}
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: c.PartName, Href: route.Core(c.ID), Sub: joined(" · ", c.Supplier, c.OrderNumber)},
			money,
			{Body: ui.State(a.Mood, a.Left)},
			job,
			{Text: coreNext(c.Core)},
		})
	}
	return v
}

func coreSplit(refunded, forfeited, outstanding int64, currency string) string {
	return garage.MoneyText(refunded, currency) + " refunded, " + garage.MoneyText(forfeited, currency) + " lost, " +
		garage.MoneyText(outstanding, currency) + " outstanding"
}

func coreTotals(rows []garage.CoreRow) (lines []string) {
	type sum struct{ paid, refunded, forfeited, outstanding int64 }
	sums := map[string]*sum{}
	var order []string
	for _, c := range rows {
		s := sums[c.Currency]
		if s == nil {
			s = &sum{}
			sums[c.Currency] = s
			order = append(order, c.Currency)
		}
		s.paid += c.Paid
		s.refunded += c.Refunded
		s.forfeited += c.Forfeited
		s.outstanding += c.Outstanding
	}
	for _, currency := range order {
		s := sums[currency]
		lines = append(lines, garage.MoneyText(s.paid, currency)+" paid = "+
			strings.ReplaceAll(coreSplit(s.refunded, s.forfeited, s.outstanding, currency), ", ", " + "))
	}
	return lines
}

// coreNext is what to do with the unit next.
func coreNext(c garage.Core) string {
	switch c.State {
	case deposit.Owed:
		return conditional(c.DonorPartID == nil, "take the old unit off") + conditional(c.DonorPartID != nil, "take the unit off the donor")
	case deposit.Removed:
		return joined(", ", conditional(c.Drained, "drain it"), "box it")
	case deposit.Boxed:
		return "send it"
	case deposit.Sent:
		return "wait for the supplier to receive it"
	case deposit.Received:
		return "wait for the supplier to accept it"
	case deposit.Accepted:
		return "wait for the refund"
	case deposit.Rejected:
		return "send it once more, or give it up"
	}
	return "nothing: " + strings.ReplaceAll(string(c.State), "forfeited", "the deposit is lost")
}

func conditional(yes bool, text string) string {
	if yes {
		return text
	}
	return ""
}

// CoreAlarm says how near the last day of a unit is.
type CoreAlarm struct {
	Mood  ui.Mood
	Left  string
	Late  string // the job that frees it is planned after the last day
	freed string
}

func (p Planned) coreAlarm(c garage.Core) CoreAlarm {
	if !c.Unposted() {
		return CoreAlarm{Mood: ui.Done, Left: string(c.State)}
	}
	last, known := c.LastDay(p.Shot.Settings.Holidays)
	if !known {
		return CoreAlarm{Mood: ui.Loose, Left: "the day of the " + basisWord(c.Basis) + " is not noted"}
	}
	var freed garage.Date
	a := CoreAlarm{Mood: ui.Ready}
	if c.FreedBy != nil && c.OnCar() {
		if end, placed := p.ends()[planner.JobRef(*c.FreedBy)]; placed {
			freed = garage.DateOf(end.Add(-time.Minute).In(p.Now.Location()))
			a.freed = "planned to be done " + DayWords(freed)
		}
	}
	alarm := deposit.AlarmOf(interval.Date(last), interval.Date(garage.DateOf(p.Now)), interval.Date(freed))
	a.Left = DayWords(last) + ", " + coreDays(alarm.DaysLeft)
	switch {
	case alarm.Level == deposit.TooLate:
		a.Mood = ui.Blocked
	case alarm.FreedTooLate:
		a.Mood, a.Late = ui.Blocked, "As planned the old unit comes off on "+DayWords(freed)+", after the last day: "+
			garage.MoneyText(c.Outstanding, c.Currency)+" would be lost."
	case alarm.Level != deposit.InTime:
		a.Mood = ui.Waits
	}
	return a
}

func coreDays(left int) string {
	switch {
	case left < 0:
		return countWords(-left, "day", "days") + " too late"
	case left == 0:
		return "today"
	}
	return countWords(left, "day", "days") + " left"
}

func basisWord(b deposit.Basis) string {
	if b == deposit.FromShipping {
		return "shipping"
	}
	return string(b)
}

// CoreSaving is a plan with the job that frees an old unit in time.
type CoreSaving struct {
	WhatIf string
	Costs  []string // what it costs over the plan as it is
	When   string   // where no session does: the job's dates
}

// coreTries is how many sessions are tried, the latest first.
const coreTries = 4

// CoreSaving looks for a session in which the job that frees an old unit would be done by the last day; nil when the unit is not in
// danger as planned.
func (p Planned) CoreSaving(c garage.Core) (*CoreSaving, error) {
	if p.coreAlarm(c).Late == "" {
		return nil, nil //nolint:nilnil // nothing to save
	}
	last, _ := c.LastDay(p.Shot.Settings.Holidays)
	ref, end := planner.JobRef(*c.FreedBy), last.AddDays(1).In(p.Now.Location())
	saving := CoreSaving{When: route.JobWhen(*c.FreedBy)}
	for _, at := range p.sessionsBy(*c.FreedBy, end) {
		f, err := planner.Force(p.Problem, p.Answer, ref, at)
		if err != nil {
			return nil, err
		}
		if done, placed := lastDays(f.Otherwise)[ref]; f.Kept && placed && !done.After(end) {
			saving.WhatIf = p.suppose(garage.Supposition{Kind: garage.FixedJob, ID: int64(*c.FreedBy), From: at})
			saving.Costs = p.forcedCosts(f)
			break
		}
	}
	return &saving, nil
}

// sessionsBy are the latest sessions that leave enough bench time for a job until then, the last of them first.
func (p Planned) sessionsBy(job garage.JobID, end time.Time) (starts []time.Time) {
	need := p.benchMinutes(job)
	for i := len(p.Problem.Sessions) - 1; i >= 0 && len(starts) < coreTries; i-- {
		s := p.Problem.Sessions[i]
		if s.To.After(end) || s.From.Before(p.Now) {
			continue
		}
		if need -= int(s.To.Sub(s.From).Minutes()); need <= 0 {
			starts = append(starts, s.From)
		}
	}
	return starts
}

// dates are the due dates with those of the old units that jobs free, by day.
func (p Planned) dates() []DueRow {
	rows, ends := p.dues(), p.ends()
	for _, c := range p.Shot.Cores {
		last, known := c.LastDay(p.Shot.Settings.Holidays)
		if !known || !c.Unposted() || c.FreedBy == nil || !c.OnCar() {
			continue
		}
		job, open := p.jobs[planner.JobRef(*c.FreedBy)]
		if !open {
			continue
		}
		row := DueRow{
			Title: p.parts[planner.PartRef(c.PartID)].Name, Href: route.Core(c.ID), For: "Core deposit, " + p.dayText(last.In(p.Now.Location())),
			due: last, job: job.ID, currency: c.Currency,
		}
		end, placed := ends[planner.JobRef(job.ID)]
		switch a := p.coreAlarm(c); {
		case a.Late != "":
			row.Mood, row.Text, row.cost = ui.Blocked, a.Late, c.Outstanding
		case !placed:
			row.Mood, row.Text = ui.Blocked, "no date: "+job.Title+" is blocked"
		default:
			row.Mood, row.Text = a.Mood, "the old unit is off on "+p.untilText(end)
			if a.Mood == ui.Ready {
				row.Mood = ui.Done
			}
		}
		row.Lost = row.cost > 0
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(a, b DueRow) int { return a.due.Compare(b.due) })
	return rows
}

// coreRows are the old units on their cars whose last day is near, or that come off too late as planned.
func (p Planned) coreRows() (rows []NeedsRow) {
	for _, c := range p.Shot.Cores {
		a := p.coreAlarm(c)
		if a.Mood == ui.Ready {
			continue
		}
		last, _ := c.LastDay(p.Shot.Settings.Holidays)
		text := "core deposit: " + a.Left
		if a.Late != "" {
			text = a.Late
		}
		rows = append(rows, NeedsRow{
			Title: p.parts[planner.PartRef(c.PartID)].Name, Href: route.Core(c.ID), Text: text, Mood: a.Mood, rank: rankOf(a.Late != ""), on: last,
		})
	}
	return rows
}

// CoreUnit is a unit on a donor that may go back in place of the car's own.
type CoreUnit struct {
	ui.ListItem
	Fields  []ui.KeyValue // that choose it
	Harvest string        // where its harvest is planned, when it is not yet
}

// coreUnits are the units of the same part on donors: the one that goes back, or those that may.
func (p Planned) coreUnits(c garage.Core) (chosen *CoreUnit, others []CoreUnit) {
	for _, d := range p.Shot.DonorParts {
		if d.PartID != c.PartID {
			continue
		}
		car := p.cars[planner.CarRef(d.CarID)]
		u := CoreUnit{
			ListItem: ui.ListItem{Title: car.Name, Href: route.Donor(d.CarID), Sub: joined(", ", countWords(d.Quantity, "unit", "units")+" on it", foundOut(d.Condition))},
			Fields:   []ui.KeyValue{{Name: "donor_part", Value: idText(d.ID)}},
		}
		if d.HarvestJobID == nil {
			u.Harvest = route.Harvest(d.CarID)
		}
		switch {
		case c.DonorPartID != nil && *c.DonorPartID == d.ID:
			chosen = &u
		case d.Free() > 0:
			others = append(others, u)
		}
	}
	return chosen, others
}

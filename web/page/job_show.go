package page

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// JobPlanned is where the plan puts a job, in words. The zero value says nothing.
type JobPlanned struct {
	From string
	To   string
	Why  string // what keeps it from being earlier, or blocks it
}

// JobShowView is the page of one job.
type JobShowView struct {
	Base
	Job      garage.Job
	CarName  string
	Planned  JobPlanned
	Facts    []ui.Def
	After    []ui.ListItem
	Before   []ui.ListItem
	Troubles []string
	Caution  string // what to mind before the stages that are open
	Stages   []StageView
	Kit      ui.TableData
	KitSum   KitSum
	Specs    ui.TableData // torque specs that its stages call for
	SpecNew  string       // where one is added; empty once the job is closed
	Harvest  []HarvestView
	TakeOff  bool   // parts are left to take off
	Repeats  string // how its rounds stand
	Look     string // how its look back stands
	Like     []LikeLook
	AllDone  bool
	Guarded  bool // others count on it: deleting asks first
	Took     TookForm
	Photos   PhotoStripView
}

// through says whether all stages are done, so that the job can be closed.
func (v JobShowView) through() bool { return v.AllDone && len(v.Stages) > 0 }

// cardButton is how much the card matters: what is through is closed next.
func (v JobShowView) cardButton() ui.Kind {
	if v.through() {
		return ui.Secondary
	}
	return ui.Primary
}

// atBench says whether any of it is done at the bench: only that has a card.
func (v JobShowView) atBench() bool {
	return slices.ContainsFunc(v.Stages, func(s StageView) bool { return s.Bench })
}

// StageView is a stage as the job's page shows it.
type StageView struct {
	ID       garage.StageID
	Name     string
	Number   int
	State    templ.Component
	Time     string
	Words    []string // what it needs and does, a sentence each
	Done     bool
	Next     bool // the first that is not done
	Immobile bool // the car cannot roll during it
	Bench    bool
	Took     string // how long it took, as it would be typed
	Measured bool   // that is what its card's marks come to, and nobody said so yet
}

// HarvestView is a part that a harvest job takes off.
type HarvestView struct {
	Name  string
	State templ.Component
}

// NewJobShow is the page of a job as the sheet has it.
func NewJobShow(b Base, sheet garage.JobSheet, settings garage.Settings, now time.Time) JobShowView {
	zone := settings.Location()
	today := garage.DateOf(now.In(zone))
	lines := sheet.Kit()
	v := JobShowView{
		Base: b, Job: sheet.Job, CarName: sheet.Car.Name,
		Facts:   jobFacts(sheet, today, zone),
		After:   linkItems(sheet.After),
		Before:  linkItems(sheet.Before),
		Stages:  stageViews(sheet, zone),
		Kit:     kitTable(sheet, lines, today, settings.DistanceUnit),
		KitSum:  newKitSum(sheet, lines),
		AllDone: true,
		Guarded: len(sheet.Before) > 0,
	}
	if open := openStage(sheet); open != 0 {
		v.SpecNew = route.TorqueSpecNewAt(sheet.Job.CarID, open)
	}
	troubles := garage.StageTroubles(sheet.Stages, sheet.Later)
	for _, s := range sheet.Stages {
		v.AllDone = v.AllDone && s.DoneAt != nil
		if s.DoneAt == nil && sheet.Job.ClosedAt == nil {
			for _, trouble := range troubles[s.ID] {
				v.Troubles = append(v.Troubles, troubleWords(s, trouble))
			}
		}
	}
	v.Caution = caution(sheet)
	for _, d := range sheet.Harvest {
		h := HarvestView{Name: pieces(d.Quantity, partName(sheet.Parts, d.PartID)), State: ui.State(ui.Waits, "still on the car")}
		if d.TakenAt != nil {
			h.State = ui.State(ui.Done, "taken off "+shortDay(garage.DateOf(d.TakenAt.In(zone)), today))
		} else {
			v.TakeOff, v.Guarded = true, true
		}
		v.Harvest = append(v.Harvest, h)
	}
	return v
}

func troubleWords(s garage.Stage, trouble garage.StageTrouble) string {
	switch trouble {
	case garage.NeverRollsAgain:
		return "After “" + s.Name + "” the car cannot roll, and nothing lets it roll again: neither a later stage of this job nor a job that waits for it. Such a job cannot be planned."
	case garage.NothingToFollow:
		return "“" + s.Name + "” is to follow at once, but no work at the bench stands before it."
	}
	return ""
}

func jobFacts(sheet garage.JobSheet, today garage.Date, zone *time.Location) []ui.Def {
	j := sheet.Job
	facts := []ui.Def{
		{Term: "Reason", Text: j.Reason},
		{Term: "How much it matters", Text: WeightWords(j.Weight)},
	}
	if sheet.Phase != nil {
		facts = append(facts, ui.Def{Term: "Phase", Text: sheet.Phase.Name, Href: route.Phase(sheet.Phase.ID)})
	}
	if j.Due != nil {
		due := ui.Def{Term: "Due", Text: dueEntry(*j.Due, today)}
		if j.ClosedAt != nil {
			due.Text = DayWords(*j.Due)
		}
		if j.DueFor != "" {
			due.Text += ", for: " + j.DueFor
		}
		facts = append(facts, due, ui.Def{Term: "If late", Text: strings.TrimPrefix(LatenessWords(j.LateCostPerDay, j.LateCost, j.Currency), "late ")})
	}
	if j.NotBefore != nil {
		facts = append(facts, ui.Def{Term: "Not before", Text: DayWords(*j.NotBefore)})
	}
	if j.PinnedAt != nil {
		facts = append(facts, ui.Def{Term: "Fixed to", Text: "the session of " + InstantWords(j.PinnedAt.In(zone))})
	}
	facts = append(facts, ui.Def{Term: "Notes", Text: j.Notes})
	if j.ClosedAt != nil {
		text := DayWords(garage.DateOf(j.ClosedAt.In(zone)))
		if j.ClosedAs != "" {
			text += ", as it is: " + j.ClosedAs
		}
		facts = append(facts, ui.Def{Term: "Closed", Text: text})
	}
	return facts
}

func stageViews(sheet garage.JobSheet, zone *time.Location) []StageView {
	var views []StageView
	next := sheet.Job.ClosedAt == nil
	immobile := false
	for i, s := range sheet.Stages {
		v := StageView{
			ID: s.ID, Name: s.Name, Number: i + 1, Done: s.DoneAt != nil, Time: threeTimes(s), Words: stageWords(s, sheet),
			State: ui.State(ui.Waits, "to be done"), Bench: s.Kind == garage.Bench,
		}
		if s.ActualMinutes != nil {
			v.Took = WorkWords(*s.ActualMinutes)
			v.Time = "took " + v.Took + ", estimated " + threeTimes(s)
		}
		immobile = immobile || s.Immobile == "from" || s.Immobile == "within"
		v.Immobile = immobile
		if s.Immobile == "until" || s.Immobile == "within" {
			immobile = false
		}
		switch {
		case v.Done:
			v.State = ui.State(ui.Done, "done "+s.DoneAt.In(zone).Format("Mon 2 Jan 2006"))
		case sheet.Job.ClosedAt != nil:
			v.State, v.Immobile = ui.State(ui.Loose, "not done"), false
		case next:
			v.Next, next = true, false
			v.State = ui.State(ui.Ready, "next")
		}
		views = append(views, v)
	}
	return views
}

// threeTimes is how long a stage takes: the likely figure, and the range where there is one.
func threeTimes(s garage.Stage) string {
	likely := stageTime(s.Kind, s.Likely)
	if s.Low == s.High {
		return likely
	}
	return likely + " (" + stageTime(s.Kind, s.Low) + " to " + stageTime(s.Kind, s.High) + ")"
}

// stageWords say what a stage needs and does.
func stageWords(s garage.Stage, sheet garage.JobSheet) []string {
	var words []string
	add := func(text string, said bool) {
		if said {
			words = append(words, text)
		}
	}
	add("Waiting: nobody works.", s.Kind == garage.Wait)
	add("Outside work, in the shop's working days.", s.Kind == garage.OutsideWork)
	add("On the lift.", s.Lift)
	add("Needs "+countWords(s.Helpers, "helper", "helpers")+".", s.Helpers > 0)
	add("In the same session as the stage before, directly after it.", s.FollowsAtOnce)
	add(immobileWords[s.Immobile]+".", s.Immobile != "")
	access := nameList(idTexts(s.Access), accessOptions(sheet.Access))
	add("Opens: "+access+".", access != "")
	closing := nameList(idTexts(s.Closing), closingOptions(sheet.Closing))
	add("Closing work at the end of the visit: "+closing+".", closing != "")
	tools := nameList(idTexts(s.Tools), toolOptions(sheet.Tools))
	add("Special tools: "+tools+".", tools != "")
	return words
}

// kitTable is what the job needs and where it is.
func kitTable(sheet garage.JobSheet, lines []garage.KitLine, today garage.Date, unit string) ui.TableData {
	t := ui.TableData{
		Caption: "Kit", Quiet: true,
		Columns: []ui.Column{{Head: "Part", Lead: true}, {Head: "Needed"}, {Head: "For"}, {Head: "Where it is"}, {Head: "Price", Num: true}},
	}
	if len(sheet.Stages) == 1 {
		t.Columns = slices.Delete(t.Columns, 2, 3) // it is all for the one stage
	}
	var total int64
	currency, mixed := "", false
	for _, line := range lines {
		t.Rows = append(t.Rows, kitCells(line, sheet, today, unit))
		if line.Part.Price == 0 {
			continue
		}
		mixed = mixed || currency != "" && currency != line.Part.Currency
		currency = line.Part.Currency
		total += line.Price(line.Need.Quantity)
	}
	if total > 0 && !mixed && len(t.Rows) > 1 {
		t.Totals = make([]ui.Cell, len(t.Columns))
		t.Totals[0].Text, t.Totals[len(t.Totals)-1].Text = "All parts", garage.MoneyText(total, currency)
	}
	return t
}

func kitCells(line garage.KitLine, sheet garage.JobSheet, today garage.Date, unit string) []ui.Cell {
	needed := ui.Cell{Text: stockText(line.Need.Quantity, line.Part.Unit), Href: needHref(line, sheet)}
	if !line.Need.Stops {
		needed.Sub = "nice to have"
	}
	price := ""
	if line.Part.Price > 0 {
		price = garage.MoneyText(line.Price(line.Need.Quantity), line.Part.Currency)
	}
	lasted := ""
	if line.Stage.DoneAt == nil {
		lasted = lastedOf(line.Part, sheet.Fitted, unit, today)
	}
	cells := []ui.Cell{
		{Text: partWords(line.Part), Href: route.Part(line.Part.ID), Sub: joined(" · ", needWords(line), line.Part.Number, line.Need.Note, lasted)},
		needed,
		{Text: line.Stage.Name},
		{Body: kitWhere(kitSources(line, sheet, today))},
		{Text: price},
	}
	if len(sheet.Stages) == 1 {
		cells = slices.Delete(cells, 2, 3)
	}
	return cells
}

// needWords is what a need asks of its part.
func needWords(line garage.KitLine) string {
	side, least, single := line.Need.Side, "", ""
	if side == line.Part.Side {
		side = ""
	}
	if line.Need.LeastGrade != "" {
		least = "no less than " + line.Need.LeastGrade
	}
	if line.Need.SingleUse {
		single = "single use"
	}
	return joined(" · ", side, least, single)
}

// needHref leads to the need while it can be changed.
func needHref(line garage.KitLine, sheet garage.JobSheet) string {
	if line.Stage.DoneAt != nil || sheet.Job.ClosedAt != nil {
		return ""
	}
	return route.NeedEdit(line.Need.ID)
}

// kitSource is one place where pieces of a need are, in words.
type kitSource struct {
	Mood ui.Mood
	Text string
	Link string // what Href leads to, said after the text
	Href string
}

func kitSources(line garage.KitLine, sheet garage.JobSheet, today garage.Date) []kitSource {
	if sheet.Job.ClosedAt != nil && line.Stage.DoneAt == nil {
		return []kitSource{{Mood: ui.Loose, Text: "not used"}}
	}
	var list []kitSource
	for _, s := range line.Sources {
		list = append(list, kitSourceWords(line, s, sheet, today))
	}
	for _, s := range line.Taken {
		list = append(list, kitSource{
			Mood: ui.Waits, Text: stockText(s.Quantity, line.Part.Unit) + " on hand, promised to", Link: s.By.JobTitle, Href: route.Job(s.By.JobID),
		})
	}
	for _, d := range line.Idle {
		list = append(list, kitSource{Mood: ui.Loose, Text: "also on " + carName(sheet.Donors, d.CarID) + ": no open job takes it off"})
	}
	return list
}

func kitSourceWords(line garage.KitLine, s garage.KitSource, sheet garage.JobSheet, today garage.Date) kitSource {
	n := stockText(s.Quantity, line.Part.Unit)
	switch s.Place {
	case garage.KitUsed:
		if s.Quantity < line.Need.Quantity {
			return kitSource{Mood: ui.Loose, Text: "done with " + n + " only"}
		}
		return kitSource{Mood: ui.Done, Text: "used"}
	case garage.KitOnHand:
		text := n + " on hand in " + s.Bin.Name
		if about := joined(", ", s.Lot.Condition, s.Lot.Grade); about != "" {
			text += ", " + about
		}
		if s.Checked {
			text += ", checked against the car"
		}
		return kitSource{Mood: ui.Done, Text: text}
	case garage.KitExpected:
		text := n + " expected " + shortDay(s.Arrival.Likely, today)
		if s.Arrival.Low != s.Arrival.High {
			text += ", between " + shortDay(s.Arrival.Low, today) + " and " + shortDay(s.Arrival.High, today)
		}
		return kitSource{Mood: ui.Waits, Text: text}
	case garage.KitOnDonor:
		source := kitSource{Mood: ui.Waits, Text: n + " on " + carName(sheet.Donors, s.Donor.CarID)}
		for _, h := range sheet.Harvests {
			if s.Donor.HarvestJobID != nil && h.ID == *s.Donor.HarvestJobID {
				source.Text, source.Link, source.Href = source.Text+", taken off by", h.Title, route.Job(h.ID)
			}
		}
		return source
	case garage.KitToOrder:
		return kitSource{Mood: ui.Waits, Text: n + " to be ordered, takes " + leadWords(line.Part)}
	}
	return kitSource{Mood: ui.Blocked, Text: n + " missing"}
}

// leadWords is how long an order takes.
func leadWords(p garage.Part) string {
	if *p.LeadLow == *p.LeadHigh {
		return DayCount(*p.LeadLikely)
	}
	return DayCount(*p.LeadLikely) + " (" + strconv.Itoa(*p.LeadLow) + " to " + strconv.Itoa(*p.LeadHigh) + ")"
}

func pieces(n int, name string) string {
	if n == 1 {
		return name
	}
	return idText(int64(n)) + " × " + name
}

func carName(cars []garage.Car, id garage.CarID) string {
	for _, c := range cars {
		if c.ID == id {
			return c.Name
		}
	}
	return "a donor"
}

// caution is what to mind before the work that is open: common practice under a lifted car, no source.
func caution(sheet garage.JobSheet) string {
	if sheet.Job.ClosedAt != nil {
		return ""
	}
	lift, immobile := false, false
	for _, s := range sheet.Stages {
		if s.DoneAt == nil {
			lift = lift || s.Lift
			immobile = immobile || s.Immobile != ""
		}
	}
	const service = "The maker's service information and local rules come first; leave to qualified people what is theirs."
	switch {
	case lift && immobile:
		return "Lift at the maker's points, rest it on the locks, nobody in the car. What comes off shifts the balance: support the car before an axle, an engine or a gearbox goes. " + service
	case lift:
		return "Lift at the maker's points, rest it on the locks, nobody in the car. " + service
	case immobile:
		return "Chock the wheels on hard level ground, and support the car on stands before anything that carries it comes off; never on a jack alone. " + service
	}
	return ""
}

// openStage is the first stage at the bench that is still to be done, 0 when there is none.
func openStage(sheet garage.JobSheet) garage.StageID {
	for _, s := range sheet.Stages {
		if sheet.Job.ClosedAt == nil && s.DoneAt == nil && s.Kind == garage.Bench {
			return s.ID
		}
	}
	return 0
}

// SetCard puts what a job's card says on its page: how its rounds stand, and how long its stages took by their marks.
func (v *JobShowView) SetCard(card garage.Card) {
	v.Repeats = RepeatWords(card)
	for i := range v.Stages {
		s := &v.Stages[i]
		if minutes, ok := card.MeasuredMinutes(s.ID); ok && s.Took == "" && s.Bench {
			s.Took, s.Measured = WorkWords(minutes), true
		}
	}
}

// SetSpecs puts the torque specs of a job on its page, with the best wrench for each.
func (v *JobShowView) SetSpecs(specs []garage.TorqueSpecRow, wrenches []garage.Wrench, today garage.Date) {
	v.Specs = torqueTable(specs, wrenches, today)
	for _, row := range v.Specs.Rows {
		row[3] = ui.Cell{Text: row[3].Sub} // of this job they all are
	}
}

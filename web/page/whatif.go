package page

import (
	"cmp"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// whatIfDays is how far ahead a session can be chosen.
const whatIfDays = 8 * 7

// mostSupposed bounds how much one address may suppose.
const mostSupposed = 20

// WhatIfView is the plan of now beside the plan of what is supposed.
type WhatIfView struct {
	Base
	Supposed []SupposedRow
	Gone     bool // something in the address is not to be had any more and was left out
	Changed  bool // the garage changed between looking and keeping
	Totals   ui.TableData
	Change   PlanChange
	Dates    ui.TableData
	Notes    []NoteRow // pins not kept
	Chances  string    // the address of how sure dates are, empty without dates
	Kept     bool      // something of it can be entered
	Fields   []ui.KeyValue
	Forms    []SupposeForm
	Wrong    garage.FieldErrors
}

var supposeLabels = []ui.Option{
	{Value: "car", Text: "Car"},
	{Value: "arrival", Text: "Part"},
	{Value: "when", Text: "Comes"},
	{Value: "part", Text: "Part"},
	{Value: "quantity", Text: "More of it"},
	{Value: "at", Text: "Session"},
	{Value: "helpers", Text: "Helpers"},
	{Value: "on", Text: "Day"},
	{Value: "from", Text: "From"},
	{Value: "to", Text: "To"},
	{Value: "job", Text: "Job"},
}

// SupposedRow is one thing supposed.
type SupposedRow struct {
	Text    string
	Without string  // the address without it
	Instead ui.Link // where it is done, when saying so does not do it
}

// SupposeForm is a form that supposes one thing more.
type SupposeForm struct {
	Add    string // its name
	Title  string
	Open   bool
	Fields []SupposeField
	Ifs    []ui.KeyValue // what is supposed already
	Submit string
}

// SupposeField is a field of such a form.
type SupposeField struct {
	ui.Input
	As string // date, time or number; else a choice
}

// Suppositions are those that an address names, and the garage as they suppose it. What there is no place for any more is left
// out and said to be gone.
func (p Planned) Suppositions(texts []string) (supposed []garage.Supposition, shot garage.Snapshot, gone bool) {
	shot = p.Shot
	gone = len(texts) > mostSupposed
	for _, text := range texts[:min(len(texts), mostSupposed)] {
		x, ok := garage.ParseSupposition(text, p.Now.Location())
		if ok {
			next, err := x.In(shot)
			if ok = err == nil; ok {
				shot, supposed = next, append(supposed, x)
			}
		}
		gone = gone || !ok
	}
	// It is held near to the plan of now, as it will be once it is kept.
	record := p.Answer.Record()
	shot.Plan, shot.PlanBefore = &record, nil
	return supposed, shot, gone
}

// texts are suppositions as an address has them.
func (p Planned) texts(supposed []garage.Supposition) []string {
	all := make([]string, len(supposed))
	for i, x := range supposed {
		all[i] = x.Text(p.Now.Location())
	}
	return all
}

// NewWhatIf sets the plan of what is supposed beside the plan p of now. typed is what a form of the page holds, and wrong what
// is wrong with it.
func NewWhatIf(base Base, p, then Planned, supposed []garage.Supposition, typed url.Values, wrong garage.FieldErrors) WhatIfView {
	v := WhatIfView{Base: base, Wrong: wrong}
	texts := p.texts(supposed)
	for i, x := range supposed {
		row := p.supposedRow(x)
		row.Without = route.WhatIf(slices.Delete(slices.Clone(texts), i, i+1)...)
		v.Supposed = append(v.Supposed, row)
		v.Kept = v.Kept || x.Kept()
		v.Fields = append(v.Fields, ui.KeyValue{Name: "if", Value: texts[i]})
	}
	v.Forms = p.supposeForms(v.Fields, typed, wrong)
	v.Fields = append(v.Fields, ui.KeyValue{Name: "version", Value: idText(p.Shot.Version)})
	if len(supposed) == 0 {
		return v
	}
	then = then.without(supposed)
	v.Totals, v.Change = beside(p, then, "What if")
	v.Dates = whatIfDates(p, then)
	v.Notes = then.notes()
	if len(p.dues()) > 0 {
		v.Chances = route.WhatIfChances(texts...)
	}
	return v
}

// WhatIfChancesView says how sure dates are with what is supposed.
type WhatIfChancesView struct {
	Base
	Back  string
	Table ui.TableData
}

// NewWhatIfChances sets chances by the plan beside those with what is supposed.
func NewWhatIfChances(base Base, p Planned, supposed []garage.Supposition, now, then []planner.Chance) WhatIfChancesView {
	v := WhatIfChancesView{Base: base, Back: route.WhatIf(p.texts(supposed)...)}
	v.Table = ui.TableData{Caption: "How sure dates are", Quiet: true, Columns: []ui.Column{
		{Head: "Due", Lead: true}, {Head: "The plan", Num: true}, {Head: "What if", Num: true},
	}}
	for _, d := range p.dues() {
		ref := planner.JobRef(d.job)
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: d.Title, Href: d.Href, Sub: d.For}, {Text: chanceOf(now, ref)}, {Text: chanceOf(then, ref)},
		})
	}
	return v
}

// chanceOf is the chance of a job; one without a place has none.
func chanceOf(chances []planner.Chance, ref string) string {
	for _, c := range chances {
		if c.Job == ref && !c.Due.IsZero() {
			return chanceText(c)
		}
	}
	return "blocked"
}

// without takes the jobs that are left out from those that are blocked: nobody wants them done.
func (p Planned) without(supposed []garage.Supposition) Planned {
	p.leftOut = map[string]bool{}
	for _, x := range supposed {
		if x.Kind == garage.WithoutJob {
			p.leftOut[planner.JobRef(garage.JobID(x.ID))] = true
		}
	}
	p.Answer.Blocked = slices.DeleteFunc(slices.Clone(p.Answer.Blocked), func(b planner.Blocked) bool { return p.leftOut[b.Job] })
	return p
}

// beside sets another plan beside the plan: what it comes to, and what is different.
func beside(p, then Planned, head string) (totals ui.TableData, change PlanChange) {
	change = then.change(p.Answer.Record(), then.Answer.Record())
	change.Table.Columns[1].Head, change.Table.Columns[2].Head = "The plan", head
	t := ui.TableData{Caption: "What it comes to", Quiet: true, Columns: []ui.Column{
		{Head: "What it comes to", Lead: true}, {Head: "The plan", Num: true}, {Head: head, Num: true},
	}}
	add := func(what, now, supposed string) {
		t.Rows = append(t.Rows, []ui.Cell{{Text: what}, {Text: now}, {Text: supposed}})
	}
	add("Lost to lateness, or at risk", p.moneyText(), then.moneyText())
	add("Jobs planned", strconv.Itoa(len(p.ends())), strconv.Itoa(len(then.ends())))
	add("Jobs blocked", strconv.Itoa(len(p.Answer.Blocked)), strconv.Itoa(len(then.Answer.Blocked)))
	add("All that is planned is done", p.lastDay(), then.lastDay())
	add("Opening, closing, changing cars", WorkWords(p.Answer.Totals.OverheadMinutes), WorkWords(then.Answer.Totals.OverheadMinutes))
	return t, change
}

// moneyText is what lateness costs by the plan, with what is lost when a blocked job stays so.
func (p Planned) moneyText() string {
	sums := map[string]int64{}
	for _, d := range p.dues() {
		sums[d.currency] += d.cost
	}
	var texts []string
	for _, currency := range slices.Sorted(maps.Keys(sums)) {
		if sums[currency] > 0 {
			texts = append(texts, garage.MoneyText(sums[currency], currency))
		}
	}
	return cmp.Or(strings.Join(texts, " and "), "nothing")
}

func (p Planned) lastDay() string {
	if len(p.Answer.Stages) == 0 {
		return "–"
	}
	return p.untilText(p.lastEnd())
}

// whatIfDates are the due dates that fare differently.
func whatIfDates(p, then Planned) ui.TableData {
	t := ui.TableData{Caption: "Dates", Quiet: true, Columns: []ui.Column{{Head: "Due", Lead: true}, {Head: "The plan"}, {Head: "What if"}}}
	was := map[string]DueRow{}
	for _, d := range p.dues() {
		was[d.Href] = d
	}
	for _, d := range then.dues() {
		if before := was[d.Href]; before.Text != d.Text {
			t.Rows = append(t.Rows, []ui.Cell{
				{Text: d.Title, Href: d.Href, Sub: d.For}, {Body: ui.State(before.Mood, before.Text)}, {Body: ui.State(d.Mood, d.Text)},
			})
		}
	}
	return t
}

// supposedRow words one supposition.
func (p Planned) supposedRow(x garage.Supposition) SupposedRow {
	job := p.jobs[planner.JobRef(garage.JobID(x.ID))]
	switch x.Kind {
	case garage.CarLater:
		return SupposedRow{Text: p.carName(x.ID) + " arrives " + laterText(x.Days)}
	case garage.CarHere:
		return SupposedRow{Text: p.carName(x.ID) + " is here now"}
	case garage.PartLater:
		return SupposedRow{Text: p.arrivalText(x.ID) + " arriving " + laterText(x.Days)}
	case garage.PartHere:
		return SupposedRow{
			Text:    p.arrivalText(x.ID) + " here now",
			Instead: ui.Link{Text: "Check it in once it is", Href: route.ArrivalReceive(garage.ArrivalID(x.ID))},
		}
	case garage.InStock:
		part := p.parts[planner.PartRef(garage.PartID(x.ID))]
		return SupposedRow{
			Text: quantityText(x.Quantity, part) + " more on hand", Instead: ui.Link{Text: "Order or stock the part", Href: route.Part(part.ID)},
		}
	case garage.WithHelp:
		if x.Helpers == 0 {
			return SupposedRow{Text: "No helper in the session " + p.whenText(x.From)}
		}
		return SupposedRow{Text: countWords(x.Helpers, "helper", "helpers") + " in the session " + p.whenText(x.From)}
	case garage.MoreTime:
		text := "A further session " + p.spanText(x.From, x.To)
		if x.Helpers > 0 {
			text += " with " + countWords(x.Helpers, "helper", "helpers")
		}
		return SupposedRow{Text: text}
	case garage.OtherPart, garage.OffDonor, garage.OrderedNow:
		return p.supposedPart(x)
	case garage.WithoutJob:
		return SupposedRow{Text: job.Title + " left out", Instead: ui.Link{Text: "Say when to do it, or close it", Href: route.Job(job.ID)}}
	}
	return SupposedRow{Text: job.Title + " in the session " + p.whenText(x.From)}
}

func (p Planned) carName(id int64) string { return p.cars[planner.CarRef(garage.CarID(id))].Name }

func (p Planned) arrivalText(id int64) string {
	for _, a := range p.Shot.Arrivals {
		if int64(a.ID) == id {
			return quantityText(a.Quantity, p.parts[planner.PartRef(a.PartID)])
		}
	}
	return ""
}

func laterText(days int) string {
	if days < 0 {
		return DayCount(-days) + " earlier"
	}
	return DayCount(days) + " later"
}

// The names of the forms, and of their fields in ReadSupposition.
const (
	supposeCar     = "car"
	supposePart    = "arrival"
	supposeStock   = "stock"
	supposeHelpers = "helpers"
	supposeSession = "session"
	supposeWithout = "without"
	supposeFixed   = "fixed"
)

const hereNow = "here"

// ReadSupposition is what a form of the page supposes, and what is wrong with it.
func (p Planned) ReadSupposition(v url.Values) (garage.Supposition, garage.FieldErrors) {
	var in fields
	x := garage.Supposition{}
	switch v.Get("add") {
	case supposeCar:
		x.ID = in.chosen("car", v)
		x.Kind, x.Days = arrives(&in, v, garage.CarHere, garage.CarLater)
	case supposePart:
		x.ID = in.chosen("arrival", v)
		x.Kind, x.Days = arrives(&in, v, garage.PartHere, garage.PartLater)
	case supposeStock:
		x.Kind, x.ID, x.Quantity = garage.InStock, in.chosen("part", v), in.intFrom("quantity", v, 1, 1_000_000)
	case supposeHelpers:
		x.Kind, x.From, x.Helpers = garage.WithHelp, in.session("at", v), in.intFrom("helpers", v, 0, 9)
	case supposeSession:
		x.Kind, x.Helpers = garage.MoreTime, in.intFrom("helpers", v, 0, 9)
		x.From, x.To = p.readSession(&in, v)
	case supposeWithout:
		x.Kind, x.ID = garage.WithoutJob, in.chosen("job", v)
	case supposeFixed:
		x.Kind, x.ID, x.From = garage.FixedJob, in.chosen("job", v), in.session("at", v)
	default:
		in.Errors.Add("", "Choose what to suppose.")
	}
	return x, in.Errors
}

// chosen is a choice that must be made.
func (f *fields) chosen(name string, v url.Values) int64 {
	id := f.id(name, v.Get(name))
	if v.Get(name) == "" {
		f.Errors.Add(name, "Choose one of the list.")
	}
	return id
}

func (f *fields) intFrom(name string, v url.Values, low, high int) int {
	n := f.intOr(name, v.Get(name), low)
	if f.Errors[name] == "" && (n < low || n > high) {
		f.Errors.Add(name, "From "+strconv.Itoa(low)+" to "+strconv.Itoa(high)+".")
	}
	return n
}

func (f *fields) session(name string, v url.Values) time.Time {
	t, err := time.Parse(time.RFC3339, v.Get(name))
	if err != nil {
		f.Errors.Add(name, "Choose one of the list.")
	}
	return t
}

func arrives(in *fields, v url.Values, here, later garage.SupposedKind) (kind garage.SupposedKind, days int) {
	if v.Get("when") == hereNow {
		return here, 0
	}
	days = in.int("when", v.Get("when"))
	if days == 0 || days < -730 || days > 730 {
		in.Errors.Add("when", "Choose one of the list.")
	}
	return later, days
}

// readSession reads a further session: a day that the plan reaches, and times on it.
func (p Planned) readSession(in *fields, v url.Values) (from, to time.Time) {
	today := garage.DateOf(p.Now)
	day := in.date("on", v.Get("on"))
	if in.Errors["on"] == "" && (day.Before(today) || today.AddDays(whatIfDays).Before(day)) {
		in.Errors.Add("on", "A day from today to "+p.dayText(today.AddDays(whatIfDays).In(p.Now.Location()))+".")
	}
	first, last := in.minuteOfDay("from", v.Get("from")), in.minuteOfDay("to", v.Get("to"))
	if in.Errors["from"] == "" && in.Errors["to"] == "" && first >= last {
		in.Errors.Add("to", "The end must come after the start, on the same day.")
	}
	at := func(minute int) time.Time {
		return time.Date(day.Year, day.Month, day.Day, 0, minute, 0, 0, p.Now.Location())
	}
	return at(first), at(last)
}

// supposeForms are the forms that suppose one thing more, those left out that have nothing to choose from.
func (p Planned) supposeForms(ifs []ui.KeyValue, typed url.Values, wrong garage.FieldErrors) []SupposeForm {
	cars, arrivals, parts := p.comingCars(), p.comingParts(), p.partOptions()
	jobs, sessions := p.jobOptions(), p.sessionChoices()
	when := []ui.Option{
		{Value: hereNow, Text: "is here now"},
		{Value: "-7", Text: "a week earlier"},
		{Value: "3", Text: "3 days later"},
		{Value: "7", Text: "a week later"},
		{Value: "14", Text: "2 weeks later"},
		{Value: "28", Text: "4 weeks later"},
	}
	all := []SupposeForm{
		{Add: supposeCar, Title: "A car comes earlier or later", Fields: []SupposeField{
			choice("car", "Car", cars), {Input: ui.Input{Name: "when", Label: "Comes", Options: when, Value: "7"}},
		}},
		{Add: supposePart, Title: "A part comes earlier or later", Fields: []SupposeField{
			choice("arrival", "Part", arrivals), {Input: ui.Input{Name: "when", Label: "Comes", Options: when, Value: "7"}},
		}},
		{Add: supposeStock, Title: "A part is on hand", Fields: []SupposeField{
			choice("part", "Part", parts), {As: "number", Input: ui.Input{Name: "quantity", Label: "More of it", Value: "1", Short: true, Required: true}},
		}},
		{Add: supposeHelpers, Title: "A helper in a session", Fields: []SupposeField{
			choice("at", "Session", sessions), {As: "number", Input: ui.Input{Name: "helpers", Label: "Helpers", Value: "1", Short: true, Required: true}},
		}},
		{Add: supposeSession, Title: "A further session", Fields: []SupposeField{
			{As: "date", Input: ui.Input{Name: "on", Label: "Day", Required: true}},
			{As: "time", Input: ui.Input{Name: "from", Label: "From", Value: "09:00", Required: true}},
			{As: "time", Input: ui.Input{Name: "to", Label: "To", Value: "17:00", Required: true}},
			{As: "number", Input: ui.Input{Name: "helpers", Label: "Helpers", Value: "0", Short: true, Required: true}},
		}},
		{Add: supposeFixed, Title: "A job in a session of my choice", Fields: []SupposeField{choice("job", "Job", jobs), choice("at", "Session", sessions)}},
		{Add: supposeWithout, Title: "A job is left out", Fields: []SupposeField{choice("job", "Job", jobs)}},
	}
	var forms []SupposeForm
	for _, f := range all {
		if as := f.Fields[0]; as.As == "" && len(as.Options) == 0 || f.Add == supposeFixed && len(sessions) == 0 {
			continue
		}
		forms = append(forms, f.filled(ifs, typed, wrong))
	}
	return forms
}

func choice(name, label string, options []ui.Option) SupposeField {
	f := SupposeField{Input: ui.Input{Name: name, Label: label, Options: options}}
	if len(options) > 0 {
		f.Value = options[0].Value
	}
	return f
}

// filled gives a form what was typed into it.
func (f SupposeForm) filled(ifs []ui.KeyValue, typed url.Values, wrong garage.FieldErrors) SupposeForm {
	f.Ifs = ifs
	mine := typed.Get("add") == f.Add
	f.Open = mine
	for i := range f.Fields {
		in := &f.Fields[i]
		in.ID = f.Add + "-" + in.Name
		if mine { // its fields have the names that the list of what is wrong leads to
			in.ID, in.Value, in.Error = "", typed.Get(in.Name), wrong[in.Name]
		}
		// A page elsewhere leads here with a job to suppose something of.
		if job := typed.Get("job"); !typed.Has("add") && in.Name == "job" && job != "" {
			in.Value, f.Open = job, true
		}
	}
	return f
}

func (p Planned) comingCars() []ui.Option {
	var options []ui.Option
	for _, c := range p.Shot.Cars {
		if c.Stands == garage.NotHere && c.ArrivesLow != nil {
			text := c.Name + ", " + p.dayText(c.ArrivesLow.In(p.Now.Location())) + " to " + p.dayText(c.ArrivesHigh.In(p.Now.Location()))
			options = append(options, ui.Option{Value: idText(int64(c.ID)), Text: text})
		}
	}
	return options
}

func (p Planned) comingParts() []ui.Option {
	var options []ui.Option
	for _, a := range p.Shot.Arrivals {
		text := p.arrivalText(int64(a.ID)) + ", " + p.dayText(a.Likely.In(p.Now.Location()))
		options = append(options, ui.Option{Value: idText(int64(a.ID)), Text: text})
	}
	return options
}

// partOptions are the parts that open jobs need.
func (p Planned) partOptions() []ui.Option {
	var options []ui.Option
	for _, part := range p.Problem.Parts {
		known := p.parts[part.ID]
		if slices.ContainsFunc(options, func(o ui.Option) bool { return o.Value == idText(int64(known.ID)) }) {
			continue // further pieces of it, laid apart
		}
		options = append(options, ui.Option{Value: idText(int64(known.ID)), Text: partWords(known)})
	}
	slices.SortStableFunc(options, func(a, b ui.Option) int { return strings.Compare(a.Text, b.Text) })
	return options
}

func (p Planned) jobOptions() []ui.Option {
	var options []ui.Option
	for _, car := range p.Shot.Cars {
		for _, job := range p.Shot.Jobs {
			if job.CarID == car.ID {
				options = append(options, ui.Option{Value: idText(int64(job.ID)), Text: job.Title, Group: car.Name})
			}
		}
	}
	return options
}

func (p Planned) sessionChoices() []ui.Option {
	var coming []garage.Session
	end := p.Now.AddDate(0, 0, whatIfDays)
	for _, s := range p.Problem.Sessions {
		if s.From.Before(end) {
			coming = append(coming, garage.Session{From: s.From, To: s.To, Helpers: s.Helpers})
		}
	}
	return SessionOptions(coming, nil, p.Now.Location())[1:]
}

// KeptText says what keeping has entered.
func KeptText(supposed []garage.Supposition) string {
	n := 0
	for _, x := range supposed {
		if x.Kept() {
			n++
		}
	}
	if n < len(supposed) {
		return "Kept: " + countWords(n, "change", "changes") + " entered, " + strconv.Itoa(len(supposed)-n) + " not."
	}
	return "Kept: " + countWords(n, "change", "changes") + " entered."
}

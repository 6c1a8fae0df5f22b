package page

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// JobForm is a job as typed, with what it waits for and, for a new one, its first stage.
type JobForm struct {
	Version        string
	Car            string
	Kind           string
	Title          string
	Reason         string
	Weight         string
	Phase          string
	NotBefore      string
	Due            string
	DueFor         string
	LateCostPerDay string
	LateCost       string
	Notes          string
	After          []AfterRow
	Stage          StageForm
	Errors         garage.FieldErrors
}

// AfterRow is a job to wait for as typed, with the gap after its end.
type AfterRow struct {
	Job string
	Gap string
}

const stagePrefix = "stage."

// BlankJobForm is the form of a new job on a car.
func BlankJobForm(car garage.CarID) JobForm {
	f := JobForm{Car: idText(car), Kind: string(garage.Repair), Weight: "3", Stage: BlankStageForm()}
	f.Stage.Prefix = stagePrefix
	return f
}

// NewJobForm is the form filled from what is stored.
func NewJobForm(j garage.Job, after []garage.JobLink) JobForm {
	f := JobForm{
		Version:   strconv.FormatInt(j.Version, 10),
		Car:       idText(j.CarID),
		Kind:      string(j.Kind),
		Title:     j.Title,
		Reason:    j.Reason,
		Weight:    strconv.Itoa(j.Weight),
		NotBefore: dateText(j.NotBefore),
		Due:       dateText(j.Due),
		DueFor:    j.DueFor,
		Notes:     j.Notes,
	}
	if j.PhaseID != nil {
		f.Phase = idText(*j.PhaseID)
	}
	if j.LateCostPerDay > 0 {
		f.LateCostPerDay = garage.MoneyFigure(j.LateCostPerDay, j.Currency)
	}
	if j.LateCost > 0 {
		f.LateCost = garage.MoneyFigure(j.LateCost, j.Currency)
	}
	for _, a := range after {
		f.After = append(f.After, AfterRow{Job: idText(a.ID), Gap: gapText(a.GapMinutes)})
	}
	return f
}

func gapText(minutes int) string {
	if minutes == 0 {
		return ""
	}
	return TimeWords(minutes)
}

// ReadJobForm is the form as sent.
func ReadJobForm(v url.Values) JobForm {
	return JobForm{
		Version:        v.Get("version"),
		Car:            v.Get("car"),
		Kind:           v.Get("kind"),
		Title:          v.Get("title"),
		Reason:         v.Get("reason"),
		Weight:         v.Get("weight"),
		Phase:          v.Get("phase"),
		NotBefore:      v.Get("not_before"),
		Due:            v.Get("due"),
		DueFor:         v.Get("due_for"),
		LateCostPerDay: v.Get("late_cost_per_day"),
		LateCost:       v.Get("late_cost"),
		Notes:          v.Get("notes"),
		After:          readAfter(v),
		Stage:          ReadStageForm(v, stagePrefix),
	}
}

// readAfter reads the rows of the jobs to wait for, in the order of their numbers, leaving out those without a job and a gap.
func readAfter(v url.Values) []AfterRow {
	var numbers []int
	for name := range v {
		digits, isRow := strings.CutPrefix(name, "after.")
		digits, isJob := strings.CutSuffix(digits, ".job")
		if n, err := strconv.Atoi(digits); isRow && isJob && err == nil && n >= 0 {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	var rows []AfterRow
	for _, n := range slices.Compact(numbers) {
		name := "after." + strconv.Itoa(n)
		row := AfterRow{Job: v.Get(name + ".job"), Gap: v.Get(name + ".gap")}
		if row != (AfterRow{}) {
			rows = append(rows, row)
		}
	}
	return rows
}

// Job reads what was typed of the job itself, and notes in Errors what does not parse or does not hold. Amounts are of
// that currency.
func (f *JobForm) Job(currency string) (garage.Job, []garage.After) {
	var in fields
	j := garage.Job{
		Version:        version(f.Version),
		CarID:          garage.CarID(in.id("car", f.Car)),
		Kind:           garage.JobKind(f.Kind),
		Title:          strings.TrimSpace(f.Title),
		Reason:         strings.TrimSpace(f.Reason),
		Weight:         in.int("weight", f.Weight),
		NotBefore:      in.optionalDate("not_before", f.NotBefore),
		Due:            in.optionalDate("due", f.Due),
		DueFor:         strings.TrimSpace(f.DueFor),
		LateCostPerDay: in.money("late_cost_per_day", f.LateCostPerDay, currency),
		LateCost:       in.money("late_cost", f.LateCost, currency),
		Currency:       currency,
		Notes:          strings.TrimSpace(f.Notes),
	}
	if phase := garage.PhaseID(in.id("phase", f.Phase)); phase != 0 {
		j.PhaseID = &phase
	}
	after := f.after(&in)
	f.Errors = in.with(j.Validate())
	return j, after
}

func (f *JobForm) after(in *fields) []garage.After {
	var after []garage.After
	for i, row := range f.After {
		name := afterName(i)
		a := garage.After{AfterID: garage.JobID(in.id(name+".job", row.Job))}
		if a.AfterID == 0 {
			in.Errors.Add(name+".job", "Choose the job that the gap is after.")
		}
		if strings.TrimSpace(row.Gap) != "" {
			minutes, ok := parseDuration(row.Gap)
			if a.GapMinutes = minutes; !ok || minutes > 365*day {
				in.Errors.Add(name+".gap", "A time like 12 h or 2 days, at most a year.")
			}
		}
		if slices.ContainsFunc(after, func(b garage.After) bool { return b.AfterID == a.AfterID }) {
			in.Errors.Add(name+".job", "That job is in the list already.")
		}
		after = append(after, a)
	}
	return after
}

func afterName(i int) string { return "after." + strconv.Itoa(i) }

// FirstStage reads the first stage of a new job, if one was typed, and adds what is wrong with it to Errors. Without a name
// of its own it is named like the job.
func (f *JobForm) FirstStage() []garage.Stage {
	if f.Stage.Empty() {
		return nil
	}
	typed := f.Stage.Name
	if strings.TrimSpace(typed) == "" {
		f.Stage.Name = f.Title
	}
	stage := f.Stage.Stage()
	f.Stage.Name = typed
	if stage.Name == "" {
		delete(f.Stage.Errors, "name") // the title's own message says it
	}
	for field, message := range f.Stage.Errors {
		f.Errors.Add(stagePrefix+field, message)
	}
	return []garage.Stage{stage}
}

// Refuse notes what the store found wrong, also with the first stage.
func (f *JobForm) Refuse(errors garage.FieldErrors) {
	f.Errors.Merge(errors)
	for field, message := range errors {
		if name, ok := strings.CutPrefix(field, stagePrefix); ok {
			f.Stage.Errors.Add(name, message)
		}
	}
}

// Conflict sets the form beside what is stored.
func (f JobForm) Conflict(stored JobForm, c garage.JobChoices) []ConflictRow {
	words := func(f JobForm) []string {
		return []string{
			nameList([]string{f.Car}, carOptions(c.Cars)), f.Title, f.Kind, f.Reason,
			WeightWords(atoi(f.Weight)), nameList([]string{f.Phase}, phaseOptions(c.Phases)), f.NotBefore, f.Due, f.DueFor,
			f.LateCostPerDay, f.LateCost, f.afterWords(c.Jobs), f.Notes,
		}
	}
	yours, theirs := words(f), words(stored)
	var rows []ConflictRow
	for i, field := range []string{
		"Car", "Title", "Kind", "Reason", "Weight", "Phase", "Not before", "Due", "What is due", "Late costs a day", "Late costs once",
		"Waits for", "Notes",
	} {
		rows = append(rows, ConflictRow{Field: field, Yours: yours[i], Stored: theirs[i]})
	}
	return rows
}

func (f JobForm) afterWords(jobs []garage.JobLink) string {
	var words []string
	for _, row := range f.After {
		text := nameList([]string{row.Job}, jobOptions(jobs))
		if row.Gap != "" {
			text += " and " + row.Gap
		}
		words = append(words, text)
	}
	return strings.Join(words, ", ")
}

// JobFormView is the page of a job's form, new or stored.
type JobFormView struct {
	Base
	Form     JobForm
	Job      garage.Job // zero for a new one
	Choices  garage.JobChoices
	Currency string
	Like     []LikeLook // what came of earlier jobs
}

// jobLabels name the fields for the summary of errors, in the order of the form.
func jobLabels(f JobForm) []ui.Option {
	labels := []ui.Option{
		{Value: "title", Text: "Title"}, {Value: "car", Text: "Car"}, {Value: "kind", Text: "Kind"}, {Value: "reason", Text: "Reason"},
	}
	labels = append(labels, stageLabels(stagePrefix)...)
	for i := range f.After {
		labels = append(labels, ui.Option{Value: afterName(i) + ".job", Text: "Waits for"},
			ui.Option{Value: afterName(i) + ".gap", Text: "Gap"})
	}
	return append(labels,
		ui.Option{Value: "after", Text: "Waits for"}, ui.Option{Value: "weight", Text: "How much it matters"},
		ui.Option{Value: "due", Text: "Due"}, ui.Option{Value: "due_for", Text: "What is due"},
		ui.Option{Value: "late_cost_per_day", Text: "Late costs a day"}, ui.Option{Value: "late_cost", Text: "Late costs once"},
		ui.Option{Value: "not_before", Text: "Not before"}, ui.Option{Value: "phase", Text: "Phase"}, ui.Option{Value: "notes", Text: "Notes"})
}

func jobKindOptions() []ui.Option {
	return optionsOf(garage.JobKinds, func(k garage.JobKind) ui.Option {
		text := string(k)
		if k == garage.Harvest {
			text += " (taking parts off a donor)"
		}
		return ui.Option{Value: string(k), Text: text}
	})
}

// jobKindFilter are the kinds alone: who looks for one needs no explanation, and the list begins higher up.
func jobKindFilter() []ui.Option {
	return optionsOf(garage.JobKinds, func(k garage.JobKind) ui.Option { return ui.Option{Value: string(k), Text: string(k)} })
}

func weightOptions() []ui.Option {
	list := make([]ui.Option, len(weightWords))
	for i, words := range weightWords {
		n := strconv.Itoa(i + 1)
		list[i] = ui.Option{Value: n, Text: n + ", " + words}
	}
	return list
}

func carOptions(cars []garage.Car) []ui.Option {
	return optionsOf(cars, func(c garage.Car) ui.Option { return ui.Option{Value: idText(c.ID), Text: c.Name} })
}

func phaseOptions(phases []garage.Phase) []ui.Option {
	return optionsOf(phases, func(p garage.Phase) ui.Option { return ui.Option{Value: idText(p.ID), Text: p.Name} })
}

func jobOptions(jobs []garage.JobLink) []ui.Option {
	return optionsOf(jobs, func(j garage.JobLink) ui.Option {
		text := j.Title
		if j.ClosedAt != nil {
			text += " (closed)"
		}
		return ui.Option{Value: idText(j.ID), Text: text, Group: j.CarName}
	})
}

// withNone puts the choice of none before the others.
func withNone(none string, options []ui.Option) []ui.Option {
	return append([]ui.Option{{Text: none}}, options...)
}

// row is the i-th job to wait for, empty for a spare row.
func (f JobForm) row(i string) AfterRow {
	if n, err := strconv.Atoi(i); err == nil && n < len(f.After) {
		return f.After[n]
	}
	return AfterRow{}
}

// JobIndexView is the list of jobs.
type JobIndexView struct {
	Base
	Car     string
	State   string
	Kind    string
	Cars    []ui.Option
	Table   ui.TableData
	Pager   ui.PagerData
	NewHref string
	Narrow  bool // a filter is set
}

// allJobs asks for jobs in either state; in a filter that is the zero value.
const allJobs = "all"

// JobsPerPage is how many jobs a page of the list holds.
const JobsPerPage = 100

// NewJobIndex is the list of jobs, one page of it. The address of another page keeps the filter.
func NewJobIndex(b Base, f garage.JobFilter, rows []garage.JobRow, cars []garage.Car, today garage.Date) JobIndexView {
	v := JobIndexView{
		Base: b, State: cmp.Or(string(f.State), allJobs), Kind: string(f.Kind), Cars: carOptions(cars), NewHref: route.JobNew(),
		Narrow: f.CarID != 0 || f.Kind != "" || f.State != garage.OpenJobs,
	}
	if f.CarID != 0 {
		v.Car, v.NewHref = idText(f.CarID), route.JobNewOn(f.CarID)
	}
	v.Table = ui.TableData{
		Caption: "Jobs", Quiet: true,
		Columns: []ui.Column{{Head: "Job", Lead: true}, {Head: "Car"}, {Head: "Kind"}, {Head: "Stages"}, {Head: "Due"}, {Head: "Matters"}},
	}
	for _, row := range rows {
		v.Table.Rows = append(v.Table.Rows, jobCells(row, today))
	}
	if len(rows) > 0 {
		v.Pager = jobPager(f, rows[0].Total, len(rows))
	}
	return v
}

func jobCells(row garage.JobRow, today garage.Date) []ui.Cell {
	due := ""
	if row.Due != nil && row.ClosedAt == nil {
		due = dueEntry(*row.Due, today)
	}
	return []ui.Cell{
		{Text: row.Title, Href: route.Job(row.ID)},
		{Text: row.CarName},
		{Text: string(row.Kind)},
		{Body: jobProgress(row.Job, row.Stages, row.StagesDone)},
		{Text: due, Sub: row.DueFor},
		{Text: WeightWords(row.Weight)},
	}
}

func jobPager(f garage.JobFilter, total, shown int) ui.PagerData {
	p := ui.PagerData{From: f.Offset + 1, To: f.Offset + shown, Total: total}
	if f.Offset > 0 {
		p.Prev = jobPage(f, max(0, f.Offset-f.Limit))
	}
	if p.To < total {
		p.Next = jobPage(f, f.Offset+f.Limit)
	}
	return p
}

func jobPage(f garage.JobFilter, offset int) string {
	v := url.Values{"state": {cmp.Or(string(f.State), allJobs)}}
	if f.CarID != 0 {
		v.Set("car", idText(f.CarID))
	}
	if f.Kind != "" {
		v.Set("kind", string(f.Kind))
	}
	if offset > 0 {
		v.Set("from", strconv.Itoa(offset+1))
	}
	return route.Jobs() + "?" + v.Encode()
}

// ReadJobFilter is what the address of a list asks for; what it does not know it leaves out. Open jobs are what is asked
// for when nothing is said.
func ReadJobFilter(v url.Values) garage.JobFilter {
	f := garage.JobFilter{State: garage.OpenJobs, Limit: JobsPerPage}
	if id, err := strconv.ParseInt(v.Get("car"), 10, 64); err == nil && id > 0 {
		f.CarID = garage.CarID(id)
	}
	if kind := garage.JobKind(v.Get("kind")); slices.Contains(garage.JobKinds, kind) {
		f.Kind = kind
	}
	switch v.Get("state") {
	case "closed":
		f.State = garage.ClosedJobs
	case allJobs:
		f.State = ""
	}
	if from, err := strconv.ParseInt(v.Get("from"), 10, 32); err == nil && from > 1 {
		f.Offset = int(from) - 1
	}
	return f
}

// JobCarView lets the owner choose the car of a new job.
type JobCarView struct {
	Base
	Items []ui.ListItem
}

// NewJobCar lists the cars that a new job could be on.
func NewJobCar(b Base, cars []garage.Car) JobCarView {
	v := JobCarView{Base: b}
	for _, c := range cars {
		v.Items = append(v.Items, ui.ListItem{Title: c.Name, Sub: string(c.Role), Href: route.JobNewOn(c.ID)})
	}
	return v
}

// JobDeleteView says what deleting a job means while others count on it.
type JobDeleteView struct {
	Base
	Job    garage.Job
	Before []ui.ListItem
	Parts  []string
}

// NewJobDelete lists who waits for the job, and the parts that it was to take off a donor.
func NewJobDelete(b Base, sheet garage.JobSheet) JobDeleteView {
	v := JobDeleteView{Base: b, Job: sheet.Job, Before: linkItems(sheet.Before)}
	for _, d := range sheet.Harvest {
		if d.TakenAt == nil {
			v.Parts = append(v.Parts, partName(sheet.Parts, d.PartID))
		}
	}
	return v
}

// JobCloseForm is how a job is closed, as typed.
type JobCloseForm struct {
	Version  string
	ClosedAs string
	Errors   garage.FieldErrors
}

// JobCloseView asks how a job is closed whose stages are not all done.
type JobCloseView struct {
	Base
	Job  garage.Job
	Form JobCloseForm
	Open []string
}

// NewJobClose lists the stages that are still open.
func NewJobClose(b Base, job garage.Job, stages []garage.Stage, form JobCloseForm) JobCloseView {
	v := JobCloseView{Base: b, Job: job, Form: form}
	for _, s := range stages {
		if s.DoneAt == nil {
			v.Open = append(v.Open, s.Name)
		}
	}
	return v
}

// JobWhenForm is the session a job is fixed to and its first day, as typed.
type JobWhenForm struct {
	Version   string
	Session   string
	NotBefore string
	Errors    garage.FieldErrors
}

// NewJobWhenForm is the form filled from what is stored.
func NewJobWhenForm(j garage.Job) JobWhenForm {
	f := JobWhenForm{Version: strconv.FormatInt(j.Version, 10), NotBefore: dateText(j.NotBefore)}
	if j.PinnedAt != nil {
		f.Session = sessionValue(*j.PinnedAt)
	}
	return f
}

// ReadJobWhenForm is the form as sent.
func ReadJobWhenForm(v url.Values) JobWhenForm {
	return JobWhenForm{Version: v.Get("version"), Session: v.Get("session"), NotBefore: v.Get("not_before")}
}

// When reads what was typed, and notes in Errors what does not parse.
func (f *JobWhenForm) When() (pinnedAt *time.Time, notBefore *garage.Date) {
	var in fields
	if f.Session != "" {
		at, err := time.Parse(time.RFC3339, f.Session)
		if err != nil {
			in.Errors.Add("session", "Choose one of the list.")
		}
		pinnedAt = &at
	}
	notBefore = in.optionalDate("not_before", f.NotBefore)
	f.Errors = in.Errors
	return pinnedAt, notBefore
}

// Conflict sets the form beside what is stored.
func (f JobWhenForm) Conflict(stored JobWhenForm, sessions []ui.Option) []ConflictRow {
	words := func(value string) string { return cmp.Or(nameList([]string{value}, sessions), value) }
	return []ConflictRow{
		{Field: "Session", Yours: words(f.Session), Stored: words(stored.Session)},
		{Field: "Not before", Yours: f.NotBefore, Stored: stored.NotBefore},
	}
}

// JobWhenView is the page that fixes a job to a session.
type JobWhenView struct {
	Base
	Job      garage.Job
	Form     JobWhenForm
	Sessions []ui.Option
}

// SessionOptions are the sessions that a job can be fixed to, and the one it is fixed to though it is none any more.
func SessionOptions(sessions []garage.Session, pinned *time.Time, zone *time.Location) []ui.Option {
	options := []ui.Option{{Text: "In none: let the plan choose"}}
	known := pinned == nil
	for _, s := range sessions {
		text := s.From.In(zone).Format("Mon 2 Jan, 15:04") + " to " + s.To.In(zone).Format("15:04")
		if s.Helpers > 0 {
			text += ", " + countWords(s.Helpers, "helper", "helpers")
		}
		options = append(options, ui.Option{Value: sessionValue(s.From), Text: text})
		known = known || s.From.Equal(*pinned)
	}
	if !known {
		options = append(options, ui.Option{
			Value: sessionValue(*pinned), Text: InstantWords(pinned.In(zone)) + ", where no session begins any more",
		})
	}
	return options
}

func sessionValue(t time.Time) string { return t.UTC().Format(time.RFC3339) }

func linkItems(links []garage.JobLink) []ui.ListItem {
	return itemsOf(links, func(l garage.JobLink) ui.ListItem {
		item := ui.ListItem{Title: l.Title, Href: route.Job(l.ID), Sub: l.CarName}
		if l.GapMinutes > 0 {
			item.Meta = "then a gap of " + TimeWords(l.GapMinutes)
		}
		if l.ClosedAt != nil {
			item.State = ui.State(ui.Done, "")
		}
		return item
	})
}

func itemsOf[T any](list []T, item func(T) ui.ListItem) []ui.ListItem {
	items := make([]ui.ListItem, len(list))
	for i, v := range list {
		items[i] = item(v)
	}
	return items
}

func partName(parts []garage.Part, id garage.PartID) string {
	for _, p := range parts {
		if p.ID == id {
			return partWords(p)
		}
	}
	return ""
}

// partWords names a part with its side, where it has one.
func partWords(p garage.Part) string {
	if p.Side != "" && !strings.Contains(strings.ToLower(p.Name), p.Side) {
		return p.Name + ", " + p.Side
	}
	return p.Name
}

func jobAction(v JobFormView) string {
	if v.Job.ID == 0 {
		return route.Jobs()
	}
	return route.Job(v.Job.ID)
}

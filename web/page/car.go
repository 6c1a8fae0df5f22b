package page

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// CarForm is a car as typed.
type CarForm struct {
	ID            garage.CarID // zero for a new one
	Version       string
	Name          string
	Role          string
	Make          string
	Model         string
	Year          string
	VIN           string
	Plate         string
	Engine        string
	Stands        string
	Immobile      string
	ArrivesLow    string
	ArrivesLikely string
	ArrivesHigh   string
	Notes         string
	Errors        garage.FieldErrors
}

// NewCarForm is the form filled from what is stored.
func NewCarForm(c garage.Car) CarForm {
	return CarForm{
		ID:            c.ID,
		Version:       strconv.FormatInt(c.Version, 10),
		Name:          c.Name,
		Role:          string(c.Role),
		Make:          c.Make,
		Model:         c.Model,
		Year:          intText(c.Year),
		VIN:           c.VIN,
		Plate:         c.Plate,
		Engine:        c.Engine,
		Stands:        string(c.Stands),
		Immobile:      yes(c.Immobile),
		ArrivesLow:    dateText(c.ArrivesLow),
		ArrivesLikely: dateText(c.ArrivesLikely),
		ArrivesHigh:   dateText(c.ArrivesHigh),
		Notes:         c.Notes,
	}
}

// ReadCarForm is the form as sent.
func ReadCarForm(v url.Values) CarForm {
	return CarForm{
		Version:       v.Get("version"),
		Name:          v.Get("name"),
		Role:          v.Get("role"),
		Make:          v.Get("make"),
		Model:         v.Get("model"),
		Year:          v.Get("year"),
		VIN:           v.Get("vin"),
		Plate:         v.Get("plate"),
		Engine:        v.Get("engine"),
		Stands:        v.Get("stands"),
		Immobile:      v.Get("immobile"),
		ArrivesLow:    v.Get("arrives_low"),
		ArrivesLikely: v.Get("arrives_likely"),
		ArrivesHigh:   v.Get("arrives_high"),
		Notes:         v.Get("notes"),
	}
}

// yes is the value of a ticked box.
func yes(ticked bool) string {
	if ticked {
		return "yes"
	}
	return ""
}

// Car reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *CarForm) Car() garage.Car {
	var in fields
	c := garage.Car{
		ID:            f.ID,
		Version:       version(f.Version),
		Name:          strings.TrimSpace(f.Name),
		Role:          garage.Role(f.Role),
		Make:          strings.TrimSpace(f.Make),
		Model:         strings.TrimSpace(f.Model),
		Year:          in.optionalInt("year", f.Year),
		VIN:           garage.NormalVIN(f.VIN),
		Plate:         strings.TrimSpace(f.Plate),
		Engine:        strings.TrimSpace(f.Engine),
		Stands:        garage.Stands(f.Stands),
		Immobile:      f.Immobile != "",
		ArrivesLow:    in.optionalDate("arrives", f.ArrivesLow),
		ArrivesLikely: in.optionalDate("arrives", f.ArrivesLikely),
		ArrivesHigh:   in.optionalDate("arrives", f.ArrivesHigh),
		Notes:         f.Notes,
	}
	f.Errors = in.with(c.Validate())
	return c
}

// Conflict sets the form beside what is stored.
func (f CarForm) Conflict(stored CarForm) []ConflictRow {
	dates := func(f CarForm) string { return spreadText(f.ArrivesLow, f.ArrivesLikely, f.ArrivesHigh) }
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Role", Yours: f.Role, Stored: stored.Role},
		{Field: "Make", Yours: f.Make, Stored: stored.Make},
		{Field: "Model", Yours: f.Model, Stored: stored.Model},
		{Field: "Year", Yours: f.Year, Stored: stored.Year},
		{Field: "Engine", Yours: f.Engine, Stored: stored.Engine},
		{Field: "Plate", Yours: f.Plate, Stored: stored.Plate},
		{Field: "VIN", Yours: f.VIN, Stored: stored.VIN},
		{Field: "Where it stands", Yours: f.Stands, Stored: stored.Stands},
		{Field: "Immobile", Yours: f.Immobile, Stored: stored.Immobile},
		{Field: "Arrives", Yours: dates(f), Stored: dates(stored)},
		{Field: "Notes", Yours: f.Notes, Stored: stored.Notes},
	}
}

// spreadText joins three figures as typed; nothing when none was.
func spreadText(low, likely, high string) string {
	if low+likely+high == "" {
		return ""
	}
	return low + " / " + likely + " / " + high
}

// carFields are the fields of the form in its order, for the summary of what is wrong.
var carFields = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "role", Text: "Role"},
	{Value: "make", Text: "Make"},
	{Value: "model", Text: "Model"},
	{Value: "year", Text: "Year"},
	{Value: "engine", Text: "Engine"},
	{Value: "plate", Text: "Plate"},
	{Value: "vin", Text: "VIN"},
	{Value: "stands", Text: "Where it stands"},
	{Value: "arrives", Text: "Arrives"},
	{Value: "notes", Text: "Notes"},
}

var carRoles = []ui.Option{
	{Value: string(garage.Project), Text: "project", Hint: "being worked on, whole again one day"},
	{Value: string(garage.Daily), Text: "daily", Hint: "must be fit for the road"},
	{Value: string(garage.Donor), Text: "donor", Hint: "kept for its parts"},
}

var carPlaces = []ui.Option{
	{Value: string(garage.OnLift), Text: placeText(garage.OnLift)},
	{Value: string(garage.Inside), Text: placeText(garage.Inside)},
	{Value: string(garage.Outside), Text: placeText(garage.Outside)},
	{Value: string(garage.NotHere), Text: placeText(garage.NotHere)},
}

// placeText says in words where a car stands.
func placeText(s garage.Stands) string {
	if s == garage.OnLift {
		return "on the lift"
	}
	return string(s)
}

// action is where the form is sent.
func (f CarForm) action() string {
	if f.ID == 0 {
		return route.Cars()
	}
	return route.Car(f.ID)
}

// CarFormView is the page of a car's form.
type CarFormView struct {
	Base
	Heading string
	Form    CarForm
}

// NewCarFormView is the page for a new car, or for one that is there: name is the stored one.
func NewCarFormView(base Base, form CarForm, name string) CarFormView {
	if form.ID == 0 {
		return CarFormView{Base: base, Heading: "Add a car", Form: form}
	}
	return CarFormView{Base: base, Heading: "Change " + name, Form: form}
}

// CarIndexView is the list of cars.
type CarIndexView struct {
	Base
	Count string
	Table ui.TableData
}

// NewCarIndex lists the cars, with the job that the plan has next on each.
func NewCarIndex(base Base, cars []garage.CarSummary, p Planned) CarIndexView {
	v := CarIndexView{Base: base, Table: ui.TableData{
		Caption: "Cars, where they stand and what is next on them", Quiet: true,
		Columns: []ui.Column{{Head: "Car", Lead: true}, {Head: "Role"}, {Head: "Stands"}, {Head: "Next job"}, {Head: "Open jobs", Num: true}},
	}}
	for _, c := range cars {
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: c.Name, Href: route.Car(c.ID), Sub: carKind(c.Car)},
			{Text: string(c.Role)},
			{Body: carStands(c.Car)},
			p.nextOn(c.ID),
			{Text: strconv.Itoa(c.OpenJobs)},
		})
	}
	v.Count = countWords(len(cars), "car", "cars")
	return v
}

// nextOn is the job that the plan has next on a car, or else one that is blocked.
func (p Planned) nextOn(car garage.CarID) ui.Cell {
	for _, s := range p.Answer.Stages {
		if job, known := p.jobs[s.Job]; known && job.CarID == car {
			return ui.Cell{Text: job.Title, Href: route.Job(job.ID), Sub: p.whenText(s.From)}
		}
	}
	for _, b := range p.Answer.Blocked {
		if job, known := p.jobs[b.Job]; known && job.CarID == car {
			return ui.Cell{Text: job.Title, Href: route.Job(job.ID), Sub: "blocked"}
		}
	}
	return ui.Cell{}
}

// byStart puts jobs into the order in which the plan begins them; those that are in no plan come last.
func (p Planned) byStart(jobs []garage.Job) []garage.Job {
	place := map[garage.JobID]int{}
	for i, s := range p.Answer.Stages { // by time
		if id := p.jobs[s.Job].ID; place[id] == 0 {
			place[id] = i + 1
		}
	}
	jobs = slices.Clone(jobs)
	slices.SortStableFunc(jobs, func(a, b garage.Job) int {
		return cmp.Compare(cmp.Or(place[a.ID], len(p.Answer.Stages)+1), cmp.Or(place[b.ID], len(p.Answer.Stages)+1))
	})
	return jobs
}

// jobItem is an open job as a line of its car's page: when it is planned, or what blocks it.
func (p Planned) jobItem(j garage.Job) ui.ListItem {
	item := ui.ListItem{Title: j.Title, Href: route.Job(j.ID), Sub: string(j.Kind)}
	planned := p.JobPlanned(j.ID)
	if planned.From != "" {
		item.Sub = joined(" · ", item.Sub, planned.From)
	} else {
		item.Sub = joined(" · ", item.Sub, planned.Why)
	}
	if j.Due != nil {
		item.Meta = DueWords(*j.Due, garage.DateOf(p.Now))
	}
	return item
}

// carKind is make, model and year, as far as known.
func carKind(c garage.Car) string {
	return joined(" ", c.Make, c.Model, intText(c.Year))
}

// joined joins the texts that are not empty.
func joined(separator string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), separator)
}

// CarShowView is the page of a car.
type CarShowView struct {
	Base
	Car        garage.Car
	Sub        string
	Moves      []Move
	Stuck      string // why it cannot be moved
	VINRemark  string
	VINLikely  string
	Facts      []ui.Def
	Jobs       []ui.ListItem
	Phases     []ui.ListItem
	RoadNeeds  []ui.ListItem
	Access     []AccessLine
	Closing    ui.TableData
	NoClosing  bool
	Specs      []ui.ListItem
	DonorParts *DonorPartsView // nil where none are to be expected
	Photos     PhotoStripView
}

// Move is a way to move a car.
type Move struct {
	Kind ui.Kind
	Text string
	To   string
}

// CarParts is what belongs to a car, as its page shows it.
type CarParts struct {
	Jobs      []garage.Job
	Phases    []garage.PhaseRow
	Odometer  garage.Odometer
	RoadNeeds []garage.RoadNeed
	Access    []garage.Access
	Closing   []garage.ClosingWork
	OnDonor   []garage.DonorPartRow
	Torque    []garage.TorqueSpecRow
	Fluids    []garage.FluidSpec
	WheelSets []garage.WheelSet
}

// NewCarShow is the page of a car with what belongs to it.
func NewCarShow(base Base, c garage.Car, parts CarParts, p Planned) CarShowView {
	settings := p.Shot.Settings
	v := CarShowView{Base: base, Car: c, Sub: joined(" · ", string(c.Role), carKind(c)), VINRemark: garage.VINRemark(c.VIN)}
	v.VINLikely, _ = garage.VINSuggestion(c.VIN)
	if v.VINLikely == c.VIN {
		v.VINLikely = ""
	}
	v.Moves, v.Stuck = moves(c)
	v.Facts = carFacts(c, parts.Odometer, settings)
	for _, j := range p.byStart(parts.Jobs) {
		v.Jobs = append(v.Jobs, p.jobItem(j))
	}
	v.Phases = PhaseItems(parts.Phases, garage.DateOf(p.Now))
	for _, n := range parts.RoadNeeds {
		v.RoadNeeds = append(v.RoadNeeds, roadNeedItem(n, settings))
	}
	v.Access = accessLines(parts.Access)
	v.Closing, v.NoClosing = closingTable(parts.Closing), len(parts.Closing) == 0
	v.Specs = carSpecs(c, parts)
	v.DonorParts = NewDonorParts(c, parts.OnDonor, settings)
	return v
}

func carFacts(c garage.Car, o garage.Odometer, settings garage.Settings) []ui.Def {
	facts := []ui.Def{
		{Term: "Stands", Body: carStands(c)},
		{Term: "Odometer", Text: odometerText(o, settings.DistanceUnit), Href: route.Odometer(c.ID)},
		{Term: "Engine", Text: c.Engine},
		{Term: "Plate", Text: c.Plate},
		{Term: "VIN", Text: c.VIN},
	}
	if c.Stands == garage.NotHere && c.ArrivesLikely != nil {
		facts = append(facts, ui.Def{Term: "Arrives", Text: arrivesText(*c.ArrivesLow, *c.ArrivesLikely, *c.ArrivesHigh)})
	}
	return append(facts, ui.Def{Term: "Notes", Body: textBlock(c.Notes)})
}

// arrivesText says three dates as a sentence.
func arrivesText(low, likely, high garage.Date) string {
	if low == high {
		return DayWords(likely)
	}
	return DayWords(likely) + ", at the earliest " + DayWords(low) + ", at the latest " + DayWords(high)
}

// moves offers where a car can go from where it stands, or says why it cannot.
func moves(c garage.Car) ([]Move, string) {
	if c.Stands == garage.NotHere {
		return []Move{
			{ui.Primary, "Has arrived: outside", string(garage.Outside)},
			{ui.Secondary, "Has arrived: inside", string(garage.Inside)},
		}, ""
	}
	if c.Immobile && c.Stands == garage.OnLift {
		return nil, "Immobile: it holds the lift until it rolls again."
	}
	ways := []Move{
		{ui.Secondary, "To the lift", string(garage.OnLift)},
		{ui.Secondary, "Inside", string(garage.Inside)},
		{ui.Secondary, "Outside", string(garage.Outside)},
	}
	ways = slices.DeleteFunc(ways, func(m Move) bool {
		return m.To == string(c.Stands) || c.Immobile && m.To == string(garage.OnLift)
	})
	if c.Immobile {
		return ways, "Immobile: it cannot be rolled onto the lift."
	}
	return ways, ""
}

// MovedText says that a car was moved, or has arrived.
func MovedText(before garage.Car, to garage.Stands) string {
	switch {
	case to == garage.NotHere:
		return before.Name + " is not here."
	case before.Stands == garage.NotHere:
		return before.Name + " has arrived and stands " + placeText(to) + "."
	}
	return before.Name + " stands " + placeText(to) + " now."
}

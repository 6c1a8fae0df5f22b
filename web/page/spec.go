package page

import (
	"cmp"
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// TorqueSpecForm is a torque spec as typed.
type TorqueSpecForm struct {
	Version   string
	Stage     string
	Joint     string
	Stages    string
	Thread    string
	Class     string
	Condition string
	Bolts     string
	Sequence  string
	SingleUse string
	Retorque  string
	Source    string
	Page      string
	CheckedOn string
	Note      string
	Errors    garage.FieldErrors
}

// NewTorqueSpecForm is the form filled from a torque spec.
func NewTorqueSpecForm(s garage.TorqueSpec) TorqueSpecForm {
	f := TorqueSpecForm{
		Version: strconv.FormatInt(s.Version, 10), Joint: s.Joint, Stages: s.Stages, Thread: s.Thread, Class: s.Class,
		Condition: string(s.Condition), Bolts: intText(s.Bolts), Sequence: s.Sequence, Retorque: s.Retorque, Source: s.Source, Page: s.Page,
		CheckedOn: dateText(s.CheckedOn), Note: s.Note,
	}
	if s.StageID != nil {
		f.Stage = idText(int64(*s.StageID))
	}
	if s.SingleUse {
		f.SingleUse = "yes"
	}
	return f
}

// ReadTorqueSpecForm is the form as sent.
func ReadTorqueSpecForm(v url.Values) TorqueSpecForm {
	return TorqueSpecForm{
		Version: v.Get("version"), Stage: v.Get("stage"), Joint: v.Get("joint"), Stages: v.Get("stages"), Thread: v.Get("thread"),
		Class: v.Get("class"), Condition: v.Get("condition"), Bolts: v.Get("bolts"), Sequence: v.Get("sequence"),
		SingleUse: v.Get("single_use"), Retorque: v.Get("retorque"), Source: v.Get("source"), Page: v.Get("page"),
		CheckedOn: v.Get("checked_on"), Note: v.Get("note"),
	}
}

// TorqueSpec reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *TorqueSpecForm) TorqueSpec() garage.TorqueSpec {
	var in fields
	s := garage.TorqueSpec{
		Version:   version(f.Version),
		Joint:     strings.TrimSpace(f.Joint),
		Stages:    strings.TrimSpace(f.Stages),
		Thread:    strings.TrimSpace(f.Thread),
		Class:     strings.TrimSpace(f.Class),
		Condition: torque.Condition(f.Condition),
		Bolts:     in.optionalInt("bolts", f.Bolts),
		Sequence:  strings.TrimSpace(f.Sequence),
		SingleUse: f.SingleUse != "",
		Retorque:  strings.TrimSpace(f.Retorque),
		Source:    strings.TrimSpace(f.Source),
		Page:      strings.TrimSpace(f.Page),
		CheckedOn: in.optionalDate("checked_on", f.CheckedOn),
		Note:      strings.TrimSpace(f.Note),
	}
	if id := garage.StageID(in.id("stage", f.Stage)); id != 0 {
		s.StageID = &id
	}
	f.Errors = in.with(s.Validate())
	return s
}

// Conflict sets the form beside what is stored.
func (f TorqueSpecForm) Conflict(stored TorqueSpecForm, stages []garage.StageChoice) []ConflictRow {
	at := func(id string) string { return optionText(stageChoices(stages), id) }
	words := func(condition string) string { return optionText(threadOptions, condition) }
	return []ConflictRow{
		{Field: "Joint", Yours: f.Joint, Stored: stored.Joint},
		{Field: "Torque", Yours: f.Stages, Stored: stored.Stages},
		{Field: "Condition", Yours: words(f.Condition), Stored: words(stored.Condition)},
		{Field: "New fasteners each time", Yours: f.SingleUse, Stored: stored.SingleUse},
		{Field: "Retighten", Yours: f.Retorque, Stored: stored.Retorque},
		{Field: "Document", Yours: f.Source, Stored: stored.Source},
		{Field: "Page", Yours: f.Page, Stored: stored.Page},
		{Field: "Checked on the car", Yours: f.CheckedOn, Stored: stored.CheckedOn},
		{Field: "Thread", Yours: f.Thread, Stored: stored.Thread},
		{Field: "Class", Yours: f.Class, Stored: stored.Class},
		{Field: "How many", Yours: f.Bolts, Stored: stored.Bolts},
		{Field: "Sequence", Yours: f.Sequence, Stored: stored.Sequence},
		{Field: "Wanted at", Yours: at(f.Stage), Stored: at(stored.Stage)},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var threadOptions = []ui.Option{
	{Value: string(torque.Unsaid), Text: "The page does not say"},
	{Value: string(torque.Dry), Text: "dry"},
	{Value: string(torque.Oiled), Text: "oiled"},
	{Value: string(torque.Locked), Text: torque.Locked.Words()},
}

func stageChoices(stages []garage.StageChoice) []ui.Option {
	var options []ui.Option
	for _, s := range stages {
		options = append(options, ui.Option{Value: idText(int64(s.ID)), Text: s.JobTitle + ": " + s.Name})
	}
	return options
}

var torqueSpecLabels = []ui.Option{
	{Value: "joint", Text: "Joint"},
	{Value: "stages", Text: "Torque"},
	{Value: "condition", Text: "Condition"},
	{Value: "single_use", Text: "New fasteners each time"},
	{Value: "retorque", Text: "Retighten"},
	{Value: "source", Text: "Document"},
	{Value: "page", Text: "Page"},
	{Value: "checked_on", Text: "Checked on the car"},
	{Value: "thread", Text: "Thread"},
	{Value: "class", Text: "Class"},
	{Value: "bolts", Text: "How many"},
	{Value: "sequence", Text: "Sequence"},
	{Value: "stage", Text: "Wanted at"},
	{Value: "note", Text: "Note"},
}

// TorqueSpecFormView is the form of a torque spec; the ID is zero for a new one.
type TorqueSpecFormView struct {
	Base
	ID     garage.TorqueSpecID
	Car    garage.Car
	Stages []garage.StageChoice
	Form   TorqueSpecForm
}

// Action is where the form is sent.
func (v TorqueSpecFormView) Action() string {
	if v.ID == 0 {
		return route.TorqueSpecs(v.Car.ID)
	}
	return route.TorqueSpec(v.ID)
}

// sourceText is document and page; empty where nobody knows.
func sourceText(source, page string) string {
	if source == "" || page == "" {
		return source
	}
	return source + ", page " + page
}

// stageFigures are the stages as they stand on the plate.
func stageFigures(stages torque.Stages) []ui.Figure {
	var figures []ui.Figure
	for _, s := range stages {
		switch {
		case s.Act == torque.Tighten:
			figures = append(figures, torqueFigure(s.Torque))
		case s.Act == torque.Turn:
			figures = append(figures, ui.Figure{Value: "+ " + s.Angle.String()})
		default:
			figures = append(figures, ui.Figure{Value: s.String()})
		}
	}
	return figures
}

// torqueFigure parts a figure from its unit, as far as it has only one.
func torqueFigure(f torque.Figure[unit.TorqueKind]) ui.Figure {
	text, u := f.String(), f.Value.Unit().String()
	if number, ok := strings.CutSuffix(text, " "+u); ok {
		return ui.Figure{Value: strings.ReplaceAll(number, " "+u, ""), Unit: u}
	}
	return ui.Figure{Value: text}
}

// torquePlate is the plate of a torque spec.
func torquePlate(s garage.TorqueSpec, small bool) ui.PlateData {
	stages, _, _, _ := s.Figures()
	notes := []string{s.Condition.Words()}
	if s.SingleUse {
		notes = append(notes, "new fasteners each time")
	}
	if s.CheckedOn != nil {
		notes = append(notes, "checked on the car")
	}
	return ui.PlateData{Figures: stageFigures(stages), Notes: joined(", ", notes...), Source: sourceText(s.Source, s.Page), Small: small}
}

// SpecsView lists the torque specs of a car.
type SpecsView struct {
	Base
	Car   garage.Car
	Tabs  []ui.Link
	Query string
	None  bool // no spec at all, not only none that is looked for
	Table ui.TableData
}

// specTabs lead to all figures of a car.
func specTabs(car garage.CarID, current string) []ui.Link {
	tabs := []ui.Link{
		{Text: "Torque", Href: route.Specs(car)},
		{Text: "Fluids", Href: route.FluidSpecs(car)},
		{Text: "Wheels", Href: route.Wheels(car)},
	}
	for i := range tabs {
		tabs[i].Current = tabs[i].Href == current
	}
	return tabs
}

// NewSpecs lists those specs of a car that hold every word looked for, with the best wrench for each.
func NewSpecs(base Base, car garage.Car, specs []garage.TorqueSpecRow, wrenches []garage.Wrench, query string, today garage.Date) SpecsView {
	v := SpecsView{Base: base, Car: car, Tabs: specTabs(car.ID, route.Specs(car.ID)), Query: query, None: len(specs) == 0}
	var found []garage.TorqueSpecRow
	for _, s := range specs {
		if holdsWords(joined(" ", s.Joint, s.Thread, s.Source, s.Note), query) {
			found = append(found, s)
		}
	}
	v.Table = torqueTable(found, wrenches, today)
	return v
}

func holdsWords(text, query string) bool {
	text = strings.ToLower(text)
	for _, word := range strings.Fields(strings.ToLower(query)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

func torqueTable(specs []garage.TorqueSpecRow, wrenches []garage.Wrench, today garage.Date) ui.TableData {
	t := ui.TableData{
		Caption: "Torque specs", Quiet: true,
		Columns: []ui.Column{{Head: "Joint", Lead: true}, {Head: "Torque"}, {Head: "Wrench"}, {Head: "Wanted at"}},
	}
	for _, s := range specs {
		wanted := ui.Cell{}
		if s.JobID != nil {
			wanted = ui.Cell{Text: *s.JobTitle, Href: route.Job(*s.JobID), Sub: *s.StageName}
		}
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: s.Joint, Href: route.TorqueSpec(s.ID), Sub: joined(" · ", boltsText(s.TorqueSpec), s.Retorque)},
			{Body: ui.Plate(torquePlate(s.TorqueSpec, true))},
			wrenchCell(s.TorqueSpec, wrenches, today),
			wanted,
		})
	}
	return t
}

// boltsText is number, thread and class: 10 × M10×1.5, 10.9.
func boltsText(s garage.TorqueSpec) string {
	_, thread, class, sequence := s.Figures()
	text := joined(", ", thread.String(), class.String())
	if thread.IsZero() {
		text = class.String()
	}
	n := len(sequence.Order)
	if s.Bolts != nil {
		n = *s.Bolts
	}
	switch {
	case n == 0:
		return text
	case text == "":
		return countWords(n, "fastener", "fasteners")
	}
	return strconv.Itoa(n) + " × " + text
}

// wrenchCell is the best wrench for a spec, what to set it to, and why.
func wrenchCell(s garage.TorqueSpec, wrenches []garage.Wrench, today garage.Date) ui.Cell {
	stages, _, _, _ := s.Figures()
	want := highest(stages)
	if len(wrenches) == 0 || want.IsZero() {
		return ui.Cell{}
	}
	offers, err := torque.Choose(torqueWrenches(wrenches), want, torque.Extension{}, dayOf(today))
	if err != nil {
		return ui.Cell{Body: ui.State(ui.Blocked, "none of yours")}
	}
	best := offers[0]
	why := best.Reasons
	if len(best.Warnings) > 0 {
		why = []string{best.Warnings[0].Text}
	}
	return ui.Cell{Text: best.Wrench.Name, Href: route.TorqueSpec(s.ID) + "#wrench", Sub: joined(": ", "set to "+best.Setting.String(), joined(" ", why...))}
}

func torqueWrenches(wrenches []garage.Wrench) []torque.Wrench {
	list := make([]torque.Wrench, len(wrenches))
	for i, w := range wrenches {
		list[i] = w.Torque()
	}
	return list
}

// highest is the torque that asks most of a wrench; none where no stage has one.
func highest(stages torque.Stages) (want torque.Figure[unit.TorqueKind]) {
	for _, s := range stages {
		if s.Act == torque.Tighten && (want.IsZero() || s.Torque.Top().Compare(want.Top()) > 0) {
			want = s.Torque
		}
	}
	return want
}

// carSpecs are the lines of a car's page that lead to its specs.
func carSpecs(c garage.Car, parts CarParts) []ui.ListItem {
	bare := 0
	for _, s := range parts.Torque {
		if s.Source == "" {
			bare++
		}
	}
	item := ui.ListItem{Title: "Torque", Href: route.Specs(c.ID), Sub: "None yet"}
	if n := len(parts.Torque); n > 0 {
		item.Sub = countWords(n, "joint", "joints")
		if bare > 0 {
			item.Sub += ", " + strconv.Itoa(bare) + " with no source"
		}
	}
	return []ui.ListItem{
		item,
		{Title: "Fluids", Href: route.FluidSpecs(c.ID), Sub: cmp.Or(nameOf(parts.Fluids, func(f garage.FluidSpec) string { return f.Name }), "None yet")},
		{Title: "Wheels", Href: route.Wheels(c.ID), Sub: cmp.Or(nameOf(parts.WheelSets, func(s garage.WheelSet) string { return s.Name }), "None yet")},
	}
}

// nameOf names the first three of a list, and says how many more there are.
func nameOf[T any](list []T, name func(T) string) string {
	const few = 3
	var names []string
	for _, v := range list[:min(few, len(list))] {
		names = append(names, name(v))
	}
	text := strings.Join(names, ", ")
	if more := len(list) - few; more > 0 {
		text += " and " + strconv.Itoa(more) + " more"
	}
	return text
}

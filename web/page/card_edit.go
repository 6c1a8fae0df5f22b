package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	"axlestand/internal/trade/torque"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// CardEditView is where a job's card is written.
type CardEditView struct {
	Base
	Job      garage.Job
	CarName  string
	Revision string
	Warn     string // the card is in use: what changing it means
	Stages   []EditStage
	Sources  []ui.Option
	Patterns []garage.CardPattern
	Paste    PasteForm
	Errors   garage.FieldErrors // of copying and patterns
	Name     string             // typed for a pattern
}

// EditStage is a stage at the bench with its steps.
type EditStage struct {
	ID    garage.StageID
	Name  string
	Done  bool
	Steps []EditStep
	Sides []string // whose steps can be mirrored
}

// EditStep is a step as it is written.
type EditStep struct {
	ID          garage.StepID
	Number      int
	Text        string
	Kind        string
	Figure      string
	More        []string // what else is said of it
	Changed     string
	Pause       string
	First, Last bool
}

// NewCardEdit is the page on which a card is written.
func NewCardEdit(base Base, card garage.Card, sources []garage.JobLink, patterns []garage.CardPattern, paste PasteForm) CardEditView {
	v := CardEditView{
		Base: base, Job: card.Sheet.Job, CarName: card.Sheet.Car.Name, Revision: "Revision " + strconv.Itoa(card.Revision), Patterns: patterns,
		Paste: paste,
	}
	if card.InUseAt != nil {
		v.Warn = "The card is in use. A change after a tick makes a new revision, and the card marks what changed."
	}
	for _, j := range sources {
		text := j.Title + " · " + j.CarName
		if j.ClosedAt == nil {
			text += " (still open)"
		}
		v.Sources = append(v.Sources, ui.Option{Value: idText(int64(j.ID)), Text: text})
	}
	number := 0
	for _, g := range card.Sheet.Stages {
		if g.Kind != garage.Bench {
			continue
		}
		stage := EditStage{ID: g.ID, Name: g.Name, Done: g.DoneAt != nil}
		for _, s := range card.Steps {
			if s.StageID != g.ID {
				continue
			}
			number++
			stage.Steps = append(stage.Steps, newEditStep(number, s, card))
			if s.Side != "" && !slices.Contains(stage.Sides, s.Side) {
				stage.Sides = append(stage.Sides, s.Side)
			}
		}
		if n := len(stage.Steps); n > 0 {
			stage.Steps[0].First, stage.Steps[n-1].Last = true, true
		}
		if len(stage.Sides) == 2 {
			stage.Sides = nil // both are there
		}
		v.Stages = append(v.Stages, stage)
	}
	return v
}

func newEditStep(number int, s garage.Step, card garage.Card) EditStep {
	e := EditStep{ID: s.ID, Number: number, Text: s.Text, Figure: s.FigureText(), Pause: s.PauseAfter}
	if s.Kind != garage.DoStep {
		e.Kind = optionText(stepKindOptions, string(s.Kind))
	}
	if s.Changed != "" && s.Revision == card.Revision && card.InUseAt != nil {
		e.Changed = s.Changed
	}
	say := func(text string, said bool) {
		if said {
			e.More = append(e.More, text)
		}
	}
	say(s.Side, s.Side != "")
	say("source: "+sourceText(s.Source, s.Page), s.Source != "")
	say("no source", s.Source == "" && (s.Kind == garage.TorqueStep || s.Kind == garage.MeasureStep))
	for _, topic := range s.Cautions {
		say("caution: "+string(topic), true)
	}
	say("caution: "+s.CautionOwn, s.CautionOwn != "")
	say("wants a second look", s.Critical)
	say("needs what the maker says first", s.Locked() != "")
	if s.PartID != nil {
		for _, p := range card.Sheet.Parts {
			if p.ID == *s.PartID {
				say(pieces(s.Quantity, partWords(p)), true)
			}
		}
	}
	return e
}

// StageOptions are the stages that a text can be pasted into.
func (v CardEditView) StageOptions() []ui.Option {
	var options []ui.Option
	for _, s := range v.Stages {
		options = append(options, ui.Option{Value: idText(int64(s.ID)), Text: s.Name})
	}
	return options
}

// HasSteps says that there is something to keep.
func (v CardEditView) HasSteps() bool {
	return slices.ContainsFunc(v.Stages, func(s EditStage) bool { return len(s.Steps) > 0 })
}

// stepKindOptions are the kinds of step in a form.
var stepKindOptions = []ui.Option{
	{Value: string(garage.DoStep), Text: "Do"},
	{Value: string(garage.TorqueStep), Text: "Tighten"},
	{Value: string(garage.FluidStep), Text: "Fill"},
	{Value: string(garage.MeasureStep), Text: "Measure"},
	{Value: string(garage.WaitStep), Text: "Wait"},
	{Value: string(garage.CheckStep), Text: "Check"},
	{Value: string(garage.PhotoStep), Text: "Photo"},
	{Value: string(garage.RemoveStep), Text: "Take off, used once"},
}

// PasteForm is a text of lines that become steps, or those steps as they were read, to be confirmed.
type PasteForm struct {
	Lines  string
	Stage  string
	Read   []PastedStep
	Errors garage.FieldErrors
}

// PastedStep is a line as it was read, or corrected.
type PastedStep struct {
	Text, Kind, Figure string
	Low, High, Unit    string
	Pause, Caution     string
	Drop               bool
}

// ReadPasteForm is the form as sent: the text, or the steps that were read of it before.
func ReadPasteForm(v url.Values) PasteForm {
	f := PasteForm{Lines: v.Get("lines"), Stage: v.Get("stage")}
	n, _ := strconv.Atoi(v.Get("count"))
	for i := range min(max(n, 0), maxPasted) {
		at := func(name string) string { return v.Get("step." + strconv.Itoa(i) + "." + name) }
		f.Read = append(f.Read, PastedStep{
			Text: at("text"), Kind: at("kind"), Figure: at("figure"), Pause: at("pause"), Caution: at("caution"), Drop: at("drop") != "",
			Low: at("low"), High: at("high"), Unit: at("unit"),
		})
	}
	return f
}

// maxPasted is more than a card has steps.
const maxPasted = 500

// StageID is the stage that the text goes into.
func (f *PasteForm) StageID() garage.StageID {
	in := fields{Errors: f.Errors}
	id := garage.StageID(in.id("stage", f.Stage))
	if id == 0 {
		in.Errors.Add("stage", "Choose the stage.")
	}
	f.Errors = in.Errors
	return id
}

// Parse reads the text line by line, to be confirmed.
func (f *PasteForm) Parse() {
	steps := garage.ReadSteps(f.Lines)
	switch {
	case len(steps) == 0:
		f.Errors.Add("lines", "Paste or type at least one line.")
	case len(steps) > maxPasted:
		f.Errors.Add("lines", "500 lines at most.")
	}
	for _, s := range steps[:min(len(steps), maxPasted)] {
		f.Read = append(f.Read, PastedStep{
			Text: s.Text, Kind: string(s.Kind), Figure: s.Figure, Pause: s.PauseAfter, Caution: s.CautionOwn,
			Low: floatText(s.LimitLow), High: floatText(s.LimitHigh), Unit: s.LimitUnit,
		})
	}
}

// Steps are those confirmed; what does not hold is noted in Errors under the line's own field.
func (f *PasteForm) Steps() []garage.Step {
	var steps []garage.Step
	for i, p := range f.Read {
		if p.Drop {
			continue
		}
		var in fields
		s := garage.Step{
			Kind: garage.StepKind(p.Kind), Text: strings.TrimSpace(p.Text), Figure: strings.TrimSpace(p.Figure), PauseAfter: p.Pause, CautionOwn: p.Caution,
		}
		if s.Kind == garage.MeasureStep {
			s.LimitLow, s.LimitHigh, s.LimitUnit = in.optionalFigure("limit_low", p.Low), in.optionalFigure("limit_high", p.High), strings.TrimSpace(p.Unit)
			s.Figure = ""
		}
		for field, message := range in.with(s.Validate()) {
			f.Errors.Add("step."+strconv.Itoa(i)+"."+pastedField(field), message)
		}
		steps = append(steps, s)
	}
	if len(f.Errors) == 0 && len(steps) == 0 {
		f.Errors.Add("lines", "Keep at least one step.")
	}
	return steps
}

// pastedField is the name that a field of a step has among the pasted ones.
func pastedField(field string) string {
	switch field {
	case "limit_low":
		return "low"
	case "limit_high":
		return "high"
	case "limit_unit":
		return "unit"
	case "pause_after":
		return "pause"
	case "caution_own":
		return "caution"
	}
	return field
}

// labels name the fields of what was read, in their order.
func (f PasteForm) labels() []ui.Option {
	labels := []ui.Option{{Value: "stage", Text: "Stage"}, {Value: "lines", Text: "Lines"}}
	for i := range f.Read {
		for _, field := range []string{"text", "kind", "figure", "low", "high", "unit", "pause", "caution"} {
			labels = append(labels, ui.Option{Value: "step." + strconv.Itoa(i) + "." + field, Text: "Step " + strconv.Itoa(i+1)})
		}
	}
	return labels
}

// CardPasteView shows what was read of a text.
type CardPasteView struct {
	Base
	Job   garage.Job
	Stage string
	Form  PasteForm
}

// StepEditForm is a step as typed.
type StepEditForm struct {
	Version    string
	Kind       string
	Text       string
	Side       string
	Figure     string
	Low        string
	High       string
	Unit       string
	Condition  string
	Source     string
	Page       string
	Spec       string
	Fluid      string
	Part       string
	Quantity   string
	Cautions   []string
	CautionOwn string
	Critical   string
	Pause      string
	Errors     garage.FieldErrors
}

// NewStepEditForm is the form filled from what is stored.
func NewStepEditForm(s garage.Step) StepEditForm {
	f := StepEditForm{
		Version: strconv.FormatInt(s.Version, 10), Kind: string(s.Kind), Text: s.Text, Side: s.Side, Figure: s.Figure, Low: floatText(s.LimitLow),
		High: floatText(s.LimitHigh), Unit: s.LimitUnit, Condition: string(s.Condition), Source: s.Source, Page: s.Page, Spec: idOrNone(s.TorqueSpecID),
		Fluid: idOrNone(s.FluidSpecID), Part: idOrNone(s.PartID), CautionOwn: s.CautionOwn, Pause: s.PauseAfter,
	}
	if s.PartID != nil {
		f.Quantity = strconv.Itoa(s.Quantity)
	}
	if s.Critical {
		f.Critical = "yes"
	}
	for _, c := range s.Cautions {
		f.Cautions = append(f.Cautions, string(c))
	}
	return f
}

func idOrNone[T ~int64](id *T) string {
	if id == nil {
		return ""
	}
	return idText(int64(*id))
}

// ReadStepEditForm is the form as sent.
func ReadStepEditForm(v url.Values) StepEditForm {
	return StepEditForm{
		Version: v.Get("version"), Kind: v.Get("kind"), Text: v.Get("text"), Side: v.Get("side"), Figure: v.Get("figure"), Low: v.Get("limit_low"),
		High: v.Get("limit_high"), Unit: v.Get("limit_unit"), Condition: v.Get("condition"), Source: v.Get("source"), Page: v.Get("page"),
		Spec: v.Get("spec"), Fluid: v.Get("fluid"), Part: v.Get("part"), Quantity: v.Get("quantity"), Cautions: v["cautions"],
		CautionOwn: v.Get("caution_own"), Critical: v.Get("critical"), Pause: v.Get("pause_after"),
	}
}

// Step reads what was typed, and notes in Errors what does not parse or does not hold. The figures of a spec that was chosen
// go where none was typed.
func (f *StepEditForm) Step(card garage.Card) garage.Step {
	var in fields
	s := garage.Step{
		Version: version(f.Version), Kind: garage.StepKind(f.Kind), Text: strings.TrimSpace(f.Text), Side: f.Side, Figure: strings.TrimSpace(f.Figure),
		LimitLow: in.optionalFigure("limit_low", f.Low), LimitHigh: in.optionalFigure("limit_high", f.High), LimitUnit: strings.TrimSpace(f.Unit),
		Condition: torque.Condition(f.Condition), Source: strings.TrimSpace(f.Source), Page: strings.TrimSpace(f.Page),
		CautionOwn: strings.TrimSpace(f.CautionOwn), Critical: f.Critical != "", PauseAfter: strings.TrimSpace(f.Pause),
	}
	for _, c := range f.Cautions {
		s.Cautions = append(s.Cautions, cautions.Topic(c))
	}
	if id := garage.PartID(in.id("part", f.Part)); id != 0 {
		s.PartID, s.Quantity = &id, in.intOr("quantity", f.Quantity, 1)
	}
	f.takeSpec(&s, &in, card)
	f.Errors = in.with(s.Validate())
	return s
}

// takeSpec takes the figures of the specs chosen.
func (f *StepEditForm) takeSpec(s *garage.Step, in *fields, card garage.Card) {
	if id := garage.TorqueSpecID(in.id("spec", f.Spec)); id != 0 && s.Kind == garage.TorqueStep {
		i := slices.IndexFunc(card.Torque, func(t garage.TorqueSpec) bool { return t.ID == id })
		if i < 0 {
			in.Errors.Add("spec", "Choose a spec of this car.")
			return
		}
		spec := card.Torque[i]
		s.TorqueSpecID = &id
		if s.Figure == "" {
			s.Figure, s.Condition, s.Source, s.Page = spec.Stages, spec.Condition, spec.Source, spec.Page
		}
		if s.Text == "" {
			s.Text = "Tighten: " + spec.Joint
		}
	}
	if id := garage.FluidSpecID(in.id("fluid", f.Fluid)); id != 0 && s.Kind == garage.FluidStep {
		s.FluidSpecID = &id
	}
}

// Conflict sets the form beside what is stored.
func (f StepEditForm) Conflict(stored StepEditForm) []ConflictRow {
	row := func(field, yours, theirs string) ConflictRow {
		return ConflictRow{Field: field, Yours: yours, Stored: theirs}
	}
	return []ConflictRow{
		row("What is done", f.Text, stored.Text),
		row("Kind", optionText(stepKindOptions, f.Kind), optionText(stepKindOptions, stored.Kind)),
		row("Side", f.Side, stored.Side),
		row("Figure", f.Figure, stored.Figure),
		row("Limits", joined(" to ", f.Low, f.High)+" "+f.Unit, joined(" to ", stored.Low, stored.High)+" "+stored.Unit),
		row("Source", sourceText(f.Source, f.Page), sourceText(stored.Source, stored.Page)),
		row("Cautions", strings.Join(f.Cautions, ", "), strings.Join(stored.Cautions, ", ")),
		row("Caution of your own", f.CautionOwn, stored.CautionOwn),
		row("Pause after it", f.Pause, stored.Pause),
	}
}

// StepEditView is the page of a step's form.
type StepEditView struct {
	Base
	Card  garage.Card
	Stage garage.Stage
	ID    garage.StepID
	After string // the step that a new one follows
	Form  StepEditForm
	Parts []garage.PartRow
}

// Action is where the form is sent.
func (v StepEditView) Action() string {
	if v.ID == 0 {
		return route.StageSteps(v.Stage.ID)
	}
	return route.Step(v.ID)
}

func (v StepEditView) specs() []ui.Option {
	options := []ui.Option{{Text: "None"}}
	for _, s := range v.Card.Torque {
		options = append(options, ui.Option{Value: idText(int64(s.ID)), Text: s.Joint + ": " + s.Stages})
	}
	return options
}

func (v StepEditView) fluids() []ui.Option {
	options := []ui.Option{{Text: "None"}}
	for _, s := range v.Card.Fluids {
		options = append(options, ui.Option{Value: idText(int64(s.ID)), Text: joined(", ", s.Name, s.Grade, s.CapacityService)})
	}
	return options
}

func (v StepEditView) parts() []ui.Option {
	options := []ui.Option{{Text: "None"}}
	for _, p := range v.Parts {
		options = append(options, ui.Option{Value: idText(int64(p.ID)), Text: p.Label()})
	}
	return options
}

func cautionOptions() []ui.Option {
	var options []ui.Option
	for _, c := range cautions.All() {
		options = append(options, ui.Option{Value: string(c.Topic), Text: string(c.Topic), Hint: c.Text})
	}
	return options
}

var stepEditLabels = []ui.Option{
	{Value: "kind", Text: "Kind"},
	{Value: "text", Text: "What is done"},
	{Value: "figure", Text: "Figure"},
	{Value: "spec", Text: "Spec of the car"},
	{Value: "limit_low", Text: "At least"},
	{Value: "limit_high", Text: "At most"},
	{Value: "limit_unit", Text: "Unit"},
	{Value: "source", Text: "Document"},
	{Value: "page", Text: "Page"},
	{Value: "part", Text: "Part"},
	{Value: "quantity", Text: "How many"},
	{Value: "cautions", Text: "Cautions"},
	{Value: "caution_own", Text: "Caution of your own"},
	{Value: "pause_after", Text: "Pause after it"},
}

// mirrorWords name the button that adds the steps of a side for the other one.
func mirrorWords(side string) string {
	if side == "left" {
		return "The left side's steps for the right too"
	}
	return "The right side's steps for the left too"
}

// MirrorText says what mirroring came to.
func MirrorText(n int, side string, without []garage.Part) string {
	other := "left"
	if side == "left" {
		other = "right"
	}
	text := countWords(n, "step", "steps") + " added for the " + other + " side."
	var names []string
	for _, p := range without {
		names = append(names, partWords(p))
	}
	if len(names) > 0 {
		text += " Without a twin for that side: " + strings.Join(names, ", ") + "."
	}
	return text
}

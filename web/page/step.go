package page

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// CardStep is a step as its card shows it.
type CardStep struct {
	ID       garage.StepID
	Number   int
	Kind     garage.StepKind
	Text     string
	Side     string
	Figure   string // in its row
	State    string // data-state
	Mood     ui.Mood
	Said     string // how it stands, in words: 10:42, no wrench
	OwnKey   string // by which a helper undoes what was done with the same link
	Result   string // what it came to, when that is more than being done: 0.1 V
	Open     bool   // shown large
	Locked   string
	Changed  string
	Critical bool
	Cautions []CardCaution
	Own      string // the owner's own caution
	Plate    *ui.PlateData
	Drift    string // the stored spec says something else by now
	Part     string
	Torque   *TorqueSpecView
	Wait     string
	Minutes  int // that a wait still to be started lasts
	Until    time.Time
	UntilAt  string
	Tools    []ui.Link // calculators with the step's figures
	Photos   []PhotoView
	Write    string   // what must be written down with the tick
	Marked   []ui.Def // what was noted
	Finding  string
	Mark     garage.MarkID
	Second   string // when it was looked at once more
	Closed   bool   // the job is: nothing can be ticked
	Form     StepForm
}

// StepForm is what was typed at a step of a card.
type StepForm struct {
	Step   garage.StepID
	Kind   string
	Value  string
	Wrench string
	Note   string
	At     string
	Source string
	Page   string
	Key    string
	Pick   *WrenchPick // the wrench as chosen, when that could not be taken
	Errors garage.FieldErrors
}

// ReadStepForm is the form as sent.
func ReadStepForm(step garage.StepID, v url.Values) StepForm {
	return StepForm{
		Step: step, Kind: v.Get("kind"), Value: v.Get("value"), Wrench: v.Get("wrench"), Note: v.Get("note"), At: v.Get("at"),
		Source: v.Get("source"), Page: v.Get("page"), Key: v.Get(ui.OnceField),
	}
}

// Mark is what was typed, and notes in Errors what does not parse. A timer that does not say when it ends runs for the step's
// own time from when it was started.
func (f *StepForm) Mark(step garage.Step, now time.Time) garage.StepMark {
	in := fields{}
	m := garage.StepMark{StepID: f.Step, Kind: garage.MarkKind(f.Kind), Value: strings.TrimSpace(f.Value), Note: strings.TrimSpace(f.Note)}
	if at, err := time.Parse(time.RFC3339, f.At); err == nil {
		m.At = at
	} else if f.At != "" {
		in.Errors.Add("at", "A moment like 2027-03-06T10:42:00Z, please.")
	}
	if id := in.id("wrench", f.Wrench); id != 0 {
		m.WrenchID = new(garage.WrenchID(id))
	}
	if f.Key != "" {
		m.Key = &f.Key
	}
	if m.Kind == garage.StartedMark && m.Value == "" {
		from := now
		if !m.At.IsZero() && m.At.Before(now) {
			from = m.At
		}
		m.Value = from.Add(step.Wait()).Format(time.RFC3339)
	}
	f.Errors = in.Errors
	return m
}

// step words a step.
func (c cardContext) step(r garage.StepRow) CardStep {
	s := CardStep{
		ID: r.ID, Number: r.Number, Kind: r.Kind, Text: r.Text, Side: r.Side, Figure: r.FigureText(), State: string(r.State),
		Open: r.ID == c.open, Locked: r.Locked(), Critical: r.Critical, Own: r.CautionOwn, Finding: r.Finding,
		Write: r.MustWrite(), Closed: c.card.Sheet.Job.ClosedAt != nil, Form: StepForm{Step: r.ID},
	}
	if c.opts.Form.Step == r.ID {
		s.Form = c.opts.Form
	}
	if s.Open && r.Open() && r.State == garage.StepOpen {
		s.State = "now"
	}
	if r.Changed != "" && r.Revision == c.card.Revision && c.card.Revision > 1 {
		s.Changed = r.Changed
	}
	for _, topic := range r.Cautions {
		if k, ok := cautions.For(topic); ok {
			s.Cautions = append(s.Cautions, CardCaution{string(k.Topic), k.Text, k.Source})
		}
	}
	if r.PartID != nil {
		part := findPart(c.card.Sheet.Parts, *r.PartID)
		if part.ID == 0 {
			part.Name = "a part that is not in the kit any more"
		}
		s.Part = cardKitWords(r.Quantity, part)
	}
	s.stand(r, c)
	s.figures(r, c)
	for _, p := range c.opts.Photos[r.ID] {
		s.Photos = append(s.Photos, newPhotoView(p, c.zone))
	}
	return s
}

func findPart(parts []garage.Part, id garage.PartID) garage.Part {
	if i := slices.IndexFunc(parts, func(p garage.Part) bool { return p.ID == id }); i >= 0 {
		return parts[i]
	}
	return garage.Part{}
}

// stand says how a step stands, and what was noted at it.
func (s *CardStep) stand(r garage.StepRow, c cardContext) {
	switch r.State {
	case garage.StepDone:
		s.Mood, s.Said = ui.Done, c.clock(r.Mark.At)
		if r.Kind == garage.MeasureStep && r.Mark.Value != "" {
			s.Result = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(r.Mark.Value), r.LimitUnit)) + "\u00a0" + r.LimitUnit
		}
		if r.Finding != "" {
			s.Mood, s.Result = ui.Blocked, r.Finding
		}
	case garage.StepNoWrench:
		s.Mood, s.Said = ui.Loose, "not tightened"
	case garage.StepRunning:
		s.Mood, s.Said = ui.Waits, "waits"
		if until, ok := r.Mark.Until(); ok {
			s.Until, s.UntilAt = until, c.clock(until)
			s.Said = "until " + s.UntilAt
		}
	case garage.StepLocked:
		s.Mood, s.Said = ui.Blocked, "locked"
	}
	if r.Mark == nil {
		return
	}
	s.Mark = r.Mark.ID
	if by := r.Mark.ByLink; c.opts.Link != 0 && by != nil && *by == c.opts.Link && r.Mark.Key != nil {
		s.OwnKey = *r.Mark.Key
	}
	if r.State == garage.StepDone {
		s.Marked = append(s.Marked, ui.Def{Term: "Noted", Text: r.Mark.Value})
		if r.Mark.WrenchID != nil {
			for _, w := range c.card.Wrenches {
				if w.ID == *r.Mark.WrenchID {
					s.Marked = append(s.Marked, ui.Def{Term: "Wrench", Text: w.Name})
				}
			}
		}
	}
	s.Marked = append(s.Marked, ui.Def{Term: "Note", Text: r.Mark.Note})
	if r.Second != nil {
		s.Second = c.clock(r.Second.At)
	}
}

// figures lay out what a step is done by.
func (s *CardStep) figures(r garage.StepRow, c cardContext) {
	source := sourceText(r.Source, r.Page)
	switch r.Kind {
	case garage.TorqueStep:
		s.torque(r, c)
	case garage.FluidStep:
		if r.Figure != "" {
			s.Plate = &ui.PlateData{Figures: []ui.Figure{splitFigure(r.Figure)}, Source: source}
		}
		s.Tools = fluidTools(r.Step, c.card.Fluids)
	case garage.MeasureStep:
		low, high := "", ""
		if r.LimitLow != nil {
			low = strconv.FormatFloat(*r.LimitLow, 'f', -1, 64)
		}
		if r.LimitHigh != nil {
			high = strconv.FormatFloat(*r.LimitHigh, 'f', -1, 64)
		}
		figure := ui.Figure{Unit: r.LimitUnit}
		switch {
		case low != "" && high != "" && low != high:
			figure.Value = low + " to " + high
		case low != "" && high == "":
			figure.Value = "≥ " + low
		case low == "":
			figure.Value = "≤ " + high
		default:
			figure.Value = low
		}
		s.Plate = &ui.PlateData{Label: "allowed", Figures: []ui.Figure{figure}, Source: source}
	case garage.WaitStep:
		s.Wait = r.Figure
		if r.State == garage.StepOpen {
			s.Minutes = int(r.Wait().Minutes())
		}
		if r.Source != "" {
			s.Plate = &ui.PlateData{Figures: []ui.Figure{splitFigure(r.Figure)}, Source: source}
		}
	}
}

// splitFigure sets a figure and its unit apart: 0.9 and l.
func splitFigure(printed string) ui.Figure {
	if i := strings.LastIndex(printed, " "); i > 0 && strings.Count(printed, " ") == 1 {
		return ui.Figure{Value: printed[:i], Unit: printed[i+1:]}
	}
	return ui.Figure{Value: printed}
}

// torque offers the wrench for a step with its setting, and the stages large.
func (s *CardStep) torque(r garage.StepRow, c cardContext) {
	spec := garage.TorqueSpec{Joint: r.Text, Stages: r.Figure, Condition: r.Condition, Source: r.Source, Page: r.Page}
	if r.TorqueSpecID != nil {
		for _, stored := range c.card.Torque {
			if stored.ID != *r.TorqueSpecID {
				continue
			}
			spec.Thread, spec.Class, spec.Bolts, spec.Sequence, spec.SingleUse = stored.Thread, stored.Class, stored.Bolts, stored.Sequence, stored.SingleUse
			if stored.Stages != r.Figure {
				s.Drift = "The car's spec says " + stored.Stages + " by now. Find out which holds before you tighten it."
			}
		}
	}
	pick := WrenchPick{Extension: r.Extension, Angle: r.ExtensionAngle}
	if r.WrenchID != nil {
		pick.Wrench = idText(int64(*r.WrenchID))
	}
	if c.opts.Form.Step == r.ID && c.opts.Form.Pick != nil {
		pick = *c.opts.Form.Pick
	}
	v := NewTorqueSpec(Base{}, garage.TorqueSpecRow{TorqueSpec: spec}, c.card.Sheet.Car, c.card.Wrenches, pick, c.opts.Settings, c.today)
	s.Torque, s.Plate = &v, &v.Plate
	if high := torqueHighest(r.Figure); !high.IsZero() {
		values := url.Values{"torque": {high.Number()}, "torque_unit": {high.Unit().String()}}
		s.Tools = []ui.Link{{Text: "Reckon a setting", Href: route.CalculatorWith("extension", values)}}
	}
}

// settingOn leads up to the figure that the chosen wrench is set to.
func (v TorqueSpecView) settingOn() string {
	if v.Wrench.Extended {
		return "On " + v.Wrench.Name + ", " + v.Pick.Extension + " extension, set"
	}
	return "On " + v.Wrench.Name + ", set"
}

func torqueHighest(figure string) unit.Torque {
	stages, _ := torque.ParseStages(figure)
	return stages.Highest()
}

// Primary is what the large button of a step says.
func (s CardStep) Primary() string {
	switch s.Kind {
	case garage.TorqueStep:
		return "Reached " + s.Figure
	case garage.FluidStep:
		return "Filled"
	case garage.MeasureStep:
		return "Note it"
	case garage.WaitStep:
		if s.State != string(garage.StepRunning) {
			return "Start " + s.Wait
		}
	case garage.CheckStep:
		return "All right"
	case garage.PhotoStep:
		return "Photo taken"
	case garage.RemoveStep:
		return "Off"
	}
	return "Done"
}

// Formed names a form of the step.
func (s CardStep) Formed(what string) string { return what + "-" + idText(int64(s.ID)) }

// wrenchID is the wrench that a torque is noted with.
func (s CardStep) wrenchID() string {
	if s.Torque == nil || s.Torque.Wrench.ID == 0 {
		return ""
	}
	return idText(s.Torque.Wrench.ID)
}

// value is what stands in the field for what was done: what was typed, or what the step wants.
func (s CardStep) value() string {
	if s.Form.Kind == string(garage.DoneMark) {
		return s.Form.Value
	}
	if s.Kind == garage.TorqueStep || s.Kind == garage.FluidStep {
		return s.Figure
	}
	return ""
}

// fluidTools are the calculators for what is filled, with the figures of the step and of the car's fluid.
func fluidTools(step garage.Step, fluids []garage.FluidSpec) []ui.Link {
	var fluid garage.FluidSpec
	if step.FluidSpecID != nil {
		for _, f := range fluids {
			if f.ID == *step.FluidSpecID {
				fluid = f
			}
		}
	}
	dry := volumeFields("dry", fluid.CapacityDry)
	with := func(name string, more ...url.Values) string {
		all := url.Values{}
		for _, m := range append([]url.Values{dry}, more...) {
			for field, value := range m {
				all[field] = value
			}
		}
		return route.CalculatorWith(name, all)
	}
	drained := cmp.Or(fluid.CapacityService, step.Figure)
	tools := []ui.Link{
		{Text: "How much of the old stays", Href: with("dilution", volumeFields("drained", drained))},
		{Text: "Room for an additive", Href: with("additive")},
	}
	switch fluid.Kind {
	case "coolant":
		values := volumeFields("volume", fluid.CapacityDry)
		for field, value := range volumeFields("drainable", drained) {
			values[field] = value
		}
		tools = append([]ui.Link{{Text: "Concentration after refilling", Href: route.CalculatorWith("coolant", values)}}, tools...)
	case "brake fluid":
		values := url.Values{}
		if fluid.Grade != "" {
			values.Set("asked", fluid.Grade)
		}
		tools = []ui.Link{{Text: "May this brake fluid go in", Href: route.CalculatorWith("brake-fluid", values)}}
	}
	return tools
}

// volumeFields fill a field of a calculator and its unit.
func volumeFields(name, printed string) url.Values {
	q, err := unit.Parse[unit.VolumeKind](printed)
	if err != nil || !slices.Contains(benchVolumes, q.Unit().String()) {
		return url.Values{}
	}
	return url.Values{name: {q.Number()}, name + "_unit": {q.Unit().String()}}
}

// Makes is the kind of mark that the large button makes.
func (s CardStep) Makes() string {
	if s.Kind == garage.WaitStep && s.State != string(garage.StepRunning) {
		return string(garage.StartedMark)
	}
	return string(garage.DoneMark)
}

// Becomes is how the row stands when that mark is made.
func (s CardStep) Becomes() string {
	if s.Makes() == string(garage.StartedMark) {
		return string(garage.StepRunning)
	}
	return string(garage.StepDone)
}

// Valued says that something is written down with the tick.
func (s CardStep) Valued() bool {
	return s.Write != "" || s.Kind == garage.TorqueStep || s.Kind == garage.FluidStep || s.Kind == garage.MeasureStep
}

// ValueLabel names what is written down.
func (s CardStep) ValueLabel() string {
	switch s.Kind {
	case garage.TorqueStep:
		return "Reached"
	case garage.FluidStep:
		return "Filled"
	case garage.MeasureStep:
		return "Measured"
	}
	return "Write down"
}

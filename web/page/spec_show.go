package page

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// TorqueSpecView is the page of a torque spec.
type TorqueSpecView struct {
	Base
	Spec     garage.TorqueSpecRow
	Car      garage.Car
	Caution  string
	Warnings []string // what looks like a slip: another unit, another thread
	Plate    ui.PlateData
	Facts    []ui.Def
	Steps    []SpecStep
	Diagram  *BoltDiagram // nil where the page shows no order, or one that cannot be drawn
	Generic  string       // the bound, or why there is none
	Pick     WrenchPick
	Wrench   ChosenWrench
	Others   []WrenchOffer
}

// SpecStep is a stage of a spec in words, with the torque in the owner's unit where the page prints another.
type SpecStep struct {
	Text string
	Also string
	Set  string // what to set the wrench to
	Bolt string // what the fastener then gets
	Warn []string
}

// WrenchPick is the wrench and the extension that the owner chose to go by, as typed.
type WrenchPick struct {
	Wrench    string
	Extension string
	Angle     string
	Options   []ui.Option
	Errors    garage.FieldErrors
}

// ReadWrenchPick is the choice as sent.
func ReadWrenchPick(v url.Values) WrenchPick {
	return WrenchPick{Wrench: v.Get("wrench"), Extension: v.Get("extension"), Angle: v.Get("angle")}
}

// Read is the extension as typed, and notes in Errors what does not parse.
func (p *WrenchPick) Read() torque.Extension {
	e := torque.Extension{Angle: unit.Degree.Of(0)}
	var err error
	if typed := withUnit(p.Extension, unit.Mm); typed != "" {
		if e.Length, err = unit.Parse[unit.LengthKind](typed); err != nil {
			p.Errors.Add("extension", garage.TradeSentence(err))
		}
	}
	if typed := withUnit(p.Angle, unit.Degree); typed != "" {
		if e.Angle, err = unit.Parse[unit.AngleKind](typed); err != nil {
			p.Errors.Add("angle", garage.TradeSentence(err))
		}
	}
	return e
}

// WrenchOffer is one wrench and what speaks for and against it.
type WrenchOffer struct {
	ID      int64
	Name    string
	Set     string
	Reasons []string
	Warns   []string
	Refused string // why it cannot be used
}

// ChosenWrench is the wrench that the settings are for.
type ChosenWrench struct {
	WrenchOffer
	Any      bool // the owner has wrenches, and the spec a torque
	Best     bool
	Extended bool
}

// NewTorqueSpec is the page of a torque spec with the wrench picked, or else the best one.
func NewTorqueSpec(base Base, spec garage.TorqueSpecRow, car garage.Car, wrenches []garage.Wrench, pick WrenchPick, settings garage.Settings, today garage.Date) TorqueSpecView {
	stages, thread, class, sequence := spec.Figures()
	v := TorqueSpecView{Base: base, Spec: spec, Car: car, Caution: cautions.Standing, Plate: torquePlate(spec.TorqueSpec, false), Pick: pick}
	for _, w := range torque.Plausible(stages, thread, class) {
		v.Warnings = append(v.Warnings, w.Text)
	}
	v.Facts = torqueFacts(spec, sequence)
	v.Diagram = NewBoltDiagram(sequence)
	if spec.Thread != "" && spec.Class != "" {
		v.Generic = genericText(thread, class)
	}
	owners, err := unit.ParseUnit[unit.TorqueKind](settings.TorqueUnit)
	if err != nil {
		owners = unit.Nm
	}
	for _, s := range stages {
		v.Steps = append(v.Steps, SpecStep{Text: stageWordsOf(s), Also: alsoIn(s, owners)})
	}
	v.choose(stages, wrenches, today)
	return v
}

// choose offers the wrenches, and reckons the settings of the one picked.
func (v *TorqueSpecView) choose(stages torque.Stages, wrenches []garage.Wrench, today garage.Date) {
	want := highest(stages)
	if len(wrenches) == 0 || want.IsZero() {
		return
	}
	extension := v.Pick.Read()
	if len(v.Pick.Errors) > 0 {
		extension = torque.Extension{}
	}
	offers, err := torque.Choose(torqueWrenches(wrenches), want, extension, dayOf(today))
	if wrong, ok := asInput(err); ok && wrong.Field != "wrench" {
		v.Pick.Errors.Add(wrong.Field, wrong.Sentence)
	}
	v.Wrench.Any = true
	chosen := 0
	for i, o := range offers {
		id := strconv.FormatInt(o.Wrench.Key, 10)
		v.Pick.Options = append(v.Pick.Options, ui.Option{Value: id, Text: o.Wrench.Name})
		if id == v.Pick.Wrench {
			chosen = i
		}
	}
	v.Pick.Wrench = v.Pick.Options[chosen].Value
	v.Wrench.WrenchOffer, v.Wrench.Best, v.Wrench.Extended = wrenchOffer(offers[chosen]), chosen == 0, !extension.IsZero()
	for i, s := range stages {
		if s.Act == torque.Tighten {
			v.Steps[i].set(offers[chosen].Wrench, s, extension, today)
		}
	}
	for i, o := range offers {
		if i != chosen {
			v.Others = append(v.Others, wrenchOffer(o))
		}
	}
	for _, field := range []string{"extension", "angle"} { // each wrench may refuse the extension itself
		if wrong, ok := asInput(offers[chosen].Err); ok && wrong.Field == field {
			v.Pick.Errors.Add(field, wrong.Sentence)
		}
	}
}

func asInput(err error) (*input.Error, bool) {
	wrong, ok := err.(*input.Error)
	return wrong, ok
}

// set reckons the setting of a wrench for a stage.
func (s *SpecStep) set(w torque.Wrench, stage torque.Stage, e torque.Extension, today garage.Date) {
	offers, _ := torque.Choose([]torque.Wrench{w}, stage.Torque, e, dayOf(today))
	if len(offers) != 1 {
		return
	}
	o := offers[0]
	if o.Err != nil {
		s.Warn = append(s.Warn, garage.TradeSentence(o.Err))
		return
	}
	s.Set, s.Bolt = o.Setting.String(), o.AtBolt.Readable().String()
	for _, warning := range o.Warnings {
		if warning.Code != "calibration" { // said once, of the wrench
			s.Warn = append(s.Warn, warning.Text)
		}
	}
}

func wrenchOffer(o torque.Offer) WrenchOffer {
	w := WrenchOffer{ID: o.Wrench.Key, Name: o.Wrench.Name, Reasons: o.Reasons}
	if o.Err != nil {
		w.Refused = garage.TradeSentence(o.Err)
		return w
	}
	w.Set = o.Setting.String()
	for _, warning := range o.Warnings {
		w.Warns = append(w.Warns, warning.Text)
	}
	return w
}

// mood says in a mark whether a wrench can be taken.
func (o WrenchOffer) mood() (ui.Mood, string) {
	switch {
	case o.Refused != "":
		return ui.Blocked, "cannot be used: " + o.Refused
	case len(o.Warns) > 0:
		return ui.Waits, "set to " + o.Set + ", but mind: " + strings.Join(o.Warns, " ")
	}
	return ui.Ready, "set to " + o.Set + ". " + strings.Join(o.Reasons, " ")
}

func genericText(thread torque.Thread, class torque.Class) string {
	const usual = 0.14
	generic, err := torque.GenericMax(thread, class, usual)
	if err != nil {
		return garage.TradeSentence(err)
	}
	return generic.String()
}

func stageWordsOf(s torque.Stage) string {
	switch s.Act {
	case torque.Tighten:
		return "Tighten to " + s.String()
	case torque.Turn:
		return "Turn further by " + s.Angle.String()
	case torque.HandTight:
		return "Tighten by hand"
	case torque.Loosen:
		if s.Angle.IsZero() {
			return "Loosen fully"
		}
		return "Loosen by " + s.Angle.String()
	case torque.Wait:
		return "Wait " + TimeWords(s.Minutes)
	case torque.Retighten:
		return "Retighten at " + s.When
	}
	return s.String()
}

// alsoIn is a stage's torque in the owner's unit; empty where the page prints that one.
func alsoIn(s torque.Stage, owners unit.Unit[unit.TorqueKind]) string {
	f := s.Torque
	if f.IsZero() || f.Value.Unit() == owners || s.Also.Value.Unit() == owners {
		return ""
	}
	if f.High.IsZero() && f.Tol.IsZero() {
		return f.Value.Show(owners)
	}
	return f.Low().Show(owners) + " to " + f.Top().Show(owners)
}

func torqueFacts(s garage.TorqueSpecRow, sequence torque.Sequence) []ui.Def {
	facts := []ui.Def{
		{Term: "As printed", Text: s.Stages},
		{Term: "Fasteners", Text: boltsText(s.TorqueSpec)},
		{Term: "Condition", Text: s.Condition.Words()},
	}
	if s.SingleUse {
		facts = append(facts, ui.Def{Term: "Single use", Text: "New fasteners each time."})
	}
	facts = append(facts, ui.Def{Term: "Retighten", Text: s.Retorque}, ui.Def{Term: "Sequence", Text: sequenceText(sequence)})
	checked := "no, not yet"
	if s.CheckedOn != nil {
		checked = "on " + DayWords(*s.CheckedOn)
	}
	facts = append(facts, ui.Def{Term: "Checked on the car", Text: checked})
	if s.JobID != nil {
		facts = append(facts, ui.Def{Term: "Wanted at", Text: *s.JobTitle + ": " + *s.StageName, Href: route.Job(*s.JobID)})
	}
	return append(facts, ui.Def{Term: "Note", Body: textBlock(s.Note)})
}

func sequenceText(s torque.Sequence) string {
	switch s.Pattern {
	case torque.Star:
		return "across in a star: " + s.OrderText()
	case torque.Spiral:
		return "from the centre outwards: " + s.OrderText() + "; loosen it backwards, from the outside in"
	case torque.Numbered:
		return "as numbered in the maker's diagram: " + s.OrderText()
	}
	return ""
}

// BoltDiagram is where the fasteners of a joint lie, and which comes when.
type BoltDiagram struct {
	ViewBox  string
	Describe string
	Bolts    []DiagramBolt
}

// DiagramBolt is one fastener of a diagram.
type DiagramBolt struct{ X, Y, R, Text string }

// NewBoltDiagram draws a star as a circle and a spiral as rows; nil for what has no known shape.
func NewBoltDiagram(s torque.Sequence) *BoltDiagram {
	n := len(s.Order)
	if n == 0 || s.Pattern == torque.Numbered {
		return nil
	}
	d := &BoltDiagram{Describe: "The number in a fastener is when its turn comes: " + sequenceText(s)}
	turn := make([]int, n)
	for i, bolt := range s.Order {
		turn[bolt-1] = i + 1
	}
	const radius, gap = 15, 40
	add := func(i int, x, y float64) {
		d.Bolts = append(d.Bolts, DiagramBolt{X: coordinate(x), Y: coordinate(y), R: strconv.Itoa(radius), Text: strconv.Itoa(turn[i])})
	}
	if s.Pattern == torque.Spiral {
		perRow := n / s.Rows
		for i := range n {
			add(i, float64(20+gap*(i%perRow)), float64(20+gap*(i/perRow)))
		}
		d.ViewBox = fmt.Sprintf("0 0 %d %d", gap*perRow, gap*s.Rows)
		return d
	}
	circle := max(55, float64(n)*gap/(2*math.Pi))
	middle := circle + 20
	for i := range n {
		angle := 2*math.Pi*float64(i)/float64(n) - math.Pi/2
		add(i, middle+circle*math.Cos(angle), middle+circle*math.Sin(angle))
	}
	d.ViewBox = fmt.Sprintf("0 0 %.0f %.0f", 2*middle, 2*middle)
	return d
}

func coordinate(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

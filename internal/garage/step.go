package garage

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"axlestand/internal/trade/caution"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
)

// StepID names a step.
type StepID int64

// StepKind says what a step has the owner do.
type StepKind string

// The kinds of step.
const (
	DoStep      StepKind = "do"
	TorqueStep  StepKind = "torque"
	FluidStep   StepKind = "fluid"
	MeasureStep StepKind = "measure" // against limits
	WaitStep    StepKind = "wait"    // a timer
	CheckStep   StepKind = "check"
	PhotoStep   StepKind = "photo"
	RemoveStep  StepKind = "remove" // fasteners that are used once
)

// StepKinds lists them in the order of a form.
var StepKinds = []StepKind{DoStep, TorqueStep, FluidStep, MeasureStep, WaitStep, CheckStep, PhotoStep, RemoveStep}

// How a step differs from the card's revision before.
const (
	StepNew     = "new"
	StepChanged = "changed"
	StepMoved   = "moved"
	StepGone    = "gone"
)

// Step is one action inside a stage at the bench, with its figure as printed at the point of use.
type Step struct {
	ID             StepID
	Version        int64
	StageID        StageID
	Position       int
	Kind           StepKind
	Text           string
	Side           string
	Figure         string // as printed: 30 Nm + 90°, 0.9 l, 15 min
	LimitLow       *float64
	LimitHigh      *float64
	LimitUnit      string
	Condition      torque.Condition
	Source         string // document; empty when nobody knows
	Page           string
	TorqueSpecID   *TorqueSpecID
	FluidSpecID    *FluidSpecID
	PartID         *PartID // what comes off and is used once, or goes on
	Quantity       int
	Cautions       []caution.Topic
	CautionOwn     string
	Critical       bool // wants a second look
	PauseAfter     string
	WrenchID       *WrenchID // that the owner chose for it
	Extension      string
	ExtensionAngle string
	Revision       int    // of the card, in which it was made or last changed
	Changed        string // since the revision before
	DeletedAt      *time.Time
}

// Validate says which fields do not hold.
func (s Step) Validate() error {
	var e FieldErrors
	oneOf(&e, "kind", s.Kind, StepKinds)
	if strings.TrimSpace(s.Text) == "" {
		e.Add("text", "Say what is done.")
	}
	if len([]rune(s.Text)) > maxStepText {
		e.Add("text", "Keep it to 1,000 characters.")
	}
	oneOf(&e, "side", s.Side, Sides)
	oneOf(&e, "condition", s.Condition, torque.Conditions)
	e.figure(s)
	e.limits(s)
	e.source(s.Source, s.Page)
	e.removed(s)
	for _, topic := range s.Cautions {
		if _, known := caution.For(topic); !known {
			e.Add("cautions", "Choose from the list.")
		}
	}
	e.text("caution_own", s.CautionOwn)
	e.line("pause_after", s.PauseAfter)
	return e.Err()
}

// maxStepText is more than is read beside a lift.
const maxStepText = 1000

// figure checks what each kind prints. Work on airbags may wait for a time that the owner looks up later.
func (e *FieldErrors) figure(s Step) {
	e.line("figure", s.Figure)
	switch s.Kind {
	case TorqueStep:
		_, err := torque.ParseStages(s.Figure)
		e.trade("figure", err)
	case FluidStep:
		if s.Figure != "" {
			_, err := unit.Parse[unit.VolumeKind](s.Figure)
			e.trade("figure", err)
		}
	case WaitStep:
		if minutes, ok := ParseWait(s.Figure); !ok && (s.Figure != "" || !s.waitsForMaker()) {
			e.Add("figure", "How long: 15 min, 2 h or 1 h 30 min.")
		} else if ok && minutes > maxWait {
			e.Add("figure", "A week at most: make it a stage that waits.")
		}
	default:
		if s.Figure != "" {
			e.Add("figure", "Only tightening, filling and waiting have a figure here.")
		}
	}
}

func (e *FieldErrors) limits(s Step) {
	if s.Kind != MeasureStep {
		if s.LimitLow != nil || s.LimitHigh != nil || s.LimitUnit != "" {
			e.Add("limit_low", "Only what is measured has limits.")
		}
		return
	}
	e.line("limit_unit", s.LimitUnit)
	switch {
	case s.LimitLow == nil && s.LimitHigh == nil:
		e.Add("limit_low", "Give at least one limit.")
	case s.LimitLow != nil && s.LimitHigh != nil && *s.LimitLow > *s.LimitHigh:
		e.Add("limit_high", "Not less than the lower limit.")
	}
	if strings.TrimSpace(s.LimitUnit) == "" {
		e.Add("limit_unit", "In what is it measured?")
	}
}

func (e *FieldErrors) removed(s Step) {
	switch {
	case s.PartID != nil:
		e.quantity("quantity", s.Quantity)
	case s.Quantity != 0:
		e.Add("part", "Choose the part, or leave the number empty.")
	}
	if s.PartID != nil && s.Kind != RemoveStep && s.Kind != DoStep && s.Kind != TorqueStep {
		e.Add("part", "A part belongs to a step that takes it off or fits it.")
	}
}

// maxWait is a week in minutes.
const maxWait = 7 * 24 * 60

// waitsForMaker says that the step waits for as long as the maker of the car says, which differs.
func (s Step) waitsForMaker() bool {
	return s.Kind == WaitStep && slices.Contains(s.Cautions, caution.Airbags)
}

// Locked says why a step cannot be ticked yet; empty when it can.
func (s Step) Locked() string {
	if s.waitsForMaker() && (s.Figure == "" || s.Source == "") {
		c, _ := caution.For(caution.Airbags)
		return c.Before
	}
	return ""
}

// MustWrite is what the owner must write down with the tick of a step; empty mostly.
func (s Step) MustWrite() string {
	for _, topic := range s.Cautions {
		if c, ok := caution.For(topic); ok && c.Before != "" && s.Kind != WaitStep {
			return c.Before
		}
	}
	return ""
}

// Wait is how long a step waits.
func (s Step) Wait() time.Duration {
	minutes, _ := ParseWait(s.Figure)
	return time.Duration(minutes) * time.Minute
}

// ParseWait reads a time as printed on a card, in minutes: 15 min, 2 h, 1 h 30 min, 1 day.
func ParseWait(printed string) (minutes int, ok bool) {
	words := strings.Fields(spaced(printed))
	if len(words) == 0 || len(words)%2 != 0 {
		return 0, false
	}
	longer := 1 << 30
	for i := 0; i < len(words); i += 2 {
		n, err := strconv.ParseFloat(strings.Replace(words[i], ",", ".", 1), 64)
		each, known := waitUnits[words[i+1]]
		if err != nil || !known || each >= longer || !(n >= 0 && n <= 1e5) || !plainNumber(words[i]) {
			return 0, false
		}
		longer = each
		minutes += int(n*float64(each) + 0.5)
	}
	return minutes, minutes > 0
}

// plainNumber leaves out what only a program would write: exponents, signs, infinity.
func plainNumber(s string) bool {
	return s != "" && strings.Trim(s, "0123456789.,") == ""
}

var waitUnits = map[string]int{
	"min": 1, "mins": 1, "minute": 1, "minutes": 1, "m": 1, "h": 60, "hr": 60, "hrs": 60, "hour": 60, "hours": 60, "day": 1440, "days": 1440,
}

// spaced sets figures and units apart where they touch: 15min, 1h30min.
func spaced(printed string) string {
	var b strings.Builder
	var before rune
	for _, r := range strings.ToLower(printed) {
		if unicode.IsLetter(r) && unicode.IsDigit(before) || unicode.IsDigit(r) && unicode.IsLetter(before) {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		before = r
	}
	return b.String()
}

// LimitText is what may be measured, in words: 1.2 to 1.6 mm, at least 22 mm.
func (s Step) LimitText() string {
	figure := func(f *float64) string { return strconv.FormatFloat(*f, 'f', -1, 64) }
	switch {
	case s.LimitLow != nil && s.LimitHigh != nil && *s.LimitLow == *s.LimitHigh:
		return figure(s.LimitLow) + "\u00a0" + s.LimitUnit
	case s.LimitLow != nil && s.LimitHigh != nil:
		return figure(s.LimitLow) + " to " + figure(s.LimitHigh) + "\u00a0" + s.LimitUnit
	case s.LimitLow != nil:
		return "at least " + figure(s.LimitLow) + "\u00a0" + s.LimitUnit
	case s.LimitHigh != nil:
		return "at most " + figure(s.LimitHigh) + "\u00a0" + s.LimitUnit
	}
	return ""
}

// FigureText is the figure of a step in a line: as printed, or its limits.
func (s Step) FigureText() string {
	if s.Kind == MeasureStep {
		return s.LimitText()
	}
	return s.Figure
}

// CheckValue holds what was written down at a step against what the step wants. The finding says what is wrong with the
// work, such as a measure outside its limits; an error, an *InvalidError for "value", that it cannot be read at all.
func (s Step) CheckValue(value string) (finding string, err error) {
	var e FieldErrors
	e.text("value", value)
	switch s.Kind {
	case MeasureStep:
		return s.checkMeasure(value)
	case TorqueStep:
		return s.checkTorque(value), e.Err()
	case CheckStep:
		if value == NotRight {
			finding = "not right"
		}
	default:
		if before := s.MustWrite(); before != "" && strings.TrimSpace(value) == "" {
			e.Add("value", before)
		}
	}
	return finding, e.Err()
}

// NotRight is the value of a check that found something.
const NotRight = "not right"

func (s Step) checkMeasure(value string) (finding string, err error) {
	typed := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(value), s.LimitUnit))
	n, parseErr := strconv.ParseFloat(strings.Replace(strings.TrimPrefix(typed, "−"), ",", ".", 1), 64)
	if strings.HasPrefix(typed, "−") {
		n = -n
	}
	if parseErr != nil || strings.Trim(typed, "0123456789.,-−") != "" {
		return "", FieldErrors{"value": "What was measured, as a number of " + s.LimitUnit + "."}.Err()
	}
	switch {
	case s.LimitLow != nil && n < *s.LimitLow:
		return fmt.Sprintf("%s %s is under the limit: %s", typed, s.LimitUnit, s.LimitText()), nil
	case s.LimitHigh != nil && n > *s.LimitHigh:
		return fmt.Sprintf("%s %s is over the limit: %s", typed, s.LimitUnit, s.LimitText()), nil
	}
	return "", nil
}

// torqueOff is how far a torque reached may be from what is printed before it is said: what the standard allows a wrench,
// ISO 6789-1:2017 (from memory).
const torqueOff = 0.04

// checkTorque compares the torque reached, where one can be read, with the last one printed.
func (s Step) checkTorque(value string) string {
	wanted, err := torque.ParseStages(s.Figure)
	if err != nil || strings.TrimSpace(value) == "" || strings.TrimSpace(value) == s.Figure {
		return ""
	}
	var last torque.Figure[unit.TorqueKind]
	for _, stage := range wanted {
		if stage.Act == torque.Tighten {
			last = stage.Torque
		}
	}
	if last.IsZero() {
		return ""
	}
	typed := strings.TrimSpace(value)
	if plainNumber(typed) {
		typed += " " + last.Value.Unit().String()
	}
	reached, err := torque.ParseStages(typed)
	if err != nil || reached.Highest().In(unit.Nm) == 0 {
		return ""
	}
	got := reached.Highest().In(unit.Nm)
	switch {
	case got < last.Low().In(unit.Nm)*(1-torqueOff):
		return fmt.Sprintf("%s is less than the %s wanted", typed, s.Figure)
	case got > last.Top().In(unit.Nm)*(1+torqueOff):
		return fmt.Sprintf("%s is more than the %s wanted", typed, s.Figure)
	}
	return ""
}

// MarkID names a mark.
type MarkID int64

// MarkKind says what happened at a step.
type MarkKind string

// The kinds of mark.
const (
	DoneMark     MarkKind = "done"
	NoWrenchMark MarkKind = "no wrench" // could not get a wrench on it: makes a follow-up, never a tick
	StartedMark  MarkKind = "started"   // a timer, with the instant of its end
	SecondMark   MarkKind = "second look"
	UndoneMark   MarkKind = "undone"
)

// MarkKinds lists those that are made at a step.
var MarkKinds = []MarkKind{DoneMark, NoWrenchMark, StartedMark, SecondMark}

// StepMark is what happened at a step. Marks are never changed; one that Reverses another undoes it.
type StepMark struct {
	ID         MarkID
	StepID     StepID
	JobID      JobID
	Kind       MarkKind
	Value      string
	WrenchID   *WrenchID
	Note       string
	Revision   int
	At         time.Time
	RecordedAt time.Time
	ByLink     *LinkID
	Reverses   *MarkID
	Key        *string // of the request that made it
}

// Until is when a timer ends; false for other marks.
func (m StepMark) Until() (time.Time, bool) {
	if m.Kind != StartedMark {
		return time.Time{}, false
	}
	until, err := time.Parse(time.RFC3339, m.Value)
	return until, err == nil
}

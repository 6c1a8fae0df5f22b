package page

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	"axlestand/web/ui"
)

// CardView is a job's card as used beside the lift.
type CardView struct {
	Base
	Job     garage.Job
	CarName string
	AsOf    string
	Changed string   // what the last revision changed
	Gone    []string // steps taken off
	Done    int
	All     int
	Closed  bool
	Before  CardBefore
	Left    *CardLeft
	Chunks  []CardChunk
	Second  []CardStep // done, and to be looked at once more
	Ends    []CardStageEnd
	Follow  []FollowLine
	Repeats string // how the rounds stand
	NoBench bool   // nothing can hold a step
	Prefix  string // of a helper's addresses
	Helper  bool
	Look    bool   // nothing can be ticked: the job is closed, or the helper may only look
	Now     bool   // a step is open to be done
	Count   string // how often the card has changed, by which the page knows that it is old
	Here    CardPlace
	Refused ui.Link // to the step of which something was not kept
}

// CardPlace is where a card is opened: at a step, or behind the last of them. The zero value is its head.
type CardPlace struct {
	Step   garage.StepID
	Behind bool
}

// CardBefore is what one has ready before the first step.
type CardBefore struct {
	Open     bool
	Kit      []CardKit
	Tools    []string
	Fluids   []string
	Cautions []CardCaution
	Lift     string
}

// CardKit is one need and where it is.
type CardKit struct {
	Text   string
	Places []kitSource
}

// CardCaution is what to mind.
type CardCaution struct{ Topic, Text, Source string }

// CardChunk is a run of steps up to a place where one can pause.
type CardChunk struct {
	Stage string // its name, before its first chunk
	Head  string
	Steps []CardStep
	Pause string
}

// CardLeft is what is to be looked at on coming back.
type CardLeft struct {
	At    string
	Loose string
	Last  []CardStep
}

// CardStageEnd is a stage all steps of which are through.
type CardStageEnd struct {
	ID   garage.StageID
	Name string
	Took string // measured from the marks, as it would be typed
	Open int    // steps that are not done
}

// FollowLine is a follow-up in a line.
type FollowLine struct {
	ID   garage.FollowUpID
	What string
	When string
	Done bool
	Mood ui.Mood
}

// CardOptions are how the owner looks at a card.
type CardOptions struct {
	Link     garage.LinkID // of the helper who looks, 0 for the owner
	Settings garage.Settings
	Now      time.Time
	Open     garage.StepID // the step to show open instead of the next one
	Form     StepForm      // what was typed and not taken
	Photos   map[garage.StepID][]garage.PhotoUse
	Prefix   string // of a helper's addresses
	Look     bool   // a helper may only look
	Count    int64  // how often the card has changed
}

// NewCard is the page of a card.
func NewCard(base Base, card garage.Card, o CardOptions) CardView {
	job := card.Sheet.Job
	v := CardView{Base: base, Job: job, CarName: card.Sheet.Car.Name, Closed: job.ClosedAt != nil}
	c := newCardContext(card, o)
	v.AsOf = "revision " + strconv.Itoa(card.Revision) + ", as of " + o.Now.In(c.zone).Format("2 Jan 15:04")
	v.Done, v.All = garage.Progress(c.rows)
	v.Changed, v.Gone = cardChanges(card)
	v.Chunks = c.chunks()
	v.Before = newCardBefore(card, c)
	v.Left = c.left()
	for _, r := range garage.WantSecondLook(c.rows) {
		v.Second = append(v.Second, c.step(r))
	}
	v.Ends = c.ends()
	v.Follow = followLines(card.Follow, c.today)
	v.Prefix, v.Helper, v.Look = o.Prefix, o.Prefix != "", v.Closed || o.Look
	v.Now = garage.Now(c.rows) != 0
	v.Count = strconv.FormatInt(o.Count, 10)
	v.Repeats = RepeatWords(card)
	v.Here, v.Refused = v.place(c.rows), c.refused()
	v.NoBench = !slices.ContainsFunc(card.Sheet.Stages, func(s garage.Stage) bool { return s.Kind == garage.Bench })
	return v
}

// place is the step that goes on. What is ready before the first step, and what was loose when the owner left, is read first.
func (v CardView) place(rows []garage.StepRow) CardPlace {
	if v.Done == 0 || v.Closed || v.Left != nil {
		return CardPlace{}
	}
	next := garage.Now(rows)
	for _, r := range rows {
		if r.ID == next || r.State == garage.StepRunning {
			return CardPlace{Step: r.ID}
		}
	}
	return CardPlace{Behind: true}
}

// refused leads to the step whose form was not kept: the page begins far above it.
func (c cardContext) refused() ui.Link {
	for _, r := range c.rows {
		if r.ID == c.opts.Form.Step {
			return ui.Link{Text: "what is wrong stands at step " + strconv.Itoa(r.Number), Href: "#step-" + idText(int64(r.ID))}
		}
	}
	return ui.Link{}
}

// cardContext is what all steps of a card are worded with.
type cardContext struct {
	card  garage.Card
	rows  []garage.StepRow
	opts  CardOptions
	zone  *time.Location
	today garage.Date
	open  garage.StepID
}

func newCardContext(card garage.Card, o CardOptions) cardContext {
	c := cardContext{card: card, rows: card.Rows(), opts: o, zone: o.Settings.Location()}
	c.today = garage.DateOf(o.Now.In(c.zone))
	c.open = garage.Now(c.rows)
	if slices.ContainsFunc(c.rows, func(r garage.StepRow) bool { return r.ID == o.Open }) {
		c.open = o.Open
	}
	if o.Form.Step != 0 {
		c.open = o.Form.Step
	}
	return c
}

func (c cardContext) chunks() []CardChunk {
	var chunks []CardChunk
	var stage garage.StageID
	for _, k := range c.card.Chunks(c.rows) {
		chunk := CardChunk{Pause: k.Pause}
		if k.Stage.ID != stage {
			stage, chunk.Stage = k.Stage.ID, k.Stage.Name
		}
		first, last := k.Rows[0].Number, k.Rows[len(k.Rows)-1].Number
		chunk.Head = "Steps " + strconv.Itoa(first) + " to " + strconv.Itoa(last)
		if first == last {
			chunk.Head = "Step " + strconv.Itoa(first)
		}
		for _, r := range k.Rows {
			chunk.Steps = append(chunk.Steps, c.step(r))
		}
		chunks = append(chunks, chunk)
	}
	return chunks
}

// clock is a moment as read on a card: the time of day, with the day when it is another.
func (c cardContext) clock(t time.Time) string {
	local := t.In(c.zone)
	if garage.DateOf(local) == c.today {
		return local.Format("15:04")
	}
	return local.Format("Mon 2 Jan 15:04")
}

func (c cardContext) left() *CardLeft {
	left := c.card.Left()
	if left == nil || c.card.Sheet.Job.ClosedAt != nil {
		return nil
	}
	v := &CardLeft{At: c.clock(left.At), Loose: left.Loose}
	for _, r := range garage.LastDone(c.rows) {
		v.Last = append(v.Last, c.step(r))
	}
	return v
}

// ends are the bench stages that have steps, none of them open, and are not said to be done yet.
func (c cardContext) ends() []CardStageEnd {
	var ends []CardStageEnd
	for _, s := range c.card.Sheet.Stages {
		if s.Kind != garage.Bench || s.DoneAt != nil || c.card.Sheet.Job.ClosedAt != nil {
			continue
		}
		steps, open, undone := 0, 0, 0
		for _, r := range c.rows {
			if r.StageID != s.ID {
				continue
			}
			steps++
			if r.Open() {
				open++
			}
			if r.State != garage.StepDone {
				undone++
			}
		}
		if steps == 0 || open > 0 {
			continue
		}
		end := CardStageEnd{ID: s.ID, Name: s.Name, Open: undone}
		if minutes, ok := c.card.MeasuredMinutes(s.ID); ok {
			end.Took = WorkWords(minutes)
		}
		ends = append(ends, end)
	}
	return ends
}

// cardChanges say what the last revision of a card in use changed.
func cardChanges(card garage.Card) (text string, gone []string) {
	if card.InUseAt == nil || card.Revision < 2 {
		return "", nil
	}
	counts := map[string]int{}
	for _, s := range card.Steps {
		if s.Revision == card.Revision && s.Changed != "" {
			counts[s.Changed]++
		}
	}
	var parts []string
	for _, how := range []string{garage.StepNew, garage.StepChanged, garage.StepMoved} {
		if n := counts[how]; n > 0 {
			parts = append(parts, strconv.Itoa(n)+" "+how)
		}
	}
	for _, s := range card.Gone {
		if s.Changed == garage.StepGone && s.Revision == card.Revision {
			gone = append(gone, s.Text)
		}
	}
	if len(gone) > 0 {
		parts = append(parts, strconv.Itoa(len(gone))+" taken off")
	}
	if len(parts) == 0 {
		return "", nil
	}
	return fmt.Sprintf("Revision %d of this card: %s.", card.Revision, strings.Join(parts, ", ")), gone
}

func newCardBefore(card garage.Card, c cardContext) CardBefore {
	done, _ := garage.Progress(c.rows)
	b := CardBefore{Open: done == 0 && card.Sheet.Job.ClosedAt == nil, Lift: caution(card.Sheet)}
	for _, line := range card.Sheet.Kit() {
		kit := CardKit{Text: cardKitWords(line.Need.Quantity, line.Part), Places: kitSources(line, card.Sheet, c.today)}
		if c.opts.Prefix != "" { // a helper is told what is on hand, and nothing of other cars and jobs
			kit.Places = slices.DeleteFunc(kit.Places, func(s kitSource) bool { return s.Mood != ui.Done })
		}
		b.Kit = append(b.Kit, kit)
	}
	for _, t := range card.Sheet.Tools {
		b.Tools = append(b.Tools, t.Name)
	}
	wrenches := map[string]bool{}
	for _, chunk := range c.chunks() {
		for _, s := range chunk.Steps {
			if s.Torque != nil && s.Torque.Wrench.Name != "" && s.Torque.Wrench.Refused == "" && !wrenches[s.Torque.Wrench.Name] {
				wrenches[s.Torque.Wrench.Name] = true
				b.Tools = append(b.Tools, s.Torque.Wrench.Name)
			}
		}
	}
	topics := map[cautions.Topic]bool{}
	for _, s := range card.Steps {
		for _, topic := range s.Cautions {
			topics[topic] = true
		}
		if s.Kind == garage.FluidStep {
			b.Fluids = append(b.Fluids, joined(": ", s.Text, s.Figure))
		}
	}
	for _, k := range cautions.All() {
		if topics[k.Topic] {
			b.Cautions = append(b.Cautions, CardCaution{string(k.Topic), k.Text, k.Source})
		}
	}
	return b
}

// cardKitWords is a quantity of a part: 2 × Bush bolt, 500 ml brake fluid.
func cardKitWords(n int, p garage.Part) string {
	if p.Unit == "piece" || p.Unit == "" {
		return pieces(n, partWords(p))
	}
	return stockText(n, p.Unit) + " " + partWords(p)
}

func followLines(list []garage.FollowUp, today garage.Date) []FollowLine {
	var lines []FollowLine
	for _, f := range list {
		lines = append(lines, newFollowLine(f, "km", today))
	}
	return lines
}

// newFollowLine words a follow-up; distances in the unit of the car's odometer.
func newFollowLine(f garage.FollowUp, unit string, today garage.Date) FollowLine {
	line := FollowLine{ID: f.ID, What: f.What, Done: f.DoneAt != nil, Mood: ui.Waits}
	var when []string
	if f.DueM != nil {
		when = append(when, "at "+garage.DistanceText(*f.DueM, cmp.Or(unit, "km")))
	}
	if f.DueOn != nil {
		when = append(when, DueWords(*f.DueOn, today))
	}
	line.When = strings.Join(when, ", ")
	if len(when) == 0 {
		line.When, line.Mood = "to be done", ui.Ready
	}
	if line.Done {
		line.When, line.Mood = joined(": ", "done", f.DoneNote), ui.Done
	}
	return line
}

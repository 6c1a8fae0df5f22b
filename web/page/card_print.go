package page

import (
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// CardPrintView is a job's card on paper, with boxes to tick and room for what is read and who did it.
type CardPrintView struct {
	Base
	Card    CardView
	AsOf    string
	Address string // of the card, for the code
	Here    bool   // that only this machine can open
	Stages  []PrintStage
	Leave   []int // lines to write on when the work is left
	CloseUp []string
}

// PrintStage is a stage with its steps as printed.
type PrintStage struct {
	Name   string
	Chunks []PrintChunk
}

// PrintChunk is a run of steps up to a place where one can pause.
type PrintChunk struct {
	Steps []PrintStep
	Pause string
}

// PrintStep is a step as printed.
type PrintStep struct {
	CardStep
	Done   bool
	Noted  string   // what was written down
	Lines  []string // what there is to write down, each with a line
	Either string   // a box for what else it may come to
	Set    string   // what the wrench is set to
}

// leaveLines are as many as an evening has interruptions.
const leaveLines = 3

// NewCardPrint is the card on paper. origin is the scheme, name and port by which the owner reaches the program.
func NewCardPrint(base Base, card garage.Card, o CardOptions, origin string) CardPrintView {
	v := CardPrintView{
		Base: base, Card: NewCard(base, card, o), Address: origin + route.Card(card.Sheet.Job.ID), Here: onlyHere(origin),
		AsOf:  "revision " + strconv.Itoa(card.Revision) + ", as of " + o.Now.In(o.Settings.Location()).Format("2 January 2006, 15:04"),
		Leave: make([]int, leaveLines),
		CloseUp: []string{
			"tools counted, none left in the car", "panels, trays and covers on", "levels right", "nothing left over", "road test: slowly and braking first",
		},
	}
	for _, chunk := range v.Card.Chunks {
		if chunk.Stage != "" || len(v.Stages) == 0 {
			v.Stages = append(v.Stages, PrintStage{Name: chunk.Stage})
		}
		printed := PrintChunk{Pause: chunk.Pause}
		for _, s := range chunk.Steps {
			printed.Steps = append(printed.Steps, newPrintStep(s))
		}
		stage := &v.Stages[len(v.Stages)-1]
		stage.Chunks = append(stage.Chunks, printed)
	}
	return v
}

func newPrintStep(s CardStep) PrintStep {
	p := PrintStep{CardStep: s, Done: s.State == string(garage.StepDone)}
	for _, d := range s.Marked {
		if d.Term == "Noted" {
			p.Noted = d.Text
		}
	}
	if s.Torque != nil && s.Torque.Wrench.Any && s.Torque.Wrench.Refused == "" {
		p.Set = s.Torque.Wrench.Name
		if s.Torque.Wrench.Extended {
			p.Set += ", " + s.Torque.Pick.Extension + " extension"
		}
		p.Set += ": set " + s.Torque.Wrench.Set
	}
	switch s.Kind {
	case garage.TorqueStep:
		p.Lines, p.Either = []string{"reached"}, "no wrench fits"
	case garage.FluidStep:
		p.Lines = []string{"filled"}
	case garage.MeasureStep:
		p.Lines = []string{"measured"}
	case garage.WaitStep:
		p.Lines = []string{"from", "to"}
	case garage.CheckStep:
		p.Either = "not right"
	}
	if s.Write != "" {
		p.Lines = []string{"written down"}
	}
	return p
}

// Figured is the figure of a step that stands on no plate.
func (s PrintStep) Figured() string {
	if s.Plate != nil {
		return ""
	}
	return s.Figure
}

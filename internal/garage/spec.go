package garage

import (
	"time"

	"axlestand/internal/trade/torque"
)

// TorqueSpecID names a torque spec.
type TorqueSpecID int64

// TorqueSpec is how a joint of a car is tightened, as printed in a document. What package torque reads of it is for display;
// stored is what was printed.
type TorqueSpec struct {
	ID        TorqueSpecID
	Version   int64
	CarID     CarID
	StageID   *StageID // that it is wanted at
	Joint     string
	Stages    string // as printed: 30 Nm + 90° + 90°
	Thread    string
	Class     string
	Condition torque.Condition
	Bolts     *int
	Sequence  string // star 5
	SingleUse bool   // new fasteners each time
	Retorque  string // when to retighten: after 50 km
	Source    string // document; empty when nobody knows
	Page      string
	CheckedOn *Date // when it was checked against the car
	Note      string
	DeletedAt *time.Time
}

// maxBolts is more than one joint has.
const maxBolts = 60

// Validate says which fields do not hold.
func (s TorqueSpec) Validate() error {
	var e FieldErrors
	e.name("joint", s.Joint)
	_, err := torque.ParseStages(s.Stages)
	e.trade("stages", err)
	if s.Thread != "" {
		_, err = torque.ParseThread(s.Thread)
		e.trade("thread", err)
	}
	if s.Class != "" {
		_, err = torque.ParseClass(s.Class)
		e.trade("class", err)
	}
	oneOf(&e, "condition", s.Condition, torque.Conditions)
	if s.Bolts != nil && (*s.Bolts < 1 || *s.Bolts > maxBolts) {
		e.Add("bolts", "From 1 to 60.")
	}
	sequence, err := torque.ParseSequence(s.Sequence)
	e.trade("sequence", err)
	if n := len(sequence.Order); n > 0 && s.Bolts != nil && *s.Bolts != n {
		e.Add("sequence", "The sequence and the number of bolts do not agree.")
	}
	e.line("retorque", s.Retorque)
	e.source(s.Source, s.Page)
	e.text("note", s.Note)
	return e.Err()
}

// source checks the document of a figure and the page in it.
func (e *FieldErrors) source(source, page string) {
	e.line("source", source)
	e.line("page", page)
	if page != "" && source == "" {
		e.Add("source", "Which document is that page in?")
	}
}

// Figures is what package torque reads of a spec. Of one that was stored, all of it can be read; what cannot is left out.
func (s TorqueSpec) Figures() (stages torque.Stages, thread torque.Thread, class torque.Class, sequence torque.Sequence) {
	stages, _ = torque.ParseStages(s.Stages)
	thread, _ = torque.ParseThread(s.Thread)
	class, _ = torque.ParseClass(s.Class)
	sequence, _ = torque.ParseSequence(s.Sequence)
	return stages, thread, class, sequence
}

// TorqueSpecRow is a torque spec with the stage and the job that it is wanted at, as far as these are kept.
type TorqueSpecRow struct {
	TorqueSpec
	StageName *string
	JobID     *JobID
	JobTitle  *string
}

// StageChoice is a stage that a spec can be tied to.
type StageChoice struct {
	ID       StageID
	Name     string
	JobTitle string
}

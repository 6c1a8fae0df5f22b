package garage

import (
	"slices"
	"time"
)

// JobID names a job.
type JobID int64

// JobKind says what sort of work a job is.
type JobKind string

// The kinds of job.
const (
	Repair       JobKind = "repair"
	Upgrade      JobKind = "upgrade"
	Service      JobKind = "service"
	Inspection   JobKind = "inspection"
	FaultFinding JobKind = "fault finding"
	Harvest      JobKind = "harvest" // taking parts off a donor
)

// JobKinds lists them in the order of a form.
var JobKinds = []JobKind{Repair, Upgrade, Service, Inspection, FaultFinding, Harvest}

// Job is one piece of work on one car, with a reason and an end.
type Job struct {
	ID             JobID
	Version        int64
	CarID          CarID
	PhaseID        *PhaseID
	Kind           JobKind
	Title          string
	Reason         string
	Weight         int // 1 to 9: how much an hour's wait matters
	NotBefore      *Date
	PinnedAt       *time.Time // the session that the owner wants it in
	Due            *Date      // the last day
	DueFor         string     // what is due: an inspection, a core deposit
	LateCostPerDay int64      // minor units for each day begun after Due
	LateCost       int64      // minor units once when late at all, as a deposit lost
	Currency       string
	Notes          string
	CreatedAt      time.Time
	ClosedAt       *time.Time
	ClosedAs       string // why it was closed with stages still open
	DeletedAt      *time.Time
}

// Validate says which fields do not hold.
func (j Job) Validate() error {
	var e FieldErrors
	e.name("title", j.Title)
	oneOf(&e, "kind", j.Kind, JobKinds)
	e.text("reason", j.Reason)
	e.text("notes", j.Notes)
	if j.CarID == 0 {
		e.Add("car", "Choose the car.")
	}
	if j.Weight < 1 || j.Weight > 9 {
		e.Add("weight", "From 1 to 9.")
	}
	if len([]rune(j.DueFor)) > maxName {
		e.Add("due_for", "Keep it to 200 characters.")
	}
	if j.LateCostPerDay < 0 {
		e.Add("late_cost_per_day", "Not below zero.")
	}
	if j.LateCost < 0 {
		e.Add("late_cost", "Not below zero.")
	}
	if j.Due == nil && (j.LateCostPerDay > 0 || j.LateCost > 0) {
		e.Add("due", "Being late can only cost something when there is a due date.")
	}
	if j.Due != nil && j.NotBefore != nil && j.Due.Before(*j.NotBefore) {
		e.Add("not_before", "It is due before it may start.")
	}
	return e.Err()
}

// After says that a job starts no earlier than the end of another and a gap.
type After struct {
	JobID      JobID
	AfterID    JobID
	GapMinutes int
}

// StageID names a stage.
type StageID int64

// StageKind says how a stage passes.
type StageKind string

// The kinds of stage.
const (
	Bench       StageKind = "bench"   // hands on, in sessions
	Wait        StageKind = "wait"    // time passes, nobody works
	OutsideWork StageKind = "outside" // days pass at a painter, machinist, tyre shop
)

// StageKinds lists them in the order of a form.
var StageKinds = []StageKind{Bench, Wait, OutsideWork}

// ImmobileSpans lists what a stage does to the car: nothing, makes it immobile at its start, ends that at its end, both.
var ImmobileSpans = []string{"", "from", "until", "within"}

// Stage is a part of a job done in one go. Low, Likely and High are minutes, for outside work the shop's working days.
type Stage struct {
	ID            StageID
	Version       int64
	JobID         JobID
	Position      int
	Name          string
	Kind          StageKind
	Low           int
	Likely        int
	High          int
	Lift          bool
	Helpers       int
	Immobile      string
	FollowsAtOnce bool // in the same session as, and directly after, the stage before
	DoneAt        *time.Time
	ActualMinutes *int // how long it took at the bench, where the owner said
	DeletedAt     *time.Time
	Tools         []ToolID
	Access        []AccessID
	Closing       []ClosingID
}

// Validate says which fields do not hold.
func (s Stage) Validate() error {
	var e FieldErrors
	e.name("name", s.Name)
	oneOf(&e, "kind", s.Kind, StageKinds)
	if !slices.Contains(ImmobileSpans, s.Immobile) {
		e.Add("immobile", "Choose one of the list.")
	}
	switch {
	case s.Low < 0 || s.Low > s.Likely || s.Likely > s.High:
		e.Add("minutes", "The three figures must not run backwards: low, likely, high.")
	case s.High > 525600:
		e.Add("minutes", "That is more than a year.")
	case s.Kind == Bench && s.Likely == 0:
		e.Add("minutes", "Work at the bench takes at least a minute.")
	}
	e.helpers("helpers", s.Helpers)
	if s.Kind != Bench && (len(s.Access) > 0 || len(s.Closing) > 0 || s.Helpers > 0 || s.Immobile != "" || s.FollowsAtOnce) {
		e.Add("kind", "Only work at the bench opens access, calls for closing work or helpers, or changes whether the car rolls.")
	}
	return e.Err()
}

// NeedID names a need.
type NeedID int64

// Need is what a stage requires of a part, and whether its lack stops the job.
type Need struct {
	ID       NeedID
	Version  int64
	StageID  StageID
	PartID   PartID
	Quantity int
	Stops    bool
	Note     string
	Side     string // of the car; a handed part says it itself
	// The least grade that will do; empty: any.
	LeastGrade string
	SingleUse  bool
	PinnedAt   *time.Time // since when pieces on hand are kept for it
	DeletedAt  *time.Time
}

// Validate says which fields do not hold.
func (n Need) Validate() error {
	var e FieldErrors
	if n.PartID == 0 {
		e.Add("part", "Choose the part.")
	}
	e.quantity("quantity", n.Quantity)
	e.text("note", n.Note)
	oneOf(&e, "side", n.Side, NeedSides)
	oneOf(&e, "least_grade", n.LeastGrade, Grades)
	return e.Err()
}

// NeedSides lists the sides of the car that a need may be for.
var NeedSides = []string{"", "left", "right", "both"}

func (e *FieldErrors) quantity(field string, value int) {
	if value < 1 || value > 1_000_000 {
		e.Add(field, "From 1 to 1,000,000.")
	}
}

// PhaseID names a phase.
type PhaseID int64

// Phase is a named set of jobs on one car that belong together, with its own budget and finish date.
type Phase struct {
	ID        PhaseID
	Version   int64
	CarID     CarID
	Name      string
	Budget    int64
	Currency  string
	FinishOn  *Date
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (p Phase) Validate() error {
	var e FieldErrors
	e.name("name", p.Name)
	if p.Budget < 0 {
		e.Add("budget", "Not below zero.")
	}
	return e.Err()
}

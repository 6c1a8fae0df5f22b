package garage

import "time"

// JobState narrows a list of jobs to those open or closed.
type JobState string

// The states of a list; the zero value is both.
const (
	OpenJobs   JobState = "open"
	ClosedJobs JobState = "closed"
)

// JobFilter narrows a list of jobs; its zero fields do not.
type JobFilter struct {
	CarID   CarID
	PhaseID PhaseID
	Kind    JobKind
	State   JobState
	Limit   int // none for 0
	Offset  int
}

// JobRow is a job as a list shows it.
type JobRow struct {
	Job
	CarName    string
	Stages     int
	StagesDone int
	Total      int // of all jobs that the filter lets through
}

// JobLink is another job that this one waits for, or that waits for this one.
type JobLink struct {
	ID         JobID
	Title      string
	CarID      CarID
	CarName    string
	GapMinutes int
	ClosedAt   *time.Time
}

// JobSheet is one job with all that its page tells, read at one moment. Parts, Stock, Arrivals and DonorParts are those of
// the parts that the job needs; Harvest is what the job itself takes off a donor.
type JobSheet struct {
	Job        Job
	Car        Car
	Phase      *Phase
	After      []JobLink
	Before     []JobLink
	Stages     []Stage
	Later      []Stage // of the jobs on this car that wait for this one, near or far: those that change whether it rolls
	Tools      []Tool
	Access     []Access
	Closing    []ClosingWork
	Needs      []Need
	Used       []StageUse
	Parts      []Part
	Stock      []Stock
	Bins       []Bin
	Arrivals   []Arrival
	DonorParts []DonorPart
	Donors     []Car
	Harvests   []JobLink
	Harvest    []DonorPart
	Lots       []LotRow
	Fits       []PartFit   // of the car
	KitBin     *Bin        // the box in which its parts are gathered
	Fitted     []FittedRow // of its parts and of others that do the same, before
	Promised   []Promised  // pieces on hand that other jobs get, as far as the plan was asked
}

// StageUse is how much of a part a done stage took out of the bins.
type StageUse struct {
	StageID  StageID
	PartID   PartID
	Quantity int
}

// JobChoices are what the forms of a job on one car offer.
type JobChoices struct {
	Settings Settings
	Car      Car
	Cars     []Car
	Phases   []Phase
	Jobs     []JobLink // open ones, on any car
	Tools    []Tool
	Access   []Access
	Closing  []ClosingWork
	// for the sessions that a job can be fixed to
	Patterns   []SessionPattern
	Exceptions []SessionException
}

// Short is what a stage calls for and the bins do not hold.
type Short struct {
	PartID   PartID
	PartName string
	Unit     string
	Wanted   int
	OnHand   int
}

// PhaseRow is a phase with the count of its jobs.
type PhaseRow struct {
	Phase
	CarName string
	Jobs    int
	Done    int
}

package garage

import "time"

// Snapshot is all that a plan depends on, read at one moment: what is deleted, closed jobs, stages done, arrivals received
// and donor parts taken are left out. Finished are the jobs with stages that are all done, and closed jobs that others wait
// for.
type Snapshot struct {
	Version    int64       // grows with every change of what follows
	Plan       *PlanRecord // the plan as it was last made; nil when none was kept yet
	PlanBefore *PlanRecord // the last one before it that was different
	PlanOf     int64       // the version that Plan was made for
	Settings   Settings
	Patterns   []SessionPattern
	Exceptions []SessionException
	Tools      []Tool
	Cars       []Car
	RoadNeeds  []RoadNeed
	Access     []Access
	Closing    []ClosingWork
	Jobs       []Job
	After      []After // of jobs that are open
	Finished   []Finished
	Stages     []Stage // in order of job and position
	Needs      []Need
	Parts      []Part
	Stock      []Stock
	Bins       []Bin
	Arrivals   []Arrival
	Cores      []Core // with the old unit still on its car
	DonorParts []DonorPart
	Phases     []Phase
	Took       []Took // the last ones, newest first
}

// Finished is a job that others wait for and that has ended: closed, or with all its stages done.
type Finished struct {
	JobID JobID
	At    time.Time
}

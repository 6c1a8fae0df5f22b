package garage

// Snapshot is all that a plan depends on, read at one moment: what is deleted, closed jobs, stages done, arrivals received
// and donor parts taken are left out.
type Snapshot struct {
	Settings   Settings
	Patterns   []SessionPattern
	Exceptions []SessionException
	Tools      []Tool
	Cars       []Car
	RoadNeeds  []RoadNeed
	Access     []Access
	Closing    []ClosingWork
	Jobs       []Job
	After      []After // only between jobs that are open
	Stages     []Stage // in order of job and position
	Needs      []Need
	Parts      []Part
	Stock      []Stock
	Bins       []Bin
	Arrivals   []Arrival
	DonorParts []DonorPart
	Phases     []Phase
}

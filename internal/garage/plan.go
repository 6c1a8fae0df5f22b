package garage

import "time"

// PlanRecord is what is kept of a plan: where each stage stood, what was blocked and what it came to.
type PlanRecord struct {
	MadeAt          time.Time   `json:"made_at"`
	Of              string      `json:"of"` // names what was planned, but for the time: the same garage, the same name
	Stages          []PlanStage `json:"stages"`
	Blocked         []JobID     `json:"blocked"`
	LateCost        int64       `json:"late_cost"` // minor units
	OverheadMinutes int         `json:"overhead_minutes"`
	MinutesSaved    int         `json:"minutes_saved"`
}

// Took is how long a stage at the bench took, beside what it was estimated at.
type Took struct {
	JobID             JobID
	Kind              JobKind // of its job
	Low, Likely, High int
	Minutes           int
	DoneAt            time.Time
}

// PlanStage is where a stage stood in a plan.
type PlanStage struct {
	JobID   JobID     `json:"job"`
	StageID StageID   `json:"stage"`
	From    time.Time `json:"from"`
}

package planner

import "time"

// Result types. All times carry the problem's zone, all lists have one order
// that the input's order does not change.

// Answer is the plan: where every stage is placed and why not earlier, or what
// blocks its job.
type Answer struct {
	Now      time.Time     `json:"now"`
	Zone     string        `json:"zone"`
	Stages   []PlacedStage `json:"stages"`  // by time, then job
	Blocked  []Blocked     `json:"blocked"` // by job
	Visits   []Visit       `json:"visits"`  // by time, then car
	Promises []Promise     `json:"promises"`
	Notes    []Note        `json:"notes"`
	Totals   Totals        `json:"totals"`
}

// Span is a stretch of time.
type Span struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// PlacedStage is a stage with its times. Bench stages have pieces, which are
// the stage's own minutes alone.
type PlacedStage struct {
	Job     string    `json:"job"`
	Car     string    `json:"car"`
	Stage   string    `json:"stage"`
	Kind    string    `json:"kind"`
	From    time.Time `json:"from"`
	To      time.Time `json:"to"`
	Pieces  []Span    `json:"pieces"`
	Because Reason    `json:"because"`
}

// The kinds of reason.
const (
	BecauseNow       = "now"        // nothing held it
	BecauseNotBefore = "not_before" // the owner said so
	BecausePin       = "pin"        // the owner fixed it; Of is the job when it is another one
	BecauseCar       = "car"        // the car is not here before
	BecauseJob       = "job"        // prerequisite Of, or the gap after it
	BecauseStage     = "stage"      // stage Of of the same job
	BecausePart      = "part"       // part Of arrives
	BecauseHarvest   = "harvest"    // a part comes from job Of
	BecauseOrder     = "order"      // part Of has to be ordered
	BecauseHands     = "hands"      // the owner was busy with job Of
	BecauseLift      = "lift"       // car Of held the lift
	BecauseHelper    = "helper"     // no helper before
	BecauseTool      = "tool"       // resource Of was not there or in use
	BecauseSession   = "session"    // no session, or none long enough
	BecauseRoadNeed  = "road_need"  // car Of had to be whole
	BecauseImmobile  = "immobile"   // car Of was immobile
	BecauseNoEnd     = "no_end"     // of a blocked job: a stage makes the car immobile and none lets it roll again
	BecauseChain     = "chain"      // held so that the car would not sit immobile for part or job Of
	BecauseWork      = "work"       // job Of was under way on the car, which had to be moved or closed, or was being ended there
)

// Reason is the one thing that kept a stage from starting earlier.
type Reason struct {
	Kind  string    `json:"kind"`
	Of    string    `json:"of,omitempty"`
	Until time.Time `json:"until,omitzero"`
}

// Blocked is a job that is not placed, with the least set of things that would
// free it.
type Blocked struct {
	Job string `json:"job"`
	Why []Why  `json:"why"`
}

// Why is one thing that blocks a job. The kinds are those of Reason; a part
// that is short says by how many and which jobs took the rest.
type Why struct {
	Kind    string    `json:"kind"`
	Of      string    `json:"of,omitempty"`
	Short   int       `json:"short,omitempty"`
	Until   time.Time `json:"until,omitzero"`
	TakenBy []string  `json:"taken_by,omitempty"`
}

// Visit is an unbroken run of work on one car, with the overhead done in it.
type Visit struct {
	Car          string     `json:"car"`
	OnLift       bool       `json:"on_lift"`
	From         time.Time  `json:"from"`
	To           time.Time  `json:"to"`
	MinutesSaved int        `json:"minutes_saved"` // by sharing access and closing work
	Overhead     []Overhead `json:"overhead"`
}

// The kinds of overhead.
const (
	OverheadOpen    = "open"
	OverheadClose   = "close"
	OverheadClosing = "closing"
	OverheadChange  = "change"
)

// Overhead is hands-on time that belongs to a visit and not to one stage.
type Overhead struct {
	Kind string    `json:"kind"`
	Of   string    `json:"of,omitempty"`
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Where a promised piece comes from.
const (
	FromOnHand  = "on_hand"
	FromArrival = "arrival"
	FromJob     = "job"
	FromOrder   = "order"
)

// Promise says which pieces a stage gets.
type Promise struct {
	Job     string    `json:"job"`
	Stage   string    `json:"stage"`
	Part    string    `json:"part"`
	Qty     int       `json:"qty"`
	Source  string    `json:"source"`
	Of      string    `json:"of,omitempty"` // the harvest job
	At      time.Time `json:"at"`           // usable from
	OrderBy Moment    `json:"order_by,omitzero"`
}

// Note says why a pin was not kept.
type Note struct {
	Job   string    `json:"job"`
	Kind  string    `json:"kind"`
	Of    string    `json:"of,omitempty"`
	Until time.Time `json:"until,omitzero"`
}

// Totals measure the plan. Bound is a weighted completion that no plan of the
// placed jobs can go below. Optimal says that no order of the work is better;
// Moved counts the stages that were on another day in the plan before.
type Totals struct {
	LateCost           float64 `json:"late_cost"`
	WeightedCompletion float64 `json:"weighted_completion"` // weight times hours from now
	OverheadMinutes    int     `json:"overhead_minutes"`
	MinutesSaved       int     `json:"minutes_saved"`
	Bound              float64 `json:"bound"`
	Optimal            bool    `json:"optimal"`
	Moved              int     `json:"moved"`
	Decodes            int     `json:"decodes"` // orders tried
}

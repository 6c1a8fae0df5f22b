package planner

import (
	"encoding/json"
	"time"
)

// Problem is everything the planner is told: the moment, the sessions, the
// cars, the parts and the jobs. It is what a problem file holds, and it can be
// built in Go as well; marshalled to JSON it is a problem file again.
//
// Ids are free text, unique within their list. The order of a list carries no
// meaning, except that of a job's stages.
type Problem struct {
	Now              time.Time  `json:"now"`
	Zone             string     `json:"zone"`                 // IANA name; empty is UTC
	Confidence       float64    `json:"confidence,omitempty"` // 0.5 to 0.99 for arrivals; zero is DefaultConfidence
	Sessions         []Session  `json:"sessions"`
	Resources        []Resource `json:"resources,omitempty"`
	ChangeCarMinutes int        `json:"change_car_minutes"`
	Cars             []Car      `json:"cars"`
	Access           []Access   `json:"access,omitempty"`
	Closing          []Closing  `json:"closing,omitempty"`
	Parts            []Part     `json:"parts,omitempty"`
	Jobs             []Job      `json:"jobs"`
	Previous         []Earlier  `json:"previous,omitempty"` // where stages stood in the plan before
	Effort           int        `json:"effort,omitempty"`   // how much is tried, a unit being about a millisecond of 60 jobs; zero leaves it to the solver
	Pace             *Pace      `json:"pace,omitempty"`     // how estimates turn out, for chances; nil is DefaultPace
}

// Earlier is where a stage stood in the plan before: it is kept near there
// where nothing speaks against it. Jobs and stages that are no more are passed
// over.
type Earlier struct {
	Job   string    `json:"job"`
	Stage string    `json:"stage"`
	From  time.Time `json:"from"`
}

// DefaultConfidence is the chance with which a planned arrival is to be kept
// when the problem does not say.
const DefaultConfidence = 0.8

// The resources that need no listing, and the one that the rules know by name
// when it is listed.
const (
	Hands   = "hands"   // the owner: one
	Helpers = "helpers" // as many as the session has
	Lift    = "lift"    // a place a car stands on
)

// Session is a stretch of time in which the owner can work.
type Session struct {
	From    time.Time `json:"from"`
	To      time.Time `json:"to"`
	Helpers int       `json:"helpers"`
}

// Resource is a lift or a special tool. With windows it exists only then, like
// a tool that is borrowed.
type Resource struct {
	ID       string   `json:"id"`
	Capacity int      `json:"capacity"`
	Windows  []Window `json:"windows,omitempty"`
}

// Window is a span in which a resource is there. A day stands for its start in
// From and for its end in To.
type Window struct {
	From Moment `json:"from"`
	To   Moment `json:"to"`
}

// Car is a car that jobs are done on.
type Car struct {
	ID        string     `json:"id"`
	Arrives   *Times     `json:"arrives,omitempty"` // no job of the car starts before
	RoadNeeds []RoadNeed `json:"road_needs,omitempty"`
	OnLift    bool       `json:"on_lift,omitempty"`  // stands on the lift now
	Immobile  bool       `json:"immobile,omitempty"` // cannot be moved now
}

// RoadNeed is a span in which a car must be whole and off the lift.
type RoadNeed struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Access is something opened or taken off to reach the work.
type Access struct {
	ID           string   `json:"id"`
	Car          string   `json:"car"`
	OpenMinutes  int      `json:"open_minutes"`
	CloseMinutes int      `json:"close_minutes"`
	Inside       []string `json:"inside,omitempty"` // what must be open first
	Stays        bool     `json:"stays,omitempty"`  // may stay open while another car is on the lift
	Open         bool     `json:"open,omitempty"`   // is open now
}

// Closing is closing work: done once at the end of a visit for all stages that
// called for it.
type Closing struct {
	ID      string         `json:"id"`
	Car     string         `json:"car"`
	Minutes int            `json:"minutes"`
	Needs   map[string]int `json:"needs,omitempty"` // hands and helpers only
}

// Part is a kind of thing that stages use up.
type Part struct {
	ID            string    `json:"id"`
	OnHand        int       `json:"on_hand"`
	Arrivals      []Arrival `json:"arrivals,omitempty"`
	OrderLeadDays *Range    `json:"order_lead_days,omitempty"` // nil: cannot be ordered
}

// Arrival brings pieces of a part: at a time, or when a harvest job ends.
type Arrival struct {
	Qty     int    `json:"qty"`
	At      *Times `json:"at,omitempty"`
	FromJob string `json:"from_job,omitempty"`
}

// Job is one piece of work on one car.
type Job struct {
	ID             string  `json:"id"`
	Car            string  `json:"car"`
	Weight         float64 `json:"weight"` // a file that does not say means 1
	NotBefore      Moment  `json:"not_before,omitzero"`
	Due            Moment  `json:"due,omitzero"`
	DueFor         string  `json:"due_for,omitempty"`
	LateCostPerDay float64 `json:"late_cost_per_day,omitempty"`
	LateCost       float64 `json:"late_cost,omitempty"` // once, on top
	Dues           []Due   `json:"dues,omitempty"`      // further due dates, each with its price
	Pin            Moment  `json:"pin,omitzero"`        // the session that contains it
	After          []After `json:"after,omitempty"`
	Stages         []Stage `json:"stages"`
}

// Due is a date by which a job should have ended, and what it costs to be late: each day begun, and once on top.
type Due struct {
	At             Moment  `json:"at"`
	For            string  `json:"for,omitempty"`
	LateCostPerDay float64 `json:"late_cost_per_day,omitempty"`
	LateCost       float64 `json:"late_cost,omitempty"`
}

// AllDues lists all due dates of a job, its own first.
func (j *Job) AllDues() []Due {
	if j.Due.IsZero() {
		return j.Dues
	}
	return append([]Due{{j.Due, j.DueFor, j.LateCostPerDay, j.LateCost}}, j.Dues...)
}

func (d *Due) priced() bool { return d.LateCostPerDay > 0 || d.LateCost > 0 }

// cost is what it costs to end then.
func (d *Due) cost(end time.Time, zone *time.Location) float64 {
	late := minute(end) - minute(dayEnd(d.At, zone))
	if late <= 0 {
		return 0
	}
	return d.LateCost + d.LateCostPerDay*float64((late+1439)/1440)
}

// After is a prerequisite: a job that must have ended, and for how long.
type After struct {
	Job        string `json:"job"`
	GapMinutes int    `json:"gap_minutes,omitempty"`
}

// The kinds of stage.
const (
	Bench   = "bench"   // hands on, in sessions
	Wait    = "wait"    // time passes, nobody works
	Outside = "outside" // a vendor's working days pass
)

// What a stage does to its car's being able to move.
const (
	ImmobileFrom   = "from"   // immobile from this stage's start on
	ImmobileUntil  = "until"  // mobile again at this stage's end
	ImmobileWithin = "within" // immobile during this stage
)

// Stage is a part of a job done in one go.
type Stage struct {
	ID            string         `json:"id"`
	Kind          string         `json:"kind"`
	Minutes       Range          `json:"minutes,omitzero"`       // bench and wait
	Days          Range          `json:"days,omitzero"`          // outside
	WorkingDays   []string       `json:"working_days,omitempty"` // outside; empty is mon to fri
	Needs         map[string]int `json:"needs,omitempty"`        // a bench stage needs hands 1 unless it says so
	Access        []string       `json:"access,omitempty"`
	Closing       []string       `json:"closing,omitempty"`
	Parts         []Need         `json:"parts,omitempty"`
	Immobile      string         `json:"immobile,omitempty"`
	FollowsAtOnce bool           `json:"follows_at_once,omitempty"`
}

// MarshalJSON writes a stage as a problem file has it: how long it takes also
// where that is nothing.
func (s Stage) MarshalJSON() ([]byte, error) {
	type fields Stage
	if s.Kind == Outside {
		return json.Marshal(struct {
			fields
			Days Range `json:"days"`
		}{fields(s), s.Days})
	}
	return json.Marshal(struct {
		fields
		Minutes Range `json:"minutes"`
	}{fields(s), s.Minutes})
}

// Need is a part that a stage uses up.
type Need struct {
	Part string `json:"part"`
	Qty  int    `json:"qty"`
}

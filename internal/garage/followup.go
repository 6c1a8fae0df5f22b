package garage

import (
	"strings"
	"time"
)

// FollowUpID names a follow-up.
type FollowUpID int64

// FollowUp is something due after a distance or on a date because something was done. DueM is what the car has run by then,
// in metres.
type FollowUp struct {
	ID        FollowUpID
	Version   int64
	CarID     CarID
	JobID     *JobID
	StepID    *StepID
	MarkID    *MarkID
	What      string
	DueOn     *Date
	DueM      *int64
	CreatedAt time.Time
	DoneAt    *time.Time
	DoneNote  string
	DeletedAt *time.Time
}

// Validate says which fields do not hold.
func (f FollowUp) Validate() error {
	var e FieldErrors
	e.name("what", f.What)
	if f.CarID == 0 {
		e.Add("car", "Choose the car.")
	}
	if f.DueM != nil && *f.DueM < 0 {
		e.Add("due_distance", "Not below zero.")
	}
	e.text("done_note", f.DoneNote)
	return e.Err()
}

// Due says whether a follow-up is due on a day with the car's odometer at so many metres; 0 when nobody knows. One with
// neither distance nor date is due at once.
func (f FollowUp) Due(today Date, metres int64) bool {
	if f.DueOn == nil && f.DueM == nil {
		return true
	}
	return f.DueOn != nil && !today.Before(*f.DueOn) || f.DueM != nil && metres >= *f.DueM
}

// FollowUpRow is a follow-up with the names of its car and job, and what the car had run when last read.
type FollowUpRow struct {
	FollowUp
	CarName  string
	JobTitle *string
	Metres   *int64
	Unit     string // of the car's odometer
	Round    bool   // it calls for the next round of the job
}

// Due is [FollowUp.Due] at the last reading.
func (f FollowUpRow) Due(today Date) bool {
	var metres int64
	if f.Metres != nil {
		metres = *f.Metres
	}
	return f.FollowUp.Due(today, metres)
}

// RoundID names a round.
type RoundID int64

// Round is one pass of a job that is done again until something is seen.
type Round struct {
	ID            RoundID
	JobID         JobID
	Number        int
	Observation   string
	Reading       string
	At            time.Time
	NextDistanceM *int64
	NextOn        *Date
	Ended         string      // the owner's word that ended them
	FollowUpID    *FollowUpID // that calls for the next one
}

// Validate says which fields do not hold.
func (r Round) Validate() error {
	var e FieldErrors
	if strings.TrimSpace(r.Observation) == "" && strings.TrimSpace(r.Reading) == "" {
		e.Add("observation", "Say what was seen or measured.")
	}
	e.text("observation", r.Observation)
	e.line("reading", r.Reading)
	e.line("ended", r.Ended)
	if r.NextDistanceM != nil && *r.NextDistanceM <= 0 {
		e.Add("next_distance", "More than 0, or nothing.")
	}
	return e.Err()
}

// Worth lists the answers to whether a job was worth it.
var Worth = []string{"yes", "partly", "no"}

// LookBack asks after a while whether a job was worth it.
type LookBack struct {
	ID         int64
	JobID      JobID
	DueOn      *Date
	DueM       *int64
	AnsweredAt *time.Time
	Worth      string
	Changed    string
}

// Due says whether a look back is to be answered on a day, with the car's odometer at so many metres; 0 when nobody knows.
func (l LookBack) Due(today Date, metres int64) bool {
	return l.AnsweredAt == nil && (l.DueOn != nil && !today.Before(*l.DueOn) || l.DueM != nil && metres >= *l.DueM)
}

// LookBackRow is a look back with its job.
type LookBackRow struct {
	LookBack
	JobTitle string
	CarID    CarID
	CarName  string
}

// CloseOut is what was looked at before the car left.
type CloseOut struct {
	ID        int64
	JobID     JobID
	Version   int64
	Tools     bool // counted
	Panels    bool // on
	Levels    bool // checked
	Leftovers string
	RoadTest  string
	At        time.Time
}

// CardPatternID names a pattern of a card.
type CardPatternID int64

// CardPattern is a card's steps without a job, to be used again.
type CardPattern struct {
	ID        CardPatternID
	Version   int64
	Name      string
	Steps     []Step
	CreatedAt time.Time
	DeletedAt *time.Time
}

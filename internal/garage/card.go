package garage

import (
	"cmp"
	"slices"
	"time"
)

// JobCard is what a job's card knows of itself.
type JobCard struct {
	Revision    int
	InUseAt     *time.Time // its first mark
	RepeatUntil string     // what must be seen before its rounds end; empty when it is done once
}

// Card is the steps of a job as used beside the lift, with all that its page tells, read at one moment.
type Card struct {
	JobCard
	Sheet    JobSheet
	Steps    []Step // in order of stage and position
	Gone     []Step // taken off the card in this revision, or done before
	Marks    []StepMark
	Torque   []TorqueSpec // of the car
	Fluids   []FluidSpec
	Wrenches []Wrench
	Leavings []Leaving // newest first
	Follow   []FollowUp
	Rounds   []Round
	LookBack *LookBack
	CloseOut *CloseOut
}

// RoundsEnded says that what was to be seen was seen: the owner said so.
func (c Card) RoundsEnded() bool {
	return len(c.Rounds) > 0 && c.Rounds[len(c.Rounds)-1].Ended != ""
}

// RoundsOpen says that the job is to be done again until something is seen, and it was not seen yet.
func (c Card) RoundsOpen() bool { return c.RepeatUntil != "" && !c.RoundsEnded() }

// StepState says how a step stands.
type StepState string

// The states of a step.
const (
	StepOpen     StepState = "open"
	StepDone     StepState = "done"
	StepRunning  StepState = "running"   // its timer
	StepNoWrench StepState = "no-wrench" // could not get a wrench on it
	StepLocked   StepState = "locked"    // waits for what the owner must write down first
)

// StepRow is a step with how it stands.
type StepRow struct {
	Step
	Number  int // within the card, from 1
	State   StepState
	Mark    *StepMark // that says so
	Second  *StepMark // the second look
	Finding string    // what is wrong with what was done
}

// Open says that a step waits to be done.
func (r StepRow) Open() bool { return r.State != StepDone && r.State != StepNoWrench }

// StandingMarks are the marks that hold, by step, in the order in which they happened.
func StandingMarks(marks []StepMark) map[StepID][]StepMark {
	reversed := map[MarkID]bool{}
	for _, m := range marks {
		if m.Reverses != nil {
			reversed[*m.Reverses] = true
		}
	}
	by := map[StepID][]StepMark{}
	for _, m := range marks {
		if m.Kind != UndoneMark && !reversed[m.ID] {
			by[m.StepID] = append(by[m.StepID], m)
		}
	}
	for _, list := range by {
		slices.SortStableFunc(list, func(a, b StepMark) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	}
	return by
}

// Rows are the steps with how they stand.
func (c Card) Rows() []StepRow {
	standing := StandingMarks(c.Marks)
	rows := make([]StepRow, 0, len(c.Steps))
	for i, s := range c.Steps {
		rows = append(rows, NewStepRow(i+1, s, standing[s.ID]))
	}
	return rows
}

// NewStepRow is a step as its standing marks have it.
func NewStepRow(number int, s Step, marks []StepMark) StepRow {
	row := StepRow{Step: s, Number: number, State: StepOpen}
	for _, m := range marks {
		switch m.Kind {
		case DoneMark:
			row.State, row.Mark = StepDone, &m
			row.Finding, _ = s.CheckValue(m.Value)
		case NoWrenchMark:
			row.State, row.Mark, row.Second, row.Finding = StepNoWrench, &m, nil, ""
		case StartedMark:
			if row.State != StepDone {
				row.State, row.Mark = StepRunning, &m
			}
		case SecondMark:
			row.Second = &m
		}
	}
	if row.State != StepDone {
		row.Second, row.Finding = nil, ""
	}
	if row.State == StepOpen && s.Locked() != "" {
		row.State = StepLocked
	}
	return row
}

// Now is the step to do next: the first that is open; 0 when none is.
func Now(rows []StepRow) StepID {
	for _, r := range rows {
		if r.Open() {
			return r.ID
		}
	}
	return 0
}

// WantSecondLook are the steps that were done and that nobody has looked at a second time.
func WantSecondLook(rows []StepRow) []StepRow {
	return keep(rows, func(r StepRow) bool { return r.Critical && r.State == StepDone && r.Second == nil })
}

// maxChunk is as many steps as one keeps in mind.
const maxChunk = 9

// Chunk is a run of steps of one stage up to a place where one can pause.
type Chunk struct {
	Stage  Stage
	Rows   []StepRow
	Pause  string // what holds there; empty for one that only its length ends
	Ending bool   // the last of its stage
}

// Chunks cuts the steps at the pauses that are written down, at the ends of stages, and elsewhere so that none is longer than
// nine: those are cut as evenly as can be.
func (c Card) Chunks(rows []StepRow) []Chunk {
	var chunks []Chunk
	for _, stage := range c.Sheet.Stages {
		own := keep(rows, func(r StepRow) bool { return r.StageID == stage.ID })
		for len(own) > 0 {
			n := slices.IndexFunc(own, func(r StepRow) bool { return r.PauseAfter != "" }) + 1
			if n == 0 {
				n = len(own)
			}
			if n > maxChunk {
				parts := (n + maxChunk - 1) / maxChunk
				n = (n + parts - 1) / parts
			}
			chunks = append(chunks, Chunk{Stage: stage, Rows: own[:n:n], Pause: own[n-1].PauseAfter, Ending: n == len(own)})
			own = own[n:]
		}
	}
	return chunks
}

// Progress is how many steps are done, and how many there are.
func Progress(rows []StepRow) (done, all int) {
	for _, r := range rows {
		if r.State == StepDone {
			done++
		}
	}
	return done, len(rows)
}

// longestStep is how long one step may take before the time is taken for a break. Common practice, no source.
const longestStep = 45 * time.Minute

// MeasuredMinutes is how long a stage took at the bench by its marks: the time from mark to mark, less breaks: leavings,
// timers, and gaps longer than three quarters of an hour. The first step counts as long as the others took on average.
// false when there are fewer than two marks to go by.
func (c Card) MeasuredMinutes(stage StageID) (int, bool) {
	waits := map[StepID]bool{}
	own := map[StepID]bool{}
	for _, s := range c.Steps {
		own[s.ID], waits[s.ID] = s.StageID == stage, s.Kind == WaitStep
	}
	type moment struct {
		at   time.Time
		rest bool // what led up to it was no work
	}
	var moments []moment
	for id, marks := range StandingMarks(c.Marks) {
		if !own[id] {
			continue
		}
		for _, m := range marks {
			if m.Kind != SecondMark {
				moments = append(moments, moment{m.At, waits[id] && m.Kind == DoneMark})
			}
		}
	}
	byTime := func(a, b moment) int { return a.at.Compare(b.at) }
	slices.SortFunc(moments, byTime)
	for _, l := range c.Leavings {
		if len(moments) < 2 || l.At.Before(moments[0].at) || l.At.After(moments[len(moments)-1].at) {
			continue
		}
		moments = append(moments, moment{l.At, false})
		if l.ReturnedAt != nil {
			moments = append(moments, moment{*l.ReturnedAt, true})
		}
		slices.SortFunc(moments, byTime)
	}
	var worked time.Duration
	gaps := 0
	for i := 1; i < len(moments); i++ {
		if gap := moments[i].at.Sub(moments[i-1].at); !moments[i].rest && gap <= longestStep {
			worked += gap
			gaps++
		}
	}
	if gaps == 0 {
		return 0, false
	}
	worked += worked / time.Duration(gaps)
	return max(1, int(worked.Round(time.Minute)/time.Minute)), true
}

// Leaving is the moment at which the owner left the work.
type Leaving struct {
	ID         int64
	JobID      JobID
	At         time.Time
	Loose      string // what was loose; empty when nothing was
	ReturnedAt *time.Time
	Confirmed  []MarkID // looked at again on coming back
}

// Left is the leaving that the owner has not come back from.
func (c Card) Left() *Leaving {
	for _, l := range c.Leavings {
		if l.ReturnedAt == nil {
			return &l
		}
	}
	return nil
}

// LooseLeft is a car left with something loose.
type LooseLeft struct {
	JobID    JobID
	JobTitle string
	CarID    CarID
	CarName  string
	At       time.Time
	Loose    string
}

// lastSteps is how many steps are confirmed on coming back.
const lastSteps = 3

// LastDone are the steps done last, newest first, to be looked at on coming back.
func LastDone(rows []StepRow) []StepRow {
	done := keep(rows, func(r StepRow) bool { return r.State == StepDone })
	slices.SortStableFunc(done, func(a, b StepRow) int { return b.Mark.At.Compare(a.Mark.At) })
	return done[:min(lastSteps, len(done))]
}

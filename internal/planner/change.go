package planner

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"time"

	"axlestand/internal/garage"
)

// Record is what is kept of a plan of a garage, to compare a later one with.
func (a Answer) Record() garage.PlanRecord {
	r := garage.PlanRecord{
		MadeAt: a.Now, Stages: []garage.PlanStage{}, Blocked: []garage.JobID{},
		LateCost: int64(a.Totals.LateCost), OverheadMinutes: a.Totals.OverheadMinutes, MinutesSaved: a.Totals.MinutesSaved,
	}
	for _, s := range a.Stages {
		r.Stages = append(r.Stages, garage.PlanStage{
			JobID: RefNumber[garage.JobID](s.Job), StageID: RefNumber[garage.StageID](s.Stage), From: s.From,
		})
	}
	for _, b := range a.Blocked {
		r.Blocked = append(r.Blocked, RefNumber[garage.JobID](b.Job))
	}
	return r
}

// Name tells problems apart by what they hold, but for the time and the plan before: a garage that is again as it was has the
// name that it had.
func (p Problem) Name() string {
	p.Now, p.Previous, p.Effort = time.Time{}, nil, 0
	text, err := json.Marshal(p)
	if err != nil {
		return "" // a time that no file can hold; nothing is like it
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:12])
}

// Change is what is different between two plans of a garage. A job that is in one of them alone and no longer blocked or
// placed in the other has been closed, done or deleted, and is no part of it.
type Change struct {
	Moved   []Move         // jobs on another day, by their new day
	Blocked []garage.JobID // placed before, or not there
	Freed   []garage.JobID // blocked before
	Added   []garage.JobID // placed, and not there before
}

// Move is a job that begins, or goes on with a stage, on another day.
type Move struct {
	JobID    garage.JobID
	StageID  garage.StageID // the first stage that moved
	From, To time.Time      // where it was and where it is
}

// Any says that there is a difference.
func (c Change) Any() bool { return len(c.Moved)+len(c.Blocked)+len(c.Freed)+len(c.Added) > 0 }

// Changes compares two plans; days are those of the zone.
func Changes(before, after garage.PlanRecord, zone *time.Location) Change {
	var c Change
	was, is := placed(before), placed(after)
	stood := map[garage.StageID]time.Time{}
	for _, s := range before.Stages {
		stood[s.StageID] = s.From
	}
	moved := map[garage.JobID]bool{}
	for _, s := range byTime(after.Stages) {
		from, known := stood[s.StageID]
		if !known || moved[s.JobID] || garage.DateOf(from.In(zone)) == garage.DateOf(s.From.In(zone)) {
			continue
		}
		moved[s.JobID] = true
		c.Moved = append(c.Moved, Move{JobID: s.JobID, StageID: s.StageID, From: from, To: s.From})
	}
	for _, job := range after.Blocked {
		if !slices.Contains(before.Blocked, job) {
			c.Blocked = append(c.Blocked, job)
		}
	}
	for _, job := range is {
		switch {
		case slices.Contains(before.Blocked, job):
			c.Freed = append(c.Freed, job)
		case !slices.Contains(was, job):
			c.Added = append(c.Added, job)
		}
	}
	return c
}

// placed are the jobs of a plan, in order of their ids.
func placed(r garage.PlanRecord) []garage.JobID {
	var jobs []garage.JobID
	for _, s := range r.Stages {
		jobs = append(jobs, s.JobID)
	}
	slices.Sort(jobs)
	return slices.Compact(jobs)
}

func byTime(stages []garage.PlanStage) []garage.PlanStage {
	return slices.SortedFunc(slices.Values(stages), func(a, b garage.PlanStage) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.JobID, b.JobID), cmp.Compare(a.StageID, b.StageID))
	})
}

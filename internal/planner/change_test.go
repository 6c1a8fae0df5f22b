package planner

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
)

func TestChanges(t *testing.T) {
	t.Parallel()
	zone := time.FixedZone("east", 2*60*60)
	at := func(day, hour int) time.Time { return time.Date(2027, 3, day, hour, 0, 0, 0, zone) }
	stage := func(job garage.JobID, id garage.StageID, from time.Time) garage.PlanStage {
		return garage.PlanStage{JobID: job, StageID: id, From: from}
	}
	before := garage.PlanRecord{
		Stages: []garage.PlanStage{
			stage(1, 11, at(6, 9)), stage(1, 12, at(7, 9)), stage(2, 21, at(6, 13)), stage(3, 31, at(13, 9)), stage(5, 51, at(14, 9)),
		},
		Blocked: []garage.JobID{4, 8},
	}
	after := garage.PlanRecord{
		// Late in the evening by the garage's clock is the day before by that of UTC.
		Stages: []garage.PlanStage{
			stage(1, 11, at(6, 16).UTC()), stage(1, 12, at(14, 9)), stage(2, 21, at(13, 1).UTC()), stage(4, 41, at(20, 9)), stage(6, 61, at(21, 9)),
		},
		Blocked: []garage.JobID{3, 7, 8},
	}
	want := Change{
		Moved: []Move{
			{JobID: 2, StageID: 21, From: at(6, 13), To: at(13, 1).UTC()},
			{JobID: 1, StageID: 12, From: at(7, 9), To: at(14, 9)},
		},
		Blocked: []garage.JobID{3, 7},
		Freed:   []garage.JobID{4},
		Added:   []garage.JobID{6},
	}
	if diff := cmp.Diff(want, Changes(before, after, zone)); diff != "" {
		t.Error(diff)
	}
	if c := Changes(before, before, zone); c.Any() {
		t.Errorf("a plan differs from itself: %+v", c)
	}
}

// TestFromGarage_keepsNear: the plan is held near to the one that was kept, and after an undo near to the one before that.
func TestFromGarage_keepsNear(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	shot := garage.Snapshot{
		Settings: garage.Settings{Zone: "UTC", Confidence: 80},
		Cars:     []garage.Car{{ID: 1, Stands: garage.Inside}},
		Jobs:     []garage.Job{{ID: 1, CarID: 1, Weight: 3}},
		Stages:   []garage.Stage{{ID: 11, JobID: 1, Kind: garage.Bench, Low: 60, Likely: 60, High: 60}},
	}
	kept := func(of string, day int) *garage.PlanRecord {
		from := time.Date(2027, 3, day, 9, 0, 0, 0, time.UTC)
		return &garage.PlanRecord{Of: of, Stages: []garage.PlanStage{{JobID: 1, StageID: 11, From: from}}}
	}
	near := func() int {
		problem, _ := FromGarage(shot, now.Add(time.Hour))
		if len(problem.Previous) != 1 || problem.Previous[0].Job != "job-1" || problem.Previous[0].Stage != "stage-11" {
			t.Fatalf("near to %+v", problem.Previous)
		}
		return problem.Previous[0].From.Day()
	}
	problem, _ := FromGarage(shot, now)
	if len(problem.Previous) > 0 {
		t.Errorf("near to %+v, and none was kept", problem.Previous)
	}
	name := problem.Name()
	shot.Plan, shot.PlanBefore = kept("another", 13), kept("a third", 20)
	if day := near(); day != 13 {
		t.Errorf("near to the plan of the %d, want that of the 13th", day)
	}
	shot.PlanBefore.Of = name
	if day := near(); day != 20 {
		t.Errorf("back as it was, near to the plan of the %d, want that of the 20th", day)
	}
	shot.Plan.Of = name
	if day := near(); day != 13 {
		t.Errorf("not changed at all, near to the plan of the %d, want that of the 13th", day)
	}
	shot.Jobs[0].Weight = 4
	if changed, _ := FromGarage(shot, now); changed.Name() == name {
		t.Error("a job of another weight leaves the name as it was")
	}
}

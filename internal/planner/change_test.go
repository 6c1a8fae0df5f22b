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

// TestFromGarage_estimates: five stages that took twice as long make the plan longer, unless the owner wants it as written.
func TestFromGarage_estimates(t *testing.T) {
	t.Parallel()
	shot := garage.Snapshot{
		Settings: garage.Settings{Zone: "UTC", Confidence: 80, Estimates: garage.TurnOut},
		Cars:     []garage.Car{{ID: 1, Stands: garage.Inside}},
		Jobs:     []garage.Job{{ID: 1, CarID: 1, Weight: 3, Kind: garage.Repair}},
		Stages: []garage.Stage{
			{ID: 11, JobID: 1, Kind: garage.Bench, Low: 60, Likely: 100, High: 140},
			{ID: 12, JobID: 1, Kind: garage.Wait, Low: 60, Likely: 60, High: 60},
		},
	}
	minutes := func() (bench, wait int, pace *Pace) {
		p, _ := FromGarage(shot, time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC))
		if err := p.Validate(); err != nil {
			t.Fatal(err)
		}
		return p.Jobs[0].Stages[0].Minutes[1], p.Jobs[0].Stages[1].Minutes[1], p.Pace
	}
	if bench, _, pace := minutes(); bench != 100 || pace != nil {
		t.Errorf("nothing is known, and it takes %d at %+v", bench, pace)
	}
	for range LearntFrom - 1 {
		shot.Took = append(shot.Took, garage.Took{Kind: garage.Repair, Low: 60, Likely: 100, High: 140, Minutes: 200})
	}
	if bench, _, pace := minutes(); bench != 100 || pace == nil || pace.Factor < 1.2 {
		t.Errorf("four stages are known, and it takes %d at %+v", bench, pace)
	}
	shot.Took = append(shot.Took, shot.Took[0])
	bench, wait, pace := minutes()
	if bench < 120 || bench > 200 || wait != 60 || pace == nil || pace.Factor != 1 {
		t.Errorf("five are known, and it takes %d and waits %d, at %+v", bench, wait, pace)
	}
	shot.Settings.Estimates = garage.AsWritten
	if bench, _, pace := minutes(); bench != 100 || pace.Factor < 1.2 {
		t.Errorf("as written it takes %d at %+v", bench, pace)
	}
}

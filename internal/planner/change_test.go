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

package page

import (
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
)

// TestNewJobChance: outside work ends with its last day, not on the one after, and a date that is kept loses nothing.
func TestNewJobChance(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	midnight := func(day int) time.Time { return time.Date(2027, time.March, day, 0, 0, 0, 0, p.Now.Location()) }
	job := garage.Job{ID: 1, Currency: "EUR"}
	for name, tt := range map[string]struct {
		chance planner.Chance
		want   []string
	}{
		"kept": {
			planner.Chance{P50: midnight(15), P80: midnight(16), Due: midnight(16), Done: 0.998, HalfWidth: 0.003, LateCost: 893},
			[]string{"Sun 14 Mar", "Mon 15 Mar", "≈\u00a0100\u00a0% ±\u00a01", ""},
		},
		"at risk": {
			planner.Chance{P50: midnight(15).Add(12 * time.Hour), Due: midnight(16), Done: 0.96, HalfWidth: 0.01, LateCost: 401},
			[]string{"Mon 15 Mar", "not within half a year", "≈\u00a096\u00a0% ±\u00a01", "4.01\u00a0EUR"},
		},
	} {
		tt.chance.Job = planner.JobRef(job.ID)
		v := NewJobChance(Base{}, p, job, []planner.Chance{tt.chance})
		for i, want := range tt.want {
			if got := v.Chance[i].Text; got != want {
				t.Errorf("%s: %s is %q, want %q", name, v.Chance[i].Term, got, want)
			}
		}
	}
}

// TestPlanned_datesOfOneJob: a job due twice has the chance of the date that it was worked out for, and what is short of the other.
func TestPlanned_datesOfOneJob(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	midnight := func(day int) time.Time { return time.Date(2027, time.March, day, 0, 0, 0, 0, p.Now.Location()) }
	rows := []DueRow{{job: 1, due: garage.NewDate(2027, time.March, 15)}, {job: 1, due: garage.NewDate(2027, time.March, 20)}, {job: 2, due: garage.NewDate(2027, time.March, 15)}}
	rows = p.withChances(rows, []planner.Chance{{Job: planner.JobRef(garage.JobID(1)), Due: midnight(16), Done: 0.9, HalfWidth: 0.01}})
	rows = p.withShortfalls(rows, []planner.Shortfall{{Job: planner.JobRef(garage.JobID(1)), Due: midnight(21), Earliest: midnight(23)}})
	for i, want := range []struct{ chance, short bool }{{true, false}, {false, true}, {false, false}} {
		if got := rows[i]; (got.Chance != "") != want.chance || (got.Short != "") != want.short {
			t.Errorf("date %d has the chance %q and is short of %q", i, got.Chance, got.Short)
		}
	}
}

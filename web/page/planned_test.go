package page

import (
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
)

// samplePlanned is a garage of two cars in Vienna on Friday 5 March 2027, 18:00.
func samplePlanned(t *testing.T, answer planner.Answer) Planned {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	due := garage.NewDate(2027, time.March, 15)
	shot := garage.Snapshot{
		Settings: garage.Settings{Zone: "Europe/Vienna", Currency: "EUR", Lifts: 1},
		Cars: []garage.Car{
			{ID: 1, Name: "Tern estate", Role: garage.Daily, Stands: garage.OnLift},
			{ID: 2, Name: "Tern saloon", Role: garage.Donor, Stands: garage.Outside},
		},
		Jobs: []garage.Job{
			{ID: 1, CarID: 1, Title: "Rear brakes", Currency: "EUR", Due: &due, DueFor: "Core deposit", LateCost: 9000},
			{ID: 2, CarID: 2, Title: "Arms off", Currency: "EUR"},
		},
		Stages: []garage.Stage{
			{ID: 1, JobID: 1, Name: "Fit", Kind: garage.Bench},
			{ID: 2, JobID: 2, Name: "Unbolt", Kind: garage.Bench},
		},
		Parts: []garage.Part{{ID: 1, Name: "Trailing arm", Unit: "piece"}, {ID: 2, Name: "Brake fluid", Unit: "ml"}},
		Tools: []garage.Tool{{ID: 1, Name: "Press"}},
	}
	return NewPlanned(shot, planner.Problem{}, answer, time.Date(2027, time.March, 5, 18, 0, 0, 0, zone))
}

func TestPlanned_because(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	midnight := time.Date(2027, time.March, 14, 0, 0, 0, 0, p.Now.Location())
	noon := time.Date(2027, time.March, 13, 12, 0, 0, 0, p.Now.Location())
	for _, tt := range []struct {
		kind, of string
		until    time.Time
		want     string
	}{
		{planner.BecauseNow, "", time.Time{}, "nothing holds it"},
		{planner.BecauseNotBefore, "", midnight, "not before Sun 14 Mar"},
		{planner.BecausePin, "", noon, "pinned to Sat 13 Mar 12:00"},
		{planner.BecausePin, "job-2", noon, "after Arms off, which is pinned"},
		{planner.BecauseCar, "car-2", midnight, "waits: Tern saloon arrives by Sat 13 Mar"},
		{planner.BecauseJob, "job-2", noon, "waits: Arms off, done Sat 13 Mar 12:00"},
		{planner.BecauseStage, "stage-2", noon, "follows Unbolt"},
		{planner.BecausePart, "part-1", midnight, "waits: Trailing arm, expected by Sat 13 Mar"},
		{planner.BecauseHarvest, "job-2", noon, "waits: Arms off, off Tern saloon"},
		{planner.BecauseOrder, "part-1", midnight, "waits: Trailing arm, not ordered yet, here by Sat 13 Mar if ordered today"},
		{planner.BecauseHands, "job-2", noon, "after Arms off"},
		{planner.BecauseLift, "car-2", noon, "waits: the lift, held by Tern saloon until Sat 13 Mar 12:00"},
		{planner.BecauseHelper, "", noon, "waits: a helper from Sat 13 Mar 12:00"},
		{planner.BecauseTool, "tool-1", midnight, "waits: Press from Sun 14 Mar"},
		{planner.BecauseSession, "", noon, "no session it fits into before Sat 13 Mar 12:00"},
		{planner.BecauseRoadNeed, "car-1", noon, "Tern estate must be whole until Sat 13 Mar 12:00"},
		{planner.BecauseImmobile, "car-2", noon, "waits: Tern saloon is immobile until Sat 13 Mar 12:00"},
		{planner.BecauseChain, "part-1", midnight, "waits until Sat 13 Mar, so that the car does not stand immobile for Trailing arm"},
		{planner.BecauseWork, "job-2", noon, "waits: Arms off on the same car until Sat 13 Mar 12:00"},
	} {
		t.Run(tt.kind+tt.of, func(t *testing.T) {
			t.Parallel()
			if got := p.because(planner.Reason{Kind: tt.kind, Of: tt.of, Until: tt.until}); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func TestPlanned_blockedText(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	for _, tt := range []struct {
		why  planner.Why
		want string
		link string
	}{
		{planner.Why{Kind: planner.BecausePart, Of: "part-1", Short: 2}, "short of 2\u00a0× Trailing arm: none on hand, expected, or to be ordered", "/parts/1"},
		{planner.Why{Kind: planner.BecausePart, Of: "part-2", Short: 500, TakenBy: []string{"job-1"}}, "short of 500\u00a0ml Brake fluid: promised to Rear brakes", "/parts/2"},
		{planner.Why{Kind: planner.BecauseJob, Of: "job-2"}, "waits for Arms off, which is blocked", "/jobs/2"},
		{planner.Why{Kind: planner.BecauseNoStages}, "has no stages yet", "/jobs/1/stages/new"},
		{planner.Why{Kind: planner.BecauseSession}, "no session left that it fits into", "/sessions"},
		{planner.Why{Kind: planner.BecauseTool, Of: "tool-1"}, "Press is not here when it could be used", "/tools"},
	} {
		t.Run(tt.want, func(t *testing.T) {
			t.Parallel()
			if got := p.blockedText(tt.why); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			if got := p.frees(p.Shot.Jobs[0], tt.why).Href; got != tt.link {
				t.Errorf("leads to %q, want %q", got, tt.link)
			}
		})
	}
}

// Every kind that the planner may give has words: none falls through to its code.
func TestPlanned_wordsForEveryKind(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	for _, kind := range []string{
		planner.BecauseNow, planner.BecauseNotBefore, planner.BecausePin, planner.BecauseCar, planner.BecauseJob, planner.BecauseStage,
		planner.BecausePart, planner.BecauseHarvest, planner.BecauseOrder, planner.BecauseHands, planner.BecauseLift, planner.BecauseHelper,
		planner.BecauseTool, planner.BecauseSession, planner.BecauseRoadNeed, planner.BecauseImmobile, planner.BecauseChain,
	} {
		if text := p.because(planner.Reason{Kind: kind}); text == kind || strings.Contains(text, "_") {
			t.Errorf("reason %s reads %q", kind, text)
		}
	}
	for _, kind := range []string{
		planner.BecausePart, planner.BecauseHarvest, planner.BecauseOrder, planner.BecauseJob, planner.BecauseNoStages, planner.BecauseNoEnd,
		planner.BecauseNoLift, planner.BecauseSession, planner.BecauseHelper, planner.BecauseTool, planner.BecauseLift, planner.BecauseImmobile,
		planner.BecauseRoadNeed, planner.BecauseCar,
	} {
		if text := p.blockedText(planner.Why{Kind: kind}); text == kind || strings.Contains(text, "_") {
			t.Errorf("blocked by %s reads %q", kind, text)
		}
	}
}

func TestPlanned_dues(t *testing.T) {
	t.Parallel()
	at := func(day, hour int) time.Time { return time.Date(2027, time.March, day, hour, 0, 0, 0, time.UTC) }
	for _, tt := range []struct {
		name   string
		answer planner.Answer
		want   string
		lost   bool
	}{
		{"in time", planner.Answer{Stages: []planner.PlacedStage{{Job: "job-1", To: at(15, 20)}}}, "in time: done Mon 15 Mar 21:00", false},
		{"late", planner.Answer{Stages: []planner.PlacedStage{{Job: "job-1", To: at(17, 8)}}}, "late: done Wed 17 Mar 09:00, 2\u00a0days too late, 90.00\u00a0EUR lost", true},
		{"blocked", planner.Answer{}, "no date: the job is blocked, 90.00\u00a0EUR lost", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			rows := samplePlanned(t, tt.answer).dues()
			if len(rows) != 1 || rows[0].Text != tt.want || rows[0].Lost != tt.lost {
				t.Errorf("got %+v, want %q, lost %t", rows, tt.want, tt.lost)
			}
		})
	}
}

// What begins while there is no session is told between the sessions: someone has to take the car there.
func TestPlanned_betweenSessions(t *testing.T) {
	t.Parallel()
	at := func(day, hour int) time.Time { return time.Date(2027, time.March, day, hour, 0, 0, 0, time.UTC) }
	p := samplePlanned(t, planner.Answer{Stages: []planner.PlacedStage{
		{Job: "job-1", Stage: "stage-1", From: at(6, 16), To: at(8, 16)},
		{Job: "job-2", Stage: "stage-2", From: at(10, 12), To: at(12, 12)},
	}})
	p.Problem.Sessions = []planner.Session{{From: at(6, 8), To: at(6, 16)}, {From: at(13, 8), To: at(13, 16)}}
	var got []string
	for _, row := range p.sessionRows(at(5, 23), at(20, 0)) {
		for _, work := range row.Work {
			got = append(got, row.Title+row.with()+": "+work.At+" "+work.Title+", "+work.Why)
		}
	}
	want := "Sat 6 Mar 09:00–17:00: 17:00 Rear brakes, waits until Mon 8 Mar 17:00; " +
		"Wed 10 Mar · no session: 13:00 Arms off, waits until Fri 12 Mar 13:00"
	if text := strings.Join(got, "; "); text != want {
		t.Errorf("got %s", text)
	}
}

// TestPlanned_overheadNamesItsCar: what is opened and closed names its car where the row before is about another one, or where there
// is none; a change names it anyway.
func TestPlanned_overheadNamesItsCar(t *testing.T) {
	t.Parallel()
	p := samplePlanned(t, planner.Answer{})
	from := time.Date(2027, time.March, 6, 9, 0, 0, 0, p.Now.Location())
	at := func(minutes int) time.Time { return from.Add(time.Duration(minutes) * time.Minute) }
	over := func(kind string, minutes int) planner.Overhead {
		return planner.Overhead{Kind: kind, From: at(minutes), To: at(minutes + 10)}
	}
	estate, saloon := planner.CarRef(1), planner.CarRef(2)
	p.Answer = planner.Answer{
		Stages: []planner.PlacedStage{{
			Job: planner.JobRef(garage.JobID(2)), Car: saloon, Stage: planner.StageRef(garage.StageID(2)), Kind: planner.Bench,
			From: at(20), To: at(30), Pieces: []planner.Span{{From: at(20), To: at(30)}},
		}},
		Visits: []planner.Visit{
			{Car: estate, Overhead: []planner.Overhead{over(planner.OverheadClose, 0), over(planner.OverheadClosing, 10), over(planner.OverheadClosing, 30), over(planner.OverheadChange, 50)}},
			{Car: saloon, Overhead: []planner.Overhead{over(planner.OverheadOpen, 40)}},
		},
	}
	var got []string
	for _, row := range p.work(from, at(60)) {
		got = append(got, row.Sub)
	}
	if want := []string{"Tern estate", "", "Tern saloon · Unbolt", "Tern estate", "Tern saloon", ""}; !slices.Equal(got, want) {
		t.Errorf("the rows are of %q, want %q", got, want)
	}
}

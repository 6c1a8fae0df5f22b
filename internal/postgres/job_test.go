package postgres_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

var jobsNow = time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)

// jobYard is a garage with two cars, an access, closing work, a tool, a part and two bins, for the tests of jobs.
type jobYard struct {
	*testing.T
	db     postgres.DBTX
	store  *postgres.Store
	car    garage.CarID
	donor  garage.CarID
	wheels garage.AccessID // on the car
	tray   garage.AccessID // on the donor
	bleed  garage.ClosingID
	press  garage.ToolID
	part   garage.PartID
	binA   garage.BinID
	binB   garage.BinID
	ctx    context.Context
}

func newJobYard(t *testing.T) *jobYard {
	t.Helper()
	return jobYardOn(t, pgtest.Tx(t))
}

func jobYardOn(t *testing.T, db postgres.DBTX) *jobYard {
	t.Helper()
	y := &jobYard{T: t, db: db, store: postgres.New(db), ctx: t.Context()}
	y.car = garage.CarID(y.id(`insert into cars (name, role, stands) values ('Tern estate', 'daily', 'lift') returning id`))
	y.donor = garage.CarID(y.id(`insert into cars (name, role) values ('Tern saloon', 'donor') returning id`))
	y.wheels = garage.AccessID(y.id(`insert into access (car_id, name) values ($1, 'Wheels') returning id`, y.car))
	y.tray = garage.AccessID(y.id(`insert into access (car_id, name) values ($1, 'Undertray') returning id`, y.donor))
	y.bleed = garage.ClosingID(y.id(`insert into closing_work (car_id, name, minutes) values ($1, 'Bleed', 45) returning id`, y.car))
	y.press = garage.ToolID(y.id(`insert into tools (name) values ('Press') returning id`))
	y.part = garage.PartID(y.id(`insert into parts (name, price) values ('Caliper', 8900) returning id`))
	y.binA = garage.BinID(y.id(`insert into bins (name) values ('A1') returning id`))
	y.binB = garage.BinID(y.id(`insert into bins (name) values ('B1') returning id`))
	return y
}

func (y *jobYard) id(sql string, args ...any) (id int64) {
	y.Helper()
	if err := y.db.QueryRow(y.ctx, sql, args...).Scan(&id); err != nil {
		y.Fatal(err)
	}
	return id
}

func (y *jobYard) exec(sql string, args ...any) {
	y.Helper()
	if _, err := y.db.Exec(y.ctx, sql, args...); err != nil {
		y.Fatal(err)
	}
}

// job enters a job on the car with one bench stage.
func (y *jobYard) job(title string, after ...garage.JobID) garage.JobID {
	y.Helper()
	var waits []garage.After
	for _, id := range after {
		waits = append(waits, garage.After{AfterID: id})
	}
	id, err := y.store.CreateJob(y.ctx, garagetest.Job(func(j *garage.Job) { j.CarID, j.Title = y.car, title }), waits,
		garagetest.Stage())
	if err != nil {
		y.Fatal(err)
	}
	return id
}

func (y *jobYard) stage(job garage.JobID, changes ...func(*garage.Stage)) garage.StageID {
	y.Helper()
	id, err := y.store.CreateStage(y.ctx, garagetest.Stage(append(changes, func(s *garage.Stage) { s.JobID = job })...))
	if err != nil {
		y.Fatal(err)
	}
	return id
}

func (y *jobYard) first(job garage.JobID) garage.Stage {
	y.Helper()
	stages, err := y.store.Stages(y.ctx, job)
	if err != nil || len(stages) == 0 {
		y.Fatal("no stages", err)
	}
	return stages[0]
}

func (y *jobYard) need(stage garage.StageID, quantity int) garage.NeedID {
	y.Helper()
	id, err := y.store.CreateNeed(y.ctx, garagetest.Need(func(n *garage.Need) {
		n.StageID, n.Quantity = stage, quantity
	}), garage.PartPick{Text: "Caliper"})
	if err != nil {
		y.Fatal(err)
	}
	return id
}

func (y *jobYard) put(bin garage.BinID, quantity int) {
	y.Helper()
	y.exec(`insert into stock_movements (part_id, bin_id, quantity, kind) values ($1, $2, $3, 'bought')`, y.part, bin, quantity)
}

func (y *jobYard) inBin(bin garage.BinID) int {
	y.Helper()
	return int(y.id(`select coalesce(sum(quantity), 0) from stock where part_id = $1 and bin_id = $2`, y.part, bin))
}

func (y *jobYard) immobile() bool {
	y.Helper()
	return y.id(`select immobile::int from cars where id = $1`, y.car) == 1
}

// wrong is the message under a field, and fails the test when the error is of another kind.
func wrong(t *testing.T, err error, field string) string {
	t.Helper()
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok || invalid.Fields[field] == "" {
		t.Fatalf("got %v, want something wrong with %q", err, field)
	}
	return invalid.Fields[field]
}

func titles(jobs []garage.JobRow) (list []string) {
	for _, j := range jobs {
		list = append(list, j.Title)
	}
	return list
}

func links(jobs []garage.JobLink) (list []string) {
	for _, j := range jobs {
		list = append(list, j.Title)
	}
	return list
}

func TestStore_CreateJob(t *testing.T) {
	t.Parallel()
	due, before := garage.NewDate(2027, 4, 3), garage.NewDate(2027, 3, 6)

	t.Run("all fields come back", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		strip := y.job("Strip")
		phase, err := y.store.CreatePhase(y.ctx, garagetest.Phase(func(p *garage.Phase) { p.CarID = y.car }))
		if err != nil {
			t.Fatal(err)
		}
		want := garagetest.Job(func(j *garage.Job) {
			j.CarID, j.PhaseID, j.Weight, j.Due, j.NotBefore = y.car, &phase, 8, &due, &before
			j.DueFor, j.LateCostPerDay, j.LateCost, j.Notes = "Inspection", 500, 12000, "Ask about the hose."
		})
		stage := garagetest.Stage(func(s *garage.Stage) {
			s.Helpers, s.Immobile = 1, "within"
			s.Tools, s.Access, s.Closing = []garage.ToolID{y.press}, []garage.AccessID{y.wheels}, []garage.ClosingID{y.bleed}
		})
		id, err := y.store.CreateJob(y.ctx, want, []garage.After{{AfterID: strip, GapMinutes: 1440}}, stage)
		if err != nil {
			t.Fatal(err)
		}
		got, err := y.store.Job(y.ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		want.ID, want.CreatedAt = id, got.CreatedAt
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("job (-want +got):\n%s", diff)
		}
		stage.ID, stage.JobID = y.first(id).ID, id
		if diff := cmp.Diff(stage, y.first(id)); diff != "" {
			t.Errorf("stage (-want +got):\n%s", diff)
		}
		after, err := y.store.JobAfter(y.ctx, id)
		if err != nil || len(after) != 1 || after[0].ID != strip || after[0].GapMinutes != 1440 || after[0].CarName != "Tern estate" {
			t.Errorf("after: %+v %v", after, err)
		}
	})

	t.Run("a wrong field is named and nothing is kept", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		other := garagetest.Phase(func(p *garage.Phase) { p.CarID = y.donor })
		phase, err := y.store.CreatePhase(y.ctx, other)
		if err != nil {
			t.Fatal(err)
		}
		good := garagetest.Job(func(j *garage.Job) { j.CarID = y.car })
		for name, tt := range map[string]struct {
			job   garage.Job
			after []garage.After
			stage garage.Stage
			field string
		}{
			"no title":             {garagetest.Job(func(j *garage.Job) { j.CarID, j.Title = y.car, " " }), nil, garagetest.Stage(), "title"},
			"phase of another car": {garagetest.Job(func(j *garage.Job) { j.CarID, j.PhaseID = y.car, &phase }), nil, garagetest.Stage(), "phase"},
			"no such car":          {garagetest.Job(func(j *garage.Job) { j.CarID = 999999 }), nil, garagetest.Stage(), "car"},
			"no such prerequisite": {good, []garage.After{{AfterID: 999999}}, garagetest.Stage(), "after"},
			"stage without a name": {good, nil, garagetest.Stage(func(s *garage.Stage) { s.Name = "" }), "stage.name"},
			"access of another car": {
				good, nil, garagetest.Stage(func(s *garage.Stage) { s.Access = []garage.AccessID{y.tray} }), "stage.access",
			},
		} {
			_, err := y.store.CreateJob(y.ctx, tt.job, tt.after, tt.stage)
			t.Log(name, wrong(t, err, tt.field))
		}
		if n := y.id(`select count(*) from jobs`); n != 0 {
			t.Errorf("%d jobs were kept", n)
		}
	})
}

func TestStore_Job(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	if _, err := y.store.Job(y.ctx, 4711); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a job that never was: %v", err)
	}
	if _, err := y.store.JobSheet(y.ctx, 4711); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("the sheet of a job that never was: %v", err)
	}
	if _, err := y.store.JobChoices(y.ctx, 4711, 0); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("choices for a car that never was: %v", err)
	}
}

func TestStore_Jobs(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	soon, late := garage.NewDate(2027, 3, 10), garage.NewDate(2027, 5, 1)
	add := func(title string, change func(*garage.Job)) garage.JobID {
		id, err := y.store.CreateJob(y.ctx, garagetest.Job(func(j *garage.Job) { j.CarID, j.Title = y.car, title }, change), nil,
			garagetest.Stage(), garagetest.Stage())
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	add("No date, light", func(j *garage.Job) { j.Weight = 2 })
	add("No date, heavy", func(j *garage.Job) { j.Weight = 9 })
	add("Late", func(j *garage.Job) { j.Due = &late })
	soonID := add("Soon", func(j *garage.Job) { j.Due, j.Kind = &soon, garage.Inspection })
	add("Arms off", func(j *garage.Job) { j.CarID, j.Kind = y.donor, garage.Harvest })
	closed := add("Closed", func(*garage.Job) {})
	gone := add("Deleted", func(*garage.Job) {})
	if err := y.store.CloseJob(y.ctx, closed, 1, "sold", jobsNow); err != nil {
		t.Fatal(err)
	}
	if err := y.store.DeleteJob(y.ctx, gone, false); err != nil {
		t.Fatal(err)
	}
	if _, err := y.store.FinishStage(y.ctx, y.first(soonID).ID, false, nil, jobsNow); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		filter garage.JobFilter
		want   []string
		total  int
	}{
		"all, open first by date and weight": {
			garage.JobFilter{}, []string{"Soon", "Late", "No date, heavy", "Arms off", "No date, light", "Closed"}, 6,
		},
		"open on the car": {
			garage.JobFilter{CarID: y.car, State: garage.OpenJobs}, []string{"Soon", "Late", "No date, heavy", "No date, light"}, 4,
		},
		"closed":      {garage.JobFilter{State: garage.ClosedJobs}, []string{"Closed"}, 1},
		"of a kind":   {garage.JobFilter{Kind: garage.Harvest}, []string{"Arms off"}, 1},
		"second page": {garage.JobFilter{Limit: 2, Offset: 2}, []string{"No date, heavy", "Arms off"}, 6},
		"none":        {garage.JobFilter{Kind: garage.Upgrade}, nil, 0},
	} {
		got, err := y.store.Jobs(y.ctx, tt.filter)
		if err != nil {
			t.Fatal(name, err)
		}
		if diff := cmp.Diff(tt.want, titles(got)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
		if len(got) > 0 && got[0].Total != tt.total {
			t.Errorf("%s: total %d, want %d", name, got[0].Total, tt.total)
		}
	}
	rows, err := y.store.Jobs(y.ctx, garage.JobFilter{Kind: garage.Inspection})
	if err != nil || rows[0].Stages != 2 || rows[0].StagesDone != 1 || rows[0].CarName != "Tern estate" {
		t.Errorf("row %+v %v", rows, err)
	}
}

func TestStore_UpdateJob(t *testing.T) {
	t.Parallel()

	t.Run("saves and counts the version", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		id := y.job("Brakes")
		strip := y.job("Strip")
		job, err := y.store.Job(y.ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		pin := jobsNow.Add(15 * time.Hour)
		if err := y.store.PinJob(y.ctx, id, 1, &pin, nil); err != nil {
			t.Fatal(err)
		}
		job.Title, job.Weight, job.Version = "Brakes, rear", 9, 2
		if err := y.store.UpdateJob(y.ctx, job, []garage.After{{AfterID: strip}}); err != nil {
			t.Fatal(err)
		}
		got, err := y.store.Job(y.ctx, id)
		if err != nil || got.Title != "Brakes, rear" || got.Weight != 9 || got.Version != 3 {
			t.Errorf("%+v %v", got, err)
		}
		if got.PinnedAt == nil || !got.PinnedAt.Equal(pin) {
			t.Errorf("the pin was lost: %v", got.PinnedAt)
		}
		if err := y.store.UpdateJob(y.ctx, job, nil); !errors.Is(err, garage.ErrConflict) {
			t.Errorf("an old version: %v", err)
		}
		after, err := y.store.JobAfter(y.ctx, id)
		if err != nil || !slices.Equal(links(after), []string{"Strip"}) {
			t.Errorf("a refused save changed the prerequisites: %v %v", after, err)
		}
		job.ID = 4711
		if err := y.store.UpdateJob(y.ctx, job, nil); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("a job that never was: %v", err)
		}
	})

	t.Run("names a loop of prerequisites", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		a := y.job("Arms off")
		b := y.job("Bushes", a)
		c := y.job("Arms on", b)
		job, err := y.store.Job(y.ctx, a)
		if err != nil {
			t.Fatal(err)
		}
		err = y.store.UpdateJob(y.ctx, job, []garage.After{{AfterID: c}})
		if got, want := wrong(t, err, "after"), "Arms off → Arms on → Bushes → Arms off"; !strings.Contains(got, want) {
			t.Errorf("got %q, want the loop %q", got, want)
		}
		if after, _ := y.store.JobAfter(y.ctx, a); len(after) != 0 {
			t.Errorf("the loop was kept: %v", after)
		}
		err = y.store.UpdateJob(y.ctx, job, []garage.After{{AfterID: a}})
		t.Log(wrong(t, err, "after"))
	})

	t.Run("keeps what was deleted among the prerequisites", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		strip := y.job("Strip")
		id := y.job("Brakes", strip)
		if err := y.store.DeleteJob(y.ctx, strip, true); err != nil {
			t.Fatal(err)
		}
		job, _ := y.store.Job(y.ctx, id)
		if err := y.store.UpdateJob(y.ctx, job, nil); err != nil {
			t.Fatal(err)
		}
		if err := y.store.RestoreJob(y.ctx, strip); err != nil {
			t.Fatal(err)
		}
		if after, _ := y.store.JobAfter(y.ctx, id); !slices.Equal(links(after), []string{"Strip"}) {
			t.Errorf("got %v, want Strip back", links(after))
		}
	})

	t.Run("moves to another car only while nothing ties it", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		free := y.job("Free")
		job, _ := y.store.Job(y.ctx, free)
		job.CarID = y.donor
		if err := y.store.UpdateJob(y.ctx, job, nil); err != nil {
			t.Errorf("a job that nothing ties: %v", err)
		}
		tied := y.job("Tied")
		y.stage(tied, func(s *garage.Stage) { s.Access = []garage.AccessID{y.wheels} })
		job, _ = y.store.Job(y.ctx, tied)
		job.CarID = y.donor
		t.Log(wrong(t, y.store.UpdateJob(y.ctx, job, nil), "car"))
	})
}

// meanwhile runs first in a transaction that stays open until second waits for it or is through, and gives what second said.
func (y *jobYard) meanwhile(pool *pgxpool.Pool, first, second func(*postgres.Store) error) error {
	y.Helper()
	tx, err := pool.Begin(y.ctx)
	if err != nil {
		y.Fatal(err)
	}
	if err := first(postgres.New(tx)); err != nil {
		y.Fatal(err)
	}
	answer := make(chan error, 1)
	go func() { answer <- second(postgres.New(pool)) }()
	through := false
	for !through && y.id(`select count(*) from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'`) == 0 {
		select {
		case err := <-answer:
			answer <- err
			through = true
		case <-time.After(5 * time.Millisecond):
		}
	}
	if err := tx.Commit(y.ctx); err != nil {
		y.Fatal(err)
	}
	return <-answer
}

// Two owners close a loop from its two ends at the same moment: the second waits for the first, and is refused.
func TestStore_UpdateJob_loopFromBothEnds(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	y := jobYardOn(t, pool)
	a, b := y.job("A"), y.job("B")
	wait := func(id, after garage.JobID) func(*postgres.Store) error {
		return func(s *postgres.Store) error {
			job, err := s.Job(y.ctx, id)
			if err != nil {
				return err
			}
			return s.UpdateJob(y.ctx, job, []garage.After{{AfterID: after}})
		}
	}
	t.Log(wrong(t, y.meanwhile(pool, wait(a, b), wait(b, a)), "after"))
}

func TestStore_PinJob(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	id := y.job("Brakes")
	pin, from := jobsNow.Add(15*time.Hour), garage.NewDate(2027, 3, 6)
	if err := y.store.PinJob(y.ctx, id, 1, &pin, &from); err != nil {
		t.Fatal(err)
	}
	job, _ := y.store.Job(y.ctx, id)
	if job.PinnedAt == nil || !job.PinnedAt.Equal(pin) || job.NotBefore == nil || *job.NotBefore != from {
		t.Errorf("got %v %v", job.PinnedAt, job.NotBefore)
	}
	if err := y.store.PinJob(y.ctx, id, 1, nil, nil); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if err := y.store.PinJob(y.ctx, id, 2, nil, nil); err != nil {
		t.Fatal(err)
	}
	if job, _ = y.store.Job(y.ctx, id); job.PinnedAt != nil || job.NotBefore != nil {
		t.Errorf("still pinned: %+v", job)
	}
	if err := y.store.PinJob(y.ctx, 4711, 1, nil, nil); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a job that never was: %v", err)
	}
}

func TestStore_CloseJob(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	id := y.job("Brakes")
	t.Log(wrong(t, y.store.CloseJob(y.ctx, id, 1, "  ", jobsNow), "closed_as"))
	if err := y.store.CloseJob(y.ctx, id, 7, "sold", jobsNow); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if err := y.store.ReopenJob(y.ctx, id); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("reopening an open job: %v", err)
	}
	if _, err := y.store.FinishStage(y.ctx, y.first(id).ID, false, nil, jobsNow); err != nil {
		t.Fatal(err)
	}
	if err := y.store.CloseJob(y.ctx, id, 1, "", jobsNow); err != nil {
		t.Fatal("all stages are done:", err)
	}
	job, _ := y.store.Job(y.ctx, id)
	if job.ClosedAt == nil || !job.ClosedAt.Equal(jobsNow) {
		t.Errorf("closed at %v", job.ClosedAt)
	}
	_, err := y.store.CreateStage(y.ctx, garagetest.Stage(func(s *garage.Stage) { s.JobID = id }))
	t.Log(wrong(t, err, ""))
	t.Log(wrong(t, y.store.UnfinishStage(y.ctx, y.first(id).ID), ""))
	if err := y.store.ReopenJob(y.ctx, id); err != nil {
		t.Fatal(err)
	}
	if job, _ = y.store.Job(y.ctx, id); job.ClosedAt != nil {
		t.Error("still closed")
	}
	for _, err := range []error{y.store.CloseJob(y.ctx, 4711, 1, "x", jobsNow), y.store.ReopenJob(y.ctx, 4711)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("a job that never was: %v", err)
		}
	}
}

func TestStore_DeleteJob(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	strip := y.job("Strip")
	y.job("Brakes", strip)
	if got := wrong(t, y.store.DeleteJob(y.ctx, strip, false), ""); !strings.Contains(got, "Brakes") {
		t.Errorf("%q does not say who waits", got)
	}
	if err := y.store.DeleteJob(y.ctx, strip, true); err != nil {
		t.Fatal(err)
	}
	if _, err := y.store.Job(y.ctx, strip); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("still there: %v", err)
	}
	if err := y.store.DeleteJob(y.ctx, strip, true); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted twice: %v", err)
	}
	if err := y.store.RestoreJob(y.ctx, strip); err != nil {
		t.Fatal(err)
	}
	if before, err := y.store.JobBefore(y.ctx, strip); err != nil || !slices.Equal(links(before), []string{"Brakes"}) {
		t.Errorf("after the undo it is waited for by %v %v", links(before), err)
	}
	if err := y.store.RestoreJob(y.ctx, strip); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("brought back twice: %v", err)
	}

	harvest := y.job("Arms off")
	y.exec(`insert into donor_parts (car_id, part_id, harvest_job_id) values ($1, $2, $3)`, y.donor, y.part, harvest)
	t.Log(wrong(t, y.store.DeleteJob(y.ctx, harvest, false), ""))
}

func TestStore_JobSheet(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	harvest := y.job("Arms off")
	id := y.job("Brakes", harvest)
	follows := y.job("Road test", id)
	y.stage(y.job("Hand over", follows), func(s *garage.Stage) { s.Immobile = "until" })
	last := y.stage(id, func(s *garage.Stage) {
		s.Immobile, s.Tools, s.Access, s.Closing = "from", []garage.ToolID{y.press}, []garage.AccessID{y.wheels}, []garage.ClosingID{y.bleed}
	})
	y.need(last, 5)
	y.put(y.binB, 2)
	y.exec(`insert into arrivals (part_id, quantity, low, likely, high) values ($1, 1, '2027-03-10', '2027-03-12', '2027-03-20')`, y.part)
	y.exec(`insert into donor_parts (car_id, part_id, harvest_job_id) values ($1, $2, $3)`, y.donor, y.part, harvest)
	sheet, err := y.store.JobSheet(y.ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	got := []string{
		sheet.Job.Title, sheet.Car.Name, sheet.Tools[0].Name, sheet.Access[0].Name, sheet.Closing[0].Name, sheet.Parts[0].Name,
		links(sheet.After)[0], links(sheet.Before)[0], links(sheet.Harvests)[0], sheet.Donors[0].Name,
	}
	want := []string{
		"Brakes", "Tern estate", "Press", "Wheels", "Bleed", "Caliper", "Arms off", "Road test", "Arms off", "Tern saloon",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if len(sheet.Later) != 1 || len(garage.StageTroubles(sheet.Stages, sheet.Later)) != 0 {
		t.Errorf("the stage of the waiting job that lets the car roll is not seen: %+v", sheet.Later)
	}
	var places []garage.KitPlace
	for _, s := range sheet.Kit()[0].Sources {
		places = append(places, s.Place)
	}
	if diff := cmp.Diff([]garage.KitPlace{garage.KitOnHand, garage.KitExpected, garage.KitOnDonor, garage.KitMissing}, places); diff != "" {
		t.Errorf("kit (-want +got):\n%s", diff)
	}
	if sheet, err = y.store.JobSheet(y.ctx, harvest); err != nil || len(sheet.Harvest) != 1 || len(sheet.Parts) != 1 {
		t.Errorf("what the harvest takes off: %+v %v", sheet.Harvest, err)
	}
}

func TestStore_JobChoices(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	first, second := y.job("First"), y.job("Second")
	closed := y.job("Closed")
	if err := y.store.CloseJob(y.ctx, closed, 1, "sold", jobsNow); err != nil {
		t.Fatal(err)
	}
	c, err := y.store.JobChoices(y.ctx, y.car, second)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(links(c.Jobs), []string{"First"}) || c.Jobs[0].ID != first {
		t.Errorf("to wait for: %v", links(c.Jobs))
	}
	if len(c.Cars) != 2 || len(c.Access) != 1 || len(c.Closing) != 1 || len(c.Tools) != 1 || c.Settings.Currency != "EUR" {
		t.Errorf("choices: %+v", c)
	}
}

func TestStore_TakeOffParts(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	job, other := y.job("Arms off"), y.job("Another")
	onDonor := func(harvest garage.JobID, quantity int) garage.DonorPartID {
		return garage.DonorPartID(y.id(`insert into donor_parts (car_id, part_id, quantity, harvest_job_id) values ($1, $2, $3, $4) returning id`,
			y.donor, y.part, quantity, harvest))
	}
	mine, also, theirs := onDonor(job, 2), onDonor(job, 1), onDonor(other, 4)
	taken, err := y.store.TakeOffParts(y.ctx, job, []garage.DonorPartID{mine, also, theirs}, garage.BinPick{Name: "C3", New: true}, jobsNow)
	if err != nil || len(taken) != 2 {
		t.Fatal(taken, err)
	}
	inC3 := func() int64 {
		return y.id(`select sum(quantity) from stock s join bins b on b.id = s.bin_id where b.name = 'C3' and part_id = $1`, y.part)
	}
	if n := inC3(); n != 3 {
		t.Errorf("%d in the bin, want 3", n)
	}
	if again, err := y.store.TakeOffParts(y.ctx, job, []garage.DonorPartID{mine}, garage.BinPick{Name: "C3"}, jobsNow); err != nil || len(again) != 0 {
		t.Errorf("taken off twice: %v %v", again, err)
	}
	if err := y.store.PutBackParts(y.ctx, taken); err != nil {
		t.Fatal(err)
	}
	if n, left := inC3(), y.id(`select count(*) from donor_parts where taken_at is null`); n != 0 || left != 3 {
		t.Errorf("after the undo %d in the bin and %d notes on the donor, want 0 and 3", n, left)
	}
	t.Log(wrong(t, y.store.PutBackParts(y.ctx, taken), ""))
	_, err = y.store.TakeOffParts(y.ctx, job, []garage.DonorPartID{mine}, garage.BinPick{Name: "D4"}, jobsNow)
	t.Log(wrong(t, err, "new_bin"))
	if _, err := y.store.TakeOffParts(y.ctx, 4711, nil, garage.BinPick{}, jobsNow); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a job that never was: %v", err)
	}
}

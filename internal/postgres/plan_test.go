package postgres_test

import (
	"errors"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func version(t *testing.T, s *postgres.Store) int64 {
	t.Helper()
	v, err := s.GarageVersion(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestStore_GarageVersion(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	was := version(t, y.store)
	job := y.job("Rear brakes")
	if is := version(t, y.store); is <= was {
		t.Errorf("a new job: %d after %d", is, was)
	}
	was = version(t, y.store)
	shot, err := y.store.Snapshot(y.ctx)
	if err != nil || shot.Version != was {
		t.Errorf("the snapshot says %d, want %d (%v)", shot.Version, was, err)
	}
	if is := version(t, y.store); is != was {
		t.Errorf("reading made it %d after %d", is, was)
	}
	if err := y.store.DeleteJob(y.ctx, job, true); err != nil || version(t, y.store) <= was {
		t.Errorf("deleting the job left it at %d (%v)", was, err)
	}
}

// TestGarageVersion_countsEveryTable finds a table that nobody decided about: either a plan depends on it, or it stands here.
func TestGarageVersion_countsEveryTable(t *testing.T) {
	t.Parallel()
	db := pgtest.Tx(t)
	rows, err := db.Query(t.Context(), `
		select relname from pg_class
		where relnamespace = 'public'::regnamespace and relkind = 'r'
		  and not exists (select from pg_trigger where tgrelid = pg_class.oid and tgname = 'garage_changed')
		order by 1`)
	if err != nil {
		t.Fatal(err)
	}
	var quiet []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		quiet = append(quiet, name)
	}
	// Who may come in, what was, what is counted or kept here itself, and figures that no plan depends on.
	want := []string{
		"account",
		"bottles",
		"card_changes",
		"card_patterns",
		"claim_codes",
		"close_outs", "core_events", "donor_ledgers", "donor_sales",
		"fitted", "fluid_specs",
		"follow_ups",
		"garage_changes", "job_kits",
		"leavings",
		"link_browsers",
		"link_jobs",
		"links",
		"look_backs",
		"odometer_readings",
		"odometer_segments",
		"operations",
		"order_costs", "order_import_parts", "order_imports", "order_returns", "orders",
		"part_fits", "part_import_rows", "part_imports",
		"part_numbers",
		"part_twins",
		"photo_uses",
		"photos",
		"plans",
		"required_wheels",
		"rounds",
		"schema_migrations",
		"signins",
		"step_marks",
		"steps",
		"stock_movements",
		"torque_specs",
		"wheel_sets",
		"wrenches",
	}
	if diff := cmp.Diff(want, quiet); diff != "" {
		t.Errorf("tables whose changes no plan notices (-want +got):\n%s", diff)
	}
}

// TestGarageVersion_atOnce changes the garage through several connections at once, in the order in which they would wait for
// each other if they counted in one row.
func TestGarageVersion_atOnce(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	y := jobYardOn(t, pool)
	was := version(t, y.store)
	one, err := pool.Begin(y.ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer one.Rollback(y.ctx) //nolint:errcheck // done in the end
	if _, err := one.Exec(y.ctx, `update tools set note = 'lent'`); err != nil {
		t.Fatal(err)
	}
	// Committed while the other is under way, and after it began.
	if _, err := y.store.CreateBin(y.ctx, garagetest.Bin()); err != nil {
		t.Fatal(err)
	}
	between := version(t, y.store)
	if between <= was {
		t.Errorf("what was committed is not counted: %d after %d", between, was)
	}
	if err := one.Commit(y.ctx); err != nil {
		t.Fatal(err)
	}
	if is := version(t, y.store); is <= between {
		t.Errorf("what began before and was committed after is not counted: %d after %d", is, between)
	}
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 10 {
				if _, err := y.store.CreateTool(y.ctx, garagetest.Tool()); err != nil {
					t.Error(err)
				}
			}
		})
	}
	was = version(t, y.store)
	all.Wait()
	if is := version(t, y.store); is < was {
		t.Errorf("it shrank from %d to %d", was, is)
	}
}

func TestStore_KeepPlan(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	job := y.job("Rear brakes")
	stages, err := y.store.Stages(y.ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	plan := func(day int) garage.PlanRecord {
		return garage.PlanRecord{
			MadeAt: jobsNow, Stages: []garage.PlanStage{{JobID: job, StageID: stages[0].ID, From: time.Date(2027, 3, day, 8, 0, 0, 0, time.UTC)}},
			Blocked: []garage.JobID{7}, LateCost: 9000, OverheadMinutes: 50, MinutesSaved: 20,
		}
	}
	keep := func(version int64, plan garage.PlanRecord, before *garage.PlanRecord) {
		t.Helper()
		if err := y.store.KeepPlan(y.ctx, version, plan, before); err != nil {
			t.Fatal(err)
		}
	}
	holds := func(version int64, current, before *garage.PlanRecord) {
		t.Helper()
		shot, err := y.store.Snapshot(y.ctx)
		if err != nil {
			t.Fatal(err)
		}
		if shot.PlanOf != version {
			t.Errorf("kept for version %d, want %d", shot.PlanOf, version)
		}
		if diff := cmp.Diff([]*garage.PlanRecord{current, before}, []*garage.PlanRecord{shot.Plan, shot.PlanBefore}); diff != "" {
			t.Error(diff)
		}
	}
	holds(0, nil, nil)
	first, second, third := plan(6), plan(13), plan(20)
	was := version(t, y.store)
	keep(5, first, nil)
	holds(5, &first, nil)
	keep(6, second, &first)
	holds(6, &second, &first)
	keep(7, second, nil)
	holds(7, &second, &first)
	keep(6, third, &second) // made for what is no more
	holds(7, &second, &first)
	if is := version(t, y.store); is != was {
		t.Errorf("keeping a plan counts as a change of the garage: %d after %d", is, was)
	}
}

func TestStore_TakePlan(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	was := version(t, y.store)
	before, taken := garage.PlanRecord{MadeAt: jobsNow, OverheadMinutes: 50}, garage.PlanRecord{MadeAt: jobsNow, OverheadMinutes: 20}
	if err := y.store.TakePlan(y.ctx, was-1, taken, before); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("made for a garage that has changed since: %v, want ErrConflict", err)
	}
	if err := y.store.TakePlan(y.ctx, was, taken, before); err != nil {
		t.Fatal(err)
	}
	shot, err := y.store.Snapshot(y.ctx)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]*garage.PlanRecord{&taken, &before}, []*garage.PlanRecord{shot.Plan, shot.PlanBefore}); diff != "" {
		t.Error(diff)
	}
	if shot.Version <= was || shot.PlanOf != shot.Version {
		t.Errorf("kept for version %d of the garage, which is %d now and was %d: other servers go on showing the plan before", shot.PlanOf, shot.Version, was)
	}
}

// TestStore_KeepPlan_gathers adds up what connections counted that are gone, once there are many.
func TestStore_KeepPlan_gathers(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	y.exec(`insert into garage_changes (backend, changes) select -n, 3 from generate_series(1, 200) n`)
	was := version(t, y.store)
	if err := y.store.KeepPlan(y.ctx, was, garage.PlanRecord{}, nil); err != nil {
		t.Fatal(err)
	}
	var rows int
	if err := y.db.QueryRow(y.ctx, `select count(*) from garage_changes where backend < 0`).Scan(&rows); err != nil || rows > 0 {
		t.Errorf("%d rows left (%v)", rows, err)
	}
	if is := version(t, y.store); is != was {
		t.Errorf("gathering made %d of %d", is, was)
	}
	if was < 600 {
		t.Errorf("version %d, want at least 600", was)
	}
}

func TestStore_KeepSuppositions(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	zone := time.UTC
	y.exec(`update settings set zone = 'UTC'`)
	low, likely, high := garage.NewDate(2027, 3, 16), garage.NewDate(2027, 3, 20), garage.NewDate(2027, 3, 26)
	y.exec(`update cars set stands = 'not here', arrives_low = $1, arrives_likely = $2, arrives_high = $3 where id = $4`, low, likely, high, y.donor)
	arrival := y.id(`insert into arrivals (part_id, quantity, low, likely, high) values ($1, 2, $2, $3, $4) returning id`, y.part, low, likely, high)
	y.exec(`insert into session_patterns (weekday, from_minute, to_minute) values (6, 540, 1020)`)
	job := y.job("Rear brakes")
	suppose := func(texts ...string) error {
		t.Helper()
		var all []garage.Supposition
		for _, text := range texts {
			x, ok := garage.ParseSupposition(text, zone)
			if !ok {
				t.Fatal(text)
			}
			all = append(all, x)
		}
		return y.store.KeepSuppositions(y.ctx, version(t, y.store), all)
	}
	id := func(n int64) string { return strconv.FormatInt(n, 10) }
	err := suppose("car-later_"+id(int64(y.donor))+"_7", "part-later_"+id(arrival)+"_-3", "fixed_"+id(int64(job))+"_2027-03-13T0900",
		"helpers_2027-03-13T0900_1", "session_2027-03-13T1900_2100_0", "in-stock_"+id(int64(y.part))+"_4", "without_"+id(int64(job)))
	if err != nil {
		t.Fatal(err)
	}
	shot, err := y.store.Snapshot(y.ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range shot.Cars {
		if c.ID == y.donor && (c.ArrivesLow.String() != "2027-03-23" || c.ArrivesLikely.String() != "2027-03-27" || c.ArrivesHigh.String() != "2027-04-02") {
			t.Errorf("the car arrives %v %v %v", c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh)
		}
	}
	if a := shot.Arrivals[0]; a.Low.String() != "2027-03-13" || a.High.String() != "2027-03-23" {
		t.Errorf("the part arrives %v", a)
	}
	if at := shot.Jobs[0].PinnedAt; at == nil || !at.Equal(time.Date(2027, 3, 13, 9, 0, 0, 0, zone)) {
		t.Errorf("the job is fixed to %v", at)
	}
	var sessions []garage.SessionException
	for _, e := range shot.Exceptions {
		e.ID, e.Version = 0, 0
		sessions = append(sessions, e)
	}
	day := garage.NewDate(2027, 3, 13)
	want := []garage.SessionException{{OnDate: day, FromMinute: 540, ToMinute: 1020, Helpers: 1}, {OnDate: day, FromMinute: 1140, ToMinute: 1260}}
	if diff := cmp.Diff(want, sessions); diff != "" {
		t.Error(diff)
	}
	if len(shot.Stock) > 0 || len(shot.Stages) != 1 {
		t.Errorf("entered what nobody can by saying so: %v %v", shot.Stock, shot.Stages)
	}

	// All or nothing, and only on the garage that was looked at.
	if err := suppose("car-here_"+id(int64(y.donor)), "fixed_999999_2027-03-13T0900"); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a job that is not there: %v", err)
	}
	here := garage.Supposition{Kind: garage.CarHere, ID: int64(y.donor)}
	if err := y.store.KeepSuppositions(y.ctx, version(t, y.store)-1, []garage.Supposition{here}); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("changed meanwhile: %v", err)
	}
	donor := func() garage.Stands {
		c, err := y.store.Car(y.ctx, y.donor)
		if err != nil {
			t.Fatal(err)
		}
		return c.Stands
	}
	if at := donor(); at != garage.NotHere {
		t.Errorf("the car stands %s", at)
	}
	if err := suppose("car-here_" + id(int64(y.donor))); err != nil || donor() != garage.Outside {
		t.Errorf("the car stands %s (%v)", donor(), err)
	}
}

func TestStore_TookStage(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	stage := y.first(y.job("Rear brakes")).ID
	minutes := func(n int) *int { return &n }
	took := func() []garage.Took {
		shot, err := y.store.Snapshot(y.ctx)
		if err != nil {
			t.Fatal(err)
		}
		return shot.Took
	}
	if err := y.store.TookStage(y.ctx, stage, minutes(90)); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("before it is done: %v", err)
	}
	if _, err := y.store.FinishStage(y.ctx, stage, false, minutes(0), jobsNow); err == nil {
		t.Error("it took no time")
	}
	if _, err := y.store.FinishStage(y.ctx, stage, false, minutes(150), jobsNow); err != nil {
		t.Fatal(err)
	}
	got := took()
	for i := range got {
		got[i].DoneAt = got[i].DoneAt.UTC()
	}
	kept, _ := y.store.Stage(y.ctx, stage)
	want := []garage.Took{{JobID: kept.JobID, Kind: garage.Repair, Low: 90, Likely: 120, High: 200, Minutes: 150, DoneAt: jobsNow}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if err := y.store.TookStage(y.ctx, stage, minutes(110)); err != nil || took()[0].Minutes != 110 {
		t.Errorf("corrected: %v %v", took(), err)
	}
	if err := y.store.TookStage(y.ctx, stage, nil); err != nil || len(took()) > 0 {
		t.Errorf("taken back: %v %v", took(), err)
	}
	if err := y.store.TookStage(y.ctx, stage, minutes(110)); err != nil {
		t.Fatal(err)
	}
	if err := y.store.UnfinishStage(y.ctx, stage); err != nil || len(took()) > 0 {
		t.Errorf("undone: %v %v", took(), err)
	}
	if err := y.store.TookStage(y.ctx, 4711, nil); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("not there: %v", err)
	}
	wait, err := y.store.CreateStage(y.ctx, garage.Stage{JobID: kept.JobID, Name: "Dry", Kind: garage.Wait, Low: 60, Likely: 60, High: 60})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := y.store.FinishStage(y.ctx, wait, false, minutes(60), jobsNow); !isInvalid(err, "took") {
		t.Errorf("a wait took my time: %v", err)
	}
}

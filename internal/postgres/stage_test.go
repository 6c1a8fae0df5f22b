package postgres_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func (y *jobYard) stageNames(job garage.JobID) (names []string) {
	y.Helper()
	stages, err := y.store.Stages(y.ctx, job)
	if err != nil {
		y.Fatal(err)
	}
	for _, s := range stages {
		names = append(names, s.Name)
	}
	return names
}

func TestStore_stages(t *testing.T) {
	t.Parallel()

	t.Run("enter, move, delete and bring back", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		id := y.job("Brakes")
		named := func(name string) garage.StageID { return y.stage(id, func(s *garage.Stage) { s.Name = name }) }
		b, c := named("B"), named("C")
		must := func(err error) {
			t.Helper()
			if err != nil {
				t.Fatal(err)
			}
		}
		must(y.store.MoveStage(y.ctx, c, true))
		must(y.store.MoveStage(y.ctx, c, true))
		must(y.store.MoveStage(y.ctx, c, true))
		must(y.store.MoveStage(y.ctx, b, false))
		if got, want := y.stageNames(id), []string{"C", "Fit the calipers", "B"}; !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
		must(y.store.DeleteStage(y.ctx, c))
		if _, err := y.store.Stage(y.ctx, c); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("still there: %v", err)
		}
		if job, err := y.store.RestoreStage(y.ctx, c); err != nil || job != id {
			t.Errorf("got job %d %v", job, err)
		}
		if got, want := y.stageNames(id), []string{"C", "Fit the calipers", "B"}; !slices.Equal(got, want) {
			t.Errorf("brought back: got %v, want %v", got, want)
		}
		if _, err := y.store.RestoreStage(y.ctx, c); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("brought back twice: %v", err)
		}
	})

	t.Run("save", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		stage := y.first(y.job("Brakes"))
		stage.Name, stage.Immobile, stage.Likely = "Fit all", "within", 150
		stage.Tools, stage.Access, stage.Closing = []garage.ToolID{y.press}, []garage.AccessID{y.wheels}, []garage.ClosingID{y.bleed}
		if err := y.store.UpdateStage(y.ctx, stage); err != nil {
			t.Fatal(err)
		}
		got, err := y.store.Stage(y.ctx, stage.ID)
		if err != nil {
			t.Fatal(err)
		}
		want := stage
		want.Version++
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
		if err := y.store.UpdateStage(y.ctx, stage); !errors.Is(err, garage.ErrConflict) {
			t.Errorf("an old version: %v", err)
		}
		want.Access = []garage.AccessID{y.tray}
		t.Log(wrong(t, y.store.UpdateStage(y.ctx, want), "access"))
		want.Low = 999
		t.Log(wrong(t, y.store.UpdateStage(y.ctx, want), "minutes"))
	})

	t.Run("not there", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		_, created := y.store.CreateStage(y.ctx, garagetest.Stage(func(s *garage.Stage) { s.JobID = 4711 }))
		_, finished := y.store.FinishStage(y.ctx, 4711, true, nil, jobsNow)
		for i, err := range []error{
			created, finished, y.store.UnfinishStage(y.ctx, 4711), y.store.MoveStage(y.ctx, 4711, true), y.store.DeleteStage(y.ctx, 4711),
			y.store.UpdateStage(y.ctx, garagetest.Stage(func(s *garage.Stage) { s.ID = 4711 })),
		} {
			if !errors.Is(err, garage.ErrNotFound) {
				t.Errorf("%d: %v", i, err)
			}
		}
	})
}

func TestStore_FinishStage(t *testing.T) {
	t.Parallel()

	t.Run("takes from the fullest bin first, and undoing brings it back", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		stage := y.first(y.job("Brakes")).ID
		y.need(stage, 3)
		y.need(stage, 1)
		y.put(y.binA, 2)
		y.put(y.binB, 3)
		if short, err := y.store.FinishStage(y.ctx, stage, false, nil, jobsNow); err != nil || len(short) != 0 {
			t.Fatal(short, err)
		}
		if a, b := y.inBin(y.binA), y.inBin(y.binB); a != 1 || b != 0 {
			t.Errorf("left in the bins %d and %d, want 1 and 0", a, b)
		}
		got, _ := y.store.Stage(y.ctx, stage)
		if got.DoneAt == nil || !got.DoneAt.Equal(jobsNow) {
			t.Errorf("done at %v", got.DoneAt)
		}
		if _, err := y.store.FinishStage(y.ctx, stage, false, nil, jobsNow); !errors.Is(err, garage.ErrConflict) {
			t.Errorf("done twice: %v", err)
		}
		t.Log(wrong(t, y.store.UpdateStage(y.ctx, got), ""))
		t.Log(wrong(t, y.store.DeleteStage(y.ctx, stage), ""))
		for range 2 { // done and undone again and again, nothing is lost or won
			if err := y.store.UnfinishStage(y.ctx, stage); err != nil {
				t.Fatal(err)
			}
			if a, b := y.inBin(y.binA), y.inBin(y.binB); a != 2 || b != 3 {
				t.Errorf("after the undo in the bins %d and %d, want 2 and 3", a, b)
			}
			if err := y.store.UnfinishStage(y.ctx, stage); !errors.Is(err, garage.ErrConflict) {
				t.Errorf("undone twice: %v", err)
			}
			if _, err := y.store.FinishStage(y.ctx, stage, false, nil, jobsNow); err != nil {
				t.Fatal(err)
			}
		}
		if n := y.id(`select count(*) from stock_movements where kind = 'reversed' and reverses is not null and job_id is not null`); n != 4 {
			t.Errorf("%d rows reverse, want 4", n)
		}
	})

	t.Run("short stock asks first, then takes what is there", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		stage := y.first(y.job("Brakes")).ID
		y.need(stage, 3)
		y.put(y.binA, 1)
		short, err := y.store.FinishStage(y.ctx, stage, false, nil, jobsNow)
		want := []garage.Short{{PartID: y.part, PartName: "Caliper", Unit: "piece", Wanted: 3, OnHand: 1}}
		if diff := cmp.Diff(want, short); diff != "" || err != nil {
			t.Errorf("%v (-want +got):\n%s", err, diff)
		}
		if got, _ := y.store.Stage(y.ctx, stage); got.DoneAt != nil || y.inBin(y.binA) != 1 {
			t.Errorf("done without asking, %d left", y.inBin(y.binA))
		}
		if _, err := y.store.FinishStage(y.ctx, stage, true, nil, jobsNow); err != nil {
			t.Fatal(err)
		}
		if y.inBin(y.binA) != 0 {
			t.Errorf("%d left in the bin, want 0", y.inBin(y.binA))
		}
	})

	t.Run("the car becomes immobile and rolls again", func(t *testing.T) {
		t.Parallel()
		y := newJobYard(t)
		id := y.job("Gearbox")
		change := func(span string) garage.StageID { return y.stage(id, func(s *garage.Stage) { s.Immobile = span }) }
		from, within, until := change("from"), change("within"), change("until")
		step := func(name string, err error, want bool) {
			t.Helper()
			if err != nil || y.immobile() != want {
				t.Errorf("%s: immobile %v, want %v, %v", name, y.immobile(), want, err)
			}
		}
		finish := func(id garage.StageID, after time.Duration) error {
			_, err := y.store.FinishStage(y.ctx, id, false, nil, jobsNow.Add(after))
			return err
		}
		step("from", finish(from, 0), true)
		step("within", finish(within, time.Hour), true)
		step("until", finish(until, 2*time.Hour), false)
		step("from undone while until is done", y.store.UnfinishStage(y.ctx, from), false)
		step("until undone", y.store.UnfinishStage(y.ctx, until), true)
		step("from again", finish(from, 3*time.Hour), true)
		step("from undone: as it was, which was immobile", y.store.UnfinishStage(y.ctx, from), true)
		step("until again", finish(until, 4*time.Hour), false)
		again := change("from")
		step("from again", finish(from, 5*time.Hour), true)
		step("another from", finish(again, 6*time.Hour), true)
		step("the first of the two undone", y.store.UnfinishStage(y.ctx, from), true)
	})
}

// Two phones mark the same stage done at the same moment: its stock is used once.
func TestStore_FinishStage_twiceAtOnce(t *testing.T) {
	t.Parallel()
	y := jobYardOn(t, pgtest.Pool(t))
	stage := y.first(y.job("Brakes")).ID
	y.need(stage, 2)
	y.put(y.binA, 9)
	errs := make(chan error, 4)
	for range cap(errs) {
		go func() {
			_, err := y.store.FinishStage(y.ctx, stage, false, nil, jobsNow)
			errs <- err
		}()
	}
	done := 0
	for range cap(errs) {
		switch err := <-errs; {
		case err == nil:
			done++
		case !errors.Is(err, garage.ErrConflict):
			t.Error(err)
		}
	}
	if done != 1 || y.inBin(y.binA) != 7 {
		t.Errorf("done %d times, %d left of 9 with 2 used", done, y.inBin(y.binA))
	}
}

// Two stages want the last piece at the same moment: one gets it, the other is told.
func TestStore_FinishStage_lastPiece(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	y := jobYardOn(t, pool)
	y.put(y.binA, 1)
	var short []garage.Short
	finish := func(title string) func(*postgres.Store) error {
		stage := y.first(y.job(title)).ID
		y.need(stage, 1)
		return func(s *postgres.Store) (err error) {
			short, err = s.FinishStage(y.ctx, stage, false, nil, jobsNow)
			return err
		}
	}
	if err := y.meanwhile(pool, finish("Front"), finish("Rear")); err != nil {
		t.Fatal(err)
	}
	if len(short) != 1 || short[0].OnHand != 0 || y.inBin(y.binA) != 0 {
		t.Errorf("the second is told %+v, %d left", short, y.inBin(y.binA))
	}
}

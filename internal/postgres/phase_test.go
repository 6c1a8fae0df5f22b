package postgres_test

import (
	"errors"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestStore_phases(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	finish := garage.NewDate(2027, 6, 1)
	id, err := y.store.CreatePhase(y.ctx, garagetest.Phase(func(p *garage.Phase) { p.CarID, p.FinishOn = y.car, &finish }))
	if err != nil {
		t.Fatal(err)
	}
	for _, title := range []string{"Open", "Closed", "Deleted"} {
		job, err := y.store.CreateJob(y.ctx, garagetest.Job(func(j *garage.Job) {
			j.CarID, j.PhaseID, j.Title = y.car, &id, title
		}), nil)
		switch {
		case err != nil:
			t.Fatal(err)
		case title == "Closed":
			err = y.store.CloseJob(y.ctx, job, 1, "", jobsNow)
		case title == "Deleted":
			err = y.store.DeleteJob(y.ctx, job, false)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	phase, err := y.store.Phase(y.ctx, id)
	if err != nil || phase.Jobs != 2 || phase.Done != 1 || phase.CarName != "Tern estate" || *phase.FinishOn != finish {
		t.Errorf("%+v %v", phase, err)
	}
	phase.Budget = 9900
	if err := y.store.UpdatePhase(y.ctx, phase.Phase); err != nil {
		t.Fatal(err)
	}
	if err := y.store.UpdatePhase(y.ctx, phase.Phase); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	phase.Name = ""
	t.Log(wrong(t, y.store.UpdatePhase(y.ctx, phase.Phase), "name"))
	if phases, err := y.store.Phases(y.ctx, y.car); err != nil || len(phases) != 1 || phases[0].Budget != 9900 {
		t.Errorf("%+v %v", phases, err)
	}
	if err := y.store.DeletePhase(y.ctx, id); err != nil {
		t.Fatal(err)
	}
	if phases, _ := y.store.Phases(y.ctx, y.car); len(phases) != 0 {
		t.Errorf("still there: %+v", phases)
	}
	if err := y.store.RestorePhase(y.ctx, id); err != nil {
		t.Fatal(err)
	}
	_, created := y.store.CreatePhase(y.ctx, garagetest.Phase(func(p *garage.Phase) { p.CarID = 4711 }))
	_, read := y.store.Phase(y.ctx, 4711)
	for i, err := range []error{
		created, read, y.store.UpdatePhase(y.ctx, garagetest.Phase()), y.store.DeletePhase(y.ctx, 4711), y.store.RestorePhase(y.ctx, id),
	} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("%d: %v", i, err)
		}
	}
}

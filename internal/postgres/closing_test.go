package postgres_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestStore_ClosingWork(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	id, err := s.CreateClosingWork(t.Context(), garagetest.ClosingWork(func(c *garage.ClosingWork) { c.CarID = car }))
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.ClosingWork(t.Context(), id)
	want := garagetest.ClosingWork(func(c *garage.ClosingWork) { c.ID, c.CarID = id, car })
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	got.Minutes, got.Helpers = 30, 0
	if err := s.UpdateClosingWork(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateClosingWork(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	all, err := s.ClosingWorks(t.Context(), car)
	if err != nil || len(all) != 1 || all[0].Minutes != 30 {
		t.Errorf("listed: %+v, %v", all, err)
	}
	got.Helpers = 10
	if err := s.UpdateClosingWork(t.Context(), got); refusedAt(err) != "helpers" {
		t.Errorf("ten helpers: got %v", err)
	}
	if _, err := s.CreateClosingWork(t.Context(), garagetest.ClosingWork(func(c *garage.ClosingWork) { c.CarID = 1 << 40 })); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a car that never was: got %v", err)
	}
}

func TestStore_DeleteClosingWork(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	id, err := s.CreateClosingWork(t.Context(), garagetest.ClosingWork(func(c *garage.ClosingWork) { c.CarID = car }))
	if err != nil {
		t.Fatal(err)
	}
	stage := garagetest.Stage(func(st *garage.Stage) { st.Closing = []garage.ClosingID{id} })
	job, err := s.CreateJob(t.Context(), garagetest.Job(func(j *garage.Job) { j.CarID = car }), nil, stage, stage)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteClosingWork(t.Context(), id); err == nil || !strings.Contains(err.Error(), "Still needed by Rear brakes.") {
		t.Errorf("with a job that calls for it: got %v", err)
	}
	if err := s.DeleteJob(t.Context(), job, false); err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteClosingWork(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.ClosingWork(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	if err := s.RestoreClosingWork(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.ClosingWork(t.Context(), id); err != nil {
		t.Errorf("brought back: got %v", err)
	}
}

package postgres_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestStore_TorqueSpec(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	ctx, s := y.ctx, y.store
	job := y.id(`insert into jobs (car_id, title, kind) values ($1, 'Rear brakes', 'repair') returning id`, y.car)
	stage := garage.StageID(y.id(`insert into stages (job_id, position, name, kind, low, likely, high) values ($1, 1, 'Fit', 'bench', 30, 60, 90) returning id`, job))
	want := garagetest.TorqueSpec(func(v *garage.TorqueSpec) { v.CarID, v.StageID = y.car, &stage })
	id, err := s.CreateTorqueSpec(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.TorqueSpec(ctx, id)
	if diff := cmp.Diff(want, got.TorqueSpec); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	if of, err := s.JobTorqueSpecs(ctx, garage.JobID(job)); err != nil || len(of) != 1 || *of[0].JobTitle != "Rear brakes" || *of[0].StageName != "Fit" {
		t.Errorf("of the job: %+v, %v", of, err)
	}
	if stages, err := s.SpecStages(ctx, y.car, nil); err != nil || len(stages) == 0 {
		t.Errorf("stages to tie to: %+v, %v", stages, err)
	}
	want.Stages, want.StageID, want.Bolts, want.CheckedOn = "70 Nm", nil, nil, nil
	if err := s.UpdateTorqueSpec(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateTorqueSpec(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	want.Version++
	other := y.id(`insert into cars (name, role, stands) values ('Other', 'project', 'inside') returning id`)
	foreign := want
	foreign.CarID, foreign.StageID = garage.CarID(other), &stage
	if _, err := s.CreateTorqueSpec(ctx, foreign); !isInvalid(err, "stage") {
		t.Errorf("a stage of another car: %v", err)
	}
	foreign.CarID, foreign.StageID = 999_999, nil
	if _, err := s.CreateTorqueSpec(ctx, foreign); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("without a car: %v", err)
	}
	if err := s.UpdateTorqueSpec(ctx, garage.TorqueSpec{ID: id, Joint: "x", Stages: "forty"}); !isInvalid(err, "stages") {
		t.Errorf("no torque: %v", err)
	}
	if err := s.DeleteTorqueSpec(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteTorqueSpec(ctx, id), second(s.TorqueSpec(ctx, id)), s.UpdateTorqueSpec(ctx, want), s.RestoreTorqueSpec(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreTorqueSpec(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.TorqueSpecs(ctx, y.car); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

func TestStore_Wrench(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	db := pgtest.Tx(t)
	s := postgres.New(db)
	want := garagetest.Wrench()
	id, err := s.CreateWrench(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.Wrench(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.Graduation, want.Accuracy, want.CalibratedOn, want.Length = nil, nil, nil, ""
	if err := s.UpdateWrench(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateWrench(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if _, err := s.CreateWrench(ctx, garagetest.Wrench(func(w *garage.Wrench) { w.High = 20 })); !isInvalid(err, "high") {
		t.Errorf("no range: %v", err)
	}
	if err := s.DeleteWrench(ctx, id); err != nil {
		t.Fatal(err)
	}
	want.Version++
	for _, err := range []error{s.DeleteWrench(ctx, id), second(s.Wrench(ctx, id)), s.RestoreWrench(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreWrench(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.Wrenches(ctx); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

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

func TestStore_FluidSpec(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	ctx, s := y.ctx, y.store
	want := garagetest.FluidSpec(func(v *garage.FluidSpec) { v.CarID = y.car })
	id, err := s.CreateFluidSpec(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.FluidSpec(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.EveryMonths, want.Source, want.Page = nil, "", ""
	if err := s.UpdateFluidSpec(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateFluidSpec(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if _, err := s.CreateFluidSpec(ctx, garagetest.FluidSpec(func(v *garage.FluidSpec) { v.CarID, v.Grade = y.car, "5W-31" })); !isInvalid(err, "grade") {
		t.Errorf("refused: %v", err)
	}
	lost := want
	lost.CarID = 999_999
	if _, err := s.CreateFluidSpec(ctx, lost); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("without a car: %v", err)
	}
	if err := s.DeleteFluidSpec(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteFluidSpec(ctx, id), second(s.FluidSpec(ctx, id)), s.RestoreFluidSpec(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreFluidSpec(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.FluidSpecs(ctx, y.car); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

func TestStore_Bottle(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), postgres.New(pgtest.Tx(t))
	want := garagetest.Bottle()
	id, err := s.CreateBottle(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.Bottle(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.KeepsMonths, want.VolumeLeft = nil, ""
	if err := s.UpdateBottle(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateBottle(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if _, err := s.CreateBottle(ctx, garagetest.Bottle(func(v *garage.Bottle) { v.Grade = "DOT 9" })); !isInvalid(err, "grade") {
		t.Errorf("refused: %v", err)
	}
	if err := s.DeleteBottle(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteBottle(ctx, id), second(s.Bottle(ctx, id)), s.RestoreBottle(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreBottle(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.Bottles(ctx); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

func TestStore_RequiredWheel(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	ctx, s := y.ctx, y.store
	want := garagetest.RequiredWheel(func(v *garage.RequiredWheel) { v.CarID = y.car })
	id, err := s.CreateRequiredWheel(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.RequiredWheel(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.Bolts, want.Circle, want.Bore = nil, nil, nil
	if err := s.UpdateRequiredWheel(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateRequiredWheel(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if _, err := s.CreateRequiredWheel(ctx, garagetest.RequiredWheel(func(v *garage.RequiredWheel) { v.CarID, v.SpeedSymbol = y.car, "Z" })); !isInvalid(err, "speed_symbol") {
		t.Errorf("refused: %v", err)
	}
	lost := want
	lost.CarID = 999_999
	if _, err := s.CreateRequiredWheel(ctx, lost); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("without a car: %v", err)
	}
	if _, err := s.CreateRequiredWheel(ctx, want); !isInvalid(err, "") {
		t.Errorf("a second one of the car: %v", err)
	}
	if err := s.DeleteRequiredWheel(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteRequiredWheel(ctx, id), second(s.RequiredWheel(ctx, id)), s.RestoreRequiredWheel(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreRequiredWheel(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.RequiredWheels(ctx, y.car); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

func TestStore_WheelSet(t *testing.T) {
	t.Parallel()
	y := newJobYard(t)
	ctx, s := y.ctx, y.store
	want := garagetest.WheelSet(func(v *garage.WheelSet) { v.CarID = y.car })
	id, err := s.CreateWheelSet(ctx, want)
	if err != nil {
		t.Fatal(err)
	}
	want.ID = id
	got, err := s.WheelSet(ctx, id)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.Turns, want.Mounted = nil, false
	if err := s.UpdateWheelSet(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateWheelSet(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	if _, err := s.CreateWheelSet(ctx, garagetest.WheelSet(func(v *garage.WheelSet) { v.CarID, v.Tyre = y.car, "205" })); !isInvalid(err, "tyre") {
		t.Errorf("refused: %v", err)
	}
	lost := want
	lost.CarID = 999_999
	if _, err := s.CreateWheelSet(ctx, lost); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("without a car: %v", err)
	}
	if err := s.DeleteWheelSet(ctx, id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteWheelSet(ctx, id), second(s.WheelSet(ctx, id)), s.RestoreWheelSet(ctx, id+10)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	if err := s.RestoreWheelSet(ctx, id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.WheelSets(ctx, y.car); err != nil || len(all) != 1 {
		t.Errorf("brought back: %+v, %v", all, err)
	}
}

package postgres

import (
	"context"
	"errors"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
)

func TestOnce_keepsTheEffectWithTheKeyOrNeither(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := New(pgtest.Tx(t))
	op := garage.Operation{Actor: "owner", Key: "k", Request: []byte("add a car")}
	add := func(done bool) func(context.Context) (garage.Answered, bool) {
		return func(ctx context.Context) (garage.Answered, bool) {
			if _, err := s.CreateCar(ctx, garagetest.Car()); err != nil {
				t.Fatal(err)
			}
			return garage.Answered{Status: 303, Location: "/cars/1", Flash: "It is in."}, done
		}
	}
	cars := func(want int) {
		t.Helper()
		all, err := s.Cars(ctx)
		if err != nil || len(all) != want {
			t.Fatalf("%d cars, want %d, %v", len(all), want, err)
		}
	}
	if _, before, err := s.Once(ctx, op, add(false)); err != nil || before {
		t.Fatal("not done:", before, err)
	}
	cars(0)
	if _, before, err := s.Once(ctx, op, add(true)); err != nil || before {
		t.Fatal("first:", before, err)
	}
	cars(1)
	answer, before, err := s.Once(ctx, op, add(true))
	if err != nil || !before || answer.Location != "/cars/1" || answer.Flash != "It is in." || answer.Status != 303 {
		t.Fatal("again:", answer, before, err)
	}
	cars(1)
	op.Request = []byte("add another")
	if _, _, err := s.Once(ctx, op, add(true)); !errors.Is(err, garage.ErrOtherRequest) {
		t.Fatal("another request:", err)
	}
	op.Actor = "link 1"
	if _, before, err := s.Once(ctx, op, add(true)); err != nil || before {
		t.Fatal("another's key:", before, err)
	}
	cars(2)

	if err := s.ForgetOperations(ctx, time.Now().Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	if _, before, _ := s.Once(ctx, op, add(true)); !before {
		t.Error("forgotten too early")
	}
	if err := s.ForgetOperations(ctx, time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if _, before, _ := s.Once(ctx, op, add(true)); before {
		t.Error("remembered too long")
	}
}

// TestOnce_panic: what a broken handler wrote is gone.
func TestOnce_panic(t *testing.T) {
	t.Parallel()
	s := New(pgtest.Pool(t))
	func() {
		defer func() { _ = recover() }()
		_, _, _ = s.Once(t.Context(), garage.Operation{Actor: "owner", Key: "k", Request: []byte("r")}, func(ctx context.Context) (garage.Answered, bool) {
			if _, err := s.CreateCar(ctx, garagetest.Car()); err != nil {
				t.Error(err)
			}
			panic("broken")
		})
	}()
	if all, err := s.Cars(t.Context()); err != nil || len(all) != 0 {
		t.Error(len(all), "cars", err)
	}
}

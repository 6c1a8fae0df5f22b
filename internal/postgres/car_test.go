package postgres_test

import (
	"errors"
	"fmt"
	"maps"
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

// refusedAt lists the fields that an error refuses, as one text.
func refusedAt(err error) string {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok {
		return ""
	}
	return strings.Join(slices.Sorted(maps.Keys(invalid.Fields)), " ")
}

func createCar(t *testing.T, s *postgres.Store, changes ...func(*garage.Car)) garage.CarID {
	t.Helper()
	id, err := s.CreateCar(t.Context(), garagetest.Car(changes...))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestStore_CreateCar(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	for _, sample := range []garage.Car{garagetest.Car(), garagetest.Donor()} {
		id, err := s.CreateCar(t.Context(), sample)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Car(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		want := sample
		want.ID = id
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("stored (-want +got):\n%s", diff)
		}
	}
	if _, err := s.CreateCar(t.Context(), garagetest.Car(func(c *garage.Car) { c.Name = "" })); refusedAt(err) != "name" {
		t.Errorf("without a name: got %v", err)
	}
	if _, err := s.Car(t.Context(), 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a car that never was: got %v", err)
	}
}

func TestStore_UpdateCar(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createCar(t, s)
	car, err := s.Car(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	car.Name, car.Year, car.Notes, car.Immobile = "Tern van", nil, "Sold its doors.", true
	if err := s.UpdateCar(t.Context(), car); err != nil {
		t.Fatal(err)
	}
	got, err := s.Car(t.Context(), id)
	want := car
	want.Version++
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v; stored (-want +got):\n%s", err, diff)
	}
	if err := s.UpdateCar(t.Context(), car); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	car.Version, car.Role = got.Version, "hearse"
	if err := s.UpdateCar(t.Context(), car); refusedAt(err) != "role" {
		t.Errorf("unknown role: got %v", err)
	}
	car.ID, car.Role = 1<<40, garage.Daily
	if err := s.UpdateCar(t.Context(), car); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a car that never was: got %v", err)
	}
}

func TestStore_MoveCar(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	tern := createCar(t, s)
	kite := createCar(t, s, func(c *garage.Car) { c.Name = "Kite coupé" })
	before, err := s.MoveCar(t.Context(), tern, garage.OnLift)
	if err != nil || before.Stands != garage.Inside {
		t.Fatalf("onto the free lift: stood %q before, %v", before.Stands, err)
	}
	if _, err := s.MoveCar(t.Context(), kite, garage.OnLift); err == nil || !strings.Contains(err.Error(), "No lift is free: Tern estate.") {
		t.Errorf("onto the lift that is taken: got %v", err)
	}
	car, err := s.Car(t.Context(), kite)
	if err != nil {
		t.Fatal(err)
	}
	car.Stands = garage.OnLift
	if err := s.UpdateCar(t.Context(), car); refusedAt(err) != "stands" {
		t.Errorf("by its form: got %v", err)
	}
	if _, err := s.CreateCar(t.Context(), garagetest.Car(func(c *garage.Car) { c.Stands = garage.OnLift })); refusedAt(err) != "stands" {
		t.Errorf("a new car: got %v", err)
	}
	settings, err := s.Settings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	settings.Lifts = 2
	if err := s.UpdateSettings(t.Context(), settings); err != nil {
		t.Fatal(err)
	}
	if _, err := s.MoveCar(t.Context(), kite, garage.OnLift); err != nil {
		t.Errorf("onto the second lift: got %v", err)
	}
	if _, err := s.MoveCar(t.Context(), kite, garage.NotHere); refusedAt(err) != "arrives" {
		t.Errorf("away without a date: got %v", err)
	}
	if _, err := s.MoveCar(t.Context(), 1<<40, garage.Inside); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a car that never was: got %v", err)
	}
}

func TestStore_MoveCar_two_cars_one_lift(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s := postgres.New(pool)
	tern, kite := createCar(t, s), createCar(t, s)
	err := waitsFor(t, pool, func(first *postgres.Store) error {
		_, err := first.MoveCar(t.Context(), tern, garage.OnLift)
		return err
	}, func() error {
		_, err := s.MoveCar(t.Context(), kite, garage.OnLift)
		return err
	})
	if err == nil || !strings.Contains(err.Error(), "No lift is free: Tern estate.") {
		t.Errorf("the second car on one lift: got %v", err)
	}
}

// waitsFor does something in a transaction that is left open, and checks that something else waits until it is committed.
func waitsFor(t *testing.T, pool *pgxpool.Pool, first func(*postgres.Store) error, second func() error) error {
	t.Helper()
	tx, err := pool.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := first(postgres.New(tx)); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- second() }()
	select {
	case err := <-done:
		t.Errorf("did not wait: %v", err)
		done <- err
	case <-time.After(150 * time.Millisecond):
	}
	if err := tx.Commit(t.Context()); err != nil {
		t.Fatal(err)
	}
	return <-done
}

func TestStore_DeleteCar(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createCar(t, s, func(c *garage.Car) { c.Stands = garage.OnLift })
	if err := s.DeleteCar(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Car(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	if err := s.DeleteCar(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted twice: got %v", err)
	}
	other := createCar(t, s, func(c *garage.Car) { c.Stands = garage.OnLift }) // its place on the lift is free
	if err := s.RestoreCar(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if car, err := s.Car(t.Context(), id); err != nil || car.Stands != garage.Inside {
		t.Errorf("brought back with its place taken: stands %q, %v", car.Stands, err)
	}
	if err := s.RestoreCar(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("brought back twice: got %v", err)
	}
	if err := s.DeleteCar(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	if err := s.RestoreCar(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	if car, err := s.Car(t.Context(), other); err != nil || car.Stands != garage.OnLift {
		t.Errorf("brought back with its place free: stands %q, %v", car.Stands, err)
	}
}

func TestStore_CarSummaries(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	donor, err := s.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	tern := createCar(t, s)
	createCar(t, s, func(c *garage.Car) { c.Name, c.Stands = "Kite coupé", garage.OnLift })
	gone := createCar(t, s, func(c *garage.Car) { c.Name = "Gone" })
	if err := s.DeleteCar(t.Context(), gone); err != nil {
		t.Fatal(err)
	}
	job := func(car garage.CarID, title string, due *garage.Date) garage.JobID {
		id, err := s.CreateJob(t.Context(), garagetest.Job(func(j *garage.Job) { j.CarID, j.Title, j.Due = car, title, due }), nil)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	job(donor, "Take off the arms", nil)
	job(tern, "Wax", nil)
	job(tern, "Fit the arms", new(garage.NewDate(2027, time.March, 6)))
	job(tern, "Oil", new(garage.NewDate(2027, time.April, 1)))
	closed := job(tern, "Done with", new(garage.NewDate(2027, time.March, 1)))
	if err := s.CloseJob(t.Context(), closed, 1, "", time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	all, err := s.CarSummaries(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range all {
		got = append(got, fmt.Sprintf("%s: %d", c.Name, c.OpenJobs))
	}
	if diff := cmp.Diff([]string{"Kite coupé: 0", "Tern estate: 3", "Tern saloon: 1"}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	jobs, err := s.CarJobs(t.Context(), tern)
	if err != nil || len(jobs) != 3 || jobs[0].Title != "Fit the arms" || jobs[2].Title != "Wax" {
		t.Errorf("jobs of the estate: %v, %v", jobs, err)
	}
	cars, err := s.Cars(t.Context())
	if err != nil || len(cars) != 3 || cars[0].Name != "Kite coupé" {
		t.Errorf("cars by name: %v, %v", cars, err)
	}
}

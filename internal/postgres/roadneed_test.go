package postgres_test

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestStore_RoadNeed(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	id, err := s.CreateRoadNeed(t.Context(), garagetest.RoadNeed(func(n *garage.RoadNeed) { n.CarID = car }))
	if err != nil {
		t.Fatal(err)
	}
	need, err := s.RoadNeed(t.Context(), id)
	want := garagetest.RoadNeed(func(n *garage.RoadNeed) { n.ID, n.CarID = id, car })
	if diff := cmp.Diff(want, need); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	need.Why, need.Weekdays, need.FromMinute, need.ToMinute = "Inspection", nil, 0, 0
	need.StartsAt, need.EndsAt = new(time.Date(2027, 3, 8, 6, 0, 0, 0, time.UTC)), new(time.Date(2027, 3, 8, 16, 0, 0, 0, time.UTC))
	if err := s.UpdateRoadNeed(t.Context(), need); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateRoadNeed(t.Context(), need); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	got, err := s.RoadNeed(t.Context(), id)
	if err != nil || got.Why != "Inspection" || !got.StartsAt.Equal(*need.StartsAt) || len(got.Weekdays) != 0 {
		t.Errorf("changed: %+v, %v", got, err)
	}
	if err := s.DeleteRoadNeed(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if _, err := s.RoadNeed(t.Context(), id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: got %v", err)
	}
	if all, err := s.RoadNeeds(t.Context(), car); err != nil || len(all) != 0 {
		t.Errorf("deleted, but listed: %v, %v", all, err)
	}
	if err := s.RestoreRoadNeed(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if all, err := s.RoadNeeds(t.Context(), car); err != nil || len(all) != 1 {
		t.Errorf("brought back, but not listed: %v, %v", all, err)
	}
}

func TestStore_RoadNeed_refused(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	backwards := garagetest.RoadNeed(func(n *garage.RoadNeed) { n.CarID, n.FromMinute, n.ToMinute = car, 600, 540 })
	if _, err := s.CreateRoadNeed(t.Context(), backwards); refusedAt(err) != "to" {
		t.Errorf("backwards: got %v", err)
	}
	if _, err := s.CreateRoadNeed(t.Context(), garagetest.RoadNeed(func(n *garage.RoadNeed) { n.CarID = 1 << 40 })); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a car that never was: got %v", err)
	}
	if err := s.UpdateRoadNeed(t.Context(), garagetest.RoadNeed(func(n *garage.RoadNeed) { n.ID = 1 << 40 })); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("one that never was: got %v", err)
	}
	if err := s.DeleteRoadNeed(t.Context(), 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleting one that never was: got %v", err)
	}
}

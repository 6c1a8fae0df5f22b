package postgres_test

import (
	"errors"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestStore_AddReading(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createCar(t, s)
	today := garage.NewDate(2027, time.March, 5)
	add := func(entry garage.ReadingEntry) error {
		_, err := s.AddReading(t.Context(), id, entry, today)
		return err
	}
	if err := add(garage.ReadingEntry{ReadOn: garage.NewDate(2027, time.March, 1), Shown: 99800, Unit: "km"}); err != nil {
		t.Fatal(err)
	}
	if err := add(garage.ReadingEntry{ReadOn: today, Shown: 40}); refusedAt(err) != "change shown" {
		t.Errorf("backwards: got %v", err)
	}
	if err := add(garage.ReadingEntry{ReadOn: today, Shown: 40, Change: garage.RolledOver}); err != nil {
		t.Fatal(err)
	}
	if err := add(garage.ReadingEntry{ReadOn: today, Shown: 60}); err != nil {
		t.Fatal(err)
	}
	o, err := s.Odometer(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	last, ok := o.Last()
	if !ok || last.Metres != 100_060_000 || len(o.Segments) != 2 || len(o.Readings) != 3 {
		t.Errorf("got %d m after %d readings in %d segments", last.Metres, len(o.Readings), len(o.Segments))
	}
	if _, err := s.AddReading(t.Context(), 1<<40, garage.ReadingEntry{ReadOn: today, Shown: 1, Unit: "km"}, today); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("a car that never was: got %v", err)
	}
}

func TestStore_ReverseReading(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id, other := createCar(t, s), createCar(t, s)
	today := garage.NewDate(2027, time.March, 5)
	reading, err := s.AddReading(t.Context(), id, garage.ReadingEntry{ReadOn: today, Shown: 99800, Unit: "km"}, today)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.ReverseReading(t.Context(), other, reading, today); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("on another car: got %v", err)
	}
	if err := s.ReverseReading(t.Context(), id, reading, today); err != nil {
		t.Fatal(err)
	}
	if err := s.ReverseReading(t.Context(), id, reading, today); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("twice: got %v", err)
	}
	o, err := s.Odometer(t.Context(), id)
	if err != nil || len(o.Readings) != 2 {
		t.Fatalf("%d readings, %v; both are kept", len(o.Readings), err)
	}
	if _, ok := o.Last(); ok {
		t.Error("a reversed reading still counts")
	}
	if err := s.ReverseReading(t.Context(), id, o.Readings[1].ID, today); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("reversing the reversal: got %v", err)
	}
}

func TestReadings_are_never_changed(t *testing.T) {
	t.Parallel()
	tx := pgtest.Tx(t)
	s := postgres.New(tx)
	id := createCar(t, s)
	today := garage.NewDate(2027, time.March, 5)
	if _, err := s.AddReading(t.Context(), id, garage.ReadingEntry{ReadOn: today, Shown: 99800, Unit: "km"}, today); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{"update odometer_readings set shown = 1", "delete from odometer_readings"} {
		err := pgx.BeginFunc(t.Context(), tx, func(inner pgx.Tx) error {
			_, err := inner.Exec(t.Context(), sql)
			return err
		})
		if err == nil {
			t.Errorf("the database lets through: %s", sql)
		}
	}
}

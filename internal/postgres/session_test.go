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

func TestStore_SessionPattern(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	id, err := s.CreateSessionPattern(ctx, garagetest.SessionPattern(func(p *garage.SessionPattern) { p.ToMinute = 1440 }))
	if err != nil {
		t.Fatal(err)
	}
	want := garagetest.SessionPattern(func(p *garage.SessionPattern) { p.ID, p.ToMinute = id, 1440 })
	if got, err := s.SessionPattern(ctx, id); err != nil || got != want {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
	want.Weekday, want.Helpers = 1, 3
	if err := s.UpdateSessionPattern(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateSessionPattern(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	missing := want
	missing.ID++
	if err := s.UpdateSessionPattern(ctx, missing); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("none such: %v", err)
	}
	invalid := garagetest.SessionPattern(func(p *garage.SessionPattern) { p.Weekday = 8 })
	if _, err := s.CreateSessionPattern(ctx, invalid); !isInvalid(err, "weekday") {
		t.Errorf("the eighth day: %v", err)
	}
	if err := s.UpdateSessionPattern(ctx, invalid); !isInvalid(err, "weekday") {
		t.Errorf("the eighth day: %v", err)
	}
	if _, err := s.CreateSessionPattern(ctx, garagetest.SessionPattern()); err != nil {
		t.Fatal(err)
	}
	all, err := s.SessionPatterns(ctx)
	if err != nil || len(all) != 2 || all[0].ID != id {
		t.Errorf("%+v, %v; want Monday first", all, err)
	}
	want.Version = 2
	if gone, err := s.DeleteSessionPattern(ctx, id); err != nil || gone != want {
		t.Errorf("deleted %+v, %v", gone, err)
	}
	if _, err := s.DeleteSessionPattern(ctx, id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted twice: %v", err)
	}
	if _, err := s.SessionPattern(ctx, id); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted: %v", err)
	}
}

func isInvalid(err error, field string) bool {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	return ok && invalid.Fields[field] != ""
}

func TestStore_SessionException(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	day := func(d int) func(*garage.SessionException) {
		return func(x *garage.SessionException) { x.OnDate = garage.NewDate(2028, time.February, d) }
	}
	if err := s.CreateSessionExceptions(ctx, garagetest.SessionException(day(29)), garagetest.SessionException(day(30))); err != nil {
		t.Fatal(err)
	}
	all, err := s.SessionExceptions(ctx, garage.Date{})
	if err != nil || len(all) != 2 || all[0].OnDate.String() != "2028-02-29" || all[1].OnDate.String() != "2028-03-01" {
		t.Fatalf("%+v, %v", all, err)
	}
	if later, err := s.SessionExceptions(ctx, garage.NewDate(2028, time.March, 1)); err != nil || len(later) != 1 {
		t.Errorf("from March on: %+v, %v", later, err)
	}
	bad := garagetest.SessionException(func(x *garage.SessionException) { x.Off, x.FromMinute, x.ToMinute = false, 600, 600 })
	if err := s.CreateSessionExceptions(ctx, garagetest.SessionException(day(1)), bad); !isInvalid(err, "to") {
		t.Errorf("ends as it starts: %v", err)
	}
	if again, err := s.SessionExceptions(ctx, garage.Date{}); err != nil || len(again) != 2 {
		t.Errorf("%d exceptions after a refusal, %v; want 2: all or none", len(again), err)
	}
	x := all[0]
	x.Off, x.FromMinute, x.ToMinute, x.Helpers, x.Note = false, 480, 1440, 1, "Both"
	if err := s.UpdateSessionException(ctx, x); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateSessionException(ctx, x); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	x.Version++
	if got, err := s.SessionException(ctx, x.ID); err != nil || got != x {
		t.Errorf("got %+v, %v; want %+v", got, err, x)
	}
	if err := s.UpdateSessionException(ctx, bad); !isInvalid(err, "to") {
		t.Errorf("ends as it starts: %v", err)
	}
	if gone, err := s.DeleteSessionException(ctx, x.ID); err != nil || gone != x {
		t.Errorf("deleted %+v, %v", gone, err)
	}
	for _, err := range []error{
		s.UpdateSessionException(ctx, x), second(s.SessionException(ctx, x.ID)), second(s.DeleteSessionException(ctx, x.ID)),
	} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestStore_Settings(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	want := garagetest.Settings(func(v *garage.Settings) { v.Lifts = 0; v.TorqueUnit = "lbf ft" })
	if err := s.UpdateSettings(ctx, want); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateSettings(ctx, want); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("an old version: %v", err)
	}
	want.Version++
	got, err := s.Settings(ctx)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	want.Zone = "Local"
	if err := s.UpdateSettings(ctx, want); !isInvalid(err, "zone") {
		t.Errorf("this machine's own zone: %v", err)
	}
}

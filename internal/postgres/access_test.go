package postgres_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func createAccess(t *testing.T, s *postgres.Store, car garage.CarID, name string, inside ...garage.AccessID) garage.AccessID {
	t.Helper()
	id, err := s.CreateAccess(t.Context(), garagetest.Access(func(a *garage.Access) { a.CarID, a.Name, a.Inside = car, name, inside }))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestStore_Access(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	tray := createAccess(t, s, car, "Undertray")
	frame := createAccess(t, s, car, "Subframe", tray, tray)
	got, err := s.Access(t.Context(), frame)
	want := garagetest.Access(func(a *garage.Access) {
		a.ID, a.CarID, a.Name, a.Inside = frame, car, "Subframe", []garage.AccessID{tray}
	})
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	got.Name, got.Inside, got.Stays, got.OpenMinutes = "Front subframe", nil, true, 90
	if err := s.UpdateAccess(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateAccess(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: got %v", err)
	}
	if changed, err := s.SetAccessOpen(t.Context(), true, frame); err != nil || len(changed) != 1 {
		t.Fatal(changed, err)
	}
	all, err := s.Accesses(t.Context(), car)
	if err != nil || len(all) != 2 || all[0].Name != "Front subframe" || len(all[0].Inside) != 0 || !all[0].IsOpen || all[0].OpenMinutes != 90 {
		t.Errorf("listed: %+v, %v", all, err)
	}
}

func TestStore_Access_refused(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car, other := createCar(t, s), createCar(t, s)
	tray := createAccess(t, s, car, "Undertray")
	frame := createAccess(t, s, car, "Subframe", tray)
	box := createAccess(t, s, car, "Gearbox", frame)
	bonnet := createAccess(t, s, other, "Bonnet")
	loop, err := s.Access(t.Context(), tray)
	if err != nil {
		t.Fatal(err)
	}
	loop.Inside = []garage.AccessID{box}
	err = s.UpdateAccess(t.Context(), loop)
	if refusedAt(err) != "inside" || !strings.Contains(err.Error(), "Undertray inside Gearbox inside Subframe inside Undertray") {
		t.Errorf("a loop: got %v", err)
	}
	loop.Inside = []garage.AccessID{bonnet}
	if err := s.UpdateAccess(t.Context(), loop); refusedAt(err) != "inside" {
		t.Errorf("inside another car's: got %v", err)
	}
	if _, err := s.CreateAccess(t.Context(), garagetest.Access(func(a *garage.Access) { a.CarID = 1 << 40 })); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("of a car that never was: got %v", err)
	}
	loop.ID = 1 << 40
	if err := s.UpdateAccess(t.Context(), loop); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("one that never was: got %v", err)
	}
	if _, err := s.SetAccessOpen(t.Context(), true, 1<<40); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("opening one that never was: got %v", err)
	}
}

func TestStore_SetAccessOpen(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	tray := createAccess(t, s, car, "Undertray")
	frame := createAccess(t, s, car, "Subframe", tray)
	open := func() string {
		t.Helper()
		all, err := s.Accesses(t.Context(), car)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, a := range all {
			if a.IsOpen {
				names = append(names, a.Name)
			}
		}
		return strings.Join(names, " ")
	}
	set := func(open bool, ids ...garage.AccessID) {
		t.Helper()
		if _, err := s.SetAccessOpen(t.Context(), open, ids...); err != nil {
			t.Fatal(err)
		}
	}
	set(true, frame)
	if got := open(); got != "Subframe Undertray" {
		t.Errorf("after the inner one was opened: %q", got)
	}
	set(false, tray)
	if got := open(); got != "" {
		t.Errorf("after the outer one was closed: %q", got)
	}
	createOpen := garagetest.Access(func(a *garage.Access) {
		a.CarID, a.Name, a.Inside, a.IsOpen = car, "Gearbox", []garage.AccessID{frame}, true
	})
	if _, err := s.CreateAccess(t.Context(), createOpen); err != nil {
		t.Fatal(err)
	}
	if got := open(); got != "Gearbox Subframe Undertray" {
		t.Errorf("after an open one was added inside: %q", got)
	}
	outer, err := s.Access(t.Context(), tray)
	if err != nil {
		t.Fatal(err)
	}
	outer.IsOpen = false
	if err := s.UpdateAccess(t.Context(), outer); err != nil {
		t.Fatal(err)
	}
	if got := open(); got != "" {
		t.Errorf("after the outer one was saved as closed: %q", got)
	}
}

func TestStore_RestoreAccess_fits_what_is_open(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	tray := createAccess(t, s, car, "Undertray")
	frame := createAccess(t, s, car, "Subframe", tray)
	if _, err := s.SetAccessOpen(t.Context(), true, frame); err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteAccess(t.Context(), frame); err != nil {
		t.Fatal(err)
	}
	if _, err := s.SetAccessOpen(t.Context(), false, tray); err != nil {
		t.Fatal(err)
	}
	if err := s.RestoreAccess(t.Context(), frame); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Access(t.Context(), frame); err != nil || got.IsOpen {
		t.Errorf("back inside what is closed, it is open: %v, %v", got.IsOpen, err)
	}
}

func TestStore_DeleteAccess(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	car := createCar(t, s)
	tray := createAccess(t, s, car, "Undertray")
	frame := createAccess(t, s, car, "Subframe", tray)
	stage := garagetest.Stage(func(st *garage.Stage) { st.Access = []garage.AccessID{frame} })
	job, err := s.CreateJob(t.Context(), garagetest.Job(func(j *garage.Job) { j.CarID = car }), nil, stage)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteAccess(t.Context(), tray); err == nil || !strings.Contains(err.Error(), "Still needed by Subframe.") {
		t.Errorf("with another inside: got %v", err)
	}
	if err := s.DeleteAccess(t.Context(), frame); err == nil || !strings.Contains(err.Error(), "Still needed by Rear brakes.") {
		t.Errorf("with a job that opens it: got %v", err)
	}
	if err := s.DeleteJob(t.Context(), job, false); err != nil {
		t.Fatal(err)
	}
	for _, id := range []garage.AccessID{frame, tray} {
		if err := s.DeleteAccess(t.Context(), id); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.DeleteAccess(t.Context(), tray); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("twice: got %v", err)
	}
	if err := s.RestoreAccess(t.Context(), frame); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Access(t.Context(), frame); err != nil || len(got.Inside) != 0 {
		t.Errorf("back without what it lay inside: inside %v, %v", got.Inside, err)
	}
	if err := s.RestoreAccess(t.Context(), tray); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Access(t.Context(), frame); err != nil || !slices.Equal(got.Inside, []garage.AccessID{tray}) {
		t.Errorf("both back: inside %v, %v", got.Inside, err)
	}
}

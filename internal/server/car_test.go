package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

// addCar puts a car into the garage.
func (s *site) addCar(changes ...func(*garage.Car)) garage.CarID {
	s.Helper()
	id, err := s.store.CreateCar(s.Context(), garagetest.Car(changes...))
	if err != nil {
		s.Fatal(err)
	}
	return id
}

// stale opens a form, saves it elsewhere with change, then saves mine: the conflict page says both, and mine can be saved over it.
func (s *site) stale(edit, field, theirs, mine string) answer {
	s.Helper()
	form := s.get(edit).is(http.StatusOK).doc().Find("form.form")
	values := form.FormValues()
	s.fill(edit, "form.form", url.Values{field: {theirs}}).is(http.StatusSeeOther)
	values.Set(field, mine)
	conflict := s.post(form.Attr("action"), values).is(http.StatusConflict).says(theirs, mine)
	again := conflict.doc().Find(".conflict form")
	return s.post(again.Attr("action"), again.FormValues()).is(http.StatusSeeOther)
}

func TestCar(t *testing.T) {
	t.Parallel()

	t.Run("empty garage", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.get("/cars").is(http.StatusOK).says("No car yet", "Add a car")
	})

	t.Run("added", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		added := s.fill("/cars/new", "form.form", url.Values{
			"name": {"Tern estate"}, "role": {"daily"}, "year": {"1988"}, "vin": {"0dem 44a16-ha000017"},
		})
		s.get(added.is(http.StatusSeeOther).location).is(http.StatusOK).says("Tern estate added.", "0DEM44A16HA000017", "daily", "1988")
		s.get("/cars").is(http.StatusOK).says("Tern estate", "1 car")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.fill("/cars/new", "form.form", url.Values{"name": {""}, "year": {"old"}, "stands": {"not here"}, "vin": {"0dem 1"}}).
			is(http.StatusUnprocessableEntity).says("Give it a name.", "A whole number, please.", "Say when it arrives").doc()
		for field, want := range map[string]string{"year": "old", "vin": "0dem 1"} {
			if got := doc.Find("#f-" + field).Attr("value"); got != want {
				t.Errorf("%s is shown as %q, want %q", field, got, want)
			}
		}
	})

	t.Run("changed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		id := s.addCar()
		s.fill(route.CarEdit(id), "form.form", url.Values{"name": {"Tern van"}, "immobile": {"yes"}}).to(route.Car(id))
		s.get(route.Car(id)).is(http.StatusOK).says("Tern van saved.", "immobile")
		s.fill(route.CarEdit(id), "form.form", url.Values{"stands": {"lift"}}).
			is(http.StatusUnprocessableEntity).says("It is immobile: it cannot be rolled onto the lift.")
	})

	t.Run("stale", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		id := s.addCar()
		s.stale(route.CarEdit(id), "plate", "AX 18", "AX 19").to(route.Car(id))
		s.get(route.Car(id)).says("AX 19")
	})

	t.Run("deleted and brought back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		id := s.addCar()
		s.post(route.CarDelete(id), nil).to("/cars")
		flash := s.get("/cars").is(http.StatusOK).says("Tern estate deleted.").doc().Find(".flash form")
		s.get(route.Car(id)).is(http.StatusNotFound)
		s.get(route.CarEdit(id)).is(http.StatusNotFound)
		s.post(flash.Attr("action"), flash.FormValues()).to(route.Car(id))
		s.get(route.Car(id)).is(http.StatusOK)
	})

	t.Run("not there", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, path := range []string{"/cars/999999", "/cars/999999/edit", "/cars/0", "/cars/x", "/cars/999999/odometer", "/cars/999999/access/new", "/cars/999999/closing/new", "/cars/999999/road-needs/new"} {
			s.get(path).is(http.StatusNotFound)
		}
		for _, path := range []string{"/cars/999999", "/cars/999999/delete", "/cars/999999/restore", "/cars/999999/vin"} {
			s.post(path, url.Values{}).is(http.StatusNotFound)
		}
	})
}

func TestCar_VIN(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar(func(c *garage.Car) { c.VIN = "ODEM44A16HAOOOO17" })
	doc := s.get(route.Car(id)).is(http.StatusOK).says("no letter I, O or Q", "Perhaps it is 0DEM44A16HA000017?", "ODEM44A16HAOOOO17").doc()
	form := doc.Find(`form[action=` + route.CarVIN(id) + `]`)
	s.post(form.Attr("action"), url.Values{"vin": {"0DEM44A16HA000018"}}).is(http.StatusConflict)
	s.post(form.Attr("action"), form.FormValues()).to(route.Car(id))
	if car, err := s.store.Car(t.Context(), id); err != nil || car.VIN != "0DEM44A16HA000017" {
		t.Errorf("stored %q, %v", car.VIN, err)
	}
	short := s.addCar(func(c *garage.Car) { c.VIN = "0123456" })
	s.get(route.Car(short)).is(http.StatusOK).says("Not a 17-character VIN: it has 7.")
}

func TestCar_move(t *testing.T) {
	t.Parallel()
	s := setup(t)
	tern := s.addCar()
	kite := s.addCar(func(c *garage.Car) { c.Name, c.Stands = "Kite coupé", garage.OnLift })
	s.post(route.CarMove(tern), url.Values{"stands": {"lift"}}).to(route.Car(tern))
	s.get(route.Car(tern)).is(http.StatusOK).says("No lift is free: Kite coupé.")
	s.post(route.CarMove(kite), url.Values{"stands": {"outside"}}).to(route.Car(kite))
	back := s.get(route.Car(kite)).says("Kite coupé stands outside now.").doc().Find(".flash form")
	s.post(back.Attr("action"), back.FormValues()).to(route.Car(kite))
	s.get(route.Car(kite)).says("Kite coupé stands on the lift now.")
	s.post(route.CarMove(kite), url.Values{"stands": {"moon"}}).to(route.Car(kite))
	s.get(route.Car(kite)).says("Choose one of the list.", "on the lift")

	donor, err := s.store.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	arrived := s.get(route.Car(donor)).is(http.StatusOK).says("not here, likely Fri 26 Mar 2027", "at the latest Tue 20 Apr 2027").doc().Find(".ways form")
	s.post(arrived.Attr("action"), arrived.FormValues()).to(route.Car(donor))
	s.get(route.Car(donor)).says("Tern saloon has arrived and stands outside.")
}

func TestCar_move_immobile(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar(func(c *garage.Car) { c.Stands, c.Immobile = garage.OnLift, true })
	doc := s.get(route.Car(id)).is(http.StatusOK).says("Immobile: it holds the lift until it rolls again.").doc()
	if doc.Has(".ways form") {
		t.Error("offers to move a car that is stuck on the lift")
	}
	s.post(route.CarMove(id), url.Values{"stands": {"outside"}}).to(route.Car(id))
	s.get(route.Car(id)).says("It is immobile: it cannot be rolled off the lift.", "on the lift")
}

func TestOdometer(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	page := route.Odometer(id)
	s.get(page).is(http.StatusOK).says("No reading yet.", "Unit")
	s.fill(page, "form.form", url.Values{"read_on": {"2027-03-01"}, "shown": {"99 950"}, "unit": {"km"}}).to(page)
	undo := s.get(page).says("Reading noted.", "99 950 km on Mon 1 Mar 2027").doc().Find(".flash form")
	if !strings.HasSuffix(undo.Attr("action"), "/reverse") {
		t.Errorf("undo leads to %s", undo.Attr("action"))
	}

	// the day is today's by itself
	backwards := s.fill(page, "form.form", url.Values{"shown": {"60"}}).is(http.StatusUnprocessableEntity).
		says("cannot run backwards. Was the cluster swapped, or did it roll over?").doc()
	if backwards.Find("#f-shown").Attr("value") != "60" || !backwards.Has("details[open]") {
		t.Error("what was typed and the question are not in sight")
	}
	form := backwards.Find("form.form").FormValues()
	form.Set("change", "rolled over")
	s.post(page, form).to(page)
	s.get(page).says("100 060 km on Fri 5 Mar 2027", "after it rolled over")

	s.fill(page, "form.form", url.Values{"shown": {"90000"}}).is(http.StatusUnprocessableEntity).says("a day since", "It was driven that far in that time")
	s.fill(page, "form.form", url.Values{"shown": {"90000"}, "fast": {"yes"}}).to(page)
	s.fill(page, "form.form", url.Values{"shown": {"ninety"}, "read_on": {"soon"}}).is(http.StatusUnprocessableEntity).
		says("A whole number, please.", "A date like 2027-03-06, please.")
	s.fill(page, "form.form", url.Values{"shown": {"90001"}, "read_on": {"2027-03-06"}}).is(http.StatusUnprocessableEntity).says("That day has not come yet.")

	s.fill(page, "form.form", url.Values{"shown": {"500"}, "change": {"cluster swapped"}}).is(http.StatusUnprocessableEntity).says("A whole number, please.")
	s.fill(page, "form.form", url.Values{"shown": {"500"}, "change": {"cluster swapped"}, "old_shown": {"90100"}, "new_shown": {"400"}, "unit": {"km"}}).to(page)
	doc := s.get(page).says("190 200 km", "after the cluster was swapped").doc()
	reverse := doc.Find("table form")
	s.post(reverse.Attr("action"), reverse.FormValues()).to(page)
	s.get(page).says("reverses the reading of Fri 5 Mar 2027", "190 000 km on")
	s.post(reverse.Attr("action"), url.Values{}).is(http.StatusNotFound) // as from another tab
}

func TestOdometer_zone(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	s.fill("/settings", "form.form", url.Values{"zone": {"Pacific/Auckland"}, "distance_unit": {"mi"}}).to("/settings")
	// 18:00 UTC on the 5th is the 6th there
	s.fill(route.Odometer(id), "form.form", url.Values{"shown": {"1000"}}).to(route.Odometer(id))
	s.get(route.Odometer(id)).says("1000 mi on Sat 6 Mar 2027")
}

func TestRoadNeed(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	s.fill("/settings", "form.form", url.Values{"zone": {"Europe/Vienna"}}).to("/settings")
	weekly := url.Values{"why": {"To work"}, "weekdays": {"1", "2", "3", "5"}, "from": {"07:00"}, "to": {"00:00"}}
	s.fill(route.RoadNeedNew(id), "form.form", weekly).to(route.Car(id))
	s.get(route.Car(id)).says("Road need added.", "To work", "Mon to Wed, Fri 07:00 to 24:00")
	needs, err := s.store.RoadNeeds(t.Context(), id)
	if err != nil || len(needs) != 1 {
		t.Fatal(needs, err)
	}
	need := needs[0].ID
	s.fill(route.RoadNeedEdit(need), "form.form", url.Values{"how": {"once"}, "starts_at": {"2027-03-08T07:00"}, "ends_at": {"2027-03-08T18:00"}}).to(route.Car(id))
	s.get(route.Car(id)).says("Mon 8 Mar 2027 07:00 to 18:00")
	if got, err := s.store.RoadNeed(t.Context(), need); err != nil || got.StartsAt.UTC().Format("15:04") != "06:00" {
		t.Errorf("starts %v, %v; want the garage's own 07:00", got.StartsAt, err)
	}
	s.fill(route.RoadNeedEdit(need), "form.form", url.Values{"ends_at": {"2027-03-08T06:00"}}).
		is(http.StatusUnprocessableEntity).says("The end must come after the start.")
	s.fill(route.RoadNeedNew(id), "form.form", url.Values{"how": {"once"}}).is(http.StatusUnprocessableEntity).says("Give the start.", "Give the end.")
	s.fill(route.RoadNeedNew(id), "form.form", url.Values{"from": {"seven"}}).is(http.StatusUnprocessableEntity).says("A time like 09:30, please.")
	s.stale(route.RoadNeedEdit(need), "why", "Inspection", "Holiday").to(route.Car(id))
	s.get(route.Car(id)).says("Holiday")
	s.post(route.RoadNeedDelete(need), nil).to(route.Car(id))
	undo := s.get(route.Car(id)).says("Road need deleted.", "No span in which it must be whole.").doc().Find(".flash form")
	s.post(undo.Attr("action"), undo.FormValues()).to(route.Car(id))
	s.get(route.Car(id)).says("Holiday")
}

func TestAccess(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	add := func(name string, more url.Values) garage.AccessID {
		values := url.Values{"name": {name}, "open_minutes": {"15"}, "close_minutes": {"20"}}
		for k, v := range more {
			values[k] = v
		}
		s.fill(route.AccessNew(id), "form.form", values).to(route.Car(id))
		all, err := s.store.Accesses(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range all {
			if a.Name == name {
				return a.ID
			}
		}
		t.Fatal("not added:", name)
		return 0
	}
	tray := add("Undertray", nil)
	frame := add("Subframe", url.Values{"inside": {garageID(tray)}, "stays": {"yes"}})
	s.get(route.Car(id)).is(http.StatusOK).says("15 min to open", "inside Undertray", "may stay open")
	s.fill(route.AccessEdit(tray), "form.form", url.Values{"inside": {garageID(frame)}}).
		is(http.StatusUnprocessableEntity).says("That is a loop: Undertray inside Subframe inside Undertray.")
	s.fill(route.AccessEdit(tray), "form.form", url.Values{"name": {""}, "open_minutes": {"-3"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "From 0 to 10,000 minutes.")
	s.stale(route.AccessEdit(frame), "open_minutes", "45", "50").to(route.Car(id))

	s.post(route.AccessOpen(frame), url.Values{"open": {"yes"}}).to(route.Car(id))
	s.get("/plan").is(http.StatusOK)
	undo := s.get(route.Car(id)).is(http.StatusOK).says("50 min to open").doc()
	if got := len(undo.FindAll(".state.loose")); got != 2 {
		t.Errorf("%d are shown as open, want the subframe and the undertray around it", got)
	}
	s.post(route.AccessOpen(tray), nil).to(route.Car(id))
	back := s.get(route.Car(id)).says("Subframe, Undertray are closed.").doc().Find(".flash form")
	s.post(back.Attr("action"), back.FormValues()).to(route.Car(id))
	s.get(route.Car(id)).says("Subframe, Undertray are open now.")
	s.post(route.AccessOpen(tray), url.Values{"open": {"yes"}}).to(route.Car(id))
	s.get(route.Car(id)).says("It was so already.")

	s.post(route.AccessDelete(tray), nil).is(http.StatusUnprocessableEntity).says("Still needed by Subframe.")
	s.post(route.AccessDelete(frame), nil).to(route.Car(id))
	back = s.get(route.Car(id)).says("Subframe deleted.").doc().Find(".flash form")
	s.post(back.Attr("action"), back.FormValues()).to(route.Car(id))
	s.get(route.Car(id)).says("Subframe is back.", "inside Undertray")
}

func TestClosing(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	s.fill(route.ClosingNew(id), "form.form", url.Values{"name": {"Bleed the brakes"}, "minutes": {"soon"}}).
		is(http.StatusUnprocessableEntity).says("A whole number, please.")
	s.fill(route.ClosingNew(id), "form.form", url.Values{"name": {"Bleed the brakes"}, "minutes": {"45"}, "helpers": {"1"}}).to(route.Car(id))
	s.get(route.Car(id)).is(http.StatusOK).says("Bleed the brakes added.", "45 min")
	all, err := s.store.ClosingWorks(t.Context(), id)
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	closing := all[0].ID
	s.fill(route.ClosingEdit(closing), "form.form", url.Values{"helpers": {"11"}}).is(http.StatusUnprocessableEntity).says("From 0 to 9 helpers.")
	s.stale(route.ClosingEdit(closing), "minutes", "50", "55").to(route.Car(id))
	s.get(route.Car(id)).says("55 min")
	s.post(route.ClosingDelete(closing), nil).to(route.Car(id))
	back := s.get(route.Car(id)).says("Bleed the brakes deleted.").doc().Find(".flash form")
	s.post(back.Attr("action"), back.FormValues()).to(route.Car(id))
	s.get(route.Car(id)).says("Bleed the brakes is back.")
}

func garageID[T ~int64](id T) string {
	path := route.Car(id)
	return path[strings.LastIndex(path, "/")+1:]
}

func TestCar_says_what_is_next(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addCar()
	if _, err := s.store.CreateSessionPattern(t.Context(), garage.SessionPattern{Weekday: 6, FromMinute: 9 * 60, ToMinute: 17 * 60}); err != nil {
		t.Fatal(err)
	}
	for _, title := range []string{"Rear brakes", "Front arms"} {
		job := garagetest.Job(func(j *garage.Job) { j.CarID, j.Title = id, title })
		stage := garagetest.Stage(func(st *garage.Stage) { st.Helpers = len(title) - len("Front arms") }) // the brakes need a helper, who never comes
		if _, err := s.store.CreateJob(t.Context(), job, nil, stage); err != nil {
			t.Fatal(err)
		}
	}
	s.get("/cars").is(http.StatusOK).says("Front arms Sat 6 Mar 09:20") // once it is on the lift
	s.get(route.Car(id)).is(http.StatusOK).says("Front arms repair · Sat 6 Mar 09:20", "Rear brakes repair · blocked:")

	// In the order of the plan, whatever matters more; what is blocked is last.
	s.notBefore(s.addJob(id, "Door seal", func(j *garage.Job) { j.Weight = 9 }), "2027-03-20")
	jobs := s.get(route.Car(id)).doc().Find("main").Text()
	if first, then, last := strings.Index(jobs, "Front arms"), strings.Index(jobs, "Door seal"), strings.Index(jobs, "Rear brakes"); first > then || then > last {
		t.Errorf("the jobs are not in the order of the plan: %s", jobs)
	}
}

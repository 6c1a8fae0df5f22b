package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

func TestCloseOut(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Rear arms")
	if _, err := s.store.AddSteps(t.Context(), s.stageOf(job), 0, []garage.Step{{Kind: garage.DoStep, Text: "Wheels on"}}); err != nil {
		t.Fatal(err)
	}
	at := route.CardCloseOut(job)
	s.get(at).is(http.StatusOK).says("Not done on the card", "1. Wheels on", "Test it at low speed")
	s.fill(at, "form.form", url.Values{"follow.0.in": {"50"}, "look_on": {"spring"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "no odometer reading", "A date like")
	s.fill(at, "form.form", url.Values{"tools": {"yes"}, "leftovers": {"one M6 nut"}, "follow.0.what": {"Wheels once more"}, "follow.0.due_on": {"2027-04-01"}, "look_on": {"2027-06-01"}}).to(route.Job(job))
	s.get(route.Job(job)).says("Saved.")
	form := s.get(at).doc().Find("form.form").FormValues()
	if form.Get("tools") != "yes" || form.Get("panels") != "" || form.Get("leftovers") != "one M6 nut" || form.Get("look_on") != "2027-06-01" {
		t.Errorf("kept %v", form)
	}
	s.get(route.FollowUps(car)).says("Wheels once more")
	look := route.JobLookBack(job)
	s.fill(look, "form.form", url.Values{"changed": {"quieter"}}).is(http.StatusUnprocessableEntity).says("Choose one.", "quieter")
	s.exec(`update look_backs set due_on = '2020-01-01'`)
	s.get("/").says("was it worth it?")
	s.fill(look, "form.form", url.Values{"worth": {"partly"}, "changed": {"quieter"}}).to(route.Job(job))
	again := s.addJob(car, "Front arms")
	s.get(route.JobLookBack(again)).is(http.StatusNotFound)
	s.fill(route.CardCloseOut(again), "form.form", url.Values{"look_on": {"2027-06-01"}}).to(route.Job(again))
	s.get(route.JobLookBack(again)).is(http.StatusOK).says("Jobs like it", "partly worth it: quieter")
	form.Set("version", "0")
	form.Del("once")
	s.post(at, form).is(http.StatusUnprocessableEntity).says("saved elsewhere meanwhile")
	s.get("/jobs/4711/card/close-out").is(http.StatusNotFound)
}

// TestCloseOut_odometer: what the odometer shows when the car leaves is noted with the rest, and distances count from it, not from what
// it showed weeks ago.
func TestCloseOut_odometer(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Rear arms")
	at := route.CardCloseOut(job)
	s.fill(at, "form.form", url.Values{"shown": {"48200"}, "follow.0.what": {"Wheels once more"}, "follow.0.in": {"50"}, "look_in": {"1000"}}).to(route.Job(job))
	s.get(route.Odometer(car)).says("The car has run 48 200 km on Fri 5 Mar 2027")
	s.get(route.FollowUps(car)).says("Wheels once more", "in 50 km")

	// Read anew it stands where it stood, and what was to be looked at does not move with it.
	s.get(at).says("It showed 48 200 km on Fri 5 Mar 2027.")
	s.fill(at, "form.form", url.Values{"shown": {"48300"}}).to(route.Job(job))
	s.get(route.Job(job)).says("asked in 900 km")
	s.fill(at, "form.form", url.Values{"shown": {"48300"}}).to(route.Job(job)) // noted already

	// A figure that cannot be right keeps nothing.
	s.clock = s.clock.AddDate(0, 0, 1)
	wrong := s.fill(at, "form.form", url.Values{"shown": {"47000"}, "follow.0.what": {"Look for leaks"}}).is(http.StatusUnprocessableEntity).says("Less than")
	if kept := wrong.doc().Find("form.form").FormValues(); kept.Get("shown") != "47000" || kept.Get("follow.0.what") != "Look for leaks" {
		t.Errorf("what was typed is now %v", kept)
	}
	s.fill(at, "form.form", url.Values{"shown": {"483000"}}).is(http.StatusUnprocessableEntity).says("more than anybody drives")
	s.fill(at, "form.form", url.Values{"shown": {"far"}}).is(http.StatusUnprocessableEntity)
	s.fill(at, "form.form", url.Values{"shown": {"48400"}, "look_on": {"spring"}}).is(http.StatusUnprocessableEntity)
	s.get(route.Odometer(car)).saysNot("48 400")
	s.get(route.FollowUps(car)).saysNot("Look for leaks")
}

// TestFollowUp_becomesJob: what was found on the way is made a job without typing it again.
func TestFollowUp_becomesJob(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	s.fill(route.FollowUpNew(car), "form.form", url.Values{"what": {"Broken stud & nut, left"}})
	link := s.get(route.FollowUps(car)).links("Make it a job")[0]
	if title := s.get(link).is(http.StatusOK).doc().Find("input[name=title]").Attr("value"); title != "Broken stud & nut, left" {
		t.Errorf("the new job is called %q", title)
	}
}

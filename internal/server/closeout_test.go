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
	s.fill(at, "form.form", url.Values{"tools": {"yes"}, "leftovers": {"one M6 nut"}, "follow.0.what": {"Wheels once more"}, "follow.0.due_on": {"2027-04-01"}, "look_on": {"2027-06-01"}}).to(at)
	form := s.get(at).says("Saved.").doc().Find("form.form").FormValues()
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
	s.fill(route.CardCloseOut(again), "form.form", url.Values{"look_on": {"2027-06-01"}}).to(route.CardCloseOut(again))
	s.get(route.JobLookBack(again)).is(http.StatusOK).says("Jobs like it", "partly worth it: quieter")
	form.Set("version", "0")
	form.Del("once")
	s.post(at, form).is(http.StatusUnprocessableEntity).says("saved elsewhere meanwhile")
	s.get("/jobs/4711/card/close-out").is(http.StatusNotFound)
}

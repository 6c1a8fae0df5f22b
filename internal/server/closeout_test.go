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
	form.Set("version", "0")
	form.Del("once")
	s.post(at, form).is(http.StatusUnprocessableEntity).says("saved elsewhere meanwhile")
	s.get("/jobs/4711/card/close-out").is(http.StatusNotFound)
}

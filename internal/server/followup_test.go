package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

func TestFollowUp(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	job := s.addJob(car, "Rear arms")
	all := route.FollowUps(car)
	s.get(all).is(http.StatusOK).says("No follow-ups")
	s.fill(route.FollowUpNew(car), "form.form", url.Values{"what": {""}, "in": {"50"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "no odometer reading to count from")
	s.fill(route.FollowUpNew(car), "form.form", url.Values{"what": {"Wheels once more"}, "due_on": {"2030-01-01"}}).to(all)
	s.get(all).says("Wheels once more", "due Tue 1 Jan 2030")
	s.fill(route.FollowUpNew(car), "form.form", url.Values{"what": {"Look for leaks"}}).to(all)
	today := s.get("/").is(http.StatusOK).says("Look for leaks", "Tern estate: to be done").doc().Text()
	if strings.Contains(today, "Wheels once more") {
		t.Error("what is due in three years needs the owner today")
	}

	change := s.get(all).doc().Find(".editacts a").Attr("href")
	s.stale(change, "what", "Wheels tight", "All wheels").to(all)
	done := s.get(all).doc().Find(".editacts form")
	s.post(done.Attr("action"), done.FormValues()).to(all).undo(s).to(all)
	done = s.get(all).doc().Find(".editacts form")
	s.post(done.Attr("action"), done.FormValues()).to(all)
	s.get(all).says("Not done after all")
	if err := s.store.Leave(t.Context(), garage.Leaving{JobID: job, At: s.clock, Loose: "left arm on one bolt"}); err != nil {
		t.Fatal(err)
	}
	if !s.get("/").says("left with something loose: left arm on one bolt").doc().Has("main a[href=" + route.Card(job) + "]") {
		t.Error("it leads to no card, where the owner says that he is back")
	}
	s.get("/follow-ups/4711/edit").is(http.StatusNotFound)
}

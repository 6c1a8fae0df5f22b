package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

func TestPhase(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	added := s.fill(route.PhaseNew(car), "form.form", url.Values{"name": {"Safe for the road"}, "budget": {"1500"}, "finish_on": {"2027-06-01"}})
	phase := added.is(http.StatusSeeOther).location
	s.get(phase).is(http.StatusOK).says("Phase “Safe for the road” added.", "1500.00 EUR", "due Tue 1 Jun", "No jobs in this phase", "no jobs yet")
	s.fill(route.PhaseNew(car), "form.form", url.Values{"name": {""}, "budget": {"much"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "Write an amount like")
	s.fill(phase+"/edit", "form.form", url.Values{"finish_on": {"summer"}}).is(http.StatusUnprocessableEntity).says("A date like 2027-03-06, please.")
	s.stale(phase+"/edit", "name", "Roadworthy", "On the road").to(phase)
	add := s.get(phase).doc().Find(".sectionhead a").Attr("href")
	if got := s.get(add).is(http.StatusOK).doc().Find("form.form").FormValues(); "/phases/"+got.Get("phase") != phase {
		t.Errorf("a job added from the phase is in phase %q", got.Get("phase"))
	}
	job := s.addJob(car, "Rear brakes")
	choose := s.get(route.JobEdit(job)).doc().FindAll("select[name=phase] option")
	s.fill(route.JobEdit(job), "form.form", url.Values{"phase": {choose[1].Attr("value")}}).to(route.Job(job))
	s.get(route.Job(job)).says("Phase On the road")
	s.get(phase).is(http.StatusOK).says("Rear brakes", "0 of 1 job done")
	s.get(route.Car(car)).is(http.StatusOK).says("On the road", "0 of 1 job done")
	s.post(phase+"/delete", nil).to(route.Car(car)).undo(s).to(phase)
	s.get(phase).says("The phase is back.")
	s.post(phase+"/delete", nil).to(route.Car(car))
	s.get(phase).is(http.StatusNotFound)
	s.get("/cars/4711/phases/new").is(http.StatusNotFound)
}

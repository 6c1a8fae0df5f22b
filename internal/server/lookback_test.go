package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestLookBack_byDistance: it is asked whether a job was worth it when the car has run so far, and the answer stands where a job
// like it is planned.
func TestLookBack_byDistance(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Rear bushes")
	at := route.CardCloseOut(job)
	s.fill(at, "form.form", url.Values{"look_in": {"500"}}).is(http.StatusUnprocessableEntity).says("no odometer reading to count from")
	read := func(on garage.Date, shown int) {
		t.Helper()
		if _, err := s.store.AddReading(t.Context(), car, garage.ReadingEntry{ReadOn: on, Shown: shown, Unit: "km"}, garage.NewDate(2027, 3, 5)); err != nil {
			t.Fatal(err)
		}
	}
	read(garage.NewDate(2027, 2, 1), 50_000)
	read(garage.NewDate(2027, 3, 1), 50_700) // 25 km a day
	s.get(at).says("1000 km are run about Sat 10 Apr")
	s.fill(at, "form.form", url.Values{"look_in": {"100"}, "look_on": {"2027-12-01"}}).to(route.Job(job))
	s.get(route.JobLookBack(job)).says("asked in 100 km", "about Fri 5 Mar as it is driven", "1 Dec")
	s.get(route.Job(job)).says("Was it worth it?", "asked in 100 km")
	s.fill(at, "form.form", nil).to(route.Job(job)) // saved again, it does not move
	if home := s.get("/").body; strings.Contains(home, "was it worth it?") {
		t.Error("asked before it was driven")
	}
	read(garage.NewDate(2027, 3, 5), 50_800)
	s.get("/").says("was it worth it?")
	s.fill(route.JobLookBack(job), "form.form", url.Values{"worth": {"yes"}, "changed": {"no more clunk"}}).to(route.Job(job))
	s.fill(at, "form.form", url.Values{"road_test": {"straight"}}).to(route.Job(job))
	s.get(route.Job(job)).says("worth it: no more clunk") // the answer stands
	s.get("/").saysNot("was it worth it?")

	s.get(route.JobNew()+"?car="+idText(car)).is(http.StatusOK).says("What came of jobs on this car:", "no more clunk")
	s.get(route.JobNew() + "?car=" + idText(car) + "&title=Headlamp").saysNot("no more clunk")
	s.get(route.JobNew()+"?car="+idText(car)+"&title=Front+bushes").says("What came of jobs like it:", "no more clunk")
	again := s.addJob(car, "Front bushes")
	s.get(route.Job(again)).says("Jobs like it", "worth it: no more clunk")
	s.get(route.Job(s.addJob(car, "Rear lamp"))).saysNot("Jobs like it") // a side is no likeness
	s.fill(at, "form.form", url.Values{"look_in": {""}, "look_on": {""}}).to(route.Job(job))
	s.get(route.JobLookBack(job)).says("no more clunk") // what was answered is kept
}

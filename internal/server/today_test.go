package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestToday_leads_on: while a garage is being entered, the first page offers what is missing next, and says nothing of work that
// does not fit.
func TestToday_leads_on(t *testing.T) {
	t.Parallel()
	s := setup(t)
	leads := func(to string, yes bool) {
		t.Helper()
		if has := s.get("/").is(http.StatusOK).doc().Has("main a[href=" + to + "]"); has != yes {
			t.Errorf("a way to %s: %v, want %v", to, has, yes)
		}
	}
	leads(route.CarNew(), true)

	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	s.get("/").says("No job is open", "There is no session ahead").saysNot("Nothing fits into", "The plan says why")
	leads(route.JobNew(), true)
	leads(route.Sessions(), true)

	s.addJob(car, "Rear brakes")
	s.get("/?for=240").says("Rear brakes", "There is no session ahead").saysNot("No job is open")
	leads(route.Sessions(), true)

	s.addSaturdays()
	s.get("/").says("Rear brakes", "Sat 6 Mar").saysNot("There is no session ahead")
	leads(route.Sessions(), false)
}

// TestPlan_blocked_leads_to_stages: a job without a stage can be helped from where it is said to be blocked.
func TestPlan_blocked_leads_to_stages(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Rear brakes")
	s.post(route.StageDelete(s.stageOf(job)), nil).to(route.Job(job))
	for _, at := range []string{route.Plan(), route.JobWhy(job)} {
		if !s.get(at).is(http.StatusOK).says("has no stages yet").doc().Has("main a[href=" + route.StageNew(job) + "]") {
			t.Errorf("%s leads to no form for a stage", at)
		}
	}
}

// TestToday_says_what_is_expected: on the day itself a part is not late yet.
func TestToday_says_what_is_expected(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addJob(s.addCar(), "Rear brakes")
	part, day := s.addPart(), "2027-03-05"
	s.post(route.Arrivals(part), url.Values{"quantity": {"1"}, "arrives_low": {day}, "arrives_likely": {day}, "arrives_high": {"2027-03-09"}}).to(route.Part(part))
	s.get("/").says("expected today: check it in when it is here").saysNot("should be here since")
	s.clock = s.clock.AddDate(0, 0, 1)
	s.get("/").says("should be here since Fri 5 Mar").saysNot("expected today")
}

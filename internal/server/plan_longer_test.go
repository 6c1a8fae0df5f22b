package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// TestPlanLonger shows what a longer look finds, and goes on from there once it is taken.
func TestPlanLonger(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s := setupUnclaimed(t, pool)
	s.claim()
	if err := postgres.New(pool).Fill(t.Context(), manyJobs(t, 60, garage.DateOf(s.clock))); err != nil {
		t.Fatal(err)
	}
	s.get("/plan").is(http.StatusOK).says("Look longer for a better one")
	page := s.get("/plan/longer").is(http.StatusOK).says("Its jobs end", "sooner, weighed", "moved to another day", "Take this plan").doc()
	take := page.Find("form.one")

	// What was looked at on another garage is not taken: what is found now is shown first.
	s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
	again := s.post(take.Attr("action"), take.FormValues()).is(http.StatusConflict).says("changed meanwhile", "Take this plan").doc().Find("form.one")
	s.get("/plan").says("Look longer")

	s.post(again.Attr("action"), again.FormValues()).to("/plan")
	s.get("/plan").is(http.StatusOK).says("Taken.", "moved to another day")
	s.get("/plan/longer").is(http.StatusOK).says("The plan stays as it is")

	// A small change leaves it as it was taken.
	s.post("/tools", url.Values{"name": {"Ball joint separator"}}).to("/tools")
	s.get("/plan/longer").says("The plan stays as it is")
	s.post("/plan/longer", url.Values{"found": {"nonsense"}}).is(http.StatusConflict)
}

// TestPlanLonger_nothingBetter has no button where there is nothing to take.
func TestPlanLonger_nothingBetter(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/plan/longer").is(http.StatusOK).says("The plan stays as it is")
	s.addSaturdays()
	car := s.addCar()
	s.addJob(car, "Rear brakes")
	s.addJob(car, "Wiper motor")
	if doc := s.get("/plan/longer").is(http.StatusOK).says("No order of the work is better").doc(); len(doc.FindAll("form.one")) > 0 {
		t.Error("there is something to take")
	}
	if text := s.get("/plan").doc().Text(); strings.Contains(text, "Look longer") {
		t.Error("an optimal plan offers a longer look")
	}
}

func TestBrowser_planLonger(t *testing.T) {
	t.Parallel()
	for name, look := range map[string][]browsertest.Option{
		"phone": {browsertest.Phone}, "desktop without JavaScript": {browsertest.Desktop, browsertest.NoScript},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			pool := pgtest.Pool(t)
			s := setupUnclaimed(t, pool, func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
			s.claim()
			if err := postgres.New(pool).Fill(t.Context(), manyJobs(t, 60, garage.DateOf(s.clock))); err != nil {
				t.Fatal(err)
			}
			p := browsertest.Open(t, look...)
			p.Goto(browsertest.Serve(t, s.server) + "/plan")
			p.Fill("Password", ownersPassword)
			p.Submit("Sign in")
			p.Click("Look longer for a better one")
			p.Has("A longer look", "Its jobs end", "moved to another day")
			p.Fits()
			p.Shot("longer-look")
			p.Submit("Take this plan")
			p.Has("Taken.", "Since the plan of", "moved to another day")
			p.Shot("longer-taken")
		})
	}
}

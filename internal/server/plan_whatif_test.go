package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/web/route"
)

func TestWhatIf(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/plan/what-if").is(http.StatusOK).says("What if", "A further session")
	s.addSaturdays()
	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	due := garage.NewDate(2027, 3, 7)
	brakes := s.addJob(car, "Rear brakes", func(j *garage.Job) { j.Due, j.LateCost, j.Currency = &due, 9000, "EUR" })

	// A form leads to an address that can be sent; the address shows both plans.
	to := "/plan/what-if?if=fixed_" + idText(brakes) + "_2027-03-13T0900"
	form := s.get(route.WhatIfJob(brakes)).is(http.StatusOK).doc()
	values := form.Find("form.filter").FormValues()
	values.Set("add", "fixed")
	values.Set("job", idText(brakes))
	values.Set("at", "2027-03-13T09:00:00Z")
	s.get("/plan/what-if?" + values.Encode()).to(to)
	page := s.get(to).is(http.StatusOK).says(
		"Rear brakes in the session Sat 13 Mar 09:00", "1 job moved to another day, 90.00 EUR more lost to lateness", "7 days later")
	totals := page.doc().FindAll("table")[0].Text()
	if !strings.Contains(totals, "nothing 90.00 EUR") {
		t.Errorf("the totals side by side: %s", totals)
	}
	if job, err := s.store.Job(t.Context(), brakes); err != nil || job.PinnedAt != nil {
		t.Fatalf("looking pinned it to %v (%v)", job.PinnedAt, err)
	}

	sure := s.get("/plan/what-if/chances?if=fixed_" + idText(brakes) + "_2027-03-13T0900").is(http.StatusOK).doc().Find("#sure tbody").Text()
	if !strings.Contains(sure, "≈ 100 % ± 1 ≈ 0 % ± 1") {
		t.Errorf("in time by the plan, and not when it is done after the date: %s", sure)
	}
	s.get("/plan/what-if/chances").is(http.StatusOK)

	// A further thing supposed keeps the first.
	s.get(to + "&add=session&on=2027-03-10&from=18:00&to=21:00&helpers=1").to(to + "&if=session_2027-03-10T1800_2100_1")
	refused := s.get(to+"&add=session&on=2026-03-10&from=21:00&to=18:00&helpers=ten").is(http.StatusUnprocessableEntity).
		says("A day from today to", "The end must come after the start", "A whole number", "Rear brakes in the session")
	if got := refused.doc().Find("#f-helpers").Attr("value"); got != "ten" {
		t.Errorf("what was typed is %q now", got)
	}

	// Keeping enters it.
	keep := page.doc().Find("form.one")
	s.post(keep.Attr("action"), keep.FormValues()).to("/plan")
	s.get("/plan").says("Kept: 1 change entered.", "1 job moved to another day")
	if job, _ := s.store.Job(t.Context(), brakes); job.PinnedAt == nil || job.PinnedAt.Day() != 13 {
		t.Errorf("kept, and pinned to %v", job.PinnedAt)
	}
}

// TestWhatIf_changedMeanwhile does not keep what was looked at on another garage, and shows what comes of it now.
func TestWhatIf_changedMeanwhile(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	brakes := s.addJob(s.addCar(), "Rear brakes")
	path := "/plan/what-if?if=fixed_" + idText(brakes) + "_2027-03-13T0900"
	keep := s.get(path).doc().Find("form.one")
	s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
	again := s.post(keep.Attr("action"), keep.FormValues()).is(http.StatusConflict).says("changed meanwhile", "Rear brakes in the session").doc().Find("form.one")
	if job, _ := s.store.Job(t.Context(), brakes); job.PinnedAt != nil {
		t.Errorf("pinned to %v", job.PinnedAt)
	}
	s.post(again.Attr("action"), again.FormValues()).to("/plan")

	// An address of what is no more says so, and shows the rest.
	s.post(route.JobDelete(brakes), nil).to(route.Jobs())
	s.get(path+"&if=session_2027-03-10T1800_2100_1&if=nonsense").is(http.StatusOK).says("is no more", "A further session Wed 10 Mar 18:00")
}

func TestBrowser_whatIf(t *testing.T) {
	t.Parallel()
	for name, look := range map[string][]browsertest.Option{
		"phone": {browsertest.Phone}, "desktop without JavaScript": {browsertest.Desktop, browsertest.NoScript},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
			s.claim()
			s.addSaturdays()
			low, likely, high := garage.NewDate(2027, 3, 8), garage.NewDate(2027, 3, 9), garage.NewDate(2027, 3, 10)
			donor := s.addCar(func(c *garage.Car) {
				c.Name, c.Role, c.Stands = "Tern saloon", garage.Donor, garage.NotHere
				c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh = &low, &likely, &high
			})
			s.addJob(donor, "Arms off")
			p := browsertest.Open(t, look...)
			p.Goto(browsertest.Serve(t, s.server) + "/plan")
			p.Fill("Password", ownersPassword)
			p.Submit("Sign in")
			p.Click("What if")
			p.Click("A car comes earlier or later")
			car := p.In(".filter")
			car.Fill("Comes", "a week later")
			car.Submit("Suppose it")
			p.Has("Tern saloon arrives 7 days later", "1 job moved to another day", "Sat 13 Mar", "Sat 20 Mar")
			p.Fits()
			p.Shot("what-if-donor")
			p.Submit("Keep it")
			p.Has("Kept: 1 change entered.", "1 job moved to another day")
			p.Has("Sat 20 Mar")
			p.Shot("what-if-kept")
			p.Click("What if")
			p.Click("A job is left out")
			p.In("[open]").Submit("Suppose it")
			p.Has("Arms off left out")
			if n := p.Count(".btn.primary"); n > 0 {
				t.Error("it offers to keep what saying so does not make true")
			}
			p.Click("Drop it")
			p.Has("Session by session", "Arms off")
		})
	}
}

package server

import (
	"net/http"
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/web/route"
)

// addWaiting puts a job on a car that is due on the 20th and waits for a part that is to come; another, without a part, is blocked.
func (s *site) addWaiting(car garage.CarID) (waits, blocked garage.JobID) {
	s.Helper()
	due := garage.NewDate(2027, 3, 20)
	waits = s.addJob(car, "Rear brakes", func(j *garage.Job) { j.Due, j.LateCost, j.Currency = &due, 9000, "EUR" })
	blocked = s.addJob(car, "Wiper motor")
	for job, name := range map[garage.JobID]string{waits: "Caliper", blocked: "Motor"} {
		part := s.addPart(func(p *garage.Part) { p.Name, p.Side, p.LeadLow, p.LeadLikely, p.LeadHigh = name, "", nil, nil, nil })
		_, err := s.store.CreateNeed(s.Context(), garage.Need{StageID: s.stageOf(job), PartID: part, Quantity: 1, Stops: true}, garage.PartPick{})
		if err != nil {
			s.Fatal(err)
		}
		if job == waits {
			low, likely, high := garage.NewDate(2027, 3, 8), garage.NewDate(2027, 3, 12), garage.NewDate(2027, 3, 25)
			_, err := s.store.CreateArrival(s.Context(), garage.Arrival{PartID: part, Quantity: 1, Low: low, Likely: likely, High: high})
			if err != nil {
				s.Fatal(err)
			}
		}
	}
	return waits, blocked
}

func TestPlan_explains(t *testing.T) {
	t.Parallel()
	s := setup(t)
	for _, path := range []string{"/plan/chances", "/plan/frees"} {
		s.get(path).is(http.StatusOK)
	}
	s.addSaturdays()
	waits, blocked := s.addWaiting(s.addCar())

	// By the plan it is done on the 20th; the part may come later.
	s.get("/plan").says("How sure are they?", "Work it out")
	chances := s.get("/plan/chances").is(http.StatusOK).says("carried out 2000 times", "in time", "lost on average").doc().Find("#dates").Text()
	if !strings.Contains(chances, "≈ ") || !strings.Contains(chances, "±") || strings.Contains(chances, "≈ 100") || strings.Contains(chances, "≈ 0") {
		t.Errorf("the chance of what is not sure: %s", chances)
	}
	s.get(route.JobChance(waits)).is(http.StatusOK).says("Done by, even odds", "In four of five cases", "In time ≈")
	s.get(route.JobChance(blocked)).is(http.StatusOK).says("no place in the plan")
	s.get(route.JobChance(garage.JobID(4711))).is(http.StatusNotFound)

	// A job that is blocked says the least that would free it; one that is not says what another session would cost.
	s.get(route.JobWhy(blocked)).is(http.StatusOK).says("Why it is blocked", "short of 1 × Motor", "1 × Motor bought", "Less than this would not do.")
	s.get(route.JobWhy(waits)).is(http.StatusOK).says("Why not earlier", "waits: Caliper, expected by", "Why not in another session")
	s.get(route.JobWhy(waits)+"?at=2027-03-13T09:00:00Z").is(http.StatusOK).says("Sat 13 Mar 09:00–17:00: it cannot be done", "waits: Caliper")
	s.get(route.JobWhy(waits)+"?at=2027-04-03T09:00:00Z").is(http.StatusOK).says("Sat 3 Apr 09:00–17:00: it can be done", "days later", "See it beside the plan")
	s.get(route.JobWhy(waits) + "?at=soon").is(http.StatusOK)
	s.get(route.JobWhy(garage.JobID(4711))).is(http.StatusNotFound)
	closed := s.addJob(s.addCar(), "Horn")
	if err := s.store.CloseJob(t.Context(), closed, 1, "sold", s.clock); err != nil {
		t.Fatal(err)
	}
	s.get(route.JobWhy(closed)).is(http.StatusOK).says("It is not in the plan")
	tooSoon := garage.NewDate(2027, 3, 5)
	s.addJob(s.addCar(), "Inspection", func(j *garage.Job) { j.Due, j.LateCost = &tooSoon, 5000 })
	s.get("/plan/chances").says("No plan can keep it: short by 2 h")

	// What is bought or comes sooner frees, and leads to the plan with it.
	frees := s.get("/plan/frees").is(http.StatusOK).says("1 × Motor bought", "frees Wiper motor", "1 × Caliper here now", "1 job sooner")
	for _, a := range frees.doc().FindAll("#frees a") {
		s.get(a.Attr("href")).is(http.StatusOK).says("What comes of it")
	}
}

func TestBrowser_planFillsIn(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
	s.claim()
	s.addSaturdays()
	waits, _ := s.addWaiting(s.addCar())
	base := browsertest.Serve(t, s.server)
	signIn := func(look ...browsertest.Option) *browsertest.Page {
		p := browsertest.Open(t, look...)
		p.Goto(base + "/plan")
		p.Fill("Password", ownersPassword)
		p.Submit("Sign in")
		return p
	}
	p := signIn()
	p.Has("lost on average", "1 × Motor bought")
	p.Fits()
	p.Shot("plan-filled-in")
	p.Goto(route.Job(waits))
	p.Has("Done by, even odds")

	p = signIn(browsertest.Desktop, browsertest.NoScript)
	p.Lacks("lost on average")
	p.Click("How sure are they?")
	p.Has("lost on average")
	p.Goto("/plan")
	p.Click("Work it out")
	p.Has("1 × Motor bought")
	p.Click("1 × Motor bought")
	p.Has("1 × Motor more on hand", "1 freed")
}

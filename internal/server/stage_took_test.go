package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

func TestStage_took(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear brakes")
	stage := s.stageOf(job)
	took := func() *int {
		stored, err := s.store.Stage(t.Context(), stage)
		if err != nil {
			t.Fatal(err)
		}
		return stored.ActualMinutes
	}
	// Nonsense marks nothing done, and stands where it was typed.
	refused := s.fill(route.Job(job), ".stageacts form.form", url.Values{"took": {"all afternoon"}}).is(http.StatusUnprocessableEntity).
		says("Minutes or hours, please", "next")
	if got := refused.doc().Find("#f-took").Attr("value"); got != "all afternoon" {
		t.Errorf("what was typed is %q now", got)
	}
	s.fill(route.Job(job), ".stageacts form.form", url.Values{"took": {"600000"}}).is(http.StatusUnprocessableEntity).says("From one minute to a year.")

	s.fill(route.Job(job), ".stageacts form.form", url.Values{"took": {"2 h 30"}}).to(route.Job(job))
	if got := took(); got == nil || *got != 150 {
		t.Errorf("took %v", got)
	}
	s.get(route.Job(job)).says("took 2 h 30, estimated 2 h")
	s.fill(route.Job(job), ".stagetook form.form", url.Values{"took": {"never"}}).is(http.StatusUnprocessableEntity).says("Minutes or hours, please")
	s.fill(route.Job(job), ".stagetook form.form", url.Values{"took": {"1:50"}}).to(route.Job(job))
	s.get(route.Job(job)).says("“Fit the calipers” took 1 h 50.")
	s.fill(route.Job(job), ".stagetook form.form", url.Values{"took": {""}}).to(route.Job(job))
	if got := took(); got != nil {
		t.Errorf("took %d", *got)
	}
	s.post(route.StageTook(garage.StageID(4711)), nil).is(http.StatusNotFound)

	// Nobody has to say, and what was said is not lost when the bins hold too little.
	other := s.addJob(s.addCar(), "Wiper motor")
	need := s.stageOf(other)
	part := s.addPart()
	if _, err := s.store.CreateNeed(t.Context(), garage.Need{StageID: need, PartID: part, Quantity: 1, Stops: true}, garage.PartPick{}); err != nil {
		t.Fatal(err)
	}
	short := s.fill(route.Job(other), ".stageacts form.form", url.Values{"took": {"45"}}).is(http.StatusUnprocessableEntity).says("The bins hold less")
	form := short.doc().Find("form.one")
	s.post(form.Attr("action"), form.FormValues()).to(route.Job(other))
	s.get(route.Job(other)).says("took 45 min")
}

// TestStage_took_isLearnt: after five stages that took twice as long, the plan gives the next one more time, unless told not to.
func TestStage_took_isLearnt(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	car := s.addCar()
	for range 5 {
		job := s.addJob(car, "Rear brakes")
		s.fill(route.Job(job), ".stageacts form.form", url.Values{"took": {"4 h"}}).to(route.Job(job))
	}
	s.addJob(car, "Front brakes")
	s.get("/settings").says("How your estimates turn out:", "Repair 1.", "from 5 stages")
	work := func() string {
		for _, row := range s.get("/plan").doc().FindAll(".planwork li") {
			if strings.Contains(row.Text(), "Front brakes") {
				return row.Find(".planlength").Text()
			}
		}
		return "nothing"
	}
	s.get("/plan").says("taken as they turn out: 1.")
	if got := work(); got == "2 h" || !strings.HasPrefix(got, "3 h") && !strings.HasPrefix(got, "2 h") {
		t.Errorf("planned with %s for an estimate of 2 h", got)
	}
	s.fill("/settings", "form.form", url.Values{"estimates": {garage.AsWritten}}).to("/settings")
	s.get("/plan").says("taken as written")
	if got := work(); got != "2 h" {
		t.Errorf("as written, planned with %s", got)
	}
}

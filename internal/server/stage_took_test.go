package server

import (
	"net/http"
	"net/url"
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

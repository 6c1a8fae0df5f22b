package server

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// steps are the texts of a job's card, in order.
func (s *site) steps(job garage.JobID) string {
	s.Helper()
	steps, err := s.store.Steps(s.Context(), job)
	if err != nil {
		s.Fatal(err)
	}
	var texts []string
	for _, step := range steps {
		texts = append(texts, strings.TrimSuffix(step.Text+" "+step.FigureText(), " "))
	}
	return strings.Join(texts, ", ")
}

func TestCardPaste(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear arms")
	edit := route.CardEdit(job)
	s.get(route.Job(job)).says("Write the card")
	s.get(edit).is(http.StatusOK).says("No steps yet", "One step a line")

	s.fill(edit, "form.form", url.Values{"lines": {" \n "}}).is(http.StatusUnprocessableEntity).says("Paste or type at least one line.")
	read := s.fill(edit, "form.form", url.Values{"lines": {"1. Wheels off\n2. Bush bolt 70 Nm + 90°\nPause: nothing loose\n3. Disc min 22 mm\n4. Let it settle 15 min"}})
	read.is(http.StatusOK).says("Nothing is kept yet", "Keep these steps")
	if got := s.steps(job); got != "" {
		t.Errorf("kept before it was confirmed: %s", got)
	}
	form := read.doc().Find("form.pasted").FormValues()
	if form.Get("step.1.kind") != "torque" || form.Get("step.1.figure") != "70 Nm + 90°" || form.Get("step.2.low") != "22" {
		t.Errorf("read as %v", form)
	}
	form.Set("keep", "back")
	s.post(route.CardPaste(job), form).is(http.StatusOK).says("2. Bush bolt 70 Nm")
	form.Set("keep", "yes")
	form.Set("step.1.figure", "70")
	wrong := s.post(route.CardPaste(job), form).is(http.StatusUnprocessableEntity)
	if got := wrong.doc().Find("[name='step.1.figure']").Attr("value"); got != "70" {
		t.Errorf("what was typed is gone: %q", got)
	}
	form.Set("step.1.figure", "75 Nm")
	form.Set("step.3.drop", "yes")
	s.post(route.CardPaste(job), form).to(edit)
	if got, want := s.steps(job), "Wheels off, Bush bolt 75 Nm, Disc at least 22\u00a0mm"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	s.get(edit).says("75 Nm", "Pause: nothing loose", "no source", "3 steps added.")
	form.Set("stage", "4711")
	s.post(route.CardPaste(job), form).is(http.StatusNotFound)
	s.get("/jobs/4711/card/edit").is(http.StatusNotFound)
}

func TestStepEdit(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Rear arms")
	part := s.addPart()
	spec, err := s.store.CreateTorqueSpec(t.Context(), garage.TorqueSpec{CarID: car, Joint: "Bush bolt", Stages: "70 Nm + 90°", Source: "Tern manual", Page: "33-12"})
	if err != nil {
		t.Fatal(err)
	}
	add := route.StepNew(s.stageOf(job), garage.StepID(0))
	s.fill(add, "form.form", url.Values{"text": {""}, "kind": {"torque"}, "figure": {"much"}, "limit_low": {"thick"}}).
		is(http.StatusUnprocessableEntity).says("Say what is done.", "A number, please.")
	s.fill(add, "form.form", url.Values{"kind": {"torque"}, "spec": {idText(spec)}}).to(route.CardEdit(job))
	s.fill(add, "form.form", url.Values{"text": {"Pins out"}, "kind": {"remove"}, "part": {idText(part)}, "quantity": {"2"}}).to(route.CardEdit(job))
	if got := s.steps(job); got != "Tighten: Bush bolt 70 Nm + 90°, Pins out" {
		t.Errorf("got %s", got)
	}
	s.get(route.CardEdit(job)).says("source: Tern manual, page 33-12", "2 × ")
	steps, _ := s.store.Steps(t.Context(), job)
	between := route.StepNew(s.stageOf(job), steps[0].ID)
	s.fill(between, "form.form", url.Values{"text": {"Clean the thread"}, "critical": {"yes"}, "cautions": {"brakes, steering, suspension, tyres"}}).to(route.CardEdit(job))
	s.post(route.StepMove(steps[1].ID), url.Values{"to": {"up"}}).to(route.CardEdit(job))
	if got := s.steps(job); got != "Tighten: Bush bolt 70 Nm + 90°, Pins out, Clean the thread" {
		t.Errorf("got %s", got)
	}
	s.post(route.StepMove(steps[1].ID), url.Values{"to": {"sideways"}}).is(http.StatusBadRequest)
	s.post(route.StepDelete(steps[1].ID), nil).to(route.CardEdit(job)).undo(s).to(route.CardEdit(job))
	s.stale(route.StepEdit(steps[1].ID), "text", "Both pins out", "All pins out").to(route.CardEdit(job))
	s.fill(route.StepEdit(steps[1].ID), "form.form", url.Values{"kind": {"wait"}, "figure": {"a while"}}).is(http.StatusUnprocessableEntity)
	s.get("/steps/4711/edit").is(http.StatusNotFound)
	s.get("/stages/4711/steps/new").is(http.StatusNotFound)
}

func TestCard_from_elsewhere(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job, next := s.addJob(car, "Rear arms"), s.addJob(car, "Front arms")
	steps := []garage.Step{{Kind: garage.DoStep, Text: "Left arm off", Side: "left"}, {Kind: garage.DoStep, Text: "Clean"}}
	if _, err := s.store.AddSteps(t.Context(), s.stageOf(job), 0, steps); err != nil {
		t.Fatal(err)
	}
	s.post(route.StageMirror(s.stageOf(job)), url.Values{"side": {"left"}}).to(route.CardEdit(job))
	s.get(route.CardEdit(job)).says("1 step added for the right side.")
	if got := s.steps(job); got != "Left arm off, Right arm off, Clean" {
		t.Errorf("got %s", got)
	}
	s.get(route.CardEdit(next)).says("Rear arms", "Copy its steps")
	s.post(route.CardCopy(next), url.Values{"from": {"4711"}}).is(http.StatusUnprocessableEntity).says("Choose one of the list.")
	s.post(route.CardCopy(next), url.Values{"from": {idText(job)}}).to(route.CardEdit(next))
	s.post(route.CardPattern(job), url.Values{"name": {""}}).is(http.StatusUnprocessableEntity).says("Give it a name")
	s.post(route.CardPattern(job), url.Values{"name": {"Arms"}}).to(route.CardEdit(job))
	use := s.get(route.CardEdit(next)).says("Arms (3 steps)").doc().Find("select[name=use] option").Attr("value")
	s.post(route.CardPattern(next), url.Values{"use": {use}}).to(route.CardEdit(next))
	if got := len(strings.Split(s.steps(next), ", ")); got != 6 {
		t.Errorf("%d steps: %s", got, s.steps(next))
	}
	id, _ := strconv.ParseInt(use, 10, 64)
	back := url.Values{"job": {idText(next)}}
	s.post(route.CardPatternDelete(id), back).to(route.CardEdit(next)).undo(s).to(route.CardEdit(next))
	s.post("/card-patterns/4711/delete", back).is(http.StatusNotFound)
}

package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/web/route"
)

func TestNeed(t *testing.T) {
	t.Parallel()

	t.Run("of a part that is new, then of one that is known", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		stage := s.stageOf(job)
		s.fill(route.NeedNew(stage), "form.form", url.Values{"new_part.name": {"Caliper"}, "quantity": {"2"}, "then": {"another"}}).to(route.NeedNew(stage))
		options := s.get(route.NeedNew(stage)+"?q=cal").is(http.StatusOK).says("Part added to “Fit the calipers”.", "1 part found for “cal”").doc().FindAll("select[name=part] option")
		s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {options[1].Attr("value")}, "quantity": {"1"}, "stops": {}, "note": {"spare"}}).to(route.Job(job))
		s.get(route.Job(job)).is(http.StatusOK).says("Caliper", "2 missing", "nice to have", "spare")
		s.fill(route.NeedNew(stage), "form.form", url.Values{"new_part.name": {"caliper"}}).to(route.Job(job))
		if n := len(s.get(route.NeedNew(stage) + "?q=cal").doc().FindAll("select[name=part] option")); n != 2 {
			t.Errorf("%d options, want none and one: the part was known by its name", n)
		}
		s.get(route.NeedNew(stage) + "?q=gearbox").is(http.StatusOK).says("0 parts found for “gearbox”")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		stage := s.stageOf(job)
		doc := s.fill(route.NeedNew(stage), "form.form", url.Values{"quantity": {"some"}, "note": {"long ones"}}).
			is(http.StatusUnprocessableEntity).says("Choose the part.", "A whole number, please.").doc()
		if got := doc.Find("form.form").FormValues(); got.Get("quantity") != "some" || got.Get("note") != "long ones" {
			t.Errorf("what was typed is lost: %v", got)
		}
		s.exec(`insert into parts (name, side) values ('Arm', 'left'), ('Arm', 'right')`)
		s.fill(route.NeedNew(stage), "form.form", url.Values{"new_part.name": {"arm"}}).
			is(http.StatusUnprocessableEntity).says("There are several parts of that name.", "Arm, left", "Arm, right")
		s.get("/stages/4711/needs/new").is(http.StatusNotFound)
		s.get("/needs/4711/edit").is(http.StatusNotFound)
	})

	t.Run("changed, deleted and undone", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.addNamedPart(job, "Caliper")
		edit := s.get(route.Job(job)).doc().Find(".table th a").Attr("href")
		s.fill(edit, "form.form", url.Values{"quantity": {"3"}}).to(route.Job(job))
		s.fill(edit, "form.form", url.Values{"quantity": {"0"}}).is(http.StatusUnprocessableEntity).says("From 1 to 1,000,000.")
		s.stale(edit, "quantity", "4", "5").to(route.Job(job))
		s.get(route.Job(job)).says("5 missing")
		remove := s.get(edit).doc().Find("main form.one").Attr("action")
		deleted := s.post(remove, nil).to(route.Job(job))
		deleted.undo(s).to(route.Job(job))
		s.get(route.Job(job)).says("The part is needed again.", "5 missing")
	})
}

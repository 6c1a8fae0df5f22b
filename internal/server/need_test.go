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
		s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {"Caliper"}, "new_part": {"yes"}, "quantity": {"2"}, "then": {"another"}}).to(route.NeedNew(stage))
		offered := s.get(route.NeedNew(stage)).is(http.StatusOK).says("Part added to “Fit the calipers”.").doc().FindAll("datalist option")
		if len(offered) != 1 || offered[0].Attr("value") != "Caliper" {
			t.Errorf("offered are %d parts", len(offered))
		}
		s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {"caliper"}, "stops": {}, "note": {"spare"}}).to(route.Job(job))
		s.get(route.Job(job)).is(http.StatusOK).says("Caliper", "2 missing", "nice to have", "spare")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		stage := s.stageOf(job)
		doc := s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {"Hose"}, "quantity": {"0"}, "note": {"long ones"}}).
			is(http.StatusUnprocessableEntity).says("There is no part called Hose. Tick to make it.", "From 1 to 1,000,000.").doc()
		if got := doc.Find("form.form").FormValues(); got.Get("part") != "Hose" || got.Get("quantity") != "0" || got.Get("note") != "long ones" {
			t.Errorf("what was typed is lost: %v", got)
		}
		s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {"Hose"}, "quantity": {"some"}}).
			is(http.StatusUnprocessableEntity).says("A whole number, please.")
		s.exec(`insert into parts (name, side) values ('Arm', 'left'), ('Arm', 'right')`)
		s.fill(route.NeedNew(stage), "form.form", url.Values{"part": {"arm"}}).is(http.StatusUnprocessableEntity).says("Several parts fit: Arm, left; Arm, right.")
		s.get("/stages/4711/needs/new").is(http.StatusNotFound)
		s.get("/needs/4711/edit").is(http.StatusNotFound)
	})

	t.Run("changed, deleted and undone", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.addNamedPart(job, "Caliper")
		edit := s.get(route.Job(job)).doc().Find(".table td a").Attr("href")
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

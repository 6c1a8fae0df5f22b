package server

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

func idText[T ~int64](id T) string { return strconv.FormatInt(int64(id), 10) }

// addNamedPart makes the first stage of a job need one piece of a part that is new to the garage.
func (s *site) addNamedPart(job garage.JobID, name string) garage.PartID {
	s.Helper()
	need := garagetest.Need(func(n *garage.Need) { n.StageID, n.Quantity = s.stageOf(job), 1 })
	id, err := s.store.CreateNeed(s.Context(), need, garage.PartPick{Text: name, New: true})
	if err != nil {
		s.Fatal(err)
	}
	stored, err := s.store.Need(s.Context(), id)
	if err != nil {
		s.Fatal(err)
	}
	return stored.PartID
}

func (s *site) exec(sql string, args ...any) {
	s.Helper()
	if _, err := s.db.Exec(s.Context(), sql, args...); err != nil {
		s.Fatal(err)
	}
}

// addOnDonor notes pieces on a donor that a job takes off.
func (s *site) addOnDonor(donor garage.CarID, part garage.PartID, quantity int, job garage.JobID) {
	s.Helper()
	s.exec(`insert into donor_parts (car_id, part_id, quantity, harvest_job_id) values ($1, $2, $3, $4)`, donor, part, quantity, job)
}

// addStock puts pieces into a bin of that name.
func (s *site) addStock(part garage.PartID, bin string, quantity int) {
	s.Helper()
	s.exec(`insert into bins (name) values ($1)`, bin)
	s.exec(`insert into stock_movements (part_id, bin_id, quantity, kind) select $1, id, $2, 'bought' from bins where name = $3`,
		part, quantity, bin)
}

func (s *site) onHand(part garage.PartID) (n int) {
	s.Helper()
	if err := s.db.QueryRow(s.Context(), `select coalesce(sum(quantity), 0) from stock where part_id = $1`, part).Scan(&n); err != nil {
		s.Fatal(err)
	}
	return n
}

// stageTitles are the heads of the stages as the job's page shows them.
func (s *site) stageTitles(job garage.JobID) string {
	s.Helper()
	var titles []string
	for _, h := range s.get(route.Job(job)).is(http.StatusOK).doc().FindAll(".stagehead h3") {
		titles = append(titles, h.Text())
	}
	return strings.Join(titles, " ")
}

func TestStage(t *testing.T) {
	t.Parallel()

	t.Run("added, changed, moved, deleted and undone", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Bonnet")
		s.fill(route.StageNew(job), "form.form", url.Values{"name": {"Dry"}, "kind": {"wait"}, "minutes_likely": {"2 d"}, "then": {"another"}}).
			to(route.StageNew(job))
		s.fill(route.StageNew(job), "form.form", url.Values{"name": {"Painter"}, "kind": {"outside"}, "minutes_likely": {"3"}, "minutes_high": {"5"}}).
			to(route.Job(job))
		s.get(route.Job(job)).says("Stage “Painter” added.", "2. Dry", "2 days", "Waiting: nobody works.", "3 days (3 days to 5 days)", "Outside work")
		stages, err := s.store.Stages(t.Context(), job)
		if err != nil {
			t.Fatal(err)
		}
		painter := stages[2].ID
		up := s.get(route.StageEdit(painter)).is(http.StatusOK).doc().Find("form[action=" + route.StageMove(painter) + "]")
		s.post(up.Attr("action"), up.FormValues()).to(route.Job(job))
		if got, want := s.stageTitles(job), "1. Fit the calipers 2. Painter 3. Dry"; got != want {
			t.Errorf("got %q, want %q", got, want)
		}
		s.fill(route.StageEdit(painter), "form.form", url.Values{"name": {"At the painter"}}).to(route.Job(job))
		deleted := s.post(route.StageDelete(painter), nil).to(route.Job(job))
		deleted.undo(s).to(route.Job(job))
		if got, want := s.stageTitles(job), "1. Fit the calipers 2. At the painter 3. Dry"; got != want {
			t.Errorf("got %q, want %q", got, want)
		}
		s.stale(route.StageEdit(painter), "name", "Painter in town", "Painter by the river").to(route.Job(job))
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Bonnet")
		doc := s.fill(route.StageNew(job), "form.form", url.Values{"name": {""}, "minutes_low": {"3 h"}, "minutes_likely": {"2 h"}, "helpers": {"many"}}).
			is(http.StatusUnprocessableEntity).says("Give it a name.", "must not run backwards", "A whole number, please.").doc()
		if got := doc.Find("form.form").FormValues(); got.Get("minutes_low") != "3 h" || got.Get("helpers") != "many" {
			t.Errorf("what was typed is lost: %v", got)
		}
		s.fill(route.StageEdit(s.stageOf(job)), "form.form", url.Values{"minutes_likely": {"1 d"}}).
			is(http.StatusUnprocessableEntity).says("A day of work is not 24 hours")
		s.get("/jobs/4711/stages/new").is(http.StatusNotFound)
		s.get("/stages/4711/edit").is(http.StatusNotFound)
	})

	t.Run("says when nothing lets the car roll again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Gearbox")
		s.fill(route.StageEdit(s.stageOf(job)), "form.form", url.Values{"immobile": {"from"}}).to(route.Job(job))
		s.get(route.Job(job)).says("From its start the car cannot roll.", "nothing lets it roll again")
		s.fill(route.StageNew(job), "form.form", url.Values{"name": {"In again"}, "minutes_likely": {"90"}, "immobile": {"until"}}).to(route.Job(job))
		if page := s.get(route.Job(job)).doc().Find("main").Text(); strings.Contains(page, "nothing lets it roll again") {
			t.Error("still warns though a later stage ends it")
		}
	})
}

func TestStage_done(t *testing.T) {
	t.Parallel()

	t.Run("uses the kit, and undone brings it back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		part := s.addNamedPart(job, "Caliper")
		s.addStock(part, "A1", 3)
		s.get(route.Job(job)).says("1 on hand in A1")
		stage := s.stageOf(job)
		done := s.post(route.StageDone(stage), nil).to(route.Job(job))
		if got := s.onHand(part); got != 2 {
			t.Errorf("%d on hand, want 2", got)
		}
		s.post(route.StageDone(stage), nil).to(route.Job(job)) // a second tap
		if got := s.onHand(part); got != 2 {
			t.Errorf("%d on hand after a second tap, want 2", got)
		}
		s.get(route.Job(job)).says("is done already", "done Fri 5 Mar 2027", "used", "Close job")
		if done.header.Get("Set-Cookie") == "" {
			t.Error("no flash")
		}
		s.post(route.StageUndone(stage), nil).to(route.Job(job))
		if got := s.onHand(part); got != 3 {
			t.Errorf("%d on hand after the undo, want 3", got)
		}
		s.post(route.StageUndone(stage), nil).to(route.Job(job))
		s.get(route.Job(job)).says("was not done")
	})

	t.Run("asks when something is short", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.addNamedPart(job, "Caliper")
		ask := s.post(route.StageDone(s.stageOf(job)), nil).is(http.StatusUnprocessableEntity).
			says("Caliper: called for 1, on hand none").doc().Find("main form.one")
		s.get(route.Job(job)).says("next", "1 missing")
		s.post(ask.Attr("action"), ask.FormValues()).undo(s).to(route.Job(job))
		s.get(route.Job(job)).says("is to be done again")
	})

	t.Run("says what it did to the car", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		job := s.addJob(car, "Gearbox")
		stage := s.stageOf(job)
		s.fill(route.StageEdit(stage), "form.form", url.Values{"immobile": {"from"}}).to(route.Job(job))
		s.post(route.StageDone(stage), nil).to(route.Job(job))
		s.get(route.Job(job)).says("The car cannot roll now.")
		if c, err := s.store.Car(t.Context(), car); err != nil || !c.Immobile {
			t.Errorf("immobile %v %v", c.Immobile, err)
		}
		s.get(route.StageEdit(stage)).is(http.StatusOK)
		s.fill(route.StageEdit(stage), "form.form", url.Values{"name": {"Later"}}).is(http.StatusUnprocessableEntity).says("This stage is done. Undo that first.")
	})
}

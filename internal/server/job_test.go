package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

// addJob puts a job with one stage of two hours on a car.
func (s *site) addJob(car garage.CarID, title string, changes ...func(*garage.Job)) garage.JobID {
	s.Helper()
	job := garagetest.Job(append(changes, func(j *garage.Job) { j.CarID, j.Title = car, title })...)
	id, err := s.store.CreateJob(s.Context(), job, nil, garagetest.Stage())
	if err != nil {
		s.Fatal(err)
	}
	return id
}

// stageOf is the first stage of a job.
func (s *site) stageOf(job garage.JobID) garage.StageID {
	s.Helper()
	stages, err := s.store.Stages(s.Context(), job)
	if err != nil || len(stages) == 0 {
		s.Fatal("no stage", err)
	}
	return stages[0].ID
}

// undo presses Undo on the page that an answer leads to, and is the answer to that.
func (a answer) undo(s *site) answer {
	a.Helper()
	form := s.get(a.is(http.StatusSeeOther).location).is(http.StatusOK).doc().Find(".flash form")
	return s.post(form.Attr("action"), form.FormValues())
}

func TestJob_list(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/jobs").is(http.StatusOK).says("No open jobs", "Add a job")
	s.get("/jobs/new").is(http.StatusOK).says("No cars yet")
	estate := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	donor := s.addCar(func(c *garage.Car) { c.Name, c.Role = "Tern saloon", garage.Donor })
	s.get("/jobs/new").is(http.StatusOK).says("Tern estate", "Tern saloon")
	s.addJob(estate, "Front arms")
	s.addJob(donor, "Arms off", func(j *garage.Job) { j.Kind = garage.Harvest })
	closed := s.addJob(estate, "Wiper motor")
	if err := s.store.CloseJob(t.Context(), closed, 1, "sold", s.clock); err != nil {
		t.Fatal(err)
	}
	for query, want := range map[string]string{
		"":                        "Front arms Arms off",
		"?car=" + idText(donor):   "Arms off",
		"?kind=harvest":           "Arms off",
		"?state=closed":           "Wiper motor",
		"?state=all&kind=repair":  "Front arms Wiper motor",
		"?state=closed&kind=x":    "Wiper motor",
		"?kind=service&state=all": "",
	} {
		var have []string
		for _, link := range s.get("/jobs" + query).is(http.StatusOK).doc().FindAll(".table th a") {
			have = append(have, link.Text())
		}
		if got := strings.Join(have, " "); got != want {
			t.Errorf("%s lists %q, want %q", query, got, want)
		}
	}
	s.get("/jobs?kind=service").says("No job is like that")
	for _, state := range []string{"open", "closed", "all"} {
		if got := s.get("/jobs?kind=repair&state=" + state).doc().Find("form.filter").FormValues(); got.Get("state") != state || got.Get("kind") != "repair" {
			t.Errorf("asked for %s repairs, the filter says %v", state, got)
		}
	}
	s.get(route.Car(estate)).says("Front arms").is(http.StatusOK)
	s.get("/jobs/new?car=4711").is(http.StatusNotFound)
	s.get("/jobs/new?car=x").is(http.StatusNotFound)
	s.get("/jobs/4711").is(http.StatusNotFound)
}

func TestJob_new(t *testing.T) {
	t.Parallel()

	t.Run("added with its first stage", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
		first := s.addJob(car, "Strip the hub")
		wheels, err := s.store.CreateAccess(t.Context(), garage.Access{CarID: car, Name: "Wheels off", OpenMinutes: 15, CloseMinutes: 20})
		if err != nil {
			t.Fatal(err)
		}
		added := s.fill(route.JobNewOn(car), "form.form", url.Values{
			"title": {"Rear brakes"}, "kind": {"upgrade"}, "weight": {"8"}, "reason": {"The left one sticks."},
			"due": {"2027-04-03"}, "due_for": {"Inspection"}, "late_cost_per_day": {"5"}, "late_cost": {"120,00"}, "not_before": {"2027-03-08"},
			"after.0.job": {idText(first)}, "after.0.gap": {"1 day"},
			"stage.minutes_low": {"90"}, "stage.minutes_likely": {"2 h"}, "stage.minutes_high": {"3:20"}, "stage.lift": {"yes"},
			"stage.immobile": {"within"}, "stage.access": {idText(wheels)}, "stage.helpers": {"1"},
		})
		s.get(added.is(http.StatusSeeOther).location).is(http.StatusOK).says("Job “Rear brakes” added.", "upgrade", "urgent",
			"The left one sticks.", "Due Sat 3 Apr, in 29 days, for: Inspection", "late costs 5.00 EUR a day and 120.00 EUR once",
			"Not before Mon 8 Mar 2027", "Strip the hub", "then a gap of 1 day", "1. Rear brakes", "2 h (1 h 30 to 3 h 20)", "On the lift.",
			"Needs 1 helper.", "The car cannot roll only during it.", "Opens: Wheels off.", "No parts are called for.")
		s.get(route.Job(first)).says("Waits for this job")
	})

	t.Run("one after another", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		s.fill(route.JobNewOn(car), "form.form", url.Values{"title": {"One"}, "then": {"another"}}).to(route.JobNewOn(car))
		s.get(route.JobNewOn(car)).is(http.StatusOK).says("Job “One” added.")
		s.get("/jobs").says("One", "no stages")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		first := s.addJob(car, "Strip the hub")
		doc := s.fill(route.JobNewOn(car), "form.form", url.Values{
			"title": {""}, "late_cost": {"lots"}, "after.0.job": {idText(first)}, "after.0.gap": {"soon"}, "stage.minutes_likely": {"long"},
			"stage.tools": {"77"},
		}).is(http.StatusUnprocessableEntity).says("Give it a name.", "Write an amount like", "A time like 12 h or 2 days", "A time like 90").doc()
		for field, want := range map[string]string{
			"late_cost": "lots", "after.0.gap": "soon", "after.0.job": idText(first), "stage.minutes_likely": "long",
		} {
			if got := doc.Find("form.form").FormValues().Get(field); got != want {
				t.Errorf("%s holds %q, want %q", field, got, want)
			}
		}
		for _, field := range []string{"title", "late_cost", "after.0.gap"} {
			if !strings.Contains(doc.Find("[name="+field+"]").Attr("aria-describedby"), "-error") {
				t.Errorf("%s is not described by its message", field)
			}
		}
		s.fill(route.JobNewOn(car), "form.form", url.Values{"title": {"A"}, "stage.minutes_likely": {"60"}, "stage.tools": {"77"}}).
			is(http.StatusUnprocessableEntity).says("One of the tools is not there any more.")
	})
}

func TestJob_edit(t *testing.T) {
	t.Parallel()

	t.Run("saved", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		job := s.addJob(car, "Rear brakes")
		s.fill(route.JobEdit(job), "form.form", url.Values{"title": {"Rear brakes, both"}, "weight": {"9"}}).to(route.Job(job))
		s.get(route.Job(job)).is(http.StatusOK).says("Job saved.", "Rear brakes, both", "before all else")
		s.fill(route.JobEdit(job), "form.form", url.Values{"weight": {"12"}}).is(http.StatusUnprocessableEntity).says("From 1 to 9.")
		s.get("/jobs/4711/edit").is(http.StatusNotFound)
	})

	t.Run("saved twice", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.stale(route.JobEdit(job), "title", "Brakes of the helper", "Brakes of mine").to(route.Job(job))
		s.get(route.Job(job)).says("Brakes of mine")
	})

	t.Run("a loop is named", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		a, b := s.addJob(car, "Arms off"), s.addJob(car, "Bushes")
		s.fill(route.JobEdit(b), "form.form", url.Values{"after.0.job": {idText(a)}}).to(route.Job(b))
		s.fill(route.JobEdit(a), "form.form", url.Values{"after.0.job": {idText(b)}}).
			is(http.StatusUnprocessableEntity).says("They would wait for each other: Arms off → Bushes → Arms off.")
		// taken off again without a script: the row's job set to none
		s.fill(route.JobEdit(b), "form.form", url.Values{"after.0.job": {""}}).to(route.Job(b))
		s.fill(route.JobEdit(a), "form.form", url.Values{"after.0.job": {idText(b)}}).to(route.Job(a))
	})
}

func TestJob_delete(t *testing.T) {
	t.Parallel()

	t.Run("and undone", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.post(route.JobDelete(job), nil).to(route.Jobs()).undo(s).to(route.Job(job))
		s.get(route.Job(job)).is(http.StatusOK).says("The job is back.")
		s.post(route.JobDelete(job), nil).to(route.Jobs())
		s.get(route.Job(job)).is(http.StatusNotFound)
	})

	t.Run("says who counts on it", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		car := s.addCar()
		strip := s.addJob(car, "Strip the hub")
		brakes := s.addJob(car, "Rear brakes")
		s.fill(route.JobEdit(brakes), "form.form", url.Values{"after.0.job": {idText(strip)}}).to(route.Job(brakes))
		if link := s.get(route.Job(strip)).doc().Find("main a.danger"); link.Attr("href") != route.JobDelete(strip) {
			t.Error("the job's page deletes without asking")
		}
		s.get(route.JobDelete(strip)).is(http.StatusOK).says("These jobs wait for it", "Rear brakes")
		s.post(route.JobDelete(strip), nil).is(http.StatusUnprocessableEntity).says("These jobs wait for it", "Rear brakes")
		s.get(route.Job(strip)).is(http.StatusOK)
		despite := url.Values{"despite": {"yes"}}
		s.post(route.JobDelete(strip), despite).to(route.Jobs()).undo(s).to(route.Job(strip))
		s.get(route.Job(brakes)).says("Strip the hub")
		s.post(route.JobDelete(strip), despite).to(route.Jobs())
		if s.get(route.Job(brakes)).doc().Has("a[href=" + route.Job(strip) + "]") {
			t.Error("the other job still waits for it")
		}
	})
}

func TestJob_close(t *testing.T) {
	t.Parallel()

	t.Run("as it is, with a word", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.get(route.JobClose(job)).is(http.StatusOK).says("Not done", "Fit the calipers")
		s.fill(route.JobClose(job), "form.form", nil).is(http.StatusUnprocessableEntity).says("Say in a word why it is closed as it is.")
		s.fill(route.JobClose(job), "form.form", url.Values{"closed_as": {"sold"}}).to(route.Job(job))
		page := s.get(route.Job(job)).is(http.StatusOK).says("Fri 5 Mar 2027, as it is: sold", "Reopen job", "not done").doc()
		if page.Has("a[href=" + route.JobEdit(job) + "]") {
			t.Error("a closed job offers to be changed")
		}
		s.post(route.JobReopen(job), nil).to(route.Job(job))
		s.get(route.Job(job)).says("The job is open again.")
		s.post(route.JobReopen(job), nil).to(route.Job(job))
	})

	t.Run("with all stages done", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := s.addJob(s.addCar(), "Rear brakes")
		s.post(route.StageDone(s.stageOf(job)), nil).to(route.Job(job))
		button := s.get(route.Job(job)).doc().Find("form[action=" + route.JobClose(job) + "]")
		s.post(button.Attr("action"), button.FormValues()).undo(s).to(route.Job(job))
		s.get(route.Job(job)).says("The job is open again.")
		s.post(route.JobClose(job), url.Values{"version": {"1"}}).is(http.StatusConflict)
	})
}

func TestJob_when(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear brakes")
	s.get(route.JobWhen(job)).is(http.StatusOK).says("There are no sessions in the coming weeks.")
	if err := s.store.UpdateSettings(t.Context(), garagetest.Settings()); err != nil {
		t.Fatal(err)
	}
	for _, p := range []garage.SessionPattern{{Weekday: 6, FromMinute: 540, ToMinute: 1020, Helpers: 1}, {Weekday: 5, FromMinute: 540, ToMinute: 600}} {
		if _, err := s.store.CreateSessionPattern(t.Context(), p); err != nil {
			t.Fatal(err)
		}
	}
	options := s.get(route.JobWhen(job)).is(http.StatusOK).says("Sat 6 Mar, 09:00 to 17:00, 1 helper").doc().FindAll("select option")
	if len(options) < 16 || options[1].Text() != "Sat 6 Mar, 09:00 to 17:00, 1 helper" {
		t.Errorf("%d sessions to choose from, the first is %q; this morning's is over", len(options), options[1].Text())
	}
	const saturday = "2027-03-06T08:00:00Z"
	s.fill(route.JobWhen(job), "form.form", url.Values{"session": {saturday}, "not_before": {"2027-03-06"}}).to(route.Job(job))
	s.get(route.Job(job)).is(http.StatusOK).says("Fixed to the session of Sat 6 Mar 2027 09:00", "Not before Sat 6 Mar 2027")
	if got := s.get(route.JobWhen(job)).doc().Find("form.form").FormValues().Get("session"); got != saturday {
		t.Errorf("the form holds %q", got)
	}
	s.fill(route.JobWhen(job), "form.form", url.Values{"session": {"tomorrow"}}).is(http.StatusUnprocessableEntity).says("Choose one of the list.")
	s.stale(route.JobWhen(job), "not_before", "2027-03-07", "2027-03-08").to(route.Job(job))
	s.fill(route.JobWhen(job), "form.form", url.Values{"session": {""}, "not_before": {""}}).to(route.Job(job))
	if page := s.get(route.Job(job)).doc().Find("main").Text(); strings.Contains(page, "Fixed to the") {
		t.Error("still fixed:", page)
	}
}

func TestJob_takeOff(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor := s.addCar(func(c *garage.Car) { c.Name, c.Role = "Tern saloon", garage.Donor })
	job := s.addJob(donor, "Arms off", func(j *garage.Job) { j.Kind = garage.Harvest })
	part := s.addNamedPart(job, "Trailing arm")
	s.addOnDonor(donor, part, 2, job)
	s.get(route.JobDelete(job)).is(http.StatusOK).says("It was to take these parts off", "Trailing arm")
	s.post(route.JobDelete(job), nil).is(http.StatusUnprocessableEntity)

	s.post(route.StageDone(s.stageOf(job)), url.Values{"without": {"yes"}}).to(route.JobTakeOff(job))
	s.get(route.JobTakeOff(job)).is(http.StatusOK).says("2 × Trailing arm")
	s.fill(route.JobTakeOff(job), "form.form", nil).is(http.StatusUnprocessableEntity).says("Name the bin.")
	s.fill(route.JobTakeOff(job), "form.form", url.Values{"parts": {}, "bin": {"C3"}}).
		is(http.StatusUnprocessableEntity).says("Choose what was taken off.")
	put := url.Values{"bin": {"C3"}, "new_bin": {"yes"}}
	taken := s.fill(route.JobTakeOff(job), "form.form", put).to(route.Job(job))
	if got := s.onHand(part); got != 2 {
		t.Errorf("%d on hand, want 2", got)
	}
	taken.undo(s).to(route.Job(job))
	s.get(route.Job(job)).says("The parts are on the donor again.", "still on the car")
	if got := s.onHand(part); got != 0 {
		t.Errorf("%d on hand after the undo, want 0", got)
	}
	s.fill(route.JobTakeOff(job), "form.form", put).to(route.Job(job))
	s.get(route.Job(job)).is(http.StatusOK).says("taken off Fri 5 Mar")
	s.get(route.JobTakeOff(job)).is(http.StatusOK).says("Nothing is left to take off")
	if got := s.onHand(part); got != 2 {
		t.Errorf("%d on hand, want 2", got)
	}
}

package server

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/caution"
	"axlestand/web/route"
)

// cardOfSteps is an open job with some steps on its card.
func (s *site) cardOfSteps(steps ...garage.Step) (garage.JobID, []garage.StepID) {
	s.Helper()
	job := s.addJob(s.addCar(), "Rear arms")
	ids, err := s.store.AddSteps(s.Context(), s.stageOf(job), 0, steps)
	if err != nil {
		s.Fatal(err)
	}
	return job, ids
}

// stepState is how a step stands on the card's page.
func (s *site) stepState(job garage.JobID, step garage.StepID) string {
	s.Helper()
	return s.get(route.Card(job)).is(http.StatusOK).doc().Find("#step-" + strconv.FormatInt(int64(step), 10)).Attr("data-state")
}

// press sends a form of a step, as the card's page has it.
func (s *site) press(job garage.JobID, step garage.StepID, what string, fields url.Values) answer {
	s.Helper()
	form := s.get(route.CardOpen(job, step)).is(http.StatusOK).doc().Find("#" + what + "-" + strconv.FormatInt(int64(step), 10))
	values := form.FormValues()
	for name, value := range fields {
		values[name] = value
	}
	return s.post(form.Attr("action"), values)
}

func TestCard_is_worked_step_by_step_without_script(t *testing.T) {
	t.Parallel()
	s := setup(t)
	low, high := 21.0, 23.5
	job, ids := s.cardOfSteps(
		garage.Step{Kind: garage.DoStep, Text: "Wheels off"},
		garage.Step{Kind: garage.TorqueStep, Text: "Bush bolt", Figure: "70 Nm + 90°", Source: "Maker's manual", Page: "12", Critical: true},
		garage.Step{Kind: garage.TorqueStep, Text: "Bracket", Figure: "25 Nm"},
		garage.Step{Kind: garage.MeasureStep, Text: "Disc thickness", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"},
		garage.Step{Kind: garage.WaitStep, Text: "Let the oil settle", Figure: "15 min"},
	)
	s.get(route.Card(job)).says("0 of 5", "Wheels off", "70 Nm + 90°", "no source", "Maker's manual")
	s.press(job, ids[0], "mark", nil).to(route.CardNow(job))
	s.press(job, ids[1], "mark", url.Values{"value": {"68 Nm + 90°"}}).to(route.CardNow(job))
	s.press(job, ids[2], "nowrench", nil).to(route.CardNow(job))
	s.get(route.Card(job)).says("2 of 5", "Second look", "Not tightened with a wrench: Bracket, 25 Nm")
	for i, want := range []string{"done", "done", "no-wrench", "now", "open"} {
		if got := s.stepState(job, ids[i]); got != want {
			t.Errorf("step %d is %s, want %s", i+1, got, want)
		}
	}

	wrong := s.press(job, ids[3], "mark", url.Values{"value": {"thick"}, "note": {"inner side"}}).is(http.StatusUnprocessableEntity)
	if said := wrong.says("Not kept yet: what is wrong stands at step 4").doc().Find(".card [role=alert] a").Attr("href"); !wrong.doc().Has(said) {
		t.Errorf("the message leads to %q, which is not on the page", said)
	}
	typed := wrong.doc().Find("#value-" + strconv.FormatInt(int64(ids[3]), 10)).Attr("value")
	note := wrong.doc().Find("#note-" + strconv.FormatInt(int64(ids[3]), 10)).Attr("value")
	if typed != "thick" || note != "inner side" {
		t.Errorf("what was typed is now %q and %q", typed, note)
	}
	s.press(job, ids[3], "mark", url.Values{"value": {"20.4 mm"}}).to(route.CardNow(job))
	row := s.get(route.Card(job)).says("Disc thickness: ").doc().Find("#step-" + strconv.FormatInt(int64(ids[3]), 10) + " .stephead").Text() // a follow-up says so
	if !strings.Contains(row, "20.4 mm is under the limit: 21 to 23.5 mm, 18:00") {
		t.Errorf("what is outside its limits reads %q, as if it were right", row)
	}

	s.press(job, ids[4], "mark", nil).to(route.CardNow(job))
	if got := s.stepState(job, ids[4]); got != "running" {
		t.Errorf("the timer is %s", got)
	}
	s.get(route.Card(job)).says("until 18:15")
	s.clock = s.clock.Add(15 * time.Minute)
	s.press(job, ids[4], "mark", nil).to(route.CardNow(job))
	if got := s.stepState(job, ids[4]); got != "done" {
		t.Errorf("the wait is %s", got)
	}
	s.press(job, ids[1], "second", nil).to(route.CardNow(job))
	s.get(route.CardOpen(job, ids[1])).says("Looked at a second time", "The stage is done")
	undo := s.get(route.Card(job)).doc().Find("#step-" + strconv.FormatInt(int64(ids[0]), 10) + " .stepundo form")
	s.post(undo.Attr("action"), undo.FormValues()).to(route.CardNow(job))
	if got := s.stepState(job, ids[0]); got != "now" {
		t.Errorf("undone it is %s", got)
	}
}

func TestCard_waits_for_the_makers_figure(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job, ids := s.cardOfSteps(garage.Step{Kind: garage.WaitStep, Text: "Wait before the airbag", Cautions: []caution.Topic{caution.Airbags}})
	page := s.get(route.Card(job)).says("Battery off", "The wait that the maker gives")
	if page.doc().Has("#mark-" + strconv.FormatInt(int64(ids[0]), 10)) {
		t.Error("it can be ticked without the maker's wait")
	}
	s.press(job, ids[0], "figure", url.Values{"value": {"10 min"}, "source": {""}}).is(http.StatusUnprocessableEntity).says("Where is it written?")
	s.press(job, ids[0], "figure", url.Values{"value": {"10 min"}, "source": {"Maker's manual"}, "page": {"7"}}).to(route.CardNow(job))
	s.get(route.Card(job)).says("Start 10 min", "Maker's manual")
}

// TestCard_ticks_of_a_phone come late, twice and undone by their own key.
func TestCard_ticks_of_a_phone(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job, ids := s.cardOfSteps(garage.Step{Kind: garage.DoStep, Text: "Wheels off"}, garage.Step{Kind: garage.DoStep, Text: "Calipers off"})
	if s.get(route.Card(job)).doc().Has("#now") {
		t.Error("before the first step the card does not open at what is ready before it")
	}
	at := s.clock.Add(-2 * time.Hour).Format(time.RFC3339)
	tick := url.Values{"kind": {"done"}, "at": {at}, "once": {"phone-1"}}
	s.sendKept(route.StepMark(ids[0]), "phone-1", tick).is(http.StatusNoContent)
	s.sendKept(route.StepMark(ids[0]), "phone-1", tick).is(http.StatusNoContent)
	card, err := s.store.Card(t.Context(), job)
	if err != nil || len(card.Marks) != 1 || !card.Marks[0].At.Equal(s.clock.Add(-2*time.Hour)) {
		t.Fatalf("%+v %v", card.Marks, err)
	}
	s.sendKept(route.StepUndo(ids[0]), "phone-2", url.Values{"of": {"phone-1"}, "once": {"phone-2"}}).is(http.StatusNoContent)
	if got := s.stepState(job, ids[0]); got != "now" {
		t.Errorf("undone by its key it is %s", got)
	}
	s.sendKept(route.StepUndo(ids[0]), "phone-3", url.Values{"of": {"never"}, "once": {"phone-3"}}).is(http.StatusUnprocessableEntity)
}

func TestCard_leaving_and_coming_back(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job, ids := s.cardOfSteps(garage.Step{Kind: garage.DoStep, Text: "Wheels off"}, garage.Step{Kind: garage.DoStep, Text: "Calipers off"})
	s.press(job, ids[0], "mark", nil)
	s.post(route.JobLeave(job), url.Values{"loose": {strings.Repeat("x", 1001)}}).is(http.StatusUnprocessableEntity)
	s.post(route.JobLeave(job), url.Values{"loose": {"front left bolts by hand"}}).to(route.Card(job))
	s.get(route.Card(job)).says("Left at 18:00", "Loose: front left bolts by hand", "Wheels off")
	s.get("/").says("front left bolts by hand")
	s.post(route.JobReturn(job), url.Values{"confirmed": {"1"}}).to(route.CardNow(job))
	if s.get(route.Card(job)).doc().Has(".cardleft") {
		t.Error("it still says that nobody is back")
	}
}

func TestCard_empty(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear arms")
	s.get(route.Card(job)).is(http.StatusOK).says("No steps yet", "Write the card")
	s.get(route.Card(garage.JobID(9999))).is(http.StatusNotFound)
}

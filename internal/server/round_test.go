package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestRounds: a job is done again until something is seen; the next round waits at a distance and stands on the first page when
// the car has run it; the owner ends it with a word, and can take it back.
func TestRounds(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job := s.addJob(car, "Flush the coolant")
	at := route.Rounds(job)
	s.get(route.Job(job)).says("Repeat it until something is seen")
	s.get(at).is(http.StatusOK).says("Done once")
	long := strings.Repeat("klar ", 50)
	refused := s.fill(at, "form.form", url.Values{"repeat_until": {long}}).is(http.StatusUnprocessableEntity).says("Keep it to 200 characters.").doc()
	if got := refused.Find("#f-repeat_until").Attr("value"); got != strings.TrimSpace(long) {
		t.Errorf("typed and lost: %q", got)
	}
	s.fill(at, "form.form", url.Values{"repeat_until": {"it runs clear"}}).to(at)
	s.get(at).says("Again until this is seen:", "it runs clear", "No round yet")
	wrong := s.fill(at, "form.form", url.Values{"observation": {"rusty"}, "next_distance": {"200"}}).is(http.StatusUnprocessableEntity).
		says("The car has no odometer reading to count from.").doc()
	if got := wrong.Find("#f-observation").Attr("value"); got != "rusty" {
		t.Errorf("typed and lost: %q", got)
	}
	today := garage.NewDate(2027, 3, 5)
	read := func(shown int) {
		t.Helper()
		if _, err := s.store.AddReading(t.Context(), car, garage.ReadingEntry{ReadOn: today, Shown: shown, Unit: "km"}, today); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.store.AddReading(t.Context(), car, garage.ReadingEntry{ReadOn: garage.NewDate(2027, 2, 5), Shown: 49_300, Unit: "km"}, today); err != nil {
		t.Fatal(err)
	}
	read(50_000) // 25 km a day
	s.fill(at, "form.form", url.Values{"observation": {"rusty"}, "reading": {"5.2 l out"}, "next_distance": {"200"}}).to(at)
	s.get(at).says("Round 1", "rusty", "5.2 l out", "next after 200 km (about Sat 13 Mar as it is driven)")
	s.get(route.Job(job)).says("1 round so far, until it runs clear")
	s.get(route.Card(job)).says("1 round so far")
	s.get(route.FollowUps(car)).says("Round 2: Flush the coolant", "in 200 km")
	if home := s.get("/").is(http.StatusOK).body; strings.Contains(home, "Round 2") {
		t.Error("asked for before it was driven")
	}
	read(50_210)
	if row := s.get("/").says("Round 2: Flush the coolant", "10 km past it").doc().Find(`a[href="` + at + `"]`); row.Text() == "" {
		t.Error("the first page does not lead to the rounds")
	}
	s.fill(at, "form.form", url.Values{"observation": {"clear"}, "ended": {"as clear as it went in"}}).to(at)
	s.get(at).says("ended: as clear as it went in")
	s.get(route.FollowUps(car)).says("done: round 2")
	if s.get(at).doc().Has("#f-observation") {
		t.Error("ended, and asks for one more")
	}
	s.fill(at, ".roundundo", nil).to(at)
	s.get(at).says("The round is taken back.")
	s.get("/").says("Round 2: Flush the coolant")
	s.get("/jobs/4711/rounds").is(http.StatusNotFound)
	s.post("/rounds/4711/undo", nil).is(http.StatusNotFound)
}

// TestRounds_helper: a helper sees what is to be seen and what was, and changes nothing of it.
func TestRounds_helper(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job, _ := s.cardOfSteps(garage.Step{Kind: garage.DoStep, Text: "Drain it"})
	if err := s.store.SetRepeat(t.Context(), job, "it runs clear"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.store.AddRound(t.Context(), garage.Round{JobID: job, At: time.Now(), Observation: "rusty"}); err != nil {
		t.Fatal(err)
	}
	link, given := s.makeLink(job, url.Values{"may": {"tick"}})
	_ = link
	h := s.helper()
	home := h.start(given)
	h.get(home + route.Card(job)).is(http.StatusOK).says("Rounds: 1 round so far")
	page := h.get(home+route.Rounds(job)).is(http.StatusOK).says("it runs clear", "rusty").doc()
	if n := len(page.FindAll("main form")); n != 0 {
		t.Errorf("%d forms for a helper", n)
	}
	if got := h.post(home+route.Rounds(job), url.Values{"ended": {"done"}, "observation": {"clear"}}).status; got < 400 {
		t.Errorf("a helper ended it: %d", got)
	}
	if card, err := s.store.Card(t.Context(), job); err != nil || card.RoundsEnded() {
		t.Errorf("%v: %+v", err, card.Rounds)
	}
}

// TestStage_tookFromCard: how long a stage took by the ticks of its card is offered where it is said to be done, and is what
// estimates are held against.
func TestStage_tookFromCard(t *testing.T) {
	t.Parallel()
	s := setup(t)
	var steps []garage.Step
	for _, text := range []string{"Wheels off", "Calipers off", "Discs off", "Discs on"} {
		steps = append(steps, garage.Step{Kind: garage.DoStep, Text: text})
	}
	job, ids := s.cardOfSteps(steps...)
	if s.get(route.Job(job)).doc().Find(".stageacts form.form").FormValues().Get("took") != "" {
		t.Error("measured before there was anything to measure")
	}
	for i, id := range ids { // at 10:00, 10:20, 10:40 and, after a lunch, 12:30
		at := time.Date(2027, 3, 5, 10, 20*i, 0, 0, time.UTC)
		if i == 3 {
			at = at.Add(90 * time.Minute)
		}
		s.press(job, id, "mark", url.Values{"at": {at.Format(time.RFC3339)}}).to(route.CardNow(job))
	}
	page := s.get(route.Job(job)).says("Measured from the ticks of its card").doc()
	if got := page.Find(".stageacts form.form").FormValues().Get("took"); got != "1\u00a0h" {
		t.Errorf("offered %q", got)
	}
	s.fill(route.Job(job), ".stageacts form.form", nil).to(route.Job(job))
	s.get(route.Job(job)).says("took 1 h, estimated 2 h")
	took, err := s.store.Took(t.Context())
	if err != nil || len(took) != 1 {
		t.Fatalf("what estimates are held against: %+v, %v", took, err)
	}
}

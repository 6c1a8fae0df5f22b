package server

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/web/route"
)

// makeLink makes a helper link for a job by its form, and is the link's page and the path that a helper is given.
func (s *site) makeLink(job garage.JobID, fields url.Values) (link, given string) {
	s.Helper()
	if !fields.Has("name") {
		fields.Set("name", "Neighbour")
	}
	link = s.fill(route.LinkNewFor(job), "form.form", fields).is(http.StatusSeeOther).location
	address := s.get(link).is(http.StatusOK).doc().Find(".linkaddress a").Attr("href")
	given, ok := strings.CutPrefix(address, s.url)
	if !ok {
		s.Fatalf("the address %q is not one of %s", address, s.url)
	}
	return link, given
}

// helper is a browser that is not the owner's.
func (s *site) helper() *site {
	other := *s
	other.client = newClient(s.T)
	return &other
}

// start follows a link and presses its button; it is where that leads.
func (s *site) start(given string) string {
	s.Helper()
	form := s.get(given).is(http.StatusOK).doc().Find("main form")
	return s.post(form.Attr("action"), form.FormValues()).is(http.StatusSeeOther).location
}

func TestLink_lets_a_helper_in(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	car := s.addCar(func(c *garage.Car) { c.Name, c.VIN, c.Plate = "Tern estate", "0AXTERN0000000001", "XX 123" })
	job := s.addJob(car, "Rear brakes")
	s.addJob(car, "Wiper motor")
	link, given := s.makeLink(job, url.Values{})
	s.get(route.Links()).says("Neighbour", "1 job, look and tick, until the end of Fri 19 Mar 2027", "not used")

	h := s.helper()
	h.get("/").is(http.StatusSeeOther)
	landing := h.get(given).is(http.StatusOK).says("You can help here", "A link for Neighbour", "Rear brakes", "Tern estate", "Tick them")
	landing.saysNot("Wiper motor", "0AXTERN", "XX 123", "Parts", "Plan")
	if policy := landing.header.Get("Referrer-Policy"); policy != "origin" {
		t.Errorf("the address goes on as referrer: %q", policy)
	}
	s.get(link).says("Not used, 0 browsers", "Only this machine can open this address") // looking had no effect
	home := h.start(given)
	h.get(home).is(http.StatusOK).says("What you can help with", "Rear brakes").saysNot("Wiper motor", "XX 123", given)
	h.get("/").is(http.StatusSeeOther)
	h.get(route.Job(job)).is(http.StatusSeeOther)
	s.get(link).says("Used 5 Mar 2027, 18:00, 1 browser")

	// Ended, it opens nothing, at once.
	s.post(route.LinkRevoke(garage.LinkID(9999)), nil).is(http.StatusNotFound)
	revoke := s.get(link).doc().Find("main form.one")
	s.post(revoke.Attr("action"), revoke.FormValues()).to(link)
	h.get(home).is(http.StatusNotFound).says("This link opens nothing")
	h.get(given).is(http.StatusNotFound)
	s.get(route.Links()).says("Over", "ended 5 Mar 2027, 18:00")
}

// TestLink_gone_looks_alike: who holds a link that opens nothing does not learn why.
func TestLink_gone_looks_alike(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear brakes")
	revoked, ended := s.makeLink(job, url.Values{})
	form := s.get(revoked).doc().Find("main form.one")
	s.post(form.Attr("action"), form.FormValues())
	_, out := s.makeLink(job, url.Values{"until": {"2027-03-06"}})
	h := s.helper()
	home := h.start(out)
	s.clock = s.clock.AddDate(0, 0, 2)
	want := h.get(route.HelpWith(strings.Repeat("A", 43))).is(http.StatusNotFound).body
	for name, path := range map[string]string{
		"revoked": ended, "run out": out, "no token": route.HelpWith("x"), "started, run out": home, "never started": route.Help(garage.LinkID(9999)),
		"not a number": "/help/abc", "bare": route.HelpGone(),
	} {
		if got := h.get(path).is(http.StatusNotFound).body; got != want {
			t.Errorf("%s differs from an unknown link:\n%s\n%s", name, got, want)
		}
	}
	h.post(route.HelpStart(), url.Values{"token": {strings.TrimPrefix(out, "/help/with/")}}).is(http.StatusNotFound)
}

func TestLink_guessing_is_slowed_down(t *testing.T) {
	t.Parallel()
	s := setup(t)
	_, given := s.makeLink(s.addJob(s.addCar(), "Rear brakes"), url.Values{})
	h := s.helper()
	for range peerLimit {
		h.get(route.HelpWith(strings.Repeat("B", 43))).is(http.StatusNotFound)
	}
	h.get(route.HelpWith(strings.Repeat("C", 43))).is(http.StatusTooManyRequests)
	h.get(given).is(http.StatusTooManyRequests)
	s.post("/signout", nil)
	s.post("/signin", url.Values{"password": {ownersPassword}}).to("/") // the owner does not wait for it
	s.clock = s.clock.Add(time.Minute)
	h.get(given).is(http.StatusOK)
}

func TestLink_form(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	car := s.addCar()
	brakes := s.addJob(car, "Rear brakes")
	s.addJob(car, "Wiper motor")

	wrong := s.fill(route.LinkNewFor(brakes), "form.form", url.Values{"name": {""}, "until": {"2027-03-04"}, "rights": {"drive"}}).
		is(http.StatusUnprocessableEntity).says("Give it a name.", "That day is over.", "Choose one of the list.")
	if got := wrong.doc().Find("input[name=until]").Attr("value"); got != "2027-03-04" {
		t.Errorf("what was typed is now %q", got)
	}
	s.fill(route.LinkNewFor(brakes), "form.form", url.Values{"name": {"N"}, "until": {"2027-07-01"}}).
		is(http.StatusUnprocessableEntity).says("90 days at most.")
	s.fill(route.LinkNew(), "form.form", url.Values{"name": {"N"}}).is(http.StatusUnprocessableEntity).says("Choose at least one job.")
	s.get(route.LinkNew()).says("For all that is planned on one day", "Sat 6 Mar")

	// For a day: what the plan has on it, and no longer than that day.
	day := s.get(route.LinkNewOn("2027-03-06")).is(http.StatusOK).says("Rear brakes", "Wiper motor")
	if got := day.doc().Find("input[name=until]").Attr("value"); got != "2027-03-06" {
		t.Errorf("a day's link holds until %q", got)
	}
	link := s.fill(route.LinkNewOn("2027-03-06"), "form.form", url.Values{"name": {"Club"}, "rights": {"look"}}).is(http.StatusSeeOther).location
	s.get(link).says("Sat 6 Mar 2027: 2 jobs, look")
	s.get(route.LinkNewOn("2027-03-07")).says("No job to share")
	if s.get(route.Links()).doc().Has("main form.one") {
		t.Error("one link, and all can be ended")
	}
}

func TestLink_undo_what_was_done(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear brakes")
	steps, err := s.store.AddSteps(t.Context(), s.stageOf(job), 0, []garage.Step{{Kind: garage.DoStep, Text: "Wheels off"}, {Kind: garage.DoStep, Text: "Calipers off"}})
	if err != nil {
		t.Fatal(err)
	}
	link, _ := s.makeLink(job, url.Values{})
	links, err := s.store.Links(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, step := range steps {
		if _, err := s.store.MarkStep(t.Context(), garage.StepMark{StepID: step, Kind: garage.DoneMark, ByLink: &links[0].ID}, s.clock); err != nil {
			t.Fatal(err)
		}
	}
	s.get(link).says("Wheels off", "Calipers off", "5 Mar 2027, 18:00: done")
	undo := s.get(link).doc().FindAll("main form.one")[1]
	s.post(undo.Attr("action"), undo.FormValues()).to(link)
	s.get(link).says("2 ticks of Neighbour undone.", "done, undone since")
	if n := len(s.get(link).doc().FindAll("main form.one")); n != 1 {
		t.Errorf("%d buttons, want only the one that ends the link", n)
	}
}

// TestHelp_card: a helper works the card of the link's job and reaches nothing else.
func TestHelp_card(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar(func(c *garage.Car) { c.Name, c.VIN, c.Plate = "Tern estate", "0AXTERN0000000001", "XX 123" })
	job, other := s.addJob(car, "Rear brakes"), s.addJob(car, "Wiper motor")
	write := func(job garage.JobID, steps ...garage.Step) []garage.StepID {
		ids, err := s.store.AddSteps(t.Context(), s.stageOf(job), 0, steps)
		if err != nil {
			t.Fatal(err)
		}
		return ids
	}
	ids := write(job,
		garage.Step{Kind: garage.TorqueStep, Text: "Caliper bolts", Figure: "30 Nm", Critical: true}, garage.Step{Kind: garage.DoStep, Text: "Wheels on"})
	foreign := write(other, garage.Step{Kind: garage.DoStep, Text: "Arm off"})

	_, given := s.makeLink(job, url.Values{})
	h := s.helper()
	home := h.start(given)
	card := h.get(home).is(http.StatusOK).doc().Find("main .list a").Attr("href")
	page := h.get(card).is(http.StatusOK).says("Caliper bolts", "30 Nm", "0 of 2")
	page.saysNot("XX 123", "0AXTERN", "Wiper motor", "Close out", route.Job(job)+`"`)
	form := page.doc().Find("#mark-" + garageID(ids[0]))
	h.post(form.Attr("action"), form.FormValues()).to(card)
	h.get(card).says("1 of 2", "Second look")
	links, err := s.store.Links(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	marks, err := s.store.LinkMarks(t.Context(), links[0].ID)
	if err != nil || len(marks) != 1 {
		t.Fatalf("%d marks by the link, %v", len(marks), err)
	}

	// The owner's tick is the owner's: a helper may look at it a second time, and not undo it.
	tick := s.get(route.Card(job)).doc().Find("#mark-" + garageID(ids[1])).FormValues()
	s.post(route.StepMark(ids[1]), tick).to(route.CardNow(job))
	h.post(home+route.StepUndo(ids[1]), url.Values{"of": tick["once"]}).is(http.StatusUnprocessableEntity)
	undoes := h.get(card).says("2 of 2").doc().FindAll(".stepundo form") // their own
	if len(undoes) != 1 || undoes[0].Attr("action") != home+route.StepUndo(ids[0]) {
		t.Fatalf("%d ticks can be undone, want their own", len(undoes))
	}
	_, elses := s.makeLink(job, url.Values{"name": {"Cousin"}})
	cousin := s.helper()
	if at := cousin.start(elses); len(cousin.get(at+route.Card(job)).says("2 of 2").doc().FindAll(".stepundo form")) != 0 {
		t.Error("one helper may undo what another did")
	}
	h.post(undoes[0].Attr("action"), undoes[0].FormValues()).to(card)
	h.get(card).says("1 of 2")

	for _, path := range []string{home + route.Card(other), home + route.Card(garage.JobID(999)), home + "/jobs/x/card"} {
		h.get(path).is(http.StatusNotFound)
	}
	h.post(home+route.StepMark(foreign[0]), url.Values{"kind": {"done"}}).is(http.StatusNotFound)
	for _, path := range []string{route.Card(job), route.StepMark(ids[0]), route.StepWrench(ids[0]), "/plan", "/parts", "/links"} {
		if got := h.post(path, nil).status; got < 400 {
			t.Errorf("POST %s is answered %d", path, got)
		}
	}

	_, given = s.makeLink(job, url.Values{"rights": {"look"}})
	looker := s.helper()
	home = looker.start(given)
	if looker.get(home + route.Card(job)).is(http.StatusOK).doc().Has("main form") {
		t.Error("who may only look finds something to press")
	}
	looker.post(home+route.StepMark(ids[1]), url.Values{"kind": {"done"}}).is(http.StatusUnprocessableEntity).says("ticking is the owner's")
}

// TestLink_secret_in_no_log follows a link in every way there is, also into errors, and reads what was written down of it.
func TestLink_secret_in_no_log(t *testing.T) {
	t.Parallel()
	var log written
	s := setupUnclaimed(t, pgtest.Tx(t), func(o *Options) {
		o.Log = slog.New(slog.NewJSONHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	})
	s.claim()
	job := s.addJob(s.addCar(), "Rear brakes")
	_, given := s.makeLink(job, url.Values{})
	h := s.helper()
	home := h.start(given)
	h.get(home + route.Card(job)).is(http.StatusOK)
	h.get(given + "/x").is(http.StatusNotFound)
	h.post(given, url.Values{}).is(http.StatusMethodNotAllowed)
	h.get(route.Today() + "?back=" + url.QueryEscape(given))
	s.server.AllowEntry("ONCE")
	h.get("/enter?token=ONCE").is(http.StatusOK)
	secrets := []string{strings.TrimPrefix(given, "/help/with/"), "token=ONCE", ownersPassword, s.token()}
	for _, c := range h.client.Jar.Cookies(must(url.Parse(s.url + home))) {
		secrets = append(secrets, c.Value)
	}
	if len(secrets) != 5 || !strings.Contains(log.String(), "/help/with/{token}") {
		t.Fatalf("%d secrets to look for in: %s", len(secrets), log.String())
	}
	for _, secret := range secrets {
		if strings.Contains(log.String(), secret) {
			t.Errorf("the log tells %q", secret)
		}
	}
}

// written is a log to read while it is written.
type written struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (w *written) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(p)
}

func (w *written) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.String()
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

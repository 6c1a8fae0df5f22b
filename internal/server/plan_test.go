package server

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/web/route"
)

// addSaturdays gives the garage a session each Saturday from 9 to 17, in UTC.
func (s *site) addSaturdays() {
	s.Helper()
	_, err := s.store.CreateSessionPattern(s.Context(), garage.SessionPattern{Weekday: 6, FromMinute: 540, ToMinute: 1020})
	if err != nil {
		s.Fatal(err)
	}
}

// notBefore says by its form that a job is not to be done before a day.
func (s *site) notBefore(job garage.JobID, day string) answer {
	s.Helper()
	return s.fill(route.JobWhen(job), "form.form", url.Values{"not_before": {day}}).to(route.Job(job))
}

func TestPlan_says_what_changed(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	brakes, wiper := s.addJob(car, "Rear brakes"), s.addJob(car, "Wiper motor")
	if line := s.get("/plan").is(http.StatusOK).doc().FindAll(".planchange"); len(line) > 0 {
		t.Errorf("says %q before anything changed", line[0].Text())
	}
	s.notBefore(brakes, "2027-03-10")
	s.get("/plan").is(http.StatusOK).says("Since the plan of Fri 5 Mar 18:00: 1 job moved to another day", "7 days later")
	row := s.get("/plan").doc().Find(".planchange tbody tr").Text()
	for _, word := range []string{"Rear brakes", "Tern estate", "Sat 6 Mar", "Sat 13 Mar"} {
		if !strings.Contains(row, word) {
			t.Errorf("the row does not say %q: %s", word, row)
		}
	}

	// What does not change the plan leaves the line as it is, also after a while.
	s.clock = s.clock.Add(time.Hour)
	s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
	s.get("/plan").says("Since the plan of Fri 5 Mar 18:00: 1 job moved to another day")

	s.notBefore(wiper, "2027-03-15")
	s.get("/plan").says("Since the plan of Fri 5 Mar 19:00: 1 job moved to another day", "14 days later")
	s.post(route.JobDelete(wiper), nil).to(route.Jobs())
	s.post(route.JobRestore(wiper), nil).to(route.Job(wiper))
	s.get("/plan").says("1 new", "not there")
}

// TestPlan_says_changes_of_other_servers: two servers share a database; each shows and compares what the other's owner did.
func TestPlan_says_changes_of_other_servers(t *testing.T) {
	t.Parallel()
	s := setup(t)
	other := New(s.server.options)
	s.addSaturdays()
	brakes := s.addJob(s.addCar(), "Rear brakes")
	s.get("/plan").says("Sat 6 Mar 09:00–17:00")
	s.notBefore(brakes, "2027-03-10")
	line := "Since the plan of Fri 5 Mar 18:00: 1 job moved to another day"
	s.get("/plan").says(line)

	elsewhere := *s
	web := httptest.NewServer(other)
	t.Cleanup(web.Close)
	elsewhere.url = web.URL // the cookies do not know ports: it is signed in there too
	elsewhere.get("/plan").says(line)
	elsewhere.notBefore(brakes, "2027-03-16")
	s.get("/plan").says("7 days later", "Sat 20 Mar")
}

func TestPlan_GET_keeps_nothing(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	job := s.addJob(s.addCar(), "Rear brakes")
	for range 3 {
		for _, path := range []string{"/", "/plan", "/cars", "/jobs", route.Job(job)} {
			s.get(path).is(http.StatusOK)
		}
		s.clock = s.clock.Add(24 * time.Hour)
	}
	shot, err := s.store.Snapshot(t.Context())
	if err != nil || shot.Plan != nil {
		t.Errorf("a plan was kept: %+v (%v)", shot.Plan, err)
	}
	// A form that is refused keeps none either; one that changes the garage does.
	s.post("/tools", url.Values{"name": {""}}).is(http.StatusUnprocessableEntity)
	if shot, _ = s.store.Snapshot(t.Context()); shot.Plan != nil {
		t.Errorf("a plan was kept: %+v", shot.Plan)
	}
	s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
	if shot, _ = s.store.Snapshot(t.Context()); shot.Plan == nil || len(shot.Plan.Stages) != 1 || shot.PlanOf != shot.Version {
		t.Errorf("kept %+v for %d of %d", shot.Plan, shot.PlanOf, shot.Version)
	}
}

// made counts how often the log says that a plan was made.
type made struct {
	mu  sync.Mutex
	log bytes.Buffer
}

func (m *made) Write(b []byte) (int, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.log.Write(b)
}

func (m *made) count() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := bytes.Count(m.log.Bytes(), []byte("msg=planned"))
	m.log.Reset()
	return n
}

// TestPlan_made_once: however many pages are asked for at once, one plan is made; a change or five minutes make it anew.
func TestPlan_made_once(t *testing.T) {
	t.Parallel()
	var log made
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) {
		o.Log = slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	})
	s.claim()
	s.addSaturdays()
	job := s.addJob(s.addCar(), "Rear brakes")
	ask := func() {
		var all sync.WaitGroup
		for range 12 {
			all.Go(func() {
				if a := s.get("/plan"); a.status != http.StatusOK {
					t.Errorf("status %d", a.status)
				}
			})
		}
		all.Wait()
	}
	ask()
	if n := log.count(); n != 1 {
		t.Errorf("%d plans made for pages asked for at once, want 1", n)
	}
	ask()
	s.clock = s.clock.Add(4 * time.Minute)
	ask()
	if n := log.count(); n != 0 {
		t.Errorf("%d plans made while nothing changed, want 0", n)
	}
	s.notBefore(job, "2027-03-10")
	ask()
	if n := log.count(); n != 1 {
		t.Errorf("%d plans made for a change, want 1", n)
	}
	s.clock = s.clock.Add(time.Minute)
	ask()
	if n := log.count(); n != 1 {
		t.Errorf("%d plans made after five minutes, want 1", n)
	}
	// Changed behind this server's back, as by another one on the same database.
	if err := postgres.New(s.db).DeleteJob(t.Context(), job, true); err != nil {
		t.Fatal(err)
	}
	if page := s.get("/plan"); strings.Contains(page.body, "Rear brakes") || log.count() != 1 {
		t.Error("a job deleted elsewhere is still in the plan")
	}
}

// TestToday_says_what_fits_together: two jobs of two hours on one car fit into half a day, and not into three hours.
func TestToday_says_what_fits_together(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar(func(c *garage.Car) { c.Name = "Tern estate" })
	s.addJob(car, "Rear brakes")
	s.addJob(car, "Wiper motor")
	at := s.clock // Friday 18:00

	today := s.get("/?until=" + at.Add(5*time.Hour).Format("15:04")).is(http.StatusOK)
	today.says("Rear brakes", "Wiper motor")
	place := today.doc().Find("#together")
	s.get(place.Attr("data-load")).is(http.StatusOK).says("Together, in the time until 23:00", "Rear brakes", "Wiper motor", "done by")

	short := s.get("/together?until=" + at.Add(3*time.Hour).Format("15:04")).is(http.StatusOK)
	short.says("no two fit together")

	wrong := s.get("/?until=half+past+nine").is(http.StatusUnprocessableEntity)
	wrong.says("A time of day, such as 17:30.", "Nothing fits into 2 h")
	if typed := wrong.doc().Find("input[name=until]").Attr("value"); typed != "half past nine" {
		t.Errorf("what was typed is now %q", typed)
	}
}

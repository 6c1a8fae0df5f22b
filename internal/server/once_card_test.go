package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/trade/caution"
	"axlestand/web/route"
)

// worked is a garage with a card, on which requests are made one after another.
type worked struct {
	*site
	job, other garage.JobID
}

// cardRequest changes something on a card. Where it goes and what it holds depends on what is there by then.
type cardRequest struct {
	name string
	make func(w *worked) (path string, form url.Values)
}

// keyed is the request with its key among its fields, as page and script send it.
func (c cardRequest) keyed(w *worked, n int) (string, url.Values) {
	w.Helper()
	path, form := c.make(w)
	if !form.Has("once") {
		form.Set("once", fmt.Sprint("key-", n))
	}
	return path, form
}

func (w *worked) step(n int) garage.StepID {
	w.Helper()
	steps, err := w.store.Steps(w.Context(), w.job)
	if err != nil || len(steps) <= n {
		w.Fatalf("step %d of %d: %v", n, len(steps), err)
	}
	return steps[n].ID
}

// mark is the last mark of a step.
func (w *worked) mark(n int) garage.MarkID {
	w.Helper()
	card, err := w.store.Card(w.Context(), w.job)
	if err != nil {
		w.Fatal(err)
	}
	step, last := w.step(n), garage.MarkID(0)
	for _, m := range card.Marks {
		if m.StepID == step && m.Kind != garage.UndoneMark {
			last = max(last, m.ID)
		}
	}
	return last
}

func marked(n int, fields ...string) func(*worked) (string, url.Values) {
	return func(w *worked) (string, url.Values) { return route.StepMark(w.step(n)), pairs(fields...) }
}

func pairs(fields ...string) url.Values {
	form := url.Values{}
	for i := 0; i < len(fields); i += 2 {
		form.Add(fields[i], fields[i+1])
	}
	return form
}

// The requests of a card, in an order in which each finds something to change.
var cardRequests = []cardRequest{
	{"done", marked(0, "kind", "done", "at", "2027-03-05T17:00:00Z", "once", "the-first")},
	{"undone by its key", func(w *worked) (string, url.Values) { return route.StepUndo(w.step(0)), pairs("of", "the-first") }},
	{"done again", marked(0, "kind", "done")},
	{"undone", func(w *worked) (string, url.Values) {
		return route.MarkUndo(w.mark(0)), pairs("at", "2027-03-05T17:20:00Z")
	}},
	{"tightened", marked(1, "kind", "done", "value", "45 Nm", "note", "left one turns")},
	{"looked at once more", marked(1, "kind", "second look")},
	{"no wrench", marked(2, "kind", "no wrench", "note", "pipe in the way")},
	{"measured out of limits", marked(3, "kind", "done", "value", "7.5")},
	{"a wait's figure", func(w *worked) (string, url.Values) {
		return route.StepFigure(w.step(4)), pairs("value", "10 min", "source", "Tube", "page", "1")
	}},
	{"a wait started", marked(4, "kind", "started")},
	{"taken off", marked(5, "kind", "done")},
	{"wrench", func(w *worked) (string, url.Values) {
		return route.StepWrench(w.step(1)), pairs("extension", "50 mm", "angle", "0")
	}},
	{"leave", func(w *worked) (string, url.Values) {
		return route.JobLeave(w.job), pairs("loose", "caliper", "at", "2027-03-05T17:40:00Z")
	}},
	{"return", func(w *worked) (string, url.Values) {
		return route.JobReturn(w.job), pairs("confirmed", fmt.Sprint(w.mark(1)))
	}},
}

func newWorked(t *testing.T) *worked {
	t.Helper()
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
	s.claim()
	car := s.addCar()
	w := &worked{site: s, job: s.addJob(car, "Rear brakes"), other: s.addJob(car, "Front brakes")}
	part := s.addPart()
	low, high := 8.0, 10.0
	_, err := s.store.AddSteps(t.Context(), s.stageOf(w.job), 0, []garage.Step{
		{Kind: garage.DoStep, Text: "Wheel off"},
		{Kind: garage.TorqueStep, Text: "Caliper bolts", Figure: "45 Nm", Source: "Manual", Critical: true},
		{Kind: garage.TorqueStep, Text: "Banjo bolt", Figure: "30 Nm", Source: "Manual"},
		{Kind: garage.MeasureStep, Text: "Disc", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"},
		{Kind: garage.WaitStep, Text: "Battery off: wait", Cautions: []caution.Topic{caution.Airbags}},
		{Kind: garage.RemoveStep, Text: "Old bolts off", PartID: &part, Quantity: 2},
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// dump is all that is stored, but for ids, moments and what keeps count of what was sent.
func (w *worked) dump() map[string][]string {
	w.Helper()
	out := map[string][]string{}
	for _, table := range w.column(`select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' order by 1`) {
		if slices.Contains([]string{"operations", "signins", "garage_changes", "plans", "schema_migrations"}, table) {
			continue
		}
		for _, line := range w.column(`select to_jsonb(t)::text from ` + table + ` t`) {
			var fields map[string]any
			if err := json.Unmarshal([]byte(line), &fields); err != nil {
				w.Fatal(err)
			}
			for name, value := range fields {
				if name == "id" || name == "at" || name == "key" || name == "reverses" || name == "confirmed" || name == "search" ||
					strings.HasSuffix(name, "_id") || strings.HasSuffix(name, "_at") {
					fields[name] = value != nil
				}
			}
			clean, err := json.Marshal(fields)
			if err != nil {
				w.Fatal(err)
			}
			out[table] = append(out[table], string(clean))
		}
		slices.Sort(out[table])
	}
	return out
}

func (w *worked) column(sql string) []string {
	w.Helper()
	rows, err := w.db.Query(w.Context(), sql)
	if err != nil {
		w.Fatal(err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			w.Fatal(err)
		}
		out = append(out, s)
	}
	return out
}

// TestOnce_card makes every change that a card knows once, twice, many times at once, and again after its answer was lost, by
// script and by plain form. However it is sent, what is stored afterwards is as if it had been sent once.
func TestOnce_card(t *testing.T) {
	t.Parallel()
	lost := func(w *worked, path, key string, form url.Values) {
		r := httptest.NewRequestWithContext(w.Context(), http.MethodPost, w.url+path, strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Idempotency-Key", key)
		address, err := url.Parse(w.url)
		if err != nil {
			w.Fatal(err)
		}
		for _, c := range w.client.Jar.Cookies(address) {
			r.AddCookie(c)
		}
		w.server.ServeHTTP(httptest.NewRecorder(), r) // nobody reads what it says
	}
	ways := []struct {
		name string
		send func(w *worked, path, key string, form url.Values)
	}{
		{"once", func(w *worked, path, key string, form url.Values) {
			w.sendKept(path, key, form).is(http.StatusNoContent)
		}},
		{"twice", func(w *worked, path, key string, form url.Values) {
			w.sendKept(path, key, form).is(http.StatusNoContent)
			w.sendKept(path, key, form).is(http.StatusNoContent)
		}},
		{"at once", func(w *worked, path, key string, form url.Values) {
			var all sync.WaitGroup
			for range 5 {
				all.Go(func() { w.sendKept(path, key, form).is(http.StatusNoContent) })
			}
			all.Wait()
		}},
		{"after a lost answer", func(w *worked, path, key string, form url.Values) {
			lost(w, path, key, form)
			w.sendKept(path, key, form).is(http.StatusNoContent)
		}},
		{"as a plain form, twice", func(w *worked, path, key string, form url.Values) {
			w.post(path, form).is(http.StatusSeeOther)
			w.post(path, form).is(http.StatusSeeOther)
		}},
	}
	garages := make([]*worked, len(ways))
	for i := range ways {
		garages[i] = newWorked(t)
	}
	for n, request := range cardRequests {
		before := garages[0].dump()
		for i, way := range ways {
			path, form := request.keyed(garages[i], n)
			way.send(garages[i], path, fmt.Sprint("key-", n), form)
		}
		want := garages[0].dump()
		if cmp.Equal(before, want) {
			t.Errorf("%s changes nothing", request.name)
		}
		for i, way := range ways[1:] {
			if diff := cmp.Diff(want, garages[i+1].dump()); diff != "" {
				t.Fatalf("%s, sent %s, leaves behind (-once +%s):\n%s", request.name, way.name, way.name, diff)
			}
		}
		// The same key with another body.
		path, form := request.keyed(garages[0], n)
		form.Set("note", "something else")
		garages[0].sendKept(path, fmt.Sprint("key-", n), form).is(http.StatusUnprocessableEntity)
		if diff := cmp.Diff(want, garages[0].dump()); diff != "" {
			t.Fatalf("%s with another body under its key:\n%s", request.name, diff)
		}
	}
}

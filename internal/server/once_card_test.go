package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/go-chi/chi/v5"
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

// keptRequest is a request with its key, among its fields and as its head.
type keptRequest struct {
	path, key string
	form      url.Values
}

// keyed is the request as page and script send it.
func (c cardRequest) keyed(w *worked, n int) keptRequest {
	w.Helper()
	path, form := c.make(w)
	if !form.Has("once") {
		form.Set("once", fmt.Sprint("key-", n))
	}
	return keptRequest{path, fmt.Sprint("key-", n), form}
}

// photoField stands for a file in a form.
const photoField = "(photo)"

// asks is k as HTTP, by the script of the outbox or as a form.
func (w *worked) asks(k keptRequest, script bool) *http.Request {
	w.Helper()
	kind, body := "application/x-www-form-urlencoded", []byte(k.form.Encode())
	if k.form.Has(photoField) {
		kind, body = w.multipart(k.form)
	}
	r, err := http.NewRequestWithContext(w.Context(), http.MethodPost, w.url+k.path, bytes.NewReader(body))
	if err != nil {
		w.Fatal(err)
	}
	r.Header.Set("Content-Type", kind)
	if script {
		r.Header.Set("Idempotency-Key", k.key)
		r.Header.Set("X-Axlestand-Outbox", "1")
	}
	return r
}

// multipart is a form with a photo as a browser sends it.
func (w *worked) multipart(form url.Values) (kind string, body []byte) {
	w.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, values := range form {
		if name == photoField {
			continue
		}
		for _, value := range values {
			if err := m.WriteField(name, value); err != nil {
				w.Fatal(err)
			}
		}
	}
	file, err := m.CreateFormFile("photo", "IMG_1.jpg")
	if err != nil {
		w.Fatal(err)
	}
	shade, err := strconv.ParseUint(form.Get(photoField), 10, 8)
	if err != nil {
		w.Fatal(err)
	}
	if _, err := file.Write(camera(w.T, uint8(shade))); err != nil {
		w.Fatal(err)
	}
	if err := m.Close(); err != nil {
		w.Fatal(err)
	}
	return m.FormDataContentType(), b.Bytes()
}

// id is a number that a query finds.
func (w *worked) id(sql string) int64 {
	w.Helper()
	var id int64
	if err := w.db.QueryRow(w.Context(), sql).Scan(&id); err != nil {
		w.Fatal(sql, err)
	}
	return id
}

// filled is the form of a page as it stands, with some fields changed.
func filled(page func(*worked) string, form string, change ...string) func(*worked) (string, url.Values) {
	return func(w *worked) (string, url.Values) {
		f := w.get(page(w)).is(http.StatusOK).doc().Find(form)
		values := f.FormValues()
		values.Del("once")
		for name, value := range pairs(change...) {
			values[name] = value
		}
		return f.Attr("action"), values
	}
}

// sentTo is a form without a page.
func sentTo(path func(*worked) string, fields ...string) func(*worked) (string, url.Values) {
	return func(w *worked) (string, url.Values) { return path(w), pairs(fields...) }
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

	// what is on the card
	{"lines pasted", func(w *worked) (string, url.Values) {
		read := w.post(route.CardPaste(w.job), pairs("stage", fmt.Sprint(w.stageOf(w.job)), "lines", "Caliper on\nBanjo bolt 30 Nm")).is(http.StatusOK)
		form := read.doc().Find("form.pasted").FormValues()
		form.Set("keep", "yes")
		form.Del("once")
		return route.CardPaste(w.job), form
	}},
	{"a step added", filled(func(w *worked) string { return route.StepNew(w.stageOf(w.job), w.step(0)) }, "form.form", "text", "Clean the hub", "kind", "do")},
	{"a step changed", filled(func(w *worked) string { return route.StepEdit(w.step(1)) }, "form.form", "text", "Clean the hub face")},
	{"a step moved", sentTo(func(w *worked) string { return route.StepMove(w.step(1)) }, "to", "down")},
	{"a step taken off", sentTo(func(w *worked) string { return route.StepDelete(w.step(2)) })},
	{"a step back", sentTo(func(w *worked) string {
		return route.StepRestore(w.id(`select max(id) from steps where deleted_at is not null`))
	})},
	{"a step of a side", filled(func(w *worked) string { return route.StepNew(w.stageOf(w.job), w.step(0)) }, "form.form", "text", "Left pin in", "kind", "do", "side", "left")},
	{"the other side", sentTo(func(w *worked) string { return route.StageMirror(w.stageOf(w.job)) }, "side", "left")},
	{"copied", func(w *worked) (string, url.Values) { return route.CardCopy(w.other), pairs("from", fmt.Sprint(w.job)) }},
	{"kept as a pattern", sentTo(func(w *worked) string { return route.CardPattern(w.job) }, "name", "Brakes")},
	{"a pattern used", func(w *worked) (string, url.Values) {
		return route.CardPattern(w.other), pairs("use", fmt.Sprint(w.id(`select max(id) from card_patterns`)))
	}},
	{"a pattern deleted", sentTo(func(w *worked) string { return route.CardPatternDelete(w.id(`select max(id) from card_patterns`)) })},
	{"a pattern back", sentTo(func(w *worked) string { return route.CardPatternRestore(w.id(`select max(id) from card_patterns`)) })},

	// photos
	{"a photo of a step", sentTo(func(w *worked) string { return route.PhotosOfStep(w.step(0)) }, photoField, "40", "note", "hose")},
	{"a photo of a job", sentTo(func(w *worked) string { return route.Photos(route.Job(w.job)) }, photoField, "80")},
	{"a photo deleted", sentTo(func(w *worked) string { return route.PhotoUseDelete(w.id(`select max(id) from photo_uses`)) })},
	{"a photo back", sentTo(func(w *worked) string { return route.PhotoUseRestore(w.id(`select max(id) from photo_uses`)) })},

	// rounds
	{"again until", sentTo(func(w *worked) string { return route.JobRepeat(w.job) }, "repeat_until", "the fluid runs clear")},
	{"a round", sentTo(func(w *worked) string { return route.Rounds(w.job) }, "observation", "brown", "next_on", "2027-03-20")},
	{"a photo of a round", sentTo(func(w *worked) string { return route.PhotosOfRound(w.id(`select max(id) from rounds`)) }, photoField, "120")},
	{"a round that ends them", sentTo(func(w *worked) string { return route.Rounds(w.job) }, "observation", "clear", "ended", "clear enough")},
	{"a round taken back", sentTo(func(w *worked) string { return route.RoundUndo(w.id(`select max(id) from rounds`)) })},

	// follow-ups
	{"a follow-up", filled(func(w *worked) string { return route.FollowUpNew(w.car()) }, "form.form", "what", "Wheels once more", "due_on", "2027-03-20")},
	{"a follow-up changed", filled(func(w *worked) string { return route.FollowUpEdit(w.followUp()) }, "form.form", "what", "Wheel bolts once more")},
	{"a follow-up done", sentTo(func(w *worked) string { return route.FollowUpDone(w.followUp()) }, "note", "none moved")},
	{"a follow-up not done after all", sentTo(func(w *worked) string { return route.FollowUpDone(w.followUp()) }, "undo", "yes")},
	{"a follow-up deleted", sentTo(func(w *worked) string { return route.FollowUpDelete(w.followUp()) })},
	{"a follow-up back", sentTo(func(w *worked) string { return route.FollowUpRestore(w.followUp()) })},

	// the end
	{"closed out", filled(func(w *worked) string { return route.CardCloseOut(w.job) }, "form.form", "tools", "yes", "follow.0.what", "Look for leaks", "look_on", "2027-06-01")},
	{"looked back", filled(func(w *worked) string { return route.JobLookBack(w.job) }, "form.form", "worth", "yes", "changed", "firmer")},
	{"a stage done", sentTo(func(w *worked) string { return route.StageDone(w.stageOf(w.job)) }, "took", "90", "without", "yes")},
	{"how long it took", sentTo(func(w *worked) string { return route.StageTook(w.stageOf(w.job)) }, "took", "100")},
	{"a stage not done", sentTo(func(w *worked) string { return route.StageUndone(w.stageOf(w.job)) })},
}

// followUp is the newest.
func (w *worked) followUp() garage.FollowUpID {
	w.Helper()
	return garage.FollowUpID(w.id(`select id from follow_ups order by created_at desc, id desc limit 1`))
}

func (w *worked) car() garage.CarID {
	w.Helper()
	return garage.CarID(w.id(`select min(id) from cars`))
}

// ofCard are the addresses that change what is on a card or comes of it.
var ofCard = regexp.MustCompile(`^/(jobs/\{id\}/(card/.*|leave|return|rounds|repeat|look-back|photos)|(steps|marks|rounds|card-patterns|follow-ups|photo-uses)/.*|` +
	`stages/\{id\}/(steps|mirror|done|took|undone)|cars/\{id\}/follow-ups)$`)

// TestOnce_card_isWhole: each address that changes a card is among the requests that are sent more than once.
func TestOnce_card_isWhole(t *testing.T) {
	t.Parallel()
	w := newWorked(t)
	sent := map[string]bool{}
	for n, request := range cardRequests {
		k := request.keyed(w, n)
		c := chi.NewRouteContext()
		if !w.server.handler.(chi.Routes).Match(c, http.MethodPost, k.path) {
			t.Fatalf("%s leads to %s, which is no address", request.name, k.path)
		}
		sent[c.RoutePattern()] = true
		w.do(w.asks(k, true)).is(http.StatusNoContent)
	}
	missing := 0
	for _, address := range w.server.addresses(t) {
		pattern, post := strings.CutPrefix(address, "POST ")
		if post && ofCard.MatchString(pattern) && !sent[pattern] {
			missing++
			t.Errorf("no request of the list is sent to %s", pattern)
		}
	}
	if missing == 0 && len(sent) < 30 {
		t.Errorf("only %d addresses", len(sent))
	}
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
	script := func(w *worked, k keptRequest) answer { return w.do(w.asks(k, true)) }
	lost := func(w *worked, k keptRequest) {
		r := w.asks(k, true)
		for _, c := range w.client.Jar.Cookies(r.URL) {
			r.AddCookie(c)
		}
		r.RequestURI, r.RemoteAddr = r.URL.RequestURI(), "127.0.0.1:4711"
		w.server.ServeHTTP(httptest.NewRecorder(), r) // nobody reads what it says
	}
	ways := []struct {
		name string
		send func(w *worked, k keptRequest)
	}{
		{"once", func(w *worked, k keptRequest) { script(w, k).is(http.StatusNoContent) }},
		{"twice", func(w *worked, k keptRequest) {
			script(w, k).is(http.StatusNoContent)
			script(w, k).is(http.StatusNoContent)
		}},
		{"at once", func(w *worked, k keptRequest) {
			var all sync.WaitGroup
			for range 5 {
				all.Go(func() { script(w, k).is(http.StatusNoContent) })
			}
			all.Wait()
		}},
		{"after a lost answer", func(w *worked, k keptRequest) {
			lost(w, k)
			script(w, k).is(http.StatusNoContent)
		}},
		{"as a plain form, twice", func(w *worked, k keptRequest) {
			w.do(w.asks(k, false)).is(http.StatusSeeOther)
			w.do(w.asks(k, false)).is(http.StatusSeeOther)
		}},
	}
	garages := make([]*worked, len(ways))
	for i := range ways {
		garages[i] = newWorked(t)
	}
	for n, request := range cardRequests {
		before := garages[0].dump()
		var first keptRequest
		for i, way := range ways {
			k := request.keyed(garages[i], n)
			if i == 0 {
				first = k
			}
			way.send(garages[i], k)
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
		first.form.Set("note", "something else")
		script(garages[0], first).is(http.StatusUnprocessableEntity)
		if diff := cmp.Diff(want, garages[0].dump()); diff != "" {
			t.Fatalf("%s with another body under its key:\n%s", request.name, diff)
		}
	}
}

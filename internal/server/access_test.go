package server

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"hash/fnv"
	"log/slog"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/jackc/pgx/v5"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	demo "axlestand/testdata"
)

// Every address is tried by everybody who may come: who has nothing, helpers whose link is for this job, for another one, is
// only to look, has run out or was ended, and the owner; with requests that are whole and with ones that are mangled in ways
// that no browser would. testdata/access.txt says who may.

// writtenAccess is who may ask for each address.
func writtenAccess(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("testdata/access.txt")
	if err != nil {
		t.Fatal(err)
	}
	who := map[string]string{}
	for line := range strings.Lines(string(text)) {
		words := strings.Fields(line)
		if len(words) == 0 || words[0] == "#" {
			continue
		}
		if len(words) != 3 || !slices.Contains([]string{"anyone", "helper", "owner"}, words[0]) {
			t.Fatalf("testdata/access.txt: not who, method and address: %q", line)
		}
		if key := words[1] + " " + words[2]; who[key] != "" {
			t.Errorf("testdata/access.txt has %s twice", key)
		} else {
			who[key] = words[0]
		}
	}
	return who
}

// addresses are those that the router answers to, as "METHOD /pattern".
func (s *Server) addresses(t *testing.T) []string {
	t.Helper()
	var all []string
	err := chi.Walk(s.handler.(chi.Routes), func(method, pattern string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		all = append(all, method+" "+pattern)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(all)
	return all
}

func TestAccess_isWritten(t *testing.T) {
	t.Parallel()
	written, routed := writtenAccess(t), New(Options{}).addresses(t)
	for _, address := range routed {
		if written[address] == "" {
			t.Errorf("testdata/access.txt does not say who may ask for %s", address)
		}
	}
	for address := range written {
		if !slices.Contains(routed, address) {
			t.Errorf("testdata/access.txt has %s, which is no address any more", address)
		}
	}
}

// TestAccess_unclaimed: as long as nobody owns the garage, every address leads to the set-up.
func TestAccess_unclaimed(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Tx(t))
	open := []string{"/claim", "/healthz", "/readyz", "/static/*", "/theme", "/worker.js"}
	for _, address := range s.server.addresses(t) {
		method, pattern, _ := strings.Cut(address, " ")
		if slices.Contains(open, pattern) {
			continue
		}
		a := s.send(method, strings.NewReplacer("{id}", "1", "{link}", "1", "{reading}", "1", "{name}", "torque", "{token}", "x").Replace(pattern), nil)
		if method == http.MethodGet && a.location != "/claim" || method == http.MethodPost && a.status != http.StatusNotFound {
			t.Errorf("%s is answered %d %s before the garage is claimed", address, a.status, a.location)
		}
	}
}

// role is somebody who comes.
type role struct {
	name   string
	cookie *http.Cookie
	link   garage.LinkID // whose addresses a helper asks for
	own    garage.LinkID // that it came in by
	opens  bool          // what that link is for
	ticks  bool
}

// trial is a garage with everything in it and everybody at its doors.
type trial struct {
	*testing.T
	server  *Server
	db      pgx.Tx
	plan    *planMade
	log     *bytes.Buffer
	written map[string]string
	roles   []role
	jobs    []garage.JobID  // of the link that opens, then of the other one
	steps   []garage.StepID // two of each of these
	samples map[string][]sample
	private map[string]bool // of the owner alone: never shown without a sign-in
	hidden  map[string]bool // never shown to a helper
	asked   int
	wrong   []string // what does not hold of the last answer
	failed  int
}

func newTrial(t *testing.T) *trial {
	t.Helper()
	// A database of its own: it holds its locks for long.
	tx, err := pgtest.Pool(t).Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := tx.Rollback(context.Background()); err != nil {
			t.Error(err)
		}
	})
	r := &trial{T: t, db: tx, log: &bytes.Buffer{}, written: writtenAccess(t)}
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	store := postgres.New(r.db)
	records, err := exchange.ReadDemo(demo.Demo, garage.DateOf(now))
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Fill(t.Context(), records); err != nil {
		t.Fatal(err)
	}
	if err := store.ClaimFromHost(t.Context(), ownersHash(), now); err != nil {
		t.Fatal(err)
	}
	r.server = New(Options{
		Store: store, Now: func() time.Time { return now }, Build: "test",
		Log: slog.New(slog.NewTextHandler(r.log, &slog.HandlerOptions{Level: slog.LevelError})),
	})
	r.enter(store, now)
	r.secrets(records)
	r.photograph()
	r.collect()
	if r.plan, err = r.server.plan(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := r.db.Exec(t.Context(), "savepoint turn"); err != nil {
		t.Fatal(err)
	}
	return r
}

// enter brings everybody to the doors. The jobs of the links have steps with something to tick.
func (r *trial) enter(store *postgres.Store, now time.Time) {
	r.Helper()
	ctx := r.Context()
	jobs, err := store.Jobs(ctx, garage.JobFilter{})
	if err != nil {
		r.Fatal(err)
	}
	for _, job := range jobs {
		stages, err := store.Stages(ctx, job.ID)
		if err != nil {
			r.Fatal(err)
		}
		bench := slices.IndexFunc(stages, func(v garage.Stage) bool { return v.Kind == garage.Bench })
		if bench < 0 || len(r.jobs) == 2 {
			continue
		}
		steps := []garage.Step{{Kind: garage.TorqueStep, Text: "Caliper bolts", Figure: "30 Nm", Critical: true}, {Kind: garage.DoStep, Text: "Wheels on"}}
		added, err := store.AddSteps(ctx, stages[bench].ID, 0, steps)
		if err != nil {
			r.Fatal(err)
		}
		r.steps = append(r.steps, added...)
		r.jobs = append(r.jobs, job.ID)
	}
	token, hash := newToken()
	if err := store.CreateSignin(ctx, garage.Signin{TokenHash: hash, CreatedAt: now, SeenAt: now, Address: "127.0.0.1", SureAt: now}); err != nil {
		r.Fatal(err)
	}
	r.roles = []role{{name: "nobody"}, {name: "owner", cookie: &http.Cookie{Name: "axlestand", Value: token}}}
	right := r.helper(store, "a helper", r.jobs[0], garage.LookAndTick, now, now.AddDate(0, 0, 7))
	right.opens, right.ticks = true, true
	look := r.helper(store, "a helper who may only look", r.jobs[0], garage.Look, now, now.AddDate(0, 0, 7))
	look.opens = true
	other := r.helper(store, "a helper for another job", r.jobs[1], garage.LookAndTick, now, now.AddDate(0, 0, 7))
	other.link = right.link
	late := r.helper(store, "a helper whose link has run out", r.jobs[0], garage.LookAndTick, now.AddDate(0, 0, -7), now.AddDate(0, 0, -1))
	ended := r.helper(store, "a helper whose link was ended", r.jobs[0], garage.LookAndTick, now, now.AddDate(0, 0, 7))
	if err := store.RevokeLink(ctx, ended.link, now); err != nil {
		r.Fatal(err)
	}
	r.roles = append(r.roles, right, look, other, late, ended)
}

func (r *trial) helper(store *postgres.Store, name string, job garage.JobID, rights garage.LinkRights, from, until time.Time) role {
	r.Helper()
	_, hash := newToken()
	id, err := store.CreateLink(r.Context(), garage.Link{
		TokenHash: hash, Name: name, Rights: rights, CreatedAt: from, ExpiresAt: until, Jobs: []garage.JobID{job},
	})
	if err != nil {
		r.Fatal(err)
	}
	token, hash := newToken()
	if err := store.StartLink(r.Context(), id, hash, "test", from); err != nil {
		r.Fatal(err)
	}
	return role{name: name, link: id, own: id, cookie: &http.Cookie{Name: "axlestand-help", Value: token}}
}

// secrets are words that stand in the garage and must not leave it.
func (r *trial) secrets(records garage.Records) {
	r.private, r.hidden = map[string]bool{}, map[string]bool{}
	for _, car := range records.Cars {
		r.private[car.Name] = true
		for _, word := range []string{car.Plate, car.VIN} {
			if word != "" {
				r.hidden[word] = true
			}
		}
	}
	for _, job := range records.Jobs {
		r.private[job.Title] = true
		if job.ID != r.jobs[0] && job.ID != r.jobs[1] {
			r.hidden[job.Title] = true
		}
	}
	maps.Copy(r.private, r.hidden)
	if len(r.hidden) < 4 || len(r.private) < 10 {
		r.Fatalf("the demo garage has too little to hide: %v, %v", r.hidden, r.private)
	}
}

// requestsEach is how many requests each address gets; AXLESTAND_REQUESTS asks for more.
func requestsEach(t *testing.T) int {
	t.Helper()
	if n, err := strconv.Atoi(os.Getenv("AXLESTAND_REQUESTS")); err == nil && n > 0 {
		return n
	}
	return 40
}

// TestAccess_matrix tries each address as everybody. Without AXLESTAND_SEED it takes the same requests each time.
func TestAccess_matrix(t *testing.T) {
	t.Parallel()
	each, workers := requestsEach(t), max(1, runtime.GOMAXPROCS(0))
	for w := range workers {
		t.Run(fmt.Sprintf("part %d", w), func(t *testing.T) {
			t.Parallel()
			r := newTrial(t)
			for i, address := range slices.Sorted(maps.Keys(r.written)) {
				if i%workers == w {
					r.address(address, each)
				}
			}
			t.Logf("%d requests", r.asked)
		})
	}
}

// address tries one as everybody. Half of the requests come from who may, the rest from the others in turn.
func (r *trial) address(address string, each int) {
	r.Helper()
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%s %d", address, seed(r.T))
	rng := rand.New(rand.NewPCG(sum.Sum64(), 1))
	for i, who := range r.roles {
		n := each / 2 / (len(r.roles) - 1)
		if r.mayCome(who, r.written[address]) && (i == 1 || i == 2) {
			n = each - n*(len(r.roles)-1)
		}
		before := r.writes()
		denied := true
		for range n {
			denied = r.request(rng, who, address) && denied
		}
		if after := r.writes(); denied && after != before {
			r.Errorf("%s by %s is turned away and writes %d rows", address, who.name, after-before)
		}
		r.turn()
	}
}

func (r *trial) mayCome(who role, class string) bool {
	switch class {
	case "owner":
		return who.name == "owner"
	case "helper":
		return who.opens
	}
	return true
}

// writes counts the rows that were written since the test began.
func (r *trial) writes() (n int64) {
	r.Helper()
	err := r.db.QueryRow(r.Context(), `select coalesce(sum(n_tup_ins + n_tup_upd + n_tup_del), 0)::bigint from pg_stat_xact_user_tables`).Scan(&n)
	if err != nil {
		r.Fatal(err)
	}
	return n
}

// turn undoes what was done since the last turn.
func (r *trial) turn() {
	r.Helper()
	if _, err := r.db.Exec(r.Context(), "rollback to savepoint turn"); err != nil {
		r.Fatal(err)
	}
	r.server.plans.mu.Lock()
	r.server.plans.last = r.plan
	r.server.plans.mu.Unlock()
}

// request sends one, and says whether the one who sent it had to be turned away.
func (r *trial) request(rng *rand.Rand, who role, address string) (denied bool) {
	r.Helper()
	d := r.make(rng, who, address)
	req, ok := d.http(who)
	if !ok {
		return true // not even a client can send it
	}
	r.asked++
	w := httptest.NewRecorder()
	r.server.ServeHTTP(w, req.WithContext(r.Context()))
	pattern := r.matched(req)
	class := r.written[pattern]
	denied = class != "" && !r.mayCome(who, class)
	if class == "helper" && denied && r.linkIn(req) == who.own && who.own != 0 && who.own != who.link {
		return false // it asks for its own link's addresses after all, and may
	}
	r.wrong = nil
	r.sound(w, who)
	switch {
	case r.refusedEarly(w, d):
	case denied:
		r.turnedAway(w, class, req.Method)
	case class != "":
		r.letIn(w, who, class, req, pattern)
	}
	if r.wrong != nil {
		r.Errorf("%s asks %s: %s: answered %d %s\n%s\n%s\nlog: %s", who.name, pattern, strings.Join(r.wrong, "; "), w.Code, w.Header().Get("Location"), d, clip(w.Body.String()), clip(r.log.String()))
		if r.failed++; r.failed == 20 {
			r.Fatal("and so on")
		}
	}
	r.log.Reset()
	if leaves := strings.Contains(pattern, "sign"); leaves || rng.IntN(2) == 0 {
		r.turn()
	}
	return denied
}

// matched is the address that a request really reaches, as "METHOD /pattern"; empty when it reaches none.
func (r *trial) matched(req *http.Request) string {
	method := req.Method
	if method == http.MethodHead {
		method = http.MethodGet
	}
	c := chi.NewRouteContext()
	path := req.URL.RawPath
	if path == "" {
		path = req.URL.Path
	}
	if !r.server.handler.(chi.Routes).Match(c, method, path) {
		return ""
	}
	return method + " " + c.RoutePattern()
}

var inside = regexp.MustCompile(`goroutine \d|\.go:\d|SQLSTATE|pgconn|pgx|runtime error|panic:|invalid memory|(?i)syntax error at|relation "|duplicate key`)

// sound is what holds of every answer.
func (r *trial) sound(w *httptest.ResponseRecorder, who role) {
	if w.Code >= 500 {
		r.note("it failed")
	}
	body := w.Body.String()
	html := strings.HasPrefix(w.Header().Get("Content-Type"), "text/html")
	if found := inside.FindString(body); html && found != "" {
		r.note("the answer tells of the program's inside: %q", found)
	}
	if to := w.Header().Get("Location"); to != "" && (to[0] != '/' || strings.HasPrefix(to, "//") || strings.HasPrefix(to, `/\`)) {
		r.note("it leads elsewhere: %q", to)
	}
	if h := w.Header(); h.Get("X-Content-Type-Options") != "nosniff" || !strings.HasPrefix(h.Get("Content-Security-Policy"), "default-src 'none'") {
		r.note("an answer without the headers that guard it: %v", h)
	}
	secrets := r.private
	switch {
	case who.name == "owner":
		return
	case who.link != 0:
		secrets = r.hidden
	}
	for word := range secrets {
		if html && strings.Contains(body, word) {
			r.note("%s is shown %q", who.name, word)
		}
	}
	for _, c := range w.Result().Cookies() {
		if c.Name == "axlestand" && c.MaxAge > 0 {
			r.note("%s is signed in", who.name)
		}
	}
}

// refusedEarly says whether what is wrong with the request itself comes before the question who asks.
func (r *trial) refusedEarly(w *httptest.ResponseRecorder, d draft) bool {
	return w.Code == http.StatusMisdirectedRequest && d.oddHost || w.Code == http.StatusForbidden && d.oddOrigin
}

// turnedAway is how those are answered who may not.
func (r *trial) turnedAway(w *httptest.ResponseRecorder, class, method string) {
	switch {
	case class == "helper":
		if w.Code != http.StatusNotFound || method != http.MethodHead && !strings.Contains(w.Body.String(), "This link opens nothing") {
			r.note("not the answer for every link that opens nothing")
		}
	case method == http.MethodGet || method == http.MethodHead:
		if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != "/signin" && !strings.HasPrefix(to, "/signin?back=") {
			r.note("not asked to sign in")
		}
	case w.Code != http.StatusUnauthorized:
		r.note("not told that it needs a sign-in")
	}
}

// letIn is how those are not answered who may. A helper's link opens its own jobs alone, and may be only to look.
func (r *trial) letIn(w *httptest.ResponseRecorder, who role, class string, req *http.Request, pattern string) {
	if w.Code == http.StatusUnauthorized || class == "owner" && strings.HasPrefix(w.Header().Get("Location"), "/signin?back=") {
		r.note("turned away")
	}
	if class != "helper" {
		return
	}
	ours := r.linkIn(req) == who.link
	if gone := strings.Contains(w.Body.String(), "This link opens nothing"); ours && gone {
		r.note("its own link opens nothing")
	} else if !ours && w.Code < 400 {
		r.note("another's link opens")
	}
	if path := strings.Split(req.URL.EscapedPath(), "/"); len(path) > 4 && w.Code < 400 {
		id, err := strconv.ParseInt(path[4], 10, 64)
		if card := path[3] == "jobs"; err != nil || card && garage.JobID(id) != r.jobs[0] || !card && !slices.Contains(r.steps[:2], garage.StepID(id)) {
			r.note("it opens what is not of the link's job")
		}
	}
	if req.Method == http.MethodPost && !who.ticks && w.Code < 400 {
		r.note("who may only look changes something")
	}
}

// linkIn is the link that an address of a helper names; 0 for none.
func (r *trial) linkIn(req *http.Request) garage.LinkID {
	id, _ := strconv.ParseInt(strings.Split(req.URL.EscapedPath(), "/")[2], 10, 64)
	return garage.LinkID(id)
}

// note keeps what does not hold of an answer.
func (r *trial) note(format string, args ...any) {
	r.wrong = append(r.wrong, fmt.Sprintf(format, args...))
}

func clip(text string) string { return text[:min(len(text), 1500)] }

// junk is a value for a cookie that looks like one of the program's and is none.
func junk(rng *rand.Rand) string {
	b := make([]byte, rng.IntN(64))
	for i := range b {
		b[i] = byte(rng.UintN(256))
	}
	return base64.RawURLEncoding.EncodeToString(b)
}

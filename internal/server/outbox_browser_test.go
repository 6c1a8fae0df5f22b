package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
)

// kept is a site behind a line that can be cut, with a page whose form for tools goes through the outbox.
type kept struct {
	*site
	line *browsertest.Line
	base string
	page *browsertest.Page
}

func newKept(t *testing.T, serve func(testing.TB, *browsertest.Line) string) *kept {
	t.Helper()
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
	s.claim()
	k := &kept{site: s, line: browsertest.NewLine(s.server), page: browsertest.Open(t, browsertest.BadLine)}
	k.base = serve(t, k.line)
	k.page.Goto(k.base + "/signin")
	k.signin(k.page)
	k.open(k.page)
	return k
}

func overHTTP(t testing.TB, l *browsertest.Line) string  { return browsertest.Serve(t, l) }
func overHTTPS(t testing.TB, l *browsertest.Line) string { return browsertest.ServeTLS(t, l) }

func (k *kept) signin(p *browsertest.Page) {
	p.Fill("Password", ownersPassword)
	p.In("#main").Submit("Sign in")
}

// open shows the form.
func (k *kept) open(p *browsertest.Page) {
	p.Goto(k.base + "/tools/new")
	k.take(p)
}

// take puts the form in the outbox's care.
func (k *kept) take(p *browsertest.Page) {
	browsertest.Eval[bool](p, `document.querySelector("form.form").toggleAttribute("data-outbox", true)`)
}

func (k *kept) add(p *browsertest.Page, name string) {
	time.Sleep(450 * time.Millisecond) // sooner it is a second tap
	k.take(p)                          // what the server says of the page knows nothing of it
	p.Fill("Name", name)
	p.Click("Save")
}

// has waits until the server has these tools, each once.
func (k *kept) has(names ...string) {
	k.Helper()
	var have []string
	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		tools, err := k.store.Tools(k.Context())
		if err != nil {
			k.Fatal(err)
		}
		have = nil
		seen := map[string]bool{}
		for _, tool := range tools {
			have, seen[tool.Name] = append(have, tool.Name), true
		}
		all := len(have) == len(names)
		for _, name := range names {
			all = all && seen[name]
		}
		if all {
			return
		}
	}
	k.Fatalf("the server has %q, want %q", have, names)
}

func TestBrowser_outbox(t *testing.T) {
	t.Parallel()
	t.Run("cut, and back", func(t *testing.T) {
		t.Parallel()
		for name, serve := range map[string]func(testing.TB, *browsertest.Line) string{"http": overHTTP, "https": overHTTPS} {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				k := newKept(t, serve)
				k.add(k.page, "Press")
				k.has("Press")
				k.line.Set(browsertest.Down)
				k.add(k.page, "Welder")
				k.add(k.page, "Puller")
				k.page.Has("2 not sent")
				k.has("Press")
				k.line.Set(browsertest.Up)
				k.has("Press", "Welder", "Puller") // by its own timer
				k.page.Lacks("not sent")
			})
		}
	})
	t.Run("the answers are lost and the page is closed", func(t *testing.T) {
		t.Parallel()
		k := newKept(t, overHTTP)
		k.line.Set(browsertest.Deaf)
		k.add(k.page, "Press")
		k.page.Has("1 not sent")
		k.has("Press")
		k.line.Set(browsertest.Up)
		k.page.Goto(k.base + "/bins")
		k.page.Lacks("not sent")
		k.has("Press")
	})
	t.Run("refused", func(t *testing.T) {
		t.Parallel()
		k := newKept(t, overHTTP)
		if _, err := k.store.CreateTool(t.Context(), garage.Tool{Name: "Press", Capacity: 1}); err != nil {
			t.Fatal(err)
		}
		browsertest.Eval[bool](k.page, `document.querySelector("form.form").noValidate = true`)
		time.Sleep(450 * time.Millisecond)
		k.page.Fill("How many", "many")
		k.page.Click("Save")
		k.page.Has("1 refused", "Name:", "many", "Try again", "Drop it")
		k.add(k.page, "Welder") // what comes after is not held up
		k.has("Press", "Welder")
		k.page.Has("1 refused")
		k.page.ShotWindow("outbox-refused")
		k.page.Goto(k.base + "/bins")
		k.page.Has("1 refused", "many")
		k.page.Click("Drop it")
		k.page.Has("Dropped")
		k.page.Lacks("1 refused")
		k.page.Click("Put it back")
		k.page.Has("1 refused")
		k.page.Click("Try again")
		k.page.Has("1 refused")
		k.page.Click("Drop it")
		k.page.Goto(k.base + "/bins")
		k.page.Lacks("refused", "Dropped")
	})
	t.Run("signed out", func(t *testing.T) {
		t.Parallel()
		k := newKept(t, overHTTP)
		if err := k.store.DeleteOtherSignins(t.Context(), []byte{}); err != nil {
			t.Fatal(err)
		}
		k.add(k.page, "Press")
		k.page.Has("Signed out. What you did is kept here, 1 not sent")
		k.page.Click("sign in again")
		k.signin(k.page)
		k.has("Press")
		k.page.Lacks("not sent", "Signed out.")
	})
	t.Run("a second tap, and a second tab", func(t *testing.T) {
		t.Parallel()
		k := newKept(t, overHTTP)
		other := k.page.Tab(browsertest.BadLine)
		k.open(other)
		k.line.Set(browsertest.Down)
		k.page.Fill("Name", "Press")
		browsertest.Eval[bool](k.page, `(() => { const f = document.querySelector("form.form"); f.requestSubmit(); f.requestSubmit(); return true })()`)
		k.page.Has("1 not sent")
		k.add(other, "Welder")
		k.page.Has("2 not sent")
		other.Has("2 not sent")
		k.line.Set(browsertest.Deaf) // both come through, and neither page knows
		k.has("Press")
		k.line.Set(browsertest.Up)
		k.has("Press", "Welder")
		k.page.Lacks("not sent")
		other.Lacks("not sent")
	})
	t.Run("the device is full", func(t *testing.T) {
		t.Parallel()
		k := newKept(t, overHTTP)
		browsertest.Eval[bool](k.page, `(IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError") }, true)`)
		k.line.Set(browsertest.Down)
		k.add(k.page, "Press")
		k.page.Has("Not kept and not sent", "There is no connection")
		if got := k.page.Value("Name"); got != "Press" {
			t.Errorf("what was typed is %q", got)
		}
		k.line.Set(browsertest.Up)
		time.Sleep(450 * time.Millisecond)
		k.page.Click("Save")
		k.has("Press")
		k.page.Lacks("Not kept")
	})
}

// A browser takes the script for pages without a connection only from above them, and must learn of a new one at once.
func TestWorker(t *testing.T) {
	t.Parallel()
	s := setup(t)
	a := s.get("/worker.js").is(http.StatusOK).says("addEventListener")
	if kind, kept := a.header.Get("Content-Type"), a.header.Get("Cache-Control"); !strings.HasPrefix(kind, "text/javascript") || kept != "no-cache" {
		t.Errorf("%s, %s", kind, kept)
	}
}

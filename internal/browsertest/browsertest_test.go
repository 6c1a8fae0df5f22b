package browsertest

import (
	"fmt"
	"html"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// garage is a small site of the shapes the program's pages use.
func garage() http.Handler {
	mux := http.NewServeMux()
	page := func(w http.ResponseWriter, status int, body string) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.WriteHeader(status)
		fmt.Fprintf(w, `<!doctype html><html lang="en"><meta name="viewport" content="width=device-width"><title>Garage</title><body>%s</body></html>`, body)
	}
	mux.HandleFunc("GET /new", func(w http.ResponseWriter, _ *http.Request) {
		page(w, 200, `<h1>New car</h1><form method="post" action="/cars">
			<label for="m">Make</label><input id="m" name="make" required value="old">
			<label>Role <select name="role"><option value="p">Project</option><option value="d">Donor car</option></select></label>
			<label>From <input type="date" name="from"></label>
			<label><input type="checkbox" name="immobile" value="yes"> Immobile</label>
			<fieldset><legend>Front</legend><label>Pads <input name="front"></label></fieldset>
			<fieldset><legend>Rear</legend><label>Pads <input name="rear"></label></fieldset>
			<div style="height:2000px"></div><button>Save car</button></form><a href="/list">All cars</a>`)
	})
	mux.HandleFunc("POST /cars", func(w http.ResponseWriter, r *http.Request) {
		if r.FormValue("make") == "none" {
			page(w, 422, `<h1>New car</h1><p>Say which make.</p>`)
			return
		}
		http.SetCookie(w, &http.Cookie{Name: "seen", Value: "plain", Path: "/"})
		http.SetCookie(w, &http.Cookie{Name: "locked", Value: "secure", Path: "/", Secure: true})
		http.Redirect(w, r, "/list?"+r.Form.Encode(), http.StatusSeeOther)
	})
	mux.HandleFunc("GET /list", func(w http.ResponseWriter, r *http.Request) {
		time.Sleep(50 * time.Millisecond) // a page that answers late
		body := "<h1>Cars</h1><ul>"
		for k := range r.URL.Query() {
			body += fmt.Sprintf("<li>%s: %s <a href='/new'>Edit</a></li>", k, html.EscapeString(r.URL.Query().Get(k)))
		}
		for _, c := range r.Cookies() {
			body += "<li>cookie " + c.Name + "</li>"
		}
		page(w, 200, body+`</ul><noscript>No script here</noscript><p id="js"></p><script>document.getElementById("js").textContent = "Script ran" + (window.isSecureContext ? " in safety" : "")</script>`)
	})
	mux.HandleFunc("GET /wide", func(w http.ResponseWriter, _ *http.Request) {
		page(w, 200, `<div class="plank" style="width:3000px">wide</div>`)
	})
	mux.HandleFunc("GET /broken", func(w http.ResponseWriter, _ *http.Request) {
		page(w, 200, `<h1>Broken</h1><script>throw new Error("spark plug")</script>`)
	})
	mux.HandleFunc("GET /covered", func(w http.ResponseWriter, _ *http.Request) {
		page(w, 200, `<button>Start</button><div class="sheet" style="position:fixed;inset:0;background:#fff">Sheet</div>`)
	})
	return mux
}

func TestFillAndSubmit(t *testing.T) {
	t.Parallel()
	for _, look := range [][]Option{{Phone}, {Desktop}, {Phone, NoScript}, {Desktop, Dark}} {
		t.Run(fmt.Sprint(look), func(t *testing.T) {
			t.Parallel()
			p := Open(t, look...)
			p.Goto(Serve(t, garage()) + "/new")
			p.Fill("Make", "Vantor & Söhne")
			p.Fill("Role", "Donor car")
			p.Fill("From", "2027-03-06")
			p.Tick("Immobile")
			p.In("Rear").Fill("Pads", "worn")
			if got := p.Value("Make") + p.Value("Role") + p.Value("Immobile"); got != "Vantor & SöhneDonor caron" {
				t.Errorf("the form holds %q", got)
			}
			p.Submit("Save car")
			p.Has("Cars", "make: Vantor & Söhne", "role: d", "from: 2027-03-06", "immobile: yes", "rear: worn", "cookie seen")
			p.Lacks("cookie locked")
			if got := p.URL(); !strings.HasPrefix(got, "/list?") {
				t.Errorf("URL %q, want the list", got)
			}
			p.In("rear: worn").Click("Edit")
			if got := p.URL(); got != "/new" {
				t.Errorf("after Edit at %q", got)
			}
			p.Shot("new car")
		})
	}
}

func TestNoScript(t *testing.T) {
	t.Parallel()
	site := Serve(t, garage())
	with, without := Open(t, Desktop), Open(t, Desktop, NoScript)
	with.Goto(site + "/list")
	with.Has("Script ran")
	with.Lacks("in safety", "No script here")
	without.Goto(site + "/list")
	without.Has("No script here")
	without.Lacks("Script ran")
}

func TestHTTPS(t *testing.T) {
	t.Parallel()
	p := Open(t)
	p.Goto(ServeTLS(t, garage()) + "/new")
	p.Submit("Save car")
	p.Has("Script ran in safety", "cookie locked")
}

func TestStatusAndWindow(t *testing.T) {
	t.Parallel()
	p := Open(t)
	p.Goto(Serve(t, garage()) + "/new")
	p.Fits()
	if w := Eval[int](p, "innerWidth"); w != 390 {
		t.Errorf("phone is %d wide", w)
	}
	p.Fill("Make", "none")
	p.Submit("Save car")
	p.Has("Say which make.")
	if p.Status() != 422 {
		t.Errorf("status %d, want 422", p.Status())
	}
}

func TestCookiesAreSharedByTabsAlone(t *testing.T) {
	t.Parallel()
	site := Serve(t, garage())
	first, other := Open(t), Open(t)
	first.Goto(site + "/new")
	first.Submit("Save car")
	second := first.Tab(Desktop)
	second.Goto(site + "/list")
	second.Has("cookie seen")
	other.Goto(site + "/list")
	other.Lacks("cookie seen")
}

func TestOffline(t *testing.T) {
	t.Parallel()
	p := Open(t)
	p.Goto(Serve(t, garage()) + "/list")
	fetch := `fetch("/list").then(() => "answer", () => "no answer")`
	p.Offline(true)
	if got := Eval[string](p, fetch); got != "no answer" || Eval[bool](p, "navigator.onLine") {
		t.Errorf("offline: %s", got)
	}
	p.problems = nil // the browser reports the fetch that the test wanted to fail
	p.Offline(false)
	if got := Eval[string](p, fetch); got != "answer" || !Eval[bool](p, "navigator.onLine") {
		t.Errorf("back online: %s", got)
	}
}

// failing records what a verb says when it ends the test.
type failing struct {
	testing.TB
	said string
}

func (f *failing) Helper()                   {}
func (f *failing) Cleanup(func())            {}
func (f *failing) Errorf(s string, a ...any) { f.said += fmt.Sprintf(s, a...) }
func (f *failing) Fatalf(s string, a ...any) {
	f.Errorf(s, a...)
	runtime.Goexit()
}

func TestFailuresSayWhatThePageOffers(t *testing.T) {
	t.Parallel()
	site := Serve(t, garage())
	for name, c := range map[string]struct {
		path string
		do   func(p *Page)
		want []string
	}{
		"unknown field":    {"/new", func(p *Page) { p.Fill("Maker", "x") }, []string{`no field is labelled "Maker"`, "Make | Role | From", "/new"}},
		"two fields":       {"/new", func(p *Page) { p.Fill("Pads", "x") }, []string{`2 fields are labelled "Pads"`}},
		"unknown choice":   {"/new", func(p *Page) { p.Fill("Role", "Daily") }, []string{"Project | Donor car"}},
		"unusable date":    {"/new", func(p *Page) { p.Fill("From", "6.3.2027") }, []string{`type date`, "6.3.2027"}},
		"unknown button":   {"/new", func(p *Page) { p.Click("Store car") }, []string{`nothing to press says "Store car"`, "Save car | All cars"}},
		"unsent form":      {"/new", func(p *Page) { p.Fill("Make", ""); p.Submit("Save car") }, []string{"Make: Please fill"}},
		"missing text":     {"/new", func(p *Page) { p.Has("New car", "Old car") }, []string{`does not say "Old car"`, "the page: Garage: New car"}},
		"text that is not": {"/new", func(p *Page) { p.Lacks("new CAR") }, []string{`the page says "new CAR"`}},
		"unknown part":     {"/new", func(p *Page) { p.In("Middle").Fill("Pads", "x") }, []string{`no part of the page is called "Middle"`, "Front | Rear"}},
		"covered button":   {"/covered", func(p *Page) { p.Click("Start") }, []string{"is covered by", "sheet"}},
		"side scroll":      {"/wide", func(p *Page) { p.Fits() }, []string{"px wide in a window of 390", "plank"}},
		"no server":        {"/new", func(p *Page) { p.Goto("http://elsewhere.example/") }, []string{"ERR_NAME_NOT_RESOLVED"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := Open(t)
			p.Goto(site + c.path)
			f := &failing{TB: t}
			p.tab.t, p.tab.patience = f, 1200*time.Millisecond
			done := make(chan struct{})
			go func() {
				defer close(done)
				c.do(p)
			}()
			<-done
			for _, want := range c.want {
				if !strings.Contains(f.said, want) {
					t.Errorf("%q lacks %q", f.said, want)
				}
			}
		})
	}
}

func TestScriptErrorIsNoticed(t *testing.T) {
	t.Parallel()
	p := Open(t)
	p.Goto(Serve(t, garage()) + "/broken")
	p.Has("Broken")
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.problems) != 1 || !strings.Contains(p.problems[0], "spark plug") {
		t.Errorf("noticed %q, want the script error", p.problems)
	}
	p.problems = nil
}

func TestShot(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "shots")
	t.Setenv("AXLESTAND_SHOTS", dir)
	p := Open(t, Desktop)
	p.Goto(Serve(t, garage()) + "/new")
	p.Shot("new car")
	png, err := os.ReadFile(filepath.Join(dir, "new-car-desktop.png"))
	if err != nil || !strings.HasPrefix(string(png), "\x89PNG") {
		t.Errorf("no picture: %v", err)
	}
}

func TestMissingBrowserIsNamed(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	t.Setenv("AXLESTAND_TEST_BROWSER", "")
	if runtime.GOOS == "darwin" {
		t.Setenv("AXLESTAND_TEST_BROWSER", "/nonexistent/chromium")
	}
	if path, err := find(); err == nil {
		t.Errorf("found %s on an empty PATH", path)
	}
}

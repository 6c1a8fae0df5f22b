package server

import (
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/pgtest"
)

// heard is what a browser sends and is sent, as it goes over the line that the browser itself uses.
type heard struct {
	http.Handler
	mu      sync.Mutex
	cookies map[string]string // that the browser sent back, by name
	set     []string          // as they were set
	hsts    string
	refs    []string // every Referer
}

func (h *heard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.Handler.ServeHTTP(w, r)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.cookies == nil {
		h.cookies = map[string]string{}
	}
	for _, c := range r.Cookies() {
		h.cookies[c.Name] = c.Value
	}
	h.set = append(h.set, w.Header()["Set-Cookie"]...)
	h.hsts = w.Header().Get("Strict-Transport-Security")
	h.refs = append(h.refs, r.Header.Get("Referer"))
}

// behindProxy is a proxy that ends TLS and hands on over plain http, saying so in its headers, as a home has it.
func behindProxy(t testing.TB, h http.Handler) http.Handler {
	inner := httptest.NewServer(h)
	t.Cleanup(inner.Close)
	to, err := url.Parse(inner.URL)
	if err != nil {
		t.Fatal(err)
	}
	return &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(to)
		r.SetXForwarded()
		r.Out.Host = r.In.Host
	}}
}

// TestBrowser_claims goes through the first start as a person does, by a name that is not a loopback name: there a browser
// drops a Secure cookie on plain http without a word, and would be signed out at once.
func TestBrowser_claims(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		https, proxy bool
		look         browsertest.Option
	}{
		"plain http on the phone":         {look: browsertest.Phone},
		"plain http without JavaScript":   {look: browsertest.NoScript},
		"https on the desktop":            {https: true, look: browsertest.Desktop},
		"https on a dark phone":           {https: true, look: browsertest.Dark},
		"a proxy that ends TLS":           {https: true, proxy: true, look: browsertest.Phone},
		"such a proxy without JavaScript": {https: true, proxy: true, look: browsertest.NoScript},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) {
				o.AllowedHosts = []string{browsertest.Host}
				if c.proxy {
					o.TrustedProxies = prefixes("127.0.0.0/8")
				}
			})
			s.offerCode()
			line, serve := &heard{Handler: s.server}, browsertest.Serve
			if c.proxy {
				line.Handler = behindProxy(t, s.server)
			}
			if c.https {
				serve = browsertest.ServeTLS
			}
			p := browsertest.Open(t, c.look)
			base := serve(t, line)
			p.Goto(base + "/tools")
			p.Has("This garage is new")
			p.Fill("Code", "abcd efgh ijkl mnop")
			p.Fill("Password", ownersPassword)
			p.Fill("Time zone", "Europe/Vienna")
			p.Fill("Currency", "EUR")
			p.Submit("Claim this garage")

			p.Goto("/tools")
			p.Has("No special tools yet")
			p.Fits()
			p.Click("Add a tool")
			p.Fill("Name", "Press")
			p.Submit("Save")
			p.Has("Press is in.")
			line.keeps(t, c.https)

			p.Goto("/more")
			p.Submit("Sign out")
			p.Has("Signed out.")
			p.Goto("/tools")
			p.Fill("Password", ownersPassword)
			p.Submit("Sign in")
			p.Has("Press")
			if got := p.URL(); !strings.HasSuffix(got, "/tools") {
				t.Errorf("signing in led to %s", got)
			}
			p.Shot("tools-signed-in")
		})
	}
}

// keeps checks what the browser was told to keep, and did.
func (h *heard) keeps(t *testing.T, https bool) {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	sent, other := "axlestand", "__Host-axlestand"
	if https {
		sent, other = other, sent
	}
	if h.cookies[sent] == "" || h.cookies[other] != "" {
		t.Errorf("the browser sends the cookies %v, want %s", h.cookies, sent)
	}
	for _, set := range h.set {
		if secure := strings.Contains(set, "; Secure"); secure != https || !strings.Contains(set, "HttpOnly") || !strings.Contains(set, "SameSite=Lax") {
			t.Errorf("https %v, and a cookie is set as %s", https, set)
		}
	}
	if (h.hsts != "") != https {
		t.Errorf("https %v, and told to stay with it: %q", https, h.hsts)
	}
}

// TestBrowser_helper follows a helper's link in a browser that is not the owner's, on each kind of line. The link's secret is
// in no referrer, and after the start in no address of its history.
func TestBrowser_helper(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ https, proxy bool }{"plain http": {}, "https": {https: true}, "a proxy that ends TLS": {https: true, proxy: true}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) {
				o.AllowedHosts, o.TrustedProxies = []string{browsertest.Host}, prefixes("127.0.0.0/8")
			})
			s.claim()
			job := s.addJob(s.addCar(), "Rear brakes")
			_, given := s.makeLink(job, url.Values{})
			line, serve := &heard{Handler: s.server}, browsertest.Serve
			if c.proxy {
				line.Handler = behindProxy(t, s.server)
			}
			if c.https {
				serve = browsertest.ServeTLS
			}
			p := browsertest.Open(t, browsertest.Phone)
			base := serve(t, line)
			p.Goto(base + given)
			p.Has("You can help here", "Rear brakes")
			p.Click("Start")
			p.Has("What you can help with")
			p.Click("Rear brakes")
			p.Goto("/tools")
			p.Has("Sign in")
			p.Lacks("Press")
			token := strings.TrimPrefix(given, "/help/with/")
			for _, ref := range line.refs {
				if strings.Contains(ref, token) {
					t.Errorf("the secret leaves as the referrer %s", ref)
				}
			}
			if past := browsertest.Eval[string](p, `navigation.entries().map((e) => e.url).join(" ")`); strings.Contains(past, token) || !strings.Contains(past, "/card") {
				t.Errorf("the secret stays in the history: %s", past)
			}
		})
	}
}

// TestBrowser_twoTabs saves the same settings twice, and takes a tool away and back.
func TestBrowser_twoTabs(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
	s.claim()
	p := browsertest.Open(t)
	base := browsertest.Serve(t, s.server)
	p.Goto(base + "/settings")
	p.Fill("Password", ownersPassword)
	p.Submit("Sign in")
	other := p.Tab()
	other.Goto(base + "/settings")
	other.Fill("Lifts", "2")
	other.Submit("Save")
	other.Has("Settings saved.")
	p.Fill("Lifts", "3")
	p.Submit("Save")
	p.Has("Nothing of yours is lost")
	if got := p.Status(); got != 409 {
		t.Errorf("status %d", got)
	}
	p.Submit("Save mine over it")
	p.Has("Settings saved.")
	if got := p.Value("Lifts"); got != "3" {
		t.Errorf("%s lifts, want 3", got)
	}

	p.Goto("/tools/new")
	p.Fill("Name", "Press")
	p.Submit("Save")
	p.Click("Press")
	p.Submit("Delete")
	p.Has("No special tools yet")
	p.Submit("Undo")
	p.Lacks("No special tools yet")
	p.Has("Press")
}

// TestBrowser_proposesItsZone: the form of the set-up names the device's own time zone where none was chosen.
func TestBrowser_proposesItsZone(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
	p := browsertest.Open(t)
	p.Goto(browsertest.Serve(t, s.server) + "/claim")
	if got, own := p.Value("Time zone"), browsertest.Eval[string](p, "Intl.DateTimeFormat().resolvedOptions().timeZone"); got != own || own == "" {
		t.Errorf("proposes %q, want %q", got, own)
	}
}

package server

import (
	"bytes"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/web"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func prefixes(all ...string) []netip.Prefix {
	var out []netip.Prefix
	for _, p := range all {
		out = append(out, netip.MustParsePrefix(p))
	}
	return out
}

func TestDoorFor(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		remote, forwarded, proto string
		want                     door
	}{
		"straight":                {remote: "192.0.2.1:5000", want: door{addr: netip.MustParseAddr("192.0.2.1")}},
		"an untrusted forwarder":  {remote: "192.0.2.1:5000", forwarded: "203.0.113.1", proto: "https", want: door{addr: netip.MustParseAddr("192.0.2.1")}},
		"a trusted proxy":         {remote: "10.0.0.1:5000", forwarded: "203.0.113.1", proto: "https", want: door{addr: netip.MustParseAddr("203.0.113.1"), https: true}},
		"two trusted proxies":     {remote: "10.0.0.1:5000", forwarded: "203.0.113.1, 10.0.0.2", proto: "HTTPS", want: door{addr: netip.MustParseAddr("203.0.113.1"), https: true}},
		"a client that lies":      {remote: "10.0.0.1:5000", forwarded: "127.0.0.1, 203.0.113.1", proto: "http", want: door{addr: netip.MustParseAddr("203.0.113.1")}},
		"nonsense in the middle":  {remote: "10.0.0.1:5000", forwarded: "203.0.113.1, unknown, 10.0.0.2", want: door{addr: netip.MustParseAddr("10.0.0.2")}},
		"an address with a port":  {remote: "10.0.0.1:5000", forwarded: "203.0.113.1:4711", want: door{addr: netip.MustParseAddr("203.0.113.1")}},
		"nothing forwarded":       {remote: "10.0.0.1:5000", want: door{addr: netip.MustParseAddr("10.0.0.1")}},
		"IPv4 inside IPv6":        {remote: "[::ffff:10.0.0.1]:5000", forwarded: "::ffff:203.0.113.1", want: door{addr: netip.MustParseAddr("203.0.113.1")}},
		"an address with a scope": {remote: "[fe80::1%eth0]:5000", want: door{addr: netip.MustParseAddr("fe80::1")}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := New(Options{TrustedProxies: prefixes("10.0.0.0/8")})
			r := httptest.NewRequest(http.MethodGet, "/", nil)
			r.RemoteAddr = c.remote
			if c.forwarded != "" {
				r.Header.Set("X-Forwarded-For", c.forwarded)
			}
			if c.proto != "" {
				r.Header.Set("X-Forwarded-Proto", c.proto)
			}
			if got := s.doorFor(r); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}

func TestHost(t *testing.T) {
	t.Parallel()
	s := New(Options{AllowedHosts: []string{"garage.test"}})
	for host, want := range map[string]bool{
		"localhost": true, "localhost:8080": true, "LocalHost.": true, "127.0.0.1:8080": true, "192.168.1.9": true, "[::1]:8080": true,
		"[2001:db8::1]": true, "garage.test": true, "GARAGE.test:443": true, "garage.test.": true,
		"": false, "elsewhere.test": false, "garage.test.elsewhere.test": false, "127.0.0.1.elsewhere.test": false, "x:y:z": false,
	} {
		if got := s.answersTo(host); got != want {
			t.Errorf("%q: %v", host, got)
		}
	}
}

// do sends a request that get and post cannot make.
func (s *site) do(req *http.Request) answer {
	s.Helper()
	resp, err := s.client.Do(req)
	if err != nil {
		s.Fatal(err)
	}
	defer resp.Body.Close()
	var body bytes.Buffer
	if _, err := body.ReadFrom(resp.Body); err != nil {
		s.Fatal(err)
	}
	return answer{T: s.T, status: resp.StatusCode, location: resp.Header.Get("Location"), body: body.String(), header: resp.Header}
}

func (s *site) request(method, path, body string, headers ...string) *http.Request {
	s.Helper()
	req, err := http.NewRequestWithContext(s.Context(), method, s.url+path, strings.NewReader(body))
	if err != nil {
		s.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			req.Host = headers[i+1]
		}
		req.Header.Set(headers[i], headers[i+1])
	}
	return req
}

func TestDoors(t *testing.T) {
	t.Parallel()

	t.Run("a name that is not ours", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.do(s.request(http.MethodGet, "/tools", "", "Host", "elsewhere.test")).is(http.StatusMisdirectedRequest).says("Use its IP address")
	})

	t.Run("forms of another site", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, headers := range [][]string{
			{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Origin", "http://elsewhere.test"}, {"Origin", "null"},
		} {
			s.do(s.request(http.MethodPost, "/tools", "name=Press", headers...)).is(http.StatusForbidden)
		}
		s.do(s.request(http.MethodPost, "/tools", "name=Press", "Origin", s.url)).to("/tools")
		tools, err := s.store.Tools(t.Context())
		if err != nil || len(tools) != 1 {
			t.Errorf("%d tools, %v; want the one of our own form", len(tools), err)
		}
	})

	t.Run("headers on every answer", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, path := range []string{"/tools", "/nothing-here", "/healthz", "/static/x/app.css"} {
			h := s.get(path).header
			for name, want := range map[string]string{
				"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin", "X-Frame-Options": "DENY", "Strict-Transport-Security": "",
			} {
				if got := h.Get(name); got != want {
					t.Errorf("%s: %s is %q, want %q", path, name, got, want)
				}
			}
			csp := h.Get("Content-Security-Policy")
			if !strings.HasPrefix(csp, "default-src 'none'; ") || strings.Contains(csp, "unsafe") || !strings.Contains(csp, "frame-ancestors 'none'") {
				t.Errorf("%s: policy %q", path, csp)
			}
		}
		if got := s.get("/tools").header.Get("Cache-Control"); got != "no-store" {
			t.Errorf("pages may be kept: %q", got)
		}
	})

	t.Run("what is not there", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.get("/nothing-here").is(http.StatusNotFound).says("Not here").doc()
		if !doc.Has("nav.nav") {
			t.Error("the owner is left without a way on")
		}
		if s.other().get("/nothing-here").is(http.StatusNotFound).doc().Has("nav.nav") {
			t.Error("a stranger is shown the navigation")
		}
		s.do(s.request(http.MethodDelete, "/tools", "")).is(http.StatusMethodNotAllowed)
		if a := s.do(s.request(http.MethodHead, "/tools", "")); a.status != http.StatusOK || a.body != "" {
			t.Errorf("HEAD: %d %q", a.status, a.body)
		}
	})

	t.Run("too much, and what is no text", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/tools", url.Values{"name": {strings.Repeat("x", maxForm-len("name="))}}).is(http.StatusUnprocessableEntity)
		s.post("/tools", url.Values{"name": {strings.Repeat("x", maxForm-len("name=")+1)}}).is(http.StatusRequestEntityTooLarge)
		s.do(s.request(http.MethodPost, "/tools", "name=%zz")).is(http.StatusBadRequest)
		s.do(s.request(http.MethodPost, "/tools", "name=a%00b")).is(http.StatusBadRequest)
		s.do(s.request(http.MethodPost, "/tools", "name=a%ff")).to("/tools")
		s.do(s.request(http.MethodPost, "/tools", "name=Press&note=one%0D%0Atwo")).to("/tools")
		tools, err := s.store.Tools(t.Context())
		if err != nil || len(tools) != 2 || tools[0].Name != "a\uFFFD" || tools[1].Note != "one\ntwo" {
			t.Errorf("%+v, %v", tools, err)
		}
	})
}

func TestCompressed(t *testing.T) {
	t.Parallel()
	s := setup(t)
	for _, path := range []string{"/settings", web.Asset("app.css")} {
		full := s.do(s.request(http.MethodGet, path, "", "Accept-Encoding", "identity"))
		small := s.do(s.request(http.MethodGet, path, "", "Accept-Encoding", "gzip"))
		if small.header.Get("Content-Encoding") != "gzip" || small.header.Get("Vary") == "" || len(small.body)*2 > len(full.body) {
			t.Errorf("%s: %d bytes as %q instead of %d", path, len(small.body), small.header.Get("Content-Encoding"), len(full.body))
		}
	}
}

func TestHealth(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s := setupUnclaimed(t, pool)
	s.get("/healthz").is(http.StatusOK)
	s.get("/readyz").is(http.StatusOK)
	pool.Close()
	s.get("/healthz").is(http.StatusOK)
	s.get("/readyz").is(http.StatusServiceUnavailable)
	s.get("/tools").is(http.StatusInternalServerError).says("The log has the details under")
}

func TestPanic(t *testing.T) {
	t.Parallel()
	s := setup(t)
	h := s.server.logged(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("loose nut") }))
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/", nil))
	if w.Code != http.StatusInternalServerError || strings.Contains(w.Body.String(), "loose nut") {
		t.Errorf("answered %d: %s", w.Code, w.Body)
	}
}

func TestStatusOf(t *testing.T) {
	t.Parallel()
	for err, want := range map[error]int{
		garage.ErrNotFound: 404, garage.ErrConflict: 409, garage.FieldErrors{"a": "b"}.Err(): 422, errors.New("else"): 500,
		errors.Join(errors.New("else"), garage.ErrNotFound): 404, statusError(http.StatusGone): 410, &http.MaxBytesError{Limit: 1}: 413,
	} {
		if got := statusOf(err); got != want {
			t.Errorf("%v: %d, want %d", err, got, want)
		}
		if problems[want].Title == "" {
			t.Errorf("%d has no page", want)
		}
	}
}

func TestLocalPath(t *testing.T) {
	t.Parallel()
	for address, want := range map[string]string{
		"/": "/", "/plan?x=1#y": "/plan?x=1#y", "": "/", "plan": "/", "//e.test": "/", "///e.test": "/", `/\e.test`: "/", "http:/e": "/", "/a\nb": "/", "/%zz": "/",
	} {
		if got := localPath(address); got != want {
			t.Errorf("%q: %q, want %q", address, got, want)
		}
	}
}

func TestFlashFitsACookie(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.post("/tools", url.Values{"name": {strings.Repeat("縦", 200)}}).to("/tools")
	s.get("/tools").says(strings.Repeat("縦", 200) + " is in.")
	s.post("/sessions/exceptions", url.Values{"on_date": {"2027-03-06"}, "off": {"yes"}, "note": {strings.Repeat("縦", 10000)}}).to("/sessions")
	all, err := s.store.SessionExceptions(t.Context(), garage.Date{})
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	a := s.post(route.ExceptionDelete(all[0].ID), nil).to("/sessions")
	if n := len(a.header.Get("Set-Cookie")); n > 4096 {
		t.Errorf("a cookie of %d bytes, which browsers drop", n)
	}
	s.get("/sessions").says("Exception taken away.")
}

func TestFlashLeadsNowhereElse(t *testing.T) {
	t.Parallel()
	s := setup(t)
	value, err := flashValue(ui.Flash{Text: "Hello", Undo: "https://elsewhere.test/"})
	if err != nil {
		t.Fatal(err)
	}
	req := s.request(http.MethodGet, "/tools", "")
	req.AddCookie(&http.Cookie{Name: flashCookie, Value: value})
	if s.do(req).says("Hello").doc().Has(".flash form") {
		t.Error("a flash offers a form of another site")
	}
	req = s.request(http.MethodGet, "/tools", "")
	req.AddCookie(&http.Cookie{Name: flashCookie, Value: "rubbish"})
	if s.do(req).is(http.StatusOK).doc().Has(".flash") {
		t.Error("rubbish is shown")
	}
}

func TestTheme(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.post("/theme", url.Values{"theme": {"dark"}, "back": {"/tools"}}).to("/tools")
	if got := s.get("/tools").doc().Find("html").Attr("data-theme"); got != "dark" {
		t.Errorf("theme %q", got)
	}
	s.post("/theme", url.Values{"theme": {"auto"}, "back": {"//elsewhere.test"}}).to("/")
	if got := s.get("/tools").doc().Find("html").Attr("data-theme"); got != "" {
		t.Errorf("theme %q", got)
	}
}

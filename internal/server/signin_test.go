package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
)

// token is the sign-in that the browser holds.
func (s *site) token() string {
	s.Helper()
	u, err := url.Parse(s.url)
	if err != nil {
		s.Fatal(err)
	}
	for _, c := range s.client.Jar.Cookies(u) {
		if c.Name == "axlestand" {
			return c.Value
		}
	}
	return ""
}

func TestSignin(t *testing.T) {
	t.Parallel()

	t.Run("leads back to where it was asked for", func(t *testing.T) {
		t.Parallel()
		s := setup(t).other()
		a := s.get("/tools?q=a%26b").to("/signin?back=%2Ftools%3Fq%3Da%2526b")
		s.fill(a.location, "form.form", url.Values{"password": {"guess"}}).is(http.StatusUnprocessableEntity).says("That is not the password.")
		s.fill(a.location, "form.form", url.Values{"password": {ownersPassword}}).to("/tools?q=a%26b")
		s.get("/signin?back=/tools").to("/tools")
	})

	t.Run("never leads elsewhere", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, back := range []string{"https://elsewhere.test/", "//elsewhere.test", `/\elsewhere.test`, "elsewhere", "javascript:alert(1)", "/\t/elsewhere.test", ""} {
			s.other().post("/signin", url.Values{"password": {ownersPassword}, "back": {back}}).to("/")
		}
	})

	t.Run("stores only the hash of a new random token", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		first := s.token()
		raw, err := base64.RawURLEncoding.DecodeString(first)
		if err != nil || len(raw) != 32 {
			t.Fatalf("token %q: %d bytes, %v", first, len(raw), err)
		}
		sum := sha256.Sum256(raw)
		stored, err := s.store.Signins(t.Context(), s.clock)
		if err != nil || len(stored) != 1 || !bytes.Equal(stored[0].TokenHash, sum[:]) {
			t.Fatalf("stored %v, %v", stored, err)
		}
		s.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
		if s.token() == first {
			t.Error("signing in again kept the token")
		}
		if stored, err = s.store.Signins(t.Context(), s.clock); err != nil || len(stored) != 1 {
			t.Errorf("%d sign-ins, %v; want the new one alone", len(stored), err)
		}
	})

	t.Run("out", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		old := s.token()
		s.post("/signout", nil).to("/signin")
		s.get("/signin").is(http.StatusOK).says("Signed out.")
		if s.token() != "" {
			t.Error("the cookie is kept")
		}
		req, _ := http.NewRequestWithContext(t.Context(), http.MethodGet, s.url+"/tools", nil)
		req.AddCookie(&http.Cookie{Name: "axlestand", Value: old})
		if a := s.do(req); a.status != http.StatusSeeOther {
			t.Errorf("the old token still opens the garage: %d", a.status)
		}
		s.post("/signout", nil).is(http.StatusUnauthorized)
	})

	t.Run("a form sent after signing out", func(t *testing.T) {
		t.Parallel()
		s := setup(t).other()
		s.post("/tools", url.Values{"name": {"Press"}}).is(http.StatusUnauthorized).says("still on the page before this one")
	})

	t.Run("ends after 30 days without use", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for range 2 {
			s.clock = s.clock.Add(garage.SigninIdle - time.Minute)
			s.get("/tools").is(http.StatusOK)
		}
		s.clock = s.clock.Add(garage.SigninIdle)
		s.get("/tools").to("/signin?back=%2Ftools")
	})

	t.Run("ends after 90 days however much it is used", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for range 89 {
			s.clock = s.clock.Add(24 * time.Hour)
			s.get("/more").is(http.StatusOK)
		}
		s.clock = s.clock.Add(24 * time.Hour)
		s.get("/more").to("/signin?back=%2Fmore")
	})
}

func TestSignin_cookie(t *testing.T) {
	t.Parallel()
	proxied := func(o *Options) { o.TrustedProxies = prefixes("127.0.0.0/8") }
	for name, c := range map[string]struct {
		change func(*Options)
		header string
		want   string
	}{
		"plain http":                       {want: "axlestand=; Path=/; Max-Age=7776000; HttpOnly; SameSite=Lax"},
		"https at a trusted proxy":         {change: proxied, header: "https", want: "__Host-axlestand=; Path=/; Max-Age=7776000; HttpOnly; Secure; SameSite=Lax"},
		"http at a trusted proxy":          {change: proxied, header: "http", want: "axlestand=; Path=/; Max-Age=7776000; HttpOnly; SameSite=Lax"},
		"https, says somebody not trusted": {header: "https", want: "axlestand=; Path=/; Max-Age=7776000; HttpOnly; SameSite=Lax"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			changes := []func(*Options){func(o *Options) { o.AllowedHosts = []string{"garage.test"} }}
			if c.change != nil {
				changes = append(changes, c.change)
			}
			s := setupUnclaimed(t, pgtest.Tx(t), changes...)
			if err := s.store.ClaimFromHost(t.Context(), ownersHash(), s.clock); err != nil {
				t.Fatal(err)
			}
			req, _ := http.NewRequestWithContext(t.Context(), http.MethodPost, s.url+"/signin", strings.NewReader("password="+url.QueryEscape(ownersPassword)))
			req.Host = "garage.test"
			req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if c.header != "" {
				req.Header.Set("X-Forwarded-Proto", c.header)
			}
			a := s.do(req).to("/")
			got := a.header.Get("Set-Cookie")
			name, rest, _ := strings.Cut(got, "=")
			_, rest, _ = strings.Cut(rest, ";")
			if got = name + "=;" + rest; got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			hsts := a.header.Get("Strict-Transport-Security") != ""
			if hsts != strings.Contains(c.want, "Secure") {
				t.Errorf("HSTS %v", hsts)
			}
		})
	}
}

func TestSignin_throttled(t *testing.T) {
	t.Parallel()
	from := func(s *site, address, password string) answer {
		req, _ := http.NewRequestWithContext(t.Context(), http.MethodPost, s.url+"/signin", strings.NewReader("password="+url.QueryEscape(password)))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("X-Forwarded-For", address)
		return s.do(req)
	}
	open := func(t *testing.T) *site {
		s := setupUnclaimed(t, pgtest.Tx(t), func(o *Options) { o.TrustedProxies = prefixes("127.0.0.1/32") })
		if err := s.store.ClaimFromHost(t.Context(), ownersHash(), s.clock); err != nil {
			t.Fatal(err)
		}
		from(s, "198.51.100.1", ownersPassword).to("/") // the owner's address from now on
		return s
	}

	t.Run("an address that guesses", func(t *testing.T) {
		t.Parallel()
		s := open(t)
		for range peerLimit {
			from(s, "203.0.113.9", "guess").is(http.StatusUnprocessableEntity)
		}
		a := from(s, "203.0.113.9", ownersPassword).is(http.StatusTooManyRequests).says("Wait 30 seconds")
		if got := a.header.Get("Retry-After"); got != "30" {
			t.Errorf("Retry-After %q", got)
		}
		from(s, "203.0.113.10", ownersPassword).to("/")
		s.clock = s.clock.Add(peerDrain)
		from(s, "203.0.113.9", ownersPassword).to("/")
	})

	t.Run("strangers together, while the owner comes and goes", func(t *testing.T) {
		t.Parallel()
		s := open(t)
		refused := 0
		for i := range 3 * strangerLimit {
			if from(s, "2001:db8:"+string(rune('a'+i%6))+":"+strings.Repeat("1", 1+i/6%4)+"::"+string(rune('1'+i%9)), "guess").status == http.StatusTooManyRequests {
				refused++
			}
		}
		if refused < strangerLimit {
			t.Errorf("only %d of %d guesses were held up", refused, 3*strangerLimit)
		}
		from(s, "203.0.113.77", "guess").is(http.StatusTooManyRequests)
		for range 3 * peerLimit {
			from(s, "198.51.100.1", ownersPassword).to("/")
		}
	})
}

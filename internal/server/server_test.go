package server

import (
	"context"
	"encoding/base64"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/argon2"

	"axlestand/internal/htmltest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// site is a server on a rolled-back transaction, with a browser's client that keeps cookies and has signed in.
type site struct {
	*testing.T
	db     postgres.DBTX
	store  *postgres.Store
	server *Server
	url    string
	client *http.Client
	clock  time.Time // what the server takes for now; starts on Friday 5 March 2027, 18:00 UTC
}

// setup starts one. A transaction is one connection: send one request at a time.
func setup(t *testing.T) *site {
	t.Helper()
	s := setupUnclaimed(t, pgtest.Tx(t))
	s.claim()
	return s
}

const ownersPassword = "four tins of grease"

// claim makes the client the owner, signed in.
func (s *site) claim() {
	s.Helper()
	if err := s.store.ClaimFromHost(s.Context(), ownersHash(), s.clock); err != nil {
		s.Fatal(err)
	}
	s.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
}

// ownersHash is the cheapest that can be checked: real ones are slow on purpose.
func ownersHash() string {
	b64 := base64.RawStdEncoding
	salt := []byte("somesalt")
	key := argon2.IDKey([]byte(ownersPassword), salt, 1, 8, 1, 32)
	return "$argon2id$v=19$m=8,t=1,p=1$" + b64.EncodeToString(salt) + "$" + b64.EncodeToString(key)
}

// setupUnclaimed starts a server on a garage that nobody owns yet.
func setupUnclaimed(t *testing.T, db postgres.DBTX, changes ...func(*Options)) *site {
	t.Helper()
	s := &site{T: t, db: db, store: postgres.New(db), clock: time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)}
	o := Options{
		Store: s.store,
		Now:   func() time.Time { return s.clock },
		Log:   slog.New(slog.NewTextHandler(t.Output(), nil)),
		Build: "test",
	}
	for _, change := range changes {
		change(&o)
	}
	s.server = New(o)
	web := httptest.NewServer(s.server)
	t.Cleanup(web.Close)
	s.url = web.URL
	s.client = newClient(t)
	return s
}

// newClient is a browser's that keeps cookies and follows nothing by itself.
func newClient(t *testing.T) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// answer is what the server sent.
type answer struct {
	*testing.T
	status   int
	location string
	body     string
	header   http.Header
}

// get asks for a path.
func (s *site) get(path string) answer {
	s.Helper()
	return s.send(http.MethodGet, path, nil)
}

// post sends a form.
func (s *site) post(path string, form url.Values) answer {
	s.Helper()
	return s.send(http.MethodPost, path, form)
}

func (s *site) send(method, path string, form url.Values) answer {
	s.Helper()
	req, err := http.NewRequestWithContext(context.Background(), method, s.url+path, strings.NewReader(form.Encode()))
	if err != nil {
		s.Fatal(err)
	}
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	resp, err := s.client.Do(req)
	if err != nil {
		s.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		s.Fatal(err)
	}
	return answer{T: s.T, status: resp.StatusCode, location: resp.Header.Get("Location"), body: string(body), header: resp.Header}
}

// fill sends the form of a page as it stands, with some fields changed: what a browser does.
func (s *site) fill(path, form string, change url.Values) answer {
	s.Helper()
	f := s.get(path).is(http.StatusOK).doc().Find(form)
	values := f.FormValues()
	for name, v := range change {
		values[name] = v
	}
	return s.post(f.Attr("action"), values)
}

// is checks the status, and the page when there is one.
func (a answer) is(status int) answer {
	a.Helper()
	if a.status != status {
		a.Fatalf("status %d, want %d: %s", a.status, status, a.body)
	}
	if strings.HasPrefix(a.header.Get("Content-Type"), "text/html") && a.location == "" {
		htmltest.Check(a.T, a.body)
	}
	return a
}

// to checks that it leads on to a path, as the answer to every POST that is done does.
func (a answer) to(path string) answer {
	a.Helper()
	a.is(http.StatusSeeOther)
	if a.location != path {
		a.Fatalf("leads to %s, want %s", a.location, path)
	}
	return a
}

// doc is the page.
func (a answer) doc() htmltest.Node {
	a.Helper()
	return htmltest.Parse(a.T, a.body)
}

// says checks that the page's text holds each of these.
func (a answer) says(texts ...string) answer {
	a.Helper()
	have := a.doc().Find("body").Text()
	for _, text := range texts {
		if !strings.Contains(have, text) {
			a.Errorf("the page does not say %q: %s", text, have)
		}
	}
	return a
}

// saysNot checks that the page's source, with all its attributes, holds none of these.
func (a answer) saysNot(texts ...string) answer {
	a.Helper()
	for _, text := range texts {
		if strings.Contains(a.body, text) {
			a.Errorf("the page says %q", text)
		}
	}
	return a
}

func TestMain(m *testing.M) { pgtest.Main(m) }

package main

import (
	"bytes"
	"log/slog"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/browsertest"
	"axlestand/internal/config"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/internal/server"
)

// friday is when the clock of the tests' garages stands still: Friday 5 March 2027, 18:00 in Vienna.
var friday = time.Date(2027, 3, 5, 17, 0, 0, 0, time.UTC)

// site is a program as serve makes it, but for its clock: it stands still, so that the plan's dates can be told.
type site struct {
	*testing.T
	pool    *pgxpool.Pool
	store   *postgres.Store
	handler *server.Server
	base    string // its address by a name that is no loopback name
	said    string // what it printed when it started
}

// newSite starts one on an empty garage. args are the program's flags.
func newSite(t *testing.T, now time.Time, args ...string) *site {
	t.Helper()
	return newSiteOn(t, pgtest.Pool(t), now, args...)
}

// newSiteOn starts one on a garage that may be another program's too.
func newSiteOn(t *testing.T, pool *pgxpool.Pool, now time.Time, args ...string) *site {
	t.Helper()
	c, err := config.Load(append([]string{"-allowed-hosts", browsertest.Host}, args...), noVariables)
	if err != nil {
		t.Fatal(err)
	}
	o := serverOptions(c, postgres.New(pool), slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelWarn})))
	o.Now = func() time.Time { return now }
	s := &site{T: t, pool: pool, store: o.Store, handler: server.New(o)}
	s.base = browsertest.Serve(t, s.handler)
	var out bytes.Buffer
	if err := greet(t.Context(), c, o, s.handler, s.base+"/", &out); err != nil {
		t.Fatal(err)
	}
	s.said = out.String()
	return s
}

// printed is what an expression picks out of what was printed.
func (s *site) printed(expression string) string {
	s.Helper()
	m := regexp.MustCompile(expression).FindStringSubmatch(s.said)
	if m == nil {
		s.Fatalf("no %s in %q", expression, s.said)
	}
	return m[1]
}

// claim makes a browser the owner, with the code that was printed.
func (s *site) claim(look ...browsertest.Option) *browsertest.Page {
	s.Helper()
	p := browsertest.Open(s.T, look...)
	p.Goto(s.base + "/")
	p.Has("This garage is new")
	p.Fill("Code", s.printed(codeLine))
	p.Fill("Password", testPassword)
	p.Fill("Time zone", "Europe/Vienna")
	p.Fill("Currency", "EUR")
	p.Submit("Claim this garage")
	return p
}

// enter signs a browser in by a link, which is quicker than a password.
func (s *site) enter(look ...browsertest.Option) *browsertest.Page {
	s.Helper()
	token := strings.ReplaceAll(s.Name(), "/", "-")
	s.handler.AllowEntry(token)
	p := browsertest.Open(s.T, look...)
	p.Goto(s.base + "/enter?token=" + token)
	p.Submit("Open the garage")
	return p
}

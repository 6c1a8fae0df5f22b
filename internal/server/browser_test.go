package server

import (
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/pgtest"
)

// TestBrowser_claims goes through the first start as a person does, by a name that is not a loopback name: there a browser
// drops a Secure cookie on plain http without a word, and would be signed out at once.
func TestBrowser_claims(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		https bool
		look  browsertest.Option
	}{
		"plain http on the phone":       {look: browsertest.Phone},
		"plain http without JavaScript": {look: browsertest.NoScript},
		"https on the desktop":          {https: true, look: browsertest.Desktop},
		"https on a dark phone":         {https: true, look: browsertest.Dark},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setupUnclaimed(t, pgtest.Pool(t), func(o *Options) { o.AllowedHosts = []string{browsertest.Host} })
			s.offerCode()
			serve := browsertest.Serve
			if c.https {
				serve = browsertest.ServeTLS
			}
			p := browsertest.Open(t, c.look)
			p.Goto(serve(t, s.server) + "/tools")
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

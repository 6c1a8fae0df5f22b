package server

import (
	"context"
	"errors"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
)

const claimCode = "ABCDEFGHIJKLMNOP"

// offerCode makes the garage one that can be claimed within the hour.
func (s *site) offerCode() {
	s.Helper()
	if err := s.store.SetClaimCode(s.Context(), CodeHash(claimCode), s.clock.Add(time.Hour)); err != nil {
		s.Fatal(err)
	}
}

// other is another browser of the same site, without cookies.
func (s *site) other() *site {
	s.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.Fatal(err)
	}
	o := *s
	o.client = &http.Client{Jar: jar, CheckRedirect: s.client.CheckRedirect}
	o.server = s.server
	return &o
}

func claiming(change url.Values) url.Values {
	form := url.Values{"code": {"abcd-efgh ijkl-mnop"}, "password": {ownersPassword}, "zone": {"Europe/Vienna"}, "currency": {"chf"}}
	for name, v := range change {
		form[name] = v
	}
	return form
}

func TestUnclaimed(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Tx(t))
	s.get("/claim").is(http.StatusOK).says("This garage is new")
	s.get("/healthz").is(http.StatusOK)
	for _, path := range []string{"/settings", "/tools", "/more", "/signin", "/enter?token=x", "/account"} {
		s.get(path).to("/claim")
	}
	for _, path := range []string{"/settings", "/signin", "/enter", "/tools", "/signout"} {
		s.post(path, url.Values{"password": {"x"}}).is(http.StatusNotFound)
	}
}

func TestClaim(t *testing.T) {
	t.Parallel()

	t.Run("with the code", func(t *testing.T) {
		t.Parallel()
		s := setupUnclaimed(t, pgtest.Tx(t))
		s.offerCode()
		s.post("/claim", claiming(nil)).to("/")
		s.get("/settings").is(http.StatusOK).says("The garage is yours.")
		settings, err := s.store.Settings(t.Context())
		if err != nil || settings.Zone != "Europe/Vienna" || settings.Currency != "CHF" {
			t.Errorf("settings %+v, %v", settings, err)
		}
		s.get("/claim").to("/")
		s.other().post("/claim", claiming(nil)).is(http.StatusConflict)
		s.other().post("/signin", url.Values{"password": {ownersPassword}}).to("/")
	})

	for name, c := range map[string]struct {
		change url.Values
		later  time.Duration
		says   string
	}{
		"with another code":          {change: url.Values{"code": {"PPPP-PPPP-PPPP-PPPP"}}, says: "That is not the code"},
		"without a code":             {change: url.Values{"code": {""}}, says: "That is not the code"},
		"after its hour":             {later: time.Hour, says: "its hour is over"},
		"with a short password":      {change: url.Values{"password": {"sieben7"}}, says: "At least 8 characters."},
		"with a well-known password": {change: url.Values{"password": {"Password123!"}}, says: "Too many people use that one"},
		"in a zone that is none":     {change: url.Values{"zone": {"Mars/Olympus"}}, says: "Not a known time zone."},
		"in a currency that is none": {change: url.Values{"currency": {"dosh"}}, says: "Three capital letters"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setupUnclaimed(t, pgtest.Tx(t))
			s.offerCode()
			s.clock = s.clock.Add(c.later)
			a := s.post("/claim", claiming(c.change)).is(http.StatusUnprocessableEntity).says(c.says)
			if strings.Contains(a.body, ownersPassword) {
				t.Error("the password is sent back")
			}
			if claimed, err := s.store.Claimed(t.Context()); claimed || err != nil {
				t.Errorf("claimed %v, %v", claimed, err)
			}
		})
	}

	t.Run("with the code of an earlier start", func(t *testing.T) {
		t.Parallel()
		s := setupUnclaimed(t, pgtest.Tx(t))
		s.offerCode()
		if err := s.store.SetClaimCode(t.Context(), CodeHash("ANOTHER"), s.clock.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		s.post("/claim", claiming(nil)).is(http.StatusUnprocessableEntity).says("The one printed last counts")
	})
}

// TestClaim_race lets a hundred browsers claim with the same valid code: through the store, since each waits for its slow
// password otherwise, on several connections.
func TestClaim_race(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t))
	s.offerCode()
	var won, lost sync.Map
	var group sync.WaitGroup
	for i := range 100 {
		group.Go(func() {
			hash := "owner " + string(rune('A'+i))
			switch err := s.store.Claim(context.Background(), CodeHash(claimCode), hash, s.clock); {
			case err == nil:
				won.Store(hash, true)
			case errors.Is(err, garage.ErrConflict):
				lost.Store(hash, true)
			default:
				t.Error(err)
			}
		})
	}
	group.Wait()
	stored, err := s.store.PasswordHash(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	winners, losers := 0, 0
	won.Range(func(hash, _ any) bool {
		winners++
		if hash != stored {
			t.Errorf("%v was told it won, but %q is stored", hash, stored)
		}
		return true
	})
	lost.Range(func(any, any) bool { losers++; return true })
	if winners != 1 || losers != 99 {
		t.Errorf("%d owners and %d told that there is one, want 1 and 99", winners, losers)
	}
}

// TestClaim_raceByForm does the same through the form. Those beyond what one address may try at once are told to wait.
func TestClaim_raceByForm(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t))
	s.offerCode()
	statuses := make(chan int, 100)
	var group sync.WaitGroup
	for range cap(statuses) {
		browser := s.other()
		group.Go(func() { statuses <- browser.post("/claim", claiming(nil)).status })
	}
	group.Wait()
	close(statuses)
	count := map[int]int{}
	for status := range statuses {
		count[status]++
	}
	if count[http.StatusSeeOther] != 1 || count[http.StatusConflict] == 0 || count[http.StatusConflict]+count[http.StatusTooManyRequests] != 99 {
		t.Errorf("answers %v, want one owner, and all others told that there is one or to wait", count)
	}
	signins, err := s.store.Signins(t.Context(), s.clock)
	if err != nil || len(signins) != 1 {
		t.Errorf("%d browsers are signed in, %v; want 1", len(signins), err)
	}
}

func TestPassword(t *testing.T) {
	t.Parallel()

	t.Run("changed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		laptop := s.other()
		laptop.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
		s.get("/account").is(http.StatusOK).says("this browser", "Sign out all other browsers")
		s.post("/account/password", url.Values{"current": {ownersPassword}, "password": {"a new can of worms"}}).to("/account")
		s.get("/account").is(http.StatusOK)
		laptop.get("/account").to("/signin?back=%2Faccount")
		laptop.post("/signin", url.Values{"password": {ownersPassword}}).is(http.StatusUnprocessableEntity)
		laptop.post("/signin", url.Values{"password": {"a new can of worms"}}).to("/")
	})

	t.Run("not without the present one", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/account/password", url.Values{"current": {"guess"}, "password": {"a new can of worms"}}).
			is(http.StatusUnprocessableEntity).says("That is not the present password.")
		s.post("/account/password", url.Values{"current": {ownersPassword}, "password": {"12345678"}}).
			is(http.StatusUnprocessableEntity).says("Too many people use that one")
		s.other().post("/signin", url.Values{"password": {ownersPassword}}).to("/")
	})

	t.Run("browsers signed out one by one and all at once", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		phone, tablet := s.other(), s.other()
		phone.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
		tablet.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
		form := s.get("/account").doc().Find(".list form")
		s.post(form.Attr("action"), form.FormValues()).to("/account")
		out := 0
		for _, b := range []*site{phone, tablet} {
			if b.get("/tools").status == http.StatusSeeOther {
				out++
			}
		}
		if out != 1 {
			t.Errorf("%d of two browsers are signed out, want one", out)
		}
		s.post("/account/signins/delete-others", nil).to("/account")
		phone.get("/tools").to("/signin?back=%2Ftools")
		tablet.get("/tools").to("/signin?back=%2Ftools")
		s.get("/tools").is(http.StatusOK)
		s.post("/account/signins/delete", url.Values{"signin": {"zz"}}).is(http.StatusNotFound)
	})
}

func TestEnter(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.server.AllowEntry("ONCE")
	guest := s.other()
	for range 3 { // looking does not use it up
		guest.get("/enter?token=ONCE").is(http.StatusOK)
	}
	guest.get("/tools").to("/signin?back=%2Ftools")
	form := guest.get("/enter?token=ONCE").doc().Find("main form")
	guest.post(form.Attr("action"), form.FormValues()).to("/")
	guest.get("/tools").is(http.StatusOK)
	s.other().post("/enter", url.Values{"token": {"ONCE"}}).is(http.StatusGone)
	s.other().post("/enter", url.Values{"token": {""}}).is(http.StatusGone)
	s.other().post("/enter", url.Values{"token": {"TWICE"}}).is(http.StatusGone)
}

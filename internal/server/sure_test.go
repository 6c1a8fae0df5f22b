package server

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestSure: long after the password was shown, what gives others a way in asks for it again, and nothing typed is lost.
func TestSure(t *testing.T) {
	t.Parallel()
	s := setup(t)
	job := s.addJob(s.addCar(), "Rear brakes")
	tablet := s.other()
	tablet.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
	s.clock = s.clock.Add(garage.SigninSure)

	s.post(route.SigninDeleteOthers(), nil).is(http.StatusUnprocessableEntity).says("Your password once more")
	tablet.get("/tools").is(http.StatusOK)

	typed := url.Values{"name": {"Neighbour <b>"}, "rights": {"look"}}
	asked := s.fill(route.LinkNewFor(job), "form.form", typed).is(http.StatusUnprocessableEntity).says("Your password once more", "kept and done next")
	links, err := s.store.Links(t.Context())
	if err != nil || len(links) != 0 {
		t.Fatalf("%d links before the password was shown, %v", len(links), err)
	}
	form := asked.doc().Find("form.form").FormValues()
	form.Set(sureField, "guess")
	wrong := s.post(route.Links(), form).is(http.StatusUnprocessableEntity).says("That is not the password.")
	wrong.saysNot("guess")
	form = wrong.doc().Find("form.form").FormValues()
	form.Set(sureField, ownersPassword)
	before := s.token()
	s.post(route.Links(), form).is(http.StatusSeeOther)
	if s.token() == before {
		t.Error("the sign-in is the same after the password was shown again")
	}
	links, err = s.store.Links(t.Context())
	if err != nil || len(links) != 1 || links[0].Name != "Neighbour <b>" || links[0].MayTick() || !links[0].Opens(job) {
		t.Fatalf("made %+v, %v", links, err)
	}

	// Shown once, it holds for a while, for this browser alone.
	s.clock = s.clock.Add(garage.SigninSure - time.Second)
	tablet.post(route.SigninDeleteOthers(), nil).is(http.StatusUnprocessableEntity)
	s.post(route.SigninDeleteOthers(), nil).to(route.Account())
	tablet.get("/tools").is(http.StatusSeeOther)
}

func TestSure_guessing_is_slowed_down(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.clock = s.clock.Add(garage.SigninSure)
	for range peerLimit {
		s.post(route.SigninDeleteOthers(), url.Values{sureField: {"guess"}}).is(http.StatusUnprocessableEntity)
	}
	s.post(route.SigninDeleteOthers(), url.Values{sureField: {ownersPassword}}).is(http.StatusTooManyRequests).says("Too many wrong tries.")
}

// TestSure_entered: who came by the link of the demo knows no password, and is not asked for one.
func TestSure_entered(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.server.AllowEntry("ONCE")
	guest := s.other()
	guest.post("/enter", url.Values{"token": {"ONCE"}}).to("/")
	guest.clock = s.clock.Add(24 * time.Hour)
	s.clock = guest.clock
	guest.post(route.SigninDeleteOthers(), nil).to(route.Account())
}

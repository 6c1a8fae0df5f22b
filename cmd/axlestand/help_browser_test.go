package main

import (
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/web/route"
)

// TestBrowser_helper: a helper's phone starts with the link, works the card, also without a line, and the owner sees it.
func TestBrowser_helper(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday)
	job := s.writeCard(0)
	owner := s.claim(browsertest.Desktop)
	owner.Goto(s.base + route.LinkNewFor(job))
	owner.Fill("For whom", "Neighbour")
	owner.Click("Make the link")
	owner.Has("Give this away")
	owner.Shot("link-made")
	given := owner.Text(".linkaddress")

	p := browsertest.Open(t, browsertest.Phone, browsertest.BadLine)
	p.Goto(given)
	p.Has("You can help here", "Tern estate")
	p.Shot("help-start")
	if hidden := browsertest.Eval[string](p, "location.href"); strings.Contains(hidden, "with/") {
		t.Errorf("the secret stays in the address bar: %s", hidden)
	}
	p.Click("Start")
	p.Click("Rear arms, left side")
	p.Has("0 of 8")
	p.Fits()
	p.Offline(true)
	p.Click("Done")
	p.Has("1 not sent")
	p.ShotWindow("help-card-offline")
	p.Offline(false)
	p.Has("all sent", "1 of 8")

	links, err := s.store.Links(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	owner.Goto(s.base + route.Links())
	owner.Click("Neighbour")
	owner.Has("Offer the arm up", "1 browser")
	owner.Click("Undo all of it")
	owner.Has("1 tick of Neighbour undone")
	owner.Click("End this link")
	p.Goto(s.base + route.Help(links[0].ID))
	p.Has("This link opens nothing")
}

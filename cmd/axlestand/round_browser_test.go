package main

import (
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestBrowser_rounds: rounds are noted beside the car, also without a line, and stand side by side on every screen.
func TestBrowser_rounds(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday)
	job := s.writeCard(0)
	for on, shown := range map[garage.Date]int{garage.NewDate(2027, 2, 1): 50_000, garage.NewDate(2027, 3, 1): 50_700} {
		if _, err := s.store.AddReading(t.Context(), 1, garage.ReadingEntry{ReadOn: on, Shown: shown, Unit: "km"}, garage.NewDate(2027, 3, 5)); err != nil {
			t.Fatal(err)
		}
	}
	p := s.claim(browsertest.Phone, browsertest.BadLine)
	p.Goto(s.base + route.Job(job))
	p.Click("Repeat it until something is seen")
	p.Has("Done once")
	p.Fits()
	p.Shot("rounds-empty")
	p.Fill("What has to be seen", "der Kühlmittelüberlauf bleibt klar")
	p.Click("Repeat it until then")
	p.Has("Again until this is seen:", "No round yet")
	p.Fill("What was seen", "rusty, with flakes")
	p.Fill("Next round in", "200")
	p.Click("Note round 1")
	p.Has("Round 1", "next after 200 km", "about")

	p.Offline(true)
	p.Fill("What was seen", "nearly clear")
	p.Fill("Reading", "5.2 l out")
	p.Click("Note round 2")
	p.Has("1 not sent")
	p.Offline(false)
	p.Has("Round 2", "nearly clear", "5.2 l out")
	p.Has("Note round 3")

	p.Fill("What was seen", "clear")
	p.Fill("It is as it should be", "as clear as it went in")
	p.Click("Note round 3")
	p.Has("ended: as clear as it went in")
	p.Lacks("Note round 4")
	p.Fits()
	p.Shot("rounds")
	for _, look := range [][]browsertest.Option{{browsertest.Desktop}, {browsertest.Desktop, browsertest.Dark}} {
		wide := p.Tab(look...)
		wide.Goto(s.base + route.Rounds(job))
		wide.Fits()
		wide.Shot("rounds")
	}
	p.Click("Take it back")
	p.Lacks("ended: as clear as it went in")
	p.Has("Note round 3")
}

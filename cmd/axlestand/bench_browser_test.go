package main

import (
	"testing"

	"axlestand/internal/browsertest"
)

// TestBrowser_bench works out what to set on a wrench with an extension: 90 Nm · 350/(350 + 50) = 78.75 Nm by the balance of
// moments. The address holds the answer, so that a reload and a step back lose nothing.
func TestBrowser_bench(t *testing.T) {
	t.Parallel()
	for name, looks := range map[string][]browsertest.Option{
		"on the phone":       nil,
		"without JavaScript": {browsertest.NoScript},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday, "-demo")
			p := s.enter(looks...)
			p.Click("More")
			p.Click("Bench")
			p.Has("Torque", "Intervals", "Money")
			p.Fits()
			p.Click("Wrench with an extension")
			p.Has("No answer yet")

			p.Fill("Torque", "90")
			p.Fill("Length of the wrench", "350")
			p.Fill("Length of the extension", "50")
			p.Fill("Angle to the wrench", "0")
			p.Submit("Work it out")
			p.Has("Set the wrench to", "79 Nm", "78.75 Nm")
			p.Fits()

			p.Goto(p.URL())
			p.Has("78.75 Nm")
			held(t, p, "90", "350")

			p.Fill("Torque", "ninety")
			p.Submit("Work it out")
			if p.Status() != 422 {
				t.Errorf("answered %d", p.Status())
			}
			p.Has("Not worked out yet. What you typed is below.", "Write a number and a unit")
			p.Lacks("Set the wrench to")
			held(t, p, "ninety", "350")
			p.Fits()

			p.Fill("Torque", "180")
			p.Submit("Work it out")
			p.Has("157.50 Nm") // twice as much
		})
	}
}

// held checks that the form still holds what was typed.
func held(t *testing.T, p *browsertest.Page, torque, wrench string) {
	t.Helper()
	if got := p.Value("Torque"); got != torque {
		t.Fatalf("the torque is shown as %q, want %q", got, torque)
	}
	if got := p.Value("Length of the wrench"); got != wrench {
		t.Fatalf("the wrench is shown as %q, want %q", got, wrench)
	}
}

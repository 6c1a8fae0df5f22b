package main

import (
	"testing"
	"time"

	"axlestand/internal/browsertest"
)

// TestBrowser_findsPartInTwoKeys types two letters on the page of the parts, with nothing tapped first.
func TestBrowser_findsPartInTwoKeys(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday, "-demo")
	p := s.enter(browsertest.Desktop)
	p.Click("Parts")
	p.Has("Parts")
	all := p.Count("#found tbody tr")
	p.Press("c")
	p.Press("l")
	found := func() int { return p.Count("#found tbody tr") }
	for deadline := time.Now().Add(5 * time.Second); found() == all && time.Now().Before(deadline); {
		time.Sleep(20 * time.Millisecond)
	}
	if got := found(); got == 0 || got >= all {
		t.Errorf("%d of %d parts after two keys", got, all)
	}
	p.Has("Clutch kit")
	p.Lacks("Cavity wax")
	if p.URL() != "/parts?q=cl" {
		t.Errorf("the address is %s", p.URL())
	}
}

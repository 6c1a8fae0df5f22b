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

// TestBrowser_partsPutInOrder keeps pieces for a job, gathers its kit in a box with a label, and brings a list of parts in and out
// again, each undone in one tap.
func TestBrowser_partsPutInOrder(t *testing.T) {
	t.Parallel()
	for name, looks := range map[string][]browsertest.Option{"on the phone": nil, "without JavaScript": {browsertest.NoScript}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday, "-demo")
			p := s.enter(looks...)
			p.Goto("/parts?q=drain")
			p.Click("Drain plug washer")
			p.Has("Promised to", "Oil and filter")
			p.Submit("Keep for it")
			p.Has("Kept: no other job gets them.", "kept for it")
			p.Fits()
			p.In("Promised to").Click("Oil and filter")
			p.Has("kit complete")
			p.Click("Name a box for it")
			p.Fill("Box", "Kit box 2")
			p.Submit("Gather them there")
			p.Has("There is no bin called Kit box 2. Tick to make it.")
			p.Tick("Make the bin, if there is none of that name")
			p.Submit("Gather them there")
			p.Submit("Gather in Kit box 2")
			p.Has("kit complete, in Kit box 2")
			p.Fits()
			p.Click("Print its label")
			p.Has("Kit box 2", "Oil and filter")
			if got := p.Count("svg.qr"); got != 1 {
				t.Errorf("%d codes on the sheet of one box", got)
			}
			p.Fits()

			p.Goto("/parts/imports")
			p.Fill("Or its lines", "name;number;price\nFuel hose;FH-6;1,20\nHose clamp;HC-1;dear\n")
			p.Submit("See what it would do")
			p.Has("1 part to add", "1 line is wrong", "price: Write an amount like 12.50.")
			p.Fits()
			p.Submit("Import 1 part")
			p.Has("Imported.")
			p.Submit("Undo this import")
			p.Has("Undone: the parts are as they were.")
			p.Goto("/parts?q=fuel+hose")
			p.Has("Nothing found")
		})
	}
}

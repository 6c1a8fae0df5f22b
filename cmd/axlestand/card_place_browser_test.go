package main

import (
	"testing"
	"time"

	"axlestand/internal/browsertest"
)

// inSight says whether something of the page is seen whole in the window.
func inSight(p *browsertest.Page, selector string) bool {
	return browsertest.Eval[bool](p, `((e) => { const b = e.getBoundingClientRect(); return b.height > 0 && b.top >= 0 && b.bottom <= innerHeight; })(document.querySelector("`+selector+`"))`)
}

// TestBrowser_cardOpensWhereItWasLeft: a card that was begun shows the next step at once, with and without script; one that was not
// begins with what is ready before the first step, and nothing can be ticked before that step is in sight.
func TestBrowser_cardOpensWhereItWasLeft(t *testing.T) {
	t.Parallel()
	for name, look := range map[string][]browsertest.Option{"with script": nil, "without": {browsertest.NoScript}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday, "-demo")
			p := s.enter(look...)
			p.Goto("/jobs")
			p.Click("Rear lamps dim")
			p.Click("Open the card")
			p.Has("5 of 11")
			if !inSight(p, ".step[data-state=now] [data-text]") || !inSight(p, ".step[data-state=now] .stepbar") {
				t.Error("the step that goes on is not in sight")
			}
			p.In(".step[data-state=now]").Fill("Measured", "0.1")
			p.Click("Note it")
			p.Has("6 of 11")
			for wait := time.Now().Add(5 * time.Second); !inSight(p, ".step[data-state=now] [data-text]") && time.Now().Before(wait); { // it glides there
				time.Sleep(20 * time.Millisecond)
			}
			if !inSight(p, ".step[data-state=now] [data-text]") {
				t.Error("the step behind the one that was ticked is not in sight")
			}
			p.Click("Leaving now")
			p.Fill("What is loose", "the left trim")
			p.Click("Leave it like that")
			p.Has("Loose: the left trim")
			for wait := time.Now().Add(5 * time.Second); !inSight(p, ".cardleft h2") && time.Now().Before(wait); {
				time.Sleep(20 * time.Millisecond)
			}
			if !inSight(p, ".cardleft h2") {
				t.Error("who leaves does not see that it was noted")
			}

			p.Goto("/jobs")
			p.Click("Rear brake upgrade")
			p.Click("Open the card")
			p.Has("0 of 32", "Before you start")
			if !inSight(p, ".cardbefore summary") || inSight(p, ".step[data-state=now] .stepbar") {
				t.Error("a step that is not in sight can be ticked before its cautions are read")
			}
			browsertest.Eval[any](p, `void document.querySelector(".step[data-state=now]").scrollIntoView()`)
			if !inSight(p, ".step[data-state=now] .stepbar") {
				t.Error("the first step cannot be ticked where it is read")
			}
		})
	}
}

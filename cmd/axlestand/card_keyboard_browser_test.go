package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/web/route"
)

// stop is where the keyboard is.
type stop struct {
	Name string // what is read out there
	Step string // the number of the step that it is in
	Main bool   // it is on the page's own part
	Bad  string // why it cannot be seen to be there
}

// whereKeyboard is read where the keyboard is. A ring around it of at least 2 pixels has to be seen, in the window and under nothing.
const whereKeyboard = `(() => {
	const e = document.activeElement;
	const tidy = (s) => (s ?? "").replace(/\s+/g, " ").trim();
	if (!e || e === document.body) return { Name: "", Step: "", Main: false, Bad: "" };
	const label = e.labels?.length && e.type !== "submit" ? [...e.labels].map((l) => l.textContent).join(" ") : "";
	const at = { Name: tidy(e.getAttribute("aria-label") || label || e.textContent), Step: e.closest("[data-step]")?.querySelector(".stepn").textContent ?? "", Main: e.matches("main"), Bad: "" };
	if (at.Main) return at;
	const style = getComputedStyle(e);
	const box = e.getBoundingClientRect();
	if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) at.Bad = "no ring: " + style.outline;
	else if (box.bottom < 0 || box.top > innerHeight) at.Bad = "outside the window";
	else {
		const top = document.elementFromPoint(Math.max(1, box.x + box.width / 2), Math.min(innerHeight - 1, Math.max(1, box.y + box.height / 2)));
		if (top && !e.contains(top) && !top.contains(e) && !e.closest("label")?.contains(top)) at.Bad = "under " + top.outerHTML.slice(0, 80);
	}
	return at;
})()`

// keyboard works a page by Tab, Enter, the space bar and typing alone.
type keyboard struct {
	*testing.T
	p *browsertest.Page
}

func (k keyboard) at() stop {
	k.Helper()
	s := browsertest.Eval[stop](k.p, whereKeyboard)
	for tries := 0; s.Bad != "" && tries < 20; tries++ { // a page may still be on its way there
		time.Sleep(50 * time.Millisecond)
		s = browsertest.Eval[stop](k.p, whereKeyboard)
	}
	if s.Bad != "" {
		k.Errorf("the keyboard is at %q and that is not seen: %s", s.Name, s.Bad)
	}
	return s
}

// to goes on until it is at what begins with these words, in this step if one is named.
func (k keyboard) to(words, step string) {
	k.Helper()
	var passed []string
	for range 250 { // more than a card has places to stop, so that it also comes round once
		k.p.Press("\t")
		at := k.at()
		if strings.HasPrefix(at.Name, words) && (step == "" || at.Step == step) {
			return
		}
		passed = append(passed, at.Name)
	}
	k.Fatalf("the keyboard comes nowhere to %q in step %q, but to %q", words, step, passed)
}

// press goes there and presses Enter.
func (k keyboard) press(words, step string) {
	k.Helper()
	k.to(words, step)
	time.Sleep(450 * time.Millisecond) // sooner after the last one it is a second press
	k.p.Press("\r")
}

// in is where the keyboard is left by what was done last: in this step.
func (k keyboard) in(step string) {
	k.Helper()
	if at := k.at(); at.Step != step {
		k.Errorf("the keyboard is at %q in step %q, not in step %s", at.Name, at.Step, step)
	}
}

func (k keyboard) types(text string) {
	for _, key := range text {
		k.p.Press(string(key))
	}
}

// TestBrowser_cardKeyboard works a whole card without touching a mouse or a screen.
func TestBrowser_cardKeyboard(t *testing.T) {
	t.Parallel()
	s := newShop(t, time.Now()) // the browser's clock, which its timers run by
	job, ids := s.job("Rear arms, left side", everyStep(s.part)...)
	p := s.claim(browsertest.Desktop)
	k := keyboard{t, p}
	p.Goto(s.base + route.Card(job))
	p.Press("\t")
	if at := k.at(); at.Name != "Skip to the page" {
		t.Errorf("the first stop is %q", at.Name)
	}
	p.Press("\r")
	if !k.at().Main {
		t.Error("skipping does not lead to the page")
	}
	for _, step := range []struct{ number, button, done, next string }{
		{"1", "Done", "1 of 11", "2"},
		{"2", "Off", "2 of 11", "3"},
		{"3", "Reached 70 Nm", "3 of 11", "4"},
		{"4", "No wrench fits", "Not tightened", "5"},
		{"5", "Reached 280 Nm", "4 of 11", "6"},
		{"6", "Filled", "5 of 11", "7"},
		{"7", "Note it", "6 of 11", "8"},
		{"8", "Start 15 min", "", "8"},
		{"9", "All right", "7 of 11", "10"},
		{"10", "Photo taken", "8 of 11", "11"},
	} {
		switch step.number {
		case "3":
			k.press("Add a note", "3")
			k.to("Note", "3")
			k.types("marked in white")
		case "6":
			k.to("Filled", "6") // the field; what the step wants stands in it, and is taken over
			k.types("0.8 l")
		case "9":
			k.press("9", "9") // while the wait runs
		case "7":
			k.to("Measured", "7")
			k.types("22.4 mm")
		}
		k.press(step.button, step.number)
		if step.done == "" {
			p.In("[data-state=running]").Has("left")
		}
		p.Has(step.done)
		p.Has("all sent")
		k.in(step.next)
	}
	k.locked(p, fmt.Sprintf("step-%d", ids[10]))
	k.undo(p)
	k.leaves(p)
	k.closesOut(p)
	card, err := s.store.Card(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	if done, all := garage.Progress(card.Rows()); done != all-1 || card.Left() != nil || len(garage.WantSecondLook(card.Rows())) > 0 {
		t.Errorf("%d of %d done; left %v; second look at %v", done, all, card.Left(), garage.WantSecondLook(card.Rows()))
	}
	said := map[string]bool{}
	for _, m := range card.Marks {
		said[m.Value], said[m.Note] = true, true
	}
	if !said["0.8 l"] || !said["22.4 mm"] || !said["marked in white"] {
		t.Errorf("typed is not all kept: %v", said)
	}
}

// locked writes down the wait that a step needs, and waits.
func (k keyboard) locked(p *browsertest.Page, last string) {
	k.press("11", "11")
	k.to("Wait", "11")
	k.types("10 min")
	k.to("Where the maker says so", "11")
	k.types("group 9")
	k.press("Write it down", "11")
	p.Has("Start 10 min")
	k.press("Start 10 min", "11")
	p.In("#" + last + "[data-state=running]").Has("left")
	k.press("Done", "11")
	p.Has("9 of 11")
	k.in("8")
	k.press("Done", "8")
	p.Has("10 of 11")
}

// undo takes the first tick back and makes it anew.
func (k keyboard) undo(p *browsertest.Page) {
	k.press("Undo", "1")
	p.Has("9 of 11")
	p.Has("all sent")
	k.in("1")
	k.press("Done", "1")
	p.Has("10 of 11")
}

// leaves says what is loose, comes back, and looks a second time.
func (k keyboard) leaves(p *browsertest.Page) {
	k.press("Leaving now", "")
	k.to("What is loose", "")
	k.types("the hose")
	k.press("Leave it like that", "")
	p.Has("Loose: the hose")
	k.to("Offer the arm up", "") // the last that were done, each with a box
	p.Press(" ")
	k.press("I am back", "")
	p.Lacks("Loose: the hose")
	k.press("Looked at it", "")
	p.Lacks("Looked at it")
}

// closesOut ends the stage and goes through what is looked at before the car leaves.
func (k keyboard) closesOut(p *browsertest.Page) {
	k.to("It took", "")
	k.press("The stage is done", "")
	k.press("Done without it", "") // the bolts that were ordered have not come
	p.Lacks("Done without it")
	k.press("Open the card", "")
	k.press("Close out", "")
	p.Has("Before the car leaves")
	k.to("Tools counted", "")
	p.Press(" ")
	k.to("Road test", "")
	k.types("quiet")
	k.press("Save", "")
	p.Has("Saved.")
}

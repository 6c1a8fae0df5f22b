package main

import (
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/web/route"
)

// cutOff names what sticks out of the sheet, and figures and boxes that cannot be read or ticked at a bench.
const cutOff = `(() => {
	const wrong = [];
	for (const e of document.querySelectorAll(".pcard *")) {
		const box = e.getBoundingClientRect();
		if (box.width && (box.right > document.documentElement.clientWidth + 1 || box.left < -1) && !e.closest(".off")) wrong.push(e.className + " sticks out to " + box.right);
	}
	for (const e of document.querySelectorAll(".psteps .pbox")) if (e.getBoundingClientRect().width < 18) wrong.push("a box of " + e.getBoundingClientRect().width);
	for (const e of document.querySelectorAll(".psteps .plate b, .pfigure")) if (parseFloat(getComputedStyle(e).fontSize) < 26) wrong.push("a figure of " + getComputedStyle(e).fontSize);
	for (const e of document.querySelectorAll(".pcard *")) if (e.firstChild?.nodeType === 3 && e.firstChild.data.trim() && getComputedStyle(e).color !== "rgb(0, 0, 0)" && getComputedStyle(e).color !== "rgb(51, 51, 51)") wrong.push("ink of " + getComputedStyle(e).color + ": " + e.textContent.trim().slice(0, 40));
	for (const e of document.querySelectorAll(".pstep, .pend, .phead")) if (getComputedStyle(e).breakInside !== "avoid" || e.getBoundingClientRect().height > 700) wrong.push(e.className + " may be broken over two sheets");
	return [...new Set(wrong)].join("\n");
})()`

// TestBrowser_cardOnPaper prints a card of 120 steps on both sheets that homes have: nothing is cut off, and the pages hold as many
// steps as pages of that size can.
func TestBrowser_cardOnPaper(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday)
	job := s.writeCard(112)
	p := s.claim(browsertest.Desktop, browsertest.Dark)
	p.Goto(s.base + route.Card(job))
	p.Click("On paper")
	p.Has("Before you start", "Maker's manual, group 33", "Pause: both bolts in by hand", "second look, by", "revision 1, as of 5 March 2027")
	p.Fits()
	p.Shot("card-paper-screen")
	if n := p.Count(".psteps .pbox"); n < 120 {
		t.Errorf("%d boxes for 120 steps", n)
	}
	if n := p.Count(".phead svg.qr"); n != 1 {
		t.Errorf("%d codes that lead back to the card", n)
	}
	for name, paper := range map[string]browsertest.Paper{"a4": browsertest.A4, "letter": browsertest.Letter} {
		sheets := p.Print("card-"+name, paper)
		t.Logf("figure: sheets of a card of 120 steps on %s | %d | 10 to 18", name, sheets)
		if sheets < 10 || sheets > 18 {
			t.Errorf("%d sheets of %s for 120 steps", sheets, name)
		}
	}
	phone := p.Tab(browsertest.Phone)
	phone.Goto(s.base + route.CardPrint(job))
	phone.Fits()
	phone.ShotWindow("card-paper-screen")
	for _, paper := range []browsertest.Paper{browsertest.A4, browsertest.Letter} {
		p.AsPrinted(paper, 2*12/25.4)
		p.Fits()
		if wrong := browsertest.Eval[string](p, cutOff); wrong != "" {
			t.Error(wrong)
		}
	}
}

package main

import (
	"fmt"
	"strings"
	"testing"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/caution"
	"axlestand/web/route"
)

// writeCard adds a job with a card: one step of each kind, then so many more.
func (s *site) writeCard(more int) garage.JobID {
	s.Helper()
	ctx := s.Context()
	car, err := s.store.CreateCar(ctx, garagetest.Car(func(c *garage.Car) { c.Name = "Tern estate" }))
	if err != nil {
		s.Fatal(err)
	}
	job, err := s.store.CreateJob(ctx, garagetest.Job(func(j *garage.Job) { j.CarID, j.Title, j.PhaseID = car, "Rear arms, left side", nil }), nil, garagetest.Stage())
	if err != nil {
		s.Fatal(err)
	}
	stages, err := s.store.Stages(ctx, job)
	if err != nil {
		s.Fatal(err)
	}
	low, high := 21.0, 23.5
	manual := "Maker's manual, group 33"
	steps := []garage.Step{
		{Kind: garage.DoStep, Text: "Offer the arm up, front bolt in by hand", Side: "left", PauseAfter: "both bolts in by hand, nothing hangs on the hose"},
		{Kind: garage.TorqueStep, Text: "Tighten the front bush bolt, at ride height", Figure: "70 Nm + 90°", Condition: "dry", Source: manual, Page: "12", Critical: true, Cautions: []caution.Topic{caution.Chassis}, CautionOwn: "The weight is on the jack: stand under the sill first."},
		{Kind: garage.TorqueStep, Text: "Tighten the bracket", Figure: "25 Nm"},
		{Kind: garage.FluidStep, Text: "Fill the reservoir", Figure: "0.9 l", Source: manual, Page: "40"},
		{Kind: garage.MeasureStep, Text: "Disc thickness, at eight places", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm", Source: manual, Page: "3"},
		{Kind: garage.WaitStep, Text: "Let it settle before the level is read", Figure: "15 min"},
		{Kind: garage.CheckStep, Text: "Hoses at full droop and full lock"},
		{Kind: garage.WaitStep, Text: "Wait before the belt tensioner is unplugged", Cautions: []caution.Topic{caution.Airbags}},
	}
	for i := range more {
		text := fmt.Sprintf("Prüfe Gummilager, Überwurfmutter und Kabelführung Nummer %d: kein Riss, kein Öl, %s", i, strings.Repeat("sitzt fest in beiden Klammern, ", i%7))
		steps = append(steps, garage.Step{Kind: garage.CheckStep, Text: text})
	}
	if _, err := s.store.AddSteps(ctx, stages[0].ID, 0, steps); err != nil {
		s.Fatal(err)
	}
	return job
}

// measured is what the browser says of a card's sizes, for each that is too small.
const tooSmall = `(() => {
	const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden";
	const wrong = [];
	for (const row of document.querySelectorAll(".step")) if (row.getBoundingClientRect().height < 72) wrong.push("a row of " + row.getBoundingClientRect().height);
	for (const e of document.querySelectorAll(".card a, .card button, .card summary, .card input:not([type=hidden]), .card select")) {
		if (!seen(e)) continue;
		const box = (e.closest("label.cardtick") ?? e).getBoundingClientRect();
		if (box.height < 48 || box.width < 48) wrong.push(e.outerHTML.slice(0, 90) + " is " + box.width + " x " + box.height);
	}
	for (const e of document.querySelectorAll(".card .plate b, .card .stepset b")) if (seen(e) && parseFloat(getComputedStyle(e).fontSize) < 40) wrong.push("a figure of " + getComputedStyle(e).fontSize);
	const walk = document.createTreeWalker(document.querySelector(".card"), NodeFilter.SHOW_TEXT);
	while (walk.nextNode()) {
		const e = walk.currentNode.parentElement;
		if (walk.currentNode.data.trim() && seen(e) && parseFloat(getComputedStyle(e).fontSize) < 20) wrong.push("text of " + getComputedStyle(e).fontSize + ": " + walk.currentNode.data.trim().slice(0, 40));
	}
	const button = document.querySelector("[data-state=now] .stepbar .btn.primary")?.getBoundingClientRect();
	if (!button) wrong.push("no button for the step that is next");
	else if (!document.querySelector(".cardbefore[open]") && (button.top < innerHeight * 2 / 3 || button.bottom > innerHeight)) wrong.push("the button is from " + button.top + " to " + button.bottom + " of " + innerHeight);
	if (document.documentElement.scrollWidth > innerWidth) wrong.push("it scrolls sideways: " + document.documentElement.scrollWidth);
	return [...new Set(wrong)].join("\n");
})()`

func TestBrowser_card(t *testing.T) {
	t.Parallel()
	for name, looks := range map[string][]browsertest.Option{
		"phone":   {browsertest.Phone},
		"dark":    {browsertest.Phone, browsertest.Dark},
		"script":  {browsertest.Phone, browsertest.NoScript},
		"desktop": {browsertest.Desktop},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday)
			job := s.writeCard(0)
			p := s.claim(looks...)
			p.Goto(s.base + route.Card(job))
			p.Fits()
			p.ShotWindow("card-" + name + "-1")
			p.Click("Done")
			p.Has("1 of 8")
			p.ShotWindow("card-" + name + "-2")
			p.Shot("card-" + name + "-whole")
			if name == "phone" || name == "dark" {
				if wrong := browsertest.Eval[string](p, tooSmall); wrong != "" {
					t.Error(wrong)
				}
			}
			p.Click("Reached 70 Nm + 90°")
			p.Has("2 of 8")
			p.Click("No wrench fits")
			p.Has("Not tightened with a wrench")
			p.Click("Filled")
			p.Has("3 of 8")
			p.Fill("Measured", "20.1 mm")
			p.Click("Note it")
			p.Has("4 of 8")
			p.Click("Start 15 min")
			p.ShotWindow("card-" + name + "-timer")
			p.Click("Done")
			p.Has("5 of 8")
			p.Click("All right")
			p.Has("6 of 8", "The wait that the maker gives")
			p.Fill("Wait", "10 min")
			p.Fill("Where the maker says so", "Maker's manual, group 9")
			p.Click("Write it down")
			p.Has("Start 10 min")
			p.Click("Start 10 min")
			p.Click("Done")
			p.Has("7 of 8", "The stage is done")
			p.Shot("card-" + name + "-end")
			p.Click("Looked at it")
			p.Lacks("Looked at it")
		})
	}
}

// TestBrowser_card_long: 120 steps with long texts stay legible and within their budget, also at 320 pixels.
func TestBrowser_card_long(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday)
	job := s.writeCard(112)
	p := s.claim(browsertest.Phone)
	p.Goto(s.base + route.Card(job))
	p.Has("0 of 120")
	p.Fits()
	if wrong := browsertest.Eval[string](p, tooSmall); wrong != "" {
		t.Error(wrong)
	}
	size := browsertest.Eval[int](p, `fetch(location.href).then((a) => a.blob()).then((b) => new Response(b.stream().pipeThrough(new CompressionStream("gzip"))).blob()).then((b) => b.size)`)
	t.Logf("figure: card of 120 steps, gzip | %d bytes | 40 KB", size)
	if size > 40_000 {
		t.Errorf("%d bytes of HTML", size)
	}
}

package main

import (
	_ "embed"
	"fmt"
	"strings"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/caution"
	"axlestand/internal/trade/torque"
	"axlestand/web/route"
)

// views are how every state of the card is looked at.
var views = []browsertest.View{
	{Name: "phone", Width: 390, Height: 844},
	{Name: "phone-dark", Width: 390, Height: 844, Dark: true},
	{Name: "narrow", Width: 320, Height: 640},
	{Name: "large-text", Width: 390, Height: 844, Text: 200},
	{Name: "desktop", Width: 1440, Height: 900, Mouse: true},
}

// everyStep is one step of each kind, some of them twice.
func everyStep(part garage.PartID) []garage.Step {
	low, high := 21.0, 23.5
	manual := "Maker's manual, group 33"
	return []garage.Step{
		{Kind: garage.DoStep, Text: "Offer the arm up, front bolt in by hand", Side: "left", PauseAfter: "both bolts in by hand, nothing hangs on the hose"},
		{Kind: garage.RemoveStep, Text: "Bush bolts out; they are used once", PartID: &part, Quantity: 2},
		{Kind: garage.TorqueStep, Text: "Tighten the front bush bolt, at ride height", Figure: "70 Nm + 90°", Condition: torque.Dry, Source: manual, Page: "12", Critical: true, Cautions: []caution.Topic{caution.Chassis}, CautionOwn: "The weight is on the jack: stand under the sill first."},
		{Kind: garage.TorqueStep, Text: "Tighten the bracket", Figure: "25 Nm"},
		{Kind: garage.TorqueStep, Text: "Tighten the hub nut", Figure: "280 Nm", Source: manual, Page: "14"},
		{Kind: garage.FluidStep, Text: "Fill the reservoir", Figure: "0.9 l", Source: manual, Page: "40", Cautions: []caution.Topic{caution.Cooling}},
		{Kind: garage.MeasureStep, Text: "Disc thickness, at eight places", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm", Source: manual, Page: "3"},
		{Kind: garage.WaitStep, Text: "Let it settle before the level is read", Figure: "15 min"},
		{Kind: garage.CheckStep, Text: "Hoses at full droop and full lock"},
		{Kind: garage.PhotoStep, Text: "How the cable lies in its clips"},
		{Kind: garage.WaitStep, Text: "Wait before the belt tensioner is unplugged", Cautions: []caution.Topic{caution.Airbags}},
	}
}

// shop is a garage with cards in every state.
type shop struct {
	*site
	car    garage.CarID
	wrench garage.WrenchID
	part   garage.PartID
	now    time.Time
}

func newShop(t *testing.T, now time.Time) *shop {
	t.Helper()
	s := &shop{site: newSite(t, now), now: now}
	ctx := t.Context()
	var err error
	if s.car, err = s.store.CreateCar(ctx, garagetest.Car(func(c *garage.Car) { c.Name = "Tern estate" })); err != nil {
		t.Fatal(err)
	}
	if s.wrench, err = s.store.CreateWrench(ctx, garagetest.Wrench()); err != nil {
		t.Fatal(err)
	}
	if s.part, err = s.store.CreatePart(ctx, garagetest.Part()); err != nil {
		t.Fatal(err)
	}
	return s
}

// written is a job with a card of these steps.
func (s *shop) written(title string, steps ...garage.Step) (garage.JobID, []garage.StepID) {
	s.Helper()
	job, err := s.store.CreateJob(s.Context(), garagetest.Job(func(j *garage.Job) { j.CarID, j.Title, j.PhaseID = s.car, title, nil }), nil, garagetest.Stage())
	if err != nil {
		s.Fatal(err)
	}
	if len(steps) == 0 {
		return job, nil
	}
	stages, err := s.store.Stages(s.Context(), job)
	if err != nil {
		s.Fatal(err)
	}
	ids, err := s.store.AddSteps(s.Context(), stages[0].ID, 0, steps)
	if err != nil {
		s.Fatal(err)
	}
	return job, ids
}

func (s *shop) mark(step garage.StepID, kind garage.MarkKind, value string, minutesAgo int) {
	s.Helper()
	at := s.now.Add(-time.Duration(minutesAgo) * time.Minute)
	if _, err := s.store.MarkStep(s.Context(), garage.StepMark{StepID: step, Kind: kind, Value: value, At: at}, s.now); err != nil {
		s.Fatal(err)
	}
}

// cardState is a state of the card: where it is, and what the owner does there before it is looked at.
type cardState struct {
	name string
	path string
	do   func(p *browsertest.Page)
}

// notDone is the card before its first tick, and one of its steps of each kind opened.
func (s *shop) notDone() []cardState {
	s.Helper()
	job, ids := s.written("Rear arms, left side", everyStep(s.part)...)
	states := []cardState{{name: "not started", path: route.Card(job)}}
	for i, step := range everyStep(s.part) {
		states = append(states, cardState{name: fmt.Sprintf("step %d %s", i+1, step.Kind), path: route.CardOpen(job, ids[i])})
	}
	empty, _ := s.written("Wash it")
	return append(states, cardState{name: "empty", path: route.Card(empty)})
}

// underWay are cards that are being worked.
func (s *shop) underWay() []cardState {
	s.Helper()
	job, ids := s.written("Rear arms, right side", everyStep(s.part)...)
	s.mark(ids[0], garage.DoneMark, "", 50)
	s.mark(ids[1], garage.DoneMark, "", 40)
	s.mark(ids[2], garage.DoneMark, "70 Nm + 90°", 30)
	s.mark(ids[3], garage.NoWrenchMark, "", 25)
	s.mark(ids[4], garage.DoneMark, "280 Nm", 24)
	s.mark(ids[6], garage.DoneMark, "20.1 mm", 20)
	s.mark(ids[7], garage.StartedMark, s.now.Add(8*time.Minute).Format(time.RFC3339), 7)
	if err := s.store.Leave(s.Context(), garage.Leaving{JobID: job, At: s.now.Add(-time.Minute), Loose: "Front bush bolt by hand only; the hose is off"}); err != nil {
		s.Fatal(err)
	}
	other, more := s.written("Rear springs", everyStep(s.part)...)
	for i, id := range more {
		switch everyStep(s.part)[i].Kind {
		case garage.WaitStep:
		case garage.MeasureStep:
			s.mark(id, garage.DoneMark, "22.4 mm", 100-i)
		default:
			s.mark(id, garage.DoneMark, everyStep(s.part)[i].Figure, 100-i)
		}
	}
	s.mark(more[7], garage.StartedMark, s.now.Add(8*time.Minute).Format(time.RFC3339), 7)
	s.mark(more[7], garage.DoneMark, "", 3)
	return []cardState{
		{name: "left, coming back", path: route.Card(job)},
		{name: "done opened", path: route.CardOpen(job, ids[2])},
		{name: "no wrench opened", path: route.CardOpen(job, ids[3])},
		{name: "finding opened", path: route.CardOpen(job, ids[6])},
		{name: "running", path: route.CardOpen(job, ids[7])},
		{name: "locked, second look", path: route.CardOpen(other, more[10])},
		{name: "close-out", path: route.CardCloseOut(other)},
		{name: "editor", path: route.CardEdit(other)},
	}
}

func TestBrowser_cardStates(t *testing.T) {
	t.Parallel()
	browsertest.NeedAxe(t)
	s := newShop(t, friday)
	p := s.claim()
	s.look(p, s.notDone()...)
	s.look(p, s.underWay()...)
}

//go:embed measure_test.js
var measure string

// wrong is what a card shows that is too small, too pale, cut or out of place.
func wrong(p *browsertest.Page, card, bar bool) string {
	return browsertest.Eval[string](p, fmt.Sprintf("(%s)(%t, %t)", strings.TrimRight(measure, "\n"), card, bar))
}

// look holds a page in each state to what every state must keep, seen in every way.
func (s *shop) look(p *browsertest.Page, states ...cardState) {
	s.Helper()
	for _, state := range states {
		p.See(views[0])
		p.Goto(s.base + state.path)
		if state.do != nil {
			state.do(p)
		}
		card := p.Count(".card") > 0
		for _, v := range views {
			p.See(v)
			if !card { // what stays at the thumb lies over what is further down
				browsertest.Eval[bool](p, `scrollTo(0, document.body.scrollHeight), true`)
			}
			if v.Text == 0 { // the rules ask for nothing that depends on it
				if wrong := p.Axe(browsertest.AllRules); wrong != "" {
					s.Errorf("%s, %s:\n%s", state.name, v.Name, wrong)
				}
			}
			if wrong := wrong(p, card, v.Height == 844 && v.Text == 0); wrong != "" {
				s.Errorf("%s, %s:\n%s", state.name, v.Name, wrong)
			}
			p.Shot("card-state-" + strings.ReplaceAll(state.name, ",", "") + "-" + v.Name)
		}
	}
}

package main

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"fmt"
	"image"
	"image/jpeg"
	"slices"
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

// job is one with a card of these steps.
func (s *shop) job(title string, steps ...garage.Step) (garage.JobID, []garage.StepID) {
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
	job, ids := s.job("Rear arms, left side", everyStep(s.part)...)
	states := []cardState{{name: "not started", path: route.Card(job)}}
	for i, step := range everyStep(s.part) {
		states = append(states, cardState{name: fmt.Sprintf("step %d %s", i+1, step.Kind), path: route.CardOpen(job, ids[i])})
	}
	empty, _ := s.job("Wash it")
	return append(states, cardState{name: "empty", path: route.Card(empty)})
}

// underWay are cards that are being worked.
func (s *shop) underWay() []cardState {
	s.Helper()
	job, ids := s.job("Rear arms, right side", everyStep(s.part)...)
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
	other, more := s.job("Rear springs", everyStep(s.part)...)
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

// doneWith are cards that are done with or changed, and a long one.
func (s *shop) doneWith() []cardState {
	s.Helper()
	ctx := s.Context()
	fail := func(err error) {
		s.Helper()
		if err != nil {
			s.Fatal(err)
		}
	}
	plain := []garage.Step{{Kind: garage.PhotoStep, Text: "How the cable lies in its clips"}, {Kind: garage.DoStep, Text: "Cable out"}, {Kind: garage.CheckStep, Text: "Nothing chafes"}}
	through, photographed := s.job("Cables", plain...)
	for i, id := range photographed {
		s.mark(id, garage.DoneMark, "", 60-10*i)
	}
	for i, note := range []string{"left side, from below", ""} {
		full := photograph(s.T, uint8(90+60*i))
		sum := sha256.Sum256(full)
		fail(s.store.AddPhoto(ctx, garage.NewPhoto{Of: garage.PhotoSubject{Kind: garage.PhotoOfStep, ID: int64(photographed[0])}, Hash: sum[:], Width: 480, Height: 360, Full: full, Small: full, Note: note, At: s.now}))
	}
	changed, ids := s.job("Clutch cable", plain...)
	s.mark(ids[0], garage.DoneMark, "", 30)
	step, err := s.store.Step(ctx, ids[1])
	fail(err)
	step.Text = "Cable out, with its grommet"
	fail(s.store.UpdateStep(ctx, step))
	fail(s.store.DeleteStep(ctx, ids[2]))
	closed, ids := s.job("Heater cable", plain...)
	s.mark(ids[0], garage.DoneMark, "", 30)
	fail(s.store.CloseJob(ctx, closed, 1, "did without it", s.now))
	long := slices.Clone(everyStep(s.part))
	for i := range 109 {
		long = append(long, garage.Step{Kind: garage.CheckStep, Text: fmt.Sprintf("Prüfe Gummilager, Überwurfmutter und Kabelführung Nummer %d: kein Riss, kein Öl, %s", i, strings.Repeat("sitzt fest in beiden Klammern, ", i%7))})
	}
	many, _ := s.job("Hinterachsträgergummilagerauswechslung an beiden Seiten, und was sonst noch dort hinten festgerostet ist", long...)
	return []cardState{
		{name: "all done", path: route.Card(through)},
		{name: "photos", path: route.CardOpen(through, photographed[0])},
		{name: "changed", path: route.Card(changed)},
		{name: "closed", path: route.Card(closed)},
		{name: "rounds", path: route.Rounds(through)},
		{name: "120 steps", path: route.Card(many)},
		{name: "preview", path: route.CardEdit(changed), do: func(p *browsertest.Page) {
			p.Fill("One step a line", "Bolt in\nTighten it 45 Nm\nCaution: it is under load\nNut 30 Nm + 90°\nFill 0.9 l\nWait 15 min\nmin 22 mm\nPause: all in by hand")
			p.Submit("Read them")
		}},
	}
}

// photograph is one as it is kept.
func photograph(t *testing.T, shade uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 480, 360))
	for i := range img.Pix {
		img.Pix[i] = shade + uint8(i%480/16)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// scripted are states that the script makes.
func (s *shop) scripted() []cardState {
	s.Helper()
	job, ids := s.job("Rear brakes", everyStep(s.part)...)
	refused, _ := s.job("Front brakes", everyStep(s.part)[6:8]...)
	return []cardState{
		{name: "refused", path: route.Card(refused), do: func(p *browsertest.Page) {
			p.Fill("Measured", "thick")
			p.Click("Note it")
			p.Has("1 refused")
		}},
		{name: "not sent", path: route.Card(job), do: func(p *browsertest.Page) {
			p.Offline(true)
			p.Click("Done")
			p.Has("1 not sent")
			p.Click(fmt.Sprintf("#step-%d .stephead", ids[7]))
			p.Click("Start 15 min")
			p.Has("2 not sent")
		}},
	}
}

func TestBrowser_cardStates(t *testing.T) {
	t.Parallel()
	browsertest.NeedAxe(t)
	t.Run("before and under way", func(t *testing.T) {
		t.Parallel()
		s := newShop(t, friday)
		p := s.claim()
		s.look(p, s.notDone()...)
		s.look(p, s.underWay()...)
	})
	t.Run("done and written", func(t *testing.T) {
		t.Parallel()
		s := newShop(t, friday)
		s.look(s.claim(), s.doneWith()...)
	})
	t.Run("helper and no line", func(t *testing.T) {
		t.Parallel()
		s := newShop(t, time.Now()) // the browser's clock too
		owner := s.claim(browsertest.BadLine)
		job, ids := s.job("Rear arms, left side", everyStep(s.part)...)
		s.mark(ids[0], garage.DoneMark, "", 20)
		for _, rights := range []string{"Look and tick", "Look"} {
			owner.Goto(s.base + route.LinkNewFor(job))
			owner.Fill("For whom", "Neighbour")
			owner.Tick("[value='" + strings.ToLower(rights) + "']")
			owner.Click("Make the link")
			p := browsertest.Open(t)
			p.Goto(owner.Text(".linkaddress"))
			p.Click("Start")
			p.Click("Rear arms, left side")
			s.look(p, cardState{name: "helper: " + rights, path: p.URL()})
		}
		s.look(owner, s.scripted()...)
		owner.Offline(false)
	})
}

// TestBrowser_pagesAxe holds the main pages of the demo garage to the usual rules.
func TestBrowser_pagesAxe(t *testing.T) {
	t.Parallel()
	browsertest.NeedAxe(t)
	s := newSite(t, friday, "-demo")
	p := s.enter()
	for _, path := range []string{route.Today(), route.Plan(), route.Cars(), route.Car(int64(1)), route.Job(int64(1)), route.Parts(), route.Part(int64(1)), route.CardEdit(int64(1)), route.CardPrint(int64(1)), route.More(), route.Signin()} {
		p.See(views[0])
		p.Goto(path)
		for _, v := range views {
			if v.Text != 0 {
				continue
			}
			p.See(v)
			browsertest.Eval[bool](p, `scrollTo(0, document.body.scrollHeight), true`) // what stays at the thumb lies over what is further down
			if wrong := p.Axe(browsertest.UsualRules); wrong != "" {
				t.Errorf("%s, %s:\n%s", path, v.Name, wrong)
			}
		}
	}
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
			shot := p.Shot
			if v.Text != 0 { // too long for a picture
				shot = p.ShotWindow
			}
			shot("card-state-" + strings.ReplaceAll(state.name, ",", "") + "-" + v.Name)
		}
	}
}

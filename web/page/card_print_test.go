package page

import (
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/htmltest"
	cautions "axlestand/internal/trade/caution"
)

// TestCardPrint: on paper a caution stands above what it protects, a figure above its source, and what was done before is ticked.
func TestCardPrint(t *testing.T) {
	t.Parallel()
	stage := garagetest.Stage(func(s *garage.Stage) { s.ID, s.JobID = 1, 1 })
	now := time.Date(2027, 3, 5, 17, 0, 0, 0, time.UTC)
	card := garage.Card{
		JobCard: garage.JobCard{Revision: 3},
		Sheet:   garage.JobSheet{Job: garagetest.Job(func(j *garage.Job) { j.ID, j.CarID = 1, 1 }), Car: garagetest.Car(), Stages: []garage.Stage{stage}},
		Steps: []garage.Step{
			{ID: 1, StageID: 1, Kind: garage.DoStep, Text: "Wheel off"},
			{ID: 2, StageID: 1, Kind: garage.TorqueStep, Text: "Tighten the bracket", Figure: "115 Nm", Source: "Manual", Page: "7", Critical: true, Cautions: []cautions.Topic{cautions.Chassis}, PauseAfter: "bracket tight"},
			{ID: 3, StageID: 1, Kind: garage.CheckStep, Text: "Hose clear of the tyre"},
		},
		Marks: []garage.StepMark{
			{ID: 1, StepID: 1, Kind: garage.DoneMark, At: now.Add(-time.Hour)},
			{ID: 2, StepID: 3, Kind: garage.DoneMark, Value: garage.NotRight, At: now.Add(-time.Minute)},
		},
	}
	var page strings.Builder
	v := NewCardPrint(Base{}, card, CardOptions{Settings: garagetest.Settings(), Now: now}, "http://garage.test:8080")
	if err := CardPrint(v).Render(t.Context(), &page); err != nil {
		t.Fatal(err)
	}
	doc := htmltest.Parse(t, page.String())
	var said []string
	for _, row := range doc.FindAll(".psteps tbody tr") {
		said = append(said, row.Text())
	}
	whole := strings.Join(said, "\n")
	at := 0
	for _, next := range []string{"1", "Wheel off", "Caution.", "Tighten the bracket", "115", "Nm", "Manual, page 7", "second look, by", "reached", "no wrench fits", "Pause: bracket tight", "Hose clear", "not right"} {
		i := strings.Index(whole[at:], next)
		if i < 0 {
			t.Fatalf("%q is not where it belongs:\n%s", next, whole)
		}
		at += i + len(next)
	}
	if n := len(doc.FindAll(`.psteps .pbox svg[aria-label="done"]`)); n != 2 {
		t.Errorf("%d boxes are ticked, 2 steps are done", n)
	}
	head := doc.Find(".phead").Text()
	for _, want := range []string{"revision 3, as of 5 March 2027, ", "2 of 3 done", "http://garage.test:8080/jobs/1/card"} {
		if !strings.Contains(head, want) {
			t.Errorf("the head does not say %q: %s", want, head)
		}
	}
}

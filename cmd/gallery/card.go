package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/caution"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("card",
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component { return jobCard(b, nil, 0, page.CardOptions{}) }},
		Entry{Name: "begun", Page: func(b ui.Page) templ.Component { return jobCard(b, cardSteps(), 1, page.CardOptions{}) }},
		Entry{Name: "torque", Page: func(b ui.Page) templ.Component { return jobCard(b, cardSteps(), 2, page.CardOptions{}) }},
		Entry{Name: "measure", Page: func(b ui.Page) templ.Component { return jobCard(b, cardSteps(), 4, page.CardOptions{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.StepForm{Step: 5, Kind: "done", Value: "thick", Note: "inner side"}
			form.Errors.Add("value", "A number with its unit, such as 12.4 mm.")
			return jobCard(b, cardSteps(), 4, page.CardOptions{Form: form})
		}},
		Entry{Name: "photos", Page: func(b ui.Page) templ.Component {
			steps := append(cardSteps(), garage.Step{Kind: garage.PhotoStep, Text: "How the cable lies in its clips"})
			photos := []garage.PhotoUse{{ID: 1, PhotoID: 1, Width: 1600, Height: 1200, Note: "Clips, from below", At: galleryNow}, {ID: 2, PhotoID: 2, Width: 900, Height: 1600, At: galleryNow}}
			return jobCard(b, steps, 6, page.CardOptions{Photos: map[garage.StepID][]garage.PhotoUse{1: photos[1:], 7: photos}})
		}},
		Entry{Name: "through", Page: func(b ui.Page) templ.Component { return jobCard(b, cardSteps(), 6, page.CardOptions{}) }},
		Entry{Name: "helper", Page: func(b ui.Page) templ.Component {
			return jobCard(b, cardSteps(), 2, page.CardOptions{Prefix: "/help/1"})
		}},
		Entry{Name: "helper-looks", Page: func(b ui.Page) templ.Component {
			return jobCard(b, cardSteps(), 2, page.CardOptions{Prefix: "/help/1", Look: true})
		}},
		Entry{Name: "120-steps", Page: func(b ui.Page) templ.Component {
			steps := cardSteps()
			for i := range 114 {
				steps = append(steps, garage.Step{Kind: garage.CheckStep, Text: fmt.Sprintf("Überwurfmutter %d: %s", i+1, strings.Repeat("sitzt fest in beiden Klammern, ", i%9))})
			}
			return jobCard(b, steps, 3, page.CardOptions{})
		}},
	)
	register("card-on-paper",
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component { return cardOnPaper(b, 0, "http://garage.test:8080") }},
		Entry{Name: "written", Page: func(b ui.Page) templ.Component { return cardOnPaper(b, 2, "http://garage.test:8080") }},
		Entry{Name: "here-only", Page: func(b ui.Page) templ.Component { return cardOnPaper(b, 20, "http://127.0.0.1:8080") }},
	)
}

func cardOnPaper(b ui.Page, times int, origin string) templ.Component {
	o := page.CardOptions{Settings: garagetest.Settings(), Now: galleryNow}
	return page.CardPrint(page.NewCardPrint(titled(b, "Card on paper", ui.NavCars), writtenCard(times), o, origin))
}

func cardSteps() []garage.Step {
	low, high := 21.0, 23.5
	return []garage.Step{
		{Kind: garage.DoStep, Text: "Offer the arm up, front bolt in by hand", Side: "left", PauseAfter: "both bolts in by hand"},
		{Kind: garage.TorqueStep, Text: "Tighten the front bush bolt, at ride height", Figure: "70 Nm + 90°", Source: "Maker's manual, group 33", Page: "12", Critical: true, Cautions: []caution.Topic{caution.Chassis}},
		{Kind: garage.TorqueStep, Text: "Tighten the bracket", Figure: "25 Nm"},
		{Kind: garage.FluidStep, Text: "Fill the reservoir", Figure: "0.9 l"},
		{Kind: garage.MeasureStep, Text: "Disc thickness, at eight places", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"},
		{Kind: garage.WaitStep, Text: "Wait before the belt tensioner is unplugged", Cautions: []caution.Topic{caution.Airbags}},
	}
}

// jobCard is a card with its first steps done.
func jobCard(b ui.Page, steps []garage.Step, done int, o page.CardOptions) templ.Component {
	job := garagetest.Job(func(j *garage.Job) { j.ID, j.CarID = 1, 1 })
	stage := garagetest.Stage(func(s *garage.Stage) { s.ID, s.JobID = 1, 1 })
	card := garage.Card{Sheet: garage.JobSheet{Job: job, Car: garagetest.Car(), Stages: []garage.Stage{stage}}, Steps: steps}
	card.Revision = 1
	for i := range card.Steps {
		card.Steps[i].ID, card.Steps[i].StageID = garage.StepID(i+1), 1
	}
	for i := range done {
		at := galleryNow.Add(time.Duration(i-done) * 7 * time.Minute)
		card.Marks = append(card.Marks, garage.StepMark{
			ID: garage.MarkID(i + 1), StepID: garage.StepID(i + 1), JobID: 1, Kind: garage.DoneMark, Value: steps[i].Figure, At: at,
		})
	}
	o.Settings, o.Now = garagetest.Settings(), galleryNow
	base := titled(b, "Card: "+job.Title, ui.NavCars)
	base.Bare = o.Prefix != ""
	return page.Card(page.NewCard(base, card, o))
}

package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/caution"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("card-edit",
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component {
			return cardEdit(b, garage.Card{Sheet: garagetest.JobSheet()}, page.PasteForm{})
		}},
		Entry{Name: "no-bench", Page: func(b ui.Page) templ.Component {
			return cardEdit(b, garage.Card{Sheet: garagetest.JobSheet(func(s *garage.JobSheet) { s.Stages = nil })}, page.PasteForm{})
		}},
		Entry{Name: "steps", Page: func(b ui.Page) templ.Component { return cardEdit(b, writtenCard(1), page.PasteForm{}) }},
		Entry{Name: "steps-120", Page: func(b ui.Page) templ.Component { return cardEdit(b, writtenCard(20), page.PasteForm{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.PasteForm{}
			form.Parse()
			return cardEdit(b, writtenCard(1), form)
		}},
		Entry{Name: "pasted", Page: func(b ui.Page) templ.Component { return cardPasted(b, false) }},
		Entry{Name: "pasted-wrong", Page: func(b ui.Page) templ.Component { return cardPasted(b, true) }},
		Entry{Name: "step-new", Page: func(b ui.Page) templ.Component { return stepEdit(b, page.StepEditForm{Kind: "do"}) }},
		Entry{Name: "step-wrong", Page: func(b ui.Page) templ.Component {
			form := page.StepEditForm{Kind: "measure", Low: "thick", Part: "1", Quantity: "many", Page: "7", Cautions: []string{"weather"}}
			form.Step(garage.Card{})
			return stepEdit(b, form)
		}},
	)
}

// writtenCard is a card in use, with so many times the same six steps.
func writtenCard(times int) garage.Card {
	low, used := 22.0, time.Date(2027, 3, 5, 10, 0, 0, 0, time.UTC)
	card := garage.Card{Sheet: garagetest.JobSheet(), JobCard: garage.JobCard{Revision: 2, InUseAt: &used}}
	for i := range times {
		add := func(s garage.Step) {
			s.ID, s.StageID, s.Revision = garage.StepID(len(card.Steps)+1), garage.StageID(1+i%2), 2
			card.Steps = append(card.Steps, s)
		}
		add(garage.Step{Kind: garage.DoStep, Text: "Undo the nuts of the left arm", Side: "left"})
		add(garage.Step{Kind: garage.RemoveStep, Text: "Bush bolts out", PartID: new(garage.PartID(3)), Quantity: 2, Changed: garage.StepNew})
		add(garage.Step{Kind: garage.TorqueStep, Text: longName, Figure: "70 Nm + 90° + 90°", Source: "Tern workshop manual", Page: "33-12", Critical: true, PauseAfter: "both bolts marked, nothing loose on the left"})
		add(garage.Step{Kind: garage.MeasureStep, Text: "Measure the disc", LimitLow: &low, LimitUnit: "mm"})
		add(garage.Step{Kind: garage.WaitStep, Text: "Battery off, then wait", Cautions: []caution.Topic{caution.Airbags}, Changed: garage.StepMoved})
		add(garage.Step{Kind: garage.FluidStep, Text: "Bremsflüssigkeit einfüllen, gründlich", Figure: "0.9 l", CautionOwn: "It attacks paint."})
	}
	return card
}

func cardEdit(b ui.Page, card garage.Card, paste page.PasteForm) templ.Component {
	b.Title, b.Active = "Write the card", ui.NavCars
	sources := []garage.JobLink{{ID: 7, Title: longName, CarName: "Tern saloon"}}
	patterns := []garage.CardPattern{{ID: 1, Name: "Rear arms", Steps: writtenCard(1).Steps}, {ID: 2, Name: longName}}
	return page.CardEdit(page.NewCardEdit(page.Base{Page: b}, card, sources, patterns, paste))
}

func cardPasted(b ui.Page, wrong bool) templ.Component {
	b.Title, b.Active = "Is this right?", ui.NavCars
	form := page.PasteForm{Stage: "1", Lines: "Wheels off\nCaution: the spring is under load\nBush bolt 70 Nm + 90°\nPause: nothing loose\nDisc min 22 mm\nLet the oil settle 15 min"}
	form.Parse()
	if wrong {
		form.Read[1].Figure, form.Read[2].Low, form.Read[3].Figure = "70", "thick", "a while"
		form.Steps()
	}
	return page.CardPaste(page.CardPasteView{Base: page.Base{Page: b}, Job: garagetest.JobSheet().Job, Stage: "Fit the calipers", Form: form})
}

func stepEdit(b ui.Page, form page.StepEditForm) templ.Component {
	b.Title, b.Active = "Add a step", ui.NavCars
	card := writtenCard(1)
	card.Torque = []garage.TorqueSpec{garagetest.TorqueSpec()}
	parts := []garage.PartRow{{Part: garagetest.Part(func(p *garage.Part) { p.ID = 1 })}}
	return page.StepEdit(page.StepEditView{Base: page.Base{Page: b}, Card: card, Stage: card.Sheet.Stages[1], Form: form, Parts: parts})
}

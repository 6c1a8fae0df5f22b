package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("rounds",
		Entry{Name: "once", Page: func(b ui.Page) templ.Component { return rounds(b, "", 0, false, page.RoundForm{}) }},
		Entry{Name: "first", Page: func(b ui.Page) templ.Component {
			return rounds(b, "the coolant runs clear", 0, false, page.RoundForm{})
		}},
		Entry{Name: "going-on", Page: func(b ui.Page) templ.Component {
			return rounds(b, "the coolant runs clear", 3, false, page.RoundForm{})
		}},
		Entry{Name: "ended", Page: func(b ui.Page) templ.Component { return rounds(b, "the coolant runs clear", 9, true, page.RoundForm{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.RoundForm{NextIn: "far", NextOn: "soon", Ended: longName}
			form.Round(1, "km")
			return rounds(b, longName, 2, false, form)
		}},
	)
}

func rounds(b ui.Page, until string, n int, ended bool, form page.RoundForm) templ.Component {
	card := writtenCard(1)
	card.Sheet.Job.ClosedAt = nil
	card.RepeatUntil = until
	far, day := int64(200_000), garage.NewDate(2027, 3, 20)
	for i := range n {
		card.Rounds = append(card.Rounds, garage.Round{
			ID: garage.RoundID(i + 1), Number: i + 1, At: galleryNow.Add(time.Duration(i-n) * 24 * time.Hour), Observation: "brown, a few flakes",
			Reading: []string{"5.2 l out", "", "5.1 l out, pH 7"}[i%3], NextDistanceM: &far, NextOn: &day,
		})
	}
	if ended {
		card.Rounds[n-1].Ended, card.Rounds[n-1].Observation = "as clear as it went in", longName
	}
	return page.Rounds(page.NewRounds(titled(b, "Rounds", ui.NavCars), card, page.RoundOptions{
		Unit: "km", Zone: garagetest.Settings().Location(), Today: garage.DateOf(galleryNow), Form: form, Repeat: page.RepeatForm{Until: until},
	}))
}

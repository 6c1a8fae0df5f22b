package main

import (
	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	day, far := garage.NewDate(2027, 9, 1), int64(100_000_000)
	asked := garage.LookBack{ID: 1, JobID: 1, DueOn: &day, DueM: &far}
	register("look-back",
		Entry{Name: "asked", Page: func(b ui.Page) templ.Component { return lookBack(b, asked, page.LookBackForm{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.LookBackForm{Changed: longName}
			form.Errors.Add("worth", "Was it worth it? Choose one.")
			return lookBack(b, asked, form)
		}},
		Entry{Name: "answered", Page: func(b ui.Page) templ.Component {
			answered := asked
			answered.AnsweredAt, answered.Worth, answered.Changed = &galleryNow, "partly", longName
			return lookBack(b, answered, page.LookBackForm{Worth: "partly", Changed: longName})
		}},
	)
}

func lookBack(b ui.Page, look garage.LookBack, form page.LookBackForm) templ.Component {
	card := writtenCard(1)
	card.LookBack = &look
	like := []garage.LookBackRow{
		{LookBack: garage.LookBack{JobID: 7, Worth: "yes", Changed: "No more clunk over kerbs."}, JobTitle: "Front bushes", CarName: "Tern estate"},
		{LookBack: garage.LookBack{JobID: 8, Worth: "no"}, JobTitle: longName, CarName: "Kite coupé"},
	}
	base := titled(b, "Was it worth it?", ui.NavCars)
	return page.LookBack(page.NewLookBack(base, card, like, garage.Odometer{}, garage.DateOf(galleryNow), form))
}

package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("close-out",
		Entry{Name: "open", Page: func(b ui.Page) templ.Component { return closeOut(b, page.NewCloseOutForm(writtenCard(1), nil)) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.NewCloseOutForm(garage.Card{}, nil)
			form.Follow[0].In, form.Follow[1].DueOn, form.LookOn, form.RoadTest = "far", "soon", "spring", longName
			form.LookIn, form.Shown = "far", "a lot"
			form.Reading(nil, "km", garage.DateOf(galleryNow))
			form.CloseOut(writtenCard(1), nil, nil, time.Time{})
			return closeOut(b, form)
		}},
	)
}

func closeOut(b ui.Page, form page.CloseOutForm) templ.Component {
	b.Title, b.Active = "Before the car leaves", ui.NavCars
	return page.CloseOut(page.NewCloseOut(page.Base{Page: b}, writtenCard(1), garage.Odometer{}, "km", garage.DateOf(galleryNow), form))
}

package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	of := garage.PhotoSubjectName{PhotoSubject: garage.PhotoSubject{Kind: garage.PhotoOfJob, ID: 1}, Name: "Rear brakes"}
	show := func(b ui.Page, form page.PhotoForm) templ.Component {
		return page.Photos(page.NewPhotos(titled(b, "Photos of "+of.Name, ui.NavCars), of, nil, form, time.UTC))
	}
	register("photo",
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component { return show(b, page.PhotoForm{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.PhotoForm{Note: "Routing of the hose"}
			form.Errors.Add("photo", "That is no photo: JPEG, PNG or WebP.")
			return show(b, form)
		}},
	)
}

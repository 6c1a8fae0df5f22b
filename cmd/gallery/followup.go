package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("follow-up",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return followUps(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			on, far, run, done := garage.NewDate(2027, 3, 2), int64(100_050_000), int64(100_010_000), time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
			return followUps(b, []garage.FollowUpRow{
				{FollowUp: garage.FollowUp{ID: 1, What: "Wheels once more", DueM: &far}, Metres: &run, Unit: "km"},
				{FollowUp: garage.FollowUp{ID: 2, What: longName, DueOn: &on, JobID: new(garage.JobID(1))}, JobTitle: new("Rear arms")},
				{FollowUp: garage.FollowUp{ID: 3, What: "Not tightened with a wrench: bush bolt, 70 Nm"}},
				{FollowUp: garage.FollowUp{ID: 4, What: "Look for leaks", DoneAt: &done, DoneNote: "dry"}},
			})
		}},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return followUpEdit(b, page.FollowUpForm{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.FollowUpForm{In: "far", DueOn: "soon"}
			form.FollowUp(1, nil)
			return followUpEdit(b, form)
		}},
	)
}

func followUps(b ui.Page, rows []garage.FollowUpRow) templ.Component {
	b.Title, b.Active = "Follow-ups", ui.NavCars
	return page.FollowUps(page.NewFollowUps(page.Base{Page: b}, garage.Car{ID: 1, Name: "Tern estate"}, rows, garage.Odometer{}, theDay))
}

func followUpEdit(b ui.Page, form page.FollowUpForm) templ.Component {
	b.Title, b.Active = "Add a follow-up", ui.NavCars
	return page.FollowUpEdit(page.FollowUpFormView{Base: page.Base{Page: b}, Car: garage.Car{ID: 1, Name: "Tern estate"}, Unit: "km", Form: form})
}

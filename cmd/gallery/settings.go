package main

import (
	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("settings",
		Entry{Name: "settings", Page: func(b ui.Page) templ.Component { return settings(b, page.NewSettingsForm(garagetest.Settings())) }},
		Entry{Name: "learnt", Page: func(b ui.Page) templ.Component {
			b.Title, b.Active = "Settings", ui.NavMore
			var took []garage.Took
			for i := range 9 {
				kind := []garage.JobKind{garage.Repair, garage.Repair, garage.FaultFinding}[i%3]
				took = append(took, garage.Took{Kind: kind, Low: 60, Likely: 90, High: 150, Minutes: 100 + 12*i})
			}
			return page.Settings(page.NewSettings(page.Base{Page: b}, page.NewSettingsForm(garagetest.Settings()), took))
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.NewSettingsForm(garagetest.Settings(func(s *garage.Settings) { s.Name = longName }))
			form.Zone, form.Currency, form.Confidence, form.Lifts, form.ChangeCarMinutes = "Europe/Atlantis", "€", "100", "many", "-5"
			form.Settings()
			return settings(b, form)
		}},
		Entry{Name: "conflict", Page: func(b ui.Page) templ.Component {
			b.Title, b.Active = "Saved twice", ui.NavMore
			mine := page.NewSettingsForm(garagetest.Settings())
			stored := page.NewSettingsForm(garagetest.Settings(func(s *garage.Settings) { s.Lifts, s.Name = 2, longName }))
			return page.Conflict(page.ConflictView{Base: page.Base{Page: b}, Data: ui.ConflictData{
				What: "Settings", Rows: mine.Conflict(stored), Action: "/settings", Stored: "/settings",
			}})
		}},
	)
}

func settings(b ui.Page, form page.SettingsForm) templ.Component {
	b.Title, b.Active = "Settings", ui.NavMore
	return page.Settings(page.SettingsView{Base: page.Base{Page: b}, Form: form})
}

package main

import (
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("session",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return sessions(b, nil, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return sessions(b, weeklySessions(), someExceptions()) }},
		Entry{Name: "index-500", Page: func(b ui.Page) templ.Component { return sessions(b, weeklySessions(), manyExceptions(500)) }},
		Entry{Name: "weekly-new", Page: func(b ui.Page) templ.Component { return pattern(b, page.PatternForm{Helpers: "0"}, 0) }},
		Entry{Name: "weekly-edit", Page: func(b ui.Page) templ.Component {
			return pattern(b, page.NewPatternForm(garagetest.SessionPattern()), 1)
		}},
		Entry{Name: "weekly-wrong", Page: func(b ui.Page) templ.Component {
			form := page.PatternForm{From: "17:00", To: "09:00", Helpers: "ten"}
			form.Pattern()
			return pattern(b, form, 0)
		}},
		Entry{Name: "exception-new", Page: func(b ui.Page) templ.Component { return exception(b, page.ExceptionForm{Off: "yes", Helpers: "0"}, 0) }},
		Entry{Name: "exception-edit", Page: func(b ui.Page) templ.Component {
			return exception(b, page.NewExceptionForm(garagetest.SessionException()), 1)
		}},
		Entry{Name: "exception-wrong", Page: func(b ui.Page) templ.Component {
			form := page.ExceptionForm{OnDate: "2027-02-29", Off: "no", From: "9", Note: longName}
			form.Exceptions()
			return exception(b, form, 0)
		}},
	)
}

// theDay is Friday 19 March 2027: the clocks change within the three weeks that follow.
var theDay = garage.NewDate(2027, time.March, 19)

func sessions(b ui.Page, patterns []garage.SessionPattern, exceptions []garage.SessionException) templ.Component {
	b.Title, b.Active = "Sessions", ui.NavMore
	return page.Sessions(page.NewSessions(page.Base{Page: b}, patterns, exceptions, theDay, garagetest.Settings().Location()))
}

func weeklySessions() []garage.SessionPattern {
	return []garage.SessionPattern{
		garagetest.SessionPattern(func(p *garage.SessionPattern) { p.ID, p.Weekday, p.FromMinute, p.ToMinute = 2, 2, 1140, 1290 }),
		garagetest.SessionPattern(func(p *garage.SessionPattern) { p.ID, p.Weekday, p.FromMinute, p.ToMinute = 3, 4, 1290, 1440 }),
		garagetest.SessionPattern(func(p *garage.SessionPattern) { p.Helpers = 1 }),
		garagetest.SessionPattern(func(p *garage.SessionPattern) { p.ID, p.Weekday, p.FromMinute, p.ToMinute = 4, 7, 60, 240 }),
	}
}

func someExceptions() []garage.SessionException {
	return []garage.SessionException{
		garagetest.SessionException(),
		garagetest.SessionException(func(x *garage.SessionException) { x.ID, x.OnDate, x.Note = 2, theDay.AddDays(8), longName }),
		garagetest.SessionException(func(x *garage.SessionException) {
			x.ID, x.OnDate, x.Off, x.FromMinute, x.ToMinute, x.Helpers, x.Note = 3, theDay.AddDays(10), false, 480, 1200, 2, "Both brothers come"
		}),
	}
}

func manyExceptions(n int) []garage.SessionException {
	all := make([]garage.SessionException, n)
	for i := range all {
		all[i] = garagetest.SessionException(func(x *garage.SessionException) {
			x.ID, x.OnDate = garage.ExceptionID(i+1), theDay.AddDays(i-n/2)
		})
	}
	return all
}

func pattern(b ui.Page, form page.PatternForm, id garage.PatternID) templ.Component {
	b.Title, b.Active = "Weekly session", ui.NavMore
	return page.Pattern(page.PatternView{Base: page.Base{Page: b}, ID: id, Form: form})
}

func exception(b ui.Page, form page.ExceptionForm, id garage.ExceptionID) templ.Component {
	b.Title, b.Active = "Exception", ui.NavMore
	return page.Exception(page.ExceptionView{Base: page.Base{Page: b}, ID: id, Form: form})
}

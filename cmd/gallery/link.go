package main

import (
	"fmt"
	"strings"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func init() {
	register("link",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return linkIndex(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return linkIndex(b, someLinks(4)) }},
		Entry{Name: "index-500", Page: func(b ui.Page) templ.Component { return linkIndex(b, someLinks(500)) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return linkNew(b, "", "") }},
		Entry{Name: "new-job", Page: func(b ui.Page) templ.Component { return linkNew(b, "1", "") }},
		Entry{Name: "new-day", Page: func(b ui.Page) templ.Component { return linkNew(b, "", "2027-03-06") }},
		Entry{Name: "new-empty-day", Page: func(b ui.Page) templ.Component { return linkNew(b, "", "2020-03-06") }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			p := plannedGarage(demoGarage())
			form := page.LinkForm{Until: "soon", Rights: "look"}
			form.Link(galleryNow)
			return page.LinkNew(page.NewLinkNew(titled(b, "A link for a helper", ui.NavMore), p, form))
		}},
		Entry{Name: "made", Page: func(b ui.Page) templ.Component { return linkShow(b, 0, true) }},
		Entry{Name: "used", Page: func(b ui.Page) templ.Component { return linkShow(b, 30, false) }},
		Entry{Name: "help-start", Page: func(b ui.Page) templ.Component { return page.HelpStart(help(b)) }},
		Entry{Name: "help", Page: func(b ui.Page) templ.Component { return page.Help(help(b)) }},
	)
}

func aLink(n int) garage.Link {
	l := garage.Link{
		ID: garage.LinkID(n), Name: []string{"Neighbour", "Club evening", strings.Repeat("A name that does not end ", 7)}[n%3],
		Rights: garage.AllLinkRights[n%2], CreatedAt: galleryNow, ExpiresAt: galleryNow.AddDate(0, 0, 14), Browsers: n % 3,
		Jobs: []garage.JobID{1, 2}[:1+n%2],
	}
	if n%2 == 1 {
		l.SeenAt = &galleryNow
	}
	if n%4 == 3 {
		l.RevokedAt = &galleryNow
	}
	return l
}

func someLinks(n int) []garage.Link {
	var all []garage.Link
	for i := range n {
		all = append(all, aLink(i+1))
	}
	return all
}

func linkIndex(b ui.Page, list []garage.Link) templ.Component {
	return page.Links(page.NewLinks(titled(b, "Helper links", ui.NavMore), list, galleryNow))
}

func linkNew(b ui.Page, job, day string) templ.Component {
	p := plannedGarage(demoGarage())
	return page.LinkNew(page.NewLinkNew(titled(b, "A link for a helper", ui.NavMore), p, page.NewLinkForm(p, job, day)))
}

func linkShow(b ui.Page, marks int, fresh bool) templ.Component {
	texts := map[garage.StepID]string{}
	var done []garage.StepMark
	for i := range marks {
		id := garage.StepID(i + 1)
		texts[id] = fmt.Sprintf("Tighten bush bolt %d, at ride height", i+1)
		done = append(done, garage.StepMark{ID: garage.MarkID(i + 1), StepID: id, JobID: 1, Kind: garage.DoneMark, Value: "70 Nm", At: galleryNow})
	}
	job := garagetest.Job(func(j *garage.Job) { j.ID = 1 })
	v := page.NewLink(titled(b, "Helper link", ui.NavMore), aLink(1), []garage.Job{job}, done, texts, galleryNow)
	if fresh {
		v.Address = "http://garage.test" + route.HelpWith(strings.Repeat("Ab3_", 11)[:43])
	}
	return page.Link(v)
}

func help(b ui.Page) page.HelpView {
	base := titled(b, "You can help here", ui.NavNone)
	base.Bare = true
	job := garagetest.Job(func(j *garage.Job) { j.ID, j.CarID = 1, 1 })
	v := page.NewHelp(base, aLink(2), []garage.Job{job}, map[garage.CarID]string{1: "Tern estate"}, galleryNow.Location())
	v.Token = strings.Repeat("Ab3_", 11)[:43]
	return v
}

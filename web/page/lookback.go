package page

import (
	"net/url"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// LookBackForm is whether a job was worth it, as typed.
type LookBackForm struct {
	Worth   string
	Changed string
	Errors  garage.FieldErrors
}

// ReadLookBackForm is the form as sent.
func ReadLookBackForm(v url.Values) LookBackForm {
	return LookBackForm{Worth: v.Get("worth"), Changed: v.Get("changed")}
}

// LookBackView asks whether a job was worth it.
type LookBackView struct {
	Base
	Job     garage.Job
	CarName string
	Form    LookBackForm
	Like    []LikeLook
}

// LikeLook is what was said of a job like this one.
type LikeLook struct{ Title, Href, Text string }

// NewLookBack asks it, with what was said of jobs like it.
func NewLookBack(base Base, card garage.Card, like []garage.LookBackRow, form LookBackForm) LookBackView {
	v := LookBackView{Base: base, Job: card.Sheet.Job, CarName: card.Sheet.Car.Name, Form: form}
	for _, l := range like {
		v.Like = append(v.Like, LikeLook{l.JobTitle + " · " + l.CarName, route.Job(l.JobID), joined(": ", worthWords[l.Worth], l.Changed)})
	}
	return v
}

var worthWords = map[string]string{"yes": "worth it", "partly": "partly worth it", "no": "not worth it"}

var worthOptions = []ui.Option{{Value: "yes", Text: "Yes"}, {Value: "partly", Text: "Partly"}, {Value: "no", Text: "No"}}

// AddLookBacks puts the look backs that are due among what needs the owner.
func (v *TodayView) AddLookBacks(due []garage.LookBackRow) {
	for _, l := range due {
		v.Needs = append(v.Needs, NeedsRow{Title: l.JobTitle, Href: route.JobLookBack(l.JobID), Text: l.CarName + ": was it worth it?", Mood: ui.Ready})
	}
}

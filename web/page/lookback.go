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
	When    string // it is asked
	Form    LookBackForm
	Like    []LikeLook
}

// LikeLook is what was said of a job like this one.
type LikeLook struct{ Title, Href, Text string }

// NewLookBack asks it, with what was said of jobs like it.
func NewLookBack(base Base, card garage.Card, like []garage.LookBackRow, odometer garage.Odometer, today garage.Date, form LookBackForm) LookBackView {
	return LookBackView{
		Base: base, Job: card.Sheet.Job, CarName: card.Sheet.Car.Name, Form: form, Like: likeLooks(like),
		When: LookBackWords(card.LookBack, odometer, today),
	}
}

// LookBackWords say how a look back stands: asked in 400 km, or due Sat 6 Mar; worth it: quieter.
func LookBackWords(l *garage.LookBack, odometer garage.Odometer, today garage.Date) string {
	switch {
	case l == nil:
		return ""
	case l.AnsweredAt != nil:
		return joined(": ", worthWords[l.Worth], l.Changed)
	}
	row := garage.FollowUpRow{FollowUp: garage.FollowUp{DueOn: l.DueOn, DueM: l.DueM}, Unit: "km"}
	if last, read := odometer.Last(); read {
		row.Metres, row.Unit = &last.Metres, last.Segment.Unit
	}
	return "asked " + followUpWhen(row, today) + reachedWords(odometer, l.DueM, today)
}

func likeLooks(rows []garage.LookBackRow) []LikeLook {
	var like []LikeLook
	for _, l := range rows {
		like = append(like, LikeLook{l.JobTitle + " · " + l.CarName, route.Job(l.JobID), joined(": ", worthWords[l.Worth], l.Changed)})
	}
	return like
}

var worthWords = map[string]string{"yes": "worth it", "partly": "partly worth it", "no": "not worth it"}

var worthOptions = []ui.Option{{Value: "yes", Text: "Yes"}, {Value: "partly", Text: "Partly"}, {Value: "no", Text: "No"}}

// SetLooks puts on a job's page how its look back stands, and what was said of jobs like it.
func (v *JobShowView) SetLooks(look string, like []garage.LookBackRow) {
	v.Look, v.Like = look, likeLooks(like)
}

// SetLike puts what came of earlier jobs beside the form of a new one.
func (v *JobFormView) SetLike(rows []garage.LookBackRow) { v.Like = likeLooks(rows) }

// LikeHead says which jobs those are.
func (v JobFormView) LikeHead() string {
	if v.Form.Title == "" {
		return "What came of jobs on this car:"
	}
	return "What came of jobs like it:"
}

// AddLookBacks puts the look backs that are due among what needs the owner.
func (v *TodayView) AddLookBacks(due []garage.LookBackRow) {
	for _, l := range due {
		v.Needs = append(v.Needs, NeedsRow{Title: l.JobTitle, Href: route.JobLookBack(l.JobID), Text: l.CarName + ": was it worth it?", Mood: ui.Ready})
	}
}

package page

import (
	"cmp"
	"errors"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// LinkForm is a helper link as typed.
type LinkForm struct {
	Name   string
	Rights string
	Until  string
	Day    string
	Jobs   []string
	Errors garage.FieldErrors
}

// ReadLinkForm is the form as sent.
func ReadLinkForm(v url.Values) LinkForm {
	return LinkForm{Name: v.Get("name"), Rights: v.Get("rights"), Until: v.Get("until"), Day: v.Get("day"), Jobs: v["jobs"]}
}

// Link reads what was typed, and notes in Errors what does not parse or does not hold. It holds to the end of the last day.
func (f *LinkForm) Link(now time.Time) garage.Link {
	var in fields
	l := garage.Link{Name: strings.TrimSpace(f.Name), Rights: garage.LinkRights(f.Rights), CreatedAt: now}
	if day, err := garage.ParseDate(f.Day); err == nil {
		l.Day = &day
	} else {
		f.Day = "" // nobody types it
	}
	if until := in.optionalDate("until", f.Until); until != nil {
		l.ExpiresAt = until.AddDays(1).In(now.Location())
	} else if in.Errors["until"] == "" {
		in.Errors.Add("until", "Until which day?")
		l.ExpiresAt = now.Add(time.Hour) // said already
	}
	for _, typed := range f.Jobs {
		if id, err := strconv.ParseInt(typed, 10, 64); err == nil && id > 0 && !slices.Contains(l.Jobs, garage.JobID(id)) {
			l.Jobs = append(l.Jobs, garage.JobID(id))
		}
	}
	slices.Sort(l.Jobs)
	f.Errors.Merge(in.with(l.Validate()))
	return l
}

// LinkNewView is the form of a new helper link.
type LinkNewView struct {
	Base
	Form LinkForm
	Jobs []ui.Option // to choose from
	One  string      // the job, when it is for one alone
	Days []ui.Link   // days with work in the plan, for a link for one of them
}

// NewLinkForm is the form of a link for a job, for what is planned on a day, or, with neither, for a job still to be chosen.
func NewLinkForm(p Planned, job string, day string) LinkForm {
	today := garage.DateOf(p.Now)
	form := LinkForm{Rights: string(garage.LookAndTick), Until: today.AddDays(garage.LinkDays).String()}
	on, err := garage.ParseDate(day)
	switch {
	case job != "":
		form.Jobs = []string{job}
	case err == nil:
		form.Day, form.Until = on.String(), on.String()
		for _, o := range p.jobsOn(on) {
			form.Jobs = append(form.Jobs, o.Value)
		}
	}
	return form
}

var errNoDay = errors.New("nothing is planned on that day")

// NewLinkNew offers the jobs that a link can be for.
func NewLinkNew(base Base, p Planned, form LinkForm) LinkNewView {
	v := LinkNewView{Base: base, Form: form}
	on, err := garage.ParseDate(form.Day)
	if err == nil {
		v.Jobs = p.jobsOn(on)
	}
	if len(v.Jobs) == 0 && len(form.Errors) > 0 { // there is nothing on that day any more
		v.Form.Day, err = "", errNoDay
	}
	if err != nil {
		v.Jobs = p.openJobs()
		v.Days = p.daysWithWork()
	}
	if err != nil && len(form.Jobs) == 1 {
		for _, o := range v.Jobs {
			if o.Value == form.Jobs[0] {
				v.One = o.Text
			}
		}
	}
	return v
}

// Sub says what it is for.
func (v LinkNewView) Sub() string {
	if on, err := garage.ParseDate(v.Form.Day); err == nil {
		return "For " + DayWords(on)
	}
	return "A helper sees the job's card, without an account."
}

func (p Planned) jobOption(job garage.Job) ui.Option {
	return ui.Option{Value: strconv.FormatInt(int64(job.ID), 10), Text: job.Title + ", " + p.cars[planner.CarRef(job.CarID)].Name}
}

// jobsOn are the jobs that the plan works on during a day.
func (p Planned) jobsOn(day garage.Date) []ui.Option {
	var jobs []ui.Option
	from := day.In(p.Now.Location())
	to := day.AddDays(1).In(p.Now.Location())
	for _, s := range p.Answer.Stages {
		for _, piece := range s.Pieces {
			o := p.jobOption(p.jobs[s.Job])
			if piece.From.Before(to) && from.Before(piece.To) && !slices.Contains(jobs, o) {
				jobs = append(jobs, o)
			}
		}
	}
	return jobs
}

func (p Planned) openJobs() []ui.Option {
	var jobs []ui.Option
	for _, job := range p.Shot.Jobs {
		jobs = append(jobs, p.jobOption(job))
	}
	slices.SortFunc(jobs, func(a, b ui.Option) int { return cmp.Compare(strings.ToLower(a.Text), strings.ToLower(b.Text)) })
	return jobs
}

// daysWithWork are the next days on which the plan has work.
func (p Planned) daysWithWork() []ui.Link {
	const most = 4
	var days []ui.Link
	for _, s := range p.Problem.Sessions {
		day := garage.DateOf(s.From.In(p.Now.Location()))
		link := ui.Link{Text: DayWords(day), Href: route.LinkNewOn(day.String())}
		if len(p.jobsOn(day)) > 0 && !slices.Contains(days, link) && len(days) < most {
			days = append(days, link)
		}
	}
	return days
}

// LinksView lists the helper links.
type LinksView struct {
	Base
	Live []ui.ListItem
	Past []ui.ListItem
}

// mostPast is how many links are listed that open nothing any more.
const mostPast = 50

// NewLinks lists helper links, those that hold first.
func NewLinks(base Base, links []garage.Link, now time.Time) LinksView {
	v := LinksView{Base: base}
	for _, l := range links {
		item := ui.ListItem{Title: l.Name, Href: route.Link(l.ID), Sub: linkWords(l, now.Location()), Meta: linkUse(l, now.Location())}
		if l.Live(now) {
			v.Live = append(v.Live, item)
		} else if len(v.Past) < mostPast {
			v.Past = append(v.Past, item)
		}
	}
	return v
}

// linkWords say what a helper link opens and until when.
func linkWords(l garage.Link, zone *time.Location) string {
	words := countWords(len(l.Jobs), "job", "jobs") + ", " + string(l.Rights)
	if l.Day != nil {
		words = DayWords(*l.Day) + ": " + words
	}
	if l.RevokedAt != nil {
		return words + ", ended " + momentText(*l.RevokedAt, zone)
	}
	return words + ", until the end of " + DayWords(garage.DateOf(l.ExpiresAt.Add(-time.Second).In(zone)))
}

func linkUse(l garage.Link, zone *time.Location) string {
	if l.SeenAt == nil {
		return "not used"
	}
	return "used " + momentText(*l.SeenAt, zone)
}

// LinkView is a helper link with what was done with it.
type LinkView struct {
	Base
	Link    garage.Link
	Live    bool
	Address string // to give away; only right after it was made
	Words   string
	Use     string
	Jobs    []ui.Link
	Marks   []LinkMarkRow
	Stand   int // marks that can be undone
}

// LinkMarkRow is one thing that a helper did.
type LinkMarkRow struct {
	Text string
	What string // when and how, and whether it was undone since
}

// NewLink shows a helper link. Marks are those of [garage.StepMark] made with it and those that undid them; texts are the steps'.
func NewLink(base Base, l garage.Link, jobs []garage.Job, marks []garage.StepMark, texts map[garage.StepID]string, now time.Time) LinkView {
	v := LinkView{Base: base, Link: l, Live: l.Live(now), Words: linkWords(l, now.Location()), Use: linkUse(l, now.Location())}
	open := map[garage.JobID]bool{}
	for _, job := range jobs {
		v.Jobs = append(v.Jobs, ui.Link{Text: job.Title, Href: route.Job(job.ID)})
		open[job.ID] = job.ClosedAt == nil && job.DeletedAt == nil
	}
	undone := map[garage.MarkID]bool{}
	for _, m := range marks {
		if m.Reverses != nil {
			undone[*m.Reverses] = true
		}
	}
	for _, m := range marks {
		if m.Kind == garage.UndoneMark {
			continue
		}
		row := LinkMarkRow{Text: texts[m.StepID], What: momentText(m.At, now.Location()) + ": " + string(m.Kind)}
		if m.Value != "" && m.Kind != garage.StartedMark {
			row.What += ", " + m.Value
		}
		if m.Note != "" {
			row.What += ", " + m.Note
		}
		if undone[m.ID] {
			row.What += ", undone since"
		} else if open[m.JobID] {
			v.Stand++
		}
		v.Marks = append(v.Marks, row)
	}
	return v
}

// LinkUndone says what came of undoing all that a helper did.
func LinkUndone(ticks int, name string) string {
	if ticks == 0 {
		return "There was nothing left to undo."
	}
	return countWords(ticks, "tick", "ticks") + " of " + name + " undone."
}

// HelpView is what a helper sees before and after starting.
type HelpView struct {
	Base
	Name  string
	Token string // before starting
	Until string
	Can   []string
	Jobs  []ui.ListItem
}

// NewHelp says what a link is for. Of the cars it shows the names alone.
func NewHelp(base Base, l garage.Link, jobs []garage.Job, cars map[garage.CarID]string, zone *time.Location) HelpView {
	v := HelpView{Base: base, Name: l.Name, Until: "It holds until the end of " + DayWords(garage.DateOf(l.ExpiresAt.Add(-time.Second).In(zone))) + "."}
	if l.MayTick() {
		v.Can = []string{"See the steps of the cards below, with their figures and cautions.", "Tick them, write down what you measured, and take a second look at what somebody else did."}
	} else {
		v.Can = []string{"See the steps of the cards below, with their figures and cautions. Ticking is the owner's."}
	}
	v.Can = append(v.Can, "Nothing else of this garage is open to you, and the owner sees what you tick.")
	for _, job := range jobs {
		item := ui.ListItem{Title: job.Title, Sub: cars[job.CarID], Href: route.Help(l.ID) + route.CardNow(job.ID)}
		if job.ClosedAt != nil {
			item.Meta = "closed"
		}
		v.Jobs = append(v.Jobs, item)
	}
	return v
}

var linkLabels = []ui.Option{
	{Value: "name", Text: "For whom"},
	{Value: "rights", Text: "What they may do"},
	{Value: "until", Text: "Until the end of"},
	{Value: "jobs", Text: "Jobs"},
}

var linkRightsOptions = []ui.Option{
	{Value: string(garage.LookAndTick), Text: "Look and tick", Hint: "Ticks steps, writes down values, takes the second look."},
	{Value: string(garage.Look), Text: "Look", Hint: "Sees the card and changes nothing."},
}

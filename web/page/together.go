package page

import (
	"slices"
	"strings"

	"axlestand/internal/planner"
	"axlestand/web/route"
)

// TogetherView is which of the ready jobs fit into the owner's time together.
type TogetherView struct {
	Base
	Free FreeTime
	Back string
	Jobs []TogetherRow
	Text string // how long it takes, and what sharing saves
}

// TogetherRow is a job with the time it is done by.
type TogetherRow struct {
	Title string
	Href  string
	Car   string
	Done  string
}

// NewTogether shows a set of jobs in the order in which they are done.
func NewTogether(base Base, p Planned, fit planner.Fit, free FreeTime) TogetherView {
	v := TogetherView{Base: base, Free: free, Back: free.with(free.Helper)}
	for _, r := range fit.Jobs {
		job := p.jobs[r.Job]
		v.Jobs = append(v.Jobs, TogetherRow{
			Title: job.Title, Href: route.Job(job.ID), Car: p.cars[planner.CarRef(job.CarID)].Name,
			Done: r.Until.In(p.Now.Location()).Format("15:04"),
		})
	}
	if len(fit.Jobs) == 0 {
		return v
	}
	words := []string{WorkWords(fit.Minutes) + " with opening and closing", "done by " + fit.Until.In(p.Now.Location()).Format("15:04")}
	if saved := savedIn(fit.Plan); saved > 0 {
		words = slices.Insert(words, 1, WorkWords(saved)+" saved by sharing what is open")
	}
	v.Text = strings.Join(words, ", ") + "."
	return v
}

// savedIn is what the visits of a plan save by sharing, in minutes.
func savedIn(plan planner.Answer) int {
	saved := 0
	for _, visit := range plan.Visits {
		saved += visit.MinutesSaved
	}
	return saved
}

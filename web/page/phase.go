package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// PhaseForm is a phase as typed.
type PhaseForm struct {
	Version  string
	Name     string
	Budget   string
	FinishOn string
	Errors   garage.FieldErrors
}

// NewPhaseForm is the form filled from what is stored.
func NewPhaseForm(p garage.Phase) PhaseForm {
	f := PhaseForm{Version: strconv.FormatInt(p.Version, 10), Name: p.Name, FinishOn: dateText(p.FinishOn)}
	if p.Budget > 0 {
		f.Budget = garage.MoneyFigure(p.Budget, p.Currency)
	}
	return f
}

// ReadPhaseForm is the form as sent.
func ReadPhaseForm(v url.Values) PhaseForm {
	return PhaseForm{Version: v.Get("version"), Name: v.Get("name"), Budget: v.Get("budget"), FinishOn: v.Get("finish_on")}
}

// Phase reads what was typed, and notes in Errors what does not parse or does not hold. The budget is of that currency.
func (f *PhaseForm) Phase(currency string) garage.Phase {
	var in fields
	p := garage.Phase{
		Version:  version(f.Version),
		Name:     strings.TrimSpace(f.Name),
		Budget:   in.money("budget", f.Budget, currency),
		Currency: currency,
		FinishOn: in.optionalDate("finish_on", f.FinishOn),
	}
	f.Errors = in.with(p.Validate())
	return p
}

// Conflict sets the form beside what is stored.
func (f PhaseForm) Conflict(stored PhaseForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Budget", Yours: f.Budget, Stored: stored.Budget},
		{Field: "To be finished on", Yours: f.FinishOn, Stored: stored.FinishOn},
	}
}

// PhaseFormView is the page of a phase's form.
type PhaseFormView struct {
	Base
	Form     PhaseForm
	CarID    garage.CarID
	CarName  string
	Phase    garage.Phase // zero for a new one
	Currency string
}

func (v PhaseFormView) action() string {
	if v.Phase.ID == 0 {
		return route.Phases(v.CarID)
	}
	return route.Phase(v.Phase.ID)
}

// PhaseShowView is the page of a phase with its jobs.
type PhaseShowView struct {
	Base
	Phase garage.PhaseRow
	Facts []ui.Def
	Jobs  ui.TableData
}

// NewPhaseShow is the page of a phase with its jobs.
func NewPhaseShow(b Base, phase garage.PhaseRow, jobs []garage.JobRow, today garage.Date) PhaseShowView {
	v := PhaseShowView{Base: b, Phase: phase}
	v.Facts = []ui.Def{
		{Term: "Car", Text: phase.CarName, Href: route.Car(phase.CarID)},
		{Term: "Jobs", Text: PhaseProgress(phase)},
		{Term: "To be finished", Text: finishWords(phase, today)},
	}
	if phase.Budget > 0 {
		v.Facts = append(v.Facts, ui.Def{Term: "Budget", Text: garage.MoneyText(phase.Budget, phase.Currency)})
	}
	v.Jobs = ui.TableData{
		Caption: "Jobs of the phase", Quiet: true,
		Columns: []ui.Column{{Head: "Job", Lead: true}, {Head: "Kind"}, {Head: "Stages"}, {Head: "Due"}},
	}
	for _, row := range jobs {
		cells := jobCells(row, today)
		v.Jobs.Rows = append(v.Jobs.Rows, []ui.Cell{cells[0], cells[2], cells[3], cells[4]})
	}
	return v
}

// PhaseProgress counts the jobs of a phase: 2 of 5 jobs done.
func PhaseProgress(p garage.PhaseRow) string {
	if p.Jobs == 0 {
		return "no jobs yet"
	}
	return strconv.Itoa(p.Done) + " of " + countWords(p.Jobs, "job", "jobs") + " done"
}

func finishWords(p garage.PhaseRow, today garage.Date) string {
	switch {
	case p.FinishOn == nil:
		return ""
	case p.Jobs > 0 && p.Done == p.Jobs:
		return DayWords(*p.FinishOn)
	}
	return DueWords(*p.FinishOn, today)
}

// PhaseItems are the phases of a car as rows of a list.
func PhaseItems(phases []garage.PhaseRow, today garage.Date) []ui.ListItem {
	return itemsOf(phases, func(p garage.PhaseRow) ui.ListItem {
		return ui.ListItem{Title: p.Name, Href: route.Phase(p.ID), Sub: finishWords(p, today), Meta: PhaseProgress(p)}
	})
}

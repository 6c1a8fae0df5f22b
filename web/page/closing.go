package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// ClosingForm is closing work as typed.
type ClosingForm struct {
	ID      garage.ClosingID // zero for a new one
	CarID   garage.CarID
	Version string
	Name    string
	Minutes string
	Helpers string
	Errors  garage.FieldErrors
}

// NewClosingForm is the form filled from what is stored.
func NewClosingForm(c garage.ClosingWork) ClosingForm {
	return ClosingForm{
		ID:      c.ID,
		CarID:   c.CarID,
		Version: strconv.FormatInt(c.Version, 10),
		Name:    c.Name,
		Minutes: strconv.Itoa(c.Minutes),
		Helpers: strconv.Itoa(c.Helpers),
	}
}

// ReadClosingForm is the form as sent.
func ReadClosingForm(v url.Values) ClosingForm {
	return ClosingForm{Version: v.Get("version"), Name: v.Get("name"), Minutes: v.Get("minutes"), Helpers: v.Get("helpers")}
}

// ClosingWork reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *ClosingForm) ClosingWork() garage.ClosingWork {
	var in fields
	c := garage.ClosingWork{
		ID:      f.ID,
		CarID:   f.CarID,
		Version: version(f.Version),
		Name:    strings.TrimSpace(f.Name),
		Minutes: in.int("minutes", f.Minutes),
		Helpers: in.intOr("helpers", f.Helpers, 0),
	}
	f.Errors = in.with(c.Validate())
	return c
}

// Conflict sets the form beside what is stored.
func (f ClosingForm) Conflict(stored ClosingForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Minutes", Yours: f.Minutes, Stored: stored.Minutes},
		{Field: "Helpers", Yours: f.Helpers, Stored: stored.Helpers},
	}
}

var closingFields = []ui.Option{{Value: "name", Text: "Name"}, {Value: "minutes", Text: "Minutes"}, {Value: "helpers", Text: "Helpers"}}

func (f ClosingForm) action() string {
	if f.ID == 0 {
		return route.ClosingWorks(f.CarID)
	}
	return route.Closing(f.ID)
}

// ClosingView is the page of the form of closing work.
type ClosingView struct {
	Base
	CarID   garage.CarID
	CarName string
	Form    ClosingForm
}

func closingTable(all []garage.ClosingWork) ui.TableData {
	t := ui.TableData{
		Caption: "Closing work", Quiet: true,
		Columns: []ui.Column{{Head: "Name", Lead: true}, {Head: "Takes", Num: true}, {Head: "Helpers", Num: true}},
	}
	for _, c := range all {
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: c.Name, Href: route.ClosingEdit(c.ID)}, {Text: WorkWords(c.Minutes)}, {Text: strconv.Itoa(c.Helpers)},
		})
	}
	return t
}

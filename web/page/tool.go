package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// ToolForm is a special tool as typed.
type ToolForm struct {
	Version  string
	Name     string
	Capacity string
	HereFrom string
	HereTo   string
	Note     string
	Errors   garage.FieldErrors
}

// NewToolForm is the form filled from a tool.
func NewToolForm(t garage.Tool) ToolForm {
	return ToolForm{
		Version: strconv.FormatInt(t.Version, 10), Name: t.Name, Capacity: strconv.Itoa(t.Capacity),
		HereFrom: dateText(t.HereFrom), HereTo: dateText(t.HereTo), Note: t.Note,
	}
}

// ReadToolForm is the form as sent.
func ReadToolForm(v url.Values) ToolForm {
	return ToolForm{
		Version: v.Get("version"), Name: v.Get("name"), Capacity: v.Get("capacity"),
		HereFrom: v.Get("here_from"), HereTo: v.Get("here_to"), Note: v.Get("note"),
	}
}

// Tool reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *ToolForm) Tool() garage.Tool {
	var in fields
	t := garage.Tool{
		Version:  version(f.Version),
		Name:     strings.TrimSpace(f.Name),
		Capacity: in.intOr("capacity", f.Capacity, 1),
		HereFrom: in.optionalDate("here_from", f.HereFrom),
		HereTo:   in.optionalDate("here_to", f.HereTo),
		Note:     strings.TrimSpace(f.Note),
	}
	f.Errors = in.with(t.Validate())
	return t
}

// Conflict sets the form beside what is stored.
func (f ToolForm) Conflict(stored ToolForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "How many", Yours: f.Capacity, Stored: stored.Capacity},
		{Field: "Here from", Yours: f.HereFrom, Stored: stored.HereFrom},
		{Field: "Here until", Yours: f.HereTo, Stored: stored.HereTo},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

// ToolView is the form of a tool; the ID is zero for a new one.
type ToolView struct {
	Base
	ID   garage.ToolID
	Form ToolForm
}

// Action is where the form is sent.
func (v ToolView) Action() string {
	if v.ID == 0 {
		return route.Tools()
	}
	return route.Tool(v.ID)
}

// ToolsView lists the special tools.
type ToolsView struct {
	Base
	Table ui.TableData
}

// NewTools lists the tools, and says of borrowed ones when they are here.
func NewTools(base Base, tools []garage.Tool, today garage.Date) ToolsView {
	t := ui.TableData{
		Caption: "Special tools", Quiet: true,
		Columns: []ui.Column{{Head: "Tool", Lead: true}, {Head: "How many", Num: true}, {Head: "Here"}, {Head: "Note"}},
	}
	for _, tool := range tools {
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: tool.Name, Href: route.ToolEdit(tool.ID)},
			{Text: strconv.Itoa(tool.Capacity)},
			{Text: hereText(tool, today)},
			{Text: tool.Note},
		})
	}
	return ToolsView{Base: base, Table: t}
}

func hereText(t garage.Tool, today garage.Date) string {
	text := func(d garage.Date) string { return d.In(time.UTC).Format("2 Jan 2006") }
	switch {
	case t.HereTo != nil && t.HereTo.Before(today):
		return "went back on " + text(*t.HereTo)
	case t.HereFrom != nil && t.HereTo != nil && today.Before(*t.HereFrom):
		return "from " + text(*t.HereFrom) + " to " + text(*t.HereTo)
	case t.HereFrom != nil && today.Before(*t.HereFrom):
		return "from " + text(*t.HereFrom) + " on"
	case t.HereTo != nil:
		return "until " + text(*t.HereTo)
	}
	return "always"
}

var toolLabels = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "capacity", Text: "How many"},
	{Value: "here_from", Text: "Here from"},
	{Value: "here_to", Text: "Here until"},
	{Value: "note", Text: "Note"},
}

package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// AccessForm is an access as typed.
type AccessForm struct {
	ID           garage.AccessID // zero for a new one
	CarID        garage.CarID
	Version      string
	Name         string
	OpenMinutes  string
	CloseMinutes string
	Inside       []string
	Stays        string
	IsOpen       string
	Errors       garage.FieldErrors
}

// NewAccessForm is the form filled from what is stored.
func NewAccessForm(a garage.Access) AccessForm {
	f := AccessForm{
		ID:           a.ID,
		CarID:        a.CarID,
		Version:      strconv.FormatInt(a.Version, 10),
		Name:         a.Name,
		OpenMinutes:  strconv.Itoa(a.OpenMinutes),
		CloseMinutes: strconv.Itoa(a.CloseMinutes),
		Stays:        yes(a.Stays),
		IsOpen:       yes(a.IsOpen),
	}
	for _, id := range a.Inside {
		f.Inside = append(f.Inside, strconv.FormatInt(int64(id), 10))
	}
	return f
}

// ReadAccessForm is the form as sent.
func ReadAccessForm(v url.Values) AccessForm {
	return AccessForm{
		Version:      v.Get("version"),
		Name:         v.Get("name"),
		OpenMinutes:  v.Get("open_minutes"),
		CloseMinutes: v.Get("close_minutes"),
		Inside:       v["inside"],
		Stays:        v.Get("stays"),
		IsOpen:       v.Get("is_open"),
	}
}

// Access reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *AccessForm) Access() garage.Access {
	var in fields
	a := garage.Access{
		ID:           f.ID,
		CarID:        f.CarID,
		Version:      version(f.Version),
		Name:         strings.TrimSpace(f.Name),
		OpenMinutes:  in.intOr("open_minutes", f.OpenMinutes, 0),
		CloseMinutes: in.intOr("close_minutes", f.CloseMinutes, 0),
		Stays:        f.Stays != "",
		IsOpen:       f.IsOpen != "",
	}
	for _, id := range f.Inside {
		a.Inside = append(a.Inside, garage.AccessID(in.id("inside", id)))
	}
	f.Errors = in.with(a.Validate())
	return a
}

// Conflict sets the form beside what is stored; others name the accesses of the car.
func (f AccessForm) Conflict(stored AccessForm, others []garage.Access) []ConflictRow {
	inside := func(f AccessForm) string { return strings.Join(accessNames(f.Inside, others), ", ") }
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "To open", Yours: f.OpenMinutes, Stored: stored.OpenMinutes},
		{Field: "To close", Yours: f.CloseMinutes, Stored: stored.CloseMinutes},
		{Field: "Inside", Yours: inside(f), Stored: inside(stored)},
		{Field: "May stay open", Yours: f.Stays, Stored: stored.Stays},
		{Field: "Open now", Yours: f.IsOpen, Stored: stored.IsOpen},
	}
}

func accessNames(ids []string, all []garage.Access) []string {
	var names []string
	for _, a := range all {
		if slices.Contains(ids, strconv.FormatInt(int64(a.ID), 10)) {
			names = append(names, a.Name)
		}
	}
	return names
}

var accessFields = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "open_minutes", Text: "To open"},
	{Value: "close_minutes", Text: "To close"},
	{Value: "inside", Text: "Lies inside"},
}

func (f AccessForm) action() string {
	if f.ID == 0 {
		return route.Accesses(f.CarID)
	}
	return route.Access(f.ID)
}

// AccessView is the page of an access's form.
type AccessView struct {
	Base
	CarID   garage.CarID
	CarName string
	Form    AccessForm
	Others  []ui.Option // what it may lie inside
}

// NewAccessView is the page of an access's form among the others of its car.
func NewAccessView(base Base, c garage.Car, form AccessForm, all []garage.Access) AccessView {
	v := AccessView{Base: base, CarID: c.ID, CarName: c.Name, Form: form}
	for _, a := range all {
		if a.ID != form.ID {
			v.Others = append(v.Others, ui.Option{Value: strconv.FormatInt(int64(a.ID), 10), Text: a.Name})
		}
	}
	return v
}

// AccessLine is an access as a line of its car's page.
type AccessLine struct {
	garage.Access
	Detail string
}

func accessLines(all []garage.Access) []AccessLine {
	var lines []AccessLine
	for _, a := range all {
		var outer []string
		for _, o := range all {
			if slices.Contains(a.Inside, o.ID) {
				outer = append(outer, o.Name)
			}
		}
		detail := WorkWords(a.OpenMinutes) + " to open, " + WorkWords(a.CloseMinutes) + " to close"
		if len(outer) > 0 {
			detail += " · inside " + strings.Join(outer, ", ")
		}
		if a.Stays {
			detail += " · may stay open off the lift"
		}
		lines = append(lines, AccessLine{Access: a, Detail: detail})
	}
	return lines
}

// ReadAlso is an access with the others that are to be opened or closed beside it.
func ReadAlso(id garage.AccessID, v url.Values) []garage.AccessID {
	all := []garage.AccessID{id}
	for _, typed := range v["also"] {
		if other, err := strconv.ParseInt(typed, 10, 64); err == nil {
			all = append(all, garage.AccessID(other))
		}
	}
	return all
}

// OpenedText says which accesses were opened or closed.
func OpenedText(changed []garage.Access, open bool) string {
	var names []string
	for _, a := range changed {
		names = append(names, a.Name)
	}
	verb, state := " is", " closed."
	if open {
		state = " open now."
	}
	switch len(names) {
	case 0:
		return "It was so already."
	case 1:
	default:
		verb = " are"
	}
	return strings.Join(names, ", ") + verb + state
}

// OpenedUndo are the fields that put back what was opened or closed.
func OpenedUndo(changed []garage.Access, open bool) []ui.KeyValue {
	fields := []ui.KeyValue{{Name: "open", Value: yes(!open)}}
	for _, a := range changed[1:] {
		fields = append(fields, ui.KeyValue{Name: "also", Value: idText(a.ID)})
	}
	return fields
}

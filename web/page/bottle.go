package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/trade/fluid"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// BottleForm is a opened bottle as typed.
type BottleForm struct {
	Version     string
	Kind        string
	Name        string
	Standard    string
	Grade       string
	OpenedOn    string
	VolumeLeft  string
	KeepsMonths string
	Place       string
	Note        string
	Errors      garage.FieldErrors
}

// NewBottleForm is the form filled from a opened bottle.
func NewBottleForm(v garage.Bottle) BottleForm {
	f := BottleForm{
		Version:     strconv.FormatInt(v.Version, 10),
		Kind:        v.Kind,
		Name:        v.Name,
		Standard:    v.Standard,
		Grade:       v.Grade,
		OpenedOn:    v.OpenedOn.String(),
		VolumeLeft:  v.VolumeLeft,
		KeepsMonths: intText(v.KeepsMonths),
		Place:       v.Place,
		Note:        v.Note,
	}
	return f
}

// ReadBottleForm is the form as sent.
func ReadBottleForm(v url.Values) BottleForm {
	return BottleForm{
		Version:     v.Get("version"),
		Kind:        v.Get("kind"),
		Name:        v.Get("name"),
		Standard:    v.Get("standard"),
		Grade:       v.Get("grade"),
		OpenedOn:    v.Get("opened_on"),
		VolumeLeft:  v.Get("volume_left"),
		KeepsMonths: v.Get("keeps_months"),
		Place:       v.Get("place"),
		Note:        v.Get("note"),
	}
}

// Bottle reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *BottleForm) Bottle(today garage.Date) garage.Bottle {
	var in fields
	v := garage.Bottle{
		Version:     version(f.Version),
		Kind:        strings.TrimSpace(f.Kind),
		Name:        strings.TrimSpace(f.Name),
		Standard:    strings.TrimSpace(f.Standard),
		Grade:       strings.TrimSpace(f.Grade),
		OpenedOn:    in.date("opened_on", f.OpenedOn),
		VolumeLeft:  withUnit(f.VolumeLeft, unit.Litre),
		KeepsMonths: in.optionalInt("keeps_months", f.KeepsMonths),
		Place:       strings.TrimSpace(f.Place),
		Note:        strings.TrimSpace(f.Note),
	}
	f.Errors = in.with(v.Validate())
	if len(f.Errors) == 0 {
		_, _, _, err := v.OldFrom(today)
		f.Errors = in.with(err)
	}
	return v
}

// Conflict sets the form beside what is stored.
func (f BottleForm) Conflict(stored BottleForm) []ConflictRow {
	return []ConflictRow{
		{Field: "What it is for", Yours: f.Kind, Stored: stored.Kind},
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Standard", Yours: f.Standard, Stored: stored.Standard},
		{Field: "Grade or class", Yours: f.Grade, Stored: stored.Grade},
		{Field: "Opened on", Yours: f.OpenedOn, Stored: stored.OpenedOn},
		{Field: "Left in it", Yours: f.VolumeLeft, Stored: stored.VolumeLeft},
		{Field: "Keeps", Yours: f.KeepsMonths, Stored: stored.KeepsMonths},
		{Field: "Place", Yours: f.Place, Stored: stored.Place},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var bottleLabels = []ui.Option{
	{Value: "kind", Text: "What it is for"},
	{Value: "name", Text: "Name"},
	{Value: "standard", Text: "Standard"},
	{Value: "grade", Text: "Grade or class"},
	{Value: "opened_on", Text: "Opened on"},
	{Value: "volume_left", Text: "Left in it"},
	{Value: "keeps_months", Text: "Keeps"},
	{Value: "place", Text: "Place"},
	{Value: "note", Text: "Note"},
}

// BottleFormView is the form of a opened bottle; the ID is zero for a new one.
type BottleFormView struct {
	Base
	ID   garage.BottleID
	Form BottleForm
}

// Action is where the form is sent.
func (v BottleFormView) Action() string {
	if v.ID == 0 {
		return route.Bottles()
	}
	return route.Bottle(v.ID)
}

// BlankBottleForm is the form of a bottle opened today.
func BlankBottleForm(today garage.Date) BottleForm {
	return BottleForm{Kind: garage.BrakeFluid, OpenedOn: today.String(), KeepsMonths: strconv.Itoa(fluid.BrakeOpenedMonths)}
}

// BottlesView lists the opened bottles.
type BottlesView struct {
	Base
	Table ui.TableData
}

// NewBottles lists the opened bottles, and says of each whether it is old.
func NewBottles(base Base, bottles []garage.Bottle, today garage.Date) BottlesView {
	v := BottlesView{Base: base, Table: ui.TableData{
		Caption: "Opened bottles", Quiet: true,
		Columns: []ui.Column{{Head: "Bottle", Lead: true}, {Head: "Left"}, {Head: "Opened"}, {Head: "State"}, {Head: "Place"}},
	}}
	for _, b := range bottles {
		mood, text := bottleState(b, today)
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: b.Name, Href: route.BottleEdit(b.ID), Sub: joined(" · ", b.Kind, b.Grade, b.Standard, b.Note)},
			{Text: b.VolumeLeft},
			{Text: DayWords(b.OpenedOn)},
			{Body: ui.State(mood, text)},
			{Text: b.Place},
		})
	}
	return v
}

// bottleState says whether what is in a bottle is old.
func bottleState(b garage.Bottle, today garage.Date) (ui.Mood, string) {
	from, old, known, err := b.OldFrom(today)
	switch {
	case err != nil || !known:
		return ui.Loose, "nobody says how long it keeps"
	case old:
		return ui.Blocked, "old since " + DayWords(from)
	}
	return ui.Ready, "good until " + DayWords(from.AddDays(-1))
}

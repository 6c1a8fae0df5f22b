package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// BinForm is a bin as typed.
type BinForm struct {
	ID      garage.BinID // zero for a new one
	Version string
	Name    string
	Place   string
	Errors  garage.FieldErrors
}

// NewBinForm is the form filled from what is stored.
func NewBinForm(b garage.Bin) BinForm {
	return BinForm{ID: b.ID, Version: strconv.FormatInt(b.Version, 10), Name: b.Name, Place: b.Place}
}

// ReadBinForm is the form as sent.
func ReadBinForm(v url.Values) BinForm {
	return BinForm{Version: v.Get("version"), Name: v.Get("name"), Place: v.Get("place")}
}

// Bin reads what was typed, and notes in Errors what does not hold.
func (f *BinForm) Bin() garage.Bin {
	var in fields
	b := garage.Bin{ID: f.ID, Version: version(f.Version), Name: strings.TrimSpace(f.Name), Place: strings.TrimSpace(f.Place)}
	f.Errors = in.with(b.Validate())
	return b
}

// Conflict sets the form beside what is stored.
func (f BinForm) Conflict(stored BinForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Place", Yours: f.Place, Stored: stored.Place},
	}
}

var binLabels = []ui.Option{{Value: "name", Text: "Name"}, {Value: "place", Text: "Place"}}

func (f BinForm) action() string {
	if f.ID == 0 {
		return route.Bins()
	}
	return route.Bin(f.ID)
}

// BinFormView is the page of a bin's form.
type BinFormView struct {
	Base
	Form BinForm
}

// BinIndexView is the list of bins.
type BinIndexView struct {
	Base
	Count string
	Bins  []ui.ListItem
}

// NewBinIndex lists the bins.
func NewBinIndex(base Base, bins []garage.BinRow) BinIndexView {
	v := BinIndexView{Base: base, Count: countWords(len(bins), "bin", "bins")}
	for _, b := range bins {
		meta := "empty"
		if b.Parts > 0 {
			meta = countWords(b.Parts, "part", "parts")
		}
		v.Bins = append(v.Bins, ui.ListItem{Title: b.Name, Href: route.Bin(b.ID), Sub: b.Place, Meta: meta})
	}
	return v
}

// BinShowView is the page of a bin.
type BinShowView struct {
	Base
	Bin   garage.Bin
	Parts []ui.ListItem
	Kits  []ui.Link // jobs whose parts are gathered in it
}

// NewBinShow is the page of a bin with what lies in it.
func NewBinShow(base Base, b garage.Bin, parts []garage.PartStock, kits []garage.JobLink) BinShowView {
	v := BinShowView{Base: base, Bin: b}
	for _, j := range kits {
		v.Kits = append(v.Kits, ui.Link{Text: j.Title + ", " + j.CarName, Href: route.Job(j.ID)})
	}
	for _, p := range parts {
		v.Parts = append(v.Parts, ui.ListItem{
			Title: p.Name, Href: route.Part(p.ID), Sub: joined(" · ", p.Side, p.Number, p.Detail), Meta: stockText(p.Quantity, p.Unit),
		})
	}
	return v
}

package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// NeedForm is a need as typed: for a part of the list, or for one that is new to the garage, by its name.
type NeedForm struct {
	Version  string
	Part     string
	NewPart  string
	Unit     string
	Quantity string
	Stops    string
	Note     string
	Errors   garage.FieldErrors
}

// BlankNeedForm is the form of a new need: one piece, without which the job stops.
func BlankNeedForm() NeedForm { return NeedForm{Unit: "piece", Quantity: "1", Stops: "yes"} }

// NewNeedForm is the form filled from what is stored.
func NewNeedForm(n garage.Need) NeedForm {
	return NeedForm{
		Version:  strconv.FormatInt(n.Version, 10),
		Part:     idText(n.PartID),
		Unit:     "piece",
		Quantity: strconv.Itoa(n.Quantity),
		Stops:    yes(n.Stops),
		Note:     n.Note,
	}
}

// ReadNeedForm is the form as sent.
func ReadNeedForm(v url.Values) NeedForm {
	return NeedForm{
		Version:  v.Get("version"),
		Part:     v.Get("part"),
		NewPart:  v.Get("new_part.name"),
		Unit:     v.Get("new_part.unit"),
		Quantity: v.Get("quantity"),
		Stops:    v.Get("stops"),
		Note:     v.Get("note"),
	}
}

// Need reads what was typed, and notes in Errors what does not parse or does not hold. The part is nil unless a new one was
// named; its price would be in that currency.
func (f *NeedForm) Need(currency string) (garage.Need, *garage.Part) {
	var in fields
	n := garage.Need{
		Version:  version(f.Version),
		PartID:   garage.PartID(in.id("part", f.Part)),
		Quantity: in.int("quantity", f.Quantity),
		Stops:    f.Stops != "",
		Note:     strings.TrimSpace(f.Note),
	}
	name := strings.TrimSpace(f.NewPart)
	if name == "" {
		f.Errors = in.with(n.Validate())
		return n, nil
	}
	if n.PartID != 0 {
		in.Errors.Add("new_part.name", "Either choose a part of the list or name a new one, not both.")
	}
	part := garage.Part{Name: name, Unit: f.Unit, Currency: currency}
	for field, message := range (&fields{}).with(part.Validate()) {
		in.Errors.Add("new_part."+field, message)
	}
	check := n
	check.PartID = max(1, n.PartID) // the store will know its id
	f.Errors = in.with(check.Validate())
	return n, &part
}

// Conflict sets the form beside what is stored.
func (f NeedForm) Conflict(stored NeedForm, parts []garage.Part) []ConflictRow {
	part := func(f NeedForm) string {
		if f.NewPart != "" {
			return f.NewPart + " (new)"
		}
		return nameList([]string{f.Part}, partOptions(parts))
	}
	return []ConflictRow{
		{Field: "Part", Yours: part(f), Stored: part(stored)},
		{Field: "Quantity", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Its lack stops the job", Yours: tickWords(f.Stops), Stored: tickWords(stored.Stops)},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

// NeedFormView is the page of one need.
type NeedFormView struct {
	Base
	Form   NeedForm
	Job    garage.Job
	Stage  garage.Stage
	Need   garage.Need // zero for a new one
	Search string
	Parts  []ui.Option
	Found  string // how much of the garage's parts the list holds
}

// NewNeedFormView is the page of one need, with the parts that the search found, out of total.
func NewNeedFormView(b Base, form NeedForm, job garage.Job, stage garage.Stage, need garage.Need, search string, parts []garage.Part, total int) NeedFormView {
	v := NeedFormView{
		Base: b, Form: form, Job: job, Stage: stage, Need: need, Search: search, Parts: withNone("None of these", partOptions(parts)),
	}
	switch {
	case total > len(parts):
		v.Found = "The first " + strconv.Itoa(len(parts)) + " of " + strconv.Itoa(total) + ": find it above."
	case search != "":
		v.Found = countWords(total, "part", "parts") + " found for “" + search + "”."
	}
	return v
}

func (v NeedFormView) action() string {
	if v.Need.ID == 0 {
		return route.Needs(v.Stage.ID)
	}
	return route.Need(v.Need.ID)
}

func (v NeedFormView) searchAction() string {
	if v.Need.ID == 0 {
		return route.NeedNew(v.Stage.ID)
	}
	return route.NeedEdit(v.Need.ID)
}

func partOptions(parts []garage.Part) []ui.Option {
	return optionsOf(parts, func(p garage.Part) ui.Option {
		return ui.Option{Value: idText(p.ID), Text: strings.Join(nonEmpty(partWords(p), p.Number), " · ")}
	})
}

var unitOptions = []ui.Option{
	{Value: "piece", Text: "pieces"},
	{Value: "set", Text: "sets"},
	{Value: "ml", Text: "millilitres (ml)"},
	{Value: "g", Text: "grams (g)"},
	{Value: "cm", Text: "centimetres (cm)"},
}

// StageShortView asks whether a stage is done though the bins hold too little.
type StageShortView struct {
	Base
	Job   garage.Job
	Stage garage.Stage
	Short []string
}

// NewStageShort lists what is short.
func NewStageShort(b Base, job garage.Job, stage garage.Stage, short []garage.Short) StageShortView {
	v := StageShortView{Base: b, Job: job, Stage: stage}
	for _, s := range short {
		text := s.PartName + ": called for " + quantityWords(s.Wanted, s.Unit) + ", on hand "
		if s.OnHand == 0 {
			text += "none"
		} else {
			text += quantityWords(s.OnHand, s.Unit)
		}
		v.Short = append(v.Short, text)
	}
	return v
}

// TakeOffForm is what was taken off a donor and where it went, as typed.
type TakeOffForm struct {
	Parts  []string
	Bin    string
	NewBin string
	Errors garage.FieldErrors
}

// ReadTakeOffForm is the form as sent.
func ReadTakeOffForm(v url.Values) TakeOffForm {
	return TakeOffForm{Parts: v["parts"], Bin: v.Get("bin"), NewBin: strings.TrimSpace(v.Get("new_bin.name"))}
}

// Choices reads what was typed, and notes in Errors what does not parse.
func (f *TakeOffForm) Choices() ([]garage.DonorPartID, garage.BinID) {
	var in fields
	parts := ids[garage.DonorPartID](&in, "parts", f.Parts)
	bin := garage.BinID(in.id("bin", f.Bin))
	if len(parts) == 0 {
		in.Errors.Add("parts", "Choose what was taken off.")
	}
	if bin == 0 && f.NewBin == "" {
		in.Errors.Add("bin", "Choose the bin that they go into.")
	}
	if bin != 0 && f.NewBin != "" {
		in.Errors.Add("new_bin.name", "Either choose a bin or name a new one, not both.")
	}
	f.Errors = in.Errors
	return parts, bin
}

// TakeOffView notes which parts a harvest job has taken off.
type TakeOffView struct {
	Base
	Job   garage.Job
	Form  TakeOffForm
	Parts []ui.Option
	Bins  []ui.Option
}

// NewTakeOff lists the parts that are still on the donor.
func NewTakeOff(b Base, sheet garage.JobSheet, form TakeOffForm) TakeOffView {
	v := TakeOffView{Base: b, Job: sheet.Job, Form: form}
	for _, d := range sheet.Harvest {
		if d.TakenAt == nil {
			v.Parts = append(v.Parts, ui.Option{Value: idText(d.ID), Text: pieces(d.Quantity, partName(sheet.Parts, d.PartID)), Hint: d.Note})
		}
	}
	for _, bin := range sheet.Bins {
		if bin.DeletedAt == nil {
			v.Bins = append(v.Bins, ui.Option{Value: idText(bin.ID), Text: strings.Join(nonEmpty(bin.Name, bin.Place), ", ")})
		}
	}
	return v
}

// AllParts ticks every part that is still on the donor.
func (v TakeOffView) AllParts() TakeOffView {
	for _, p := range v.Parts {
		v.Form.Parts = append(v.Form.Parts, p.Value)
	}
	return v
}

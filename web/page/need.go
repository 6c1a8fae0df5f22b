package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// NeedForm is a need as typed.
type NeedForm struct {
	Version  string
	Part     string // label, name or number
	NewPart  string
	Side     string // of the car, and of a new part
	Quantity string
	Stops    string
	Least    string
	Single   string
	Note     string
	Errors   garage.FieldErrors
}

// BlankNeedForm is the form of a new need: one piece, without which the job stops.
func BlankNeedForm() NeedForm { return NeedForm{Quantity: "1", Stops: "yes"} }

// NewNeedForm is the form filled from what is stored.
func NewNeedForm(n garage.Need, part garage.Part) NeedForm {
	return NeedForm{
		Version:  strconv.FormatInt(n.Version, 10),
		Part:     part.Label(),
		Quantity: strconv.Itoa(n.Quantity),
		Stops:    yes(n.Stops),
		Side:     n.Side,
		Least:    n.LeastGrade,
		Single:   yes(n.SingleUse),
		Note:     n.Note,
	}
}

// ReadNeedForm is the form as sent.
func ReadNeedForm(v url.Values) NeedForm {
	return NeedForm{
		Version:  v.Get("version"),
		Part:     v.Get("part"),
		NewPart:  v.Get("new_part"),
		Side:     v.Get("side"),
		Quantity: v.Get("quantity"),
		Stops:    v.Get("stops"),
		Least:    v.Get("least_grade"),
		Single:   v.Get("single_use"),
		Note:     v.Get("note"),
	}
}

// Pick is the part that is named.
func (f NeedForm) Pick() garage.PartPick {
	pick := garage.PartPick{Text: f.Part, New: f.NewPart != "", Side: f.Side}
	if f.Side == "both" {
		pick.Side = ""
	}
	return pick
}

// Need reads what was typed, and notes in Errors what does not parse. The rest is for the store to hold against the rules,
// together with the part that is named.
func (f *NeedForm) Need() garage.Need {
	var in fields
	n := garage.Need{
		Version:  version(f.Version),
		Quantity: in.int("quantity", f.Quantity),
		Stops:    f.Stops != "",
		Side:     f.Side, LeastGrade: f.Least, SingleUse: f.Single != "",
		Note: strings.TrimSpace(f.Note),
	}
	f.Errors = in.Errors
	return n
}

// Conflict sets the form beside what is stored.
func (f NeedForm) Conflict(stored NeedForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Part", Yours: f.Part, Stored: stored.Part},
		{Field: "How many", Yours: f.Quantity, Stored: stored.Quantity},
		{Field: "Its lack stops the job", Yours: tickWords(f.Stops), Stored: tickWords(stored.Stops)},
		{Field: "Side", Yours: f.Side, Stored: stored.Side},
		{Field: "Least grade", Yours: f.Least, Stored: stored.Least},
		{Field: "Single use", Yours: tickWords(f.Single), Stored: tickWords(stored.Single)},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var needFields = []ui.Option{
	{Value: "part", Text: "Part"},
	{Value: "new_part", Text: "Part"},
	{Value: "side", Text: "Side"},
	{Value: "quantity", Text: "How many"},
	{Value: "least_grade", Text: "Least grade"},
	{Value: "note", Text: "Note"},
}

var needSides = []ui.Option{
	{Value: "", Text: "neither, or not said"}, {Value: "left", Text: "left"}, {Value: "right", Text: "right"}, {Value: "both", Text: "both"},
}

func leastGrades() []ui.Option {
	options := partGrades()
	options[0].Text = "any"
	for i := range options[1:] {
		options[i+1].Text += " or better"
	}
	options[1].Text = "maker only"
	return options
}

// NeedFormView is the page of one need.
type NeedFormView struct {
	Base
	Form  NeedForm
	Job   garage.Job
	Stage garage.Stage
	Need  garage.Need // zero for a new one
	Parts []string    // offered while typing
}

func (v NeedFormView) action() string {
	if v.Need.ID == 0 {
		return route.Needs(v.Stage.ID)
	}
	return route.Need(v.Need.ID)
}

// StageShortView asks whether a stage is done though the bins hold too little.
type StageShortView struct {
	Base
	Job   garage.Job
	Stage garage.Stage
	Short []string
	Took  string // as typed
}

// NewStageShort lists what is short.
func NewStageShort(b Base, job garage.Job, stage garage.Stage, short []garage.Short, took TookForm) StageShortView {
	v := StageShortView{Base: b, Job: job, Stage: stage, Took: took.Took}
	for _, s := range short {
		text := s.PartName + ": called for " + stockText(s.Wanted, s.Unit) + ", on hand "
		if s.OnHand == 0 {
			text += "none"
		} else {
			text += stockText(s.OnHand, s.Unit)
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
	return TakeOffForm{Parts: v["parts"], Bin: v.Get("bin"), NewBin: v.Get("new_bin")}
}

// Choices reads what was typed, and notes in Errors what does not parse. The bin is for the store to find.
func (f *TakeOffForm) Choices() ([]garage.DonorPartID, garage.BinPick) {
	var in fields
	parts := ids[garage.DonorPartID](&in, "parts", f.Parts)
	if len(parts) == 0 {
		in.Errors.Add("parts", "Choose what was taken off.")
	}
	f.Errors = in.Errors
	return parts, garage.BinPick{Name: f.Bin, New: f.NewBin != ""}
}

var takeOffFields = []ui.Option{
	{Value: "parts", Text: "Taken off"}, {Value: "bin", Text: "Bin"}, {Value: "new_bin", Text: "Bin"},
}

// TakeOffView notes which parts a harvest job has taken off.
type TakeOffView struct {
	Base
	Job   garage.Job
	Form  TakeOffForm
	Parts []ui.Option
	Bins  []string
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
			v.Bins = append(v.Bins, bin.Name)
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

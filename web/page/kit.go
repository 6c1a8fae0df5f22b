package page

import (
	"net/url"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// KitForm names the box in which a job's parts are gathered, as typed.
type KitForm struct {
	Bin    string
	NewBin string
	Errors garage.FieldErrors
}

// NewKitForm is the form filled from what is stored.
func NewKitForm(sheet garage.JobSheet) KitForm {
	if sheet.KitBin == nil {
		return KitForm{}
	}
	return KitForm{Bin: sheet.KitBin.Name}
}

// ReadKitForm is the form as sent.
func ReadKitForm(v url.Values) KitForm { return KitForm{Bin: v.Get("bin"), NewBin: v.Get("new_bin")} }

// Pick is the bin that is named.
func (f KitForm) Pick() garage.BinPick { return garage.BinPick{Name: f.Bin, New: f.NewBin != ""} }

var kitFields = []ui.Option{{Value: "bin", Text: "Box"}, {Value: "new_bin", Text: "Box"}}

// KitView is the page of that form.
type KitView struct {
	Base
	Job  garage.Job
	Form KitForm
	Bins []string
	Has  bool
}

// NewKit is the page of the form.
func NewKit(base Base, sheet garage.JobSheet, form KitForm) KitView {
	v := KitView{Base: base, Job: sheet.Job, Form: form, Has: sheet.KitBin != nil}
	for _, b := range sheet.Bins {
		if b.DeletedAt == nil {
			v.Bins = append(v.Bins, b.Name)
		}
	}
	return v
}

// KitSum says how a job's kit stands.
type KitSum struct {
	Mood      ui.Mood
	Text      string
	Unchecked string // what to do before the car is immobile
	Box       ui.Link
	Label     string
	Gather    string // moves what is on hand into the box
	JobID     garage.JobID
	Show      bool
}

// newKitSum sums up a kit whose job is still open.
func newKitSum(sheet garage.JobSheet, lines []garage.KitLine) KitSum {
	sum := KitSum{JobID: sheet.Job.ID}
	if sheet.Job.ClosedAt != nil || len(lines) == 0 {
		return sum
	}
	state := sheet.KitState(lines)
	sum.Show = true
	switch {
	case !state.Complete:
		sum.Mood, sum.Text = ui.Blocked, countWords(state.Lacks, "part", "parts")+" that it stops for not in a bin for it yet"
	case state.Gathered:
		sum.Mood, sum.Text = ui.Done, "kit complete, in "+sheet.KitBin.Name
	default:
		sum.Mood, sum.Text = ui.Ready, "kit complete"
	}
	if state.Unchecked > 0 {
		sum.Unchecked = countWords(state.Unchecked, "part was", "parts were") +
			" not held against the car yet. Check before anything comes off that leaves it standing."
	}
	if sheet.KitBin != nil {
		sum.Label = route.BinLabel(sheet.KitBin.ID)
		sum.Box = ui.Link{Text: sheet.KitBin.Name, Href: route.Bin(sheet.KitBin.ID)}
		if len(sheet.ToGather(lines)) > 0 {
			sum.Gather = route.JobKitGather(sheet.Job.ID)
		}
	}
	return sum
}

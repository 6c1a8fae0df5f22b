package page

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// WrenchForm is a torque wrench as typed.
type WrenchForm struct {
	Version      string
	Name         string
	Unit         string
	Low          string
	High         string
	Graduation   string
	Accuracy     string
	Length       string
	CalibratedOn string
	Clicks       string
	Note         string
	Errors       garage.FieldErrors
}

// NewWrenchForm is the form filled from a wrench.
func NewWrenchForm(w garage.Wrench) WrenchForm {
	return WrenchForm{
		Version: strconv.FormatInt(w.Version, 10), Name: w.Name, Unit: w.Unit, Low: floatText(&w.Low), High: floatText(&w.High),
		Graduation: floatText(w.Graduation), Accuracy: floatText(w.Accuracy), Length: w.Length, CalibratedOn: dateText(w.CalibratedOn),
		Clicks: strconv.Itoa(w.Clicks), Note: w.Note,
	}
}

// ReadWrenchForm is the form as sent.
func ReadWrenchForm(v url.Values) WrenchForm {
	return WrenchForm{
		Version: v.Get("version"), Name: v.Get("name"), Unit: v.Get("unit"), Low: v.Get("low"), High: v.Get("high"),
		Graduation: v.Get("graduation"), Accuracy: v.Get("accuracy"), Length: v.Get("length"), CalibratedOn: v.Get("calibrated_on"),
		Clicks: v.Get("clicks"), Note: v.Get("note"),
	}
}

// Wrench reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *WrenchForm) Wrench() garage.Wrench {
	var in fields
	w := garage.Wrench{
		Version:      version(f.Version),
		Name:         strings.TrimSpace(f.Name),
		Unit:         strings.TrimSpace(f.Unit),
		Graduation:   in.optionalFigure("graduation", f.Graduation),
		Accuracy:     in.optionalFigure("accuracy", f.Accuracy),
		Length:       withUnit[unit.LengthKind](f.Length, unit.Mm),
		CalibratedOn: in.optionalDate("calibrated_on", f.CalibratedOn),
		Clicks:       in.intOr("clicks", f.Clicks, 0),
		Note:         strings.TrimSpace(f.Note),
	}
	if low := in.optionalFigure("low", f.Low); low != nil {
		w.Low = *low
	}
	if high := in.optionalFigure("high", f.High); high != nil {
		w.High = *high
	}
	if u, err := unit.ParseUnit[unit.TorqueKind](w.Unit); err == nil {
		w.Unit = u.String()
	}
	f.Errors = in.with(w.Validate())
	return w
}

// Conflict sets the form beside what is stored.
func (f WrenchForm) Conflict(stored WrenchForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Unit", Yours: f.Unit, Stored: stored.Unit},
		{Field: "Lowest mark", Yours: f.Low, Stored: stored.Low},
		{Field: "Highest mark", Yours: f.High, Stored: stored.High},
		{Field: "From mark to mark", Yours: f.Graduation, Stored: stored.Graduation},
		{Field: "Accuracy", Yours: f.Accuracy, Stored: stored.Accuracy},
		{Field: "Length", Yours: f.Length, Stored: stored.Length},
		{Field: "Calibrated on", Yours: f.CalibratedOn, Stored: stored.CalibratedOn},
		{Field: "Clicks since", Yours: f.Clicks, Stored: stored.Clicks},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

// WrenchView is the form of a torque wrench; the ID is zero for a new one.
type WrenchView struct {
	Base
	ID   garage.WrenchID
	Form WrenchForm
}

// Action is where the form is sent.
func (v WrenchView) Action() string {
	if v.ID == 0 {
		return route.Wrenches()
	}
	return route.Wrench(v.ID)
}

var wrenchLabels = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "unit", Text: "Unit"},
	{Value: "low", Text: "Lowest mark"},
	{Value: "high", Text: "Highest mark"},
	{Value: "graduation", Text: "From mark to mark"},
	{Value: "accuracy", Text: "Accuracy"},
	{Value: "length", Text: "Length"},
	{Value: "calibrated_on", Text: "Calibrated on"},
	{Value: "clicks", Text: "Clicks since"},
	{Value: "note", Text: "Note"},
}

func wrenchUnits() []ui.Option {
	var options []ui.Option
	for _, u := range unit.Units[unit.TorqueKind]() {
		options = append(options, ui.Option{Value: u.String(), Text: u.String()})
	}
	return options
}

// WrenchesView lists the torque wrenches.
type WrenchesView struct {
	Base
	Table ui.TableData
}

// NewWrenches lists the wrenches, and says of each whether its calibration holds.
func NewWrenches(base Base, wrenches []garage.Wrench, today garage.Date) WrenchesView {
	t := ui.TableData{
		Caption: "Torque wrenches", Quiet: true,
		Columns: []ui.Column{{Head: "Wrench", Lead: true}, {Head: "Range", Num: true}, {Head: "Marks"}, {Head: "Accuracy"}, {Head: "Calibration"}},
	}
	for _, w := range wrenches {
		tw := w.Torque()
		t.Rows = append(t.Rows, []ui.Cell{
			{Text: w.Name, Href: route.WrenchEdit(w.ID), Sub: w.Note},
			{Text: tw.Low.Number() + " to " + tw.High.String()},
			{Text: markText(tw)},
			{Text: accuracyText(w)},
			{Body: calibrationState(tw, today)},
		})
	}
	return WrenchesView{Base: base, Table: t}
}

func markText(w torque.Wrench) string {
	if w.Mark.IsZero() {
		return "shows tenths"
	}
	return "every " + w.Mark.String()
}

// accuracyText is what a certificate says, or what the standard allows.
func accuracyText(w garage.Wrench) string {
	if w.Accuracy != nil {
		return "± " + floatText(w.Accuracy) + " % by its certificate"
	}
	return "± " + strconv.Itoa(int(torque.Accuracy(w.Torque().High)*100)) + " % by ISO 6789"
}

// floatText writes an optional figure as typed in a form; nil is empty.
func floatText(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

// dayOf is a day as the packages of the trade take it.
func dayOf(d garage.Date) time.Time { return d.In(time.UTC) }

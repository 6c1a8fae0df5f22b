package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	"axlestand/internal/trade/unit"
	"axlestand/internal/trade/wheel"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// RequiredWheelForm is a requirement of wheels as typed.
type RequiredWheelForm struct {
	Version     string
	Size        string
	LoadIndex   string
	SpeedSymbol string
	Bolts       string
	Circle      string
	Bore        string
	Seat        string
	Source      string
	Page        string
	Errors      garage.FieldErrors
}

// NewRequiredWheelForm is the form filled from a requirement of wheels.
func NewRequiredWheelForm(v garage.RequiredWheel) RequiredWheelForm {
	f := RequiredWheelForm{
		Version:     strconv.FormatInt(v.Version, 10),
		Size:        v.Size,
		LoadIndex:   strconv.Itoa(v.LoadIndex),
		SpeedSymbol: v.SpeedSymbol,
		Bolts:       intText(v.Bolts),
		Circle:      floatText(v.Circle),
		Bore:        floatText(v.Bore),
		Seat:        v.Seat,
		Source:      v.Source,
		Page:        v.Page,
	}
	return f
}

// ReadRequiredWheelForm is the form as sent.
func ReadRequiredWheelForm(v url.Values) RequiredWheelForm {
	return RequiredWheelForm{
		Version:     v.Get("version"),
		Size:        v.Get("size"),
		LoadIndex:   v.Get("load_index"),
		SpeedSymbol: v.Get("speed_symbol"),
		Bolts:       v.Get("bolts"),
		Circle:      v.Get("circle"),
		Bore:        v.Get("bore"),
		Seat:        v.Get("seat"),
		Source:      v.Get("source"),
		Page:        v.Get("page"),
	}
}

// RequiredWheel reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *RequiredWheelForm) RequiredWheel() garage.RequiredWheel {
	var in fields
	v := garage.RequiredWheel{
		Version:     version(f.Version),
		Size:        strings.TrimSpace(f.Size),
		LoadIndex:   in.int("load_index", f.LoadIndex),
		SpeedSymbol: strings.ToUpper(strings.TrimSpace(f.SpeedSymbol)),
		Bolts:       in.optionalInt("bolts", f.Bolts),
		Circle:      in.optionalFigure("circle", f.Circle),
		Bore:        in.optionalFigure("bore", f.Bore),
		Seat:        strings.TrimSpace(f.Seat),
		Source:      strings.TrimSpace(f.Source),
		Page:        strings.TrimSpace(f.Page),
	}
	f.Errors = in.with(v.Validate())
	return v
}

// Conflict sets the form beside what is stored.
func (f RequiredWheelForm) Conflict(stored RequiredWheelForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Tyre size", Yours: f.Size, Stored: stored.Size},
		{Field: "Load index", Yours: f.LoadIndex, Stored: stored.LoadIndex},
		{Field: "Speed symbol", Yours: f.SpeedSymbol, Stored: stored.SpeedSymbol},
		{Field: "Bolts", Yours: f.Bolts, Stored: stored.Bolts},
		{Field: "Bolt circle", Yours: f.Circle, Stored: stored.Circle},
		{Field: "Hub", Yours: f.Bore, Stored: stored.Bore},
		{Field: "Seat", Yours: f.Seat, Stored: stored.Seat},
		{Field: "Document", Yours: f.Source, Stored: stored.Source},
		{Field: "Page", Yours: f.Page, Stored: stored.Page},
	}
}

var requiredWheelLabels = []ui.Option{
	{Value: "size", Text: "Tyre size"},
	{Value: "load_index", Text: "Load index"},
	{Value: "speed_symbol", Text: "Speed symbol"},
	{Value: "bolts", Text: "Bolts"},
	{Value: "circle", Text: "Bolt circle"},
	{Value: "bore", Text: "Hub"},
	{Value: "seat", Text: "Seat"},
	{Value: "source", Text: "Document"},
	{Value: "page", Text: "Page"},
}

// RequiredWheelFormView is the form of a requirement of wheels; the ID is zero for a new one.
type RequiredWheelFormView struct {
	Base
	ID   garage.RequiredWheelID
	Car  garage.Car
	Form RequiredWheelForm
}

// Action is where the form is sent.
func (v RequiredWheelFormView) Action() string {
	if v.ID == 0 {
		return route.RequiredWheels(v.Car.ID)
	}
	return route.RequiredWheel(v.ID)
}

// WheelSetForm is a wheel set as typed.
type WheelSetForm struct {
	Version  string
	Name     string
	Tyre     string
	Rim      string
	Seat     string
	Turns    string
	DateCode string
	Tread    string
	Place    string
	Mounted  string
	Note     string
	Errors   garage.FieldErrors
}

// NewWheelSetForm is the form filled from a wheel set.
func NewWheelSetForm(v garage.WheelSet) WheelSetForm {
	f := WheelSetForm{
		Version:  strconv.FormatInt(v.Version, 10),
		Name:     v.Name,
		Tyre:     v.Tyre,
		Rim:      v.Rim,
		Seat:     v.Seat,
		Turns:    floatText(v.Turns),
		DateCode: v.DateCode,
		Tread:    v.Tread,
		Place:    v.Place,
		Note:     v.Note,
	}
	if v.Mounted {
		f.Mounted = "yes"
	}
	return f
}

// ReadWheelSetForm is the form as sent.
func ReadWheelSetForm(v url.Values) WheelSetForm {
	return WheelSetForm{
		Version:  v.Get("version"),
		Name:     v.Get("name"),
		Tyre:     v.Get("tyre"),
		Rim:      v.Get("rim"),
		Seat:     v.Get("seat"),
		Turns:    v.Get("turns"),
		DateCode: v.Get("date_code"),
		Tread:    v.Get("tread"),
		Place:    v.Get("place"),
		Mounted:  v.Get("mounted"),
		Note:     v.Get("note"),
	}
}

// WheelSet reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *WheelSetForm) WheelSet(today garage.Date) garage.WheelSet {
	var in fields
	v := garage.WheelSet{
		Version:  version(f.Version),
		Name:     strings.TrimSpace(f.Name),
		Tyre:     strings.TrimSpace(f.Tyre),
		Rim:      strings.TrimSpace(f.Rim),
		Seat:     strings.TrimSpace(f.Seat),
		Turns:    in.optionalFigure("turns", f.Turns),
		DateCode: strings.TrimSpace(f.DateCode),
		Tread:    withUnit(f.Tread, unit.Mm),
		Place:    strings.TrimSpace(f.Place),
		Mounted:  f.Mounted != "",
		Note:     strings.TrimSpace(f.Note),
	}
	f.Errors = in.with(v.Validate())
	if len(f.Errors) == 0 {
		f.Errors = in.with(v.CheckMade(today))
	}
	return v
}

// Conflict sets the form beside what is stored.
func (f WheelSetForm) Conflict(stored WheelSetForm) []ConflictRow {
	return []ConflictRow{
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Tyre", Yours: f.Tyre, Stored: stored.Tyre},
		{Field: "Wheel", Yours: f.Rim, Stored: stored.Rim},
		{Field: "Seat", Yours: f.Seat, Stored: stored.Seat},
		{Field: "Turns of a bolt", Yours: f.Turns, Stored: stored.Turns},
		{Field: "Date code", Yours: f.DateCode, Stored: stored.DateCode},
		{Field: "Least tread", Yours: f.Tread, Stored: stored.Tread},
		{Field: "Place", Yours: f.Place, Stored: stored.Place},
		{Field: "On the car now", Yours: f.Mounted, Stored: stored.Mounted},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var wheelSetLabels = []ui.Option{
	{Value: "name", Text: "Name"},
	{Value: "tyre", Text: "Tyre"},
	{Value: "rim", Text: "Wheel"},
	{Value: "seat", Text: "Seat"},
	{Value: "turns", Text: "Turns of a bolt"},
	{Value: "date_code", Text: "Date code"},
	{Value: "tread", Text: "Least tread"},
	{Value: "place", Text: "Place"},
	{Value: "mounted", Text: "On the car now"},
	{Value: "note", Text: "Note"},
}

// WheelSetFormView is the form of a wheel set; the ID is zero for a new one.
type WheelSetFormView struct {
	Base
	ID   garage.WheelSetID
	Car  garage.Car
	Form WheelSetForm
}

// Action is where the form is sent.
func (v WheelSetFormView) Action() string {
	if v.ID == 0 {
		return route.Wheels(v.Car.ID)
	}
	return route.WheelSet(v.ID)
}

// BlankRequiredWheelForm is the form of a new one.
func BlankRequiredWheelForm() RequiredWheelForm { return RequiredWheelForm{} }

// BlankWheelSetForm is the form of a new one.
func BlankWheelSetForm() WheelSetForm { return WheelSetForm{} }

var seatOptions = []ui.Option{
	{Value: string(wheel.SeatUnknown), Text: "Nobody has looked"},
	{Value: string(wheel.SeatCone), Text: string(wheel.SeatCone)},
	{Value: string(wheel.SeatBall), Text: string(wheel.SeatBall)},
	{Value: string(wheel.SeatFlat), Text: string(wheel.SeatFlat)},
}

// WheelsView shows what a car requires of its wheels, and the sets there are.
type WheelsView struct {
	Base
	Car      garage.Car
	Tabs     []ui.Link
	Caution  string
	Required *garage.RequiredWheel
	Plate    ui.PlateData
	Facts    []ui.Def
	Sets     []WheelSetLine
}

// WheelSetLine is a wheel set with what is to be said of its fit.
type WheelSetLine struct {
	garage.WheelSet
	Sub      string
	Mood     ui.Mood
	Text     string
	Findings []wheel.Finding
}

// NewWheels holds each set against what the car requires.
func NewWheels(base Base, car garage.Car, required []garage.RequiredWheel, sets []garage.WheelSet, today garage.Date) WheelsView {
	v := WheelsView{Base: base, Car: car, Tabs: specTabs(car.ID, route.Wheels(car.ID))}
	if c, ok := cautions.For(cautions.Road); ok {
		v.Caution = c.Text
	}
	if len(required) > 0 {
		v.Required = &required[0]
		v.requires(required[0])
	}
	for _, s := range sets {
		v.Sets = append(v.Sets, wheelSetLine(s, v.Required, today))
	}
	return v
}

func (v *WheelsView) requires(w garage.RequiredWheel) {
	service := " " + strconv.Itoa(w.LoadIndex) + w.SpeedSymbol
	v.Plate = ui.PlateData{Label: "Tyre", Figures: []ui.Figure{{Value: strings.TrimSuffix(w.Size, service) + service}}, Source: sourceText(w.Source, w.Page)}
	load, _ := wheel.LoadOf(w.LoadIndex)
	speed, _ := wheel.SpeedOf(w.SpeedSymbol)
	bolts := intText(w.Bolts)
	if w.Circle != nil {
		bolts = joined("×", bolts, floatText(w.Circle))
	}
	v.Facts = []ui.Def{
		{Term: "Load index", Text: strconv.Itoa(w.LoadIndex) + ", at least " + load.String() + " a tyre"},
		{Term: "Speed symbol", Text: w.SpeedSymbol + ", at least " + speed.String()},
		{Term: "Bolts", Text: bolts},
		{Term: "Hub", Text: joined(" ", floatText(w.Bore), mmOf(w.Bore))},
		{Term: "Seat", Text: w.Seat},
	}
}

func mmOf(v *float64) string {
	if v == nil {
		return ""
	}
	return "mm"
}

func wheelSetLine(s garage.WheelSet, required *garage.RequiredWheel, today garage.Date) WheelSetLine {
	line := WheelSetLine{WheelSet: s, Findings: s.Fit(required, today), Mood: ui.Ready, Text: "nothing known speaks against it"}
	tread := ""
	if s.Tread != "" {
		tread = "tread " + s.Tread
	}
	line.Sub = joined(" · ", s.Tyre, s.Rim, tread, madeText(s.DateCode, today), s.Place, s.Note)
	bad := slices.ContainsFunc(line.Findings, func(f wheel.Finding) bool { return f.Bad })
	switch {
	case bad:
		line.Mood, line.Text = ui.Blocked, "does not fit or must not be used"
	case required == nil:
		line.Mood, line.Text = ui.Loose, "not compared: what the car requires is not entered"
	case len(line.Findings) > 0:
		line.Mood, line.Text = ui.Waits, "look before you fit it"
	}
	return line
}

func madeText(code string, today garage.Date) string {
	made, err := wheel.ParseDateCode(code, today.In(time.UTC))
	switch {
	case err != nil:
		return ""
	case made.Year == 0:
		return "made before 2000"
	}
	return "made in week " + strconv.Itoa(made.Week) + " of " + strconv.Itoa(made.Year)
}

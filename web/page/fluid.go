package page

import (
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	cautions "axlestand/internal/trade/caution"
	tradefluid "axlestand/internal/trade/fluid"
	"axlestand/internal/trade/unit"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// FluidSpecForm is a fluid spec as typed.
type FluidSpecForm struct {
	Version         string
	Kind            string
	Name            string
	Standard        string
	Grade           string
	CapacityDry     string
	CapacityService string
	EveryDistance   string
	EveryMonths     string
	Source          string
	Page            string
	Note            string
	Errors          garage.FieldErrors
}

// NewFluidSpecForm is the form filled from a fluid spec.
func NewFluidSpecForm(v garage.FluidSpec) FluidSpecForm {
	f := FluidSpecForm{
		Version:         strconv.FormatInt(v.Version, 10),
		Kind:            v.Kind,
		Name:            v.Name,
		Standard:        v.Standard,
		Grade:           v.Grade,
		CapacityDry:     v.CapacityDry,
		CapacityService: v.CapacityService,
		EveryDistance:   v.EveryDistance,
		EveryMonths:     intText(v.EveryMonths),
		Source:          v.Source,
		Page:            v.Page,
		Note:            v.Note,
	}
	return f
}

// ReadFluidSpecForm is the form as sent.
func ReadFluidSpecForm(v url.Values) FluidSpecForm {
	return FluidSpecForm{
		Version:         v.Get("version"),
		Kind:            v.Get("kind"),
		Name:            v.Get("name"),
		Standard:        v.Get("standard"),
		Grade:           v.Get("grade"),
		CapacityDry:     v.Get("capacity_dry"),
		CapacityService: v.Get("capacity_service"),
		EveryDistance:   v.Get("every_distance"),
		EveryMonths:     v.Get("every_months"),
		Source:          v.Get("source"),
		Page:            v.Get("page"),
		Note:            v.Get("note"),
	}
}

// FluidSpec reads what was typed, and notes in Errors what does not parse or does not hold.
func (f *FluidSpecForm) FluidSpec() garage.FluidSpec {
	var in fields
	v := garage.FluidSpec{
		Version:         version(f.Version),
		Kind:            strings.TrimSpace(f.Kind),
		Name:            strings.TrimSpace(f.Name),
		Standard:        strings.TrimSpace(f.Standard),
		Grade:           strings.TrimSpace(f.Grade),
		CapacityDry:     withUnit(f.CapacityDry, unit.Litre),
		CapacityService: withUnit(f.CapacityService, unit.Litre),
		EveryDistance:   strings.TrimSpace(f.EveryDistance),
		EveryMonths:     in.optionalInt("every_months", f.EveryMonths),
		Source:          strings.TrimSpace(f.Source),
		Page:            strings.TrimSpace(f.Page),
		Note:            strings.TrimSpace(f.Note),
	}
	f.Errors = in.with(v.Validate())
	return v
}

// Conflict sets the form beside what is stored.
func (f FluidSpecForm) Conflict(stored FluidSpecForm) []ConflictRow {
	return []ConflictRow{
		{Field: "What it is for", Yours: f.Kind, Stored: stored.Kind},
		{Field: "Name", Yours: f.Name, Stored: stored.Name},
		{Field: "Standard", Yours: f.Standard, Stored: stored.Standard},
		{Field: "Grade or class", Yours: f.Grade, Stored: stored.Grade},
		{Field: "Capacity, empty", Yours: f.CapacityDry, Stored: stored.CapacityDry},
		{Field: "Capacity, at a change", Yours: f.CapacityService, Stored: stored.CapacityService},
		{Field: "Change every", Yours: f.EveryDistance, Stored: stored.EveryDistance},
		{Field: "Or every", Yours: f.EveryMonths, Stored: stored.EveryMonths},
		{Field: "Document", Yours: f.Source, Stored: stored.Source},
		{Field: "Page", Yours: f.Page, Stored: stored.Page},
		{Field: "Note", Yours: f.Note, Stored: stored.Note},
	}
}

var fluidSpecLabels = []ui.Option{
	{Value: "kind", Text: "What it is for"},
	{Value: "name", Text: "Name"},
	{Value: "standard", Text: "Standard"},
	{Value: "grade", Text: "Grade or class"},
	{Value: "capacity_dry", Text: "Capacity, empty"},
	{Value: "capacity_service", Text: "Capacity, at a change"},
	{Value: "every_distance", Text: "Change every"},
	{Value: "every_months", Text: "Or every"},
	{Value: "source", Text: "Document"},
	{Value: "page", Text: "Page"},
	{Value: "note", Text: "Note"},
}

// FluidSpecFormView is the form of a fluid spec; the ID is zero for a new one.
type FluidSpecFormView struct {
	Base
	ID   garage.FluidSpecID
	Car  garage.Car
	Form FluidSpecForm
}

// Action is where the form is sent.
func (v FluidSpecFormView) Action() string {
	if v.ID == 0 {
		return route.FluidSpecs(v.Car.ID)
	}
	return route.FluidSpec(v.ID)
}

// BlankFluidSpecForm is the form of a new one.
func BlankFluidSpecForm() FluidSpecForm { return FluidSpecForm{Kind: garage.EngineOil} }

func fluidKinds() []ui.Option {
	var options []ui.Option
	for _, kind := range garage.FluidKinds {
		options = append(options, ui.Option{Value: kind, Text: kind})
	}
	return options
}

// FluidsView lists the fluids of a car.
type FluidsView struct {
	Base
	Car      garage.Car
	Tabs     []ui.Link
	Table    ui.TableData
	Cautions []string
}

// fluidTopics are what to mind with a kind of fluid.
var fluidTopics = map[string]cautions.Topic{
	garage.EngineOil: cautions.UsedOil, garage.GearOil: cautions.UsedOil, garage.BrakeFluid: cautions.Chassis, garage.Coolant: cautions.Cooling,
	garage.Refrigerant: cautions.Refrigerant,
}

// NewFluids lists the fluids of a car, with the opened bottles that could serve and those that must not.
func NewFluids(base Base, car garage.Car, specs []garage.FluidSpec, bottles []garage.Bottle, today garage.Date) FluidsView {
	v := FluidsView{Base: base, Car: car, Tabs: specTabs(car.ID, route.FluidSpecs(car.ID)), Table: ui.TableData{
		Caption: "Fluids", Quiet: true,
		Columns: []ui.Column{{Head: "Fluid", Lead: true}, {Head: "Takes"}, {Head: "Change"}, {Head: "Opened bottles"}},
	}}
	kinds := map[string]bool{}
	for _, f := range specs {
		kinds[f.Kind] = true
		v.Table.Rows = append(v.Table.Rows, []ui.Cell{
			{Text: f.Name, Href: route.FluidSpecEdit(f.ID), Sub: joined(" · ", f.Grade, f.Standard, brakeText(f), f.Note)},
			{Body: fluidPlates(f)},
			{Text: changeText(f)},
			{Body: openBottles(bottleLines(f, bottles, today))},
		})
	}
	said := map[cautions.Topic]bool{}
	for _, kind := range garage.FluidKinds {
		topic := fluidTopics[kind]
		if c, ok := cautions.For(topic); ok && kinds[kind] && !said[topic] {
			said[topic] = true
			v.Cautions = append(v.Cautions, c.Text)
		}
	}
	return v
}

// brakeText is what a grade of brake fluid promises at least.
func brakeText(f garage.FluidSpec) string {
	grade, err := tradefluid.ParseBrakeFluid(f.Grade)
	if f.Kind != garage.BrakeFluid || err != nil || grade.Dry == 0 {
		return ""
	}
	return "boils at " + strconv.Itoa(int(grade.Dry)) + " °C dry and " + strconv.Itoa(int(grade.Wet)) + " °C wet at least (" + grade.Standard + ")"
}

func capacityPlate(label, typed string, f garage.FluidSpec) ui.PlateData {
	p := ui.PlateData{Label: label, Source: sourceText(f.Source, f.Page), Small: true, Figures: []ui.Figure{{Value: typed}}}
	if v, err := unit.Parse[unit.VolumeKind](typed); err == nil {
		p.Figures = []ui.Figure{{Value: v.Number(), Unit: v.Unit().String()}}
	}
	return p
}

func changeText(f garage.FluidSpec) string {
	months := ""
	if f.EveryMonths != nil {
		months = countWords(*f.EveryMonths, "month", "months")
	}
	switch every := joined(" or ", f.EveryDistance, months); {
	case every == "":
		return ""
	case f.EveryDistance != "" && months != "":
		return "every " + every + ", whichever comes first"
	default:
		return "every " + every
	}
}

// BottleLine is an opened bottle beside a fluid of a car.
type BottleLine struct {
	Href, Name string
	Mood       ui.Mood
	Text       string
}

func bottleLines(f garage.FluidSpec, bottles []garage.Bottle, today garage.Date) []BottleLine {
	var lines []BottleLine
	for _, b := range bottles {
		if b.Kind != f.Kind {
			continue
		}
		line := BottleLine{Href: route.BottleEdit(b.ID), Name: joined(", ", b.Name, b.VolumeLeft)}
		line.Mood, line.Text = bottleState(b, today)
		if err := b.Serves(f); err != nil {
			line.Mood, line.Text = ui.Blocked, "not for this: "+garage.TradeSentence(err)
		}
		lines = append(lines, line)
	}
	return lines
}

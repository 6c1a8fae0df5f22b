package garage

import (
	"strings"
	"time"

	"axlestand/internal/trade/fluid"
	"axlestand/internal/trade/interval"
	"axlestand/internal/trade/unit"
)

// FluidKinds lists what a fluid is for; the trade's rules of grades and of mixing go by it.
var FluidKinds = []string{EngineOil, GearOil, BrakeFluid, Coolant, Refrigerant, OtherFluid}

// The kinds of fluid.
const (
	EngineOil   = "engine oil"
	GearOil     = "gear oil"
	BrakeFluid  = "brake fluid"
	Coolant     = "coolant"
	Refrigerant = "refrigerant"
	OtherFluid  = "other"
)

// FluidSpecID names a fluid spec.
type FluidSpecID int64

// FluidSpec is what a car takes of a fluid, as printed in a document.
type FluidSpec struct {
	ID              FluidSpecID
	Version         int64
	CarID           CarID
	Kind            string
	Name            string
	Standard        string // ACEA C3-16
	Grade           string // 5W-30, DOT 4
	CapacityDry     string // of the empty system: 4.8 l
	CapacityService string // at a change
	EveryDistance   string // 15 000 km
	EveryMonths     *int
	Source          string // document; empty when nobody knows
	Page            string
	Note            string
	DeletedAt       *time.Time
}

// Validate says which fields do not hold.
func (f FluidSpec) Validate() error {
	var e FieldErrors
	e.fluid(f.Kind, f.Name, f.Standard, f.Grade)
	dry := e.volume("capacity_dry", f.CapacityDry)
	service := e.volume("capacity_service", f.CapacityService)
	if !dry.IsZero() && !service.IsZero() && service.Compare(dry) > 0 {
		e.Add("capacity_service", "A change takes no more than the empty system.")
	}
	if f.EveryDistance != "" {
		every, err := unit.Parse[unit.DistanceKind](f.EveryDistance)
		e.trade("every_distance", err)
		if err == nil && every.Value() <= 0 {
			e.Add("every_distance", "More than 0, or nothing.")
		}
		e.line("every_distance", f.EveryDistance)
	}
	if f.EveryMonths != nil && (*f.EveryMonths < 1 || *f.EveryMonths > 600) {
		e.Add("every_months", "From 1 to 600 months.")
	}
	e.source(f.Source, f.Page)
	e.text("note", f.Note)
	return e.Err()
}

// fluid checks what a fluid is called by, with the grammars of its kind.
func (e *FieldErrors) fluid(kind, name, standard, grade string) {
	oneOf(e, "kind", kind, FluidKinds)
	e.name("name", name)
	e.line("standard", standard)
	e.line("grade", grade)
	switch {
	case kind == EngineOil && grade != "":
		_, err := fluid.ParseViscosity(grade)
		e.trade("grade", err)
	case kind == BrakeFluid && grade != "":
		_, err := fluid.ParseBrakeFluid(grade)
		e.trade("grade", err)
	}
	if kind == EngineOil && strings.HasPrefix(strings.ToUpper(standard), "ACEA") {
		_, err := fluid.ParseACEA(standard)
		e.trade("standard", err)
	}
}

func (e *FieldErrors) volume(field, typed string) unit.Volume {
	if typed == "" {
		return unit.Volume{}
	}
	v, err := unit.Parse[unit.VolumeKind](typed)
	e.trade(field, err)
	if err == nil && v.Value() <= 0 {
		e.Add(field, "More than 0, or nothing.")
	}
	return v
}

// BottleID names an opened bottle.
type BottleID int64

// Bottle is a fluid that was opened and not used up.
type Bottle struct {
	ID          BottleID
	Version     int64
	Kind        string
	Name        string
	Standard    string
	Grade       string
	OpenedOn    Date
	VolumeLeft  string // 0.4 l
	KeepsMonths *int   // once opened; nil when nobody says
	Place       string
	Note        string
	DeletedAt   *time.Time
}

// Validate says which fields do not hold.
func (b Bottle) Validate() error {
	var e FieldErrors
	e.fluid(b.Kind, b.Name, b.Standard, b.Grade)
	if b.OpenedOn.IsZero() {
		e.Add("opened_on", "Note the day it was opened.")
	}
	e.volume("volume_left", b.VolumeLeft)
	if b.KeepsMonths != nil && (*b.KeepsMonths < 1 || *b.KeepsMonths > 600) {
		e.Add("keeps_months", "From 1 to 600 months.")
	}
	e.line("place", b.Place)
	e.text("note", b.Note)
	return e.Err()
}

// OldFrom is the day from which the fluid counts as old, and whether that has come; known is false where nobody says how long
// it keeps. A day of opening that is yet to come is refused for opened_on.
func (b Bottle) OldFrom(today Date) (from Date, old, known bool, err error) {
	months := 1
	if b.KeepsMonths != nil {
		months = *b.KeepsMonths
	}
	judged, err := fluid.OpenBottle(interval.Date(b.OpenedOn), interval.Date(today), months)
	if err != nil {
		return Date{}, false, false, FieldErrors{"opened_on": TradeSentence(err)}.Err()
	}
	if b.KeepsMonths == nil {
		return Date{}, false, false, nil
	}
	return Date(judged.WarnFrom), judged.Old, true, nil
}

// Serves says why a bottle must not be used where a spec asks for a fluid; nil where nothing speaks against it that is known.
func (b Bottle) Serves(f FluidSpec) error {
	switch f.Kind {
	case BrakeFluid:
		asked, err := fluid.ParseBrakeFluid(f.Grade)
		if err != nil {
			return nil
		}
		offered, err := fluid.ParseBrakeFluid(b.Grade)
		if err != nil {
			return err
		}
		return fluid.FillBrake(asked, offered, false)
	case EngineOil:
		asked, err := fluid.ParseACEA(f.Standard)
		if err != nil {
			return nil
		}
		offered, err := fluid.ParseACEA(b.Standard)
		if err != nil {
			return err
		}
		return offered.Replaces(asked)
	}
	return nil
}

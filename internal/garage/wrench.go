package garage

import (
	"cmp"
	"errors"
	"time"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/torque"
	"axlestand/internal/trade/unit"
)

// WrenchID names a torque wrench.
type WrenchID int64

// Wrench is a torque wrench that the owner has. Low, High and Graduation are in its Unit.
type Wrench struct {
	ID           WrenchID
	Version      int64
	Name         string
	Unit         string
	Low          float64
	High         float64
	Graduation   *float64 // from one mark to the next; nil for one that shows tenths
	Accuracy     *float64 // in per cent, by its certificate; nil for what the standard allows
	Length       string   // from the centre of its drive to the mark of its grip: 400 mm
	CalibratedOn *Date
	Clicks       int // since then
	Note         string
	DeletedAt    *time.Time
}

// wrenchFields are the names of package torque's values in the form.
var wrenchFields = map[string]string{"mark": "graduation"}

// Validate says which fields do not hold.
func (w Wrench) Validate() error {
	var e FieldErrors
	e.name("name", w.Name)
	_, err := unit.ParseUnit[unit.TorqueKind](w.Unit)
	e.trade("unit", err)
	if w.Length != "" {
		length, err := unit.Parse[unit.LengthKind](w.Length)
		e.trade("length", err)
		if err == nil && (length.In(unit.Mm) < 10 || length.In(unit.Mm) > 3000) {
			e.Add("length", "A wrench is from 10 mm to 3 m long.")
		}
	}
	if w.Graduation != nil && !(*w.Graduation > 0) {
		e.Add("graduation", "More than 0, or nothing.")
	}
	if w.Accuracy != nil && !(*w.Accuracy > 0) {
		e.Add("accuracy", "More than 0, or nothing.")
	}
	if w.Clicks > 100_000_000 {
		e.Add("clicks", "No wrench lasts that long.")
	}
	if wrong, ok := errors.AsType[*input.Error](w.Torque().Check()); ok {
		e.Add(cmp.Or(wrenchFields[wrong.Field], wrong.Field), wrong.Sentence)
	}
	e.text("note", w.Note)
	return e.Err()
}

// Torque is the wrench as package torque knows it.
func (w Wrench) Torque() torque.Wrench {
	u, err := unit.ParseUnit[unit.TorqueKind](w.Unit)
	if err != nil {
		u = unit.Nm
	}
	t := torque.Wrench{Key: int64(w.ID), Name: w.Name, Low: u.Of(w.Low), High: u.Of(w.High), Clicks: w.Clicks}
	if w.Graduation != nil {
		t.Mark = u.Of(*w.Graduation)
	}
	if w.Accuracy != nil {
		t.Off = *w.Accuracy / 100
	}
	t.Length, _ = unit.Parse[unit.LengthKind](w.Length)
	if w.CalibratedOn != nil {
		t.Calibrated = w.CalibratedOn.In(time.UTC)
	}
	return t
}

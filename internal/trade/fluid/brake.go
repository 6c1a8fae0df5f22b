package fluid

import (
	"cmp"
	"slices"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Base is what a brake fluid is made of. Different bases must never meet.
type Base string

// The bases.
const (
	Glycol   Base = "glycol ether, borate"
	Silicone Base = "silicone"
	Mineral  Base = "mineral oil"
)

// BrakeFluid is a grade or class with what its standard asks for at least or at most. Zero is a limit that is not given.
type BrakeFluid struct {
	Name     string  // as written on the bottle: DOT 4, ISO 4925 class 6
	Standard string  // where the limits come from
	Base     Base    // what it may be mixed with
	Colour   string  // empty where the standard is not cited for it
	Dry      Celsius // least boiling point of new fluid
	Wet      Celsius // least boiling point with 3.7 % of water
	ColdMax  int     // most viscosity at −40 °C, mm²/s; also what makes a class thin enough for quick brake control
	HotMin   float64 // least viscosity at 100 °C, mm²/s
	Memory   bool    // the limits are from memory of the standard
}

const (
	fmvss116 = "49 CFR 571.116 (FMVSS 116)"
	iso4925  = "ISO 4925"
)

// lowViscosity is the most at −40 °C of the classes made for quick brake control: classes 6 and 7.
const lowViscosity = 750

var brakeFluids = []BrakeFluid{
	{Name: "DOT 3", Standard: fmvss116, Base: Glycol, Colour: "colourless to amber", Dry: 205, Wet: 140, ColdMax: 1500, HotMin: 1.5},
	{Name: "DOT 4", Standard: fmvss116, Base: Glycol, Colour: "colourless to amber", Dry: 230, Wet: 155, ColdMax: 1800, HotMin: 1.5},
	{Name: "DOT 5", Standard: fmvss116, Base: Silicone, Colour: "purple", Dry: 260, Wet: 180, ColdMax: 900, HotMin: 1.5},
	{Name: "DOT 5.1", Standard: fmvss116, Base: Glycol, Colour: "colourless to amber", Dry: 260, Wet: 180, ColdMax: 900, HotMin: 1.5},
	{Name: "Mineral oil", Standard: fmvss116, Base: Mineral, Colour: "green"},
	{Name: "ISO 4925 class 3", Standard: iso4925, Base: Glycol, Dry: 205, Wet: 140, ColdMax: 1500, Memory: true},
	{Name: "ISO 4925 class 4", Standard: iso4925, Base: Glycol, Dry: 230, Wet: 155, ColdMax: 1500, Memory: true},
	{Name: "ISO 4925 class 5-1", Standard: iso4925, Base: Glycol, Dry: 260, Wet: 180, ColdMax: 900, Memory: true},
	{Name: "ISO 4925 class 6", Standard: iso4925, Base: Glycol, Dry: 250, Wet: 165, ColdMax: 750, Memory: true},
	{Name: "ISO 4925 class 7", Standard: iso4925, Base: Glycol, Dry: 260, Wet: 180, ColdMax: 750, Memory: true},
}

// BrakeFluids lists the grades and classes.
func BrakeFluids() []BrakeFluid { return slices.Clone(brakeFluids) }

// String is the name.
func (f BrakeFluid) String() string { return f.Name }

// LowViscosity says that the class is made thin for quick brake control; such a system keeps such a class.
func (f BrakeFluid) LowViscosity() bool { return f.ColdMax > 0 && f.ColdMax <= lowViscosity }

// ParseBrakeFluid reads a grade or class as written on a bottle: "DOT 4", "dot5.1", "ISO 4925 class 5-1", "class 6",
// "mineral oil". The error is an [*input.Error] for "fluid".
func ParseBrakeFluid(typed string) (BrakeFluid, error) {
	squeezed := squeeze(typed)
	for _, f := range brakeFluids {
		name := squeeze(f.Name)
		if squeezed == name || f.Standard == iso4925 && squeezed == strings.TrimPrefix(name, "ISO4925") {
			return f, nil
		}
	}
	return BrakeFluid{}, input.Wrong("fluid", "Write the grade or class as on the bottle: DOT 3, DOT 4, DOT 5, DOT 5.1, ISO 4925 class 3, 4, 5-1, 6 or 7, or mineral oil.")
}

// squeeze takes out blanks and capitals' difference; points and hyphens tell DOT 5.1 from class 5-1 and stay.
func squeeze(s string) string {
	return strings.ToUpper(strings.Join(strings.Fields(s), ""))
}

// Refusal says why two fluids, or a fluid and a car, must not come together, as a plain sentence.
type Refusal struct {
	Reason string
}

// Error is the sentence.
func (e *Refusal) Error() string { return e.Reason }

// Mix is what a mixture of two brake fluids promises: the lower grade, and of each limit the worse.
type Mix struct {
	Grade   string // the one of the two that boils earlier
	Dry     Celsius
	Wet     Celsius
	ColdMax int // may be more than that of the lower grade: the other one may be thicker in the cold
}

// MixBrake says what two fluids in one system promise together. Common practice, no source. Fluids of different bases are refused
// with a [*Refusal].
func MixBrake(a, b BrakeFluid) (Mix, error) {
	if err := sameBase(a, b); err != nil {
		return Mix{}, err
	}
	lower := a
	if cmp.Or(cmp.Compare(b.Dry, a.Dry), cmp.Compare(b.Wet, a.Wet), cmp.Compare(a.ColdMax, b.ColdMax), strings.Compare(b.Name, a.Name)) < 0 {
		lower = b
	}
	return Mix{Grade: lower.Name, Dry: min(a.Dry, b.Dry), Wet: min(a.Wet, b.Wet), ColdMax: max(a.ColdMax, b.ColdMax)}, nil
}

func sameBase(a, b BrakeFluid) error {
	if a.Base == b.Base {
		return nil
	}
	return &Refusal{Reason: a.Name + " (" + string(a.Base) + ") and " + b.Name + " (" + string(b.Base) + ") must never meet: they do not mix, and seals are made for one of them."}
}

// FillBrake says whether a system that asks for one fluid may be filled with another. It refuses, with a [*Refusal], another base,
// silicone in a system with ABS that was made for glycol, a lower boiling point, and a thicker fluid where a low-viscosity
// class is asked for. Common practice, no source; the maker's own word goes before it.
func FillBrake(asked, offered BrakeFluid, abs bool) error {
	if abs && asked.Base == Glycol && offered.Base == Silicone {
		return &Refusal{Reason: "Silicone fluid does not belong into an ABS made for glycol: it holds air bubbles."}
	}
	if err := sameBase(asked, offered); err != nil {
		return err
	}
	switch {
	case offered.Dry < asked.Dry || offered.Wet < asked.Wet:
		return &Refusal{Reason: "Never step down: " + offered.Name + " boils earlier than " + asked.Name + "."}
	case asked.LowViscosity() && !offered.LowViscosity():
		return &Refusal{Reason: "The car asks for a low-viscosity class; " + offered.Name + " is too thick in the cold."}
	}
	return nil
}

// Water is how a measured share of water in the brake fluid is judged.
type Water string

// The judgements. Common practice, no source.
const (
	WaterLow      Water = "low"
	WaterMarginal Water = "marginal: change soon"
	WaterHigh     Water = "change now"
)

// JudgeWater judges a measured share of water: below 2 % low, from 3 % on too much. Common practice, no source.
func JudgeWater(water Share) (Water, error) {
	if err := input.Within("water", water, 0, 1, "Give the share of water from 0 to 100 %."); err != nil {
		return "", err
	}
	switch percent := water.Percent(); {
	case percent >= 3-slack:
		return WaterHigh, nil
	case percent >= 2-slack:
		return WaterMarginal, nil
	}
	return WaterLow, nil
}

// slack keeps 3 % typed as 0.03 from falling short of 3 by the machine's rounding.
const slack = 1e-9

// What is usual with brake fluid. Common practice, no source: defaults to edit, not rules.
const (
	BrakeChangeMonths    = 24         // from change to change
	BrakeOpenedMonths    = 12         // an opened bottle
	BrakeExchangeFrom    = Litres(.8) // for a full exchange
	BrakeExchangeTo      = Litres(1.2)
	BleedOrder           = "Far from the master cylinder to near, unless the maker's or the ABS's own order differs."
	BrakeFluidPrecaution = "Brake fluid attacks paint and eyes."
)

// Bottle is what is known of an opened bottle's age.
type Bottle struct {
	WarnFrom interval.Date
	Old      bool // today is on or after that day
}

// OpenBottle says from when a bottle opened on a day is to be warned about, after so many months; of brake fluid after
// [BrakeOpenedMonths]. What was opened on a day to come, or without a day, is refused for "opened".
func OpenBottle(opened, today interval.Date, months int) (Bottle, error) {
	switch {
	case opened.IsZero():
		return Bottle{}, input.Wrong("opened", "Note the day it was opened; without it the fluid counts as old.")
	case today.Before(opened):
		return Bottle{}, input.Wrong("opened", "That day has not come yet.")
	case months <= 0:
		return Bottle{}, input.Wrong("months", "Give the months that it keeps, at least one.")
	}
	from := opened.AddMonths(months)
	return Bottle{WarnFrom: from, Old: !today.Before(from)}, nil
}

package garage

import (
	"time"

	"axlestand/internal/trade/unit"
	"axlestand/internal/trade/wheel"
)

// WheelSeats lists how a bolt or nut sits in a wheel.
var WheelSeats = []string{string(wheel.SeatUnknown), string(wheel.SeatCone), string(wheel.SeatBall), string(wheel.SeatFlat)}

// RequiredWheelID names a car's requirement of its wheels.
type RequiredWheelID int64

// RequiredWheel is what a car's papers ask of its tyres, and what its hubs ask of its wheels.
type RequiredWheel struct {
	ID          RequiredWheelID
	Version     int64
	CarID       CarID
	Size        string
	LoadIndex   int
	SpeedSymbol string
	Bolts       *int
	Circle      *float64 // mm
	Bore        *float64 // mm
	Seat        string
	Source      string
	Page        string
	DeletedAt   *time.Time
}

// Validate says which fields do not hold.
func (w RequiredWheel) Validate() error {
	var e FieldErrors
	_, err := wheel.ParseSize(w.Size)
	e.trade("size", err)
	_, err = wheel.LoadOf(w.LoadIndex)
	e.trade("load_index", err)
	_, err = wheel.SpeedOf(w.SpeedSymbol)
	e.trade("speed_symbol", err)
	if w.Bolts != nil && (*w.Bolts < 3 || *w.Bolts > 8) {
		e.Add("bolts", "From 3 to 8.")
	}
	e.within("circle", w.Circle, 80, 230, "From 80 to 230 mm.")
	e.within("bore", w.Bore, 40, 180, "From 40 to 180 mm.")
	oneOf(&e, "seat", w.Seat, WheelSeats)
	e.source(w.Source, w.Page)
	return e.Err()
}

func (e *FieldErrors) within(field string, v *float64, low, high float64, sentence string) {
	if v != nil && !(*v >= low && *v <= high) {
		e.Add(field, sentence)
	}
}

// WheelSetID names a set of wheels.
type WheelSetID int64

// WheelSet is a set of wheels that the owner has for a car.
type WheelSet struct {
	ID        WheelSetID
	Version   int64
	CarID     CarID
	Name      string
	Tyre      string // 205/55 R16 91V
	Rim       string // 7J×16 ET42 5×112 57.1
	Seat      string
	Turns     *float64 // that a bolt goes in
	DateCode  string
	Tread     string // 5 mm
	Place     string
	Mounted   bool
	Note      string
	DeletedAt *time.Time
}

// Validate says which fields do not hold. That a tyre is made in the future, only [WheelSet.CheckMade] can say.
func (s WheelSet) Validate() error {
	var e FieldErrors
	e.name("name", s.Name)
	_, err := wheel.ParseSize(s.Tyre)
	e.trade("tyre", err)
	if s.Rim != "" {
		_, err := wheel.ParseRim(s.Rim)
		e.trade("rim", err)
	}
	oneOf(&e, "seat", s.Seat, WheelSeats)
	e.within("turns", s.Turns, 0, 99, "From 0 to 99 turns.")
	if s.DateCode != "" {
		_, err := wheel.ParseDateCode(s.DateCode, time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC))
		e.trade("date_code", err)
	}
	if s.Tread != "" {
		tread, err := unit.Parse[unit.LengthKind](s.Tread)
		e.trade("tread", err)
		if err == nil && tread.In(unit.Mm) > 30 {
			e.Add("tread", "No car's tyre has that much.")
		}
	}
	e.line("place", s.Place)
	e.text("note", s.Note)
	return e.Err()
}

// CheckMade refuses a date code of a week that is yet to come.
func (s WheelSet) CheckMade(today Date) error {
	if s.DateCode == "" {
		return nil
	}
	var e FieldErrors
	_, err := wheel.ParseDateCode(s.DateCode, today.In(time.UTC))
	e.trade("date_code", err)
	return e.Err()
}

// Fit says what speaks against a set on its car, and what to look at. The requirement may be nil.
func (s WheelSet) Fit(need *RequiredWheel, today Date) []wheel.Finding {
	var found []wheel.Finding
	size, _ := wheel.ParseSize(s.Tyre)
	if need != nil {
		now, _ := wheel.ParseSize(need.Size)
		tyre, _ := wheel.FitTyre(size, wheel.Required{Load: need.LoadIndex, Speed: need.SpeedSymbol}, now)
		found = append(found, tyre...)
		if rim, err := wheel.ParseRim(s.Rim); err == nil {
			turns := 0.0
			if s.Turns != nil {
				turns = *s.Turns
			}
			found = append(found, wheel.FitRim(rim, wheel.Seat(s.Seat), need.hub(), turns)...)
		}
	}
	if tread, err := unit.Parse[unit.LengthKind](s.Tread); err == nil {
		worn, _ := wheel.CheckTread(tread)
		found = append(found, worn...)
	}
	if code, err := wheel.ParseDateCode(s.DateCode, today.In(time.UTC)); err == nil {
		found = append(found, code.CheckAge(today.In(time.UTC))...)
	}
	return found
}

func (w RequiredWheel) hub() wheel.Hub {
	hub := wheel.Hub{Seat: wheel.Seat(w.Seat)}
	if w.Bolts != nil {
		hub.Bolts = *w.Bolts
	}
	if w.Circle != nil {
		hub.Circle = unit.Mm.Of(*w.Circle)
	}
	if w.Bore != nil {
		hub.Bore = unit.Mm.Of(*w.Bore)
	}
	return hub
}

package vin

import (
	"fmt"
	"strings"
)

// yearCodes in the order of the years from 1980 (49 CFR 565.15(d)).
const yearCodes = "ABCDEFGHJKLMNPRSTVWXY123456789"

// firstYear is the year of the first code in the first cycle; a cycle has as many years as there are codes.
const firstYear = 1980

// Vehicle is what decides between the two cycles of model years.
type Vehicle string

// The kinds of vehicle.
const (
	UnknownVehicle Vehicle = ""
	LightVehicle   Vehicle = "light"            // a car or light truck up to 4536 kg, for the United States
	HeavyVehicle   Vehicle = "heavy or trailer" // heavier vehicles and trailers: place 7 decides nothing
)

// Years are the model years that place 10 may mean, the earliest first: none, one or two.
type Years struct {
	Years    []int
	Sentence string
}

// ModelYears reads the year code. One year is given only for a light vehicle for the United States, where place 7 tells the
// cycle; otherwise both are. A code that is none gives no year at all.
func (v VIN) ModelYears(vehicle Vehicle, market Market) Years {
	i := strings.IndexByte(yearCodes, v[9])
	if i < 0 {
		return Years{Sentence: fmt.Sprintf("Place 10 shows %c, which is no year code: the model year is unknown.", v[9])}
	}
	early, late := firstYear+i, firstYear+i+len(yearCodes)
	switch {
	case vehicle != LightVehicle || market != UnitedStates:
		sentence := fmt.Sprintf("Model year %d or %d.", early, late)
		if market != UnitedStates {
			sentence += " Outside North America this place may mean nothing."
		}
		return Years{Years: []int{early, late}, Sentence: sentence}
	case digit(rune(v[6])):
		return Years{Years: []int{early}, Sentence: fmt.Sprintf("Model year %d.", early)}
	}
	return Years{Years: []int{late}, Sentence: fmt.Sprintf("Model year %d.", late)}
}

// YearCode is the character that stands for a model year from 1980 to 2039.
func YearCode(year int) (byte, bool) {
	if year < firstYear || year >= firstYear+2*len(yearCodes) {
		return 0, false
	}
	return yearCodes[(year-firstYear)%len(yearCodes)], true
}

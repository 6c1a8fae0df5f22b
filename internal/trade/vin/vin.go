// Package vin reads vehicle identification numbers: their form, the check digit, the model year and the part of the world.
//
// Form: 17 characters, digits and capital letters without I, O and Q, the last four of them digits (ISO 3779, from memory).
// The first three name the maker; a 9 in third place means a maker of few cars, named further in places 12 to 14
// (49 CFR 565.15(a)). Cars from before 1981 and small series carry other, mostly shorter numbers: those are kept as they
// are and never called wrong.
//
// Check digit, place 9: every character has a value, the values are weighted and summed, the sum modulo 11 is the digit and
// 10 is X (49 CFR 565.15(c)). It must hold on cars for the United States and is customary in Canada and China; Europe
// asks for none (ISO 3779, from memory), so that a digit that does not fit is a fault only where one is expected.
//
// Model year, place 10: a cycle of 30 years without I, O, Q, U, Z and 0 (49 CFR 565.15(d)). Light vehicles for the United
// States say by place 7 which cycle is meant: a digit until 2009, a letter from 2010 (49 CFR 565.15(b), 565.25(b)).
// Elsewhere the place may mean nothing.
//
// Out of scope: makers' names and what they put into places 4 to 8, countries below the six parts of the world, and
// whether a number was ever given out. A number that begins with 0 belongs to no part of the world (ISO 3780, from
// memory), so that it cannot be that of a real car: all examples begin with it.
package vin

import (
	"fmt"
	"strings"
)

// VIN is a number of the standard form, in capitals.
type VIN string

// Length of a standard number.
const Length = 17

// LengthError says that a number has not 17 characters. It is no fault: older cars and small series have such numbers.
type LengthError struct {
	Number string // as normalised
}

// Error is a plain sentence.
func (e *LengthError) Error() string {
	return fmt.Sprintf("This is not a 17-character VIN: it has %d. Cars from before 1981 and small series have other numbers.", len([]rune(e.Number)))
}

// CharacterError says which character a VIN cannot have at its place.
type CharacterError struct {
	Place     int    // from 1
	Character rune   // as typed, in capitals
	Meant     string // the whole number with what was probably meant; empty where nothing suggests itself
}

// Error is a plain sentence.
func (e *CharacterError) Error() string {
	var why string
	switch {
	case strings.ContainsRune("IOQ", e.Character):
		why = "a VIN has no I, O or Q"
	case e.Place > serialFrom && letter(e.Character):
		why = "the last four are digits"
	default:
		why = "a VIN has only digits and letters"
	}
	sentence := fmt.Sprintf("%q cannot be in place %d: %s.", e.Character, e.Place, why)
	if e.Meant != "" {
		sentence += " Perhaps it is " + e.Meant + "."
	}
	return sentence
}

// serialFrom is the place after which there are digits only.
const serialFrom = 13

func letter(c rune) bool { return c >= 'A' && c <= 'Z' }

func digit(c rune) bool { return c >= '0' && c <= '9' }

// Normalise puts a number into capitals and takes out blanks and hyphens. It changes nothing else.
func Normalise(typed string) string {
	return strings.Map(func(c rune) rune {
		switch c {
		case ' ', '\t', '\n', '\r', '\u00a0', '\u202f', '-', '\u2010', '\u2011', '\u2013':
			return -1
		}
		if c >= 'a' && c <= 'z' {
			return c - 'a' + 'A'
		}
		return c
	}, typed)
}

// Parse reads a number as typed. A number of another length is a [*LengthError], a character that cannot be there a
// [*CharacterError], which may suggest what was meant; nothing is replaced silently. The check digit is not looked at.
func Parse(typed string) (VIN, error) {
	number := []rune(Normalise(typed))
	if len(number) != Length {
		return "", &LengthError{Number: string(number)}
	}
	for i, c := range number {
		if !allowed(i+1, c) {
			return "", &CharacterError{Place: i + 1, Character: c, Meant: meant(number)}
		}
	}
	return VIN(number), nil
}

func allowed(place int, c rune) bool {
	return digit(c) || letter(c) && place <= serialFrom && !strings.ContainsRune("IOQ", c)
}

// meant replaces the letters that are easily taken for digits. It is empty if that does not make a VIN.
func meant(number []rune) string {
	likely := []rune(strings.NewReplacer("O", "0", "I", "1", "Q", "0").Replace(string(number)))
	for i, c := range likely {
		if !allowed(i+1, c) {
			return ""
		}
	}
	return string(likely)
}

// World are the first three characters: the world manufacturer identifier.
func (v VIN) World() string { return string(v[:3]) }

// Maker is the whole of what names the maker: the first three characters, with 12 to 14 for a maker of few cars.
func (v VIN) Maker() string {
	if v.FewCars() {
		return string(v[:3] + v[11:14])
	}
	return v.World()
}

// FewCars says that the maker builds few cars a year.
func (v VIN) FewCars() bool { return v[2] == '9' }

// Serial are the last four digits.
func (v VIN) Serial() string { return string(v[serialFrom:]) }

// Region is the part of the world that the first character was given to.
type Region string

// The parts of the world, ISO 3780, from memory.
const (
	Unassigned   Region = "" // 0: no real car
	Africa       Region = "Africa"
	Asia         Region = "Asia"
	Europe       Region = "Europe"
	NorthAmerica Region = "North America"
	Oceania      Region = "Oceania"
	SouthAmerica Region = "South America"
)

// Region is where the maker is registered, which need not be where the car was sold. Part of 7 was later given to North
// America; it is counted under Oceania here, where only the market that the owner states decides on the check digit.
func (v VIN) Region() Region {
	switch c := v[0]; {
	case c >= 'A' && c <= 'H':
		return Africa
	case c >= 'J' && c <= 'R':
		return Asia
	case c >= 'S' && c <= 'Z':
		return Europe
	case c >= '1' && c <= '5':
		return NorthAmerica
	case c == '6' || c == '7':
		return Oceania
	case c == '8' || c == '9':
		return SouthAmerica
	}
	return Unassigned
}

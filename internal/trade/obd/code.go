package obd

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
)

// Code is a trouble code as a car sends it.
type Code struct {
	Number     uint16 // letter, digit and three hexadecimal digits
	Failure    uint8  // the byte for the type of failure
	HasFailure bool
}

// System is what the letter of a code stands for.
type System string

// The systems, in the order of their two bits.
const (
	Powertrain System = "P"
	Chassis    System = "C"
	Body       System = "B"
	Network    System = "U"
)

var systems = [4]System{Powertrain, Chassis, Body, Network}

var codeForm = regexp.MustCompile(`^([PCBU])([0-3][0-9A-F]{3})(?:-([0-9A-F]{2}))?$`)

// ParseCode reads a code as typed, "P0171" or "c1234-1F"; small letters and blanks do not matter. The error is an
// [*input.Error] for "code".
func ParseCode(typed string) (Code, error) {
	m := codeForm.FindStringSubmatch(strings.ToUpper(strings.Join(strings.Fields(typed), "")))
	if m == nil {
		return Code{}, input.Wrong("code", "Write a code like P0171 or P0171-1F: P, C, B or U, a digit from 0 to 3, and three digits or letters up to F.")
	}
	low, err := strconv.ParseUint(m[2], 16, 16)
	if err != nil {
		return Code{}, input.Wrong("code", "That is no code.")
	}
	c := Code{Number: uint16(low)}
	for i, s := range systems {
		if string(s) == m[1] {
			c.Number |= uint16(i) << 14
		}
	}
	if m[3] != "" {
		failure, err := strconv.ParseUint(m[3], 16, 8)
		if err != nil {
			return Code{}, input.Wrong("code", "The two characters after the hyphen are no number.")
		}
		c.Failure, c.HasFailure = uint8(failure), true
	}
	return c, nil
}

// FromBytes is the code of two bytes as a car sends them.
func FromBytes(high, low byte) Code { return Code{Number: uint16(high)<<8 | uint16(low)} }

// String is the code as written.
func (c Code) String() string {
	s := fmt.Sprintf("%s%04X", c.System(), c.Number&0x3fff)
	if c.HasFailure {
		s += fmt.Sprintf("-%02X", c.Failure)
	}
	return s
}

// System is what the letter stands for.
func (c Code) System() System { return systems[c.Number>>14] }

// digit is the first one, third the first of the hexadecimal digits.
func (c Code) digit() uint16 { return c.Number >> 12 & 3 }

func (c Code) third() uint16 { return c.Number >> 8 & 15 }

// Control is who defines a code.
type Control string

// Who defines codes.
const (
	Standard Control = "SAE and ISO"
	Maker    Control = "the maker"
	Reserved Control = "reserved by SAE and ISO"
)

// Control says who defines the code: SAE J2012, from memory.
func (c Code) Control() Control {
	switch digit := c.digit(); {
	case c.System() == Powertrain && digit == 3 && c.third() <= 3, c.System() == Powertrain && digit == 1:
		return Maker
	case c.System() == Powertrain, digit == 0:
		return Standard
	case digit == 3:
		return Reserved
	}
	return Maker
}

// areas of P0 and P2 codes by their third character: SAE J2012, from memory.
var areas = [16]string{
	"fuel and air", "fuel and air", "fuel and air, injectors", "ignition and misfire", "auxiliary emission control", "speed, idle and other inputs",
	"computer and outputs", "transmission", "transmission", "transmission", "hybrid drive", "hybrid drive", "hybrid drive",
}

// Area is the part of the powertrain that a code of SAE and ISO is about. Of other codes, of P3 and where it is not known it is empty.
func (c Code) Area() string {
	if c.System() != Powertrain || c.Control() != Standard || c.digit() == 3 {
		return ""
	}
	return areas[c.third()]
}

// Text is what the code says, in our own words. A maker's code has none, nor has one that is not in the list.
func (c Code) Text() (string, bool) {
	if c.Control() != Standard {
		return "", false
	}
	text, known := texts[c.String()[:5]]
	return text, known
}

// ExcludeFirst lists what to rule out before a code is taken at its word. A weak catalyst is a symptom far more often than the cause.
func (c Code) ExcludeFirst() []string {
	if c.Number != 0x0420 && c.Number != 0x0430 {
		return nil
	}
	return []string{"misfire", "a leak in the exhaust before the sensors", "running lean or rich", "the sensor itself"}
}

package obd

import (
	"math"

	"axlestand/internal/trade/input"
)

// Trim is a fuel trim in percent: what the engine adds to the fuel that it had reckoned.
type Trim float64

// TotalTrim puts the short and the long term trim together: (1 + short)(1 + long) − 1. They multiply; adding them falls short. Trims
// outside ±100 % are refused for "short" and "long".
func TotalTrim(short, long Trim) (Trim, error) {
	const range100 = "Give the trim in percent, from \u2212100 to 100."
	if err := input.First(input.Within("short", short, -100, 100, range100), input.Within("long", long, -100, 100, range100)); err != nil {
		return 0, err
	}
	return ((1+short/100)*(1+long/100) - 1) * 100, nil
}

// The limits of the total trim in percent. Common practice, no source.
const (
	TrimNormal      Trim = 8  // up to here, either way
	TrimInvestigate Trim = 10 // above here look for the cause; at 15 to 25 the car sets a code
)

// JudgeTrim judges a total trim. Common practice, no source.
func JudgeTrim(total Trim) Verdict {
	switch size := Trim(math.Abs(float64(total))); {
	case size <= TrimNormal+1e-9:
		return Good
	case size <= TrimInvestigate+1e-9:
		return Watch
	}
	return Fault
}

// TrimPattern is what a bank's total trim is at idle and at 2500 rpm.
type TrimPattern struct {
	Idle, Fast Trim
}

// trimCauses are what the patterns point to. Common practice, no source.
var trimCauses = map[string][]string{
	"leak":     {"a vacuum leak: it counts less the more air flows"},
	"delivery": {"fuel delivery", "the fuel filter"},
	"lean":     {"an air-mass meter that reads too little", "fuel pressure too low", "an exhaust leak before the sensor"},
	"rich":     {"a leaking injector", "fuel pressure too high", "a purge valve that stays open", "fuel in the oil", "an air-mass meter that reads too much"},
	"bank":     {"an air leak on that bank", "an injector on that bank", "the sensor of that bank"},
}

// Points lists what the trims of the banks point to, for one bank or two; nothing where they are all in order or fit no pattern. Common
// practice, no source. No bank, or more than two, is refused for "banks".
func Points(banks ...TrimPattern) ([]string, error) {
	if len(banks) == 0 || len(banks) > 2 {
		return nil, input.Wrong("banks", "Give the trims of one bank or of two.")
	}
	for _, b := range banks {
		if math.IsNaN(float64(b.Idle)) || math.IsNaN(float64(b.Fast)) {
			return nil, input.Wrong("banks", "Give the trims in percent.")
		}
	}
	first := banks[0].kind()
	if len(banks) == 1 || first == banks[1].kind() {
		return trimCauses[first], nil
	}
	if first == "" || banks[1].kind() == "" {
		return trimCauses["bank"], nil
	}
	return nil, nil
}

// kind compares with the limit from which a cause is looked for.
func (p TrimPattern) kind() string {
	sign := func(t Trim) int {
		switch {
		case t > TrimInvestigate:
			return 1
		case t < -TrimInvestigate:
			return -1
		}
		return 0
	}
	switch [2]int{sign(p.Idle), sign(p.Fast)} {
	case [2]int{1, 0}:
		return "leak"
	case [2]int{0, 1}:
		return "delivery"
	case [2]int{1, 1}:
		return "lean"
	case [2]int{-1, -1}:
		return "rich"
	case [2]int{0, 0}:
		return ""
	}
	return "other"
}

package obd

import (
	"cmp"
	"slices"

	"axlestand/internal/trade/input"
)

// Smoke is what is filled with smoke.
type Smoke string

// What is filled.
const (
	Intake       Smoke = "intake"
	VapourSystem Smoke = "fuel vapour system"
)

// The pressures in kPa. Common practice, no source: 0.5 to 1.5 psi, and about 14 inches of water.
const (
	IntakeSmokeFrom = 3.4
	IntakeSmokeTo   = 10.3
	VapourSmoke     = 3.5
)

// SmokeCaution goes before a smoke test.
const SmokeCaution = "Cold engine. The fuel vapour system only with inert gas and a tester made for it. Boost pipes are a test of their own, with their own regulator."

// JudgeSmoke says whether a pressure in kPa is right: too much is a fault, since it opens leaks that were none; too little is to watch. Common
// practice, no source. What is no pressure is refused for "pressure", something else to fill for "system".
func JudgeSmoke(what Smoke, kPa float64) (Verdict, error) {
	if err := input.Within("pressure", kPa, 0, 1000, "Give the pressure in kPa, zero or more."); err != nil {
		return "", err
	}
	from, to := IntakeSmokeFrom, IntakeSmokeTo
	switch what {
	case Intake:
	case VapourSystem:
		from, to = 0, VapourSmoke
	default:
		return "", input.Wrong("system", "Choose the intake or the fuel vapour system.")
	}
	switch {
	case kPa > to:
		return Fault, nil
	case kPa < from:
		return Watch, nil
	}
	return Good, nil
}

// SwapResult is what it tells when one part was moved from where the fault was to where there was none, and nothing else.
type SwapResult string

// The results.
const (
	PartBad     SwapResult = "the fault went along: the part is bad"
	PartGood    SwapResult = "the fault stayed: the part is good"
	SwapUnclear SwapResult = "both or neither: it comes and goes, or a connector was disturbed; do it again"
)

// SwapHow is how a swap test is done. Common practice, no source.
const SwapHow = "Move one part only, clear the codes, run it under the same conditions, and put it back before the next swap: coil, then plug, then injector, then compression. With the lamp flashing, stop: the misfire ruins the catalyst."

// Swap reads a swap test: whether the fault now shows where the suspect came from and where it went.
func Swap(atOldPlace, atNewPlace bool) SwapResult {
	switch {
	case atOldPlace == atNewPlace:
		return SwapUnclear
	case atNewPlace:
		return PartBad
	}
	return PartGood
}

// Check is a check that could be made.
type Check struct {
	ID     string
	Chance int   // that it finds the cause, in thousandths
	Cost   int64 // money, time and dismantling, in one unit of the caller's
}

// OrderChecks sorts checks by chance over cost, the highest first (Mitten 1960, least-cost testing sequence, from memory). Checks
// of the same worth stay in the order given. A chance outside 0 to 1000 is refused for "chance", a cost below zero or above a
// million million for "cost".
func OrderChecks(checks []Check) ([]Check, error) {
	if err := validChecks(checks); err != nil {
		return nil, err
	}
	ordered := slices.Clone(checks)
	slices.SortStableFunc(ordered, func(a, b Check) int {
		byWorth := cmp.Compare(int64(b.Chance)*a.Cost, int64(a.Chance)*b.Cost)
		if a.Cost == 0 || b.Cost == 0 { // what costs nothing comes first, whatever its chance: products of zero cannot tell
			return cmp.Or(cmp.Compare(min(a.Cost, 1), min(b.Cost, 1)), cmp.Compare(b.Chance, a.Chance))
		}
		return byWorth
	})
	return ordered, nil
}

const mostCost = 1_000_000_000_000

func validChecks(checks []Check) error {
	for _, c := range checks {
		if c.Chance < 0 || c.Chance > 1000 {
			return input.Wrong("chance", "Give the chance from 0 to 100 %.")
		}
		if c.Cost < 0 || c.Cost > mostCost {
			return input.Wrong("cost", "Give the cost, zero or more.")
		}
	}
	return nil
}

// ExpectedCost is what it costs on average, in thousandths of the unit of Cost, to go through checks in this order until one finds
// the cause, where just one of them can. It refuses like [OrderChecks], and chances of more than 100 % together for "chance".
func ExpectedCost(checks []Check) (int64, error) {
	if err := validChecks(checks); err != nil {
		return 0, err
	}
	left, sum := 1000, int64(0)
	for _, c := range checks {
		sum += c.Cost * int64(left)
		if left -= c.Chance; left < 0 {
			return 0, input.Wrong("chance", "Together the chances cannot be more than 100 %.")
		}
	}
	return sum, nil
}

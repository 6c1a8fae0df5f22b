package obd

import (
	"slices"

	"axlestand/internal/trade/input"
)

// CompressionHow is how compression is measured so that the cylinders can be compared. Common practice, no source.
const CompressionHow = "Warm engine, all plugs out, throttle open, ignition and fuel off, a good battery, the same 4 to 6 strokes for each cylinder."

// CompressionLimits are the ratios of lowest to highest below which to watch and below which it is a fault. Limits from 0.70 to 0.90 are
// published; the car's own goes first.
type CompressionLimits struct {
	Watch, Fault float64
}

// DefaultCompression are the limits used where the owner sets none. Common practice, no source.
var DefaultCompression = CompressionLimits{Watch: .90, Fault: .75}

// Compression is what a set of readings says.
type Compression struct {
	Ratio      float64
	Verdict    Verdict
	Low        []int    // places of the cylinders, from 0, that are below the watch limit of the highest
	Neighbours [][2]int // two low ones side by side: the gasket between them
}

// JudgeCompression compares the cylinders of one bank, given in the order in which they stand. The unit does not matter as long as it is
// one. Fewer than two readings are refused for "readings", one that is no pressure too, limits out of order for "limits".
func JudgeCompression(readings []float64, limits CompressionLimits) (Compression, error) {
	if len(readings) < 2 {
		return Compression{}, input.Wrong("readings", "It takes two cylinders or more to compare.")
	}
	for _, r := range readings {
		if err := input.Positive("readings", r, "A reading must be more than zero; a cylinder that builds up nothing is a fault without a ratio."); err != nil {
			return Compression{}, err
		}
	}
	if !(0 < limits.Fault && limits.Fault <= limits.Watch && limits.Watch <= 1) {
		return Compression{}, input.Wrong("limits", "The limits are ratios up to 1, the one for a fault not above the one to watch.")
	}
	highest := slices.Max(readings)
	c := Compression{Ratio: slices.Min(readings) / highest, Verdict: Good}
	switch {
	case c.Ratio < limits.Fault:
		c.Verdict = Fault
	case c.Ratio < limits.Watch:
		c.Verdict = Watch
	}
	for i, r := range readings {
		if r/highest >= limits.Watch {
			continue
		}
		if n := len(c.Low); n > 0 && c.Low[n-1] == i-1 {
			c.Neighbours = append(c.Neighbours, [2]int{i - 1, i})
		}
		c.Low = append(c.Low, i)
	}
	return c, nil
}

// WetResult is what a little oil in the cylinder tells.
type WetResult string

// The results. Common practice, no source.
const (
	Rings WetResult = "it rises: rings or bore"
	Valve WetResult = "unchanged: valve or head gasket"
)

// WetOil is how much oil goes into the cylinder.
const WetOil = "About 15 ml of engine oil."

// wetRise is the rise from which it counts as one: more than two readings of one cylinder differ. Common practice, no source.
const wetRise = 1.10

// JudgeWet compares a cylinder's reading dry and with oil. Readings that are no pressure are refused for "dry" and "wet".
func JudgeWet(dry, wet float64) (WetResult, error) {
	err := input.First(
		input.Positive("dry", dry, "Give the reading without oil, more than zero."),
		input.Positive("wet", wet, "Give the reading with oil, more than zero."),
	)
	switch {
	case err != nil:
		return "", err
	case wet/dry >= wetRise:
		return Rings, nil
	}
	return Valve, nil
}

// LeakDownHow says where a leak is heard. Common practice, no source.
const LeakDownHow = "Listen at the intake (inlet valve), the exhaust (exhaust valve), the oil filler (rings) and the radiator (head gasket)."

// JudgeLeakDown judges a leak-down test in percent: below 10 good, to 20 watch, above that a fault. Common practice, no source; some say
// 25. What is no share is refused for "leak".
func JudgeLeakDown(percent float64) (Verdict, error) {
	if err := input.Within("leak", percent, 0, 100, "Give the leak from 0 to 100 %."); err != nil {
		return "", err
	}
	switch {
	case percent < 10:
		return Good, nil
	case percent <= 20:
		return Watch, nil
	}
	return Fault, nil
}

// Package obd reads trouble codes and judges the readings that go with them: readiness, fuel trim, compression, leak-down,
// battery, charging, voltage drop, quiescent current, smoke test pressure, and the swap test.
//
// Codes: a letter for the system, a digit 0 to 3, three hexadecimal digits and, where the car gives it, a byte for the type of
// failure (SAE J2012, ISO 15031-6, from memory). In two bytes the top two bits are the letter, the next two the digit. Who
// defines a code follows from its first characters. A generic text is given only for codes that SAE and ISO define; what a
// maker's code means, only the maker says. The texts are ours; the numbers are those of the open code table of python-OBD, but
// P0601 to P0606, P0700 and U0100, which are from memory.
//
// Fuel trim: (1 + short)·(1 + long) − 1. Compression: the lowest over the highest. Charge of a rested flooded battery at 25 °C: on a
// straight line between 11.89, 12.06, 12.24, 12.45 and 12.65 V. Days to half flat: 0.5·Ah·1000/(mA·24). The order of checks: chance
// over cost, highest first (Mitten 1960, least-cost testing sequence, from memory).
//
// The limits by which readings are judged are common practice without a source: defaults that the maker's own figures go before.
//
// Out of scope: talking to the car, live data, makers' codes, batteries other than flooded ones beyond whether they are full,
// absolute compression, which does not compare across engines, and ignition or injection waveforms.
package obd

// Verdict is how a reading is judged.
type Verdict string

// The verdicts.
const (
	Good  Verdict = "good"
	Watch Verdict = "watch"
	Fault Verdict = "fault"
)

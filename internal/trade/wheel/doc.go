// Package wheel holds what the trade knows of wheels and tyres: sizes as moulded on the sidewall, diameter and circumference,
// load index and speed symbol, what another size does to the speedometer and the gearing, offset and spacers, and the age
// from the date code.
//
// Formulas and sources:
//
//   - Diameter D = 2·W·A/100 + 25.4·R, UN Regulation 30 (from memory). Circumference π·D; the rolling circumference 3.05·D for
//     radial and 2.99·D for diagonal tyres is an [Estimate] (ETRTO, DIN 75020-5, from memory). Ratios of two sizes do not
//     depend on it.
//   - Load index and speed symbol: UN Regulation 30, annex 4 (from memory).
//   - Speedometer: 0 ≤ V1 − V2 ≤ 0.1·V2 + 4 km/h, V1 shown and V2 true, UN Regulation 39, 5.3.
//   - Gearing: n = v/3.6·60·i_g·i_t·i_f/U.
//   - Offset: from the hub's face, inwards 25.4·J/2 + ET, outwards 25.4·J/2 − ET; a spacer takes its thickness off ET; the
//     track grows by 2·(ET_old − ET_new).
//   - Date code: week and year, 49 CFR 574.5: week 1 is the first full week from Sunday to Saturday (from memory).
//
// Range: widths 105 to 355 mm, aspects 20 to 85 %, rims 10 to 24 in, 16.5 in and 390 mm; load index 60 to 126.
//
// Out of scope: sizes in inches of width, flotation sizes, motorcycle and lorry tyres, pressures. What fits by these figures
// may still touch the body or a brake, and need not be allowed on the road: the car's papers say what is.
package wheel

// Estimate stands with every rolling circumference and with what follows from it.
const Estimate = "estimate"

// Legal stands with every comparison.
const Legal = "Figures alone do not show that a wheel clears body and brakes or is allowed on the road. Follow the car's papers and local law."

// Finding is one result of a check in a sentence for the owner.
type Finding struct {
	Code string // one word for programs
	Text string
	Bad  bool // it does not fit; else something to look at
}

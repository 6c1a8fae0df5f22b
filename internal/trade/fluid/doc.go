// Package fluid holds what standards say of brake fluid, engine oil and coolant, and the arithmetic of changing them.
//
// Brake fluid: least boiling points dry and wet, viscosities, base and colour of the grades of 49 CFR 571.116 (FMVSS 116) and,
// from memory, of the classes of ISO 4925; which may meet in one system and what the mix then promises.
//
// Engine oil: the grammar of viscosity grades and the limits of SAE J300 (2015). A grade's range of viscosity at 100 °C includes its
// lower and excludes its upper end. Sequences of ACEA are opaque codes: none replaces another.
//
// Coolant: freezing points of ethylene glycol by volume, 10 to 60 %, T = exp(Σ a·(x − 0.35)^i) − 273.15 °C, after ASHRAE's data as
// fitted in CoolProp (AEG), and by mass, up to 56 %, the same form about 0.28 after Melinder 2010 (CoolProp, MEG2); of propylene
// glycol by volume, 10 to 50 %, between the values of Lange's Handbook, 15th edition, table 5.13. Above these shares the curve turns
// back, so nothing is said there.
//
// Changing: what to drain for a wanted share, x = V·(wanted − now)/(fill − now); what is left of the old after n changes of d
// litres out of V, (1 − d/V)^n; what to draw off before an additive.
//
// Out of scope: a maker's own approvals and fill quantities, which go before everything here; the boiling point of coolant; gear
// oil and automatic transmission fluid, which have no common scale; oil analysis; and refrigerant, which is work for a certified
// technician: letting it off is prohibited (Clean Air Act, sections 608 and 609), kinds are never mixed.
package fluid

// Litres is a volume.
type Litres float64

// Millilitres is a small volume.
type Millilitres float64

// Celsius is a temperature.
type Celsius float64

// Share is a part of the whole, from 0 to 1.
type Share float64

// Percent makes a share of a percentage.
func Percent(p float64) Share { return Share(p / 100) }

// Percent is the share in hundredths.
func (s Share) Percent() float64 { return float64(s) * 100 }

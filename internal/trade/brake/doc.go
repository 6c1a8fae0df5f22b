// Package brake compares two set-ups of disc brakes: torque, balance between the axles, which axle locks first, pedal travel.
// It explains what a change of parts does; it designs and releases nothing. Every result carries [Disclaimer].
//
// Formulas and sources:
//
//   - Line pressure p = F·i·servo/A_mc, clamp force N = p·A with A the area of the pistons on one side of the disc, torque of
//     one wheel T = 2·µ·p·A·r (two faces), by statics.
//   - Effective radius: ⅔·(r_o³ − r_i³)/(r_o² − r_i²) with uniform pressure, (r_o + r_i)/2 with uniform wear (Shigley; Limpert,
//     Brake Design and Safety, chapter 2; from memory).
//   - Axle loads at a deceleration of z·g: N_f = W·(ψ_f + z·h/L), N_r = W·(1 − ψ_f − z·h/L), UN Regulation 13-H, annex 5 (from
//     memory).
//   - Installed front share φ = k_f/(k_f + k_r), k = 2·µ·A·r/r_tyre, at equal pressure and without a valve; the rear locks first
//     above z = (φ − ψ_f)·L/h.
//   - Pedal travel goes with the area of all pistons that one circuit moves, counted on one side: a floating caliper's piston
//     makes twice the way that each of a fixed one's makes.
//   - Adhesion: UN Regulation 13-H (from memory): z ≥ 0.1 + 0.7·(k − 0.2) for k from 0.2 to 0.8, and the rear's adhesion curve
//     not above the front's.
//
// Range: pad friction 0.2 to 0.8, static front share 0.3 to 0.75, h/L up to 0.4; pistons 20 to 80 mm, effective radii 60 to
// 200 mm, master bores 12 to 40 mm.
//
// Out of scope: drums, proportioning valves, ABS and ESP, heat, flexing of calipers and hoses, and the law.
package brake

// Disclaimer stands with every result.
const Disclaimer = "This does not show that the car is road legal or safe; ABS/ESP is calibrated for original parts."

// Finding is one result of a check in a sentence for the owner.
type Finding struct {
	Code string // one word for programs
	Text string
	Bad  bool // outside its limit; else something to look at
}

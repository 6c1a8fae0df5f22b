// Package torque holds what the trade knows of tightening: stages as a maker prints them, threads and property classes, the
// setting of a wrench with an extension on it, which of the owner's wrenches to take, orders of tightening, and bounds that
// catch a wrong unit.
//
// The maker's figure for the joint comes before everything here. What this package reckons is *generic, not for this joint*:
// it says [Label] with every such figure, and it has none for brakes, steering, wheels, airbags, threads in aluminium,
// gaskets, hollow bolts and plugs ([Limits]).
//
// Formulas and sources:
//
//   - Extension: S = T·L/(L + E·cos θ), the balance of moments about the bolt. For a rigid attachment in the plane of the
//     wrench and a hand square to it at the mark of the grip. See [Setting].
//   - Torque and tension, short form: T = K·d·F. K scatters by a third even on one kind of surface; it explains, it does not
//     specify. K from common practice, Bickford & Nassar, Handbook of Bolts and Bolted Joints, chapter 2, and Shigley table
//     8-15 (both from memory).
//   - Stress area: A_s = π/4·(d − 0.9382·P)²; proof and tensile strength of classes 8.8, 10.9 and 12.9 from ISO 898-1:2013.
//     Inch threads π/4·(d − 0.9743/n)², ASME B1.1 (from memory).
//   - Generic maximum: the form of VDI 2230-1:2015 at 90 % of the yield strength, M5 to M16, friction 0.08 to 0.24; head and
//     hole diameters of ISO 4014 and ISO 273 medium (from memory). Within 1 % of the tables printed there.
//   - Stretch by angle in a rigid joint: ΔL = P·A/360.
//   - Wrenches: ISO 6789-1:2017 type II class A (from memory): ±4 % over 10 N m, ±6 % up to 10 N m, calibrated every 12 months
//     or 5000 clicks.
//
// Out of scope: joint stiffness, embedding, fatigue, other materials than steel, Whitworth and British threads.
package torque

// Label stands with every figure that is reckoned and not the maker's.
const Label = "generic, not for this joint"

// Limits says what a generic figure must not be used for.
const Limits = "An upper limit for steel in steel. Not for aluminium threads, gaskets, hollow bolts and plugs, nor for the fasteners of brakes, steering, wheels and airbags."

// Warning is something to look at before going on; it stops nobody.
type Warning struct {
	Code string // one word for programs
	Text string // a sentence for the owner
}

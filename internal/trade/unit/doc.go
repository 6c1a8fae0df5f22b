// Package unit holds the quantities of the trade: torque, length, distance, volume, pressure, temperature, speed, mass,
// force, angle and power, each a type of its own, so that a length cannot be handed over as a torque.
//
// A [Quantity] keeps the number and the unit as they were written, trailing zeros included; converting makes a new one and
// is for display and for arithmetic, never for keeping. Converting forth and back and storing the result is what this
// package is meant to prevent.
//
// Formula. Every unit but those of temperature is a factor times the unit in which its kind is reckoned. °C = (°F − 32)/1.8
// and °C = K − 273.15.
//
// Source. The factors follow from exact definitions: 1 in = 0.0254 m, 1 ft = 0.3048 m, 1 mile = 1609.344 m,
// 1 lb = 0.45359237 kg, g_n = 9.80665 m/s², 1 US gal = 231 in³, 1 imp gal = 4.54609 l (NIST SP 811, appendix B, from memory).
// Inch of mercury and inch of water are the conventional ones: 13.5951 g/cm³ and 1 g/cm³ at g_n. They are written as
// constant expressions, which Go evaluates exactly; only the result is rounded, once.
//
// Range. Amounts up to 1e9 in any unit. Torque, volume, speed, mass, distance and power are never below zero.
//
// How it is typed. A point or a comma before the decimals; thousands set apart by spaces or not at all. What can be read in
// two ways is refused with the two readings: "1,250 l", "120.000 km", "3 gal", "40 lb" for a torque.
//
// How it is shown. [Quantity.Show] rounds a converted value to what a wrench, a bottle or a gauge can show (common practice,
// no source). A value shown in the unit in which it was written is not rounded.
//
// Out of scope: differences of temperature, gauge against absolute pressure, and units of electricity.
package unit

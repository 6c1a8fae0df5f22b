// Package deposit follows core deposits: the last day on which an old unit can go back, its way from the car to the seller, and where the
// money is.
//
// Window: last day = day of the basis + n, that day included. The basis is the purchase, the shipping, the delivery or the invoice; n counts
// calendar days, business days, that is Monday to Friday without the holidays given, or whole months. Sellers differ in all of it, so
// the terms are kept with every deposit: 14 days, 30 days from the purchase or the delivery, 30 business days, 40 days, 6 and 12 months
// are all met in practice (common practice, no source).
//
// Ledger: at all times the deposits paid = refunded + forfeited + outstanding, for each unit and together. A deposit is its own
// line of money: not the part's cost until it is forfeited. Entries are never changed; one that was wrong is reversed by another.
//
// Source: computed.
//
// Range: up to a thousand units of one deposit, windows up to ten years.
//
// Out of scope: which units a seller accepts; holidays, which the owner gives; tax on a deposit that is forfeited.
package deposit

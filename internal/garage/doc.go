// Package garage is the domain: one owner's cars, jobs, parts and sessions, in the words of the trade.
//
// Values here are plain data with a Validate method. Nothing here reads a clock, a database or a request.
// Every mutable record carries a Version: who saves an old one is refused with [ErrConflict].
// Amounts of money are in minor units (cents) of the Currency beside them; times of day are minutes since midnight
// in the garage's zone; dates are [Date], instants time.Time.
package garage

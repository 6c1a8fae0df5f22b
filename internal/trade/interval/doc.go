// Package interval says when maintenance is due, by distance or by time, whichever comes first; how far a car runs in a day; what a
// component has run; and it counts in days and whole months.
//
// Formula: due = min(last day ⊕ months, day of the reading + ⌈(last + interval − now)/rate⌉ days), where ⊕ keeps the day of the month or
// takes the month's last one. Days on which the car is laid up do not count for the distance. The rate is the slope of a
// least-squares line through the readings of the last year in use, further back where these cover less than 14 days; it is kept
// in whole metres a day. A component has run what the car has since it was fitted, and what it had run before.
//
// Source: computed. What is usual, in Defaults and in the limits on readings, is common practice without a source: defaults to edit.
//
// Range: readings up to ten million kilometres, dates up to a hundred years ahead. A rate of less than half a metre a day is none.
//
// Out of scope: engine hours, the condition of a part, a maker's own display of the next service, and trips: a car driven every
// day for a mile needs its oil sooner, which only the owner can say.
package interval

// Package planner turns what a garage knows (sessions, cars, parts, jobs) into
// a dated plan in which every job is either placed, with the reason why it is
// not earlier, or blocked, with what would free it.
//
// # Times
//
// Inside, all times are whole minutes since 1970 in UTC; civil days are days
// of the problem's zone, 23 to 25 hours long. A bare date is the end of that
// day for arrivals, for a car's arrives, for due and for the end of windows
// and road needs; it is the start of the day for not_before and for the start
// of windows and road needs. Answers carry the zone's offset.
//
// Plans use the likely value for minutes and days. Arrivals and order leads
// use the value at the asked confidence on the line through (0.1, low), (0.5,
// likely), (0.9, high), level outside, rounded up to whole days (or minutes
// where an hour is given), and never before now.
//
// Outside work of n days ends with the n-th whole working day of the vendor
// after it began: given away on Friday afternoon and taking two days it is
// back on Tuesday at 24:00.
package planner

// Package planner turns what a garage knows (sessions, cars, parts, jobs) into
// a dated plan in which every job is either placed, with the reason why it is
// not earlier, or blocked, with what would free it.
//
// # Problem
//
// A Problem is read from a problem file by ReadProblem or built in Go; Plan
// answers it. The planning itself is done by package schedule, which knows no
// cars; this package gives it numbers and gives its result back in the owner's
// words.
//
// # Times
//
// Inside, all times are whole minutes since 1970 in UTC; civil days are days
// of the problem's zone, 23 to 25 hours long. A bare date is the end of that
// day for arrivals, for a car's arrives, for due and for the end of windows
// and road needs; it is the start of the day for not_before, pin and the start
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
//
// # Definitions
//
//   - A visit is a run of work on one car, on the lift or off it throughout. It
//     is ended when its work is done, when nothing more can be done on the car
//     in this session or the next, when another car needs the lift, and before
//     a road need. Ending it closes what may not stay open and then does the
//     closing work. A car whose visit is over stands on the lift until another
//     one needs the place or it is needed on the road; going on with it then
//     costs no change.
//   - A car that was worked on off the lift ends that visit before it is put
//     onto the lift.
//   - An access may stay open only if all that it is inside may.
//   - The opening and changing before a stage is done in the session in which
//     the stage can start, directly before it; only a rest of a session too
//     short for what follows may pass between. They are done in the rest of a
//     session before that where the stage then starts earlier.
//   - A stage done without the hands ("hands": 0) runs beside other work.
//   - Saved minutes count, for every opening and every closing work, what each
//     job after the first would have paid for its own.
//   - What an immobile span is ended by: the next until stage of its job, else
//     an until stage of the nearest job on the car that comes after it. A car
//     that is immobile now is freed by the first until stage that ends no other
//     span.
//   - A job that would make its car immobile for good, because nothing after it
//     ends that, is blocked, and so are the jobs that wait for it.
//   - A job whose pin cannot be kept is not placed before the pinned session's
//     start; when it no longer fits after that it is blocked.
//
// # Guarantees
//
// Sessions, hands, helpers, lift, tools, prerequisites, parts, access, closing
// work, immobile spans, road needs and not_before hold in every plan. Nothing
// is begun that could not be ended in time: the engine looks ahead before each
// decision. Every job is placed whole or blocked with at least one reason.
// Equal problems give equal bytes, whatever the order of their lists. A pin is
// kept when its job can start in its session with everything before it done
// first; what would break it waits.
//
// What is wrong at now and cannot be put right in time is left as it is and
// stands in nobody's way: a car that is open, owed or immobile with no session
// long enough before its road need or before the sessions end, that arrives
// too late, or that no stage ever frees. Nothing further is opened on such a
// car.
//
// # Questions
//
// What can be asked about a plan is answered by planning again with something
// otherwise, so that answers are differences of plans and nothing else: Frees
// says what gains most, Unblock the least that frees a blocked job, Force what
// it costs to have a job in a session of the owner's choice. Chain goes back
// from a job's end through the reasons, Shortfalls proves that due dates cannot
// be met, OrderBy lists what to order by when, Chances how sure it all is;
// ReadyNow and Fits say what can be done at once. Explain asks them all.
//
// # Chances
//
// Chances carries a plan out many times, with minutes and arrivals drawn
// between low, likely and high, and counts how often each job is done in time.
// LearnMinutes and LearnArrivals learn from what was done how estimates turn
// out; Learned puts what was learnt of minutes into a problem.
//
// # Non-goals
//
// The plan is not the best there is: several orders are tried and the best is
// kept, by priced lateness, then weighted completion, then overhead. Jobs that
// must be left out for want of time or parts are not chosen cleverly.
// The plan itself looks at no uncertainty beyond the asked confidence; see
// Chances.
//
// # Complexity
//
// A decode looks at each ready job once per decision, and plays the ending of
// open work for those it tries: about n decisions of O(n) cheap looks and a few
// plays of what is open, which is little. Memory is linear in the problem.
package planner

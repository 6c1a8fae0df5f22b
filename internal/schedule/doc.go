// Package schedule is a pure solver: it puts activities on a time line. It
// knows no cars, no clock and no chance; all it handles are whole minutes and
// indexes, and equal problems have equal results.
//
// # The model
//
// A Job is a row of stages done one after another on one Subject, placed whole
// or not at all. A stage is done either on the bench or on the clock:
//
//   - A bench stage is hands-on. There is one pair of hands, so bench work is
//     a unary resource in the pieces of a calendar, the Sessions. A bench stage
//     may pause where a session ends and goes on in the next that it can use;
//     no piece is shorter than MinPiece unless the whole stage is. Some bench
//     stages are done by helpers alone and run beside the hands.
//   - A clock stage runs through from its start: paint dries, a vendor works.
//
// What holds a stage back:
//
//   - Links between jobs, finish to start, with a gap.
//   - Tools, renewable resources with a capacity and with windows in which they
//     exist. Bench stages take them for their pieces, clock stages throughout.
//     Helpers are a tool whose capacity each session sets.
//   - The Place, on which some subjects stand. A stage that needs it has its
//     subject there from its first to its last minute; to put one there costs
//     Move minutes.
//   - Setups: families that stages share, opened before the first and closed
//     after the last, nested by Inside. Some Stay open when the subject leaves
//     the place.
//   - Closings, done once for all that called for them when a visit ends.
//   - Holds: from one stage to another a subject is stuck and keeps the place.
//     One hold begins only when everything up to its end can follow without
//     waiting for material, and only one subject is stuck on the place at once.
//   - Blackouts, in which a subject must be whole: off the place, closed, not
//     stuck, nothing on it begun and not ended.
//   - Materials, used up in the order in which jobs begin: what is on hand,
//     then dated lots, then what other jobs free, then orders.
//   - Releases, pins to a session, and ties to the stage before.
//
// # The method
//
// An order of the jobs drives a decoder, which goes forward in time and takes
// nothing back. At each point it lays out the next stage of the first job in
// the order that can begin now, with everything that must come before it
// (another subject's visit ended, the subject moved, setups opened), and looks
// ahead: with only what is begun left to do, can every hold be ended, every
// setup closed and every closing done before the blackouts and before the last
// session is over, and can every pin still be kept? If not, the next job is
// tried. So the bench is always in a state from which everything can be put
// right, and what must be done for that is done when nothing else may be.
//
// Solve decodes the orders of several rules and keeps the best result: first by
// the cost of lateness, then by a score of weighted completion and overhead
// (trace.go has the weights). From there a search goes on over sequences of
// blocks, a block being what one decision places. A draft reckons what a sequence
// comes to without looking ahead, block by block, each as early as it can be after
// the one before it; some hundred of them take no longer than a decode. What it
// reckons can be carried out as it is: a draft notes what the hands do, stroke by
// stroke. Only where strokes do not tell everything, since something is done
// beside the hands or a pin was given up, the sequence is decoded instead.
//
// First a few beams build sequences from their start. After every block a handful
// of beginnings is kept, by what each of them would come to if what is left
// followed as in the best sequence so far: when jobs would end at the pace of the
// hands, with everything that is still wanted opened once and every subject moved
// once; how late what is due would be if it were done next; and what would leave
// the session in which it was before. That puts work together into visits, for
// which moves would have to go up before they go down. Then moves shift blocks
// about, with what has to stay before or after them, and a sequence that is dearer
// by a little is gone on from at first, and less and less so (simulated
// annealing). Of a very long sequence only a window is moved about at a time.
//
// Visits are ended by one of two habits, and both are looked at: as soon as nothing
// can be done on the subject in this session or the next, or when no later work
// needs what is open. Overhead is done as soon as the hands are free for it, so
// that it takes the rest of a session. Neither habit leaves a subject in pieces on
// which nothing is left to do, though that would cost less.
//
// A small problem is not left to habits. Its schedules are rows of strokes: every
// block, every move of a subject, every opening, closing and closing work is one,
// wherever it stands. All rows are gone through, stroke by stroke and forward in
// time, as labels: of two beginnings that have done the same, one that is nowhere
// later and no dearer covers the other, and what cannot end below the best cost
// known is left. So a subject stays in pieces as long as that costs nothing, and
// the next one is opened in the rest of a session. Where labels know all there is
// to a problem, the row that is left is the best there is; what they do not know
// (work beside the hands, tools taken by the clock) is left to going through the
// sequences of blocks.
//
// A schedule made before is a thing of value: its owner has arranged for it. So
// two are made, one free and one that stays as near to it as may be, and the
// free one is taken only when it is clearly better.
//
// What is decoded may leave a job without a place that in the end would have been
// in nobody's way. So the schedule kept is looked through once more, and such a
// job is put where it fits as it is. Then each stage that stands later than
// anything pushes it is moved up, with what leads up to it, as long as nothing else
// has to change for that and it ends no later.
//
// Overhead costs the same whenever it is done. So what leads up to work is put off
// to the last session that has room for it in the finished schedule, and what ends
// work is brought forward to the first: no subject is in pieces, or on the place,
// for longer than that takes.
//
// Jobs that were begun and could not be ended are left out and the rest is
// decoded again, which happens near the end of the sessions only: there, a job
// is begun only when it can be ended beside the others.
//
// # Projects
//
// A problem of clock stages on tools and nothing else, linked and with gaps,
// releases, due dates, capacities and windows, is a resource-constrained project
// and has a method of its own. A list of the tasks is turned into a schedule by
// serial generation, forward or backward in time; to generate a schedule's tasks
// the other way in the order of their ends justifies it, which makes no job that
// counts later and many schedules shorter. A genetic search breeds such lists, up
// to Problem.Effort schedules, and stops where a bound (critical path, work over
// capacity) is met; all schedules of up to a dozen tasks are gone through by
// enumeration where that is soon done. What has something with no place at all
// is left to the decoder.
//
// # Reasons
//
// Every placed stage carries the last thing that pushed its start; every job
// without a place carries its causes. A job that is passed over at a decision
// notes why. In the finished schedule each start is held against the stage's own
// times, the hands and the sessions: the one of them that pushes it to its start
// is the reason. Where they do not account for it, it is what stood in the way
// when the stage was to be moved up, or else the note.
//
// # Files
//
// problem.go and trace.go are what goes in and out. prepare.go, hold.go and
// calendar.go work out what no decision changes. decode.go, try.go and
// commit.go are the decoder; state.go, lay.go and fit.go lay a decision out in
// time; lookahead.go, pin.go and endings.go look ahead; visit.go ends visits;
// ledger.go promises material; tool.go keeps tools; aside.go starts what needs
// no hands; pieces.go cuts stages into pieces; finish.go and blocked.go end a decode; gap.go and gap_lay.go
// place what was left over; earlier.go moves stages up, earlier_against.go says what
// speaks against that; shorten.go has subjects in pieces no longer than need be;
// reason.go tells the reasons. priority.go makes the orders, block.go the blocks;
// draft.go, draft_place.go and draft_visit.go reckon a sequence, beam.go builds
// sequences by what beam_outlook.go expects of them, search.go and search_move.go
// look for better ones, exact.go goes through all of them; label.go and label_*.go go
// through rows of strokes, which stroke.go carries out; solve.go puts it together;
// bound.go bounds the result.
// project.go recognises projects; project_profile.go keeps their tools,
// project_serial.go generates and justifies, project_search.go breeds,
// project_exact.go enumerates, project_bound.go says when to stop.
// simulate.go and simulate_*.go carry a schedule out when things turn out otherwise.
package schedule

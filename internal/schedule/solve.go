package schedule

import (
	"math"
	"slices"
)

// Solve places every job or says what keeps it from a place. Several orders
// are decoded and the best result is kept; equal problems have equal results.
func Solve(p *Problem) Result {
	in := prepare(p)
	if r, ok := in.solveProject(); ok {
		return r
	}
	in.free = true
	orders := in.orders()
	decodes, rounds, moves := in.budget(len(orders))
	before := in.sequenceBefore()
	if in.searches = 1; len(before) > 0 {
		in.searches = 2
	}
	free := rounds
	if in.Effort == 0 && in.searches > 1 { // most of what is quick is for what stays
		decodes, free = (decodes+1)/2, min(rounds, 1)
	}
	best := in.goThrough(in.improve(in.rescue(in.bestOf(orders[:decodes])), free, moves), free)
	if len(before) > 0 {
		in.free = false
		in.stayLate = best.result.Cost.Late / stayWorth
		stay := in.goThrough(in.improve(in.rescue(in.bestOf(in.asBefore(before, best.order.jobs))), max(1, rounds), moves), rounds)
		best.countMoved()
		if stay.result.Cost.Moved <= best.result.Cost.Moved && !best.result.Cost.clearlyLess(stay.result.Cost) {
			best = stay
		} else if back := in.improve(best, (rounds+1)/2, moves); back.result.Cost.clearlyLess(stay.result.Cost) {
			best = back // stays where that costs little
		}
	}
	best.fillGaps()
	for best.moveUp() && best.fillGaps() {
	}
	best.tellWhy()
	best.result.Decodes = in.decodes
	return best.result
}

// asBefore lists orders that keep to the schedule before: its sequence, with the
// hands idle where it has them idle; the same with the next job that can begin
// there; and the sequence that comes about when nothing is begun in an earlier
// session than before, so that what has become longer holds up nothing else.
// Each comes with either habit of ending visits: which one the schedule before
// had is not known.
func (in *instance) asBefore(seq, jobs []int) []order {
	strict := in.inSequence(seq, jobs)
	eager := strict
	eager.wait = false
	held := eager
	held.anchored = true
	out := []order{strict, eager, in.inSequence(in.sequenceOf(&in.decode(held).result), jobs)}
	for _, o := range out {
		o.patient = true
		out = append(out, o)
	}
	return out
}

// goThrough looks at all there is to a small instance, where it is to be searched
// at all: all rows of strokes or, where they do not tell everything, all
// sequences.
func (in *instance) goThrough(best *decoder, rounds int) *decoder {
	if rounds == 0 {
		return best
	}
	if in.labelled(best) {
		if d, all := in.strokeByStroke(best); all {
			return d
		}
	}
	return in.complete(best)
}

// mostLabels is how many beginnings of rows are tried, of two searches together
// where there are two.
const mostLabels = 40_000

// strokeByStroke goes through the rows of strokes of a small instance. It says
// whether it went through them all.
func (in *instance) strokeByStroke(best *decoder) (d *decoder, all bool) {
	s := newLabels(in, best, mostLabels/in.searches)
	all = s.run()
	sure := all && s.all && in.free && len(best.result.Unplaced) == 0
	if s.best == nil {
		best.result.Optimal = sure
		return best, all
	}
	d, ok := in.carryOut(s.row(), best)
	if !ok || !d.result.Cost.Less(best.result.Cost) {
		return best, false
	}
	d.result.Optimal = sure && d.result.Cost.Late == s.late && d.result.Cost.Score() == s.score
	return d, all
}

// complete goes through all sequences of a small instance, with either habit of
// ending visits.
func (in *instance) complete(best *decoder) *decoder {
	if len(in.sequenceOf(&best.result)) > exactBlocks {
		return best
	}
	all, least := true, best.result.Cost.inDraft()
	for _, patient := range []bool{false, true} {
		s := newSearch(in, &best.result, 0)
		if s.patient = patient; !s.look(0) {
			all = false
			continue
		}
		known := best.result.Cost.inDraft()
		if s.bestCost = known; !s.enumerate() {
			all = false
		}
		if !s.bestCost.Less(known) {
			continue
		}
		if s.bestCost.Less(least) {
			least = s.bestCost
		}
		dropped, why := best.lost(None)
		if d := in.decodeWithout(s.order(best.order.jobs), dropped, why); d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	best.result.Optimal = all && len(best.result.Unplaced) == 0 && in.sketched() && !least.Less(best.result.Cost.inDraft())
	return best
}

// bestOf decodes orders and keeps the best result.
func (in *instance) bestOf(orders []order) (best *decoder) {
	for _, o := range orders {
		if d := in.decode(o); best == nil || d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	return best
}

// improve searches from a schedule for better ones, round by round: many drafts,
// then the best of them decoded, from which the next round goes on when it is
// better.
func (in *instance) improve(best *decoder, rounds, moves int) *decoder {
	for r := range rounds {
		s := newSearch(in, &best.result, uint64(r))
		s.patient = best.order.patient != (r%3 == 1) // mostly the habit that did best so far
		if lo := s.windowOf(r, rounds); !s.look(lo) {
			continue
		}
		s.run(moves)
		dropped, why := best.lost(None)
		d := in.decodeUpTo(fewRounds, s.order(best.order.jobs), dropped, why)
		if d != nil && d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	return best
}

// fewRounds is how often a sequence is decoded without jobs that were begun and
// could not be ended: with more of them it is not worth it.
const fewRounds = 2

// windowOf is where the window of a round begins: they go over a long sequence
// from its start, each half over the one before, as far as there are rounds.
func (s *search) windowOf(round, rounds int) int {
	if len(s.seq) <= window+window/2 {
		return 0
	}
	return min(round%rounds*window/2, len(s.seq)-window)
}

// usualOrders is how many orders are decoded where nothing else is asked for:
// the last ones of the list seldom do best.
const usualOrders = 9

// budget is how many orders are decoded, how many rounds of search there are
// after that, and how many moves in each: as much as is quick.
func (in *instance) budget(orders int) (decodes, rounds, moves int) {
	blocks := min(len(in.blocks), window)
	rounds, moves = 7, min(1000, 100_000/max(1, blocks))
	if len(in.Jobs) > 300 {
		rounds = 2
	}
	if in.Effort == 0 {
		orders = min(orders, usualOrders)
	} else {
		orders = min(orders, in.Effort)
		rounds = in.Effort - orders
	}
	if blocks < 2 {
		rounds = 0
	}
	return orders, rounds, moves
}

// rescues is how many jobs without a place are tried in front of all others:
// fewer the more jobs there are, since a try takes longer then.
func (in *instance) rescues() int { return min(8, 300/max(1, len(in.Jobs))) }

// rescue tries jobs that found no place, though nothing they need is missing,
// in front of all others and without those that have no place either: a job
// may have waited for what in the end never came.
func (in *instance) rescue(best *decoder) *decoder {
	left := in.rescues()
	for j := 0; j < len(in.Jobs) && left > 0; j++ {
		if !best.crowdedOut(j) {
			continue
		}
		left--
		first := best.order
		first.jobs = in.withPrerequisites(append([]int{j}, first.jobs...))
		dropped, why := best.lost(j)
		for _, d := range []*decoder{in.decode(first), in.decodeWithout(best.order, dropped, why), in.decodeWithout(first, dropped, why)} {
			if d.result.Cost.Less(best.result.Cost) {
				best = d
			}
		}
	}
	return best
}

// lost lists the jobs without a place, with what kept them from it, but one and
// those that it keeps from a place.
func (d *decoder) lost(but int) (jobs []bool, why []Reason) {
	jobs, why = make([]bool, len(d.prog)), make([]Reason, len(d.prog))
	var helped []int
	if but != None {
		helped = d.in.following(but)
	}
	for _, u := range d.result.Unplaced {
		if u.Job == but || slices.Contains(helped, u.Job) || slices.ContainsFunc(u.Why, func(c Cause) bool {
			return c.Kind == ByLot || c.Of == but && (c.Kind == ByHarvest || c.Kind == ByChainJob)
		}) {
			continue
		}
		jobs[u.Job], why[u.Job] = true, u.Why[0].Reason
	}
	return jobs, why
}

// crowdedOut says whether a job has no place for want of time or room alone.
func (d *decoder) crowdedOut(j int) bool {
	if d.prog[j].done {
		return false
	}
	for _, u := range d.result.Unplaced {
		if u.Job == j {
			switch u.Why[0].Kind {
			case ByJob, ByLot, ByHarvest, ByArrival, ByRelease:
				return false
			}
			return u.Why[0].Until < d.in.horizon
		}
	}
	return false
}

// decode decodes an order. Jobs that were begun and could not be ended are
// left out; jobs for which material or a session was kept that others needed,
// and that found no place all the same, get nothing kept; then all is decoded
// again.
func (in *instance) decode(o order) *decoder {
	return in.decodeWithout(o, make([]bool, len(in.Jobs)), make([]Reason, len(in.Jobs)))
}

// decodeWithout decodes an order without some jobs, for which it is known what
// keeps them from a place.
func (in *instance) decodeWithout(o order, dropped []bool, why []Reason) *decoder {
	return in.decodeUpTo(math.MaxInt, o, dropped, why)
}

// decodeUpTo is decodeWithout that gives up after so many rounds and returns
// nil.
func (in *instance) decodeUpTo(rounds int, o order, dropped []bool, why []Reason) *decoder {
	dropped, why = slices.Clone(dropped), slices.Clone(why)
	waived := make([]bool, len(in.Jobs))
	for round := 1; round <= rounds; round++ {
		in.decodes++
		d := newDecoder(in, o, dropped, waived)
		d.run()
		drop := d.void(round > 4)
		for _, j := range drop {
			dropped[j] = true
			why[j] = d.dropReason(j)
		}
		idle := []int(nil)
		if len(drop) == 0 && round <= 8 {
			idle = d.idleClaims()
		}
		for _, j := range idle {
			waived[j] = true
		}
		if len(drop)+len(idle) == 0 {
			d.finish()
			d.dropWhy = why
			d.explain(why)
			return d
		}
	}
	return nil
}

// idleClaims lists the jobs without a place for which something was kept that
// another job did not get: scarce material, or their pinned session.
func (d *decoder) idleClaims() []int {
	var out []int
	for h := range d.prog {
		if !d.prog[h].done && !d.dropped[h] && !d.waived[h] && (d.gaveWay[h] || len(d.shorts[h]) == 0 && d.claims(h)) {
			out = append(out, h)
		}
	}
	return out
}

// claims says whether a job kept scarce material from another one that has no
// place.
func (d *decoder) claims(h int) bool {
	for k := range d.in.acts[h] {
		for _, n := range d.in.acts[h][k].Needs {
			if !d.in.scarce[n.Material] {
				continue
			}
			for _, j := range d.in.needers[n.Material] {
				if d.waited[j] && !d.prog[j].done && d.rank[h] < d.rank[j] {
					return true
				}
			}
		}
	}
	return false
}

// dropReason says why a job that was begun could not be ended.
func (d *decoder) dropReason(j int) Reason {
	if c := d.in.Jobs[j].Subject; d.prog[j].done && d.s.subj[c].stuck > 0 && d.s.subj[c].owed > 0 {
		return Reason{Kind: ByStuck, Of: c}
	}
	switch why := d.lastWhy[j]; why.Kind {
	case ByHelper, ByTool, ByPlace, ByBlackout, ByStuck, BySession:
		return why
	}
	return Reason{Kind: BySession}
}

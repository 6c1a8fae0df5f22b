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
	orders, before, usual := in.orders(), in.sequenceBefore(), in.budget(in.Effort)
	anew := usual
	if in.searches = 1; len(before) > 0 {
		in.searches = 2
		if in.Effort == 0 { // most of what is quick is for what stays
			anew, usual = usual.less(), usual.half()
		}
	}
	best := in.bestOf(orders[:min(anew.orders, len(orders))])
	best = in.rescue(best)
	if in.Effort > muchEffort { // begins like all others, so that it does not end worse
		best = in.improve(best, in.sequenceOf, in.budget(0))
	}
	best = in.goThrough(in.improve(best, in.sequenceOf, anew), anew)
	if len(before) > 0 {
		best = in.staying(best, before, usual)
	}
	best.fillGaps()
	for best.moveUp() && best.fillGaps() {
	}
	best.leaveOutIdleMoves()
	for best.shorten() && (best.moveUp() || best.fillGaps()) {
	}
	best.tellWhy()
	best.result.Decodes = in.decodes
	return best.result
}

// staying is a schedule that stays near to the one before, unless the one given is
// clearly better; then it is that one, nearer to the one before where that costs
// little.
func (in *instance) staying(best *decoder, before []int, b budget) *decoder {
	in.free = false
	in.stayLate = best.result.Cost.Late / stayWorth
	near := b
	near.rounds = max(1, b.rounds) // what can be kept is tried at least
	best.countMoved()
	stay := in.rescue(in.bestOf(in.asBefore(before, best.order.jobs)))
	if len(best.result.Unplaced) < len(stay.result.Unplaced) { // then its jobs, as before
		stay = best
	}
	stay = in.goThrough(in.improve(stay, func(*Result) []int { return before }, near), b)
	switch free, kept := best.result.Cost, stay.result.Cost; {
	case free.Moved <= kept.Moved && free.Less(kept):
		return best
	case kept.Moved <= free.Moved && !free.clearlyLess(kept):
		return stay
	}
	if back := in.improve(best, in.sequenceOf, b.less()); back.result.Cost.clearlyLess(stay.result.Cost) {
		return back
	}
	return best
}

// asBefore lists orders that keep to the schedule before: its sequence, with the
// hands idle where it has them idle; the same with the next job that can begin
// there; and the sequence that comes about when nothing is begun in an earlier
// session than before, so that what has become longer holds up nothing else.
// Each comes with either habit of ending visits: which one the schedule before
// had is not known. Of many jobs only the first two are decoded, the quicker one
// first: the others are seldom nearer.
func (in *instance) asBefore(seq, jobs []int) []order {
	strict := in.inSequence(seq, jobs)
	eager := strict
	eager.wait = false
	if in.isLarge() {
		return []order{eager, strict}
	}
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
func (in *instance) goThrough(best *decoder, b budget) *decoder {
	if b.rounds == 0 {
		return best
	}
	if in.labelled(best) {
		d, all := in.strokeByStroke(best)
		if all {
			return d
		}
		best = d
	}
	return in.complete(best)
}

// mostLabels is how many beginnings of rows are tried, of two searches together
// where there are two, and mostOfBlocks how many times the blocks: in a larger
// instance each of them takes longer.
const (
	mostLabels   = 40_000
	mostOfBlocks = 560_000
)

// strokeByStroke goes through the rows of strokes of a small instance. It says
// whether it went through them all.
func (in *instance) strokeByStroke(best *decoder) (d *decoder, all bool) {
	s := newLabels(in, best)
	s.most = min(mostLabels, mostOfBlocks/max(1, s.blocks)) / in.searches
	all = s.run()
	sure := all && s.sure() && in.free && len(best.result.Unplaced) == 0
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
		s := newSearch(in, &best.result, in.sequenceOf(&best.result), 0)
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

// bestOf decodes orders and keeps the best result. Where a decode takes its time,
// further orders are given up when it takes several to find out what has no place.
func (in *instance) bestOf(orders []order) (best *decoder) {
	for _, o := range orders {
		rounds := math.MaxInt
		if best != nil && in.isLarge() {
			rounds = fewRounds
		}
		d := in.decodeUpTo(rounds, o, make([]bool, len(in.Jobs)), make([]Reason, len(in.Jobs)))
		if best == nil || d != nil && d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	return best
}

// improve searches from a schedule for better ones, window by window where its
// sequence is long. The first search begins with the sequence that first makes of
// the schedule.
func (in *instance) improve(best *decoder, first func(*Result) []int, b budget) *decoder {
	for r := range b.rounds {
		seq := in.sequenceOf(&best.result)
		if r == 0 {
			seq = first(&best.result)
		}
		s := in.eitherHabit(&best.result, seq, r, b.rounds)
		if s == nil {
			continue
		}
		s.build(b.width, b.passes)
		s.run(b.moves)
		if d := s.carried(best); d != nil && d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	return best
}

// eitherHabit begins a search with one habit of ending visits, the patient one in
// the first round, or with the other one where only that can be drafted or is
// better. It returns nil where neither has anything to move.
func (in *instance) eitherHabit(r *Result, seq []int, round, rounds int) *search {
	s, o := newSearch(in, r, seq, uint64(round)), newSearch(in, r, seq, uint64(round))
	s.patient = round%2 == 0
	o.patient = !s.patient
	lo := s.windowOf(round, rounds)
	ok, other := s.look(lo), o.look(lo)
	switch {
	case other && (!ok || round == 0 && o.cost.Late < s.cost.Late || !in.free && o.cost.Less(s.cost)):
		return o
	case ok:
		return s
	}
	return nil
}

// fewRounds is how often a sequence is decoded without jobs that were begun and
// could not be ended: with more of them it is not worth it.
const fewRounds = 2

// windowOf is where the window of a round begins: they go over a long sequence
// from its start, each half over the one before, as far as there are rounds.
func (s *search) windowOf(round, rounds int) int {
	if !s.isLong() {
		return 0
	}
	return min(round%rounds*window/2, len(s.seq)-window)
}

// budget is how much is tried: how many orders are decoded, how many searches there
// are after that, and in each of them how many beams of which width, and then how
// many moves.
type budget struct{ orders, rounds, passes, width, moves int }

// muchEffort is more than the usual search takes.
const muchEffort = 60

// budget is what is quick, some 40 ms with 60 jobs; or, where an effort is asked
// for, a budget for which a unit of it takes about as long as a decode.
func (in *instance) budget(effort int) budget {
	blocks := min(len(in.blocks), window)
	b := budget{orders: 4, rounds: 1, passes: 2, width: usualWidth, moves: min(1500, 100*blocks)}
	each := min(125, 12_500/max(1, blocks)) // moves take longer in a long sequence
	if len(in.Jobs) <= 30 {                 // which are soon decoded
		b.orders, b.rounds = 11, 2
	}
	if effort > 0 {
		if effort <= muchEffort {
			b.orders = min(4, effort)
		}
		units := effort - b.orders
		if units > 400 { // several searches, each from the best so far, find more than a long one
			b.rounds, units = 4, units/4
		}
		if b.passes = 1; units > 20 {
			b.passes = 2
		}
		if b.width = (2*units + b.passes) / (2 * b.passes); b.width > usualWidth {
			b.width = min(300, usualWidth+(b.width-usualWidth)/2)
		}
		b.moves = each * units
	}
	if len(in.blocks) > window+window/2 {
		b.rounds, b.moves = 2, min(b.moves, 8*each)
	}
	if in.isLarge() {
		b.width = min(b.width, max(2, wideJobs/len(in.Jobs)))
	}
	if blocks < 2 || b.moves == 0 {
		b.rounds = 0
	}
	return b
}

// usualWidth is how many beginnings a beam keeps.
const usualWidth = 22

// isLarge says whether there are so many jobs that a decode takes more than a moment.
func (in *instance) isLarge() bool { return len(in.Jobs) > 300 }

// wideJobs is how many jobs a beam may have at most, times its width.
const wideJobs = 4000

// half is about half of a budget, with a few more moves, which suit what is to stay;
// and less is a quarter.
func (b budget) half() budget {
	b.width, b.moves = (b.width+1)/2, b.moves*5/4
	return b
}

func (b budget) less() budget {
	b.orders, b.passes, b.width, b.moves = (b.orders+1)/2, (b.passes+1)/2, (b.width+1)/2, (b.moves+3)/4
	return b
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
		drop := d.void(round > 4 || in.isLarge())
		for _, j := range drop {
			dropped[j] = true
			why[j] = d.dropReason(j)
		}
		idle := []int(nil)
		if (len(drop) == 0 || in.isLarge()) && round <= 8 {
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

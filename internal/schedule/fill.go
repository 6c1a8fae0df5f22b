package schedule

import (
	"cmp"
	"slices"
)

// gapsTried is in how many gaps a job without a place is tried.
const gapsTried = 8

// fill tries jobs that found no place, though nothing they need is missing, in
// the gaps of a schedule: everything is decoded as it was, but when a gap
// begins the job goes first. The fewer jobs there are, the more are tried.
func (in *instance) fill(best *decoder) *decoder {
	left := in.rescues()
	for j := 0; j < len(in.Jobs) && left > 0; j++ {
		if !best.crowdedOut(j) {
			continue
		}
		left--
		dropped, why := best.lost(j)
		for _, gap := range best.gapsFor(j) {
			o := best.order
			o.late, o.lateAt = j, gap.From
			if d := in.decodeWithout(o, dropped, why); d.result.Cost.Less(best.result.Cost) {
				best = d
				break
			}
		}
	}
	return best
}

// gapsFor lists stretches in which the hands have nothing to do, late enough
// for a job to begin in them: first those that take its first block and what
// reaches it, by time.
func (d *decoder) gapsFor(j int) []Span {
	first := d.in.blocksOf[j]
	if first.From == first.To {
		return nil
	}
	b := &d.in.blocks[first.From]
	wanted := b.minutes
	for _, a := range d.in.acts[j][b.from:b.to] {
		for _, o := range a.opens {
			wanted += d.in.Setups[o].Open + d.in.Setups[o].Close
		}
	}
	ready := d.in.release(j).at
	for _, l := range d.in.Jobs[j].After {
		ready = max(ready, d.result.Ends[l.Job]+l.Gap)
	}
	var gaps []Span
	for _, g := range d.idleSpans() {
		if g.From = max(g.From, ready); g.To-g.From >= min(wanted, MinPiece) {
			gaps = append(gaps, g)
		}
	}
	short := func(g Span) int { return max(0, wanted-(g.To-g.From)) }
	slices.SortStableFunc(gaps, func(a, b Span) int { return cmp.Compare(short(a), short(b)) })
	return gaps[:min(len(gaps), gapsTried)]
}

// idleSpans lists the stretches of the sessions in which the hands do nothing.
func (d *decoder) idleSpans() []Span {
	var busy []Span
	for i := range d.result.Placed {
		if p := &d.result.Placed[i]; d.in.acts[p.Job][p.Stage].Hands {
			busy = append(busy, p.Pieces...)
		}
	}
	for i := range d.result.Visits {
		for _, it := range d.result.Visits[i].Items {
			busy = append(busy, it.Span)
		}
	}
	busy = slices.DeleteFunc(busy, func(s Span) bool { return s.From == s.To })
	slices.SortFunc(busy, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	var idle []Span
	for _, s := range d.in.plain {
		at := s.From
		for len(busy) > 0 && busy[0].From < s.To {
			if busy[0].From > at {
				idle = append(idle, Span{at, busy[0].From})
			}
			at = max(at, busy[0].To)
			busy = busy[1:]
		}
		if at < s.To {
			idle = append(idle, Span{at, s.To})
		}
	}
	return idle
}

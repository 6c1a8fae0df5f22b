package schedule

// Tools of a simulator, kept as the decoder keeps them.

// freeClock finds when a clock stage can run through.
func (s *Simulator) freeClock(a *act, ready int) (start, end int) {
	start, end, _ = s.booked.freeClock(a, ready, func(start int) int { return s.stageEnd(a, start) })
	return start, end
}

// stageEnd is when a clock stage ends.
func (s *Simulator) stageEnd(a *act, start int) int {
	switch {
	case a.Ends == nil:
		return start + s.course.Minutes[a.id]
	case s.course.Ends == nil:
		return a.Ends(start)
	}
	return s.course.Ends(a.id, start)
}

// reserveBlock takes the tools of the block just laid out.
func (s *Simulator) reserveBlock(b *turn) {
	for k := b.k; k < b.end; k++ {
		a, stop := &s.in.acts[b.job][k], s.stops[k-b.k]
		if len(a.Tools) == 0 && !(s.in.aside && a.Helpers > 0) {
			continue
		}
		if !a.Bench {
			s.booked.reserve(a, stop)
			continue
		}
		for _, p := range s.pieces {
			if p.From >= stop.From && p.To <= stop.To {
				s.booked.reserve(a, p)
			}
		}
	}
}

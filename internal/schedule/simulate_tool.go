package schedule

// Tools of a simulator, kept as the decoder keeps them.

// toolsFree is the earliest time at or after x.From at which all that a bench
// stage needs may be free; x.From itself means that it is free over all of x.
func (s *Simulator) toolsFree(a *act, x Span) int {
	free := x.From
	for _, u := range a.Tools {
		free = max(free, s.toolFree(u.Tool, u.N, s.in.Tools[u.Tool].Capacity, x))
	}
	if s.in.aside && a.Helpers > 0 {
		if i := s.in.plain.at(x.From); i < len(s.in.Sessions) {
			free = max(free, s.toolFree(len(s.in.Tools), a.Helpers, s.in.Sessions[i].Helpers, x))
		}
	}
	return free
}

func (s *Simulator) toolFree(tool, n, capacity int, x Span) int {
	list := s.reserved[tool]
	for _, r := range list {
		if r.From >= x.To || r.To <= x.From {
			continue
		}
		at := max(r.From, x.From)
		used, soonest := 0, r.To
		for _, o := range list {
			if o.From <= at && at < o.To {
				used += o.n
				soonest = min(soonest, o.To)
			}
		}
		if used+n > capacity {
			return max(soonest, x.From+1)
		}
	}
	return x.From
}

// freeClock finds the earliest time at or after ready from which a clock stage
// can run through.
func (s *Simulator) freeClock(a *act, ready int) (start, end int) {
	start = ready
	for i := a.cal.at(start); i < len(a.cal); {
		start = max(start, a.cal[i].From)
		if end = s.stageEnd(a, start); end > a.cal[i].To {
			start = a.cal[i].To
			i++
			continue
		}
		free := start
		for _, u := range a.Tools {
			free = max(free, s.toolFree(u.Tool, u.N, s.in.Tools[u.Tool].Capacity, Span{start, end}))
		}
		if free == start {
			return start, end
		}
		start = free
		i = a.cal.at(start)
	}
	return never, never
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

func (s *Simulator) reserve(a *act, from, to int) {
	for _, u := range a.Tools {
		s.reserveOne(u.Tool, u.N, Span{from, to})
	}
	if s.in.aside && a.Helpers > 0 {
		s.reserveOne(len(s.in.Tools), a.Helpers, Span{from, to})
	}
}

// reserveBlock takes the tools of the block just laid out.
func (s *Simulator) reserveBlock(b *turn) {
	for k := b.k; k < b.end; k++ {
		a, stop := &s.in.acts[b.job][k], s.stops[k-b.k]
		if len(a.Tools) == 0 && !(s.in.aside && a.Helpers > 0) {
			continue
		}
		if !a.Bench {
			s.reserve(a, stop.From, stop.To)
			continue
		}
		for _, p := range s.pieces {
			if p.From >= stop.From && p.To <= stop.To {
				s.reserve(a, p.From, p.To)
			}
		}
	}
}

func (s *Simulator) reserveOne(tool, n int, x Span) {
	if n == 0 || x.From >= x.To {
		return
	}
	list := s.reserved[tool][:0]
	for _, r := range s.reserved[tool] {
		if r.To > s.t {
			list = append(list, r)
		}
	}
	s.reserved[tool] = append(list, reserved{x, n})
}

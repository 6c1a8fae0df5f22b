package schedule

// reserved is a stretch in which some of a tool is taken.
type reserved struct {
	Span
	n int
}

// helpersAt is the index under which helpers are reserved, beside the tools.
func (d *decoder) helpersAt() int { return len(d.in.Tools) }

// toolsFree is the earliest time at or after s.From at which all that a bench
// stage needs may be free; s.From itself means that it is free over all of s.
func (d *decoder) toolsFree(a *act, s Span) int {
	free := s.From
	for _, u := range a.Tools {
		free = max(free, d.toolFree(u.Tool, u.N, d.in.Tools[u.Tool].Capacity, s))
	}
	if d.in.aside {
		free = max(free, d.helpersFree(a.Helpers, s))
	}
	return free
}

// helpersFree is s.From when n helpers are free over all of s, else the end of
// what is in the way.
func (d *decoder) helpersFree(n int, s Span) int {
	if i := d.in.plain.at(s.From); n > 0 && i < len(d.in.Sessions) {
		return d.toolFree(d.helpersAt(), n, d.in.Sessions[i].Helpers, s)
	}
	return s.From
}

// toolFree is s.From when n of a tool are free over all of s, else the end of
// a reservation that is in the way.
func (d *decoder) toolFree(tool, n, capacity int, s Span) int {
	list := d.reserved[tool]
	for _, r := range list {
		if r.From >= s.To || r.To <= s.From {
			continue
		}
		at := max(r.From, s.From)
		used, soonest := 0, r.To
		for _, o := range list {
			if o.From <= at && at < o.To {
				used += o.n
				soonest = min(soonest, o.To)
			}
		}
		if used+n > capacity {
			return max(soonest, s.From+1)
		}
	}
	return s.From
}

// reserve takes tools for a stage that was placed.
func (d *decoder) reserve(a *act, spans []Span) {
	for _, u := range a.Tools {
		d.reserveOne(u.Tool, u.N, spans)
	}
	if d.in.aside && a.Helpers > 0 {
		d.reserveOne(d.helpersAt(), a.Helpers, spans)
	}
}

// reserveOne forgets nothing, however long it is over: a clock stage may yet be
// placed where the hands have long gone on.
func (d *decoder) reserveOne(tool, n int, spans []Span) {
	for _, s := range spans {
		if n > 0 && s.From < s.To {
			d.reserved[tool] = append(d.reserved[tool], reserved{s, n})
		}
	}
}

// freeClock finds the earliest time at or after ready from which a clock stage
// can run through, its tools there and free all the time.
func (d *decoder) freeClock(a *act, ready int) (start, end int, why Reason) {
	start = ready
	for i := a.cal.at(start); i < len(a.cal); {
		if a.cal[i].From > start {
			why, start = d.absent(a, start), a.cal[i].From
		}
		end = a.ends(start)
		if end > a.cal[i].To {
			why, start = d.absent(a, a.cal[i].To), a.cal[i].To
			i++
			continue
		}
		why.Until = start
		busy := None
		for _, u := range a.Tools {
			if free := d.toolFree(u.Tool, u.N, d.in.Tools[u.Tool].Capacity, Span{start, end}); free > start {
				start, busy = free, u.Tool
			}
		}
		if busy == None {
			return start, end, why
		}
		why = Reason{ByTool, busy, start}
		i = a.cal.at(start)
	}
	return never, never, d.absent(a, start)
}

// absent names a tool of a stage that is not there at a time.
func (d *decoder) absent(a *act, t int) Reason {
	for _, u := range a.Tools {
		w := d.in.Tools[u.Tool].Windows
		if from, ok := calendar(w).from(t); w != nil && (!ok || from > t) {
			return Reason{Kind: ByTool, Of: u.Tool}
		}
	}
	if len(a.Tools) > 0 {
		return Reason{Kind: ByTool, Of: a.Tools[0].Tool}
	}
	return Reason{Kind: BySession}
}

package schedule

// reserved is a stretch in which some of a tool is taken.
type reserved struct {
	Span
	n int
}

// bookings are what is taken of every tool and, as the last of them, of the
// helpers. Nothing is forgotten, however long it is over: a clock stage may yet
// be placed where the hands have long gone on.
type bookings struct {
	in    *instance
	taken [][]reserved
}

func newBookings(in *instance) bookings {
	return bookings{in, make([][]reserved, len(in.Tools)+1)}
}

// clear makes everything free.
func (b *bookings) clear() {
	for i := range b.taken {
		b.taken[i] = b.taken[i][:0]
	}
}

// free is the earliest time at or after s.From at which all that a bench
// stage needs may be free; s.From itself means that it is free over all of s.
// Without bookings everything is.
func (b *bookings) free(a *act, s Span) int {
	free := s.From
	if b == nil {
		return free
	}
	for _, u := range a.Tools {
		free = max(free, b.toolFree(u.Tool, u.N, b.in.Tools[u.Tool].Capacity, s))
	}
	if b.in.aside {
		free = max(free, b.helpersFree(a.Helpers, s))
	}
	return free
}

// helpersFree is s.From when n helpers are free over all of s, else the end of
// what is in the way.
func (b *bookings) helpersFree(n int, s Span) int {
	if i := b.in.plain.at(s.From); n > 0 && i < len(b.in.Sessions) {
		return b.toolFree(len(b.in.Tools), n, b.in.Sessions[i].Helpers, s)
	}
	return s.From
}

// toolFree is s.From when n of a tool are free over all of s, else the end of
// a reservation that is in the way.
func (b *bookings) toolFree(tool, n, capacity int, s Span) int {
	list := b.taken[tool]
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

// reserve takes what a stage needs.
func (b *bookings) reserve(a *act, spans ...Span) {
	for _, u := range a.Tools {
		b.take(u.Tool, u.N, spans...)
	}
	b.takeHelpers(a.Helpers, spans...)
}

// takeHelpers takes helpers, where they may be wanted in two places at all.
func (b *bookings) takeHelpers(n int, spans ...Span) {
	if b.in.aside {
		b.take(len(b.in.Tools), n, spans...)
	}
}

func (b *bookings) take(tool, n int, spans ...Span) {
	for _, s := range spans {
		if n > 0 && s.From < s.To {
			b.taken[tool] = append(b.taken[tool], reserved{s, n})
		}
	}
}

// freeClock finds the earliest time at or after ready from which a clock stage
// can run through, its tools there and free all the time.
func (b *bookings) freeClock(a *act, ready int, ends func(start int) int) (start, end int, why Reason) {
	start = ready
	for i := a.cal.at(start); i < len(a.cal); {
		if a.cal[i].From > start {
			why, start = b.in.absent(a, start), a.cal[i].From
		}
		end = ends(start)
		if end > a.cal[i].To {
			why, start = b.in.absent(a, a.cal[i].To), a.cal[i].To
			i++
			continue
		}
		why.Until = start
		busy := None
		for _, u := range a.Tools {
			if free := b.toolFree(u.Tool, u.N, b.in.Tools[u.Tool].Capacity, Span{start, end}); free > start {
				start, busy = free, u.Tool
			}
		}
		if busy == None {
			return start, end, why
		}
		why = Reason{ByTool, busy, start}
		i = a.cal.at(start)
	}
	return never, never, b.in.absent(a, start)
}

// absent names a tool of a stage that is not there at a time.
func (in *instance) absent(a *act, t int) Reason {
	for _, u := range a.Tools {
		w := in.Tools[u.Tool].Windows
		if from, ok := calendar(w).from(t); w != nil && (!ok || from > t) {
			return Reason{Kind: ByTool, Of: u.Tool}
		}
	}
	if len(a.Tools) > 0 {
		return Reason{Kind: ByTool, Of: a.Tools[0].Tool}
	}
	return Reason{Kind: BySession}
}

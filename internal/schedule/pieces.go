package schedule

// A bench stage may pause where a stretch of its calendar ends and go on in a
// later one. No piece is shorter than MinPiece unless the whole stage is.

// fit finds the earliest pieces of so many minutes of a bench stage that begin
// at from or later, and appends them. The search starts in stretch i of the
// stage's calendar. Without bookings tools are free.
func (a *act) fit(pieces []Span, minutes, from, i int, b *bookings) ([]Span, bool) {
	n := len(pieces)
	for ; i < len(a.cal); i++ {
		for start := max(from, a.cal[i].From); ; {
			next, ok := 0, false
			if pieces, next, ok = a.cut(pieces, minutes, i, start, b); ok {
				return pieces, true
			}
			pieces = pieces[:n]
			if next == 0 {
				break
			}
			start = next
		}
	}
	return pieces, false
}

// cut cuts so many minutes into pieces, the first from start in stretch i or as
// much later as the rest takes. Where that is not possible it returns a later
// start in the same stretch, or zero.
func (a *act) cut(pieces []Span, minutes, i, start int, b *bookings) (out []Span, next int, ok bool) {
	least := min(MinPiece, minutes)
	first := min(a.cal[i].To-start, minutes)
	if rest := minutes - first; rest > 0 && rest < least { // leave enough for another piece
		start += least - rest
		first = minutes - least
	}
	if first < least || start+first > a.cal[i].To {
		return pieces, 0, false
	}
	if free := b.free(a, Span{start, start + first}); free > start {
		if free >= a.cal[i].To {
			return pieces, 0, false
		}
		return pieces, free, false
	}
	pieces = append(pieces, Span{start, start + first})
	for rest := minutes - first; rest > 0; {
		if i++; i == len(a.cal) {
			return pieces, 0, false
		}
		n := min(a.cal[i].To-a.cal[i].From, rest)
		piece := Span{a.cal[i].From, a.cal[i].From + n}
		if n < rest && (n < least || rest-n < least) || b.free(a, piece) > piece.From {
			continue // cannot use it
		}
		pieces = append(pieces, piece)
		rest -= n
	}
	return pieces, 0, true
}

// nextStart is the next time worth trying for a block that begins with a stage
// and does not fit at from, which lies in stretch i or before it. With late that
// is so late in the stretch that most falls into the next one.
func (a *act) nextStart(minutes, from, i int, late bool) int {
	if i == len(a.cal) {
		return never
	}
	if t := a.cal[i].To - min(MinPiece, minutes); late && t > from && t >= a.cal[i].From {
		return t
	}
	if i+1 < len(a.cal) {
		return a.cal[i+1].From
	}
	return never
}

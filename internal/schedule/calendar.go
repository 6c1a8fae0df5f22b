package schedule

import (
	"fmt"
	"slices"
)

// MinPiece is the shortest piece, in minutes, that a bench stage is cut into.
const MinPiece = 20

// calendar is a row of stretches in which something can be done, in order.
type calendar []Span

// at is the index of the first stretch that ends after t. The search asks for
// this more than for anything else: sessions come at even distances, so a guess is
// near.
func (c calendar) at(t int) int {
	last := len(c) - 1
	if last < 0 || t >= c[last].To {
		return len(c)
	}
	if t < c[0].To {
		return 0
	}
	lo, hi := 1, last // the one looked for is not before lo nor after hi
	i := (t - c[0].To) * last / (c[last].To - c[0].To)
	for range 6 {
		if c[i].To <= t {
			if i++; c[i].To > t {
				return i
			}
			lo = i + 1
		} else {
			if hi = i; c[i-1].To <= t {
				return i
			}
			i--
		}
	}
	for lo < hi {
		if mid := int(uint(lo+hi) >> 1); c[mid].To > t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// from is the first minute at or after t, if any is left.
func (c calendar) from(t int) (int, bool) {
	if i := c.at(t); i < len(c) {
		return max(t, c[i].From), true
	}
	return 0, false
}

// minutes counts the minutes between two times.
func (c calendar) minutes(from, to int) int {
	n := 0
	for i := c.at(from); i < len(c) && c[i].From < to; i++ {
		n += min(to, c[i].To) - max(from, c[i].From)
	}
	return n
}

// after is when so many minutes have passed in it since t, or never.
func (c calendar) after(t, minutes int) int {
	for i := c.at(t); i < len(c); i++ {
		from := max(t, c[i].From)
		if from+minutes <= c[i].To {
			return from + minutes
		}
		minutes -= c[i].To - from
	}
	return never
}

// longest is the longest stretch between two times.
func (c calendar) longest(from, to int) int {
	n := 0
	for i := c.at(from); i < len(c) && c[i].From < to; i++ {
		n = max(n, min(to, c[i].To)-max(from, c[i].From))
	}
	return n
}

// cut keeps what lies in both.
func (c calendar) cut(with []Span) calendar {
	out := calendar{}
	for _, a := range c {
		for _, b := range with {
			if x := (Span{max(a.From, b.From), min(a.To, b.To)}); x.From < x.To {
				out = append(out, x)
			}
		}
	}
	slices.SortFunc(out, func(a, b Span) int { return a.From - b.From })
	return out
}

const (
	always = 1 << 50
	never  = always
)

func (in *instance) prepareCalendars() {
	most := 0
	for _, s := range in.Sessions {
		most = max(most, s.Helpers)
	}
	for _, x := range in.Closings {
		most = max(most, x.Helpers)
	}
	for n := range most + 1 {
		var c calendar
		for _, s := range in.Sessions {
			if s.Helpers >= n {
				c = append(c, s.Span)
			}
		}
		in.helped = append(in.helped, c)
	}
	in.plain = in.helped[0]
}

// withHelpers is when at least n helpers are there.
func (in *instance) withHelpers(n int) calendar {
	if n < len(in.helped) {
		return in.helped[n]
	}
	return nil
}

// calendarFor is when a stage can be worked on, shared between stages with the
// same needs.
func (in *instance) calendarFor(s *Stage, known map[string]int) calendar {
	key := fmt.Sprint(s.Bench, s.Helpers)
	for _, u := range s.Tools {
		if u.N > 0 {
			key += fmt.Sprint(" ", u.Tool)
		}
	}
	if i, ok := known[key]; ok {
		return in.calendars[i]
	}
	c := calendar{{in.Now, always}}
	if s.Bench {
		c = in.withHelpers(s.Helpers)
	}
	for _, u := range s.Tools {
		if u.N > 0 && in.Tools[u.Tool].Windows != nil {
			c = c.cut(in.Tools[u.Tool].Windows)
		}
	}
	known[key] = len(in.calendars)
	in.calendars = append(in.calendars, c)
	return c
}

// session is the index of the session that holds t or comes next.
func (in *instance) session(t int) int { return in.plain.at(t) }

// sessionStart is the start of the session that holds t or comes next, or
// never.
func (in *instance) sessionStart(t int) int {
	if i := in.plain.at(t); i < len(in.plain) {
		return in.plain[i].From
	}
	return never
}

// nextSession is the start of the session after the one that holds t or comes
// next, or never.
func (in *instance) nextSession(t int) int {
	if i := in.plain.at(t) + 1; i < len(in.plain) {
		return in.plain[i].From
	}
	return never
}

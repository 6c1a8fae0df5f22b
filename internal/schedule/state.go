package schedule

// state is the bench at one point in time: everything that a decision changes
// and that a look-ahead has to play with. It is copied for every try.
type state struct {
	t       int // when the hands are free
	subj    []subjState
	open    []bool // by setup
	owed    []bool // by closing
	held    []bool // by hold: begun and not ended
	onPlace int

	// A paused stage goes on in busy; the hands are free for others before.
	busy Span

	// What the decision under trial does, in order.
	items  []Item
	placed []Placed
	pieces []Span
}

type subjState struct {
	onPlace   bool
	inVisit   bool
	ending    bool // the visit is being ended: nothing else is begun on it
	finishing bool // its closing work has begun
	stuck     int  // how many holds keep it from moving
	until     int  // something on it runs without the hands until then
	freeAt    int  // what frees it, or kept it from moving, ends then
	last      int  // when something was last done on it
	open      int  // setups
	owed      int  // closings
	black     int  // index of the first blackout that has not ended
}

func newState(in *instance) *state {
	return &state{
		subj: make([]subjState, len(in.Subjects)), open: make([]bool, len(in.Setups)),
		owed: make([]bool, len(in.Closings)), held: make([]bool, len(in.holds)),
	}
}

// firstState is the bench at now.
func firstState(in *instance) *state {
	s := newState(in)
	s.t = in.Now
	for c := range in.Subjects {
		if in.Subjects[c].Placed {
			s.subj[c].onPlace = true
			s.onPlace++
		}
	}
	for a := range in.Setups {
		if in.Setups[a].IsOpen {
			s.open[a] = true
			s.subj[in.Setups[a].Subject].open++
			s.subj[in.Setups[a].Subject].inVisit = true
		}
	}
	for h := range in.holds {
		if in.holds[h].job == None {
			s.held[h] = true
			s.subj[in.holds[h].subject].stuck++
		}
	}
	s.leaveForBlackouts(in)
	return s
}

// become makes s a copy of o with nothing decided yet.
func (s *state) become(o *state) {
	s.restore(o)
	s.items, s.placed, s.pieces = s.items[:0], s.placed[:0], s.pieces[:0]
}

// restore is become without forgetting what was decided.
func (s *state) restore(o *state) {
	s.t, s.onPlace, s.busy = o.t, o.onPlace, o.busy
	copy(s.subj, o.subj)
	copy(s.open, o.open)
	copy(s.owed, o.owed)
	copy(s.held, o.held)
}

// leaveForBlackouts takes subjects off the place whose blackout has come, and
// forgets blackouts that are over.
func (s *state) leaveForBlackouts(in *instance) {
	for c := range s.subj {
		s.leaveForBlackoutsOf(in, c, s.t)
	}
}

func (s *state) leaveForBlackoutsOf(in *instance, c, t int) {
	x := &s.subj[c]
	for spans := in.Subjects[c].Blackouts; x.black < len(spans) && spans[x.black].From <= t; x.black++ {
		if x.stuck == 0 && !s.apart(in, c) {
			s.leave(c)
		}
		if spans[x.black].To > t {
			break
		}
	}
}

// apart says whether something is open that must be closed before the subject
// leaves the place.
func (s *state) apart(in *instance, c int) bool {
	if s.subj[c].open > 0 {
		for _, a := range in.setups[c] {
			if s.open[a] && !in.stays[a] {
				return true
			}
		}
	}
	return false
}

// leave ends a subject's visit and takes it off the place.
func (s *state) leave(c int) {
	x := &s.subj[c]
	if x.onPlace {
		x.onPlace = false
		s.onPlace--
	}
	x.inVisit, x.ending, x.finishing = false, false, false
}

func (s *state) setOpen(in *instance, a int, open bool) {
	if s.open[a] == open {
		return
	}
	s.open[a] = open
	if open {
		s.subj[in.Setups[a].Subject].open++
	} else {
		s.subj[in.Setups[a].Subject].open--
	}
}

func (s *state) setOwed(in *instance, x int, owed bool) {
	if s.owed[x] == owed {
		return
	}
	s.owed[x] = owed
	if owed {
		s.subj[in.Closings[x].Subject].owed++
	} else {
		s.subj[in.Closings[x].Subject].owed--
	}
}

// immovable says whether a subject cannot be moved at t.
func (s *state) immovable(c int) bool { return s.subj[c].stuck > 0 || s.subj[c].freeAt > s.t }

// setHeld begins or ends a hold.
func (s *state) setHeld(in *instance, h int, held bool) {
	if s.held[h] == held {
		return
	}
	s.held[h] = held
	if held {
		s.subj[in.holds[h].subject].stuck++
	} else {
		s.subj[in.holds[h].subject].stuck--
	}
}

// put finds the earliest time at or after from at which something of that
// length fits into one stretch beside what is already going on.
func (s *state) put(cal calendar, from, minutes int) (int, bool) {
	for i := cal.at(from); i < len(cal); i++ {
		a := max(from, cal[i].From)
		if a < s.busy.To && a+minutes > s.busy.From {
			a = s.busy.To
		}
		if a+minutes <= cal[i].To {
			return a, true
		}
	}
	return never, false
}

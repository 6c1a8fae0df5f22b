package planner

import (
	"cmp"
	"slices"
	"time"
)

// What Frees tries.

// trial is a thing to try, with the weight of the jobs that it holds back.
type trial struct {
	thing  Thing
	weight float64
}

// thingsToTry lists what may free something, what holds back most weight first.
func thingsToTry(p Problem, base Answer) []Thing {
	h := heldBack(p, base)
	var list []trial
	add := func(t Thing, weight float64) { list = append(list, trial{t, weight}) }
	h.addParts(p, base, add)
	times := newMoments(p)
	for _, c := range p.Cars {
		if c.Arrives != nil && times.arrival(*c.Arrives) > times.now {
			add(Thing{Kind: ThingCar, Of: c.ID, At: times.time(times.arrival(*c.Arrives))}, h.by[reason{BecauseCar, c.ID}])
		}
	}
	h.addHelpers(p, add)
	if evening, ok := freeEvening(p); ok {
		add(evening, h.kind(BecauseSession)+h.kind(BecauseHands))
	}
	for _, r := range p.Resources {
		weight := h.by[reason{BecauseTool, r.ID}]
		if r.ID == Lift {
			weight = h.kind(BecauseLift)
		}
		if weight > 0 {
			add(Thing{Kind: ThingTool, Of: r.ID}, weight)
		}
	}
	slices.SortFunc(list, func(a, b trial) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), compareThings(a.thing, b.thing))
	})
	things := make([]Thing, len(list))
	for i, t := range list {
		things[i] = t.thing
	}
	return things
}

// reason is a Reason without its time.
type reason struct{ kind, of string }

// held is the weight that each reason holds back in a plan; a job counts at least a little.
type held struct {
	by    map[reason]float64
	short map[string][]int // by part: what blocked jobs are short of
}

func heldBack(p Problem, base Answer) held {
	weight := map[string]float64{}
	for _, j := range p.Jobs {
		weight[j.ID] = max(j.Weight, 0.1)
	}
	h := held{by: map[reason]float64{}, short: map[string][]int{}}
	for _, s := range base.Stages {
		h.by[reason{s.Because.Kind, s.Because.Of}] += weight[s.Job]
	}
	for _, b := range base.Blocked {
		for _, w := range b.Why {
			h.by[reason{w.Kind, w.Of}] += weight[b.Job]
			if w.Short > 0 {
				h.short[w.Of] = append(h.short[w.Of], w.Short)
			}
		}
	}
	return h
}

// kind is what all reasons of a kind hold back.
func (h held) kind(kind string) float64 {
	var weights []float64
	for r, weight := range h.by {
		if r.kind == kind {
			weights = append(weights, weight)
		}
	}
	slices.Sort(weights) // so that the sum is the same to the last bit
	sum := 0.0
	for _, weight := range weights {
		sum += weight
	}
	return sum
}

// addParts adds for each part what is to come, what would have to be ordered, and what nothing brings: as much as each of the
// jobs is short of, and all of it.
func (h held) addParts(p Problem, base Answer, add func(Thing, float64)) {
	times := newMoments(p)
	ordered := map[string]int{}
	for _, promise := range base.Promises {
		if promise.Source == FromOrder {
			ordered[promise.Part] += promise.Qty
		}
	}
	for _, part := range p.Parts {
		chain := h.by[reason{BecauseChain, part.ID}]
		coming := h.by[reason{BecausePart, part.ID}] + chain
		for _, a := range part.Arrivals {
			if a.At != nil && a.Qty > 0 && times.arrival(*a.At) > times.now {
				add(Thing{Kind: ThingArrival, Of: part.ID, Qty: a.Qty, At: times.time(times.arrival(*a.At))}, coming)
			}
		}
		if n := ordered[part.ID]; n > 0 {
			add(Thing{Kind: ThingOrder, Of: part.ID, Qty: n}, h.by[reason{BecauseOrder, part.ID}]+chain)
		}
		short, sum := slices.Sorted(slices.Values(h.short[part.ID])), 0
		for _, n := range short {
			sum += n
		}
		for _, n := range slices.Compact(append(slices.Compact(short), sum)) {
			if n > 0 {
				add(Thing{Kind: ThingBuy, Of: part.ID, Qty: n}, coming)
			}
		}
	}
}

// helperSessions is in how many of the next sessions a helper is tried.
const helperSessions = 6

// addHelpers adds a helper in each of the next sessions that have too few for what waits for one.
func (h held) addHelpers(p Problem, add func(Thing, float64)) {
	weight := h.kind(BecauseHelper)
	if weight == 0 {
		return
	}
	most := 1
	for _, j := range p.Jobs {
		for _, s := range j.Stages {
			most = max(most, s.Needs[Helpers])
		}
	}
	left := helperSessions
	for _, s := range comingSessions(p) {
		if s.Helpers < most && left > 0 {
			left--
			add(Thing{Kind: ThingHelper, Qty: 1, At: s.From}, weight)
		}
	}
}

// comingSessions are those that are not over, in order of time.
func comingSessions(p Problem) []Session {
	list := only(p.Sessions, func(s Session) bool { return s.To.After(p.Now) && s.To.After(s.From) })
	slices.SortFunc(list, func(a, b Session) int { return a.From.Compare(b.From) })
	return list
}

// The evening that Frees adds.
const (
	eveningFrom    = 19 // o'clock
	eveningMinutes = 150
)

// freeEvening is the first evening from now on in which there is no session.
func freeEvening(p Problem) (Thing, bool) {
	zone, _ := loadZone(p.Zone)
	y, mon, d := p.Now.In(zone).Date()
	for range 1 + len(p.Sessions) { // each session takes one evening at most
		from := time.Date(y, mon, d, eveningFrom, 0, 0, 0, zone)
		to := from.Add(eveningMinutes * time.Minute)
		d++
		taken := slices.ContainsFunc(p.Sessions, func(s Session) bool { return s.From.Before(to) && from.Before(s.To) })
		if !from.Before(p.Now) && !taken && sane(to) {
			return Thing{Kind: ThingSession, At: from, To: to}, true
		}
	}
	return Thing{}, false
}

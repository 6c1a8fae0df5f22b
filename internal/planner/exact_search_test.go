package planner_test

import (
	"cmp"
	"container/heap"
	"slices"
	"time"

	"axlestand/internal/planner"
)

// The exact evaluator. A plan of a small garage is a row of things that the hands do: stages, changes of the
// car on the lift, opening, closing, closing work, each as early as what comes before it allows. The evaluator
// goes through all such rows, forward in time, and drops a beginning only when another one has done the same
// things, is nowhere later and costs no more, or when it cannot end below a cost already known.
//
// It takes the same latitude as the rules: hands may idle, an access may be opened or closed at any time that
// suits, also to use up the rest of a session. Closing work ends a visit: once some of it is done nothing else
// is done on that car till all of it is; only what may stay open is open then, as when a car gets off the lift
// or onto it.
//
// Held once against an outside solver: clasp 3.3.5 (Debian) on 25 November 2026, with the same rules written anew
// as an answer set program in half hours, on 16 garages of 8 to 13 stages (half hours, every other one with
// immobile cars). In 8 clasp proved the evaluator's cost to be the least, in 5 it ended at the same cost without a
// proof in a minute, in 3 it had found only dearer plans by then.

// exactGarage is a garage in whole minutes since 1970.
type exactGarage struct {
	given    planner.Problem
	loc      *time.Location
	now      int
	change   int
	sessions []span
	lift     bool
	onLift   int // the car on the lift at now, or -1
	cars     int
	jobs     []exactJob
	access   []exactAccess
	closings []exactClosing
	parts    [][]exactLot // in the order in which they are promised
	slots    int          // of exactLabel.ready
}

type exactJob struct {
	car       int
	weight    int
	release   int
	due       int
	perDay    int
	once      int
	after     []exactAfter
	then      []exactAfter // those that come after it
	stages    []exactStage
	benchLeft []int // minutes of the bench stages from one stage on
	tail      int   // minutes of the waits after the last bench stage
}

type exactAfter struct{ job, gap int }

type exactStage struct {
	bench   bool
	minutes int
	lift    bool
	open    uint32 // accesses that must be open
	calls   uint32 // closing work
	needs   []exactNeed
	slot    int // where a label keeps when its parts are there, or -1
	from    bool
	until   bool
}

type exactNeed struct{ part, qty int }

type exactLot struct{ at, qty int }

type exactAccess struct {
	car, open, close int
	inside           uint32 // what must be open first
	stays            bool
}

type exactClosing struct{ car, minutes int }

// instantOf is a time in whole minutes.
func instantOf(t time.Time) int { return int(t.Unix() / 60) }

// endOfMoment is a moment where a day stands for its end, the next midnight of the zone.
func (g *exactGarage) endOfMoment(m planner.Moment) int {
	if m.Day {
		return instantOf(time.Date(m.Time.Year(), m.Time.Month(), m.Time.Day()+1, 0, 0, 0, 0, g.loc))
	}
	return instantOf(m.Time)
}

func (g *exactGarage) startOfMoment(m planner.Moment) int {
	if m.Day {
		return instantOf(time.Date(m.Time.Year(), m.Time.Month(), m.Time.Day(), 0, 0, 0, 0, g.loc))
	}
	return instantOf(m.Time)
}

// readGarage turns a problem of the family into a garage.
func readGarage(p planner.Problem) *exactGarage {
	g := &exactGarage{given: p, now: instantOf(p.Now), change: p.ChangeCarMinutes, onLift: -1, cars: len(p.Cars)}
	g.loc, _ = time.LoadLocation(p.Zone)
	g.lift = len(p.Resources) > 0
	for _, s := range p.Sessions {
		if to := instantOf(s.To); to > g.now {
			g.sessions = append(g.sessions, span{max(g.now, instantOf(s.From)), to})
		}
	}
	slices.SortFunc(g.sessions, func(a, b span) int { return a.from - b.from })
	car := func(id string) int {
		return slices.IndexFunc(p.Cars, func(c planner.Car) bool { return c.ID == id })
	}
	for c := range p.Cars {
		if p.Cars[c].OnLift {
			g.onLift = c
		}
	}
	for _, a := range p.Access {
		x := exactAccess{car: car(a.Car), open: a.OpenMinutes, close: a.CloseMinutes, stays: a.Stays}
		x.inside = g.accessSet(a.Inside)
		g.access = append(g.access, x)
	}
	for _, x := range p.Closing {
		g.closings = append(g.closings, exactClosing{car(x.Car), x.Minutes})
	}
	for _, part := range p.Parts {
		lots := []exactLot{}
		for _, a := range part.Arrivals {
			lots = append(lots, exactLot{max(g.now, g.endOfMoment(a.At[0])), a.Qty})
		}
		slices.SortStableFunc(lots, func(a, b exactLot) int { return a.at - b.at })
		g.parts = append(g.parts, append([]exactLot{{g.now, part.OnHand}}, lots...))
	}
	g.slots = len(p.Jobs)
	for i := range p.Jobs {
		g.jobs = append(g.jobs, g.readJob(&p.Jobs[i], car(p.Jobs[i].Car)))
	}
	for i := range g.jobs {
		for _, a := range g.jobs[i].after {
			g.jobs[a.job].then = append(g.jobs[a.job].then, exactAfter{i, a.gap})
		}
	}
	return g
}

// accessSet is the set of some accesses with all that they are inside.
func (g *exactGarage) accessSet(ids []string) uint32 {
	var set uint32
	for _, id := range ids {
		i := slices.IndexFunc(g.given.Access, func(a planner.Access) bool { return a.ID == id })
		set |= 1<<i | g.accessSet(g.given.Access[i].Inside)
	}
	return set
}

func (g *exactGarage) readJob(j *planner.Job, car int) exactJob {
	out := exactJob{
		car: car, weight: int(j.Weight), release: g.now, due: forever, perDay: int(j.LateCostPerDay), once: int(j.LateCost),
	}
	if !j.NotBefore.IsZero() {
		out.release = max(g.now, g.startOfMoment(j.NotBefore))
	}
	if !j.Due.IsZero() {
		out.due = g.endOfMoment(j.Due)
	}
	for _, a := range j.After {
		other := slices.IndexFunc(g.given.Jobs, func(o planner.Job) bool { return o.ID == a.Job })
		out.after = append(out.after, exactAfter{other, a.GapMinutes})
	}
	for k, s := range j.Stages {
		out.stages = append(out.stages, g.readStage(s, k))
	}
	out.benchLeft = make([]int, len(out.stages)+1)
	for k := len(out.stages) - 1; k >= 0; k-- {
		out.benchLeft[k] = out.benchLeft[k+1]
		if out.stages[k].bench {
			out.benchLeft[k] += out.stages[k].minutes
		} else if out.benchLeft[k] == 0 {
			out.tail += out.stages[k].minutes
		}
	}
	return out
}

func (g *exactGarage) readStage(s planner.Stage, k int) exactStage {
	x := exactStage{
		bench: s.Kind == planner.Bench, minutes: s.Minutes[1], lift: s.Needs[planner.Lift] > 0, slot: -1,
		open:  g.accessSet(s.Access),
		from:  s.Immobile == planner.ImmobileFrom || s.Immobile == planner.ImmobileWithin,
		until: s.Immobile == planner.ImmobileUntil || s.Immobile == planner.ImmobileWithin,
	}
	x.lift = x.lift || g.lift && x.from
	for _, id := range s.Closing {
		x.calls |= 1 << slices.IndexFunc(g.given.Closing, func(c planner.Closing) bool { return c.ID == id })
	}
	for _, n := range s.Parts {
		x.needs = append(x.needs, exactNeed{slices.IndexFunc(g.given.Parts, func(p planner.Part) bool { return p.ID == n.Part }), n.Qty})
	}
	if len(x.needs) > 0 && k > 0 {
		x.slot = g.slots
		g.slots++
	}
	return x
}

// workable is the first minute at or after t that lies in a session.
func (g *exactGarage) workable(t int) int {
	i, _ := slices.BinarySearchFunc(g.sessions, t, func(s span, t int) int { return cmp.Compare(s.to, t+1) })
	if i == len(g.sessions) {
		return forever
	}
	return max(t, g.sessions[i].from)
}

// whole is when an undivided piece of work can start at the earliest.
func (g *exactGarage) whole(t, minutes int) int {
	for _, s := range g.sessions {
		if from := max(t, s.from); from+minutes <= s.to && from < s.to {
			return from
		}
	}
	return forever
}

// leastPiece is the shortest piece that a stage is cut into.
const leastPiece = 20

// divided is the earliest end of a bench stage begun at t or later, and its pieces. Where the rest of a
// session would leave too short a piece for the next, the stage begins later in it.
func (g *exactGarage) divided(t, minutes int) (end int, pieces []span) {
	end = forever
	for i, s := range g.sessions {
		from := max(t, s.from)
		if from >= s.to {
			continue
		}
		if from >= end {
			break
		}
		if from+minutes <= s.to {
			if from+minutes < end {
				end, pieces = from+minutes, []span{{from, from + minutes}}
			}
			break // no later session is sooner
		}
		from = max(from, s.to-minutes+leastPiece)
		if s.to-from < leastPiece {
			continue
		}
		if e, row := g.goOn(i+1, minutes-(s.to-from)); e < end {
			end, pieces = e, append([]span{{from, s.to}}, row...)
		}
	}
	return end, pieces
}

// goOn is how a paused stage goes on from a session on with the minutes that are left.
func (g *exactGarage) goOn(i, left int) (end int, pieces []span) {
	for _, s := range g.sessions[i:] {
		switch {
		case s.length() >= left:
			return s.from + left, append(pieces, span{s.from, s.from + left})
		case s.length() < leastPiece || left-s.length() < leastPiece:
			panic("a session that a paused stage would leave out: not of the family")
		}
		pieces = append(pieces, s)
		left -= s.length()
	}
	return forever, nil
}

// exactKey is what has been done, whatever the times.
type exactKey struct {
	next   [16]uint8 // by job: its next stage
	lift   int8      // the car on the lift, or -1
	open   uint32
	owed   uint32 // closing work
	ending uint8  // cars whose closing work is begun
}

const maxSlots = 24

// exactLabel is one beginning of a plan.
type exactLabel struct {
	key    exactKey
	t      int
	late   int
	score  int             // weight times minutes, and 3 for each minute of overhead: in sixtieths
	ready  [maxSlots]int32 // after now: by job, when its next stage may start; then when parts of stages are there
	taken  [4]int8         // by part: pieces promised
	before *exactLabel
	did    exactDeed
	dead   bool
}

// exactDeed is one thing that the hands do.
type exactDeed struct {
	kind    string // "stage" or a kind of overhead
	of      int
	stage   int
	from    int
	to      int
	pieces  []span
	car     int
	sources [][]exactLot // of the parts promised to a job at its first stage: by need, in order
}

func (l *exactLabel) noWorse(o *exactLabel, slots int) bool {
	if l.t > o.t || l.late > o.late || l.late == o.late && l.score > o.score {
		return false
	}
	for i := range slots {
		if l.ready[i] > o.ready[i] {
			return false
		}
	}
	return true
}

type labelHeap []*exactLabel

func (h labelHeap) Len() int           { return len(h) }
func (h labelHeap) Less(i, j int) bool { return h[i].t < h[j].t }
func (h labelHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *labelHeap) Push(x any)        { *h = append(*h, x.(*exactLabel)) }
func (h *labelHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// exactCost is what is optimised, in whole numbers: money first, then weight times minutes with 3 for each
// minute of overhead.
type exactCost struct{ late, score int }

func (c exactCost) less(o exactCost) bool {
	return c.late < o.late || c.late == o.late && c.score < o.score
}

// exactSearch goes through the plans of a garage.
type exactSearch struct {
	*exactGarage
	plain  bool // brute force: nothing is dropped but what costs more than limit
	limit  exactCost
	best   *exactLabel
	cost   exactCost
	known  map[exactKey][]*exactLabel
	queue  labelHeap
	labels int
	most   int // labels; then it gives up
	ends   []int
	heavy  []int
}

// exact finds the best plan of a garage that costs no more than limit. It says false when there is none, or
// when it gave up after so many beginnings.
func (g *exactGarage) exact(limit exactCost, most int, plain bool) (s *exactSearch, ok bool) {
	s = &exactSearch{exactGarage: g, plain: plain, limit: limit, cost: limit, known: map[exactKey][]*exactLabel{}, most: most}
	first := &exactLabel{t: g.workable(g.now)}
	first.key.lift = int8(g.onLift)
	for j := range g.jobs {
		first.ready[j] = g.after(g.jobs[j].release, first.t)
	}
	s.push(first)
	for len(s.queue) > 0 && s.labels < s.most {
		l := heap.Pop(&s.queue).(*exactLabel)
		if l.dead || s.tooDear(l) {
			continue
		}
		s.expand(l)
	}
	return s, s.best != nil && s.labels < s.most
}

// after is a ready time as a label keeps it: minutes after now, moved on to where somebody can work, and all
// times that are over alike.
func (g *exactGarage) after(t, now int) int32 {
	return int32(min(max(g.workable(t), now)-g.now, 1<<30))
}

func (s *exactSearch) push(l *exactLabel) {
	if s.tooDear(l) {
		return
	}
	for i := range s.slots {
		if i < len(s.jobs) && int(l.key.next[i]) < len(s.jobs[i].stages) || l.ready[i] > 0 {
			l.ready[i] = max(l.ready[i], int32(l.t-s.now))
		}
	}
	if !s.plain {
		list := s.known[l.key]
		for _, o := range list {
			if o.noWorse(l, s.slots) {
				return
			}
		}
		kept := list[:0]
		for _, o := range list {
			if l.noWorse(o, s.slots) {
				o.dead = true
			} else {
				kept = append(kept, o)
			}
		}
		s.known[l.key] = append(kept, l)
	}
	s.labels++
	heap.Push(&s.queue, l)
}

// tooDear says whether no plan that begins so costs less than the best known, or than the limit while none is.
func (s *exactSearch) tooDear(l *exactLabel) bool {
	low := s.bound(l)
	return s.cost.less(low) || s.best != nil && !low.less(s.cost)
}

// bound is a cost that no plan that begins so stays below: each job alone from now on, and, another way, all of
// them one after the other, the shortest first, with the largest weight on the shortest.
func (s *exactSearch) bound(l *exactLabel) exactCost {
	c := exactCost{l.late, l.score}
	if s.plain {
		return c
	}
	s.ends, s.heavy = s.ends[:0], s.heavy[:0]
	alone, tails := 0, 0
	for j := range s.jobs {
		job := &s.jobs[j]
		k := int(l.key.next[j])
		if k == len(job.stages) {
			continue
		}
		end := s.minutesOn(max(l.t, s.now+int(l.ready[j])), job.benchLeft[k]) + job.tail
		alone += job.weight * (end - s.now)
		tails += job.weight * job.tail
		c.late += job.lateness(end)
		s.ends, s.heavy = append(s.ends, job.benchLeft[k]), append(s.heavy, job.weight)
	}
	slices.Sort(s.ends)
	slices.Sort(s.heavy)
	row, sum := tails, 0
	for i, minutes := range s.ends {
		sum += minutes
		row += s.heavy[len(s.heavy)-1-i] * (s.minutesOn(l.t, sum) - s.now)
	}
	c.score += max(alone, row) + s.toPutRight(l)
	return c
}

// toPutRight is the overhead that is due in any case: what is open must be closed, what is owed done.
func (s *exactSearch) toPutRight(l *exactLabel) int {
	sum := 0
	for a := range s.access {
		if l.key.open>>a&1 > 0 {
			sum += s.access[a].close
		}
	}
	for x := range s.closings {
		if l.key.owed>>x&1 > 0 {
			sum += s.closings[x].minutes
		}
	}
	return 3 * sum
}

// minutesOn is when so many minutes of sessions have passed since t.
func (g *exactGarage) minutesOn(t, minutes int) int {
	i, _ := slices.BinarySearchFunc(g.sessions, t, func(s span, t int) int { return cmp.Compare(s.to, t+1) })
	for ; i < len(g.sessions); i++ {
		from := max(t, g.sessions[i].from)
		if from+minutes <= g.sessions[i].to {
			return from + minutes
		}
		minutes -= g.sessions[i].to - from
	}
	return forever
}

func (j *exactJob) lateness(end int) int {
	if end <= j.due || j.due == forever {
		return 0
	}
	return j.once + j.perDay*((end-j.due+1439)/1440)
}

// expand tries all that the hands could do next.
func (s *exactSearch) expand(l *exactLabel) {
	if s.allDone(l) {
		total := exactCost{l.late, l.score + s.toPutRight(l)}
		if s.best == nil && !s.limit.less(total) || total.less(s.cost) {
			s.best, s.cost = l, total
		}
		return
	}
	for j := range s.jobs {
		s.tryStage(l, j)
	}
	for c := range s.cars {
		s.tryChange(l, c)
	}
	for a := range s.access {
		if l.key.open>>a&1 == 0 {
			s.tryOpen(l, a)
		} else {
			s.tryClose(l, a)
		}
	}
	for x := range s.closings {
		s.tryClosing(l, x)
	}
}

func (s *exactSearch) allDone(l *exactLabel) bool {
	for j := range s.jobs {
		if int(l.key.next[j]) < len(s.jobs[j].stages) {
			return false
		}
	}
	return true
}

// stuck says whether a car is immobile.
func (s *exactSearch) stuck(l *exactLabel, car int) bool {
	for j := range s.jobs {
		if s.jobs[j].car != car {
			continue
		}
		for k := int(l.key.next[j]) - 1; k >= 0; k-- {
			if st := &s.jobs[j].stages[k]; st.until {
				break
			} else if st.from {
				return true
			}
		}
	}
	return false
}

// mayBeMoved says whether a car's visit is over, or may be: nothing owed, open only what may stay so.
func (s *exactSearch) mayBeMoved(l *exactLabel, car int) bool {
	return s.owedOn(l, car) == 0 && s.closedUp(l, car) && !s.stuck(l, car)
}

func (s *exactSearch) owedOn(l *exactLabel, car int) uint32 {
	var set uint32
	for x := range s.closings {
		if s.closings[x].car == car {
			set |= l.key.owed & (1 << x)
		}
	}
	return set
}

func (s *exactSearch) closedUp(l *exactLabel, car int) bool {
	for a := range s.access {
		if x := &s.access[a]; x.car == car && !x.stays && l.key.open>>a&1 > 0 {
			return false
		}
	}
	return true
}

// next copies a beginning and adds a deed.
func (l *exactLabel) next(d exactDeed) *exactLabel {
	n := *l
	n.before, n.did, n.t, n.dead = l, d, d.to, false
	return &n
}

func (s *exactSearch) tryStage(l *exactLabel, j int) {
	job := &s.jobs[j]
	k := int(l.key.next[j])
	if k == len(job.stages) {
		return
	}
	st := &job.stages[k]
	for _, a := range job.after {
		if k == 0 && int(l.key.next[a.job]) < len(s.jobs[a.job].stages) {
			return
		}
	}
	if st.lift && int(l.key.lift) != job.car || st.open&^l.key.open > 0 || l.key.ending>>job.car&1 > 0 {
		return
	}
	from := max(l.t, s.now+int(l.ready[j]))
	d := exactDeed{kind: "stage", of: j, stage: k, car: job.car}
	n := l.next(d)
	if k == 0 {
		from = max(from, s.promise(n, j))
	} else if st.slot >= 0 {
		from = max(from, s.now+int(l.ready[st.slot]))
		n.ready[st.slot] = 0
	}
	end, pieces := s.divided(from, st.minutes)
	if end == forever {
		return
	}
	n.did.from, n.did.to, n.did.pieces, n.t = pieces[0].from, end, pieces, s.workable(end)
	n.key.owed |= st.calls
	s.advance(n, j, k+1, end)
	s.push(n)
}

// promise takes the parts of a job that begins, and returns when those of its first stage are there.
func (s *exactSearch) promise(l *exactLabel, j int) (first int) {
	first = s.now
	for k := range s.jobs[j].stages {
		st := &s.jobs[j].stages[k]
		for _, n := range st.needs {
			at, lots := s.take(n, int(l.taken[n.part]))
			l.taken[n.part] += int8(n.qty)
			l.did.sources = append(l.did.sources, lots)
			if k == 0 {
				first = max(first, at)
			} else {
				l.ready[st.slot] = max(1, l.ready[st.slot], s.after(at, s.now))
			}
		}
	}
	return first
}

// take is when so many pieces of a part are there after so many others.
func (s *exactSearch) take(n exactNeed, taken int) (at int, from []exactLot) {
	left := n.qty
	for _, lot := range s.parts[n.part] {
		skip := min(taken, lot.qty)
		taken -= skip
		if got := min(left, lot.qty-skip); got > 0 {
			left -= got
			at = max(at, lot.at)
			from = append(from, exactLot{lot.at, got})
		}
	}
	return at, from
}

// advance moves a job on to its next bench stage, over the waits before it, or to its end.
func (s *exactSearch) advance(l *exactLabel, j, k, end int) {
	job := &s.jobs[j]
	for k < len(job.stages) && !job.stages[k].bench {
		end += job.stages[k].minutes
		k++
	}
	l.key.next[j] = uint8(k)
	if k < len(job.stages) {
		l.ready[j] = s.after(end, l.t)
		return
	}
	l.ready[j] = 0
	l.late += job.lateness(end)
	l.score += job.weight * (end - s.now)
	for _, a := range job.then {
		l.ready[a.job] = max(l.ready[a.job], s.after(end+a.gap, l.t))
	}
}

// overhead adds undivided work.
func (s *exactSearch) overhead(l *exactLabel, kind string, of, car, minutes int) *exactLabel {
	from := s.whole(l.t, minutes)
	if from == forever {
		return nil
	}
	n := l.next(exactDeed{kind: kind, of: of, car: car, from: from, to: from + minutes})
	n.score += 3 * minutes
	n.t = s.workable(from + minutes)
	return n
}

func (s *exactSearch) tryChange(l *exactLabel, car int) {
	if !s.lift || int(l.key.lift) == car || !s.mayBeMoved(l, car) || l.key.lift >= 0 && !s.mayBeMoved(l, int(l.key.lift)) {
		return
	}
	if !s.toCome(l, func(j int, st *exactStage) bool { return s.jobs[j].car == car && st.lift }) {
		return
	}
	if n := s.overhead(l, "change", 0, car, s.change); n != nil {
		n.key.lift = int8(car)
		s.push(n)
	}
}

// toCome says whether some stage is to come that is so.
func (s *exactSearch) toCome(l *exactLabel, is func(j int, st *exactStage) bool) bool {
	for j := range s.jobs {
		for k := int(l.key.next[j]); k < len(s.jobs[j].stages); k++ {
			if is(j, &s.jobs[j].stages[k]) {
				return true
			}
		}
	}
	return false
}

func (s *exactSearch) tryOpen(l *exactLabel, a int) {
	x := &s.access[a]
	if x.inside&^l.key.open > 0 || l.key.ending>>x.car&1 > 0 {
		return
	}
	if !s.toCome(l, func(_ int, st *exactStage) bool { return st.open>>a&1 > 0 }) {
		return
	}
	if n := s.overhead(l, "open", a, x.car, x.open); n != nil {
		n.key.open |= 1 << a
		s.push(n)
	}
}

func (s *exactSearch) tryClose(l *exactLabel, a int) {
	x := &s.access[a]
	for o := range s.access {
		if l.key.open>>o&1 > 0 && s.access[o].inside>>a&1 > 0 {
			return
		}
	}
	if s.stuck(l, x.car) || l.key.ending>>x.car&1 > 0 {
		return
	}
	if n := s.overhead(l, "close", a, x.car, x.close); n != nil {
		n.key.open &^= 1 << a
		s.push(n)
	}
}

func (s *exactSearch) tryClosing(l *exactLabel, x int) {
	car := s.closings[x].car
	if l.key.owed>>x&1 == 0 || !s.closedUp(l, car) || s.stuck(l, car) {
		return
	}
	if n := s.overhead(l, "closing", x, car, s.closings[x].minutes); n != nil {
		n.key.owed &^= 1 << x
		n.key.ending |= 1 << car
		if s.owedOn(n, car) == 0 {
			n.key.ending &^= 1 << car
		}
		s.push(n)
	}
}

// finished is a beginning with everything done, closed and put right.
func (s *exactSearch) finished() *exactLabel {
	l := s.best
	for again := true; again; {
		again = false
		for a := range s.access {
			if x := &s.access[a]; l.key.open>>a&1 > 0 && !s.outer(l, a) && l.key.ending>>x.car&1 == 0 {
				l = s.overhead(l, "close", a, x.car, x.close)
				l.key.open &^= 1 << a
				again = true
			}
		}
	}
	for x := range s.closings {
		if l.key.owed>>x&1 > 0 {
			l = s.overhead(l, "closing", x, s.closings[x].car, s.closings[x].minutes)
			l.key.owed &^= 1 << x
		}
	}
	for a := len(s.access) - 1; a >= 0; a-- { // what stayed open over closing work that was begun
		if l.key.open>>a&1 > 0 {
			l = s.overhead(l, "close", a, s.access[a].car, s.access[a].close)
			l.key.open &^= 1 << a
		}
	}
	return l
}

// outer says whether something inside an access is open.
func (s *exactSearch) outer(l *exactLabel, a int) bool {
	for o := range s.access {
		if l.key.open>>o&1 > 0 && s.access[o].inside>>a&1 > 0 {
			return true
		}
	}
	return false
}

// deeds lists what the hands do in the best plan.
func (s *exactSearch) deeds() []exactDeed {
	var out []exactDeed
	for l := s.finished(); l.before != nil; l = l.before {
		out = append(out, l.did)
	}
	slices.Reverse(out)
	return out
}

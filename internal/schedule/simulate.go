package schedule

import (
	"cmp"
	"slices"
)

// Course is how things turn out: all that a plan can only estimate.
type Course struct {
	Minutes []int   // by stage, job after job
	Arrives []int   // by subject
	Lots    [][]int // by material and lot; lots that jobs free come when those end
	Orders  []int   // by material
	// Ends is when a clock stage ends that has its own way of ending; nil is
	// as the problem says.
	Ends func(stage, start int) int
}

// Simulator carries a schedule out under one course after another. Whoever
// works by a schedule keeps to its order and is not bound to its times: as soon
// as the hands are free they take the first thing in the order that can begin
// at that point, so that one late material does not stop everything behind it.
//
// It knows sessions, pauses, tools, helpers, setups, closings, the place, holds,
// blackouts, material (which stays promised as the schedule promised it) and
// pins, which it takes as releases. It does not look ahead as the decoder does.
// Where the schedule holds a stage back for reasons that only a look-ahead
// sees, the simulator is told to: see calibrate.
//
// A simulator is not safe for several goroutines at once. Run allocates nothing.
type Simulator struct {
	in       *instance
	blocks   []turn  // in the order of the schedule
	byStage  []int   // block of a stage id, None for what runs by itself
	ofSubj   [][]int // blocks of a subject
	sources  [][]source
	freedFor [][]int // stage ids that a job frees material for
	jobOf    []int   // by stage id
	placed   []bool  // by job
	bench    []int   // first bench stage of a job
	cum      []int   // hands minutes before each session
	blackCum [][]int // hands minutes before each blackout

	course *Course
	t      int
	si     int // the session that holds t or comes next
	busy   Span
	event  int
	head   int // every block before it is done
	// Every block before placeHead is done or does not need the place.
	placeHead int
	left      int // blocks with stages that are not done

	ready   []int   // by block: from then on it may begin; never while something is missing
	soonest []int   // by row of blocks: none of them is ready before
	armed   []int   // ready without regard to what is held back
	behind  [][]int // by block: those kept behind it
	done    []bool
	began   []int
	// Blocks that wait for a block to be done, as a list linked by index.
	waitFirst, waitNext []int
	waiting             []bool
	over                []int
	at                  []int // by ending: how many of its items are behind it
	next                []int // by job
	waits               []int // by job
	jobFrom             []int // by job: when what comes before its next stage ended
	ends                []int // by job

	subj      []simSubject
	open      []bool
	owed      []bool
	held      []bool
	onPlace   int
	nextBlack int // nothing happens to blackouts before then
	booked    bookings

	// Of the layout under trial.
	items  []simItem
	pieces []Span
	stops  []Span // by stage of the block
	leaves int
	leaver int  // who would leave the place at this point, unasked while nobody asked
	shut   bool // nobody can be put onto the place at this point
}

const unasked = -2

// simSubject is the state of a subject.
type simSubject struct {
	onPlace, inVisit           bool
	stuck, until, freeAt, last int
	black                      int // the first blackout that is not over
	cursor                     int // the first of its blocks that is not done
	owing                      int // minutes to make it whole
}

// simItem is overhead of a layout under trial.
type simItem struct {
	kind    ItemKind
	subject int
	of      int
	from    int
	minutes int
	cal     calendar
}

// turn is what the hands, or others beside them, begin at one go: stages of a
// job tied together, or overhead that ends a visit.
type turn struct {
	job, k, end int // stages k to end; job None: an ending
	subject     int
	from, to    int // in the schedule, with what comes before it
	hand        bool
	bench       bool
	place       bool // has to be on the place
	holds       bool // makes stuck
	opens       []int
	items       []Item // of an ending
	minutes     int    // as estimated
	span        int    // from the beginning to the end of the hold that it begins
	counts      []counted
	frees       []int // jobs that must have ended before a hold begins
	release     int   // held back by the schedule: not before, ...
	behind      int   // ... or not before that block is over; None: no such block
	lag         int   // ... and for so long
}

// source is where a stage's material comes from.
type source struct {
	kind          Source
	material, lot int
	job           int
}

// counted is material that a hold will need and that may be counted on, when it
// is not there yet, from one time on until it is overdue.
type counted struct {
	source
	from, due int
}

// NewSimulator prepares to carry out a schedule of a problem.
func NewSimulator(p *Problem, r *Result) *Simulator {
	s := &Simulator{in: prepare(p)}
	s.layBlocks(r)
	s.laySources(r)
	s.layHolds(r)
	s.layTime()
	s.makeState()
	s.calibrate()
	return s
}

// Likely is the course in which everything is as the schedule took it.
func (s *Simulator) Likely() *Course {
	c := &Course{}
	for j := range s.in.Jobs {
		for k := range s.in.Jobs[j].Stages {
			c.Minutes = append(c.Minutes, s.in.Jobs[j].Stages[k].Minutes)
		}
	}
	for i := range s.in.Subjects {
		c.Arrives = append(c.Arrives, s.in.Subjects[i].Arrives)
	}
	for m := range s.in.Materials {
		mat := &s.in.Materials[m]
		lots := make([]int, len(mat.Lots))
		for i := range lots {
			lots[i] = mat.Lots[i].At
		}
		c.Lots, c.Orders = append(c.Lots, lots), append(c.Orders, mat.OrderAt)
	}
	return c
}

// layBlocks turns the schedule into blocks in the order in which it begins
// them.
func (s *Simulator) layBlocks(r *Result) {
	in := s.in
	placed := make([]*Placed, in.stages)
	for i := range r.Placed {
		placed[in.base[r.Placed[i].Job]+r.Placed[i].Stage] = &r.Placed[i]
	}
	for j := range in.Jobs {
		s.placed = append(s.placed, len(in.acts[j]) > 0 && placed[in.base[j]] != nil)
		s.bench = append(s.bench, in.firstBench(j))
		for range in.acts[j] {
			s.jobOf = append(s.jobOf, j)
		}
		if !s.placed[j] {
			continue
		}
		for k := 0; k < len(in.acts[j]); k = in.acts[j][k].block {
			if a := &in.acts[j][k]; a.Bench || a.heavy {
				s.blocks = append(s.blocks, s.stageBlock(j, k, placed))
			}
		}
	}
	s.layItems(in.itemsOf(r))
	slices.SortStableFunc(s.blocks, func(a, b turn) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.job, b.job), cmp.Compare(a.k, b.k))
	})
	s.joinEndings()
	s.byStage, s.ofSubj = make([]int, in.stages), make([][]int, len(in.Subjects))
	for id := range s.byStage {
		s.byStage[id] = None
	}
	for i := range s.blocks {
		b := &s.blocks[i]
		s.ofSubj[b.subject] = append(s.ofSubj[b.subject], i)
		for k := b.k; k < b.end; k++ {
			s.byStage[in.base[b.job]+k] = i
		}
	}
}

// itemsOf lists the overhead of a schedule. To be moved onto the place is part of
// it also where that takes no time and is not written down.
func (in *instance) itemsOf(r *Result) (out []Item) {
	for i := range r.Visits {
		v := &r.Visits[i]
		if v.OnPlace && in.Move == 0 {
			out = append(out, Item{Move, v.Subject, None, Span{v.From, v.From}})
		}
		out = append(out, v.Items...)
	}
	return out
}

// rank orders blocks that begin at the same time: endings of no length, then
// what runs beside the hands, then the hands.
func (b *turn) rank() int {
	switch {
	case b.job == None:
		return 0
	case !b.hand:
		return 1
	}
	return 2
}

func (s *Simulator) stageBlock(j, k int, placed []*Placed) turn {
	in := s.in
	a := &in.acts[j][k]
	b := turn{
		job: j, k: k, end: a.block, subject: in.Jobs[j].Subject, bench: a.Bench, behind: None,
		from: placed[a.id].From, to: placed[a.id+a.block-1-k].To, hand: a.Bench && in.byHand(j, k, a.block),
	}
	for i := k; i < b.end; i++ {
		a := &in.acts[j][i]
		b.minutes += a.Minutes
		b.holds = b.holds || a.Hold == From || a.Hold == Within
		b.place = b.place || a.Place
		for _, o := range a.opens {
			if !slices.Contains(b.opens, o) {
				b.opens = append(b.opens, o)
			}
		}
	}
	b.place = in.HasPlace && (b.place || b.holds)
	return b
}

// layItems adds the overhead that leads up to no block.
func (s *Simulator) layItems(items []Item) {
	slices.SortStableFunc(items, func(a, b Item) int { return cmp.Compare(a.From, b.From) })
	for _, it := range s.takeLead(items) {
		s.blocks = append(s.blocks, itemTurn(it))
	}
	for _, it := range items {
		if it.Kind == Close || it.Kind == Finish {
			s.blocks = append(s.blocks, itemTurn(it))
		}
	}
}

// itemTurn is a piece of overhead that is done by itself.
func itemTurn(it Item) turn {
	return turn{job: None, subject: it.Subject, from: it.From, to: it.To, hand: true, items: []Item{it}, behind: None}
}

// takeLead lets each block begin with the moving and opening that come just
// before it: what the first block after it on its subject needs. It returns what
// is done ahead, with other work or the end of a session between.
func (s *Simulator) takeLead(items []Item) (ahead []Item) {
	of := make([][]int, len(s.in.Subjects))
	start, leads := make([]int, len(s.blocks)), make([][]Item, len(s.blocks))
	for i := range s.blocks {
		of[s.blocks[i].subject] = append(of[s.blocks[i].subject], i)
		start[i] = s.blocks[i].from
	}
	for _, list := range of {
		slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(start[a], start[b]) })
	}
	for _, it := range items {
		if it.Kind != Open && it.Kind != Move {
			continue
		}
		list := of[it.Subject]
		first, _ := slices.BinarySearchFunc(list, it.To, func(i, t int) int { return cmp.Compare(start[i], t) })
		for _, i := range list[first:] {
			if b := &s.blocks[i]; it.Kind == Move && b.place || it.Kind == Open && slices.Contains(b.opens, it.Of) {
				leads[i] = append(leads[i], it)
				break
			}
		}
	}
	for i, list := range leads {
		b := &s.blocks[i]
		n := len(list)
		for ; n > 0 && s.in.session(list[n-1].From) == s.in.session(b.from) && s.leadsTo(list[n-1].To, b.from, start, items); n-- {
			b.from = list[n-1].From
		}
		ahead = append(ahead, list[:n]...)
	}
	slices.SortStableFunc(ahead, func(a, b Item) int { // what is moved at a time is opened after that
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(b.Kind, a.Kind))
	})
	return ahead
}

// leadsTo says whether from one time to another the hands do nothing.
func (s *Simulator) leadsTo(from, to int, start []int, items []Item) bool {
	if from == to {
		return true
	}
	for i, at := range start {
		if s.blocks[i].hand && from <= at && at < to {
			return false
		}
	}
	return !slices.ContainsFunc(items, func(it Item) bool { return from <= it.From && it.From < to })
}

// joinEndings makes one block of what ends a visit without anything between.
func (s *Simulator) joinEndings() {
	out := s.blocks[:0]
	for _, b := range s.blocks {
		if n := len(out); n > 0 && b.job == None && out[n-1].job == None && out[n-1].subject == b.subject {
			out[n-1].items = append(out[n-1].items, b.items...)
			out[n-1].to = b.to
			continue
		}
		out = append(out, b)
	}
	s.blocks = out
}

// laySources notes where each stage's material comes from.
func (s *Simulator) laySources(r *Result) {
	s.sources, s.freedFor = make([][]source, s.in.stages), make([][]int, len(s.in.Jobs))
	left := make([][]int, len(s.in.Materials))
	for m := range left {
		for _, l := range s.in.Materials[m].Lots {
			left[m] = append(left[m], l.Qty)
		}
	}
	for i := range r.Promises {
		p := &r.Promises[i]
		id := s.in.base[p.Job] + p.Stage
		switch p.Source {
		case Freed:
			s.sources[id] = append(s.sources[id], source{kind: Freed, material: p.Material, job: p.Of})
			s.freedFor[p.Of] = append(s.freedFor[p.Of], id)
		case Ordered:
			s.sources[id] = append(s.sources[id], source{kind: Ordered, material: p.Material})
		case Dated:
			want := p.Qty
			for l, lot := range s.in.Materials[p.Material].Lots {
				if n := min(want, left[p.Material][l]); n > 0 && lot.Job == None && lot.At == p.At {
					left[p.Material][l] -= n
					want -= n
					s.sources[id] = append(s.sources[id], source{kind: Dated, material: p.Material, lot: l})
				}
			}
		}
	}
}

// layHolds notes for the blocks that begin a hold how long it lasts and what it
// relies on.
func (s *Simulator) layHolds(r *Result) {
	at := make([]Span, s.in.stages)
	for i := range r.Placed {
		at[s.in.base[r.Placed[i].Job]+r.Placed[i].Stage] = r.Placed[i].Span
	}
	for i := range s.blocks {
		b := &s.blocks[i]
		for k := b.k; k < b.end; k++ {
			for _, h := range s.in.holdFrom[s.in.base[b.job]+k] {
				s.layHold(b, &s.in.holds[h], at)
			}
		}
	}
}

func (s *Simulator) layHold(b *turn, h *hold, at []Span) {
	if h.untilJob == None {
		return
	}
	b.span = at[s.in.base[h.untilJob]+h.untilAt].To - b.from
	jobs := append([]int{b.job}, h.chain...)
	for _, j := range jobs {
		first, last := 0, len(s.in.acts[j])
		if j == b.job {
			first = b.end
		}
		if j == h.untilJob {
			last = h.untilAt + 1
		}
		for k := first; k < last; k++ {
			if id := s.in.base[j] + k; at[id].From >= b.from {
				s.relyOn(b, s.sources[id], jobs)
			}
		}
	}
}

func (s *Simulator) relyOn(b *turn, list []source, chain []int) {
	for _, x := range list {
		due := 0
		switch x.kind {
		case Freed:
			if !slices.Contains(chain, x.job) && !slices.Contains(b.frees, x.job) {
				b.frees = append(b.frees, x.job)
			}
			continue
		case Ordered:
			due = s.in.Materials[x.material].OrderAt
		case Dated:
			due = s.in.Materials[x.material].Lots[x.lot].At
		}
		b.counts = append(b.counts, counted{x, min(due, b.from), due})
	}
}

// layTime works out how many minutes the hands have before each session and
// each blackout.
func (s *Simulator) layTime() {
	n := 0
	for _, x := range s.in.plain {
		s.cum = append(s.cum, n)
		n += x.To - x.From
	}
	s.cum = append(s.cum, n)
	for c := range s.in.Subjects {
		var list []int
		for _, b := range s.in.Subjects[c].Blackouts {
			list = append(list, s.handsBefore(b.From))
		}
		s.blackCum = append(s.blackCum, list)
	}
}

// handsBefore is how many minutes of sessions lie before a time.
func (s *Simulator) handsBefore(t int) int {
	i := s.in.plain.at(t)
	if i == len(s.in.plain) {
		return s.cum[i]
	}
	return s.cum[i] + max(0, t-s.in.plain[i].From)
}

// calibrate finds what the schedule holds back for reasons that the simulator
// does not see, by running the likely course: a block that begins before its
// time is kept behind the one that the hands did before it in the schedule or,
// where that is not it, is not begun before its time.
func (s *Simulator) calibrate() {
	likely := s.Likely()
	few := 1 + len(s.blocks)/50 // at once, so that it does not take long with many
	for range 3 * len(s.blocks) / few {
		s.Run(likely)
		fixed := 0
		for i, last := 0, None; i < len(s.blocks) && fixed < few; i++ {
			b := &s.blocks[i]
			if (s.done[i] || b.job == None) && s.began[i] < b.from {
				s.holdBack(i, last)
				fixed++
			}
			if b.hand {
				last = i
			}
		}
		if fixed == 0 {
			return
		}
	}
}

// holdBack keeps a block behind the one before it, then as long after it as in
// the schedule, then to its time.
func (s *Simulator) holdBack(i, last int) {
	b := &s.blocks[i]
	b.release = b.from
	if b.behind != None && (b.lag > 0 || s.blocks[b.behind].to == b.from) || last == None || s.blocks[last].to > b.from {
		s.unhold(i)
		return
	}
	if s.over[last] <= s.began[i] || b.behind != None {
		b.lag = b.from - s.blocks[last].to
	}
	if b.behind == None {
		b.behind = last
		s.behind[last] = append(s.behind[last], i)
	}
}

func (s *Simulator) unhold(i int) {
	if p := s.blocks[i].behind; p != None {
		s.behind[p] = slices.DeleteFunc(s.behind[p], func(o int) bool { return o == i })
		s.blocks[i].behind = None
	}
}

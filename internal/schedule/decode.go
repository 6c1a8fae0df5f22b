package schedule

import (
	"cmp"
	"slices"
)

// order drives a decode: which job goes first where nothing else decides, and
// some habits.
type order struct {
	jobs     []int // all jobs, the first first
	at       []int // by block, where it stands in a sequence; nil: as its job does
	sticky   bool  // go on with the subject at hand while it has something to do
	wait     bool  // begin nothing that would still run when a job further up could start
	anchored bool  // begin nothing in an earlier session than before
	patient  bool  // end no visit as long as later work needs what is open or owed, however far off it is
}

// decoder turns an order into a schedule, forward in time and without taking
// anything back.
type decoder struct {
	in      *instance
	order   order
	rank    []int
	dropped []bool // jobs that are not to be placed
	waived  []bool // jobs for which nothing is kept

	s      *state
	prog   []jobState
	ready  []int // jobs whose prerequisites are placed and that have a stage left, by rank
	begun  []int // jobs begun, in that order, also those done since
	urgent []int // jobs in the way of freeing a stuck subject
	ledger *ledger
	taken  int // where the taking under way begins
	event  int // the next time at which something may be possible that is not now

	supplyAt  []int // by stage id
	supplyWhy []Reason
	booked    bookings
	heldSince []int // by hold
	eager     bool  // in play: tied stages do not wait for their materials, so that it shows when those come late
	wanted    []int // by setup: stages to come that need it
	called    []int // by closing: stages to come that call for it
	needPlace []int // by subject: stages to come that need the place
	pins      []int // pinned jobs to come whose pin can be kept, first pin first

	forgiven  []int  // by subject: blackouts up to then cannot be kept free
	exempt    []bool // by subject: cannot be put right at all
	hopeless  []int  // by subject: what is open and owed without remedy
	simTaken  []bool
	played    []played
	playStamp int
	users     [][]int // by setup: jobs that used it since it was opened
	callers   [][]int // by closing: jobs that called for it in this visit

	// Of the last decision that used the hands.
	decision int
	handJob  int
	handEnd  int
	freed    []int // by subject: when it could be moved again
	skipped  []skip
	gaveWay  []bool   // by job: whether another job ever waited for its pin
	yielded  []int    // pinned jobs for whose pin another one waits in this step
	waited   []bool   // by job: whether it ever waited for what others were to have
	shorts   [][]int  // by job: the materials for want of which it was blocked
	dropWhy  []Reason // by job: why it was dropped
	broken   []bool   // by subject: whether it was not whole in time after all
	lastWhy  []Reason // by job: why it was passed over last
	visit    []int    // by subject: its visit in result, or None

	trying, playing, pinning *state // to play with
	spare, asIs              *state
	owing                    []debt
	list, stamped            []int
	stamp                    int
	sims                     []simJob
	offender                 debt
	playList, tidyList       []int
	heldBack                 bool // something could have begun in this step and was to wait
	pressed                  bool // nothing may wait in this step, since a pin would be lost for it
	endable                  bool // whether all begun could be ended at that decision
	endableAt, decisions     int
	uses                     int // the subject of which the decision under trial uses setups, or None
	barrier                  int // a subject stuck from the start that would not be freed after something tried in this step, or None
	begins                   int // when the decision under trial begins a hold, or None

	result Result
}

// jobState is how far a job has come.
type jobState struct {
	next    int // its next stage
	waits   int // prerequisites not placed
	ready   int // when the stage before the next one ends
	end     int
	done    bool
	blocked bool
	readyBy Reason
	notYet  int // before then its next stage need not be tried
}

// skip notes why a job was passed over at a decision.
type skip struct {
	decision int
	why      Reason
}

func newDecoder(in *instance, o order, dropped, waived []bool) *decoder {
	n, stages, subjects := len(in.Jobs), in.stages, len(in.Subjects)
	d := &decoder{
		in: in, order: o, dropped: dropped, waived: waived, rank: make([]int, n), s: firstState(in), prog: make([]jobState, n),
		ledger: newLedger(in), supplyAt: make([]int, stages), supplyWhy: make([]Reason, stages),
		booked: newBookings(in), heldSince: make([]int, len(in.holds)),
		wanted: make([]int, len(in.Setups)), called: make([]int, len(in.Closings)), needPlace: make([]int, subjects), forgiven: make([]int, subjects), exempt: make([]bool, subjects),
		hopeless: make([]int, subjects), freed: make([]int, subjects), simTaken: make([]bool, n), played: make([]played, n),
		users: make([][]int, len(in.Setups)), callers: make([][]int, len(in.Closings)), handJob: None, handEnd: in.Now,
		skipped: make([]skip, n), lastWhy: make([]Reason, n), shorts: make([][]int, n), waited: make([]bool, n), broken: make([]bool, subjects), gaveWay: make([]bool, n), stamped: make([]int, n), visit: make([]int, subjects), endableAt: -1,
		trying: newState(in), playing: newState(in), pinning: newState(in), spare: newState(in), asIs: newState(in),
	}
	for i, j := range o.jobs {
		d.rank[j] = len(o.at) + i
	}
	for j := range in.Jobs {
		d.takeRank(j)
	}
	for c := range d.visit {
		d.visit[c] = None
		d.forgiven[c] = -1
		d.hopeless[c] = d.s.subj[c].open
	}
	d.result.Ends = make([]int, n)
	for j := range in.Jobs {
		d.result.Ends[j] = None
		d.skipped[j].decision = -1
		d.prog[j].waits = len(in.Jobs[j].After)
		for k := range in.acts[j] {
			d.want(j, k, 1)
		}
	}
	return d
}

// run decodes the order.
func (d *decoder) run() {
	d.begin()
	d.calibrate()
	d.choosePins()
	for d.step() {
	}
}

// begin takes out what has no place and makes ready what waits for nothing.
func (d *decoder) begin() {
	for j := range d.prog {
		if d.dropped[j] && !d.prog[j].blocked {
			d.block(j)
		}
	}
	d.blockShort()
	for j := range d.prog {
		if d.prog[j].waits == 0 && !d.prog[j].blocked {
			d.makeReady(j)
		}
	}
}

// blockShort blocks the jobs that need more of a material than there will ever
// be, so that nothing is kept for them.
func (d *decoder) blockShort() {
	for again := true; again; {
		again = false
		for j := range d.prog {
			for k := range d.in.acts[j] {
				for _, n := range d.in.acts[j][k].Needs {
					if !d.prog[j].blocked && !d.in.Materials[n.Material].Orderable && d.left(n.Material) < d.in.need(j, n.Material) {
						d.block(j)
						d.shorts[j] = append(d.shorts[j], n.Material)
						again = true
					}
				}
			}
		}
	}
}

// takeRank gives a job the rank of its next block.
func (d *decoder) takeRank(j int) {
	if d.order.at == nil {
		return
	}
	for k := d.prog[j].next; k < len(d.in.acts[j]); k++ {
		if b := d.in.blockAt[d.in.base[j]+k]; b != None {
			if d.order.at[b] != None {
				d.rank[j] = d.order.at[b]
			}
			return
		}
	}
}

// enlist puts a job among those that are ready, by rank.
func (d *decoder) enlist(j int) {
	i, _ := slices.BinarySearchFunc(d.ready, j, func(a, b int) int { return cmp.Or(d.rank[a]-d.rank[b], a-b) })
	d.ready = slices.Insert(d.ready, i, j)
}

// makeReady lets a job take part: all before it is placed.
func (d *decoder) makeReady(j int) {
	p := &d.prog[j]
	r := d.in.release(j)
	p.ready, p.readyBy = r.at, r.why
	for _, l := range d.in.Jobs[j].After {
		if at := d.prog[l.Job].end + l.Gap; at > p.ready {
			p.ready, p.readyBy = at, Reason{ByJob, l.Job, at}
		}
	}
	d.anchor(j)
	d.enlist(j)
}

// anchor keeps a job's next block from an earlier session than the one it was
// in before.
func (d *decoder) anchor(j int) {
	p := &d.prog[j]
	a := &d.in.acts[j][p.next]
	if !d.order.anchored || !a.Bench || a.Before == 0 {
		return
	}
	if at := d.in.sessionStart(a.Before); at < never && at > p.ready {
		p.ready, p.readyBy = at, Reason{Kind: ByRelease, Until: at}
	}
}

// moment is a time and what sets it.
type moment struct {
	at  int
	why Reason
}

func (m *moment) later(at int, kind Kind, of int) {
	if at > m.at {
		*m = moment{at, Reason{kind, of, at}}
	}
}

// release is the earliest start of a job by what was given with it alone.
func (in *instance) release(j int) moment {
	job := &in.Jobs[j]
	m := moment{in.Now, Reason{Kind: ByNow}}
	m.later(in.Subjects[job.Subject].Arrives, ByArrival, job.Subject)
	m.later(job.Release, ByRelease, None)
	if job.Pinned && !in.startsOnClock(j) {
		m.later(in.pinStart(j), ByPin, None)
	}
	return m
}

// startsOnClock says whether clock stages come before a job's first bench
// stage: they may run before the pinned session.
func (in *instance) startsOnClock(j int) bool {
	return !in.acts[j][0].Bench && in.firstBench(j) != None
}

func (in *instance) firstBench(j int) int {
	return slices.IndexFunc(in.Jobs[j].Stages, func(s Stage) bool { return s.Bench })
}

// pinStart is the time before which a pinned job's first bench stage does not
// start.
func (in *instance) pinStart(j int) int {
	if s := in.Jobs[j].Pin; s != None {
		return in.Sessions[s].From
	}
	return in.Jobs[j].PinAt
}

// block takes a job out that cannot be placed, and with it all that come
// after it.
func (d *decoder) block(j int) {
	if d.prog[j].blocked || d.prog[j].done {
		return
	}
	d.prog[j].blocked = true
	d.unwant(j, d.prog[j].next, len(d.in.acts[j]))
	if i := slices.Index(d.ready, j); i >= 0 {
		d.ready = slices.Delete(d.ready, i, i+1)
	}
	if i := slices.Index(d.pins, j); i >= 0 {
		d.pins = slices.Delete(d.pins, i, i+1)
	}
	for _, l := range d.in.next[j] {
		d.block(l.Job)
	}
}

func (d *decoder) unwant(j, from, to int) {
	for k := from; k < to; k++ {
		d.want(j, k, -1)
	}
}

func (d *decoder) want(j, k, n int) {
	for _, a := range d.in.acts[j][k].opens {
		d.wanted[a] += n
	}
	for _, f := range d.in.acts[j][k].Closings {
		d.called[f] += n
	}
	if d.in.acts[j][k].Place {
		d.needPlace[d.in.Jobs[j].Subject] += n
	}
}

// step takes one decision, or moves time on to where one may be possible. It
// says whether there is more to do.
func (d *decoder) step() bool {
	d.event, d.barrier, d.yielded = never, None, d.yielded[:0]
	if t, ok := d.in.plain.from(d.s.t); ok {
		d.s.t = t
		if t >= d.s.busy.From && t < d.s.busy.To {
			d.s.t = d.s.busy.To
			return true
		}
	}
	if d.closeJustInTime() {
		return true
	}
	d.notWhole()
	d.s.leaveForBlackouts(d.in)
	d.missPins()
	return d.startClocks(d.s.t) || d.endVisits() || d.choose() || d.idle()
}

// notWhole notes the subjects that are not whole though their blackout has
// come. The look-ahead keeps that from happening; should it fail, the decode
// is void.
func (d *decoder) notWhole() {
	for c := range d.s.subj {
		s := &d.s.subj[c]
		if d.exempt[c] || s.stuck+s.open+s.owed == 0 {
			continue
		}
		for _, b := range d.in.Subjects[c].Blackouts[s.black:] { // also those that time has passed over
			if b.From <= d.s.t && b.From > d.forgiven[c] {
				d.broken[c] = true
			}
		}
	}
}

// at notes that something may be possible at a later time.
func (d *decoder) at(t int) {
	if t > d.s.t && t < d.event {
		d.event = t
	}
}

// idle lets time pass to the next event. Before it would pass a point of no
// return, what has to be put right is.
func (d *decoder) idle() bool {
	if d.s.busy.To > d.s.t {
		d.at(d.s.busy.To)
	}
	if d.event == never {
		return d.putRight(false) || d.letGo() || d.giveUp()
	}
	x := d.trying
	x.become(d.s)
	x.t = d.event
	if _, _, bad := d.unsafe(x, d.playing, d.s.t, progress{job: None}); bad && (d.putRight(true) || d.yieldPin() || d.putRight(false)) {
		return true
	}
	d.pressed = d.heldBack && d.breaksPin(x, progress{job: None}) != None
	if !d.pressed && !d.dropYielded() {
		d.s.t = d.event
	}
	return true
}

package schedule

// A draft reckons what a sequence of blocks comes to, without looking ahead
// and without reasons: one block after the other, each as early as it can be
// after the one before it. It is a hundred times quicker than a decode, so a
// search goes through thousands of drafts and carries out the best of them. It
// turns down sequences that run into what a look-ahead would have kept them
// from.
type draft struct {
	in     *instance
	search *search
	state
	jobs     []draftJob
	onHand   []int // by material
	lots     []int // by material and lot
	supplyAt []int // by stage id
	wanted   []int // by setup: blocks to come that use it
	called   []int // by closing: blocks to come that call for it
	since    []int // by hold
	cost     Cost
	saved    state
	latest   int        // when the stages of the next session were that have come
	left     int64      // weight of the jobs that have not ended
	over     []overhead // to play with
	row      *[]stroke  // what the hands do, where it is wanted
}

// draftJob is how far a job has come.
type draftJob struct {
	waits int // jobs before it that have not ended
	ready int // when its next stage may start
	next  int // its next block
	begun bool
	end   int // None as long as it has not ended
}

// overhead is a piece of overhead to be laid out.
type overhead struct {
	stroke
	minutes int
	cal     calendar
}

func newDraft(s *search) *draft {
	in := s.in
	n := 0
	for m := range in.Materials {
		n += len(in.Materials[m].Lots)
	}
	return &draft{
		in: in, search: s, state: *newState(in), saved: *newState(in), jobs: make([]draftJob, len(in.Jobs)), onHand: make([]int, len(in.Materials)), lots: make([]int, n),
		supplyAt: make([]int, in.stages), wanted: make([]int, len(in.Setups)), called: make([]int, len(in.Closings)), since: make([]int, len(in.holds)),
	}
}

// copyFrom makes d equal to o.
func (d *draft) copyFrom(o *draft) {
	d.restore(&o.state)
	copy(d.jobs, o.jobs)
	copy(d.onHand, o.onHand)
	copy(d.lots, o.lots)
	copy(d.supplyAt, o.supplyAt)
	copy(d.wanted, o.wanted)
	copy(d.called, o.called)
	copy(d.since, o.since)
	d.cost, d.left, d.latest = o.cost, o.left, o.latest
}

// firstDraft is the bench at now, with the jobs of a sequence to come. Jobs
// outside it have no place and hold nobody up.
func (s *search) firstDraft() *draft {
	in := s.in
	d := newDraft(s)
	d.restore(firstState(in))
	i := 0
	for m := range in.Materials {
		d.onHand[m] = in.Materials[m].OnHand
		for _, lot := range in.Materials[m].Lots {
			d.lots[i] = lot.Qty
			i++
		}
	}
	for j := range d.jobs {
		if s.placed[j] {
			d.left += in.Jobs[j].Weight
		}
		d.jobs[j] = draftJob{ready: s.release[j], next: in.blocksOf[j].From, end: None}
		for _, l := range in.Jobs[j].After {
			if s.placed[l.Job] {
				d.jobs[j].waits++
			}
		}
		for b := in.blocksOf[j].From; b < in.blocksOf[j].To && s.placed[j]; b++ {
			d.want(b, 1)
		}
	}
	for j := range d.jobs {
		if s.placed[j] && d.jobs[j].waits == 0 && d.jobs[j].end == None && !d.leadsWithBlock(j) {
			d.begin(j)
		}
	}
	return d
}

func (d *draft) want(b, n int) {
	x := &d.in.blocks[b]
	for k := x.from; k < x.to; k++ {
		for _, a := range d.in.acts[x.job][k].opens {
			d.wanted[a] += n
		}
		for _, f := range d.in.acts[x.job][k].Closings {
			d.called[f] += n
		}
	}
}

// leadsWithBlock says whether a job's first stage needs a decision.
func (d *draft) leadsWithBlock(j int) bool { return d.in.blockAt[d.in.base[j]] != None }

// begin takes what a job needs and runs the clock stages that it begins with.
// It says whether there is enough.
func (d *draft) begin(j int) bool {
	d.jobs[j].begun = true
	if !d.supply(j) {
		return false
	}
	return d.runClocks(j, 0)
}

// runClocks runs the clock stages of a job that come next from stage k on.
func (d *draft) runClocks(j, k int) bool {
	x := &d.jobs[j]
	acts := d.in.acts[j]
	for ; k < len(acts) && d.in.blockAt[acts[k].id] == None; k++ {
		a := &acts[k]
		start := max(x.ready, d.supplyAt[a.id])
		i := a.cal.at(start)
		for ; i < len(a.cal); i++ {
			start = max(start, a.cal[i].From)
			if x.ready = a.ends(start); x.ready <= a.cal[i].To {
				break
			}
		}
		if i == len(a.cal) {
			return false
		}
		for _, h := range d.in.holdUntil[a.id] {
			if !d.endHold(h, x.ready) {
				return false
			}
		}
	}
	if k < len(acts) {
		return true
	}
	return d.ended(j)
}

// ended counts a job that has come to its end and lets those go on that waited
// for it.
func (d *draft) ended(j int) bool {
	x := &d.jobs[j]
	x.end = x.ready
	d.left -= d.in.Jobs[j].Weight
	d.cost.Late = addUpTo(d.cost.Late, d.in.Jobs[j].Late(x.end))
	d.cost.Weighted += d.in.Jobs[j].Weight * int64(x.end-d.in.Now)
	for _, l := range d.in.next[j] {
		o := &d.jobs[l.Job]
		o.ready = max(o.ready, x.end+l.Gap)
		if o.waits--; o.waits == 0 && !o.begun && !d.leadsWithBlock(l.Job) && !d.begin(l.Job) {
			return false
		}
	}
	return true
}

// supply takes a job's materials and notes when they are there.
func (d *draft) supply(j int) bool {
	for k := range d.in.acts[j] {
		a := &d.in.acts[j][k]
		at := d.in.Now
		for _, need := range a.Needs {
			t, ok := d.take(j, need)
			if !ok {
				return false
			}
			at = max(at, t)
		}
		d.supplyAt[a.id] = at
	}
	return true
}

// take takes so much of a material: what is on hand, dated lots, what jobs
// freed, orders.
func (d *draft) take(j int, need Need) (at int, ok bool) {
	mat, lots := &d.in.Materials[need.Material], d.lots[d.in.lotBase[need.Material]:]
	n := min(need.Qty, d.onHand[need.Material])
	d.onHand[need.Material] -= n
	at = d.in.Now
	want := need.Qty - n
	for i := 0; i < len(mat.Lots) && want > 0; i++ {
		if l := &mat.Lots[i]; l.Job == None && lots[i] > 0 {
			n := min(want, lots[i])
			lots[i] -= n
			want -= n
			at = max(at, l.At)
		}
	}
	for want > 0 {
		i, waits := d.nextFreed(j, need.Material)
		if i == None {
			if waits {
				return 0, false
			}
			break
		}
		n := min(want, lots[i])
		lots[i] -= n
		want -= n
		at = max(at, d.jobs[mat.Lots[i].Job].end)
	}
	if want > 0 && mat.Orderable {
		return max(at, mat.OrderAt), true
	}
	return at, want == 0
}

// nextFreed is the lot with something left whose job ended first. With none it
// says whether a job is still to free some.
func (d *draft) nextFreed(j, m int) (lot int, waits bool) {
	lot = None
	list := d.in.Materials[m].Lots
	for i := range list {
		switch from := list[i].Job; {
		case from == None || from == j || d.lots[d.in.lotBase[m]+i] == 0:
		case d.jobs[from].end != None:
			if lot == None || d.jobs[from].end < d.jobs[list[lot].Job].end {
				lot = i
			}
		case d.search.placed[from]:
			waits = true
		}
	}
	return lot, waits
}

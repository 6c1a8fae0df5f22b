package schedule

import (
	"cmp"
	"slices"
)

// A beam builds sequences block by block. Of all beginnings of so many blocks it
// keeps a few: those that would be cheapest in the end if what is left followed as
// it does in a sequence to go by (a filtered beam search; Ow and Morton 1988, from
// memory). One of them takes as long as some thousand moves of a search, and finds
// at once what takes moves long: how work is put together into visits.
type beam struct {
	s     *search
	width int // how many beginnings are kept

	seq    []int   // the sequence to go by
	jobs   []toEnd // in the order in which they end in it
	due    []due   // the first one first
	ahead  []ahead // by block
	before []int   // by session: minutes of the hands before it
	keys   []uint64

	nodes     []node
	now, next []ray
	spare     []*draft
	work      *draft

	// To play with.
	open    []toEnd // the jobs that have not ended in the beginning gone on from
	left    int     // minutes of their work
	places  []int   // by subject: how many of them need the place
	setups  []int   // those open or wanted still
	dues    []*due  // of jobs that have not ended
	picked  []int
	ofIt    []int // by subject: how many blocks are picked
	counted []int // by job: the stamp of the last outlook that counted it
	stamp   int
}

// toEnd is a job that is to end.
type toEnd struct {
	job, subject int
	weight       int64
}

// due is a job with a price on lateness, with the jobs that have to be done for it
// in the order in which they can be, itself last.
type due struct {
	job, at int
	lead    []int
	takes   int // about how long they take from now on, by themselves
}

// ahead is what is left of a job from a block on, and where the block belongs.
type ahead struct {
	bench, clock int  // minutes of the hands, and others
	soon         int  // before when the block does not start
	place        bool // the place is still needed
	start        int  // when the block started before; zero when it did not
	was          int  // the session in which that was, or None
	over         int  // minutes of overhead before the block in the sequence to go by
}

// node is a block and the one before it.
type node struct{ before, block int }

// ray is a beginning of a sequence.
type ray struct {
	draft  *draft
	last   int    // node
	from   int    // all before that place of the sequence to go by is done
	done   uint64 // which blocks it has
	latest int    // when the last of its blocks was before
	cost   Cost   // about what it will come to
}

// newBeam goes by the sequence of a search.
func newBeam(s *search, width int) *beam {
	in := s.in
	b := &beam{
		s: s, width: width, seq: slices.Clone(s.seq), ahead: make([]ahead, len(in.blocks)), keys: make([]uint64, len(in.blocks)), work: newDraft(s),
		ofIt: make([]int, len(in.Subjects)), places: make([]int, len(in.Subjects)), counted: make([]int, len(in.Jobs)),
	}
	for x := range b.keys {
		b.keys[x] = s.rng.Uint64()
	}
	n := 0
	for _, c := range in.plain {
		b.before = append(b.before, n)
		n += c.To - c.From
	}
	for j := range in.Jobs {
		if s.placed[j] {
			b.measure(j)
		}
	}
	b.listJobs()
	if !in.free {
		b.noteOver()
	}
	return b
}

// measure adds up what is left of a job from each of its blocks on.
func (b *beam) measure(j int) {
	in := b.s.in
	left, k := ahead{}, len(in.acts[j])-1
	for x := in.blocksOf[j].To - 1; x >= in.blocksOf[j].From; x-- {
		from := in.blocks[x].from
		for ; k >= from; k-- {
			switch a := &in.acts[j][k]; {
			case a.Bench && a.Hands:
				left.bench += a.Minutes
			case a.Bench:
				left.clock += a.Minutes
			default:
				left.clock += a.ends(in.Now) - in.Now
			}
		}
		left.place = left.place || in.blocks[x].place
		left.soon = max(in.Subjects[in.Jobs[j].Subject].Arrives, in.suppliedBy(j, from))
		if left.start, left.was = in.acts[j][from].Before, None; !in.free && left.start != 0 {
			left.was = in.session(left.start)
		}
		b.ahead[x] = left
	}
}

// suppliedBy is when the materials of a stage are there at the soonest.
func (in *instance) suppliedBy(j, k int) (at int) {
	for _, need := range in.acts[j][k].Needs {
		m := &in.Materials[need.Material]
		want, t := need.Qty-m.OnHand, 0
		for i := 0; i < len(m.Lots) && want > 0; i++ {
			if m.Lots[i].Job == None {
				t = m.Lots[i].At
			}
			want -= m.Lots[i].Qty
		}
		if want > 0 {
			t = m.OrderAt
		}
		at = max(at, t)
	}
	return at
}

// listJobs lists the jobs in the order in which they end in the sequence to go by,
// and those that may be late.
func (b *beam) listJobs() {
	in := b.s.in
	seen := make([]bool, len(in.Jobs))
	for _, x := range slices.Backward(b.seq) {
		j := in.blocks[x].job
		if seen[j] {
			continue
		}
		seen[j] = true
		b.jobs = append(b.jobs, toEnd{j, in.Jobs[j].Subject, in.Jobs[j].Weight})
		if at, any := in.Jobs[j].firstDue(); any {
			b.due = append(b.due, due{job: j, at: at, lead: b.leads(j, nil)})
		}
	}
	slices.Reverse(b.jobs)
	slices.SortStableFunc(b.due, func(x, y due) int { return cmp.Or(cmp.Compare(x.at, y.at), cmp.Compare(x.job, y.job)) })
	for i := range b.due {
		o := &b.due[i]
		slices.Reverse(o.lead)
		o.takes = b.soonest(b.s.points[0], o.lead) - in.Now
	}
}

// leads lists a job, then the jobs that have to be done for it.
func (b *beam) leads(j int, out []int) []int {
	in := b.s.in
	if slices.Contains(out, j) || !b.s.placed[j] {
		return out
	}
	out = append(out, j)
	if x := in.blocksOf[j]; x.From < x.To {
		for _, o := range in.blocks[x.From].after {
			out = b.leads(in.blocks[o].job, out)
		}
	}
	return out
}

// noteOver notes the overhead in the sequence to go by, as far as it can be
// drafted.
func (b *beam) noteOver() {
	d := b.work
	d.copyFrom(b.s.points[0])
	for _, x := range b.seq {
		over := d.cost.Overhead
		if !d.place(x) {
			return
		}
		b.ahead[x].over = d.cost.Overhead - over
	}
}

// run builds sequences of all blocks and returns the best of them, or nil.
func (b *beam) run() []int {
	b.now = []ray{{draft: newDraft(b.s), last: None}}
	b.now[0].draft.copyFrom(b.s.points[0])
	for range b.seq {
		b.next = b.next[:0]
		for i := range b.now {
			b.listOpen(b.now[i].draft)
			b.pick(&b.now[i])
			for _, x := range b.picked {
				b.try(&b.now[i], x)
			}
		}
		for i := range b.now {
			b.spare = append(b.spare, b.now[i].draft)
		}
		if b.now, b.next = b.next, b.now; len(b.now) == 0 {
			return nil
		}
	}
	best, least := None, Cost{}
	for i := range b.now {
		if cost, ok := b.now[i].draft.total(true); ok && (best == None || cost.Less(least)) {
			best, least = b.now[i].last, cost
		}
	}
	if best == None {
		return nil
	}
	var out []int
	for n := best; n != None; n = b.nodes[n].before {
		out = append(out, b.nodes[n].block)
	}
	slices.Reverse(out)
	return out
}

// What follows a beginning is one of the first blocks to come in the sequence to
// go by, the first one on some subject, or what a job wants that is due next.
const (
	firstBlocks = 4
	firstDues   = 2
)

// pick lists the blocks that are tried after a beginning.
func (b *beam) pick(r *ray) {
	d := r.draft
	b.picked = b.picked[:0]
	clear(b.ofIt)
	for _, x := range b.seq[r.from:] {
		o := &b.s.in.blocks[x]
		if (len(b.picked) < firstBlocks || b.ofIt[o.subject] == 0) && d.jobs[o.job].next == x && d.mayGoOn(o.job) {
			b.picked = append(b.picked, x)
			b.ofIt[o.subject]++
		}
	}
	for _, o := range b.dues[:min(firstDues, len(b.dues))] {
		for _, j := range o.lead {
			if d.mayGoOn(j) && !slices.Contains(b.picked, d.jobs[j].next) {
				b.picked = append(b.picked, d.jobs[j].next)
			}
		}
	}
}

// listOpen lists the jobs that have not ended in a beginning, and what is left
// beside them.
func (b *beam) listOpen(d *draft) {
	b.open, b.left = b.open[:0], 0
	clear(b.places)
	for _, o := range b.jobs {
		if x := &d.jobs[o.job]; x.end == None {
			b.open = append(b.open, o)
			b.need(x.next, 1)
		}
	}
	b.setups, b.dues = b.setups[:0], b.dues[:0]
	for a := range d.open {
		if d.open[a] || d.wanted[a] > 0 {
			b.setups = append(b.setups, a)
		}
	}
	for i := range b.due {
		if d.jobs[b.due[i].job].end == None {
			b.dues = append(b.dues, &b.due[i])
		}
	}
}

// need adds what a job needs from a block on, so many times.
func (b *beam) need(x, n int) {
	b.left += n * b.ahead[x].bench
	if b.ahead[x].place {
		b.places[b.s.in.Jobs[b.s.in.blocks[x].job].Subject] += n
	}
}

// goOn takes what is left after a block for what was left before it, or the other
// way round.
func (b *beam) goOn(x int, d *draft, n int) {
	b.need(x, -n)
	if o := &d.jobs[b.s.in.blocks[x].job]; o.end == None {
		b.need(o.next, n)
	}
}

// mayGoOn says whether a job has a block to come and waits for no other job.
func (d *draft) mayGoOn(j int) bool {
	x := &d.jobs[j]
	return x.end == None && x.waits == 0 && x.next < d.in.blocksOf[j].To
}

// try goes on from a beginning with a block, and keeps that if it is one of the
// best. Of two beginnings with the same blocks the cheaper one is kept.
func (b *beam) try(r *ray, x int) {
	d := b.work
	d.copyFrom(r.draft)
	if !d.place(x) {
		return
	}
	o := ray{draft: d, last: len(b.nodes), from: r.from, done: r.done ^ b.keys[x], latest: max(r.latest, b.ahead[x].start)}
	for o.from < len(b.seq) && d.isPast(b.seq[o.from]) {
		o.from++
	}
	limit := Cost{Late: never, Weighted: never}
	if len(b.next) == b.width {
		limit = b.next[b.width-1].cost
	}
	var ok bool
	b.goOn(x, d, 1)
	o.cost, ok = b.outlook(&o, limit)
	if b.goOn(x, d, -1); !ok || !o.cost.Less(limit) {
		return
	}
	if i := slices.IndexFunc(b.next, func(k ray) bool { return k.done == o.done }); i >= 0 {
		if !o.cost.Less(b.next[i].cost) {
			return
		}
		b.drop(i)
	} else if len(b.next) == b.width {
		b.drop(b.width - 1)
	}
	b.nodes = append(b.nodes, node{r.last, x})
	i := len(b.next)
	for i > 0 && o.cost.Less(b.next[i-1].cost) {
		i--
	}
	b.next = slices.Insert(b.next, i, o)
	b.newWork()
}

// isPast says whether a block is laid out.
func (d *draft) isPast(x int) bool { return d.jobs[d.in.blocks[x].job].next > x }

func (b *beam) drop(i int) {
	b.spare = append(b.spare, b.next[i].draft)
	b.next = slices.Delete(b.next, i, i+1)
}

func (b *beam) newWork() {
	if n := len(b.spare); n > 0 {
		b.work, b.spare = b.spare[n-1], b.spare[:n-1]
		return
	}
	b.work = newDraft(b.s)
}

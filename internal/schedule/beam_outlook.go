package schedule

// outlook is about what a beginning comes to in the end. It says whether that may
// be less than a limit.
func (b *beam) outlook(r *ray, limit Cost) (cost Cost, ok bool) {
	in, d := b.s.in, r.draft
	p := pacing{b: b, d: d, session: in.plain.at(d.t)}
	if p.session == len(in.plain) {
		return cost, false
	}
	over := b.overToCome(d)
	p.share = over << shareBits / max(1, b.left)
	p.from = b.before[p.session] + max(0, d.t-in.plain[p.session].From)
	cost = d.cost
	cost.Overhead += over
	if cost.Late = addUpTo(cost.Late, b.lateOf(p)); cost.Late > limit.Late {
		return cost, false
	}
	if !in.free {
		moved := b.movedOf(r, p)
		cost.Moved += moved
		cost.Late = addUpTo(cost.Late, in.stayedLate(moved))
	}
	most := int64(never)
	if cost.Late >= limit.Late {
		most = limit.Score() - cost.Score()
	}
	sum, left := int64(0), d.left
	for i := range b.open {
		o := &b.open[i]
		if x := &d.jobs[o.job]; x.end == None {
			took := int64(p.end(x, b.ahead[x.next].bench) - in.Now)
			if sum+left*took > most { // those to come end no sooner
				return cost, false
			}
			sum += o.weight * took
			left -= o.weight
		}
	}
	cost.Weighted += sum
	return cost, true
}

// overToCome is the overhead that is left at least: each subject with work on the
// place is moved there once, and everything that is wanted is opened once, closed
// and finished.
func (b *beam) overToCome(d *draft) (over int) {
	in := b.s.in
	for c, n := range b.places {
		if n > 0 && !d.subj[c].onPlace {
			over += in.Move
		}
	}
	for _, a := range b.setups {
		switch x := &in.Setups[a]; {
		case d.open[a]:
			over += x.Close
		case d.wanted[a] > 0:
			over += x.Open + x.Close
		}
	}
	for f := range in.Closings {
		if d.owed[f] || d.called[f] > 0 {
			over += in.Closings[f].Minutes
		}
	}
	return over
}

// pacing reckons when work is over that the hands do without a break.
type pacing struct {
	b       *beam
	d       *draft
	session int // the one reached
	from    int // minutes of the hands that are over
	done    int // minutes of work from then on
	share   int // overhead beside a minute of work
}

// shareBits is how many bits of a share are a fraction.
const shareBits = 10

// end is about when a job ends for which so many more minutes of work are done.
func (p *pacing) end(x *draftJob, minutes int) int {
	b, plain := p.b, p.b.s.in.plain
	p.done += minutes
	m := p.from + p.done + p.done*p.share>>shareBits
	for p.session+1 < len(plain) && b.before[p.session+1] < m {
		p.session++
	}
	a := &b.ahead[x.next]
	end := plain[p.session].From + m - b.before[p.session]
	if ready := max(x.ready, a.soon); ready+a.bench > end {
		end = plain.after(ready, a.bench)
	}
	return end + a.clock
}

// lateOf is what lateness there will be where all that is due is done next, the
// first due first.
func (b *beam) lateOf(p pacing) (late int64) {
	b.stamp++
	for _, o := range b.dues {
		x := &p.d.jobs[o.job]
		if x.end != None {
			continue
		}
		minutes := 0
		for _, j := range o.lead {
			if y := &p.d.jobs[j]; y.end == None && b.counted[j] != b.stamp {
				b.counted[j] = b.stamp
				minutes += b.ahead[y.next].bench
			}
		}
		end := p.end(x, minutes)
		if p.d.t+2*o.takes > o.at { // else there is time enough
			end = max(end, b.soonest(p.d, o.lead))
		}
		late = addUpTo(late, b.s.in.Jobs[o.job].Late(end))
	}
	return late
}

// soonest is about when the last of some jobs ends if they are all that is done,
// one after the other.
func (b *beam) soonest(d *draft, jobs []int) int {
	in, t := b.s.in, d.t
	for _, j := range jobs {
		x := &d.jobs[j]
		if x.end != None {
			continue
		}
		t = max(t, x.ready)
		for k := x.next; k < in.blocksOf[j].To; k++ {
			a := b.ahead[k]
			if k+1 < in.blocksOf[j].To {
				a.bench, a.clock = a.bench-b.ahead[k+1].bench, a.clock-b.ahead[k+1].clock
			}
			t = in.plain.after(max(t, a.soon), a.bench) + a.clock
		}
	}
	return t
}

// movedOf is what weighs that blocks to come leave the session in which they were,
// where they follow as they did and none of them earlier than before. Those that
// have been overtaken hold up no others.
func (b *beam) movedOf(r *ray, p pacing) (moved int64) {
	in, d := b.s.in, r.draft
	at, i := p.from, p.session
	goOn := func(minutes int) {
		at += minutes
		for i+1 < len(in.plain) && b.before[i+1] <= at {
			i++
		}
	}
	for _, x := range b.seq[r.from:] {
		o, a := &in.blocks[x], &b.ahead[x]
		if d.isPast(x) {
			continue
		}
		if a.start < r.latest {
			if a.was != None {
				moved += in.leaves(a.was, p.session)
			}
			continue
		}
		goOn(a.over)
		if a.was > i {
			at, i = b.before[a.was], a.was
		}
		if in.plain[i].From <= a.start {
			at = max(at, b.before[i]+a.start-in.plain[i].From)
			goOn(0)
		}
		if a.was != None {
			moved += in.leaves(a.was, i)
		}
		goOn(o.minutes)
	}
	return moved
}

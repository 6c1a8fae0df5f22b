package schedule

import (
	"cmp"
	"math"
	"slices"
)

// calibrate finds out what cannot be put right from the start, so that it does
// not stand in the way of everything else: blackouts that come too soon,
// subjects that cannot be put right at all.
func (d *decoder) calibrate() {
	for range 4 * (len(d.in.Subjects) + 1) * 8 {
		d.trying.become(d.s)
		why, _, bad := d.unsafe(d.trying, d.playing, d.s.t, progress{job: None})
		if !bad {
			return
		}
		d.forgive(why)
	}
}

func (d *decoder) forgive(why Reason) {
	c, limit := d.offender.subject, d.offender.limit
	if why.Kind == ByBlackout && why.Of == c && limit < always {
		d.forgiven[c] = limit
	} else {
		d.exempt[c] = true
		d.hopeless[c] = d.s.subj[c].open + d.s.subj[c].owed
	}
}

// giveUp takes out jobs that nothing can help any more. It says whether that
// may help others.
func (d *decoder) giveUp() bool {
	var waiting, lost []int
	for _, j := range d.ready {
		switch {
		case d.prog[j].next > 0:
			return false // begun and not to be ended: the decode is void
		case d.lastWhy[j].Kind == ByHarvest || d.needsSpoken(j):
			waiting = append(waiting, j)
		default:
			lost = append(lost, j)
		}
	}
	if len(lost) == 0 {
		lost = d.deadlocked(waiting)
	}
	for _, j := range lost {
		d.block(j)
	}
	return len(lost) > 0
}

// needsSpoken says whether a job waits only because others that come first
// need the material.
func (d *decoder) needsSpoken(j int) bool {
	return d.lastWhy[j].Kind == ByLot && !slices.ContainsFunc(d.in.acts[j], func(a act) bool {
		return slices.ContainsFunc(a.Needs, func(n Need) bool { return d.left(n.Material) < d.in.need(j, n.Material) })
	})
}

// deadlocked picks from jobs that all wait for one another: those that others
// wait for and that are not even among them, else all.
func (d *decoder) deadlocked(waiting []int) []int {
	var out []int
	for j := range d.prog {
		if p := &d.prog[j]; !p.done && !p.blocked && !slices.Contains(waiting, j) {
			out = append(out, j)
		}
	}
	if len(out) == 0 {
		return waiting
	}
	return out
}

// void lists the jobs that make a decode void: begun and not to be ended. That
// is the one begun last, or all of them.
func (d *decoder) void(all bool) []int {
	var out []int
	for _, j := range d.begun {
		if !d.prog[j].done {
			out = append(out, j)
		}
	}
	for h := range d.in.holds {
		if j := d.in.holds[h].job; d.s.held[h] && j != None && d.prog[j].done {
			out = append(out, j) // what would end it never came
		}
	}
	for c := range d.broken {
		if s := &d.s.subj[c]; d.broken[c] || s.open+s.owed > d.hopeless[c] || d.leftOpen(d.s, c) || s.open+s.owed > 0 && s.stuck == 0 && !d.exempt[c] {
			out = append(out, d.lastOn(c)...)
		}
	}
	if len(out) > 1 && !all {
		out = out[len(out)-1:]
	}
	return out
}

// lastOn is the job begun last on a subject.
func (d *decoder) lastOn(c int) []int {
	for i := len(d.result.Placed) - 1; i >= 0; i-- {
		if p := &d.result.Placed[i]; p.Stage == 0 && d.in.Jobs[p.Job].Subject == c {
			return []int{p.Job}
		}
	}
	return nil
}

// finish puts the result in order and works out its cost.
func (d *decoder) finish() {
	r := &d.result
	slices.SortStableFunc(r.Placed, func(a, b Placed) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Stage, b.Stage))
	})
	r.sortVisits()
	r.Promises = d.ledger.taken
	slices.SortStableFunc(r.Promises, func(a, b Promise) int { return cmp.Or(a.Job-b.Job, a.Stage-b.Stage, a.Material-b.Material) })
	r.Cost.Late, r.Cost.Weighted = 0, 0
	r.Missed = slices.DeleteFunc(r.Missed, func(m Missed) bool { return d.pinKept(m.Job) })
	slices.SortFunc(r.Missed, func(a, b Missed) int { return a.Job - b.Job })
	for j := range d.in.Jobs {
		if end := r.Ends[j]; end != None {
			d.count(j, end, d.in.Jobs[j].Weight)
		} else {
			d.count(j, d.in.horizon+far, max(leastLost, d.in.Jobs[j].Weight))
		}
	}
	d.countMoved()
}

// countMoved weighs what is in another session than before.
func (d *decoder) countMoved() {
	c, latest := &d.result.Cost, 0
	c.Moved, c.Shifted = 0, 0
	for i := range d.result.Placed {
		p := &d.result.Placed[i]
		if a := &d.in.acts[p.Job][p.Stage]; a.Bench {
			c.Moved += d.in.moved(a, p.From) + d.in.overtaken(a, &latest)
		}
	}
	c.Shifted = d.in.stayedLate(c.Moved)
}

// sortVisits puts visits in order of time.
func (r *Result) sortVisits() {
	slices.SortStableFunc(r.Visits, func(a, b Visit) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), cmp.Compare(a.Subject, b.Subject))
	})
}

// far is how long after the last session a job without a place counts as
// ended: much longer than anything placed. It counts with some weight even
// where it has none, so that no job is left out to save overhead.
const (
	far       = 2 * 365 * 1440
	leastLost = 1000
)

func (d *decoder) count(j, end int, weight int64) {
	c := &d.result.Cost
	c.Late = addUpTo(c.Late, d.in.Jobs[j].Late(end))
	c.Weighted = addUpTo(c.Weighted, weight*int64(end-d.in.Now))
}

// addUpTo adds without running over.
func addUpTo(a, b int64) int64 {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

// pinKept says whether a pinned job's first bench stage starts in its session
// after all, or has none that could.
func (d *decoder) pinKept(j int) bool {
	k := max(0, d.in.firstBench(j))
	if s := d.in.Jobs[j].Pin; s != None {
		for _, p := range d.result.Placed {
			if p.Job == j && p.Stage == k {
				return d.in.Sessions[s].From <= p.From && p.From < d.in.Sessions[s].To
			}
		}
	}
	return d.result.Ends[j] == None
}

// leaveOutIdleMoves takes out visits in which a subject is moved onto the place and
// leaves it again with nothing done, since a blackout came or another subject was
// in more of a hurry.
func (d *decoder) leaveOutIdleMoves() {
	r := &d.result
	for i := len(r.Visits) - 1; i >= 0; i-- {
		if d.isIdle(i) {
			r.Cost.Overhead -= r.Visits[i].To - r.Visits[i].From
			r.Visits = slices.Delete(r.Visits, i, i+1)
		}
	}
}

// isIdle says whether a visit is nothing but a move, and nothing else is done on
// the subject until it is moved again.
func (d *decoder) isIdle(i int) bool {
	v, until := &d.result.Visits[i], never
	if len(v.Items) != 1 || v.Items[0].Kind != Move {
		return false
	}
	for k := range d.result.Visits[i+1:] {
		if o := &d.result.Visits[i+1+k]; o.Subject == v.Subject {
			if o.OnPlace && (len(o.Items) == 0 || o.Items[0].Kind != Move) {
				return false
			}
			until = o.From
			break
		}
	}
	return !slices.ContainsFunc(d.result.Placed, func(p Placed) bool {
		return d.in.Jobs[p.Job].Subject == v.Subject && p.From < until && p.To >= v.From
	})
}

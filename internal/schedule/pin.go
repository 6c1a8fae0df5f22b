package schedule

import (
	"cmp"
	"slices"
)

// Pins. A pin is kept when, from where the bench stands, the pinned job's first
// bench stage can start in its session with everything before it done. What
// would break that has to wait.

// choosePins finds out which pins can be kept at all, the earlier ones first.
func (d *decoder) choosePins() {
	var pins []int
	for j := range d.in.Jobs {
		if d.in.Jobs[j].Pinned && !d.prog[j].blocked {
			pins = append(pins, j)
		}
	}
	slices.SortStableFunc(pins, func(a, b int) int {
		x, y := &d.in.Jobs[a], &d.in.Jobs[b]
		return cmp.Or(cmp.Compare(d.in.pinStart(a), d.in.pinStart(b)), cmp.Compare(x.PinAt, y.PinAt))
	})
	for _, j := range pins {
		if d.in.Jobs[j].Pin == None || d.waived[j] {
			d.miss(j, Reason{Kind: BySession})
			continue
		}
		d.pins = append(d.pins, j)
		d.trying.become(d.s)
		if why, broken := d.playPins(d.trying, progress{job: None}, false); broken != None {
			d.pins = d.pins[:len(d.pins)-1]
			d.miss(j, why)
		}
	}
}

func (d *decoder) miss(j int, why Reason) {
	d.result.Missed = append(d.result.Missed, Missed{j, why})
}

// missPins gives up pins whose session is over.
func (d *decoder) missPins() {
	for i := 0; i < len(d.pins); i++ {
		j := d.pins[i]
		if d.s.t < d.in.Sessions[d.in.Jobs[j].Pin].To {
			continue
		}
		why := d.lastWhy[j]
		if d.prog[j].ready >= d.in.Sessions[d.in.Jobs[j].Pin].To {
			why = d.prog[j].readyBy
		}
		d.miss(j, why)
		d.pins = slices.Delete(d.pins, i, i+1)
		i--
	}
}

// yieldPin gives up the first pin where a stuck subject would not be freed in
// time: each can be done without the other, and the subject is needed.
func (d *decoder) yieldPin() bool {
	if len(d.pins) == 0 || d.s.subj[d.offender.subject].stuck == 0 {
		return false
	}
	d.miss(d.pins[0], Reason{Kind: ByStuck, Of: d.offender.subject})
	d.pins = slices.Delete(d.pins, 0, 1)
	return true
}

// dropYielded gives up a pin for which another job waits though its own job
// waits beyond the pinned session for something else.
func (d *decoder) dropYielded() bool {
	for _, j := range d.yielded {
		if i := slices.Index(d.pins, j); i >= 0 && d.event >= d.in.Sessions[d.in.Jobs[j].Pin].To {
			d.miss(j, d.lastWhy[j])
			d.pins = slices.Delete(d.pins, i, i+1)
			return true
		}
	}
	return false
}

// letGo gives up, where nothing can be done any more, what others gave way to:
// a pin that will not be kept, since its job is among those that cannot begin,
// and then a subject that was stuck from the start and will stay so.
func (d *decoder) letGo() bool {
	for i, j := range d.pins {
		if d.gaveWay[j] {
			d.miss(j, Reason{Kind: BySession})
			d.pins = slices.Delete(d.pins, i, i+1)
			return true
		}
	}
	if c := d.barrier; c != None {
		d.exempt[c], d.hopeless[c] = true, d.s.subj[c].open // what is owed on it is not: its work is void
		return true
	}
	return false
}

// fromStart says whether a subject is stuck only because it was so from the
// start.
func (d *decoder) fromStart(c int) bool {
	return d.s.subj[c].stuck == 1 && !d.exempt[c] && slices.ContainsFunc(d.in.holdsOf[c], func(h int) bool {
		return d.s.held[h] && d.in.holds[h].job == None
	})
}

// breaksPin is the first pinned job that could no longer keep its pin after
// the decision that led to x, or None.
func (d *decoder) breaksPin(x *state, own progress) int {
	if len(d.pins) == 0 {
		return None
	}
	_, broken := d.playPins(x, own, false)
	if broken != None {
		_, broken = d.playPins(x, own, true)
	}
	return broken
}

// playPins plays the pinned jobs and all before them, one after another. With
// tidy the visits under way end first, as they would by themselves.
func (d *decoder) playPins(x *state, own progress, tidy bool) (Reason, int) {
	z := d.pinning
	z.become(x)
	if tidy && !d.tidy(z, false) {
		return Reason{Kind: ByPin, Of: d.pins[0]}, d.pins[0]
	}
	d.playStamp++
	for _, j := range d.pins {
		session := d.in.Sessions[d.in.Jobs[j].Pin]
		k := d.in.firstBench(j)
		k = max(k, 0)
		if own.job == j && own.next > k {
			for _, p := range x.placed {
				if p.Stage == k && p.From >= session.To {
					return Reason{Kind: ByPin, Of: j}, j
				}
			}
			continue
		}
		p := play{d: d, y: z, own: own}
		p.load(d.in.pinChain(j), j, d.in.acts[j][k].block)
		start, why, _, bad := p.run()
		if !bad && start >= session.To {
			bad, why = true, p.late(j, k, session.To)
		}
		p.unload()
		if bad {
			return why, j
		}
	}
	return Reason{}, None
}

// pinBound is the time before which stage k of a job does not start because of
// its pin; zero when the pin is none of that stage's business.
func (d *decoder) pinBound(j, k int) int {
	if d.in.Jobs[j].Pinned && k == d.in.firstBench(j) {
		return d.in.pinStart(j)
	}
	return 0
}

// late says why a pinned job came too late in a play.
func (p *play) late(j, k, end int) Reason {
	d := p.d
	if id := d.in.base[j] + k; d.supplyAt[id] >= end {
		return d.supplyWhy[id]
	}
	for _, l := range d.in.Jobs[j].After {
		for _, s := range p.jobs {
			if s.job == l.Job && s.end+l.Gap >= end {
				return Reason{ByJob, l.Job, s.end + l.Gap}
			}
		}
	}
	if r := d.in.release(j); r.at >= end {
		return r.why
	}
	return Reason{Kind: BySession}
}

// pinChain lists a job with all that must be done before it: its
// prerequisites and the jobs that free material for it.
func (in *instance) pinChain(j int) []int {
	if in.chains == nil {
		in.chains = make([][]int, len(in.Jobs))
	}
	if in.chains[j] != nil {
		return in.chains[j]
	}
	list := in.before([]int{j})
	for grown := true; grown; {
		grown = false
		for _, k := range list {
			if more := in.suppliers(k, list); len(more) > 0 {
				list, grown = in.before(append(slices.Clone(list), more...)), true
				break
			}
		}
	}
	in.chains[j] = list
	return list
}

// suppliers lists the jobs that free material for a job and are not in a list.
func (in *instance) suppliers(j int, list []int) []int {
	var out []int
	for k := range in.Jobs[j].Stages {
		for _, need := range in.Jobs[j].Stages[k].Needs {
			for _, from := range in.lacking(j, need.Material) {
				if !slices.Contains(list, from) {
					out = append(out, from)
				}
			}
		}
	}
	return out
}

// lacking lists the jobs that free a material which a job needs more of than
// is there without them.
func (in *instance) lacking(j, m int) []int {
	have := in.Materials[m].OnHand
	var from []int
	for _, lot := range in.Materials[m].Lots {
		if lot.Job == None {
			have += lot.Qty
		} else if lot.Job != j {
			from = append(from, lot.Job)
		}
	}
	if have >= in.need(j, m) {
		return nil
	}
	return from
}

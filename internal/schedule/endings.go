package schedule

import "slices"

// As the sessions come to their end, a job is begun only if all that is begun
// can still be ended beside it. Long before, that is taken for granted.

// nearEnd is how long before the end of the last session this is looked at.
const nearEnd = 28 * 1440

// endless says whether, after a decision that begins a job, the jobs begun can
// not all be ended any more. Where they could not be ended before the decision
// it says nothing.
func (d *decoder) endless(x *state, own progress) bool {
	if d.prog[own.job].next > 0 || d.in.horizon-x.t > nearEnd {
		return false
	}
	if own.next == len(d.in.acts[own.job]) && len(d.begun) == 0 || !d.playBegun(x, own) {
		return false
	}
	if d.endableAt != d.decisions {
		d.endableAt = d.decisions
		d.endable = !d.playBegun(d.s, progress{job: None})
	}
	return d.endable
}

// playBegun plays all jobs begun to their ends, closing after them or, where
// that does not do, before, and says whether it failed.
func (d *decoder) playBegun(x *state, own progress) bool {
	return d.playBegunOnce(x, own, false) && d.playBegunOnce(x, own, true)
}

func (d *decoder) playBegunOnce(x *state, own progress, tidy bool) bool {
	list := d.playList[:0]
	for _, j := range d.begun {
		if !d.prog[j].done && !d.prog[j].blocked {
			list = append(list, j)
		}
	}
	if own.job != None && own.next < len(d.in.acts[own.job]) {
		list = append(list, own.job)
	}
	d.playList = list
	d.playStamp++
	z := d.pinning
	z.become(x)
	if tidy && !d.tidy(z, true) {
		return true
	}
	p := play{d: d, y: z, own: own, all: true}
	if len(list) > 0 {
		p.load(list, list[0], len(d.in.acts[list[0]]))
		p.run()
		p.unload()
	}
	return p.why != Reason{} || !d.tidy(z, true)
}

// tidy ends what is open and owed on every subject that can be put right, and
// says whether all of it could be. With all, what may stay open is closed too.
// What waits for helpers is done in its turn or, where that does not do, at the
// end.
func (d *decoder) tidy(z *state, all bool) bool {
	d.spare.become(z)
	for _, c := range d.untidy(z) {
		if !d.endOn(z, c, all) {
			z.restore(d.spare)
			return d.tidyHelpedLast(z, all)
		}
	}
	return true
}

// untidy lists the subjects on which something is open or owed that can be put
// right.
func (d *decoder) untidy(z *state) []int {
	d.tidyList = d.tidyList[:0]
	for c := range z.subj {
		if s := &z.subj[c]; s.open+s.owed > 0 && s.stuck == 0 && !d.exempt[c] {
			d.tidyList = append(d.tidyList, c)
		}
	}
	return d.tidyList
}

func (d *decoder) endOn(z *state, c int, all bool) bool {
	l := layout{d: d, x: z, subject: c}
	l.endVisit(c, all)
	return !l.fail
}

func (d *decoder) tidyHelpedLast(z *state, all bool) bool {
	list := d.untidy(z)
	helped := func(c int) int {
		if slices.ContainsFunc(d.in.closings[c], func(x int) bool { return z.owed[x] && d.in.Closings[x].Helpers > 0 }) {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(list, func(a, b int) int { return helped(a) - helped(b) })
	return !slices.ContainsFunc(list, func(c int) bool { return !d.endOn(z, c, all) })
}

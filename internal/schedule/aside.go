package schedule

import "slices"

// startAside starts a bench stage that takes nothing of the hands, beside the
// job that they turn to next, where that job does not suffer. The trial of
// that job stands again when nothing was started.
func (d *decoder) startAside(chosen int) bool {
	if !d.in.aside || !d.in.byHand(chosen, d.prog[chosen].next, d.in.acts[chosen][d.prog[chosen].next].block) {
		return false
	}
	start := d.trying.placed[0].From
	for _, j := range slices.Clone(d.ready) {
		p := &d.prog[j]
		if j == chosen || p.blocked || p.done || d.runsByItself(j) || d.prog[j].ready > d.s.t || d.sharesMaterial(j, chosen) {
			continue
		}
		a := &d.in.acts[j][p.next]
		if !a.Bench || d.in.byHand(j, p.next, a.block) || !d.try(j).ok || len(d.trying.items) > 0 {
			continue
		}
		if d.besides(chosen, start) {
			d.try(j)
			d.commit(j)
			return true
		}
	}
	d.try(chosen)
	return false
}

// besides says whether the chosen job can still start when it would, the tools
// of what is under trial taken.
func (d *decoder) besides(chosen, start int) bool {
	before := slices.Clone(d.booked.taken) // what is added goes behind what each has
	for _, p := range d.trying.placed {
		d.booked.reserve(&d.in.acts[p.Job][p.Stage], p.Pieces...)
	}
	ok := d.try(chosen).ok && d.trying.placed[0].From == start
	copy(d.booked.taken, before)
	return ok
}

// sharesMaterial says whether two jobs not begun need the same material.
func (d *decoder) sharesMaterial(a, b int) bool {
	if d.prog[a].next > 0 || d.prog[b].next > 0 {
		return false
	}
	for k := range d.in.acts[a] {
		for _, n := range d.in.acts[a][k].Needs {
			if d.in.need(b, n.Material) > 0 {
				return true
			}
		}
	}
	return false
}

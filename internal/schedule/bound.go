package schedule

// Bound is, for every job, a time before which no schedule can end it: it is
// done at its earliest, with its prerequisites, as if it were alone. Only its
// own calendars, releases, gaps, waits and the first arrivals of its materials
// count.
func Bound(p *Problem) []int {
	in := prepare(p)
	d := &decoder{in: in}
	ends := make([]int, len(in.Jobs))
	for _, j := range in.order {
		t := d.in.release(j).at
		for _, l := range in.Jobs[j].After {
			t = max(t, ends[l.Job]+l.Gap)
		}
		for k := range in.acts[j] {
			a := &in.acts[j][k]
			for _, n := range a.Needs {
				t = max(t, in.firstSupply(n))
			}
			if t = max(t, d.pinBound(j, k)); !a.Bench {
				t = a.ends(t)
			} else if end := a.cal.after(t, a.Minutes); end != never {
				t = end
			}
		}
		ends[j] = t
	}
	return ends
}

// firstSupply is the earliest time at which so much of a material can be
// there. Lots that jobs free count from the start: their jobs may come later
// in the order.
func (in *instance) firstSupply(n Need) int {
	m := &in.Materials[n.Material]
	if m.OnHand >= n.Qty {
		return in.Now
	}
	have := m.OnHand
	for _, lot := range m.Lots {
		if lot.Job != None {
			have += lot.Qty
		}
	}
	best := in.Now
	for _, lot := range m.Lots { // dated lots are in order of time
		if have >= n.Qty {
			break
		}
		if lot.Job == None {
			have += lot.Qty
			best = max(best, lot.At)
		}
	}
	if have < n.Qty || m.Orderable && m.OrderAt < best {
		best = m.OrderAt
	}
	return best
}

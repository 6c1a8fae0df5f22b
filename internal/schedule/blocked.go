package schedule

import "slices"

// explain says for every job without a place what keeps it from one.
func (d *decoder) explain(dropped []Reason) {
	for j := range d.prog {
		if d.prog[j].done {
			continue
		}
		d.result.Unplaced = append(d.result.Unplaced, Unplaced{Job: j, Why: d.causes(j, dropped[j])})
	}
}

func (d *decoder) causes(j int, dropped Reason) []Cause {
	var out []Cause
	out = append(out, d.shortages(j)...)
	for _, l := range d.in.Jobs[j].After {
		if !d.prog[l.Job].done && !slices.ContainsFunc(out, func(c Cause) bool { return c.Kind == ByJob && c.Of == l.Job }) {
			out = append(out, Cause{Reason: Reason{Kind: ByJob, Of: l.Job}})
		}
	}
	if len(out) > 0 {
		return out
	}
	for k := range d.in.acts[j] {
		for _, h := range d.in.holdFrom[d.in.base[j]+k] {
			if u := d.in.holds[h].untilJob; u != None && d.prog[u].blocked && u != j {
				return []Cause{{Reason: Reason{Kind: ByChainJob, Of: u}}}
			}
		}
	}
	if d.dropped[j] && !d.overtaken(dropped) {
		return []Cause{{Reason: dropped}}
	}
	why := d.lastWhy[j]
	switch why.Kind {
	case ByNow, ByRelease, ByArrival, ByJob, ByStage, ByHands, ByLot, ByHarvest, ByOrder, ByPin:
		why = Reason{Kind: BySession}
	}
	if own := d.couldStart(j); own.at >= d.in.horizon && own.why.Kind != ByNow {
		switch why = own.why; why.Kind { // its time comes when no session is left
		case ByArrival, ByRelease, ByPin:
		default:
			why = Reason{Kind: BySession, Until: own.at}
		}
	}
	return []Cause{{Reason: why}}
}

// overtaken says whether a reason names a job that has its place by now.
func (d *decoder) overtaken(why Reason) bool {
	switch why.Kind {
	case ByJob, ByHarvest, ByChainJob:
		return d.prog[why.Of].done
	}
	return false
}

// couldStart is when a job could have started at the earliest.
func (d *decoder) couldStart(j int) moment {
	own := moment{d.prog[j].ready, d.prog[j].readyBy}
	promises, marks := len(d.ledger.taken), len(d.ledger.marks)
	defer func() { d.ledger.undo(promises, marks) }()
	d.taken = promises
	if s := d.supplyOf(j); !s.short && s.wait == None && s.at[0] > own.at {
		own = moment{s.at[0], s.why[0]}
	}
	return own
}

// shortages lists the materials that a job could not have, and the jobs that
// took the rest.
func (d *decoder) shortages(j int) []Cause {
	var out []Cause
	seen := map[int]bool{}
	for k := range d.in.acts[j] {
		for _, n := range d.in.acts[j][k].Needs {
			if m := n.Material; !seen[m] && (len(d.shorts[j]) == 0 || slices.Contains(d.shorts[j], m)) {
				seen[m] = true
				for _, c := range d.shortage(j, m) {
					if !slices.ContainsFunc(out, c.same) {
						out = append(out, c)
					}
				}
			}
		}
	}
	return out
}

func (d *decoder) shortage(j, m int) []Cause {
	if d.in.Materials[m].Orderable {
		return nil
	}
	have, lost := d.ledger.onHand[m], []Cause(nil)
	for i, lot := range d.in.Materials[m].Lots {
		switch {
		case lot.Job == None || d.prog[lot.Job].done:
			have += d.ledger.lots[m][i]
		case lot.Job != j && lot.Qty > 0:
			if c := (Cause{Reason: Reason{Kind: ByHarvest, Of: lot.Job}}); !slices.ContainsFunc(lost, c.same) {
				lost = append(lost, c)
			}
			have += d.ledger.lots[m][i]
		}
	}
	short := d.in.need(j, m) - have
	if short <= 0 {
		if len(lost) > 0 && d.needsLost(j, m) {
			return lost
		}
		return nil
	}
	for i, lot := range d.in.Materials[m].Lots {
		if lot.Job != None && !d.prog[lot.Job].done {
			short += d.ledger.lots[m][i]
		}
	}
	c := Cause{Reason: Reason{Kind: ByLot, Of: m}, Short: short}
	for _, o := range d.in.needers[m] {
		if o != j && d.prog[o].done {
			c.TakenBy = append(c.TakenBy, o)
		}
	}
	return []Cause{c}
}

func (c Cause) same(o Cause) bool { return c.Reason == o.Reason && c.Short == o.Short }

// needsLost says whether a job needs what only jobs without a place would
// free.
func (d *decoder) needsLost(j, m int) bool {
	have := d.ledger.onHand[m]
	for i, lot := range d.in.Materials[m].Lots {
		if lot.Job == None || d.prog[lot.Job].done {
			have += d.ledger.lots[m][i]
		}
	}
	return have < d.in.need(j, m)
}

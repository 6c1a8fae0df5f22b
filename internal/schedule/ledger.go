package schedule

// ledger is what is left of every material. Taking is undone by putting back
// what was noted, so that a decision can be tried.
type ledger struct {
	onHand []int
	lots   [][]int // left of each lot
	taken  []Promise
	marks  []taking
}

// taking notes where a promise took from.
type taking struct {
	material, lot, qty int // lot None: on hand
}

func newLedger(in *instance) *ledger {
	l := &ledger{onHand: make([]int, len(in.Materials)), lots: make([][]int, len(in.Materials))}
	for m := range in.Materials {
		l.onHand[m] = in.Materials[m].OnHand
		for _, lot := range in.Materials[m].Lots {
			l.lots[m] = append(l.lots[m], lot.Qty)
		}
	}
	return l
}

// undo puts back everything taken after the first n promises.
func (l *ledger) undo(n, marks int) {
	for _, k := range l.marks[marks:] {
		if k.lot == None {
			l.onHand[k.material] += k.qty
		} else {
			l.lots[k.material][k.lot] += k.qty
		}
	}
	l.taken, l.marks = l.taken[:n], l.marks[:marks]
}

func (l *ledger) take(p Promise, lot int) {
	l.taken = append(l.taken, p)
	if p.Source == Ordered {
		return
	}
	if l.marks = append(l.marks, taking{p.Material, lot, p.Qty}); lot == None {
		l.onHand[p.Material] -= p.Qty
	} else {
		l.lots[p.Material][lot] -= p.Qty
	}
}

// supply says how a job's needs can be met at this point.
type supply struct {
	at     []int // by stage, when its materials are there
	why    []Reason
	short  bool // there is not enough any more, or jobs that come first need it
	wait   int  // a job that has to free some first, or None
	wanted bool // short only because jobs that come first need it
	of     int  // the material that is short or waited for
}

// supplyOf takes what a job needs, in the order of its stages. The caller
// undoes the taking where it was only a try.
func (d *decoder) supplyOf(j int) supply { return d.supplyIn(j, false) }

// supplyIn is supplyOf. In play, what another job has to free first does not
// stop the taking: the rest may come later still.
func (d *decoder) supplyIn(j int, play bool) supply {
	n := len(d.in.acts[j])
	wait, of := None, None
	s := supply{at: d.supplyAt[d.in.base[j]:][:n], why: d.supplyWhy[d.in.base[j]:][:n], wait: None}
	for k := range d.in.acts[j] {
		s.at[k], s.why[k] = d.in.Now, Reason{Kind: ByNow}
		for _, need := range d.in.acts[j][k].Needs {
			if s.wanted = d.spokenFor(j, need.Material); s.wanted {
				s.short, s.of = true, need.Material
				return s
			}
			d.takeNeed(&s, j, k, need)
			if s.wait != None && wait == None {
				wait, of = s.wait, need.Material
			}
			if s.short || s.wait != None && !play {
				s.of = need.Material
				return s
			}
			s.wait = None
		}
	}
	s.wait, s.of = wait, of
	return s
}

// spokenFor says whether jobs that come first in the order need so much of a
// scarce material that not enough is left for this one.
func (d *decoder) spokenFor(j, m int) bool {
	if !d.in.scarce[m] || d.prog[j].next > 0 {
		return false
	}
	left, want := d.left(m), d.missing(j, m)
	if left < want {
		return false
	}
	for _, h := range d.in.needers[m] {
		if h != j && !d.waived[h] && d.rank[h] < d.rank[j] && d.prog[h].next == 0 && !d.prog[h].blocked && !d.simTaken[h] {
			left -= d.in.need(h, m)
		}
	}
	return left < want
}

// missing is how much of a material a job needs that the ledger has not given
// it yet in this taking.
func (d *decoder) missing(j, m int) int {
	n := d.in.need(j, m)
	for _, p := range d.ledger.taken[d.taken:] {
		if p.Job == j && p.Material == m {
			n -= p.Qty
		}
	}
	return n
}

// left is all of a material that can still be promised, orders aside.
func (d *decoder) left(m int) int {
	n := d.ledger.onHand[m]
	for i, lot := range d.in.Materials[m].Lots {
		if lot.Job == None || !d.prog[lot.Job].blocked {
			n += d.ledger.lots[m][i]
		}
	}
	return n
}

// takeNeed takes one need: stock, dated lots, what jobs free (those that end
// first, first), orders.
func (d *decoder) takeNeed(s *supply, j, k int, need Need) {
	m, want := need.Material, need.Qty
	mat := &d.in.Materials[m]
	give := func(source Source, lot, qty, of, at int, why Reason) {
		d.ledger.take(Promise{Job: j, Stage: k, Material: m, Qty: qty, Source: source, Of: of, At: at}, lot)
		want -= qty
		if at > s.at[k] {
			s.at[k], s.why[k] = at, why
		}
	}
	if n := min(want, d.ledger.onHand[m]); n > 0 {
		give(Stock, None, n, None, d.in.Now, Reason{})
	}
	for i := 0; i < len(mat.Lots) && want > 0; i++ {
		if n := min(want, d.ledger.lots[m][i]); n > 0 && mat.Lots[i].Job == None {
			give(Dated, i, n, None, mat.Lots[i].At, Reason{ByLot, m, mat.Lots[i].At})
		}
	}
	for want > 0 {
		i, waits := d.nextFreed(m, j)
		if i == None {
			if s.wait = waits; waits != None {
				return
			}
			break
		}
		at := d.prog[mat.Lots[i].Job].end
		give(Freed, i, min(want, d.ledger.lots[m][i]), mat.Lots[i].Job, at, Reason{ByHarvest, mat.Lots[i].Job, at})
	}
	if want > 0 && mat.Orderable {
		give(Ordered, None, want, None, mat.OrderAt, Reason{ByOrder, m, mat.OrderAt})
	}
	s.short = want > 0
}

// nextFreed is the lot with something left whose job ends first. With none it
// says which job is still to free some, if any.
func (d *decoder) nextFreed(m, j int) (lot, waits int) {
	lot, waits = None, None
	for i, l := range d.in.Materials[m].Lots {
		switch {
		case l.Job == None || l.Job == j || d.ledger.lots[m][i] == 0:
		case d.prog[l.Job].done:
			if lot == None || d.prog[l.Job].end < d.prog[d.in.Materials[m].Lots[lot].Job].end {
				lot = i
			}
		case !d.prog[l.Job].blocked && waits == None:
			waits = l.Job
		}
	}
	return lot, waits
}

package schedule

// Solve places every job or says what keeps it from a place. Several orders
// are decoded and the best result is kept; equal problems have equal results.
func Solve(p *Problem) Result {
	in := prepare(p)
	var best *decoder
	for _, o := range in.orders() {
		d := in.decode(o)
		if best == nil || d.result.Cost.Less(best.result.Cost) {
			best = d
		}
	}
	if best == nil {
		return Result{}
	}
	return best.result
}

// decode decodes an order. Jobs that were begun and could not be ended are
// left out, and the rest is decoded again.
func (in *instance) decode(o order) *decoder {
	dropped := make([]bool, len(in.Jobs))
	why := make([]Reason, len(in.Jobs))
	for round := 1; ; round++ {
		d := newDecoder(in, o, dropped)
		d.run()
		j := d.void()
		if j == None {
			d.finish()
			d.explain(why)
			return d
		}
		for _, o := range d.begun {
			if o == j || round > 4 && !d.prog[o].done {
				dropped[o] = true
				why[o] = d.dropReason(o)
			}
		}
		dropped[j] = true
		why[j] = d.dropReason(j)
	}
}

// dropReason says why a job that was begun could not be ended.
func (d *decoder) dropReason(j int) Reason {
	switch why := d.lastWhy[j]; why.Kind {
	case ByHelper, ByTool, ByPlace, ByBlackout, ByStuck, BySession:
		return why
	}
	return Reason{Kind: BySession}
}

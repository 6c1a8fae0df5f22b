package schedule

import "slices"

// block is what one decision places: a bench stage with those tied to it, or a
// clock stage that takes the place. Clock stages between blocks start by
// themselves.
type block struct {
	id            int
	job, from, to int // the stages from to without to
	subject       int
	bench, hands  bool
	place         bool // the subject has to be on the place
	sticks        bool // begins a hold
	minutes       int
	after, before []int // blocks that come directly before and after it
}

// prepareBlocks numbers the blocks of all jobs, by job and stage, and links
// them.
func (in *instance) prepareBlocks() {
	in.blockAt = make([]int, in.stages)
	in.blocksOf = make([]Span, len(in.Jobs))
	for id := range in.blockAt {
		in.blockAt[id] = None
	}
	for j := range in.Jobs {
		in.blocksOf[j].From = len(in.blocks)
		for k := 0; k < len(in.acts[j]); k++ {
			if a := &in.acts[j][k]; a.Bench || a.heavy {
				for s := k; s < a.block; s++ {
					in.blockAt[a.id+s-k] = len(in.blocks)
				}
				in.blocks = append(in.blocks, in.newBlock(j, k, a.block))
				k = a.block - 1
			}
		}
		in.blocksOf[j].To = len(in.blocks)
	}
	for b := range in.blocks {
		in.linkBlock(b)
	}
	for c := range in.Subjects {
		in.blackouts = in.blackouts || len(in.Subjects[c].Blackouts) > 0
	}
	for h := range in.holds {
		in.holds[h].measure(in)
	}
}

func (in *instance) newBlock(j, from, to int) block {
	b := block{id: len(in.blocks), job: j, from: from, to: to, subject: in.Jobs[j].Subject, bench: in.acts[j][from].Bench, hands: in.byHand(j, from, to)}
	for _, a := range in.acts[j][from:to] {
		b.sticks = b.sticks || a.Hold == From || a.Hold == Within
		b.place = b.place || a.Place || in.HasPlace && (a.Hold == From || a.Hold == Within)
		b.minutes += a.Minutes
	}
	return b
}

// measure adds up what is to be done to end a hold after the stage that begins
// it.
func (h *hold) measure(in *instance) {
	for _, j := range h.chain {
		from, to := 0, len(in.acts[j])
		if j == h.job {
			from = 1 + slices.IndexFunc(in.acts[j], func(a act) bool { return a.Hold == From })
		}
		if j == h.untilJob {
			to = h.untilAt + 1
		}
		for k := from; k < to; k++ {
			if a := &in.acts[j][k]; a.Bench {
				h.bench += a.Minutes
			} else {
				h.clock += a.Minutes
			}
		}
	}
}

// linkBlock links a block to the ones directly before it: the one before in its
// job, or the last ones of the jobs that must be done first.
func (in *instance) linkBlock(b int) {
	x := &in.blocks[b]
	if b > in.blocksOf[x.job].From {
		x.after = append(x.after, b-1)
	} else {
		in.lastBlocks(x.job, &x.after, map[int]bool{x.job: true})
	}
	for _, o := range x.after {
		in.blocks[o].before = append(in.blocks[o].before, b)
	}
}

// lastBlocks collects the last block of every job that must come before a job,
// passing over jobs without blocks.
func (in *instance) lastBlocks(j int, out *[]int, seen map[int]bool) {
	visit := func(o int) {
		if seen[o] {
			return
		}
		seen[o] = true
		if s := in.blocksOf[o]; s.From < s.To {
			*out = append(*out, s.To-1)
		} else {
			in.lastBlocks(o, out, seen)
		}
	}
	for _, l := range in.Jobs[j].After {
		visit(l.Job)
	}
	for k := range in.Jobs[j].Stages {
		for _, need := range in.Jobs[j].Stages[k].Needs {
			for _, o := range in.lacking(j, need.Material) {
				visit(o)
			}
		}
	}
	slices.Sort(*out)
}

// sequenceOf is the order in which a result's blocks start.
func (in *instance) sequenceOf(r *Result) []int {
	var out []int
	for _, p := range r.Placed { // by time
		b := in.blockAt[in.base[p.Job]+p.Stage]
		if b != None && in.blocks[b].from == p.Stage {
			out = append(out, b)
		}
	}
	return out
}

package schedule

import (
	"cmp"
	"slices"
)

// prepareHolds pairs every stage that makes its subject stuck with the stage
// that frees it: the next in its own job, else one in the nearest job on the
// same subject that comes after it. What frees a subject that is stuck at now
// is a stage that no other stage is paired with.
func (in *instance) prepareHolds() {
	in.holdsOf = make([][]int, len(in.Subjects))
	in.holdFrom, in.holdUntil = make([][]int, in.stages), make([][]int, in.stages)
	paired := make([]bool, in.stages)
	for j := range in.Jobs {
		for k := range in.acts[j] {
			if in.acts[j][k].Hold == From {
				in.addHold(j, k, paired)
			}
		}
	}
	for c := range in.Subjects {
		if !in.Subjects[c].Stuck {
			continue
		}
		h := hold{subject: c, job: None, untilJob: None}
		for _, j := range in.order {
			for k := range in.acts[j] {
				if id := in.base[j] + k; in.Jobs[j].Subject == c && in.acts[j][k].Hold == Until && !paired[id] {
					h.end(in, j, k)
				}
			}
		}
		in.keepHold(h)
	}
}

// end adds a stage that ends the hold; the first one added is the one expected.
func (h *hold) end(in *instance, j, k int) {
	if h.untilJob == None {
		h.untilJob, h.untilAt = j, k
		h.chain = in.before([]int{j})
	}
	h.untilActs = append(h.untilActs, in.base[j]+k)
}

func (in *instance) keepHold(h hold) {
	n := len(in.holds)
	in.holds = append(in.holds, h)
	in.holdsOf[h.subject] = append(in.holdsOf[h.subject], n)
	for _, id := range h.untilActs {
		in.holdUntil[id] = append(in.holdUntil[id], n)
	}
}

func (in *instance) addHold(j, k int, paired []bool) {
	h := hold{subject: in.Jobs[j].Subject, job: j, untilJob: None}
	if u := in.untilIn(j, k+1); u != None {
		h.end(in, j, u)
	} else {
		for own := range 2 { // rather one that ends nothing of its own job
			if h.untilJob == None {
				in.addEnds(&h, own == 1)
			}
		}
	}
	for _, id := range h.untilActs {
		paired[id] = true
	}
	in.holdFrom[in.base[j]+k] = append(in.holdFrom[in.base[j]+k], len(in.holds))
	in.keepHold(h)
}

// addEnds adds the stages that end a hold in the jobs after its own: those with
// a stage before them in their own job that makes the subject stuck too, or
// those without.
func (in *instance) addEnds(h *hold, own bool) {
	for _, to := range in.following(h.job) {
		if u := in.untilIn(to, 0); in.Jobs[to].Subject == h.subject && u != None && in.hasFrom(to, u) == own {
			h.end(in, to, u)
		}
	}
}

func (in *instance) untilIn(j, k int) int {
	for ; k < len(in.acts[j]); k++ {
		if in.acts[j][k].Hold == Until {
			return k
		}
	}
	return None
}

func (in *instance) hasFrom(j, before int) bool {
	return slices.ContainsFunc(in.Jobs[j].Stages[:before], func(s Stage) bool { return s.Hold == From })
}

// following lists the jobs that come after a job, near ones first.
func (in *instance) following(j int) []int {
	var out []int
	seen := map[int]bool{j: true}
	for level := []int{j}; len(level) > 0; {
		var next []int
		for _, from := range level {
			for _, l := range in.next[from] {
				if !seen[l.Job] {
					seen[l.Job] = true
					next = append(next, l.Job)
				}
			}
		}
		slices.Sort(next)
		out = append(out, next...)
		level = next
	}
	return out
}

// before lists jobs with all that must be done before them, in order.
func (in *instance) before(jobs []int) []int {
	seen := map[int]bool{}
	var out []int
	for todo := slices.Clone(jobs); len(todo) > 0; todo = todo[1:] {
		if j := todo[0]; !seen[j] {
			seen[j] = true
			out = append(out, j)
			for _, l := range in.Jobs[j].After {
				todo = append(todo, l.Job)
			}
		}
	}
	slices.SortFunc(out, func(a, b int) int { return cmp.Compare(in.rank[a], in.rank[b]) })
	return out
}

// startUnheld is when a block can start that makes its subject stuck, so that no
// stage of its job up to the last one given waits for its material then.
func (in *instance) startUnheld(x *block, last, from int, supplied func(k int) int) (int, bool) {
	for range 20 {
		wait := in.waiting(x, last, from, supplied)
		if wait == 0 {
			return from, true
		}
		next, ok := in.plain.from(from + wait)
		if !ok || wait >= never {
			return 0, false
		}
		from = next
	}
	return 0, false
}

// waiting is how long, at the most, a stage of a job up to the last one would wait
// for its material if a block started then and the rest followed at once.
func (in *instance) waiting(x *block, last, from int, supplied func(k int) int) (wait int) {
	t := from
	for k := x.from; k <= last; k++ {
		a := &in.acts[x.job][k]
		if start, ok := a.cal.from(t); ok && a.Bench {
			t = start
		}
		if k >= x.to {
			wait = max(wait, supplied(k)-t)
		}
		if a.Bench {
			t = a.cal.after(t, a.Minutes)
		} else {
			t = a.ends(t)
		}
		if t >= never {
			return never
		}
	}
	return wait
}

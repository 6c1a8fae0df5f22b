package schedule

import (
	"cmp"
	"slices"
)

// instance is a problem with everything worked out that no decision changes.
type instance struct {
	*Problem
	acts      [][]act
	base      []int      // first stage id of each job
	stages    int        // how many stage ids
	plain     calendar   // all sessions
	helped    []calendar // sessions with at least so many helpers
	calendars []calendar
	next      [][]Link // jobs after a job
	order     []int    // jobs, prerequisites first
	rank      []int    // position in order
	mine      [][]int  // jobs of a subject
	setups    [][]int  // setups of a subject, innermost first
	stays     []bool   // setups that may stay open, with all around them, when the subject leaves
	closings  [][]int  // closings of a subject
	holds     []hold
	holdsOf   [][]int // holds of a subject
	holdFrom  [][]int // holds that a stage id begins
	holdUntil [][]int // holds that a stage id ends
	needers   [][]int // jobs that need a material
	scarce    []bool
	freed     [][]int // materials that a job frees
	aside     bool    // some bench stage is done without the hands
	horizon   int     // the end of the last session
	chains    [][]int // by job: what has to be done for its pin, once asked for
	decodes   int     // so far
	searches  int     // how many schedules are searched for
	free      bool    // nothing is to stay where it was before
	stayLate  int64   // the lateness that it is worth to leave a stage where it was
	blackouts bool    // some subject has blackouts
	blocks    []block
	blockAt   []int  // by stage id: its block, or None
	blocksOf  []Span // by job: its blocks
	lotBase   []int  // by material: where its lots begin, all lots in a row
}

// act is a stage beside what is worked out for it.
type act struct {
	*Stage
	id    int
	cal   calendar // when it can be worked on; for clock stages when its tools exist
	opens []int    // setups that must be open, outermost first
	least int      // shortest piece
	block int      // the stage after the last one tied to it
	heavy bool     // a clock stage that needs a decision: it takes the place or makes stuck
}

// hold is a span in which a subject is stuck, from a stage of a job (None: from
// the start) to the first of some stages.
type hold struct {
	subject   int
	job       int
	untilJob  int // the job whose stage is expected to end it, or None
	untilAt   int
	chain     []int // all jobs to be done for that, in order, untilJob last
	untilActs []int // stage ids that end it

	bench, clock int // minutes of the chain after the stage that begins it
}

func prepare(p *Problem) *instance {
	in := &instance{Problem: p}
	in.prepareJobs()
	in.prepareSetups()
	in.prepareCalendars()
	in.prepareActs()
	in.prepareMaterials()
	in.prepareHolds()
	in.prepareBlocks()
	return in
}

func (in *instance) prepareJobs() {
	n := len(in.Jobs)
	in.next, in.base = make([][]Link, n), make([]int, n)
	in.mine = make([][]int, len(in.Subjects))
	left := make([]int, n)
	for j := range in.Jobs {
		job := &in.Jobs[j]
		in.base[j] = in.stages
		in.stages += len(job.Stages)
		in.mine[job.Subject] = append(in.mine[job.Subject], j)
		left[j] = len(job.After)
		for _, l := range job.After {
			in.next[l.Job] = append(in.next[l.Job], Link{j, l.Gap})
		}
	}
	for j := range left {
		if left[j] == 0 {
			in.order = append(in.order, j)
		}
	}
	for i := 0; i < len(in.order); i++ {
		for _, l := range in.next[in.order[i]] {
			if left[l.Job]--; left[l.Job] == 0 {
				in.order = append(in.order, l.Job)
			}
		}
	}
	in.rank = make([]int, n)
	for i, j := range in.order {
		in.rank[j] = i
	}
	for _, s := range in.Sessions {
		in.horizon = max(in.horizon, s.To)
	}
}

func (in *instance) prepareSetups() {
	in.setups, in.closings = make([][]int, len(in.Subjects)), make([][]int, len(in.Subjects))
	depth := in.depths()
	for a := range in.Setups {
		c := in.Setups[a].Subject
		in.setups[c] = append(in.setups[c], a)
	}
	for _, list := range in.setups {
		slices.SortStableFunc(list, func(a, b int) int { return cmp.Or(depth[b]-depth[a], b-a) })
	}
	in.stays = make([]bool, len(in.Setups))
	for _, list := range in.setups {
		for i := len(list) - 1; i >= 0; i-- { // outermost first
			a := list[i]
			in.stays[a] = in.Setups[a].Stays
			for _, outer := range in.Setups[a].Inside {
				in.stays[a] = in.stays[a] && in.stays[outer]
			}
		}
	}
	for i, x := range in.Closings {
		in.closings[x.Subject] = append(in.closings[x.Subject], i)
	}
}

// depths says how many setups at most lie around each one.
func (in *instance) depths() []int {
	depth := make([]int, len(in.Setups))
	for range in.Setups {
		changed := false
		for a := range in.Setups {
			for _, outer := range in.Setups[a].Inside {
				if depth[a] <= depth[outer] {
					depth[a], changed = depth[outer]+1, true
				}
			}
		}
		if !changed {
			break
		}
	}
	return depth
}

func (in *instance) prepareActs() {
	in.acts = make([][]act, len(in.Jobs))
	known := map[string]int{}
	for j := range in.Jobs {
		stages := in.Jobs[j].Stages
		acts := make([]act, len(stages))
		for k := len(stages) - 1; k >= 0; k-- {
			s := &stages[k]
			acts[k] = act{
				Stage: s, id: in.base[j] + k, cal: in.calendarFor(s, known), opens: in.opensFor(s),
				least: min(MinPiece, s.Minutes), block: k + 1,
				heavy: !s.Bench && (s.Place || s.Hold == From || s.Hold == Within),
			}
			if k+1 < len(stages) && stages[k+1].Tied {
				acts[k].block = acts[k+1].block
			}
			in.aside = in.aside || s.Bench && !s.Hands
		}
		in.acts[j] = acts
	}
}

// opensFor lists the setups that a stage needs with all that lie around them,
// outermost first.
func (in *instance) opensFor(s *Stage) []int {
	if len(s.Setups) == 0 {
		return nil
	}
	seen := make(map[int]bool, len(s.Setups))
	for todo := slices.Clone(s.Setups); len(todo) > 0; todo = todo[1:] {
		if a := todo[0]; !seen[a] {
			seen[a] = true
			todo = append(todo, in.Setups[a].Inside...)
		}
	}
	var out []int
	list := in.setups[in.Setups[s.Setups[0]].Subject]
	for i := len(list) - 1; i >= 0; i-- {
		if seen[list[i]] {
			out = append(out, list[i])
		}
	}
	return out
}

func (in *instance) prepareMaterials() {
	in.needers, in.scarce = make([][]int, len(in.Materials)), make([]bool, len(in.Materials))
	in.freed = make([][]int, len(in.Jobs))
	demand := make([]int, len(in.Materials))
	in.lotBase = make([]int, len(in.Materials)+1)
	for m := range in.Materials {
		in.lotBase[m+1] = in.lotBase[m] + len(in.Materials[m].Lots)
	}
	for j := range in.Jobs {
		for _, s := range in.Jobs[j].Stages {
			for _, n := range s.Needs {
				demand[n.Material] += n.Qty
				if l := in.needers[n.Material]; len(l) == 0 || l[len(l)-1] != j {
					in.needers[n.Material] = append(l, j)
				}
			}
		}
	}
	for m := range in.Materials {
		supply := in.Materials[m].OnHand
		for _, lot := range in.Materials[m].Lots {
			supply += lot.Qty
			if lot.Job != None {
				in.freed[lot.Job] = append(in.freed[lot.Job], m)
			}
		}
		in.scarce[m] = !in.Materials[m].Orderable && supply < demand[m]
	}
}

// need is how much of a material a job uses up in all.
func (in *instance) need(j, material int) int {
	n := 0
	for k := range in.Jobs[j].Stages {
		for _, need := range in.Jobs[j].Stages[k].Needs {
			if need.Material == material {
				n += need.Qty
			}
		}
	}
	return n
}

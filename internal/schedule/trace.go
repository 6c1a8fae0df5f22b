package schedule

// Kind is the kind of a reason.
type Kind int

// The kinds of reason. Of is the index of the job, material, tool or subject
// that a reason names.
const (
	ByNow      Kind = iota // nothing held it
	ByRelease              // the job's release
	ByPin                  // a pin; of another job when Of is one
	ByArrival              // subject Of was not there
	ByJob                  // job Of comes before
	ByStage                // the stage before
	ByLot                  // material Of arrives
	ByHarvest              // material comes from job Of
	ByOrder                // material Of has to be ordered
	ByHands                // the hands were on job Of
	ByPlace                // subject Of held the place
	ByHelper               // no helper before
	ByTool                 // tool Of was not there
	BySession              // no session, or none long enough
	ByBlackout             // subject Of had to be whole
	ByStuck                // subject Of could not be moved
	ByChain                // the subject would have been stuck for material Of
	ByChainJob             // the subject would have been stuck for job Of
	ByWork                 // job Of was under way on the subject
)

// Reason is the last thing that pushed a start to where it is.
type Reason struct {
	Kind  Kind
	Of    int
	Until int // zero when it has no time of its own
}

// Placed is a stage with its times.
type Placed struct {
	Job, Stage int
	Span
	Pieces []Span // bench stages only
	Why    Reason
	passed Reason // what it was passed over for last before, if anything
	held   Reason // what stands in the way of its being moved up, if anything
}

// ItemKind is the kind of an overhead item.
type ItemKind int

// The kinds of overhead, and the mark that a subject's visit is over.
const (
	Open ItemKind = iota
	Close
	Finish // closing work
	Move
	leave
)

// Item is overhead: hands-on time that belongs to a visit.
type Item struct {
	Kind    ItemKind
	Subject int
	Of      int
	Span
}

// Visit is a run of work on one subject, on the place or off it throughout.
type Visit struct {
	Subject int
	OnPlace bool
	Span
	Saved int
	Items []Item
}

// Source says where promised material comes from.
type Source int

// The sources, in the order in which they are used.
const (
	Stock Source = iota
	Dated
	Freed
	Ordered
)

// Promise is material promised to a stage.
type Promise struct {
	Job, Stage, Material, Qty int
	Source                    Source
	Of                        int // the job of Freed
	At                        int
}

// Unplaced is a job that has no place, and why.
type Unplaced struct {
	Job int
	Why []Cause
}

// Cause is one thing that keeps a job from being placed.
type Cause struct {
	Reason
	Short   int   // of a material
	TakenBy []int // jobs
}

// Missed is a pin that was not kept.
type Missed struct {
	Job int
	Why Reason
}

// Result is a schedule with its reasons.
type Result struct {
	Placed   []Placed
	Unplaced []Unplaced
	Visits   []Visit
	Promises []Promise
	Missed   []Missed
	Ends     []int // by job; None when it has no place
	Cost     Cost
	Decodes  int  // orders tried
	Optimal  bool // no order of the work is better: all were gone through
}

// Cost is what is optimised: first lateness, then the score.
type Cost struct {
	Late     int64
	Weighted int64 // weight times minutes from now, jobs without a place counted as ending far off
	Overhead int   // minutes
	Moved    int64 // weight of the stages that left the session in which they were before
	Shifted  int64 // the same in lateness, which is what it would have to save
}

// OverheadMinutes is for how many minutes' delay of a job of weight 1 a minute of
// overhead counts.
const OverheadMinutes = 3

// What the parts of the score weigh against a minute's delay of a job of
// weight 1 (which is 1,000 in a Problem).
const (
	overheadWeight = 1_000 * OverheadMinutes
	movedWeight    = 60_000_000 // a stage in another session than before: 1,000 hours
	movedSoon      = 8          // so many times that, of a stage that was in this session or the next
	stayWorth      = 200        // a stage that stays where it was is worth a 200th of the lateness
	lateWorth      = 10         // a tenth less lateness is worth leaving the schedule before
	scoreWorth     = 10         // and so is a tenth less of the score
)

// Score is all but lateness in one figure.
func (c Cost) Score() int64 {
	return addUpTo(c.Weighted, overheadWeight*int64(c.Overhead)+c.Moved)
}

// clearlyLess says whether a cost is better than another by more than what a
// schedule that stays as it was is worth.
func (c Cost) clearlyLess(o Cost) bool {
	c.Moved, o.Moved, c.Shifted, o.Shifted = 0, 0, 0, 0
	if late := o.Late / lateWorth; c.Late < o.Late-late || c.Late > o.Late+late {
		return c.Late < o.Late
	}
	return c.Score() < o.Score()-o.Score()/scoreWorth
}

// inDraft is a cost as drafts reckon it: with what is moved as lateness.
func (c Cost) inDraft() Cost {
	c.Late, c.Shifted = addUpTo(c.Late, c.Shifted), 0
	return c
}

// Less says whether a cost is better than another.
func (c Cost) Less(o Cost) bool {
	if a, b := addUpTo(c.Late, c.Shifted), addUpTo(o.Late, o.Shifted); a != b {
		return a < b
	}
	if a, b := c.Score(), o.Score(); a != b {
		return a < b
	}
	return c.Overhead < o.Overhead
}

// moved is what it weighs that a stage starts there: nothing in the session in
// which it was before, or when the schedule is free to change.
func (in *instance) moved(a *act, start int) int64 {
	if a.Before == 0 || in.free {
		return 0
	}
	return in.leaves(in.session(a.Before), in.session(start))
}

// leaves is what it weighs that a stage goes from one session to another.
func (in *instance) leaves(was, is int) int64 {
	switch {
	case was == is:
		return 0
	case min(was, is) <= in.session(in.Now)+1:
		return movedSoon * movedWeight
	}
	return movedWeight
}

// overtaken is what it weighs that a stage of this session or the next comes
// after one that it came before. latest is when, at the latest, such stages
// were that have come so far.
func (in *instance) overtaken(a *act, latest *int) int64 {
	if a.Before == 0 || in.free || in.session(a.Before) > in.session(in.Now)+1 {
		return 0
	}
	if a.Before < *latest {
		return movedSoon * movedWeight
	}
	*latest = a.Before
	return 0
}

// stayedLate is the lateness that a weight of moved stages has to save.
func (in *instance) stayedLate(moved int64) int64 { return moved / movedWeight * in.stayLate }

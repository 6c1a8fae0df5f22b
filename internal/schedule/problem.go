package schedule

// Span is a stretch of time from its first minute up to and without To.
type Span struct{ From, To int }

// Session is a stretch of time in which the hands can work, with the helpers
// that are there.
type Session struct {
	Span
	Helpers int
}

// Problem is what Solve is given. Everything refers to everything else by
// index; where nothing else decides, the lower index goes first. Sessions are
// in order of time and do not overlap, and no loops run through After and
// Inside.
type Problem struct {
	Now       int
	Sessions  []Session
	Tools     []Tool
	HasPlace  bool // whether there is a place at all; without one nothing needs it
	Places    int  // how many subjects the place holds
	Move      int  // minutes to put a subject onto the place
	Subjects  []Subject
	Setups    []Setup
	Closings  []Closing
	Materials []Material
	Jobs      []Job
	Effort    int // how much is tried, in about the time of so many decodes; zero: what is quick
}

// Tool is a renewable resource. Windows, when not nil, say when it exists.
type Tool struct {
	Capacity int
	Windows  []Span
}

// Subject is a thing that jobs are done on. In a blackout it must be whole and
// off the place.
type Subject struct {
	Arrives   int
	Blackouts []Span
	Placed    bool // on the place now
	Stuck     bool // cannot be moved now
}

// Setup is something opened to reach the work and closed again: a family of
// stages shares it. Inside lists the setups that must be open first.
type Setup struct {
	Subject     int
	Open, Close int
	Inside      []int
	Stays       bool // may stay open when the subject leaves the place
	IsOpen      bool // now
}

// Closing is work done once at the end of a visit that called for it.
type Closing struct {
	Subject, Minutes, Helpers int
}

// Material is used up by stages. What is on hand goes first, then dated lots
// in order of time, then lots that jobs free, then orders.
type Material struct {
	OnHand    int
	Lots      []Lot
	Orderable bool
	OrderAt   int // when an order made now is there
}

// None is the index of nothing.
const None = -1

// Lot is some of a material, there at a time or, when Job is not None, at the
// end of that job.
type Lot struct {
	Qty, At, Job int
}

// Link is a job that must have ended, and for how long.
type Link struct{ Job, Gap int }

// Job is a row of stages on one subject, placed whole or not at all.
type Job struct {
	Subject    int
	Weight     int64
	Release    int
	Due        int
	LatePerDay int64
	LateOnce   int64
	MoreDues   []Due // further dates with a price of their own
	Pinned     bool
	Pin        int // the session, or None when the pin lies in none
	PinAt      int
	After      []Link
	Stages     []Stage
}

// Due is a time by which a job should have ended: what it costs to be late, by day
// begun and once.
type Due struct {
	At           int
	PerDay, Once int64
}

// Late is what ending at that time costs, all due dates together.
func (j *Job) Late(end int) int64 {
	late := (&Due{j.Due, j.LatePerDay, j.LateOnce}).late(end)
	for i := range j.MoreDues {
		late = addUpTo(late, j.MoreDues[i].late(end))
	}
	return late
}

func (d *Due) late(end int) int64 {
	if end <= d.At || d.PerDay == 0 && d.Once == 0 {
		return 0
	}
	return d.Once + d.PerDay*int64((end-d.At+1439)/1440)
}

// priced lists the due dates of a job that have a price.
func (j *Job) priced(each func(d Due)) {
	for _, d := range append([]Due{{j.Due, j.LatePerDay, j.LateOnce}}, j.MoreDues...) {
		if d.PerDay > 0 || d.Once > 0 {
			each(d)
		}
	}
}

// firstDue is the first due date with a price, and whether there is one.
func (j *Job) firstDue() (at int, any bool) {
	j.priced(func(d Due) {
		if !any || d.At < at {
			at, any = d.At, true
		}
	})
	return at, any
}

// Hold says what a stage does to its subject's being able to move.
type Hold int

// From makes the subject stuck at the stage's start, Until frees it at the
// stage's end, Within does both.
const (
	Free Hold = iota
	From
	Until
	Within
)

// Stage is one activity. A bench stage is done in sessions and may pause at
// their ends; a clock stage runs through.
type Stage struct {
	Bench    bool
	Minutes  int
	Ends     func(start int) int // clock stages; nil is start plus Minutes
	Hands    bool                // bench stages: whether the hands do it
	Helpers  int
	Place    bool
	Tools    []Use
	Setups   []int
	Closings []int
	Needs    []Need
	Hold     Hold
	Tied     bool // follows the stage before at once
	Before   int  // when it started in the schedule before; zero when it was not in it
}

func (s *Stage) ends(start int) int {
	if s.Ends != nil {
		return s.Ends(start)
	}
	return start + s.Minutes
}

// Use is how many of a tool a stage takes.
type Use struct{ Tool, N int }

// Need is how much of a material a stage uses up.
type Need struct{ Material, Qty int }

package planner_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
)

// The checker reads a problem and an answer as JSON and says which planning rules the answer breaks. It
// shares no code and no type with the planner, and prefers the obvious way over the quick one: a plan that
// both find right was worked out twice.

// check returns one line for every rule that the answer breaks; none means that the plan holds.
func check(problemJSON, answerJSON []byte) []string {
	c := newChecker()
	if err := c.load(problemJSON, answerJSON); err != nil {
		return []string{"unreadable: " + err.Error()}
	}
	c.checkShape()
	if len(c.bad) > 0 { // ids that do not match would only make the rest noise
		return c.bad
	}
	c.checkListed()
	c.checkPieces()
	c.checkHands()
	c.checkUse()
	c.checkOrder()
	c.checkParts()
	c.checkVisits()
	c.checkIdleMoves()
	c.checkInPieces()
	c.checkLift()
	c.checkAccess()
	c.checkClosing()
	c.checkImmobile()
	c.checkRoadNeeds()
	c.checkPins()
	c.checkBlocked()
	c.checkTotals()
	c.checkBecause()
	slices.Sort(c.bad) // some rules walk maps
	return c.bad
}

func newChecker() *checker {
	return &checker{days: map[string]int{}, stood: map[string][]standing{}, left: map[string][]*supply{}}
}

// forever stands for the end of what has no end.
const forever = 1 << 50

// checker holds a problem and its answer with every time turned into minutes since 1970.
type checker struct {
	p         givenProblem
	a         answerPlan
	loc       *time.Location
	now       int
	sessions  []session
	jobs      map[string]*givenJob
	cars      map[string]*givenCar
	access    map[string]*givenAccess
	closings  map[string]*givenClosing
	parts     map[string]*givenPart
	resources map[string]*givenResource
	works     []*work
	byJob     map[string][]*work
	visits    []*visit
	blocked   map[string][]answerWhy
	bad       []string

	// worked out once and kept
	days     map[string]int
	stood    map[string][]standing
	opened   []*opening
	promised []promise
	left     map[string][]*supply // of each part, with what is promised of it
}

func (c *checker) fail(rule, format string, args ...any) {
	c.bad = append(c.bad, rule+" "+fmt.Sprintf(format, args...))
}

// at prints an instant for a complaint.
func (c *checker) at(minute int) string {
	if minute >= forever {
		return "the end"
	}
	return c.timeAt(minute).Format("Mon 2 Jan 2006 15:04 -0700")
}

func (c *checker) timeAt(minute int) time.Time { return time.Unix(int64(minute)*60, 0).In(c.loc) }

// span is a stretch of time, from its first minute up to and without to.
type span struct{ from, to int }

func (s span) overlaps(o span) bool { return s.from < o.to && o.from < s.to }
func (s span) holds(o span) bool    { return s.from <= o.from && o.to <= s.to }
func (s span) length() int          { return s.to - s.from }

type session struct {
	span
	helpers int
}

// work is one stage of the answer beside what the problem says of it.
type work struct {
	span
	job     *givenJob
	stage   *givenStage
	index   int
	answer  *answerStage
	pieces  []span
	car     string
	label   string
	visit   *visit
	minutes int
}

// visit is one visit of the answer.
type visit struct {
	span
	car    string
	onLift bool
	saved  int
	items  []item
}

// item is one piece of overhead.
type item struct {
	span
	car, kind, of string
	visit         *visit
}

// The problem as given.
type givenProblem struct {
	Now              string          `json:"now"`
	Zone             string          `json:"zone"`
	Confidence       json.Number     `json:"confidence"`
	Sessions         []givenSession  `json:"sessions"`
	Resources        []givenResource `json:"resources"`
	ChangeCarMinutes int             `json:"change_car_minutes"`
	Cars             []givenCar      `json:"cars"`
	Access           []givenAccess   `json:"access"`
	Closing          []givenClosing  `json:"closing"`
	Parts            []givenPart     `json:"parts"`
	Jobs             []givenJob      `json:"jobs"`
}

type givenSession struct {
	From    string `json:"from"`
	To      string `json:"to"`
	Helpers int    `json:"helpers"`
}

type givenSpan struct {
	From string `json:"from"`
	To   string `json:"to"`
}

type givenResource struct {
	ID       string      `json:"id"`
	Capacity *int        `json:"capacity"`
	Windows  []givenSpan `json:"windows"`
}

type givenCar struct {
	ID        string          `json:"id"`
	Arrives   json.RawMessage `json:"arrives"`
	RoadNeeds []givenSpan     `json:"road_needs"`
	OnLift    bool            `json:"on_lift"`
	Immobile  bool            `json:"immobile"`
}

type givenAccess struct {
	ID           string   `json:"id"`
	Car          string   `json:"car"`
	OpenMinutes  int      `json:"open_minutes"`
	CloseMinutes int      `json:"close_minutes"`
	Inside       []string `json:"inside"`
	Stays        bool     `json:"stays"`
	Open         bool     `json:"open"`
}

type givenClosing struct {
	ID      string         `json:"id"`
	Car     string         `json:"car"`
	Minutes int            `json:"minutes"`
	Needs   map[string]int `json:"needs"`
}

type givenArrival struct {
	Qty     *int            `json:"qty"`
	At      json.RawMessage `json:"at"`
	FromJob string          `json:"from_job"`
}

type givenPart struct {
	ID            string          `json:"id"`
	OnHand        int             `json:"on_hand"`
	Arrivals      []givenArrival  `json:"arrivals"`
	OrderLeadDays json.RawMessage `json:"order_lead_days"`
}

type givenAfter struct {
	Job        string `json:"job"`
	GapMinutes int    `json:"gap_minutes"`
}

type givenNeed struct {
	Part string `json:"part"`
	Qty  *int   `json:"qty"`
}

type givenStage struct {
	ID            string         `json:"id"`
	Kind          string         `json:"kind"`
	Minutes       []int          `json:"minutes"`
	Days          []int          `json:"days"`
	WorkingDays   []string       `json:"working_days"`
	Needs         map[string]int `json:"needs"`
	Access        []string       `json:"access"`
	Closing       []string       `json:"closing"`
	Parts         []givenNeed    `json:"parts"`
	Immobile      string         `json:"immobile"`
	FollowsAtOnce bool           `json:"follows_at_once"`
}

type givenDue struct {
	At             string  `json:"at"`
	For            string  `json:"for"`
	LateCostPerDay float64 `json:"late_cost_per_day"`
	LateCost       float64 `json:"late_cost"`
}

type givenJob struct {
	ID             string       `json:"id"`
	Car            string       `json:"car"`
	Weight         *float64     `json:"weight"`
	NotBefore      string       `json:"not_before"`
	Pin            string       `json:"pin"`
	Due            string       `json:"due"`
	LateCostPerDay float64      `json:"late_cost_per_day"`
	LateCost       float64      `json:"late_cost"`
	Dues           []givenDue   `json:"dues"`
	After          []givenAfter `json:"after"`
	Stages         []givenStage `json:"stages"`
}

// The answer as given.
type answerPlan struct {
	Now      string          `json:"now"`
	Zone     string          `json:"zone"`
	Stages   []answerStage   `json:"stages"`
	Blocked  []answerBlocked `json:"blocked"`
	Visits   []answerVisit   `json:"visits"`
	Promises []answerPromise `json:"promises"`
	Notes    []answerNote    `json:"notes"`
	Totals   answerTotals    `json:"totals"`
}

type answerBecause struct {
	Kind  string `json:"kind"`
	Of    string `json:"of,omitempty"`
	Until string `json:"until,omitempty"`
}

type answerStage struct {
	Job     string        `json:"job"`
	Car     string        `json:"car"`
	Stage   string        `json:"stage"`
	Kind    string        `json:"kind"`
	From    string        `json:"from"`
	To      string        `json:"to"`
	Pieces  []givenSpan   `json:"pieces"`
	Because answerBecause `json:"because"`
}

type answerWhy struct {
	Kind  string `json:"kind"`
	Of    string `json:"of,omitempty"`
	Short int    `json:"short,omitempty"`
	Until string `json:"until,omitempty"`

	TakenBy []string `json:"taken_by,omitempty"`
}

type answerBlocked struct {
	Job string      `json:"job"`
	Why []answerWhy `json:"why"`
}

type answerItem struct {
	Kind string `json:"kind"`
	Of   string `json:"of,omitempty"`
	From string `json:"from"`
	To   string `json:"to"`
}

type answerVisit struct {
	Car          string       `json:"car"`
	OnLift       bool         `json:"on_lift"`
	From         string       `json:"from"`
	To           string       `json:"to"`
	MinutesSaved int          `json:"minutes_saved"`
	Overhead     []answerItem `json:"overhead"`
}

type answerPromise struct {
	Job     string `json:"job"`
	Stage   string `json:"stage"`
	Part    string `json:"part"`
	Qty     int    `json:"qty"`
	Source  string `json:"source"`
	Of      string `json:"of,omitempty"`
	At      string `json:"at,omitempty"`
	OrderBy string `json:"order_by,omitempty"`
}

type answerNote struct {
	Job   string `json:"job"`
	Kind  string `json:"kind"`
	Of    string `json:"of,omitempty"`
	Until string `json:"until,omitempty"`
}

type answerTotals struct {
	LateCost           float64 `json:"late_cost"`
	WeightedCompletion float64 `json:"weighted_completion"`
	OverheadMinutes    int     `json:"overhead_minutes"`
	MinutesSaved       int     `json:"minutes_saved"`
	Bound              float64 `json:"bound"`
}

func (c *checker) load(problemJSON, answerJSON []byte) error {
	if err := json.Unmarshal(problemJSON, &c.p); err != nil {
		return fmt.Errorf("problem: %w", err)
	}
	if err := json.Unmarshal(answerJSON, &c.a); err != nil {
		return fmt.Errorf("answer: %w", err)
	}
	var err error
	if c.loc, err = time.LoadLocation(c.p.Zone); err != nil {
		return err
	}
	c.now = c.instant(c.p.Now)
	for _, s := range c.p.Sessions {
		c.sessions = append(c.sessions, session{span{max(c.now, c.instant(s.From)), c.instant(s.To)}, s.Helpers})
	}
	c.sessions = slices.DeleteFunc(c.sessions, func(s session) bool { return s.to <= c.now })
	slices.SortFunc(c.sessions, func(a, b session) int { return a.from - b.from })
	c.jobs = indexed(c.p.Jobs, func(j *givenJob) string { return j.ID })
	c.cars = indexed(c.p.Cars, func(x *givenCar) string { return x.ID })
	c.access = indexed(c.p.Access, func(x *givenAccess) string { return x.ID })
	c.closings = indexed(c.p.Closing, func(x *givenClosing) string { return x.ID })
	c.parts = indexed(c.p.Parts, func(x *givenPart) string { return x.ID })
	c.resources = indexed(c.p.Resources, func(x *givenResource) string { return x.ID })
	return nil
}

func indexed[T any](list []T, id func(*T) string) map[string]*T {
	m := map[string]*T{}
	for i := range list {
		m[id(&list[i])] = &list[i]
	}
	return m
}

// checkShape matches the answer's ids with the problem's: every job once, placed whole or blocked, nothing
// that the problem does not know, times written in the zone.
func (c *checker) checkShape() {
	if c.a.Zone != c.p.Zone || c.instant(c.a.Now) != c.now {
		c.fail("shape", "answer is for now %q zone %q", c.a.Now, c.a.Zone)
	}
	c.byJob, c.blocked = map[string][]*work{}, map[string][]answerWhy{}
	for i := range c.a.Stages {
		c.addWork(&c.a.Stages[i])
	}
	for _, b := range c.a.Blocked {
		if _, known := c.jobs[b.Job]; !known {
			c.fail("blocked", "unknown job %q", b.Job)
		}
		if _, twice := c.blocked[b.Job]; twice {
			c.fail("blocked", "%s listed twice", b.Job)
		}
		c.blocked[b.Job] = b.Why
	}
	for i := range c.p.Jobs {
		c.checkWhole(&c.p.Jobs[i])
	}
	for i := range c.a.Visits {
		c.addVisit(&c.a.Visits[i])
	}
	slices.SortStableFunc(c.visits, func(a, b *visit) int { return a.from - b.from })
}

// checkListed wants the stages in order of time, then of job, and sorts them so for the other rules.
func (c *checker) checkListed() {
	for i := 1; i < len(c.works); i++ {
		a, b := c.works[i-1], c.works[i]
		if a.from > b.from || a.from == b.from && a.job.ID > b.job.ID {
			c.fail("shape", "stages not in time order at %s, %s", a.label, b.label)
		}
	}
	slices.SortStableFunc(c.works, func(a, b *work) int { return a.from - b.from })
}

func (c *checker) addWork(s *answerStage) {
	job := c.jobs[s.Job]
	if job == nil {
		c.fail("shape", "unknown job %q", s.Job)
		return
	}
	i := slices.IndexFunc(job.Stages, func(g givenStage) bool { return g.ID == s.Stage })
	if i < 0 {
		c.fail("shape", "job %s has no stage %q", s.Job, s.Stage)
		return
	}
	w := &work{
		span: c.written(s.From, s.To), job: job, stage: &job.Stages[i], index: i, answer: s, car: job.Car,
		label: s.Job + "/" + s.Stage,
	}
	if s.Car != job.Car || s.Kind != w.stage.Kind {
		c.fail("shape", "%s is said to be %s on %s", w.label, s.Kind, s.Car)
	}
	if len(w.stage.Minutes) > 0 {
		w.minutes = w.stage.Minutes[len(w.stage.Minutes)/2]
	}
	for _, p := range s.Pieces {
		w.pieces = append(w.pieces, c.written(p.From, p.To))
	}
	if !slices.Contains(becauseKinds, s.Because.Kind) {
		c.fail("because", "%s has reason %q", w.label, s.Because.Kind)
	}
	c.works = append(c.works, w)
	c.byJob[job.ID] = append(c.byJob[job.ID], w)
}

var becauseKinds = strings.Fields(`now not_before pin car job stage part harvest order hands lift helper tool session
	road_need immobile chain work`)

func (c *checker) checkWhole(job *givenJob) {
	works := c.byJob[job.ID]
	why, blocked := c.blocked[job.ID]
	if blocked {
		if len(works) > 0 {
			c.fail("blocked", "%s is blocked and placed", job.ID)
		}
		if len(why) == 0 || slices.ContainsFunc(why, func(w answerWhy) bool { return w.Kind == "" }) {
			c.fail("blocked", "%s without a reason", job.ID)
		}
		return
	}
	slices.SortStableFunc(works, func(a, b *work) int { return a.index - b.index })
	if len(works) != len(job.Stages) {
		c.fail("whole", "%s has %d of %d stages and is not blocked", job.ID, len(works), len(job.Stages))
		return
	}
	for i, w := range works {
		if w.index != i {
			c.fail("whole", "%s: stage %s placed twice or missing", job.ID, job.Stages[i].ID)
		}
	}
}

func (c *checker) addVisit(v *answerVisit) {
	if c.cars[v.Car] == nil {
		c.fail("visit", "unknown car %q", v.Car)
		return
	}
	out := &visit{span: c.written(v.From, v.To), car: v.Car, onLift: v.OnLift, saved: v.MinutesSaved}
	for _, o := range v.Overhead {
		it := item{span: c.written(o.From, o.To), car: v.Car, kind: o.Kind, of: o.Of, visit: out}
		access, closing := c.access[o.Of], c.closings[o.Of]
		switch {
		case (o.Kind == "open" || o.Kind == "close") && access != nil && access.Car == v.Car:
		case o.Kind == "closing" && closing != nil && closing.Car == v.Car:
		case o.Kind == "change":
		default:
			c.fail("visit", "%s: %s %q is nothing of this car", v.Car, o.Kind, o.Of)
			continue
		}
		out.items = append(out.items, it)
	}
	c.visits = append(c.visits, out)
}

package planner

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
)

// horizonDays is how far ahead sessions and road needs are laid out. A garage whose work takes longer sees the rest as
// having no session left.
const horizonDays = 26 * 7

// Further kinds of reason, of jobs that a garage holds but a problem cannot.
const (
	BecauseNoStages = "no_stages" // the job has no stage yet
	BecauseNoLift   = "no_lift"   // a stage needs a lift and the garage has none
)

// id is a record's name in a problem: what it is, and its number.
func id[T ~int64](kind string, n T) string { return kind + "-" + strconv.FormatInt(int64(n), 10) }

// CarRef names a car in a problem.
func CarRef(n garage.CarID) string { return id("car", n) }

// JobRef names a job in a problem.
func JobRef(n garage.JobID) string { return id("job", n) }

// StageRef names a stage in a problem.
func StageRef(n garage.StageID) string { return id("stage", n) }

// PartRef names a part in a problem.
func PartRef(n garage.PartID) string { return id("part", n) }

// AccessRef names an access in a problem.
func AccessRef(n garage.AccessID) string { return id("access", n) }

// ClosingRef names a closing work in a problem.
func ClosingRef(n garage.ClosingID) string { return id("closing", n) }

// ToolRef names a special tool in a problem.
func ToolRef(n garage.ToolID) string { return id("tool", n) }

// RefNumber is the number in a name made by one of the Ref functions, or 0.
func RefNumber[T ~int64](ref string) T {
	_, number, _ := strings.Cut(ref, "-")
	number, _, _ = strings.Cut(number, ".") // of a pool
	n, _ := strconv.ParseInt(number, 10, 64)
	return T(n)
}

// FromGarage lays a garage out as a problem at a moment. Jobs that cannot be part of one are left out, with those that wait
// for them, and returned as blocked: jobs without a stage and jobs that need a lift where there is
// none.
func FromGarage(s garage.Snapshot, now time.Time) (Problem, []Blocked) {
	zone := s.Settings.Location()
	in := input{
		shot: s, now: now.In(zone), zone: zone, today: garage.DateOf(now.In(zone)),
		stages: map[garage.JobID][]garage.Stage{}, needs: map[garage.StageID][]garage.Need{},
		after: map[garage.JobID][]garage.After{}, left: map[garage.JobID]Why{},
	}
	for _, stage := range s.Stages {
		in.stages[stage.JobID] = append(in.stages[stage.JobID], stage)
	}
	for _, need := range s.Needs {
		in.needs[need.StageID] = append(in.needs[need.StageID], need)
	}
	for _, after := range s.After {
		in.after[after.JobID] = append(in.after[after.JobID], after)
	}
	in.leaveOut()
	in.pools = newPools(&in)
	return in.problem(), in.blocked()
}

// PlanGarage plans a garage as it is at a moment.
func PlanGarage(s garage.Snapshot, now time.Time) (Problem, Answer, error) {
	problem, blocked := FromGarage(s, now)
	answer, err := Plan(problem)
	if err != nil {
		return problem, Answer{}, err
	}
	return problem, answer.withBlocked(blocked), nil
}

// input is a garage on its way into a problem.
type input struct {
	shot   garage.Snapshot
	now    time.Time
	zone   *time.Location
	today  garage.Date
	stages map[garage.JobID][]garage.Stage
	needs  map[garage.StageID][]garage.Need
	after  map[garage.JobID][]garage.After
	left   map[garage.JobID]Why // jobs left out, and why
	pools  *pools
}

// leaveOut finds the jobs that cannot be planned and, round by round, those that wait for one.
func (in *input) leaveOut() {
	for _, job := range in.shot.Jobs {
		switch {
		case len(in.stages[job.ID]) > 0:
		case in.finished(job.ID):
			in.left[job.ID] = Why{} // nothing is left to plan; who waits for it need not
		default:
			in.left[job.ID] = Why{Kind: BecauseNoStages}
		}
		if in.shot.Settings.Lifts == 0 && slices.ContainsFunc(in.stages[job.ID], func(s garage.Stage) bool { return s.Lift }) {
			in.left[job.ID] = Why{Kind: BecauseNoLift}
		}
	}
	for in.spread() {
	}
}

func (in *input) finished(job garage.JobID) bool {
	return slices.ContainsFunc(in.shot.Finished, func(f garage.Finished) bool { return f.JobID == job })
}

// spread leaves out the jobs that wait for one left out with a reason; it says whether there were any.
func (in *input) spread() (found bool) {
	for _, job := range in.shot.Jobs {
		if _, gone := in.left[job.ID]; gone {
			continue
		}
		for _, after := range in.after[job.ID] {
			if why, gone := in.left[after.AfterID]; gone && why.Kind != "" {
				in.left[job.ID] = Why{Kind: BecauseJob, Of: JobRef(after.AfterID)}
				found = true
				break
			}
		}
	}
	return found
}

func (in *input) blocked() []Blocked {
	var blocked []Blocked
	for _, job := range slices.Sorted(maps.Keys(in.left)) {
		if why := in.left[job]; why.Kind != "" {
			blocked = append(blocked, Blocked{Job: JobRef(job), Why: []Why{why}})
		}
	}
	return blocked
}

func (in *input) problem() Problem {
	s := in.shot.Settings
	p := Problem{
		Now: in.now, Zone: s.Zone, Confidence: float64(s.Confidence) / 100, ChangeCarMinutes: s.ChangeCarMinutes,
		Sessions: in.sessions(), Resources: in.resources(), Cars: in.cars(), Access: in.access(), Closing: in.closing(),
		Parts: in.pools.parts,
	}
	for _, job := range in.shot.Jobs {
		if _, gone := in.left[job.ID]; !gone {
			p.Jobs = append(p.Jobs, in.job(job))
		}
	}
	p = in.paced(p)
	p.Previous = in.keptPlan(p)
	return p
}

// LearntFrom is how many stages must have been timed before plans take estimates as they turn out.
const LearntFrom = 5

// FactorsOf is how the estimates of a garage turn out.
func FactorsOf(all []garage.Took) Factors {
	var took []Took
	for _, t := range all {
		took = append(took, Took{Kind: string(t.Kind), Estimate: Range{t.Low, t.Likely, t.High}, Minutes: t.Minutes})
	}
	return LearnMinutes(took)
}

// PlansAsLearnt says whether the plan of a garage takes estimates as they turn out.
func PlansAsLearnt(s garage.Snapshot) bool {
	return s.Settings.Estimates == garage.TurnOut && len(s.Took) >= LearntFrom
}

// paced takes the estimates of bench work as they turn out, where the owner wants that; chances do so in any case.
func (in *input) paced(p Problem) Problem {
	if len(in.shot.Took) == 0 {
		return p
	}
	factors := FactorsOf(in.shot.Took)
	if !PlansAsLearnt(in.shot) {
		p.Pace = new(factors.Pace())
		return p
	}
	kinds := map[string]string{}
	for _, job := range in.shot.Jobs {
		kinds[JobRef(job.ID)] = string(job.Kind)
	}
	return Learned(p, factors, func(job string) string { return kinds[job] })
}

// keptPlan is where stages stood in the plan that was kept; or in the one before that, when the garage is again as it was for
// that one: undoing a change gives the plan back.
func (in *input) keptPlan(p Problem) []Earlier {
	plan := in.shot.Plan
	if plan == nil {
		return nil
	}
	if before := in.shot.PlanBefore; before != nil && before.Of != "" {
		if name := p.Name(); name == before.Of && name != plan.Of {
			plan = before
		}
	}
	var all []Earlier
	for _, s := range plan.Stages {
		all = append(all, Earlier{Job: JobRef(s.JobID), Stage: StageRef(s.StageID), From: s.From.In(in.zone)})
	}
	return all
}

func (in *input) sessions() []Session {
	var sessions []Session
	for _, s := range garage.Sessions(in.shot.Patterns, in.shot.Exceptions, in.today.AddDays(-1), in.today.AddDays(horizonDays), in.zone) {
		if s.To.After(in.now) {
			sessions = append(sessions, Session{From: s.From, To: s.To, Helpers: s.Helpers})
		}
	}
	return sessions
}

func (in *input) resources() []Resource {
	var resources []Resource
	if n := in.shot.Settings.Lifts; n > 0 {
		resources = append(resources, Resource{ID: Lift, Capacity: n})
	}
	for _, tool := range in.shot.Tools {
		r := Resource{ID: ToolRef(tool.ID), Capacity: tool.Capacity}
		if tool.HereFrom != nil || tool.HereTo != nil {
			r.Windows = []Window{{
				From: day(cmp.Or(deref(tool.HereFrom), in.today.AddDays(-1))),
				To:   day(cmp.Or(deref(tool.HereTo), in.today.AddDays(horizonDays))),
			}}
		}
		resources = append(resources, r)
	}
	return resources
}

func deref[T any](p *T) T {
	if p == nil {
		var zero T
		return zero
	}
	return *p
}

func day(d garage.Date) Moment {
	if d.IsZero() {
		return Moment{}
	}
	return On(d.Year, d.Month, d.Day)
}

func spread(low, likely, high garage.Date) *Times { return &Times{day(low), day(likely), day(high)} }

func (in *input) cars() []Car {
	var cars []Car
	for _, c := range in.shot.Cars {
		car := Car{
			ID: CarRef(c.ID), Immobile: c.Immobile, OnLift: c.Stands == garage.OnLift && in.shot.Settings.Lifts > 0,
			RoadNeeds: in.roadNeeds(c.ID),
		}
		if c.Stands == garage.NotHere && c.ArrivesLow != nil {
			car.Arrives = spread(*c.ArrivesLow, *c.ArrivesLikely, *c.ArrivesHigh)
		}
		cars = append(cars, car)
	}
	return cars
}

// roadNeeds lays weekly needs over the days ahead, and yesterday for one that runs past midnight.
func (in *input) roadNeeds(car garage.CarID) []RoadNeed {
	var needs []RoadNeed
	add := func(from, to time.Time) {
		if from.Before(to) && to.After(in.now) {
			needs = append(needs, RoadNeed{From: from, To: to})
		}
	}
	for _, n := range in.shot.RoadNeeds {
		switch {
		case n.CarID != car:
		case n.StartsAt != nil:
			add(n.StartsAt.In(in.zone), n.EndsAt.In(in.zone))
		default:
			for d := in.today; d.Before(in.today.AddDays(horizonDays)); d = d.AddDays(1) {
				if slices.Contains(n.Weekdays, d.Weekday()) {
					add(in.clock(d, n.FromMinute), in.clock(d, n.ToMinute))
				}
			}
		}
	}
	slices.SortFunc(needs, func(a, b RoadNeed) int { return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To)) })
	return needs
}

func (in *input) clock(d garage.Date, minute int) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, minute, 0, 0, in.zone)
}

func (in *input) access() []Access {
	known := map[garage.AccessID]bool{}
	for _, a := range in.shot.Access {
		known[a.ID] = true
	}
	var all []Access
	for _, a := range in.shot.Access {
		access := Access{
			ID: AccessRef(a.ID), Car: CarRef(a.CarID), OpenMinutes: a.OpenMinutes, CloseMinutes: a.CloseMinutes, Stays: a.Stays,
			Open: a.IsOpen,
		}
		for _, outer := range a.Inside {
			if known[outer] {
				access.Inside = append(access.Inside, AccessRef(outer))
			}
		}
		all = append(all, access)
	}
	return all
}

func (in *input) closing() []Closing {
	var all []Closing
	for _, c := range in.shot.Closing {
		closing := Closing{ID: ClosingRef(c.ID), Car: CarRef(c.CarID), Minutes: c.Minutes}
		if c.Helpers > 0 {
			closing.Needs = map[string]int{Helpers: c.Helpers}
		}
		all = append(all, closing)
	}
	return all
}

// arrivals are what suppliers bring of a part.
func (in *input) arrivals(part garage.PartID) []Arrival {
	var all []Arrival
	for _, a := range in.shot.Arrivals {
		if a.PartID == part {
			all = append(all, Arrival{Qty: a.Quantity, At: spread(a.Low, a.Likely, a.High)})
		}
	}
	return all
}

// harvested is what donors give of a part: a piece counts once a job is planned that takes it off.
func (in *input) harvested(part garage.PartID) []Arrival {
	var all []Arrival
	for _, d := range in.shot.DonorParts {
		if d.PartID != part || d.HarvestJobID == nil || d.Condition == garage.Bad {
			continue
		}
		if _, gone := in.left[*d.HarvestJobID]; !gone && len(in.stages[*d.HarvestJobID]) > 0 && d.Free() > 0 {
			all = append(all, Arrival{Qty: d.Free(), FromJob: JobRef(*d.HarvestJobID)})
		}
	}
	return all
}

// duesForCores makes a job due whenever core deposits would be lost that wait for it, at the price of all that are lost on that
// day. A date that the owner gave stays beside them; without one the first day takes its place.
func (in *input) duesForCores(j garage.Job, job *Job) {
	lost := map[garage.Date]float64{}
	for _, c := range in.shot.Cores {
		last, known := c.LastDay(in.shot.Settings.Holidays)
		if !known || c.FreedBy == nil || *c.FreedBy != j.ID || !c.OnCar() || last.Before(in.today) || c.Currency != in.shot.Settings.Currency {
			continue
		}
		lost[last] += float64(c.Outstanding)
	}
	for _, on := range slices.SortedFunc(maps.Keys(lost), garage.Date.Compare) {
		if job.Due.IsZero() {
			job.Due, job.DueFor, job.LateCost, job.LateCostPerDay = day(on), dueForCore, lost[on], 0
			continue
		}
		job.Dues = append(job.Dues, Due{At: day(on), For: dueForCore, LateCost: lost[on]})
	}
}

const dueForCore = "core deposit"

func (in *input) job(j garage.Job) Job {
	job := Job{
		ID: JobRef(j.ID), Car: CarRef(j.CarID), Weight: float64(j.Weight), DueFor: j.DueFor,
		LateCostPerDay: float64(j.LateCostPerDay), LateCost: float64(j.LateCost),
	}
	if j.NotBefore != nil {
		job.NotBefore = day(*j.NotBefore)
	}
	if j.Due != nil {
		job.Due = day(*j.Due)
	}
	in.duesForCores(j, &job)
	if j.PinnedAt != nil && j.PinnedAt.After(in.now.AddDate(0, 0, -1)) {
		job.Pin = At(j.PinnedAt.In(in.zone))
	}
	for _, a := range in.after[j.ID] {
		if _, gone := in.left[a.AfterID]; !gone && slices.ContainsFunc(in.shot.Jobs, func(k garage.Job) bool { return k.ID == a.AfterID }) {
			job.After = append(job.After, After{Job: JobRef(a.AfterID), GapMinutes: a.GapMinutes})
		}
	}
	if from := in.gapLeft(j.ID); !from.IsZero() && (j.NotBefore == nil || from.After(j.NotBefore.In(in.zone))) {
		job.NotBefore = At(from)
	}
	for i, s := range in.stages[j.ID] {
		job.Stages = append(job.Stages, in.stage(s, i == 0))
	}
	return job
}

// gapLeft is when the gaps after prerequisites that are finished have passed.
func (in *input) gapLeft(job garage.JobID) time.Time {
	latest := in.now
	for _, f := range in.shot.Finished {
		for _, a := range in.after[job] {
			if end := f.At.Add(time.Duration(a.GapMinutes) * time.Minute); a.AfterID == f.JobID && end.After(latest) {
				latest = end
			}
		}
	}
	if latest.Equal(in.now) {
		return time.Time{}
	}
	return latest.In(in.zone)
}

func (in *input) stage(s garage.Stage, first bool) Stage {
	stage := Stage{ID: StageRef(s.ID), Kind: string(s.Kind), Immobile: s.Immobile, FollowsAtOnce: s.FollowsAtOnce && !first}
	figures := Range{s.Low, s.Likely, s.High}
	if s.Kind == garage.OutsideWork {
		stage.Days = figures
	} else {
		stage.Minutes = figures
	}
	needs := map[string]int{}
	if s.Lift {
		needs[Lift] = 1
	}
	if s.Helpers > 0 {
		needs[Helpers] = s.Helpers
	}
	for _, tool := range in.shot.Tools {
		if slices.Contains(s.Tools, tool.ID) {
			needs[ToolRef(tool.ID)] = 1
		}
	}
	if len(needs) > 0 {
		stage.Needs = needs
	}
	for _, a := range in.shot.Access {
		if slices.Contains(s.Access, a.ID) {
			stage.Access = append(stage.Access, AccessRef(a.ID))
		}
	}
	for _, c := range in.shot.Closing {
		if slices.Contains(s.Closing, c.ID) {
			stage.Closing = append(stage.Closing, ClosingRef(c.ID))
		}
	}
	stage.Parts = in.pools.of(s.ID)
	return stage
}

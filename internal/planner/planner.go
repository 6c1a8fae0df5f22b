package planner

import (
	"time"

	"axlestand/internal/schedule"
)

// Plan places every job of the problem or says what blocks it. The only error
// is a problem that Validate refuses. Equal problems have equal answers, in
// whatever order their lists are.
func Plan(p Problem) (Answer, error) {
	if err := p.Validate(); err != nil {
		return Answer{}, err
	}
	return p.plan(), nil
}

// plan is Plan of a problem that is known to be in order.
func (p Problem) plan() Answer {
	p, endless := p.leaveOutEndless()
	m := newModel(p)
	return m.answer(schedule.Solve(&m.problem)).withBlocked(endless)
}

// answer puts a result into the owner's words.
func (m *model) answer(r schedule.Result) Answer {
	a := Answer{
		Now: m.p.Now.In(m.zone), Zone: m.p.Zone, Stages: []PlacedStage{}, Blocked: []Blocked{}, Visits: []Visit{},
		Promises: []Promise{}, Notes: []Note{},
	}
	for _, p := range r.Placed {
		a.Stages = append(a.Stages, m.stage(p))
	}
	for _, u := range r.Unplaced {
		a.Blocked = append(a.Blocked, m.blocked(u))
	}
	for _, v := range r.Visits {
		a.Visits = append(a.Visits, m.visit(v))
	}
	for _, p := range r.Promises {
		a.Promises = append(a.Promises, m.promise(p, r))
	}
	for _, n := range r.Missed {
		why := m.reason(n.Job, n.Why)
		a.Notes = append(a.Notes, Note{Job: m.jobList[n.Job].ID, Kind: why.Kind, Of: why.Of, Until: why.Until})
	}
	a.Totals = m.totals(r)
	return a
}

func (m *model) span(s schedule.Span) Span { return Span{m.time(s.From), m.time(s.To)} }

func (m *model) stage(p schedule.Placed) PlacedStage {
	job := &m.jobList[p.Job]
	s := PlacedStage{
		Job: job.ID, Car: job.Car, Stage: job.Stages[p.Stage].ID, Kind: job.Stages[p.Stage].Kind,
		From: m.time(p.From), To: m.time(p.To), Pieces: []Span{}, Because: m.reason(p.Job, p.Why),
	}
	for _, piece := range p.Pieces {
		s.Pieces = append(s.Pieces, m.span(piece))
	}
	return s
}

var reasonKinds = [...]string{
	schedule.ByNow: BecauseNow, schedule.ByRelease: BecauseNotBefore, schedule.ByPin: BecausePin,
	schedule.ByArrival: BecauseCar, schedule.ByJob: BecauseJob, schedule.ByStage: BecauseStage,
	schedule.ByLot: BecausePart, schedule.ByHarvest: BecauseHarvest, schedule.ByOrder: BecauseOrder,
	schedule.ByHands: BecauseHands, schedule.ByPlace: BecauseLift, schedule.ByHelper: BecauseHelper,
	schedule.ByTool: BecauseTool, schedule.BySession: BecauseSession, schedule.ByBlackout: BecauseRoadNeed,
	schedule.ByStuck: BecauseImmobile, schedule.ByChain: BecauseChain, schedule.ByChainJob: BecauseChain,
	schedule.ByWork: BecauseWork,
}

// reason words a reason for a job's stage.
func (m *model) reason(job int, r schedule.Reason) Reason {
	out := Reason{Kind: reasonKinds[r.Kind]}
	if r.Until > 0 {
		out.Until = m.time(r.Until)
	}
	switch r.Kind {
	case schedule.ByArrival, schedule.ByPlace, schedule.ByBlackout, schedule.ByStuck:
		out.Of = m.carList[r.Of].ID
	case schedule.ByStage:
		out.Of = m.jobList[job].Stages[r.Of].ID
	case schedule.ByLot, schedule.ByOrder, schedule.ByChain:
		out.Of = m.partList[r.Of].ID
	case schedule.ByTool:
		out.Of = m.toolList[r.Of].ID
	case schedule.ByJob, schedule.ByHarvest, schedule.ByHands, schedule.ByPin, schedule.ByChainJob, schedule.ByWork:
		if r.Of != schedule.None {
			out.Of = m.jobList[r.Of].ID
		}
	}
	return out
}

func (m *model) blocked(u schedule.Unplaced) Blocked {
	b := Blocked{Job: m.jobList[u.Job].ID, Why: []Why{}}
	for _, c := range u.Why {
		why := m.reason(u.Job, c.Reason)
		w := Why{Kind: why.Kind, Of: why.Of, Short: c.Short, Until: why.Until}
		for _, j := range c.TakenBy {
			w.TakenBy = append(w.TakenBy, m.jobList[j].ID)
		}
		b.Why = append(b.Why, w)
	}
	return b
}

var overheadKinds = [...]string{
	schedule.Open: OverheadOpen, schedule.Close: OverheadClose, schedule.Finish: OverheadClosing, schedule.Move: OverheadChange,
}

func (m *model) visit(v schedule.Visit) Visit {
	out := Visit{
		Car: m.carList[v.Subject].ID, OnLift: v.OnPlace, From: m.time(v.From), To: m.time(v.To),
		MinutesSaved: v.Saved, Overhead: []Overhead{},
	}
	for _, it := range v.Items {
		o := Overhead{Kind: overheadKinds[it.Kind], From: m.time(it.From), To: m.time(it.To)}
		switch it.Kind {
		case schedule.Open, schedule.Close:
			o.Of = m.accessList[it.Of].ID
		case schedule.Finish:
			o.Of = m.closingList[it.Of].ID
		}
		out.Overhead = append(out.Overhead, o)
	}
	return out
}

var sources = [...]string{
	schedule.Stock: FromOnHand, schedule.Dated: FromArrival, schedule.Freed: FromJob, schedule.Ordered: FromOrder,
}

func (m *model) promise(p schedule.Promise, r schedule.Result) Promise {
	job, part := &m.jobList[p.Job], &m.partList[p.Material]
	out := Promise{
		Job: job.ID, Stage: job.Stages[p.Stage].ID, Part: part.ID, Qty: p.Qty,
		Source: sources[p.Source], At: m.time(p.At),
	}
	if p.Source == schedule.Freed {
		out.Of = m.jobList[p.Of].ID
	}
	if p.Source == schedule.Ordered {
		for _, s := range r.Placed {
			if s.Job == p.Job && s.Stage == p.Stage {
				out.OrderBy = m.orderBy(*part.OrderLeadDays, m.time(s.From))
			}
		}
	}
	return out
}

// totals add the plan up.
func (m *model) totals(r schedule.Result) Totals {
	var t Totals
	bound := schedule.Bound(&m.problem)
	for j, end := range r.Ends {
		if end == schedule.None {
			continue
		}
		job := &m.jobList[j]
		t.LateCost += float64(m.problem.Jobs[j].Late(end)) / 1000
		t.WeightedCompletion += job.Weight * float64(end-m.now) / 60
		t.Bound += job.Weight * float64(bound[j]-m.now) / 60
	}
	for _, v := range r.Visits {
		t.MinutesSaved += v.Saved
	}
	t.OverheadMinutes = r.Cost.Overhead
	t.Moved, t.Decodes, t.Optimal = m.moved(r), r.Decodes, r.Optimal
	return t
}

// moved counts the stages that are on another day than in the plan before.
func (m *model) moved(r schedule.Result) int {
	n := 0
	for _, s := range r.Placed {
		if before := m.problem.Jobs[s.Job].Stages[s.Stage].Before; before != 0 && m.day(before) != m.day(s.From) {
			n++
		}
	}
	return n
}

// day is the civil day of a minute.
func (m *model) day(at int) string { return m.time(at).Format(time.DateOnly) }

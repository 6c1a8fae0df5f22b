package planner

import (
	"cmp"
	"slices"
	"time"
)

// Gain is what a plan gains when one thing is otherwise: the difference of two plans. Jobs that have a place in both are
// compared by when they end; Minutes counts the jobs that have one in one of them alone.
type Gain struct {
	Thing
	Minutes  int      `json:"bench_minutes"` // of jobs that become possible, less those of jobs that no longer are
	Days     float64  `json:"days"`          // by which jobs end earlier, added up
	Weighted float64  `json:"weighted"`      // the same in hours, each job's times its weight
	LateCost float64  `json:"late_cost"`     // saved
	Frees    []string `json:"frees"`         // jobs that become possible
	Blocks   []string `json:"blocks"`        // jobs that no longer are
	Sooner   []string `json:"sooner"`        // jobs that end earlier
	Later    []string `json:"later"`         // jobs that end later
}

// DefaultThings is how many things Frees tries when it is not told; in a garage of more than 100 jobs it is fewer, down to a fifth.
const DefaultThings = 40

func defaultThings(jobs int) int {
	return min(DefaultThings, max(DefaultThings/5, 100*DefaultThings/max(1, jobs)))
}

// Frees answers what frees most: it tries arrivals, the cars that are to come, orders and purchases as if they were here now, a
// helper where jobs wait for one, an evening more, and one more of a tool that is in use, one thing at a time, and says what the
// plan would gain, most first: late cost saved, then bench minutes that become possible, then weighted hours. What gains nothing
// is left out.
//
// Base is a plan of the problem; both plans of a difference are held near it, with the same effort, so that chance has as little
// say as can be. Tried are at most so many things (0: DefaultThings), those first that hold back most weight in base.
func Frees(p Problem, base Answer, most int) ([]Gain, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	things := thingsToTry(p, base)
	if most <= 0 {
		most = defaultThings(len(p.Jobs))
	}
	things = things[:min(most, len(things))]
	p = p.near(base)
	before := p.plan()
	gains := []Gain{}
	for _, t := range things {
		if g := p.gain(before, p.With(t).plan()); g.any() {
			g.Thing = t
			gains = append(gains, g)
		}
	}
	slices.SortFunc(gains, func(a, b Gain) int {
		return cmp.Or(cmp.Compare(b.LateCost, a.LateCost), cmp.Compare(b.Minutes, a.Minutes),
			cmp.Compare(b.Weighted, a.Weighted), compareThings(a.Thing, b.Thing))
	})
	return gains, nil
}

// near holds the plan of a problem near to one that is known, and its effort low: it is one of many.
func (p Problem) near(base Answer) Problem {
	p.Previous = nil
	for _, s := range base.Stages {
		p.Previous = append(p.Previous, Earlier{Job: s.Job, Stage: s.Stage, From: s.From})
	}
	switch n := len(p.Jobs); {
	case n > 100:
		p.Effort = 2
	case n > 30:
		p.Effort = 8 // in less than half of the usual time
	default:
		p.Effort = 14
	}
	return p
}

// gain compares the plan with something otherwise with that before.
func (p Problem) gain(before, after Answer) Gain {
	g := Gain{Frees: []string{}, Blocks: []string{}, Sooner: []string{}, Later: []string{}}
	was, is := endsOf(before), endsOf(after)
	zone, _ := loadZone(p.Zone)
	jobs, _ := number(p.Jobs, func(j Job) string { return j.ID }) // sums are the same to the last bit, whatever their order
	for _, j := range jobs {
		old, stood := was[j.ID]
		now, stands := is[j.ID]
		switch {
		case stood && stands:
			sooner := old.end.Sub(now.end)
			g.Days += sooner.Hours() / 24
			g.Weighted += j.Weight * sooner.Hours()
			g.LateCost += j.lateCost(old.end, zone) - j.lateCost(now.end, zone)
			if sooner > 0 {
				g.Sooner = append(g.Sooner, j.ID)
			} else if sooner < 0 {
				g.Later = append(g.Later, j.ID)
			}
		case stands:
			g.Minutes += now.minutes
			g.Frees = append(g.Frees, j.ID)
		case stood:
			g.Minutes -= old.minutes
			g.Blocks = append(g.Blocks, j.ID)
		}
	}
	return g
}

// any says whether something is gained, by what is most important.
func (g Gain) any() bool {
	return g.Minutes > 0 || cmp.Or(cmp.Compare(g.LateCost, 0), cmp.Compare(g.Minutes, 0), cmp.Compare(g.Weighted, 0)) > 0
}

// jobEnd is when a job ends, and its bench minutes.
type jobEnd struct {
	end     time.Time
	minutes int
}

func endsOf(a Answer) map[string]jobEnd {
	ends := map[string]jobEnd{}
	for _, s := range a.Stages {
		e := ends[s.Job]
		if s.To.After(e.end) {
			e.end = s.To
		}
		for _, piece := range s.Pieces {
			e.minutes += int(piece.To.Sub(piece.From).Minutes())
		}
		ends[s.Job] = e
	}
	return ends
}

// lateCost is what it costs that a job ends then.
func (j *Job) lateCost(end time.Time, zone *time.Location) float64 {
	sum := 0.0
	for _, d := range j.AllDues() {
		sum += d.cost(end, zone)
	}
	return sum
}

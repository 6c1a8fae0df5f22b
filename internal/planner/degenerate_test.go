package planner_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"axlestand/internal/planner"
)

// Garages at the edge of sense: the planner answers each with a plan that holds every rule and a reason for
// whatever it does not place, and soon.

// degenerateBudget is far above what a plan takes, so that only a runaway fails on a busy machine.
const degenerateBudget = 20 * time.Second

var edge = time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)

// edgeGarage is a garage of so many jobs on so many cars in so many weeks, each job two stages with parts,
// access and closing work.
func edgeGarage(jobs, cars, weeks int) planner.Problem {
	p := planner.Problem{
		Now: edge, Zone: "UTC", ChangeCarMinutes: 10, Resources: []planner.Resource{{ID: planner.Lift, Capacity: 1}},
		Parts: []planner.Part{{ID: "pads", OnHand: jobs}},
	}
	for w := range weeks {
		from := time.Date(2027, 3, 6+7*w, 9, 0, 0, 0, time.UTC)
		p.Sessions = append(p.Sessions, planner.Session{From: from, To: from.Add(8 * time.Hour), Helpers: w % 2})
	}
	for c := range cars {
		id := fmt.Sprintf("car-%d", c)
		p.Cars = append(p.Cars, planner.Car{ID: id})
		p.Access = append(p.Access, planner.Access{ID: id + "-wheels", Car: id, OpenMinutes: 15, CloseMinutes: 20})
		p.Closing = append(p.Closing, planner.Closing{ID: id + "-bleed", Car: id, Minutes: 20})
	}
	for n := range jobs {
		car := p.Cars[n%cars].ID
		p.Jobs = append(p.Jobs, planner.Job{ID: fmt.Sprintf("job-%03d", n), Car: car, Weight: 1, Stages: []planner.Stage{
			edgeBench("off", 40, planner.Stage{Needs: map[string]int{planner.Lift: 1}, Access: []string{car + "-wheels"}}),
			edgeBench("on", 50, planner.Stage{
				Closing: []string{car + "-bleed"}, Parts: []planner.Need{{Part: "pads", Qty: 1}},
			}),
		}})
	}
	return p
}

func edgeBench(id string, minutes int, s planner.Stage) planner.Stage {
	s.ID, s.Kind, s.Minutes = id, planner.Bench, planner.Exactly(minutes)
	return s
}

// degenerate lists the garages. Blocked is how many jobs must have no place; -1 leaves it open.
var degenerate = []struct {
	name    string
	make    func() planner.Problem
	blocked int
}{
	{"nothing at all", func() planner.Problem { return planner.Problem{Now: edge} }, 0},
	{"no sessions", func() planner.Problem { return edgeGarage(20, 3, 0) }, 20},
	{"all sessions past", func() planner.Problem {
		p := edgeGarage(20, 3, 10)
		p.Now = edge.AddDate(2, 0, 0)
		return p
	}, 20},
	{"one session in a year", func() planner.Problem {
		p := edgeGarage(20, 3, 0)
		from := edge.AddDate(1, 0, 0)
		p.Sessions = []planner.Session{{From: from, To: from.Add(4 * time.Hour)}}
		return p
	}, -1},
	{"a job longer than any session", func() planner.Problem {
		p := edgeGarage(6, 2, 20)
		p.Jobs[0].Stages[0].Minutes = planner.Exactly(30 * 60)
		p.Closing[1].Minutes = 9 * 60 // overhead is not divided
		return p
	}, 3},
	{"no session long enough for a piece", func() planner.Problem {
		p := edgeGarage(6, 2, 0)
		for d := range 100 {
			from := edge.AddDate(0, 0, d)
			p.Sessions = append(p.Sessions, planner.Session{From: from, To: from.Add(19 * time.Minute)})
		}
		return p
	}, 6},
	{"10,000 parts", func() planner.Problem {
		p := edgeGarage(60, 6, 30)
		for n := range 10_000 {
			part := planner.Part{ID: fmt.Sprintf("part-%d", n), OnHand: n % 3}
			part.Arrivals = []planner.Arrival{{Qty: 1, At: planner.Sure(planner.At(edge.AddDate(0, 0, n%50)))}}
			p.Parts = append(p.Parts, part)
			s := &p.Jobs[n%60].Stages[n%2]
			s.Parts = append(s.Parts, planner.Need{Part: part.ID, Qty: 1})
		}
		return p
	}, 0},
	{"every job blocked", func() planner.Problem {
		p := edgeGarage(60, 6, 30)
		p.Parts[0].OnHand = 0
		return p
	}, 60},
	{"all cars immobile beside the lift", func() planner.Problem {
		p := edgeGarage(40, 8, 30)
		for c := range p.Cars {
			p.Cars[c].Immobile = true
		}
		return p
	}, 40},
	{"due dates in the past", func() planner.Problem {
		p := edgeGarage(40, 4, 30)
		for j := range p.Jobs {
			p.Jobs[j].Due = planner.At(edge.AddDate(-j%3, 0, -j))
			p.Jobs[j].LateCost, p.Jobs[j].LateCostPerDay = 100, 3
		}
		return p
	}, 0},
	{"zero minutes", func() planner.Problem {
		p := edgeGarage(40, 4, 4)
		p.ChangeCarMinutes = 0
		for a := range p.Access {
			p.Access[a].OpenMinutes, p.Access[a].CloseMinutes = 0, 0
			p.Closing[a].Minutes = 0
		}
		for j := range p.Jobs {
			p.Jobs[j].Stages[0].Minutes, p.Jobs[j].Stages[1].Minutes = planner.Exactly(0), planner.Exactly(0)
		}
		return p
	}, 0},
	{"200 cars with one job each", func() planner.Problem { return edgeGarage(200, 200, 80) }, 0},
	{"10 years of sessions", func() planner.Problem { return edgeGarage(40, 4, 521) }, 0},
	{"300 prerequisites in a row", func() planner.Problem {
		p := edgeGarage(301, 3, 120)
		for j := range p.Jobs[1:] {
			p.Jobs[j+1].After = []planner.After{{Job: p.Jobs[j].ID}}
		}
		return p
	}, 0},
	{"one job of 200 stages", func() planner.Problem {
		p := edgeGarage(1, 1, 60)
		first := p.Jobs[0].Stages[0]
		p.Jobs[0].Stages = nil
		for k := range 200 {
			s := first
			if s.ID = fmt.Sprintf("s%03d", k); k%10 == 9 {
				s = planner.Stage{ID: s.ID, Kind: planner.Wait, Minutes: planner.Exactly(60)}
			}
			p.Jobs[0].Stages = append(p.Jobs[0].Stages, s)
		}
		return p
	}, 0},
	{"weights of nothing", func() planner.Problem {
		p := edgeGarage(40, 4, 30)
		for j := range p.Jobs {
			p.Jobs[j].Weight = 0
		}
		return p
	}, 0},
	{"huge weights and prices", func() planner.Problem {
		p := edgeGarage(40, 4, 30)
		for j := range p.Jobs {
			p.Jobs[j].Weight = 1e6
			p.Jobs[j].Due, p.Jobs[j].LateCostPerDay = planner.At(edge), 1e9
		}
		return p
	}, 0},
}

func TestPlan_Degenerate(t *testing.T) {
	t.Parallel()
	for _, d := range degenerate {
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			problem := asFile(t, d.make())
			start := time.Now()
			answer, err := planOf(problem)
			took := time.Since(start)
			if err != nil {
				t.Fatal(err)
			}
			if took > degenerateBudget {
				t.Errorf("took %v", took)
			}
			if bad := check(problem, answer); len(bad) > 0 {
				t.Errorf("breaks %d rules:\n%s", len(bad), strings.Join(bad[:min(5, len(bad))], "\n"))
			}
			var a planner.Answer
			if err := json.Unmarshal(answer, &a); err != nil {
				t.Fatal(err)
			}
			if d.blocked >= 0 && len(a.Blocked) != d.blocked {
				t.Errorf("%d jobs blocked, want %d: %v", len(a.Blocked), d.blocked, a.Blocked[:min(3, len(a.Blocked))])
			}
			if math.IsInf(a.Totals.WeightedCompletion, 0) || math.IsNaN(a.Totals.WeightedCompletion) || a.Totals.WeightedCompletion < 0 {
				t.Errorf("weighted completion %v", a.Totals.WeightedCompletion)
			}
			t.Logf("figure: %s | %d stages placed, %d jobs blocked, %v | every rule holds",
				d.name, len(a.Stages), len(a.Blocked), took.Round(time.Millisecond))
		})
	}
}

// asFile writes a garage as a problem file, with the minutes of stages that take none.
func asFile(t *testing.T, p planner.Problem) []byte {
	t.Helper()
	file, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(file, &all); err != nil {
		t.Fatal(err)
	}
	jobs, _ := all["jobs"].([]any)
	for _, j := range jobs {
		for _, s := range j.(map[string]any)["stages"].([]any) {
			if stage := s.(map[string]any); stage["minutes"] == nil && stage["kind"] != planner.Outside {
				stage["minutes"] = []int{0, 0, 0}
			}
		}
	}
	if file, err = json.Marshal(all); err != nil {
		t.Fatal(err)
	}
	return file
}

package planner

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// garageProblem is a garage with so many jobs on so many cars: three sessions
// a week for the given weeks, shared access and closing work, parts on the
// way, a donor, prerequisites, immobile spans, road needs and dates with a
// price.
func garageProblem(jobs, cars, weeks int) Problem { return seededGarage(1, jobs, cars, weeks) }

// seededGarage is such a garage drawn from a seed.
func seededGarage(seed uint64, jobs, cars, weeks int) Problem {
	g := &garageMaker{Rand: rand.New(rand.NewPCG(seed, 2)), now: time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)}
	p := Problem{
		Now: g.now, Zone: "UTC", ChangeCarMinutes: 20,
		Resources: []Resource{{ID: Lift, Capacity: 1}, {ID: "press", Capacity: 1}},
	}
	for w := range weeks {
		saturday := time.Date(2027, 3, 6+7*w, 9, 0, 0, 0, time.UTC)
		p.Sessions = append(p.Sessions, Session{From: saturday, To: saturday.Add(8 * time.Hour), Helpers: w % 2})
		for _, day := range []int{3, 5} {
			evening := saturday.Add(time.Duration(24*day+10) * time.Hour)
			p.Sessions = append(p.Sessions, Session{From: evening, To: evening.Add(150 * time.Minute)})
		}
	}
	for c := range cars {
		g.addCar(&p, c, weeks)
	}
	for n := range 1 + jobs/10 {
		p.Parts = append(p.Parts, g.part(n))
	}
	for n := range jobs {
		p.Jobs = append(p.Jobs, g.job(&p, n, cars, weeks))
	}
	return p
}

type garageMaker struct {
	*rand.Rand
	now time.Time
}

func (g *garageMaker) inDays(n int) time.Time { return g.now.AddDate(0, 0, n) }

func (g *garageMaker) addCar(p *Problem, c, weeks int) {
	id := fmt.Sprintf("car-%d", c)
	car := Car{ID: id}
	if c%3 == 0 {
		for w := range weeks / 2 {
			from := time.Date(2027, 3, 8+14*w, 7, 0, 0, 0, time.UTC)
			car.RoadNeeds = append(car.RoadNeeds, RoadNeed{From: from, To: from.Add(11 * time.Hour)})
		}
	}
	p.Cars = append(p.Cars, car)
	p.Access = append(p.Access,
		Access{ID: id + "-wheels", Car: id, OpenMinutes: 15, CloseMinutes: 20},
		Access{ID: id + "-tray", Car: id, OpenMinutes: 10, CloseMinutes: 10},
		Access{ID: id + "-subframe", Car: id, OpenMinutes: 30, CloseMinutes: 40, Inside: []string{id + "-tray"}},
		Access{ID: id + "-interior", Car: id, OpenMinutes: 30, CloseMinutes: 30, Stays: true})
	p.Closing = append(p.Closing, Closing{ID: id + "-bleed", Car: id, Minutes: 30}, Closing{ID: id + "-test", Car: id, Minutes: 20})
}

func (g *garageMaker) part(n int) Part {
	part := Part{ID: fmt.Sprintf("part-%d", n), OnHand: g.IntN(3)}
	at := g.inDays(1 + g.IntN(40))
	part.Arrivals = append(part.Arrivals, Arrival{Qty: 1 + g.IntN(2), At: &Times{
		{Time: at, Day: true}, {Time: at.AddDate(0, 0, 3), Day: true}, {Time: at.AddDate(0, 0, 10), Day: true},
	}})
	if g.IntN(3) > 0 {
		part.OrderLeadDays = &Range{3, 5, 12}
	}
	return part
}

func (g *garageMaker) job(p *Problem, n, cars, weeks int) Job {
	car := fmt.Sprintf("car-%d", g.IntN(cars))
	j := Job{ID: fmt.Sprintf("job-%04d", n), Car: car, Weight: float64(1 + g.IntN(5))}
	if n > 0 && g.IntN(3) == 0 {
		j.After = []After{{Job: fmt.Sprintf("job-%04d", max(0, n-1-g.IntN(10))), GapMinutes: 60 * g.IntN(24)}}
	}
	if g.IntN(4) == 0 {
		j.Due, j.LateCostPerDay, j.LateCost = At(g.inDays(7+g.IntN(7*weeks))), float64(g.IntN(20)), float64(g.IntN(200))
	}
	for k := range 1 + g.IntN(3) {
		s := Stage{ID: fmt.Sprintf("s%d", k), Kind: Bench, Minutes: Range{30, 30 + 15*g.IntN(12), 400}, Needs: map[string]int{}}
		if k == 1 && g.IntN(2) == 0 {
			s = Stage{ID: s.ID, Kind: Wait, Minutes: Exactly(600 + g.IntN(2000))}
		} else if k == 1 && g.IntN(3) == 0 {
			s = Stage{ID: s.ID, Kind: Outside, Days: Range{1, 2, 6}}
		} else {
			g.bench(p, &s, car)
		}
		j.Stages = append(j.Stages, s)
	}
	if last := len(j.Stages) - 1; last > 0 && g.IntN(5) == 0 && j.Stages[last].Kind == Bench {
		j.Stages[0].Immobile, j.Stages[last].Immobile = ImmobileFrom, ImmobileUntil
	}
	return j
}

func (g *garageMaker) bench(p *Problem, s *Stage, car string) {
	if g.IntN(2) == 0 {
		s.Needs[Lift] = 1
	}
	if g.IntN(12) == 0 {
		s.Needs[Helpers] = 1
	}
	if g.IntN(8) == 0 {
		s.Needs["press"] = 1
	}
	for _, a := range []string{"wheels", "subframe", "interior"} {
		if g.IntN(4) == 0 {
			s.Access = append(s.Access, car+"-"+a)
		}
	}
	if g.IntN(4) == 0 {
		s.Closing = []string{car + "-bleed"}
	}
	if g.IntN(3) == 0 {
		s.Parts = []Need{{Part: p.Parts[g.IntN(len(p.Parts))].ID, Qty: 1}}
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, size := range []struct{ jobs, cars, weeks int }{{10, 3, 8}, {60, 6, 26}, {1000, 12, 26}, {1000, 12, 260}} {
		p := garageProblem(size.jobs, size.cars, size.weeks)
		b.Run(fmt.Sprintf("%d_jobs_%d_cars_%d_weeks", size.jobs, size.cars, size.weeks), func(b *testing.B) {
			placed := 0
			for b.Loop() {
				a, err := Plan(p)
				if err != nil {
					b.Fatal(err)
				}
				placed = size.jobs - len(a.Blocked)
			}
			b.ReportMetric(float64(placed), "placed")
		})
	}
}

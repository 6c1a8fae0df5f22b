package planner_test

import (
	"fmt"
	"math/rand/v2"
	"time"

	"axlestand/internal/planner"
)

// The family of garages that the exact evaluator knows: one pair of hands without helpers, sessions, bench
// stages that may pause, waits, prerequisites with gaps, dates before which a job may not start, parts on hand
// or with a sure date, due dates with a price, one lift or none, access, closing work, and cars that are
// immobile from one stage of a job to a later one of it. No road needs, pins, tools, harvests or orders. A job
// begins with a bench stage, and what an immobile span needs is there when its job begins.
//
// Nobody works in sessions that a paused stage leaves out, since it never leaves one out: either no stage is
// longer than the shortest session, or (coarse) all minutes are multiples of 30.

// smallGarage describes a garage to be generated.
type smallGarage struct {
	stages   int  // bench stages, those that the planner is free to order
	coarse   bool // long stages in half hours
	immobile bool
	deposit  bool // one job frees a core whose deposit is lost after a date
}

type smallMaker struct {
	*rand.Rand
	smallGarage
	loc *time.Location
	now time.Time
	p   planner.Problem
}

// makeSmall makes the garage of a seed.
func makeSmall(seed uint64, kind smallGarage) planner.Problem {
	g := &smallMaker{Rand: rand.New(rand.NewPCG(seed, 20270409)), smallGarage: kind}
	zone := "Europe/Vienna" // the clock changes in the night to 28 March 2027
	if g.odds(30) {
		zone = "UTC"
	}
	g.loc, _ = time.LoadLocation(zone)
	g.now = time.Date(2027, 3, 19+g.IntN(5), 18, 0, 0, 0, g.loc)
	if g.odds(20) {
		g.now = time.Date(2027, 3, 20, 10, 5*g.IntN(6)*g.fine(), 0, 0, g.loc) // in the midst of a session
	}
	g.p = planner.Problem{Now: g.now, Zone: zone}
	g.addSessions()
	g.addCars(1 + g.IntN(3))
	g.addParts()
	for n := 0; g.count() < g.stages; n++ {
		g.addJob(n)
	}
	if g.deposit {
		g.addDeposit()
	}
	return g.p
}

func (g *smallMaker) odds(percent int) bool { return g.IntN(100) < percent }

// fine is 1 in garages with minutes of every kind.
func (g *smallMaker) fine() int {
	if g.coarse {
		return 0
	}
	return 1
}

// minutes takes one of some values; in a coarse garage, the next half hour up from it.
func (g *smallMaker) minutes(list ...int) int {
	n := list[g.IntN(len(list))]
	if g.coarse {
		n = (n + 29) / 30 * 30
	}
	return n
}

// addSessions adds twelve weeks: long Saturdays and two evenings.
func (g *smallMaker) addSessions() {
	saturday := 240 + 60*g.IntN(5)
	for w := range 12 {
		for _, s := range [][3]int{{0, 9, saturday}, {3, 19, 150}, {5, 18, 180}} {
			from := time.Date(2027, 3, 20+7*w+s[0], s[1], 0, 0, 0, g.loc)
			if s[1] > 9 && g.odds(15) {
				continue // an evening off
			}
			g.p.Sessions = append(g.p.Sessions, planner.Session{From: from, To: from.Add(time.Duration(s[2]) * time.Minute)})
		}
	}
}

func (g *smallMaker) addCars(n int) {
	lift := g.odds(85)
	if lift {
		g.p.Resources = []planner.Resource{{ID: planner.Lift, Capacity: 1}}
		g.p.ChangeCarMinutes = g.minutes(0, 10, 20, 30)
	}
	for c := range n {
		id := []string{"estate", "coupe", "van"}[c]
		g.p.Cars = append(g.p.Cars, planner.Car{ID: id, OnLift: lift && c == 0 && g.odds(30)})
		for i := range g.IntN(3) {
			a := planner.Access{
				ID: fmt.Sprintf("%s-%s", id, []string{"tray", "subframe"}[i]), Car: id,
				OpenMinutes: g.minutes(5, 15, 30), CloseMinutes: g.minutes(10, 20, 40), Stays: g.odds(30),
			}
			if i > 0 && g.odds(60) {
				a.Inside = []string{id + "-tray"}
			}
			g.p.Access = append(g.p.Access, a)
		}
		for i := range g.IntN(2 + g.IntN(2)) {
			g.p.Closing = append(g.p.Closing, planner.Closing{
				ID: fmt.Sprintf("%s-%s", id, []string{"bleed", "road-test"}[i]), Car: id, Minutes: g.minutes(10, 20, 45),
			})
		}
	}
}

// addParts adds parts of which there is enough for every job in the end.
func (g *smallMaker) addParts() {
	for i := range g.IntN(3) {
		part := planner.Part{ID: []string{"arm", "seal"}[i], OnHand: g.IntN(2)}
		for range 1 + g.IntN(2) {
			part.Arrivals = append(part.Arrivals, planner.Arrival{Qty: 1 + g.IntN(2), At: planner.Sure(g.someDay(1, 12))})
		}
		part.Arrivals = append(part.Arrivals, planner.Arrival{Qty: 20, At: planner.Sure(g.someDay(13, 16))})
		g.p.Parts = append(g.p.Parts, part)
	}
}

// someDay is a whole day or an instant some days from now.
func (g *smallMaker) someDay(least, most int) planner.Moment {
	day := g.now.AddDate(0, 0, least+g.IntN(most-least+1))
	if g.odds(70) {
		return planner.On(day.Year(), day.Month(), day.Day())
	}
	return planner.At(time.Date(day.Year(), day.Month(), day.Day(), 20, 0, 0, 0, g.loc))
}

// count is how many bench stages there are so far.
func (g *smallMaker) count() int {
	n := 0
	for _, j := range g.p.Jobs {
		for _, s := range j.Stages {
			if s.Kind == planner.Bench {
				n++
			}
		}
	}
	return n
}

func (g *smallMaker) addJob(n int) {
	car := g.p.Cars[g.IntN(len(g.p.Cars))].ID
	j := planner.Job{ID: string(rune('a'+(n*7+3)%26)) + "-job", Car: car, Weight: float64(1 + g.IntN(5))}
	bench := min(g.stages-g.count(), []int{1, 1, 1, 2, 2, 3}[g.IntN(6)])
	chained := g.immobile && bench > 1 && g.odds(60)
	for k := range bench {
		if k > 0 && g.odds(50) {
			j.Stages = append(j.Stages, g.wait(len(j.Stages)))
		}
		s := g.bench(len(j.Stages), car)
		if chained && k > 0 {
			s.Parts = nil
		}
		j.Stages = append(j.Stages, s)
	}
	switch last := len(j.Stages) - 1; {
	case chained:
		j.Stages[0].Immobile, j.Stages[last].Immobile = planner.ImmobileFrom, planner.ImmobileUntil
	case g.immobile && bench == 1 && g.odds(30):
		j.Stages[0].Immobile = planner.ImmobileWithin
	}
	if g.odds(25) {
		j.Stages = append(j.Stages, g.wait(len(j.Stages)))
	}
	g.addDates(&j)
	if n > 0 && g.odds(30) {
		j.After = []planner.After{{Job: g.p.Jobs[g.IntN(n)].ID, GapMinutes: g.minutes(0, 60, 1440)}}
	}
	g.p.Jobs = append(g.p.Jobs, j)
}

func (g *smallMaker) addDates(j *planner.Job) {
	if g.odds(15) {
		j.NotBefore = g.someDay(1, 8)
	}
	if g.odds(30) {
		j.Due = g.someDay(2, 20)
		j.LateCostPerDay, j.LateCost = float64(g.IntN(20)), float64(10*g.IntN(20))
	}
}

func (g *smallMaker) wait(k int) planner.Stage {
	return planner.Stage{ID: fmt.Sprintf("s%d", k), Kind: planner.Wait, Minutes: planner.Exactly(g.minutes(60, 600, 1440, 2880))}
}

func (g *smallMaker) bench(k int, car string) planner.Stage {
	s := planner.Stage{ID: fmt.Sprintf("s%d", k), Kind: planner.Bench, Needs: map[string]int{}}
	s.Minutes = planner.Exactly(g.minutes(5, 20, 25, 45, 60, 90, 90, 120, 145))
	if g.coarse && g.odds(30) {
		s.Minutes = planner.Exactly(30 * (6 + g.IntN(14)))
	}
	if len(g.p.Resources) > 0 && g.odds(55) {
		s.Needs[planner.Lift] = 1
	}
	for _, a := range g.p.Access {
		if a.Car == car && g.odds(35) {
			s.Access = append(s.Access, a.ID)
		}
	}
	for _, x := range g.p.Closing {
		if x.Car == car && g.odds(35) {
			s.Closing = append(s.Closing, x.ID)
		}
	}
	for _, part := range g.p.Parts {
		if g.odds(15) {
			s.Parts = append(s.Parts, planner.Need{Part: part.ID, Qty: 1})
		}
	}
	return s
}

// addDeposit makes one job free a core: after its date the deposit is lost, once.
func (g *smallMaker) addDeposit() {
	j := &g.p.Jobs[g.IntN(len(g.p.Jobs))]
	j.Due, j.DueFor = g.someDay(2, 14), "core deposit"
	j.LateCostPerDay, j.LateCost = 0, float64(20+10*g.IntN(20))
}

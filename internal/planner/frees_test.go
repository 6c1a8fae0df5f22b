package planner_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/planner"
)

func readProblem(t *testing.T, text string) planner.Problem {
	t.Helper()
	p, err := planner.ReadProblem(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func planned(t *testing.T, p planner.Problem) planner.Answer {
	t.Helper()
	a, err := planner.Plan(p)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// twoSaturdays are a Friday evening, sessions on the 6th and the 20th of March from nine to twelve, and two cars.
const twoSaturdays = `{"now":"2027-03-05T18:00","zone":"UTC","change_car_minutes":0,
 "sessions":[{"from":"2027-03-06T09:00","to":"2027-03-06T12:00"},{"from":"2027-03-20T09:00","to":"2027-03-20T12:00","helpers":1}],
 "cars":[{"id":"estate"},{"id":"van"}],`

// The gains of small garages, worked by hand. The evening that is offered is that of the 5th, 19:00 to 21:30.
func TestFrees_ByHand(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, rest, want string }{
		{
			// With the arm the job is done on the 6th from 9:00 to 11:00 instead of on the 20th: 14 days, 336 hours, weight 2.
			// An evening more gives nothing: the arm is not there.
			"an arrival", `"parts":[{"id":"arm","arrivals":[{"qty":1,"at":"2027-03-18"}]}],
			 "jobs":[{"id":"arms","car":"estate","weight":2,"stages":[{"id":"fit","kind":"bench","minutes":[120,120,120],"parts":[{"part":"arm","qty":1}]}]}]}`,
			"arrival arm 1: late 0, 0 min, 14.00 days, 672 h",
		},
		{
			// Blocked for want of two seals; both of them free 90 minutes. The horn, done on the 6th at 9:00 to 9:30, would be done
			// on the 5th at 19:30: 14 hours.
			"a purchase", `"parts":[{"id":"seal","on_hand":1}],
			 "jobs":[{"id":"sump","car":"estate","weight":1,"stages":[{"id":"seal","kind":"bench","minutes":[90,90,90],"parts":[{"part":"seal","qty":3}]}]},
			  {"id":"horn","car":"van","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[30,30,30]}]}]}`,
			"buy seal 2: late 0, 90 min, 0.00 days, 0 h\nsession: late 0, 0 min, 0.58 days, 14 h",
		},
		{
			// The helper of the 20th is wanted for bleeding; on the 6th it would be 14 days sooner. It was due on the 15th at 10:00, and
			// each day begun costs 5: done on the 20th at 10:00 it is five days late, to the minute.
			"a helper", `"jobs":[{"id":"bleed","car":"estate","weight":1,"due":"2027-03-15T10:00","late_cost_per_day":5,
			  "stages":[{"id":"pump","kind":"bench","minutes":[60,60,60],"needs":{"helpers":1}}]}]}`,
			"helper 1: late 25, 0 min, 14.00 days, 336 h",
		},
		{
			// Ordered now the disc is there on the 8th at 24:00, so it is fitted on the 20th; on hand it would be 14 days sooner.
			"an order", `"parts":[{"id":"disc","order_lead_days":[3,3,3]}],
			 "jobs":[{"id":"discs","car":"van","weight":1,"stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"parts":[{"part":"disc","qty":2}]}]}]}`,
			"order disc 2: late 0, 0 min, 14.00 days, 336 h",
		},
		{"no jobs", `"jobs":[]}`, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := readProblem(t, twoSaturdays+test.rest)
			gains, err := planner.Frees(p, planned(t, p), 0)
			if err != nil {
				t.Fatal(err)
			}
			var lines []string
			for _, g := range gains {
				what := strings.TrimSpace(g.Kind + " " + g.Of)
				if g.Qty > 0 {
					what += fmt.Sprintf(" %d", g.Qty)
				}
				lines = append(lines, fmt.Sprintf("%s: late %g, %d min, %.2f days, %.0f h", what, g.LateCost, g.Minutes, g.Days, g.Weighted))
			}
			if got := strings.Join(lines, "\n"); got != test.want {
				t.Errorf("got\n%s\nwant\n%s", got, test.want)
			}
		})
	}
}

// otherwise changes the problem as a thing says, by other code than With.
func otherwise(p planner.Problem, g planner.Thing) planner.Problem {
	p.Sessions, p.Cars, p.Resources = slices.Clone(p.Sessions), slices.Clone(p.Cars), slices.Clone(p.Resources)
	parts := p.Parts
	p.Parts = nil
	for _, part := range parts {
		if part.ID == g.Of {
			switch g.Kind {
			case "buy", "order":
				part.OnHand += g.Qty
			case "arrival":
				part.OnHand += g.Qty
				part.Arrivals = withoutArrival(p, part, g)
			}
		}
		p.Parts = append(p.Parts, part)
	}
	switch g.Kind {
	case "session":
		p.Sessions = append(p.Sessions, planner.Session{From: g.At, To: g.To})
	case "helper":
		p.Sessions[slices.IndexFunc(p.Sessions, func(s planner.Session) bool { return s.From.Equal(g.At) })].Helpers++
	case "car":
		p.Cars[slices.IndexFunc(p.Cars, func(c planner.Car) bool { return c.ID == g.Of })].Arrives = nil
	case "tool":
		r := &p.Resources[slices.IndexFunc(p.Resources, func(r planner.Resource) bool { return r.ID == g.Of })]
		r.Capacity, r.Windows = r.Capacity+1, nil
	}
	return p
}

// withoutArrival finds the arrival that is meant by planning a job that needs just that many, and drops it.
func withoutArrival(p planner.Problem, part planner.Part, g planner.Thing) []planner.Arrival {
	for i, a := range part.Arrivals {
		if a.At == nil || a.Qty != g.Qty {
			continue
		}
		alone := planner.Problem{
			Now: p.Now, Zone: p.Zone, Confidence: p.Confidence, Cars: []planner.Car{{ID: "any"}},
			Parts: []planner.Part{{ID: part.ID, Arrivals: []planner.Arrival{a}}},
			Jobs: []planner.Job{{ID: "any", Car: "any", Stages: []planner.Stage{{
				ID: "any", Kind: planner.Wait, Parts: []planner.Need{{Part: part.ID, Qty: a.Qty}},
			}}}},
		}
		if answer, err := planner.Plan(alone); err == nil && len(answer.Stages) == 1 && answer.Stages[0].From.Equal(g.At) {
			return slices.Delete(slices.Clone(part.Arrivals), i, i+1)
		}
	}
	panic("no such arrival")
}

// difference is what the plan of one problem gains over that of another, reckoned from the plans alone.
func difference(t *testing.T, p, changed planner.Problem) (minutes int, days, weighted, late float64) {
	t.Helper()
	zone, err := time.LoadLocation(p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	before, after := planned(t, p), planned(t, changed)
	end := func(a planner.Answer, job string) (last time.Time, bench int) {
		for _, s := range a.Stages {
			if s.Job == job {
				last = s.To // stages of a job follow each other
				for _, piece := range s.Pieces {
					bench += int(piece.To.Sub(piece.From) / time.Minute)
				}
			}
		}
		return last, bench
	}
	for _, j := range p.Jobs {
		was, benchBefore := end(before, j.ID)
		is, benchAfter := end(after, j.ID)
		if was.IsZero() != is.IsZero() {
			minutes += benchAfter - benchBefore
		}
		if was.IsZero() || is.IsZero() {
			continue
		}
		days += was.Sub(is).Minutes() / 1440
		weighted += was.Sub(is).Minutes() / 60 * j.Weight
		late += costOf(j, was, zone) - costOf(j, is, zone)
	}
	return minutes, days, weighted, late
}

func costOf(j planner.Job, end time.Time, zone *time.Location) float64 {
	sum := lateFor(j.Due, j.LateCostPerDay, j.LateCost, end, zone)
	for _, d := range j.Dues {
		sum += lateFor(d.At, d.LateCostPerDay, d.LateCost, end, zone)
	}
	return sum
}

func lateFor(at planner.Moment, perDay, once float64, end time.Time, zone *time.Location) float64 {
	if at.IsZero() {
		return 0
	}
	due := at.Time
	if at.Day {
		y, m, d := due.Date()
		due = time.Date(y, m, d+1, 0, 0, 0, 0, zone)
		if due.Day() != d+1 && due.Hour() == 23 { // the midnight that does not exist
			due = due.Add(time.Hour)
		}
	}
	if !end.After(due) {
		return 0
	}
	return once + perDay*math.Ceil(end.Sub(due).Minutes()/1440)
}

// TestFrees_IsTheDifferenceOfTwoPlans plans each thing by hand again.
func TestFrees_IsTheDifferenceOfTwoPlans(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, 40)
	kinds := map[string]int{}
	for seed := first; seed < last; seed++ {
		p, err := planner.ReadProblem(bytes.NewReader(generate(seed)))
		if err != nil {
			t.Fatal(err)
		}
		base := planned(t, p)
		gains, err := planner.Frees(p, base, 0)
		if err != nil {
			t.Fatal(err)
		}
		p = p.Near(base)
		for _, g := range gains {
			kinds[g.Kind]++
			minutes, days, weighted, late := difference(t, p, otherwise(p, g.Thing))
			if minutes != g.Minutes || !near(days, g.Days) || !near(weighted, g.Weighted) || !near(late, g.LateCost) {
				t.Errorf("AXLESTAND_SEED=%d: %s %s: got %d min, %g days, %g h, late %g; two plans differ by %d, %g, %g, %g",
					seed, g.Kind, g.Of, g.Minutes, g.Days, g.Weighted, g.LateCost, minutes, days, weighted, late)
			}
			if minutes <= 0 && late <= 0 && weighted <= 0 {
				t.Errorf("AXLESTAND_SEED=%d: %s %s gains nothing", seed, g.Kind, g.Of)
			}
		}
	}
	for _, kind := range []string{"arrival", "car", "order", "buy", "helper", "session", "tool"} {
		if last-first > 100 && kinds[kind] == 0 {
			t.Errorf("no garage gains by %s", kind)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// What is tried first is what holds something back.
func TestFrees_TriesWhatBindsFirst(t *testing.T) {
	t.Parallel()
	p := readProblem(t, twoSaturdays+`"parts":[{"id":"arm","arrivals":[{"qty":1,"at":"2027-03-18"}]},{"id":"aerial","arrivals":[{"qty":1,"at":"2027-03-18"}]}],
	 "jobs":[{"id":"arms","car":"estate","weight":5,"stages":[{"id":"fit","kind":"bench","minutes":[60,60,60],"parts":[{"part":"arm","qty":1}]}]},
	  {"id":"later","car":"estate","not_before":"2027-03-19","stages":[{"id":"fit","kind":"bench","minutes":[30,30,30],"parts":[{"part":"aerial","qty":1}]}]}]}`)
	gains, err := planner.Frees(p, planned(t, p), 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(gains) != 1 || gains[0].Of != "arm" {
		t.Errorf("got %+v, want the arm alone", gains)
	}
}

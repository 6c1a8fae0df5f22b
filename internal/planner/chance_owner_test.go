package planner

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"
)

// Simulated owners live the plans of small garages through, minute by minute
// and with draws of their own; nothing here is shared with what works the
// chances out.

// ownersGarage is a garage of jobs with prerequisites, waits, late parts, a car
// that comes late and a lift for some.
func ownersGarage(rng *rand.Rand) Problem {
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	p := Problem{
		Now: now, Zone: "UTC", ChangeCarMinutes: 20, Resources: []Resource{{ID: Lift, Capacity: 1}},
		Pace: &Pace{Factor: 0.9 + 0.4*rng.Float64(), Sigma: 0.25},
	}
	for day := range 90 {
		at := time.Date(2027, 3, 6+day, 9, 0, 0, 0, time.UTC)
		switch at.Weekday() {
		case time.Saturday:
			p.Sessions = append(p.Sessions, Session{From: at, To: at.Add(8 * time.Hour)})
		case time.Tuesday, time.Thursday:
			p.Sessions = append(p.Sessions, Session{From: at.Add(10 * time.Hour), To: at.Add(750 * time.Minute)})
		}
	}
	inDays := func(n int) Moment { return On(2027, 3, 5+n) }
	late := 1 + rng.IntN(10)
	p.Cars = []Car{{ID: "coupe"}, {ID: "estate", Arrives: &Times{inDays(late), inDays(late + 2), inDays(late + 9)}}}
	for i := range 3 {
		at := 2 + rng.IntN(20)
		p.Parts = append(p.Parts, Part{ID: "part-" + strconv.Itoa(i), Arrivals: []Arrival{{
			Qty: 9, At: &Times{inDays(at), inDays(at + 3), inDays(at + 4 + rng.IntN(12))},
		}}})
	}
	for i := range 8 {
		j := Job{ID: "job-" + strconv.Itoa(i), Car: "coupe", Weight: float64(1 + rng.IntN(5))}
		if rng.IntN(4) == 0 {
			j.Car = "estate"
		}
		if i > 0 && rng.IntN(3) == 0 {
			j.After = []After{{Job: "job-" + strconv.Itoa(rng.IntN(i)), GapMinutes: 60 * rng.IntN(30)}}
		}
		likely := 40 + rng.IntN(300)
		s := Stage{ID: "a", Kind: Bench, Minutes: Range{likely * 6 / 10, likely, likely * 2}}
		if rng.IntN(3) == 0 {
			s.Parts = []Need{{Part: "part-" + strconv.Itoa(rng.IntN(3)), Qty: 1}}
		}
		if rng.IntN(2) == 0 {
			s.Needs = map[string]int{Lift: 1}
		}
		j.Stages = []Stage{s}
		if rng.IntN(3) == 0 {
			j.Stages = append(j.Stages, Stage{ID: "b", Kind: Wait, Minutes: Range{300, 1000, 3000}},
				Stage{ID: "c", Kind: Bench, Minutes: Range{30, 60, 150}, Needs: s.Needs})
		}
		p.Jobs = append(p.Jobs, j)
	}
	return p
}

// betaOf draws from a beta distribution as the share of one sum of waiting times
// in another, for parameters that need not be whole (Johnk's way for the
// fractions, from memory).
func betaOf(rng *rand.Rand, a, b float64) float64 {
	x, y := gammaOf(rng, a), gammaOf(rng, b)
	return x / (x + y)
}

func gammaOf(rng *rand.Rand, a float64) float64 {
	whole, rest := math.Modf(a)
	sum := 0.0
	for range int(whole) {
		sum += rng.ExpFloat64()
	}
	for rest > 0 {
		x, y := math.Pow(rng.Float64(), 1/rest), math.Pow(rng.Float64(), 1/(1-rest))
		if x+y <= 1 {
			return sum + rng.ExpFloat64()*x/(x+y)
		}
	}
	return sum
}

func drawRange(rng *rand.Rand, r Range) float64 {
	span := float64(r[2] - r[0])
	at := float64(r[1]-r[0]) / span
	return float64(r[0]) + span*betaOf(rng, 1+4*at, 5-4*at)
}

// drawDay draws the end of the day on which something comes, in minutes from now.
func drawDay(rng *rand.Rand, t Times, now time.Time) int {
	u := rng.Float64()
	day := func(i int) float64 { return float64(t[i].Time.Unix() / 86400) }
	var d float64
	switch {
	case u < 0.1:
		d = day(0)
	case u < 0.5:
		d = day(0) + (day(1)-day(0))*(u-0.1)/0.4
	case u < 0.9:
		d = day(1) + (day(2)-day(1))*(u-0.5)/0.4
	default:
		d = day(2)
	}
	return max(0, int((math.Ceil(d)+1)*1440-float64(now.Unix()/60)))
}

// life is one course of a garage.
type life struct {
	p       Problem
	order   []int // jobs and stages in the order of the plan, as job*10 + stage
	left    map[int]int
	arrives map[string]int // by part and car
	open    []bool         // by minute from now: a session
	endOf   []int
	end     map[int]int // of stages
	began   map[int]int
	onLift  string
	held    map[int]hold
}

// hold keeps a stage back, as the plan does on purpose: until a time, or until
// some minutes after another stage.
type hold struct{ until, behind, lag int }

// plainLife is the life in which all is as the plan took it.
func plainLife(p Problem, a Answer, open []bool, endOf []int) *life {
	l := &life{
		p: p, left: map[int]int{}, arrives: map[string]int{}, open: open, endOf: endOf, end: map[int]int{}, began: map[int]int{},
		held: map[int]hold{},
	}
	for i, j := range p.Jobs {
		for k, s := range j.Stages {
			l.left[i*10+k] = s.Minutes[1]
		}
	}
	m := newModel(p)
	for _, part := range p.Parts {
		l.arrives[part.ID] = m.arrival(*part.Arrivals[0].At) - m.now
	}
	for _, c := range p.Cars {
		if c.Arrives != nil {
			l.arrives[c.ID] = m.arrival(*c.Arrives) - m.now
		}
	}
	for _, s := range a.Stages {
		for i, j := range p.Jobs {
			if k := slices.IndexFunc(j.Stages, func(x Stage) bool { return x.ID == s.Stage }); j.ID == s.Job && s.Kind == Bench {
				l.order = append(l.order, i*10+k)
			}
		}
	}
	return l
}

// holds lives the plan through as it stands and finds what would be begun before
// its time: the plan holds that back.
func holds(p Problem, a Answer, open []bool, endOf []int) map[int]hold {
	l := plainLife(p, a, open, endOf)
	from := map[int]int{}
	for i, id := range l.order {
		n := 0
		for _, s := range a.Stages {
			if s.Kind == Bench {
				if n == i {
					from[id] = int(s.From.Sub(p.Now).Minutes())
				}
				n++
			}
		}
	}
	for range 3 * len(l.order) {
		l.end, l.began, l.onLift = map[int]int{}, map[int]int{}, ""
		l.live()
		early := slices.IndexFunc(l.order, func(id int) bool { return l.began[id] < from[id] })
		if early < 0 {
			break
		}
		id := l.order[early]
		h, again := l.held[id]
		switch {
		case early == 0 || again && (h.behind < 0 || h.lag > 0):
			h = hold{until: from[id], behind: -1}
		case again || l.end[l.order[early-1]] <= l.began[id]:
			h = hold{until: from[id], behind: l.order[early-1], lag: max(0, from[id]-l.end[l.order[early-1]])}
		default:
			h = hold{until: from[id], behind: l.order[early-1]}
		}
		l.held[id] = h
	}
	return l.held
}

// heldBack says whether a stage may not begin at a minute yet.
func (l *life) heldBack(id, t int) bool {
	h, held := l.held[id]
	if !held || t >= h.until {
		return false
	}
	end, done := l.end[h.behind]
	return h.behind < 0 || !done || t < end+h.lag
}

func newLife(rng *rand.Rand, p Problem, a Answer, open []bool, endOf []int, held map[int]hold) *life {
	l := plainLife(p, a, open, endOf)
	l.held = held
	pace := p.Pace.Factor * math.Exp(p.Pace.Sigma*rng.NormFloat64())
	for i, j := range p.Jobs {
		for k, s := range j.Stages {
			n := drawRange(rng, s.Minutes)
			if s.Kind == Bench {
				n *= pace
			}
			l.left[i*10+k] = max(1, int(math.Round(n)))
		}
	}
	for _, part := range p.Parts {
		l.arrives[part.ID] = drawDay(rng, *part.Arrivals[0].At, p.Now)
	}
	for _, c := range p.Cars {
		if c.Arrives != nil {
			l.arrives[c.ID] = drawDay(rng, *c.Arrives, p.Now)
		}
	}
	return l
}

// ready says whether a stage can begin at a minute.
func (l *life) ready(id, t int) bool {
	j := &l.p.Jobs[id/10]
	if _, done := l.end[id]; done || l.arrives[j.Car] > t {
		return false
	}
	if k := id % 10; k > 0 {
		end, done := l.end[id-1]
		if !done || end > t {
			return false
		}
	}
	for _, need := range j.Stages[id%10].Parts {
		if l.arrives[need.Part] > t {
			return false
		}
	}
	for _, a := range j.After {
		i := slices.IndexFunc(l.p.Jobs, func(x Job) bool { return x.ID == a.Job })
		end, done := l.end[i*10+len(l.p.Jobs[i].Stages)-1]
		if !done || end+a.GapMinutes > t {
			return false
		}
	}
	return true
}

// live lets the minutes pass: whoever is free takes the first stage in the order
// that can begin and of which at least a piece fits into the session.
func (l *life) live() map[int]int {
	for t := 0; t < len(l.open); {
		if !l.open[t] {
			t++
			continue
		}
		began := false
		for _, id := range l.order {
			if !l.ready(id, t) {
				continue
			}
			lift := l.p.Jobs[id/10].Stages[id%10].Needs[Lift] > 0 && l.onLift != l.p.Jobs[id/10].Car
			start := t
			if lift {
				start += l.p.ChangeCarMinutes
			}
			if start+min(20, l.left[id]) > l.endOf[t] || l.heldBack(id, start) {
				continue
			}
			l.began[id] = start
			if lift {
				l.onLift = l.p.Jobs[id/10].Car
			}
			t = l.work(id, start)
			began = true
			break
		}
		if !began {
			t++
		}
	}
	return l.end
}

// work does a stage to its end and the waits after it.
func (l *life) work(id, t int) int {
	for n := l.left[id]; t < len(l.open); t++ {
		if n == 0 {
			break
		}
		if l.open[t] {
			n--
		}
	}
	l.end[id] = t
	stages := l.p.Jobs[id/10].Stages
	if k := id%10 + 1; k < len(stages) && stages[k].Kind == Wait {
		l.end[id+1] = t + l.left[id+1]
	}
	return t
}

// TestChances_calibrated: of the jobs that are said to be done in time with a
// chance of about so much, so many are.
func TestChances_calibrated(t *testing.T) {
	t.Parallel()
	const garages, lives = 300, 20 // so many that chance alone does not make three points
	var said, were, n [10]float64
	for seed := range uint64(garages) {
		rng := rand.New(rand.NewPCG(seed, 77))
		p := ownersGarage(rng)
		a, err := Plan(p)
		if err != nil {
			t.Fatal(err)
		}
		middle, err := Chances(p, a, 200, seed+1000)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range middle { // jobs are in order of their ids; without a price, so that the plan stays as it is
			near := c.P80.Sub(c.P50) + 6*time.Hour
			p.Jobs[i].Due = At(c.P50.Add(time.Duration((4*rng.Float64() - 2) * float64(near))).Truncate(time.Minute))
		}
		chances, err := Chances(p, a, 600, seed)
		if err != nil {
			t.Fatal(err)
		}
		open, endOf := sessionMinutes(p)
		held := holds(p, a, open, endOf)
		for range lives {
			end := newLife(rng, p, a, open, endOf, held).live()
			for _, c := range chances {
				i := slices.IndexFunc(p.Jobs, func(j Job) bool { return j.ID == c.Job })
				at, done := end[i*10+len(p.Jobs[i].Stages)-1]
				decile := min(9, int(c.Done*10))
				said[decile] += c.Done
				n[decile]++
				if done && at <= int(p.Jobs[i].Due.Time.Sub(p.Now).Minutes()) {
					were[decile]++
				}
			}
		}
	}
	for d := range n {
		say, was := 100*said[d]/n[d], 100*were[d]/n[d]
		t.Logf("said %5.1f %%, were %5.1f %% (%.0f cases)", say, was, n[d])
		if math.Abs(say-was) > 3 {
			t.Errorf("of jobs said to be done in time with %.1f %%, %.1f %% are", say, was)
		}
	}
}

// sessionMinutes says for each minute from now whether it lies in a session, and
// when that ends.
func sessionMinutes(p Problem) (open []bool, endOf []int) {
	last := int(p.Sessions[len(p.Sessions)-1].To.Sub(p.Now).Minutes())
	open, endOf = make([]bool, last+1), make([]int, last+1)
	for _, s := range p.Sessions {
		to := int(s.To.Sub(p.Now).Minutes())
		for t := int(s.From.Sub(p.Now).Minutes()); t < to; t++ {
			open[t], endOf[t] = true, to
		}
	}
	return open, endOf
}

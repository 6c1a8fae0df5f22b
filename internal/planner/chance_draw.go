package planner

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"sync"

	"axlestand/internal/schedule"
)

// Drawing how things turn out.

// dice draws the courses of a problem. A draw is a hash of the seed, the id of
// what it is for and the number of the sample.
type dice struct {
	m        *model
	course   *schedule.Course
	pace     Pace
	paceBase uint64
	stages   []stageDie
	arrivals []arrivalDie
	days     dayTable
}

// stageDie draws the minutes or days of a stage.
type stageDie struct {
	base      uint64
	low, span float64
	table     int     // of betaTables, for the likely value below ...
	blend     float64 // ... and how far to go towards the next
	kind      string
	works     [7]bool
}

// arrivalDie draws when something is there: into of one of arrivalSteps values.
type arrivalDie struct {
	base uint64
	at   []int
	into *int
}

// newDice prepares to draw courses for a simulator of a result.
func (m *model) newDice(sim *schedule.Simulator, r *schedule.Result, seed uint64) *dice {
	d := &dice{m: m, course: sim.Likely(), pace: DefaultPace, paceBase: drawBase(seed, "pace"), days: m.newDayTable()}
	if m.p.Pace != nil {
		d.pace = *m.p.Pace
	}
	for i := range m.jobList {
		for k := range m.jobList[i].Stages {
			d.stages = append(d.stages, newStageDie(seed, m.jobList[i].ID, &m.jobList[i].Stages[k]))
		}
	}
	for i := range m.carList {
		if t := m.carList[i].Arrives; t != nil {
			d.addArrival(drawBase(seed, "car", m.carList[i].ID), &d.course.Arrives[i], func(m *model) int { return m.arrival(*t) })
		}
	}
	promised := make([]bool, len(m.partList))
	for _, p := range r.Promises {
		promised[p.Material] = true
	}
	for i := range m.partList {
		if promised[i] { // who waits for none of the others need not know when they come
			d.addPart(seed, i)
		}
	}
	d.course.Ends = d.outsideEnd
	return d
}

// addPart adds the arrivals of a part. They have no ids: the first to arrive is
// the first in what-ifs too.
func (d *dice) addPart(seed uint64, i int) {
	part := &d.m.partList[i]
	if lead := part.OrderLeadDays; lead != nil {
		d.addArrival(drawBase(seed, "order", part.ID), &d.course.Orders[i], func(m *model) int { return m.orderArrives(*lead) })
	}
	var dated []Arrival
	for _, a := range part.Arrivals {
		if a.At != nil {
			dated = append(dated, a)
		}
	}
	slices.SortFunc(dated, func(a, b Arrival) int {
		return cmp.Or(d.m.arrival(*a.At)-d.m.arrival(*b.At), a.Qty-b.Qty, compareTimes(*a.At, *b.At))
	})
	k := 0
	for l, lot := range d.m.problem.Materials[i].Lots {
		if lot.Job != schedule.None {
			continue
		}
		at := *dated[k].At
		d.addArrival(drawBase(seed, "part", part.ID, strconv.Itoa(k)), &d.course.Lots[i][l], func(m *model) int { return m.arrival(at) })
		k++
	}
}

func compareTimes(a, b Times) int {
	for i := range a {
		if c := a[i].Time.Compare(b[i].Time); c != 0 {
			return c
		}
	}
	return 0
}

// arrivalSteps is how finely arrivals are drawn.
const arrivalSteps = 512

// addArrival adds something that arrives at a time depending on the confidence
// asked for.
func (d *dice) addArrival(base uint64, into *int, at func(m *model) int) {
	x := arrivalDie{base: base, at: make([]int, arrivalSteps), into: into}
	m := *d.m
	value := func(i int) int {
		m.p.Confidence = (float64(i) + 0.5) / arrivalSteps
		return at(&m)
	}
	var fill func(from, to int)
	fill = func(from, to int) { // both ends are known; what lies between is no less and no more
		if to-from < 2 {
			return
		}
		if x.at[from] == x.at[to] {
			for i := from + 1; i < to; i++ {
				x.at[i] = x.at[from]
			}
			return
		}
		mid := (from + to) / 2
		x.at[mid] = value(mid)
		fill(from, mid)
		fill(mid, to)
	}
	x.at[0], x.at[arrivalSteps-1] = value(0), value(arrivalSteps-1)
	fill(0, arrivalSteps-1)
	d.arrivals = append(d.arrivals, x)
}

func newStageDie(seed uint64, job string, s *Stage) stageDie {
	x := stageDie{base: drawBase(seed, "stage", job, s.ID), kind: s.Kind}
	r := s.Minutes
	if s.Kind == Outside {
		r, x.works = s.Days, worksOn(s.WorkingDays)
	}
	x.low, x.span = float64(r[0]), float64(r[2]-r[0])
	if x.span > 0 {
		at := float64(r[1]-r[0]) / x.span * likelySteps
		x.table = min(int(at), likelySteps-1)
		x.blend = at - float64(x.table)
	}
	return x
}

// roll draws the course of a sample.
func (d *dice) roll(sample int) *schedule.Course {
	factor := d.pace.Factor * math.Exp(d.pace.Sigma*normal(uniform(d.paceBase, sample)))
	tables := betaTables()
	for i := range d.stages {
		s := &d.stages[i]
		x := s.low
		if s.span > 0 {
			x += s.span * tables.value(s.table, s.blend, uniform(s.base, sample))
		}
		if s.kind == Bench {
			x = max(1, x*factor)
		}
		d.course.Minutes[i] = int(x + 0.5)
	}
	for i := range d.arrivals {
		a := &d.arrivals[i]
		*a.into = a.at[int(uniform(a.base, sample)*arrivalSteps)]
	}
	return d.course
}

// drawBase is where the draws of one thing start.
func drawBase(seed uint64, id ...string) uint64 {
	h := uint64(14695981039346656037) // FNV-1a
	for _, part := range id {
		for i := range len(part) {
			h = (h ^ uint64(part[i])) * 1099511628211
		}
		h = (h ^ 0xff) * 1099511628211 // no byte of an id in UTF-8
	}
	return mix(h ^ mix(seed))
}

// mix scrambles 64 bits (the finalizer of splitmix64; Steele, Lea & Flood 2014,
// from memory).
func mix(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// uniform is the draw of a sample, from 0 to below 1.
func uniform(base uint64, sample int) float64 {
	return float64(mix(base+uint64(sample+1)*0x9e3779b97f4a7c15)>>11) / (1 << 53)
}

// normal is the standard normal value that a draw of u stands for.
func normal(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*max(u, 1e-16)-1) }

// betaSteps is how finely the values of a distribution are kept, likelySteps
// for how many likely values they are.
const (
	betaSteps   = 256
	likelySteps = 32
)

// betaTable holds, for likely values in equal steps from low to high, the value
// below which each share of the draws lies; low is 0 and high is 1.
type betaTable [likelySteps + 1][betaSteps + 1]float64

// value is the value of a draw of u. Between two tables the mean stays exact,
// for it is linear in the likely value.
func (t *betaTable) value(i int, blend, u float64) float64 {
	u *= betaSteps
	k := int(u)
	u -= float64(k)
	a, b := &t[i], &t[i+1]
	x := a[k] + u*(a[k+1]-a[k])
	return x + blend*(b[k]+u*(b[k+1]-b[k])-x)
}

var betaTables = sync.OnceValue(func() *betaTable {
	var t betaTable
	for i := range t {
		likely := float64(i) / likelySteps
		fillBeta(&t[i], 4*likely, 4-4*likely)
	}
	return &t
})

// fillBeta integrates x^a (1-x)^b in small steps and notes where each share of
// the whole is reached. Towards the ends a straight line is a bad fit: there the
// table ends where it keeps the mean.
func fillBeta(q *[betaSteps + 1]float64, a, b float64) {
	const steps = 2048
	density := func(x float64) float64 { return math.Pow(x, a) * math.Pow(1-x, b) }
	var sum [steps + 1]float64
	for i := range steps {
		sum[i+1] = sum[i] + simpson(density, float64(i)/steps, float64(i+1)/steps)
	}
	at := 0
	for k := 1; k < betaSteps; k++ {
		want := sum[steps] * float64(k) / betaSteps
		for at < steps-1 && sum[at+1] < want {
			at++
		}
		q[k] = (float64(at) + (want-sum[at])/(sum[at+1]-sum[at])) / steps
	}
	q[0] = 2*meanBetween(density, 0, q[1]) - q[1]
	q[betaSteps] = 2*meanBetween(density, q[betaSteps-1], 1) - q[betaSteps-1]
}

// simpson integrates over one step by Simpson's rule.
func simpson(f func(float64) float64, from, to float64) float64 {
	return (f(from) + 4*f((from+to)/2) + f(to)) * (to - from) / 6
}

// meanBetween is the mean of what lies between two values.
func meanBetween(density func(float64) float64, from, to float64) float64 {
	const steps = 64
	mass, moment := 0.0, 0.0
	for i := range steps {
		a, b := from+(to-from)*float64(i)/steps, from+(to-from)*float64(i+1)/steps
		mass += simpson(density, a, b)
		moment += simpson(func(x float64) float64 { return x * density(x) }, a, b)
	}
	return moment / mass
}

// dayTable knows when the civil days ahead begin, which is asked for each
// outside work of each sample.
type dayTable struct {
	first int // day number
	at    []int
}

// daysAhead is how many days are known; what lies further off is worked out
// when it is asked for.
const daysAhead = 400

func (m *model) newDayTable() dayTable {
	t := dayTable{first: dayNumber(m.p.Now.In(m.zone)) - 1}
	for i := range daysAhead {
		t.at = append(t.at, minuteUp(startOfDay(t.first+i, m.zone)))
	}
	return t
}

// worksOn says on which weekdays a vendor works, sunday first.
func worksOn(names []string) (works [7]bool) {
	for i, name := range weekdayNames {
		works[i] = len(names) == 0 && i > 0 && i < 6 || slices.Contains(names, name)
	}
	return works
}

// outsideEnd is when outside work ends that takes as long as was drawn: with
// the n-th whole working day after it began.
func (d *dice) outsideEnd(stage, start int) int {
	s, n := &d.stages[stage], d.course.Minutes[stage]
	if n == 0 {
		return start
	}
	i := (start-d.days.at[0])/1440 - 1
	for i = max(i, 0); i < daysAhead && d.days.at[i] < start; i++ {
	}
	for ; i < daysAhead-1; i++ {
		if s.works[(d.days.first+i+4)%7] { // day 0 was a Thursday
			if n--; n == 0 {
				return d.days.at[i+1]
			}
		}
	}
	return d.m.workingDays(d.course.Minutes[stage], s.names())(start)
}

// names are the weekdays that a vendor works on.
func (s *stageDie) names() (names []string) {
	for i, works := range s.works {
		if works {
			names = append(names, weekdayNames[i])
		}
	}
	return names
}

package planner

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// Learning from what was done how estimates turn out. Everything here is a
// pure function of the records; their order has no say.
//
// Both estimators are the same: the logarithm of how far off things were is
// taken as normal, with an unknown middle and an unknown spread. The prior
// counts as so many records as its weight says, so that one or two records move
// little and twenty move nearly all the way: the middle is (weight x prior + sum
// of records) / (weight + records). That is the mean of a normal with a
// conjugate normal-inverse-gamma prior, which is also what an empirical Bayes
// or James-Stein estimate comes to with a fixed share of shrinkage (Gelman et
// al., Bayesian Data Analysis, chapter 3; Efron & Morris 1975; both from
// memory). First all records are pulled to the prior, then those of one kind, or
// one supplier, to all. A record far from the others counts less the further
// off it is (Huber 1964, from memory), so that one job that took twenty times
// as long does not spoil the rest.

// Took is what a finished stage of bench work took.
type Took struct {
	Kind     string // of the job
	Estimate Range
	Minutes  int
}

// Factor is how the owner's estimates of one kind of work turn out: Median
// times what was written, the logarithm of which is uncertain by Sigma.
type Factor struct {
	Median  float64
	Sigma   float64
	Records int // of this kind
}

// Factors are what was learnt about minutes.
type Factors struct {
	All   Factor
	Kinds map[string]Factor
}

// For is the factor of a kind of job; that of all where the kind is new.
func (f Factors) For(kind string) Factor {
	if k, ok := f.Kinds[kind]; ok {
		return k
	}
	k := f.All
	k.Records = 0
	return k
}

// Pace is what the factors mean for chances while plans take estimates as they
// were written.
func (f Factors) Pace() Pace { return Pace{Factor: f.All.Median, Sigma: f.All.Sigma} }

// The prior of minutes: estimates are right at the median, half of them within
// about a quarter (common practice, no source). Without records the factor is as
// uncertain as DefaultPace says.
var minutesPrior = belief{middle: 0, weight: 4, spread: 0.4, sureness: 0.2}

// LearnMinutes learns from finished bench work how the owner's estimates turn
// out, by kind of job and over all. A record without an estimate or without
// minutes is passed over.
func LearnMinutes(took []Took) Factors {
	kinds := map[string][]record{}
	for _, t := range took {
		if t.Estimate[1] > 0 && t.Minutes > 0 {
			kinds[t.Kind] = append(kinds[t.Kind], newRecord(t))
		}
	}
	all, each := minutesPrior.learn(kinds)
	f := Factors{All: all.factor(), Kinds: map[string]Factor{}}
	for kind, b := range each {
		f.Kinds[kind] = b.factor()
	}
	return f
}

// newRecord compares what a stage took with the middle of what was estimated.
func newRecord(t Took) record {
	die := newStageDie(0, "", &Stage{Kind: Bench, Minutes: t.Estimate})
	value := func(u float64) float64 {
		return math.Log(max(1, die.low+die.span*betaTables().value(die.table, die.blend, u)))
	}
	r := record{at: math.Log(float64(t.Minutes)) - value(0.5)}
	const steps = 32
	mean, square := 0.0, 0.0
	for i := range steps {
		v := value((float64(i) + 0.5) / steps)
		mean, square = mean+v/steps, square+v*v/steps
	}
	r.expected = max(0, square-mean*mean)
	return r
}

func (b belief) factor() Factor {
	return Factor{
		Median: math.Exp(b.middle), Records: b.records,
		Sigma: math.Sqrt(b.sureness*b.sureness + b.excess*b.excess),
	}
}

// Learned is the problem with the minutes of bench work as they turn out: times
// the median factor of the job's kind, to whole five minutes where they are ten
// or more, so that a factor that moves a little leaves the plan as it is. What
// is uncertain of the factors goes into the pace.
func Learned(p Problem, f Factors, kindOf func(job string) string) Problem {
	p.Jobs = slices.Clone(p.Jobs)
	for i := range p.Jobs {
		factor := f.For(kindOf(p.Jobs[i].ID)).Median
		stages := slices.Clone(p.Jobs[i].Stages)
		for k := range stages {
			if stages[k].Kind != Bench {
				continue
			}
			for v, n := range stages[k].Minutes {
				stages[k].Minutes[v] = paced(n, factor)
			}
		}
		p.Jobs[i].Stages = stages
	}
	p.Pace = &Pace{Factor: 1, Sigma: f.All.Sigma}
	return p
}

// paced is how many minutes an estimate becomes. Zero stays zero; more than a
// problem may hold it does not become.
func paced(minutes int, factor float64) int {
	n := float64(minutes) * factor
	if n >= 10 {
		n = 5 * math.Round(n/5)
	}
	if minutes > 0 {
		n = max(1, math.Round(n))
	}
	return int(min(n, maxCount))
}

// Arrived is something that was promised for a day and came.
type Arrived struct {
	Supplier string
	DaysLate int // negative: before the day
}

// Delay is how many days after the promised one something comes, as low, likely
// and high.
type Delay struct {
	Days    Range
	Records int // of this supplier
}

// Delays are what was learnt about suppliers.
type Delays struct {
	All       Delay
	Suppliers map[string]Delay
}

// For is the delay of a supplier; that of all where the supplier is new.
func (d Delays) For(supplier string) Delay {
	if s, ok := d.Suppliers[supplier]; ok {
		return s
	}
	s := d.All
	s.Records = 0
	return s
}

// Times is when something comes that is promised for a day.
func (d Delay) Times(promised Moment) Times {
	var t Times
	for i, days := range d.Days {
		t[i] = promised
		t[i].Time = promised.Time.AddDate(0, 0, days)
	}
	return t
}

// Days late are counted from daysEarly before the promised day, for what comes
// early comes a little early, and what comes late may come very late.
const daysEarly = 3

// The prior of arrivals: a day late at the median, a week in one of ten cases
// (common practice, no source).
var arrivalsPrior = belief{middle: math.Log(1 + daysEarly), weight: 4, spread: 0.64, sureness: 0.32}

// LearnArrivals learns from arrivals how late suppliers come, each and all
// together.
func LearnArrivals(arrived []Arrived) Delays {
	suppliers := map[string][]record{}
	for _, a := range arrived {
		r := record{at: math.Log(float64(max(a.DaysLate, 1-daysEarly) + daysEarly))}
		suppliers[a.Supplier] = append(suppliers[a.Supplier], r)
	}
	all, each := arrivalsPrior.learn(suppliers)
	d := Delays{All: all.delay(), Suppliers: map[string]Delay{}}
	for name, b := range each {
		d.Suppliers[name] = b.delay()
	}
	return d
}

// ninth is the standard normal value below which nine of ten lie.
const ninth = 1.2815515655446004

// delay reads the days off at 10, 50 and 90 %.
func (b belief) delay() Delay {
	d := Delay{Records: b.records}
	reach := ninth * math.Hypot(b.spread, b.sureness)
	for i, z := range []float64{-reach, 0, reach} {
		d.Days[i] = int(math.Round(min(math.Exp(b.middle+z)-daysEarly, 3650)))
	}
	return d
}

// record is how far off something was, as a logarithm, and by which variance it
// was expected to be.
type record struct {
	at, expected float64
}

// belief is what is held about the middle and the spread of records.
type belief struct {
	middle   float64
	weight   float64 // how many records the belief counts as
	spread   float64 // of one record round the middle
	sureness float64 // how uncertain the middle is
	excess   float64 // how much wider records spread than they were expected to
	records  int     // it was last learnt from
}

// learn is the belief after seeing records of several kinds, about all and
// about each kind. What the others say of a kind counts as much as the prior.
func (b belief) learn(kinds map[string][]record) (all belief, each map[string]belief) {
	each = map[string]belief{}
	for kind, list := range kinds {
		var others []record
		for k, l := range kinds {
			if k != kind {
				others = append(others, l...)
			}
		}
		prior := b.after(others)
		prior.weight = b.weight
		each[kind] = prior.after(list)
	}
	return b.after(slices.Concat(slices.Collect(maps.Values(kinds))...)), each
}

// far is from how many spreads on a record counts less.
const far = 1.5

// after is the belief after seeing records.
func (b belief) after(list []record) belief {
	if len(list) == 0 {
		return b
	}
	list = slices.Clone(list) // sorted, so that sums do not depend on the order
	slices.SortFunc(list, func(x, y record) int { return cmp.Or(cmp.Compare(x.at, y.at), cmp.Compare(x.expected, y.expected)) })
	out := b
	for range 2 { // the spread says what is far off, and what is far off does not count for the spread
		out.middle = b.middleOf(list, out.spread)
		sum, excess := b.weight*b.spread*b.spread, b.weight*b.excess*b.excess
		for _, r := range list {
			off := min(math.Abs(r.at-out.middle), 2*far*out.spread)
			sum += off * off
			excess += off*off - r.expected
		}
		n := b.weight + float64(len(list))
		out.spread, out.excess = math.Sqrt(sum/n), math.Sqrt(max(0, excess)/n)
	}
	n := b.weight + float64(len(list))
	share := b.weight / n
	out.sureness = math.Sqrt(out.spread*out.spread*float64(len(list))/(n*n) + share*share*b.sureness*b.sureness)
	out.weight, out.records = n, len(list)
	return out
}

// middleOf pulls the middle of records to the belief, what is far off counting
// less. The weights settle, since what they minimise is convex.
func (b belief) middleOf(list []record, spread float64) float64 {
	m := b.middle
	for range 40 {
		sum, n := b.weight*b.middle, b.weight
		for _, r := range list {
			w := min(1, far*spread/math.Max(math.Abs(r.at-m), 1e-12))
			sum += w * r.at
			n += w
		}
		m = sum / n
	}
	return m
}

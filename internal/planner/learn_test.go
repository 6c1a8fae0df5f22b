package planner

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"
)

// owner is a simulated owner whose estimates are off by a factor.
type owner struct {
	*rand.Rand
	factor map[string]float64
	noise  float64
}

func (o *owner) job(kind string) Took {
	likely := 30 + 15*o.IntN(20)
	minutes := float64(likely) * o.factor[kind] * math.Exp(o.noise*o.NormFloat64())
	return Took{Kind: kind, Estimate: Range{likely * 8 / 10, likely, likely * 13 / 10}, Minutes: max(1, int(math.Round(minutes)))}
}

func (o *owner) jobs(n int, kinds ...string) []Took {
	var out []Took
	for i := range n {
		out = append(out, o.job(kinds[i%len(kinds)]))
	}
	return out
}

// off is the mean absolute logarithm of took over estimated times the factor.
func off(list []Took, factor func(kind string) float64) float64 {
	sum := 0.0
	for _, t := range list {
		sum += math.Abs(math.Log(float64(t.Minutes) / (float64(t.Estimate[1]) * factor(t.Kind))))
	}
	return sum / float64(len(list))
}

func asWritten(string) float64 { return 1 }

func TestLearnMinutes_halvesTheErrorOfTheNextTwenty(t *testing.T) {
	t.Parallel()
	for _, kinds := range [][]string{{"repair"}, {"repair", "service", "upgrade"}} {
		before, after, kept := 0.0, 0.0, 0
		const owners = 400
		for seed := range uint64(owners) {
			rng := rand.New(rand.NewPCG(seed, 7))
			// Off by 0.7 to 2.5, all alike or each kind by some more.
			o := &owner{Rand: rng, factor: map[string]float64{}, noise: 0.15}
			common := 0.7 * math.Pow(2.5/0.7, rng.Float64())
			for _, k := range kinds {
				o.factor[k] = common * math.Exp(0.1*rng.NormFloat64()*float64(len(kinds)-1))
			}
			f := LearnMinutes(o.jobs(20, kinds...))
			next := o.jobs(20, kinds...)
			b, a := off(next, asWritten), off(next, func(k string) float64 { return f.For(k).Median })
			before, after = before+b/owners, after+a/owners
			if a <= b {
				kept++
			}
		}
		t.Logf("%v: mean absolute logarithm %.3f as written, %.3f as learnt from 20 jobs; %d of %d owners better off", kinds, before, after, kept, owners)
		if after > before/2 {
			t.Errorf("%v: the error falls from %.3f to %.3f only", kinds, before, after)
		}
	}
}

func TestLearnMinutes_fewRecordsMoveLittle(t *testing.T) {
	t.Parallel()
	if f := LearnMinutes(nil); f.All.Median != 1 || f.All.Sigma != DefaultPace.Sigma || f.For("repair") != f.All {
		t.Errorf("without records %+v, want the default pace %+v", f.All, DefaultPace)
	}
	one := Took{Kind: "repair", Estimate: Exactly(100), Minutes: 200}
	if f := LearnMinutes([]Took{one}).For("repair").Median; f < 1.02 || f > 1.3 {
		t.Errorf("after one job that took twice as long the factor is %.2f", f)
	}
	if f := LearnMinutes([]Took{one, one}).For("repair").Median; f < 1.1 || f > 1.45 {
		t.Errorf("after two jobs that took twice as long the factor is %.2f", f)
	}
	other := LearnMinutes([]Took{one, one, one, one, one, one}).For("service")
	if other.Median < 1.2 || other.Records != 0 {
		t.Errorf("a kind without records gets %+v, want what is known of all", other)
	}
}

func TestLearnMinutes_outlier(t *testing.T) {
	t.Parallel()
	o := &owner{Rand: rand.New(rand.NewPCG(1, 1)), factor: map[string]float64{"repair": 1.4}, noise: 0.15}
	took := o.jobs(20, "repair")
	without := LearnMinutes(took).For("repair")
	with := LearnMinutes(append(took, Took{Kind: "repair", Estimate: Exactly(60), Minutes: 1200})).For("repair")
	if change := with.Median / without.Median; change > 1.05 || change < 1 {
		t.Errorf("one job of 20 times the estimate moves the factor from %.3f to %.3f", without.Median, with.Median)
	}
	if with.Sigma > 2*without.Sigma+0.1 {
		t.Errorf("one job of 20 times the estimate makes %.3f of the uncertainty %.3f", with.Sigma, without.Sigma)
	}
	if alone := LearnMinutes([]Took{{Kind: "repair", Estimate: Exactly(60), Minutes: 1200}}).All; alone.Median > 1.3 {
		t.Errorf("alone it makes the factor %.2f", alone.Median)
	}
}

func TestLearnMinutes_knowsHowSureItIs(t *testing.T) {
	t.Parallel()
	// Within a sigma of the truth in about two of three cases, whatever the number of records.
	for _, n := range []int{3, 8, 20} {
		in := 0
		const owners = 600
		for seed := range uint64(owners) {
			rng := rand.New(rand.NewPCG(seed, 11))
			// As the prior has it: the middle off by 0.2, single jobs by 0.4.
			truth := 0.2 * rng.NormFloat64()
			var list []record
			for range n {
				list = append(list, record{at: truth + 0.4*rng.NormFloat64(), expected: 0.16})
			}
			if b := minutesPrior.after(list); math.Abs(b.middle-truth) <= b.sureness {
				in++
			}
		}
		if share := float64(in) / owners; share < 0.60 || share > 0.76 {
			t.Errorf("%d records: the truth is as near as it is said to be in %.0f %% of cases, want 68", n, 100*share)
		}
	}
}

func TestLearn_orderHasNoSay(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 5))
	o := &owner{Rand: rng, factor: map[string]float64{"repair": 1.4, "service": 0.8}, noise: 0.3}
	took := o.jobs(40, "repair", "service")
	want := LearnMinutes(took)
	var arrived []Arrived
	for i := range 40 {
		arrived = append(arrived, Arrived{Supplier: fmt.Sprint(i % 3), DaysLate: rng.IntN(20) - 4})
	}
	wantDelays := LearnArrivals(arrived)
	for range 20 {
		rng.Shuffle(len(took), func(i, j int) { took[i], took[j] = took[j], took[i] })
		rng.Shuffle(len(arrived), func(i, j int) { arrived[i], arrived[j] = arrived[j], arrived[i] })
		if got := LearnMinutes(took); !reflect.DeepEqual(got, want) {
			t.Fatalf("another order of the records gives %+v, want %+v", got, want)
		}
		if got := LearnArrivals(arrived); !reflect.DeepEqual(got, wantDelays) {
			t.Fatalf("another order of the arrivals gives %+v, want %+v", got, wantDelays)
		}
	}
}

func TestLearnArrivals_halvesTheErrorOfTheNextTwenty(t *testing.T) {
	t.Parallel()
	before, after, inside, all := 0.0, 0.0, 0, 0
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 3))
		usual := []float64{2 + 12*rng.Float64(), 2 + 12*rng.Float64(), 2 + 12*rng.Float64()}
		draw := func(s int) int {
			return int(math.Round((usual[s]+daysEarly)*math.Exp(0.25*rng.NormFloat64()))) - daysEarly
		}
		var seen []Arrived
		for i := range 60 {
			seen = append(seen, Arrived{Supplier: fmt.Sprint(i % 3), DaysLate: draw(i % 3)})
		}
		d := LearnArrivals(seen)
		for i := range 60 {
			late, days := draw(i%3), d.For(fmt.Sprint(i%3)).Days
			before += math.Abs(float64(late))
			after += math.Abs(float64(late - days[1]))
			if days[0] <= late && late <= days[2] {
				inside++
			}
			all++
		}
	}
	t.Logf("days off: %.2f against the promise, %.2f as learnt; %.0f %% between low and high", before/float64(all), after/float64(all), percentOf(inside, all))
	if after > before/2 {
		t.Errorf("off by %.2f days against the promise and %.2f as learnt", before/float64(all), after/float64(all))
	}
	if share := percentOf(inside, all); share < 78 || share > 96 {
		t.Errorf("%.0f %% lie between low and high, want about 80", share)
	}
}

func percentOf(n, of int) float64 { return 100 * float64(n) / float64(of) }

func TestLearnArrivals_fewRecordsAndOutliers(t *testing.T) {
	t.Parallel()
	if d := LearnArrivals(nil); d.All.Days != (Range{-1, 1, 7}) {
		t.Errorf("without records %v", d.All.Days)
	}
	one := LearnArrivals([]Arrived{{"north", 40}}).For("north")
	if one.Days[1] > 4 || one.Days[2] > 25 {
		t.Errorf("after one arrival 40 days late %v", one.Days)
	}
	var seen []Arrived
	for range 20 {
		seen = append(seen, Arrived{"north", 2})
	}
	without := LearnArrivals(seen).For("north").Days
	with := LearnArrivals(append(seen, Arrived{"north", 90})).For("north").Days
	if with[1]-without[1] > 1 || with[2]-without[2] > 3 {
		t.Errorf("one arrival 90 days late makes %v of %v", with, without)
	}
	if with[2]-with[1] < with[1]-with[0] {
		t.Errorf("%v is not skewed late", with)
	}
	times := Delay{Days: Range{-1, 1, 7}}.Times(On(2027, time.March, 30))
	if got := times[2].Time.Format(time.DateOnly); got != "2027-04-06" || !times[2].Day {
		t.Errorf("a week after 30 March is %s", got)
	}
}

func TestLearned_scalesBenchWorkAlone(t *testing.T) {
	t.Parallel()
	p := garageProblem(10, 3, 8)
	for i := range p.Jobs { // whatever kind they are
		p.Jobs[i].Stages[0].Minutes = Range{7, 61, 122}
		p.Jobs[i].Stages[0].Kind = Bench
		p.Jobs[i].Stages[0].Days = Range{}
	}
	f := Factors{All: Factor{Median: 1, Sigma: 0.1}, Kinds: map[string]Factor{"repair": {Median: 1.3}}}
	got := Learned(p, f, func(job string) string {
		if job == p.Jobs[0].ID {
			return "repair"
		}
		return "service"
	})
	if err := got.Validate(); err != nil {
		t.Fatal(err)
	}
	if m := got.Jobs[0].Stages[0].Minutes; m != (Range{9, 80, 160}) {
		t.Errorf("minutes of the repair are %v", m)
	}
	if m := got.Jobs[1].Stages[0].Minutes; m != (Range{7, 60, 120}) {
		t.Errorf("minutes of the service are %v", m)
	}
	if p.Jobs[0].Stages[0].Minutes != (Range{7, 61, 122}) {
		t.Error("the problem given was changed")
	}
	for i := range p.Jobs {
		for k := range p.Jobs[i].Stages[1:] {
			was, is := p.Jobs[i].Stages[k+1], got.Jobs[i].Stages[k+1]
			if was.Kind != Bench && (was.Minutes != is.Minutes || was.Days != is.Days) {
				t.Errorf("%s %s became %v %v", was.Kind, was.ID, is.Minutes, is.Days)
			}
		}
	}
	if *got.Pace != (Pace{1, 0.1}) {
		t.Errorf("pace %v", *got.Pace)
	}
}

package planner

import (
	"cmp"
	"slices"
	"time"
)

// Fit is a set of jobs that can be begun now and fit into the time together.
type Fit struct {
	Jobs    []Ready   // by when they end; Minutes are each job's own here, without opening and closing
	Minutes int       // of the owner's time, opening, closing and changing cars included
	Until   time.Time // when the last of it is done
	Plan    Answer    // of these jobs alone, by which they fit
}

// Fits finds jobs that fit together between now and until with what is on hand: those of most weight, and of most weight for
// their minutes, are taken one after another as long as a plan of all of them fits, and the set of more weight is kept. Jobs on
// one car share what they open, so that more may fit than their minutes alone let hope; and one that lets a car roll again may
// make room for another. Where no job is ready the set is empty.
func Fits(p Problem, until time.Time, helpers int) (Fit, error) {
	b, err := newBench(p, until, helpers)
	if err != nil || b == nil {
		return Fit{}, err
	}
	b.p.Effort = 2 // many sets are tried, all of them small
	var jobs []Job
	for _, job := range p.Jobs {
		if b.mayStart(job) && b.mayFit(job) {
			jobs = append(jobs, job)
		}
	}
	slices.SortFunc(jobs, func(x, y Job) int { return cmp.Or(cmp.Compare(y.Weight, x.Weight), cmp.Compare(x.ID, y.ID)) })
	best := b.fill(jobs)
	slices.SortStableFunc(jobs, func(x, y Job) int {
		return cmp.Compare(y.Weight*float64(1+ownMinutes(x)), x.Weight*float64(1+ownMinutes(y)))
	})
	if dense := b.fill(jobs); weightOf(dense) > weightOf(best) {
		best = dense
	}
	return b.fit(best), nil
}

// fill takes jobs in their order as long as they fit together.
func (b *bench) fill(jobs []Job) []Job {
	var set []Job
	for _, job := range jobs {
		more := append(slices.Clip(set), job)
		if !b.mayFit(more...) {
			continue
		}
		if _, fits := b.try(more); fits {
			set = more
		}
	}
	return set
}

func (b *bench) fit(set []Job) Fit {
	if len(set) == 0 {
		return Fit{}
	}
	answer, _ := b.try(set)
	f := Fit{Minutes: overheadUntil(answer, b.until), Plan: answer}
	for _, job := range set {
		r, _ := readyIn(answer, job, b.until)
		f.Jobs = append(f.Jobs, r)
		f.Minutes += r.Minutes
		if r.Until.After(f.Until) {
			f.Until = r.Until
		}
	}
	slices.SortFunc(f.Jobs, func(x, y Ready) int { return cmp.Or(x.Until.Compare(y.Until), cmp.Compare(x.Job, y.Job)) })
	return f
}

// ownMinutes are those of the bench stages that a job begins with.
func ownMinutes(job Job) int {
	n := 0
	for _, s := range job.Stages[:leading(job)] {
		n += s.Minutes[1]
	}
	return n
}

func weightOf(jobs []Job) float64 {
	sum := 0.0
	for _, j := range jobs {
		sum += j.Weight
	}
	return sum
}

package planner

import (
	"cmp"
	"slices"
	"time"
)

// Report is a plan with all that can be asked about it.
type Report struct {
	Answer
	Orders     []Order     `json:"orders"`     // parts that are not ordered yet
	Frees      []Gain      `json:"frees"`      // what would gain most
	Unblock    []Unblocked `json:"unblock"`    // what would free blocked jobs, those of most weight first
	Chains     []LateJob   `json:"chains"`     // why each late job is late
	Shortfalls []Shortfall `json:"shortfalls"` // due dates that no plan meets
	Chances    []Chance    `json:"chances"`    // by job
}

// Unblocked is a blocked job with the least sets of things that would free it.
type Unblocked struct {
	Job  string    `json:"job"`
	Sets [][]Thing `json:"sets"` // none when nothing that was tried does
}

// LateJob is a job that ends after its due date, with its critical chain.
type LateJob struct {
	Job      string    `json:"job"`
	Due      time.Time `json:"due"`
	End      time.Time `json:"end"`
	LateCost float64   `json:"late_cost"`
	Links    []Link    `json:"links"`
}

// mostUnblocked is for how many blocked jobs a report says what would free them: of each further one that can be asked alone.
func mostUnblocked(jobs int) int {
	if jobs > 100 {
		return 2
	}
	return 6
}

// Explain plans a problem and asks all there is to ask about the plan; samples is how often it is carried out for the chances,
// 0 for no chances.
func Explain(p Problem, samples int) (Report, error) {
	a, err := Plan(p)
	if err != nil {
		return Report{}, err
	}
	r := Report{Answer: a, Orders: OrderBy(a), Unblock: []Unblocked{}, Chains: lateJobs(p, a), Chances: []Chance{}}
	if r.Frees, err = Frees(p, a, 0); err != nil {
		return Report{}, err
	}
	if r.Shortfalls, err = Shortfalls(p); err != nil {
		return Report{}, err
	}
	for _, job := range heaviestBlocked(p, a) {
		sets, err := Unblock(p, job)
		if err != nil {
			return Report{}, err
		}
		r.Unblock = append(r.Unblock, Unblocked{Job: job, Sets: append([][]Thing{}, sets...)})
	}
	if samples > 0 {
		// The same draws each time, so that equal problems have equal reports.
		if r.Chances, err = Chances(p, a, samples, 1); err != nil {
			return Report{}, err
		}
	}
	return r, nil
}

// heaviestBlocked lists the blocked jobs of most weight.
func heaviestBlocked(p Problem, a Answer) []string {
	weight := map[string]float64{}
	for _, j := range p.Jobs {
		weight[j.ID] = j.Weight
	}
	var jobs []string
	for _, b := range a.Blocked {
		jobs = append(jobs, b.Job)
	}
	slices.SortFunc(jobs, func(x, y string) int { return cmp.Or(cmp.Compare(weight[y], weight[x]), cmp.Compare(x, y)) })
	return jobs[:min(len(jobs), mostUnblocked(len(p.Jobs)))]
}

// lateJobs lists the jobs that end after a due date, each such date by itself, in order of date.
func lateJobs(p Problem, a Answer) []LateJob {
	zone, _ := loadZone(p.Zone)
	ends := endsOf(a)
	late := []LateJob{}
	for i := range p.Jobs {
		j := &p.Jobs[i]
		e, placed := ends[j.ID]
		for _, d := range j.AllDues() {
			if due := dayEnd(d.At, zone); placed && e.end.After(due) {
				late = append(late, LateJob{
					Job: j.ID, Due: due.In(zone), End: e.end, LateCost: d.cost(e.end, zone), Links: Chain(p, a, j.ID),
				})
			}
		}
	}
	slices.SortFunc(late, func(x, y LateJob) int { return cmp.Or(x.Due.Compare(y.Due), cmp.Compare(x.Job, y.Job)) })
	return late
}

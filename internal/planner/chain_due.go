package planner

import (
	"cmp"
	"slices"
	"time"

	"axlestand/internal/schedule"
)

// Shortfall proves that a due date cannot be met: what must be done on the bench before it is more than the sessions before it
// hold, or what the job waits for comes too late.
type Shortfall struct {
	Job      string    `json:"job"`
	Due      time.Time `json:"due"`
	Jobs     []string  `json:"jobs"`              // whose bench work must come before
	Need     int       `json:"need_minutes"`      // of the owner's time, opened and changed at least once
	Have     int       `json:"have_minutes"`      // in sessions from now to the due date
	Short    int       `json:"short_minutes"`     // zero when time is not what is short
	Together bool      `json:"together"`          // Jobs are all with a price that are due by then: one of them will be late
	Earliest time.Time `json:"earliest,omitzero"` // when the job could end at the earliest, if that is too late
}

// Shortfalls lists the due dates that no plan can meet, by date. Where the jobs with a price that are due by then do not fit
// together, though each alone would, it says so for the last of them.
func Shortfalls(p Problem) ([]Shortfall, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	p, _ = p.leaveOutEndless()
	m := newModel(p)
	earliest := schedule.Bound(&m.problem)
	list := []Shortfall{}
	for i := range m.jobList {
		j := &m.jobList[i]
		for _, d := range j.AllDues() {
			if s := m.shortfallOf(j, &d, earliest[i]); s.Short > 0 || !s.Earliest.IsZero() {
				list = append(list, s)
			}
		}
	}
	slices.SortFunc(list, func(a, b Shortfall) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Job, b.Job)) })
	return list, nil
}

// shortfallOf is what one due date of a job falls short by, which could end at the earliest then.
func (m *model) shortfallOf(j *Job, d *Due, earliest int) Shortfall {
	due := dayEnd(d.At, m.zone).In(m.zone)
	s := m.shortfall(j, due, []string{j.ID})
	if earliest > minute(due) {
		s.Earliest = m.time(earliest)
	}
	if s.Short == 0 && s.Earliest.IsZero() && d.priced() {
		s = m.shortfall(j, due, m.dueBy(due))
		s.Together = true
	}
	return s
}

// dueBy lists the jobs with a price that are due by a date.
func (m *model) dueBy(due time.Time) []string {
	var ids []string
	for i := range m.jobList {
		if j := &m.jobList[i]; slices.ContainsFunc(j.AllDues(), func(d Due) bool { return d.priced() && !dayEnd(d.At, m.zone).After(due) }) {
			ids = append(ids, j.ID)
		}
	}
	return ids
}

// shortfall sets what some jobs and their prerequisites need of the owner before a job is due against what the sessions hold.
func (m *model) shortfall(j *Job, due time.Time, jobs []string) Shortfall {
	s := Shortfall{Job: j.ID, Due: due, Jobs: m.withPrerequisites(jobs)}
	for _, span := range m.problem.Sessions {
		s.Have += max(0, min(span.To, minute(s.Due))-span.From)
	}
	opened, lifted := map[string]bool{}, map[string]bool{}
	for _, id := range s.Jobs {
		job := &m.jobList[m.jobs[id]]
		for _, stage := range job.Stages {
			if hands, said := stage.Needs[Hands]; stage.Kind == Bench && (!said || hands > 0) {
				s.Need += stage.Minutes[1]
			}
			for _, access := range stage.Access {
				s.Need += m.opening(access, opened)
			}
			if stage.Needs[Lift] > 0 && !lifted[job.Car] && !m.carList[m.cars[job.Car]].OnLift {
				lifted[job.Car] = true
				s.Need += m.p.ChangeCarMinutes
			}
		}
	}
	s.Short = max(0, s.Need-s.Have)
	return s
}

// opening is what it takes to open an access, with what it is inside, if none of that is open or counted.
func (m *model) opening(id string, opened map[string]bool) int {
	a := &m.accessList[m.access[id]]
	if a.Open || opened[id] {
		return 0
	}
	opened[id] = true
	minutes := a.OpenMinutes
	for _, outer := range a.Inside {
		minutes += m.opening(outer, opened)
	}
	return minutes
}

// withPrerequisites adds all jobs that must come before some, in order of their ids.
func (m *model) withPrerequisites(jobs []string) []string {
	in := map[string]bool{}
	var add func(id string)
	add = func(id string) {
		if in[id] {
			return
		}
		in[id] = true
		for _, a := range m.jobList[m.jobs[id]].After {
			add(a.Job)
		}
	}
	for _, id := range jobs {
		add(id)
	}
	ids := make([]string, 0, len(in))
	for id := range in {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

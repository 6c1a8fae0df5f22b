package exchange

import (
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/caution"
	"axlestand/internal/trade/torque"
)

// demoDone is a job that is closed, with what was seen in its rounds and said of it later.
type demoDone struct {
	Car, Kind, Title, Reason, Closed, Until string
	Weight                                  int
	Stages                                  []struct {
		Name, Done string
		Minutes    [3]int
		Took       int
		Lift       bool
	}
	Rounds []struct {
		At, Seen, Reading, Next, Ended string
	}
	Look, Looked, Worth, Changed string
}

// demoCard is the card of a job: the steps of its first stage at the bench.
type demoCard struct {
	Job   string
	Steps []demoStep
}

// demoStep is a step. Spec is the joint of a torque spec of the car whose figure and source it takes; Done is when it was done,
// with the value noted.
type demoStep struct {
	Do, Torque, Fluid, Measure, Wait, Check, Photo, Remove string // one of them: the text
	Side, Figure, Unit, Source, Page, Condition            string
	Spec, Part, Own, Pause, Done, Value, Note, Wrench      string
	Low, High                                              *float64
	Quantity                                               int
	Cautions                                               []caution.Topic
	Critical                                               bool
}

// kindText is the kind of a step and what is done.
func (s demoStep) kindText() (garage.StepKind, string) {
	for _, k := range []struct {
		kind garage.StepKind
		text string
	}{
		{garage.TorqueStep, s.Torque},
		{garage.FluidStep, s.Fluid},
		{garage.MeasureStep, s.Measure},
		{garage.WaitStep, s.Wait},
		{garage.CheckStep, s.Check},
		{garage.PhotoStep, s.Photo},
		{garage.RemoveStep, s.Remove},
	} {
		if k.text != "" {
			return k.kind, k.text
		}
	}
	return garage.DoStep, s.Do
}

// done are the jobs that are closed.
func (r *demoReader) done(jobs []demoDone) {
	for _, j := range jobs {
		id := garage.JobID(len(r.out.Jobs) + len(r.out.DoneJobs) + 1)
		r.jobs[j.Title] = id
		closed := r.instant(j.Closed)
		r.out.DoneJobs = append(r.out.DoneJobs, garage.Job{
			ID: id, CarID: find(r, r.cars, j.Car), Kind: garage.JobKind(j.Kind), Title: j.Title, Reason: j.Reason, Weight: j.Weight,
			Currency: r.currency, ClosedAt: &closed,
		})
		for i, s := range j.Stages {
			done := r.instant(s.Done)
			r.out.DoneStages = append(r.out.DoneStages, garage.Stage{
				ID: garage.StageID(len(r.out.Stages) + len(r.out.DoneStages) + 1), JobID: id, Position: i + 1, Name: s.Name, Kind: garage.Bench,
				Low: s.Minutes[0], Likely: s.Minutes[1], High: s.Minutes[2], Lift: s.Lift, DoneAt: &done, ActualMinutes: orNil(s.Took),
			})
		}
		r.afterwards(id, j)
	}
}

// afterwards is what was seen in the rounds of a job and said of it later.
func (r *demoReader) afterwards(id garage.JobID, j demoDone) {
	if j.Until != "" {
		r.out.Repeats = append(r.out.Repeats, garage.JobRepeat{JobID: id, Until: j.Until})
	}
	for i, v := range j.Rounds {
		r.out.Rounds = append(r.out.Rounds, garage.Round{
			ID: garage.RoundID(len(r.out.Rounds) + 1), JobID: id, Number: i + 1, Observation: v.Seen, Reading: v.Reading, At: r.instant(v.At),
			NextOn: r.maybeDate(v.Next), Ended: v.Ended,
		})
	}
	if j.Look != "" {
		look := garage.LookBack{ID: int64(len(r.out.LookBacks) + 1), JobID: id, DueOn: r.maybeDate(j.Look), Worth: j.Worth, Changed: j.Changed}
		if j.Looked != "" {
			look.AnsweredAt = new(r.instant(j.Looked))
		}
		r.out.LookBacks = append(r.out.LookBacks, look)
	}
}

// cards are the steps of jobs, and what was done at them.
func (r *demoReader) cards(cards []demoCard) {
	for _, c := range cards {
		job := find(r, r.jobs, c.Job)
		for i, s := range c.Steps {
			step := r.step(job, s)
			step.ID, step.Position = garage.StepID(len(r.out.Steps)+1), i+1
			r.out.Steps = append(r.out.Steps, step)
			if s.Done == "" {
				continue
			}
			mark := garage.StepMark{
				ID: garage.MarkID(len(r.out.Marks) + 1), StepID: step.ID, JobID: job, Kind: garage.DoneMark, Value: s.Value, Note: s.Note,
				Revision: 1, At: r.instant(s.Done),
			}
			for _, w := range r.out.Wrenches {
				if s.Wrench != "" && w.Name == s.Wrench {
					mark.WrenchID = &w.ID
				}
			}
			r.out.Marks = append(r.out.Marks, mark)
		}
	}
}

func (r *demoReader) step(job garage.JobID, s demoStep) garage.Step {
	kind, text := s.kindText()
	step := garage.Step{
		Kind: kind, Text: text, Side: s.Side, Figure: s.Figure, LimitLow: s.Low, LimitHigh: s.High, LimitUnit: s.Unit,
		Condition: torque.Condition(s.Condition), Source: s.Source, Page: s.Page, Cautions: s.Cautions, CautionOwn: s.Own, Critical: s.Critical,
		PauseAfter: s.Pause, Revision: 1,
	}
	step.StageID = r.benchOf(job)
	if s.Spec != "" {
		r.fromSpec(&step, job, s.Spec)
	}
	if s.Part != "" {
		step.PartID, step.Quantity = new(find(r, r.parts, s.Part)), max(1, s.Quantity)
	}
	return step
}

// fromSpec gives a step the figure of a joint of its car.
func (r *demoReader) fromSpec(step *garage.Step, job garage.JobID, joint string) {
	var car garage.CarID
	for _, j := range append(r.out.Jobs[:len(r.out.Jobs):len(r.out.Jobs)], r.out.DoneJobs...) {
		if j.ID == job {
			car = j.CarID
		}
	}
	for _, spec := range r.out.Torque {
		if spec.CarID == car && spec.Joint == joint {
			step.TorqueSpecID, step.Figure, step.Condition, step.Source, step.Page = &spec.ID, spec.Stages, spec.Condition, spec.Source+" (invented)", spec.Page
			return
		}
	}
	r.fail("the car has no torque spec for %q", joint)
}

// benchOf is the first stage at the bench of a job.
func (r *demoReader) benchOf(job garage.JobID) garage.StageID {
	for _, stages := range [][]garage.Stage{r.out.Stages, r.out.DoneStages} {
		for _, g := range stages {
			if g.JobID == job && g.Kind == garage.Bench {
				return g.ID
			}
		}
	}
	r.fail("job %d has no stage at the bench for its card", job)
	return 0
}

// instant reads "S-9 19:12" by the clock of the garage.
func (r *demoReader) instant(s string) time.Time {
	day, clock, _ := strings.Cut(s, " ")
	zone, err := time.LoadLocation(r.out.Settings.Zone)
	if err != nil {
		r.fail("the zone %q is not known", r.out.Settings.Zone)
		zone = time.UTC
	}
	d, minutes := r.date(day), r.minute(clock)
	return time.Date(d.Year, d.Month, d.Day, minutes/60, minutes%60, 0, 0, zone)
}

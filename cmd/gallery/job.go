package main

import (
	"fmt"
	"net/url"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("job",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return jobIndex(b, garage.JobFilter{State: garage.OpenJobs}, 0) }},
		Entry{Name: "index-none-found", Page: func(b ui.Page) templ.Component { return jobIndex(b, garage.JobFilter{Kind: garage.Service}, 0) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			return jobIndex(b, garage.JobFilter{State: garage.OpenJobs, Limit: 100}, 7)
		}},
		Entry{Name: "index-page", Page: func(b ui.Page) templ.Component { return jobIndex(b, garage.JobFilter{Limit: 100, Offset: 200}, 100) }},
		Entry{Name: "car-none", Page: func(b ui.Page) templ.Component {
			return page.JobCar(page.NewJobCar(titled(b, "Add a job", ui.NavCars), nil))
		}},
		Entry{Name: "car", Page: func(b ui.Page) templ.Component {
			return page.JobCar(page.NewJobCar(titled(b, "Add a job", ui.NavCars), garagetest.JobChoices().Cars))
		}},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			return jobForm(b, page.BlankJobForm(1), garage.Job{}, garagetest.JobChoices())
		}},
		Entry{Name: "new-bare", Page: func(b ui.Page) templ.Component {
			return jobForm(b, page.BlankJobForm(1), garage.Job{}, garage.JobChoices{Settings: garagetest.Settings(), Car: garagetest.Car()})
		}},
		Entry{Name: "new-wrong", Page: wrongJob},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			sheet := garagetest.JobSheet()
			return jobForm(b, page.NewJobForm(sheet.Job, sheet.After), sheet.Job, garagetest.JobChoices())
		}},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return jobShow(b, garagetest.JobSheet()) }},
		Entry{Name: "took-wrong", Page: func(b ui.Page) templ.Component {
			sheet := garagetest.JobSheet()
			v := page.NewJobShow(titled(b, sheet.Job.Title, ui.NavCars), sheet, garagetest.Settings(), galleryNow)
			v.Took = page.ReadTookForm(sheet.Stages[0].ID, url.Values{"took": {"all afternoon"}})
			v.Took.Minutes()
			return page.JobShow(v)
		}},
		Entry{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return jobShow(b, garage.JobSheet{Job: garagetest.Job(func(j *garage.Job) { j.ID = 1 }), Car: garagetest.Car()})
		}},
		Entry{Name: "show-long", Page: func(b ui.Page) templ.Component { return jobShow(b, longJob()) }},
		Entry{Name: "show-30-stages", Page: func(b ui.Page) templ.Component { return jobShow(b, manyStages(30)) }},
		Entry{Name: "show-troubles", Page: func(b ui.Page) templ.Component { return jobShow(b, troubledJob()) }},
		Entry{Name: "show-harvest", Page: func(b ui.Page) templ.Component { return jobShow(b, garagetest.HarvestSheet()) }},
		Entry{Name: "show-closed", Page: func(b ui.Page) templ.Component {
			return jobShow(b, garagetest.JobSheet(func(s *garage.JobSheet) {
				s.Job.ClosedAt, s.Job.ClosedAs = &galleryNow, "The car was sold"
			}))
		}},
		Entry{Name: "delete", Page: func(b ui.Page) templ.Component {
			return page.JobDelete(page.NewJobDelete(titled(b, "Delete this job?", ui.NavCars), garagetest.HarvestSheet()))
		}},
		Entry{Name: "close", Page: func(b ui.Page) templ.Component {
			sheet := garagetest.JobSheet()
			form := page.JobCloseForm{Version: "1", Errors: garage.FieldErrors{"closed_as": "Not all stages are done. Say in a word why it is closed as it is."}}
			return page.JobClose(page.NewJobClose(titled(b, "Close as it is?", ui.NavCars), sheet.Job, sheet.Stages, form))
		}},
		Entry{Name: "when", Page: func(b ui.Page) templ.Component { return jobWhen(b, gallerySessions()) }},
		Entry{Name: "when-no-sessions", Page: func(b ui.Page) templ.Component { return jobWhen(b, nil) }},
		Entry{Name: "take-off", Page: func(b ui.Page) templ.Component {
			return page.TakeOff(page.NewTakeOff(titled(b, "Parts taken off", ui.NavCars), garagetest.HarvestSheet(), page.TakeOffForm{}).AllParts())
		}},
		Entry{Name: "take-off-none", Page: func(b ui.Page) templ.Component {
			return page.TakeOff(page.NewTakeOff(titled(b, "Parts taken off", ui.NavCars), garagetest.JobSheet(), page.TakeOffForm{}))
		}},
	)
	register("stage",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return stageForm(b, page.BlankStageForm(), garage.Stage{}) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			stage := garagetest.JobSheet().Stages[1]
			return stageForm(b, page.NewStageForm(stage), stage)
		}},
		Entry{Name: "edit-outside", Page: func(b ui.Page) templ.Component {
			stage := garagetest.JobSheet().Stages[2]
			return stageForm(b, page.NewStageForm(stage), stage)
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.StageForm{Kind: "bench", Low: "3 h", Likely: "soon", Helpers: "many", Immobile: "always"}
			form.Stage()
			return stageForm(b, form, garage.Stage{})
		}},
		Entry{Name: "short", Page: func(b ui.Page) templ.Component {
			sheet := garagetest.JobSheet()
			short := []garage.Short{{PartName: "Bush bolt", Unit: "piece", Wanted: 4, OnHand: 1}, {PartName: "Brake fluid", Unit: "ml", Wanted: 500}}
			return page.StageShort(page.NewStageShort(titled(b, "Is it done?", ui.NavCars), sheet.Job, sheet.Stages[1], short, page.TookForm{Took: "2 h"}))
		}},
	)
	register("need",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return needForm(b, page.BlankNeedForm(), garage.Need{}) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			sheet := garagetest.JobSheet()
			return needForm(b, page.NewNeedForm(sheet.Needs[2], sheet.Parts[2]), sheet.Needs[2])
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.NeedForm{Part: longName, Quantity: "some", Errors: garage.FieldErrors{
				"new_part": "There is no part called " + longName + ". Tick to make it.", "quantity": "A whole number, please.",
			}}
			return needForm(b, form, garage.Need{})
		}},
	)
	register("phase",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return phaseForm(b, page.PhaseForm{}, garage.Phase{}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.PhaseForm{Budget: "much", FinishOn: "summer"}
			form.Phase("EUR")
			return phaseForm(b, form, garage.Phase{})
		}},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return phaseShow(b, jobRows(5, 5)) }},
		Entry{Name: "show-empty", Page: func(b ui.Page) templ.Component { return phaseShow(b, nil) }},
	)
}

func jobIndex(b ui.Page, f garage.JobFilter, n int) templ.Component {
	return page.JobIndex(page.NewJobIndex(titled(b, "Jobs", ui.NavMore), f, jobRows(n, 500), garagetest.JobChoices().Cars, galleryDay))
}

// jobRows are n of total jobs in every state.
func jobRows(n, total int) []garage.JobRow {
	rows := make([]garage.JobRow, n)
	for i := range rows {
		rows[i] = garage.JobRow{
			Job: garagetest.Job(func(j *garage.Job) {
				j.ID, j.Title, j.Kind, j.Weight = garage.JobID(i+1), fmt.Sprintf("Job number %d", i+1), garage.JobKinds[i%6], i%9+1
				switch i % 4 {
				case 0:
					j.Due, j.DueFor = new(galleryDay.AddDays(i-2)), "Inspection"
				case 1:
					j.ClosedAt = &galleryNow
				case 2:
					j.Title = longName
				}
			}),
			CarName: "Tern estate", Stages: i % 5, StagesDone: i % 5 / 2, Total: total,
		}
	}
	return rows
}

func jobForm(b ui.Page, form page.JobForm, job garage.Job, c garage.JobChoices) templ.Component {
	return page.JobEdit(page.JobFormView{Base: titled(b, "Add a job", ui.NavCars), Form: form, Job: job, Choices: c, Currency: "EUR"})
}

func wrongJob(b ui.Page) templ.Component {
	form := page.BlankJobForm(1)
	form.Weight, form.Due, form.LateCost = "12", "soon", "lots"
	form.After = []page.AfterRow{{Job: "3", Gap: "soon"}, {Gap: "2 days"}}
	form.Stage.Likely, form.Stage.Helpers = "long", "many"
	form.Job("EUR")
	form.FirstStage()
	form.Errors.Add("after", "They would wait for each other: Arms off → Bushes → Arms off.")
	return jobForm(b, form, garage.Job{}, garagetest.JobChoices())
}

func jobShow(b ui.Page, sheet garage.JobSheet) templ.Component {
	v := page.NewJobShow(titled(b, sheet.Job.Title, ui.NavCars), sheet, garagetest.Settings(), galleryNow)
	if len(sheet.After) > 0 && sheet.Job.ClosedAt == nil {
		v.Planned = page.JobPlanned{From: "Sat 20 Mar 09:35", To: "Sat 20 Mar 12:55", Why: "waits: Trailing arm, off the donor by Take the rear arms off"}
	}
	return page.JobShow(v)
}

func longJob() garage.JobSheet {
	return garagetest.JobSheet(func(s *garage.JobSheet) {
		s.Job.Title, s.Job.Reason, s.Job.DueFor, s.Car.Name, s.Phase.Name = longName, longName, longName, longName, longName
		s.Job.LateCost = 1234567890
		for i := range s.Stages {
			s.Stages[i].Name = longName
		}
		for i := range s.Parts {
			s.Parts[i].Name, s.Parts[i].Number = longName, "XX-4711-0815-ABCDEFGHIJKLMNOPQRSTUVWXYZ"
		}
		s.Tools[0].Name, s.Access[0].Name, s.After[0].Title, s.Harvests[0].Title = longName, longName, longName, longName
	})
}

func manyStages(n int) garage.JobSheet {
	return garagetest.JobSheet(func(s *garage.JobSheet) {
		first := s.Stages[0]
		s.Stages = nil
		for i := range n {
			stage := garagetest.Stage(func(g *garage.Stage) {
				g.ID, g.Position, g.Name = garage.StageID(i+1), i+1, fmt.Sprintf("Stage number %d", i+1)
			})
			switch {
			case i < 3:
				stage.DoneAt = first.DoneAt
			case i == 5:
				stage.Immobile = "from"
			case i == 9:
				stage.Immobile = "until"
			case i%7 == 0:
				stage.Kind, stage.Lift = garage.Wait, false
			}
			s.Stages = append(s.Stages, stage)
		}
	})
}

// troubledJob has stages that do not hold together.
func troubledJob() garage.JobSheet {
	return garagetest.JobSheet(func(s *garage.JobSheet) {
		s.Stages = s.Stages[1:]
		s.Stages[0].Immobile, s.Stages[0].FollowsAtOnce = "from", true
	})
}

func gallerySessions() []garage.Session {
	patterns := []garage.SessionPattern{{Weekday: 2, FromMinute: 1140, ToMinute: 1290}, {Weekday: 6, FromMinute: 540, ToMinute: 1020, Helpers: 1}}
	return garage.Sessions(patterns, nil, galleryDay, galleryDay.AddDays(56), time.UTC)
}

func jobWhen(b ui.Page, sessions []garage.Session) templ.Component {
	job := garagetest.JobSheet().Job
	if sessions != nil {
		job.PinnedAt = new(galleryNow.Add(-time.Hour))
	}
	return page.JobWhen(page.JobWhenView{
		Base: titled(b, "When to do it", ui.NavCars), Job: job, Form: page.NewJobWhenForm(job),
		Sessions: page.SessionOptions(sessions, job.PinnedAt, time.UTC),
	})
}

func stageForm(b ui.Page, form page.StageForm, stage garage.Stage) templ.Component {
	return page.StageEdit(page.StageFormView{
		Base: titled(b, "A stage", ui.NavCars), Form: form, Job: garagetest.JobSheet().Job, Stage: stage, Choices: garagetest.JobChoices(),
	})
}

func needForm(b ui.Page, form page.NeedForm, need garage.Need) templ.Component {
	sheet := garagetest.JobSheet()
	var labels []string
	for _, p := range sheet.Parts {
		labels = append(labels, p.Label())
	}
	return page.NeedEdit(page.NeedFormView{
		Base: titled(b, "A part", ui.NavCars), Form: form, Job: sheet.Job, Stage: sheet.Stages[1], Need: need, Parts: labels,
	})
}

func phaseForm(b ui.Page, form page.PhaseForm, phase garage.Phase) templ.Component {
	return page.PhaseEdit(page.PhaseFormView{
		Base: titled(b, "A phase", ui.NavCars), Form: form, CarID: 1, CarName: "Tern estate", Phase: phase, Currency: "EUR",
	})
}

func phaseShow(b ui.Page, jobs []garage.JobRow) templ.Component {
	finish := garage.NewDate(2027, time.June, 1)
	row := garage.PhaseRow{
		Phase:   garagetest.Phase(func(p *garage.Phase) { p.ID, p.CarID, p.FinishOn = 1, 1, &finish }),
		CarName: "Tern estate", Jobs: len(jobs), Done: len(jobs) / 3,
	}
	return page.PhaseShow(page.NewPhaseShow(titled(b, row.Name, ui.NavCars), row, jobs, galleryDay))
}

package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) stageNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	return s.stageForm(w, r, http.StatusOK, page.BlankStageForm(), garage.Stage{JobID: id})
}

// stageForm shows the form of a stage, stored or, with id 0, new.
func (s *Server) stageForm(w http.ResponseWriter, r *http.Request, status int, form page.StageForm, stage garage.Stage) error {
	job, err := s.store.Job(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	choices, err := s.store.JobChoices(r.Context(), job.CarID, job.ID)
	if err != nil {
		return err
	}
	stages, err := s.store.Stages(r.Context(), job.ID)
	if err != nil {
		return err
	}
	title := "Add a stage"
	if stage.ID != 0 {
		title = stage.Name
	}
	v := page.StageFormView{Base: s.base(r, title, ui.NavCars), Form: form, Job: job, Stage: stage, Choices: choices}
	if n := len(stages); n > 0 {
		v.First, v.Last = stages[0].ID == stage.ID, stages[n-1].ID == stage.ID
	}
	return s.render(w, r, status, page.StageEdit(v))
}

func (s *Server) stageCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadStageForm(values, "")
	stage := form.Stage()
	stage.JobID = id
	if len(form.Errors) > 0 {
		return s.stageForm(w, r, http.StatusUnprocessableEntity, form, garage.Stage{JobID: id})
	}
	_, err = s.store.CreateStage(r.Context(), stage)
	if refused(err, &form.Errors) {
		return s.stageForm(w, r, http.StatusUnprocessableEntity, form, garage.Stage{JobID: id})
	}
	if err != nil {
		return err
	}
	to := route.Job(id)
	if values.Get("then") == "another" {
		to = route.StageNew(id)
	}
	return s.redirect(w, r, to, ui.Flash{Text: "Stage “" + stage.Name + "” added."})
}

func (s *Server) stageEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	return s.stageForm(w, r, http.StatusOK, page.NewStageForm(stage), stage)
}

func (s *Server) stageUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadStageForm(values, "")
	stage := form.Stage()
	stage.ID = id
	if len(form.Errors) > 0 {
		return s.stageForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	err = s.store.UpdateStage(r.Context(), stage)
	if errors.Is(err, garage.ErrConflict) {
		return s.stageConflict(w, r, form, id)
	}
	if refused(err, &form.Errors) {
		return s.stageForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(stored.JobID), ui.Flash{Text: "Stage “" + stage.Name + "” saved."})
}

func (s *Server) stageConflict(w http.ResponseWriter, r *http.Request, form page.StageForm, id garage.StageID) error {
	stored, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), stored.JobID)
	if err != nil {
		return err
	}
	choices, err := s.store.JobChoices(r.Context(), job.CarID, job.ID)
	if err != nil {
		return err
	}
	rows := form.Conflict(page.NewStageForm(stored), choices)
	return s.conflict(w, r, stored.Name, stored.Version, route.Job(job.ID), rows)
}

func (s *Server) stageMove(w http.ResponseWriter, r *http.Request) error {
	return s.stageAct(w, r, func(stage garage.Stage) (ui.Flash, error) {
		up := r.PostForm.Get("to") == "up"
		return ui.Flash{Text: "Stage “" + stage.Name + "” moved."}, s.store.MoveStage(r.Context(), stage.ID, up)
	})
}

func (s *Server) stageDelete(w http.ResponseWriter, r *http.Request) error {
	return s.stageAct(w, r, func(stage garage.Stage) (ui.Flash, error) {
		flash := ui.Flash{Text: "Stage “" + stage.Name + "” deleted.", Undo: route.StageRestore(stage.ID)}
		return flash, s.store.DeleteStage(r.Context(), stage.ID)
	})
}

func (s *Server) stageUndone(w http.ResponseWriter, r *http.Request) error {
	return s.stageAct(w, r, func(stage garage.Stage) (ui.Flash, error) {
		err := s.store.UnfinishStage(r.Context(), stage.ID)
		if errors.Is(err, garage.ErrConflict) {
			return ui.Flash{Text: "Stage “" + stage.Name + "” was not done."}, nil
		}
		return ui.Flash{Text: "Stage “" + stage.Name + "” is to be done again; what it used is back in its bins."}, err
	})
}

// stageAct does something to a stage and leads on to its job.
func (s *Server) stageAct(w http.ResponseWriter, r *http.Request, act func(garage.Stage) (ui.Flash, error)) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	if _, err := readForm(w, r); err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	flash, err := act(stage)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(stage.JobID), flash)
}

func (s *Server) stageRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	job, err := s.store.RestoreStage(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(job), ui.Flash{Text: "The stage is back."})
}

func (s *Server) stageDone(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	without := values.Get("without") == "yes"
	form := page.ReadTookForm(id, values)
	took := form.Minutes()
	if len(form.Errors) > 0 {
		return s.jobPage(w, r, http.StatusUnprocessableEntity, stage.JobID, form)
	}
	short, err := s.store.FinishStage(r.Context(), id, without, took, s.now())
	switch {
	case refused(err, &form.Errors) && form.Errors["took"] != "":
		return s.jobPage(w, r, http.StatusUnprocessableEntity, stage.JobID, form)
	case errors.Is(err, garage.ErrConflict): // a second tap, or another phone
		return s.redirect(w, r, route.Job(stage.JobID), ui.Flash{Text: "Stage “" + stage.Name + "” is done already."})
	case err != nil:
		return err
	case len(short) > 0 && !without:
		return s.stageShort(w, r, stage, short, form)
	}
	return s.afterDone(w, r, stage)
}

// stageTook says how long a stage took that is done already.
func (s *Server) stageTook(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadTookForm(id, values)
	took := form.Minutes()
	if len(form.Errors) == 0 {
		err = s.store.TookStage(r.Context(), id, took)
		refused(err, &form.Errors)
	}
	switch {
	case len(form.Errors) > 0:
		return s.jobPage(w, r, http.StatusUnprocessableEntity, stage.JobID, form)
	case err != nil:
		return err
	}
	return s.redirect(w, r, route.Job(stage.JobID), ui.Flash{Text: page.TookText(stage, took)})
}

func (s *Server) stageShort(w http.ResponseWriter, r *http.Request, stage garage.Stage, short []garage.Short, took page.TookForm) error {
	job, err := s.store.Job(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	v := page.NewStageShort(s.base(r, "Is “"+stage.Name+"” done?", ui.NavCars), job, stage, short, took)
	return s.render(w, r, http.StatusUnprocessableEntity, page.StageShort(v))
}

// afterDone leads on to the job, or when a harvest is through and parts are still noted on the donor, to where they went.
func (s *Server) afterDone(w http.ResponseWriter, r *http.Request, stage garage.Stage) error {
	sheet, err := s.store.JobSheet(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: page.StageDoneText(stage), Undo: route.StageUndone(stage.ID)}
	to := route.Job(stage.JobID)
	if page.HarvestDone(sheet) {
		to = route.JobTakeOff(stage.JobID)
	}
	return s.redirect(w, r, to, flash)
}

package server

import (
	"context"
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) needNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	return s.needForm(w, r, http.StatusOK, page.BlankNeedForm(), garage.Need{StageID: id})
}

// needForm shows the form of a need, stored or, with id 0, new.
func (s *Server) needForm(w http.ResponseWriter, r *http.Request, status int, form page.NeedForm, need garage.Need) error {
	stage, err := s.store.Stage(r.Context(), need.StageID)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	labels, err := s.store.PartLabels(r.Context(), labelsOffered)
	if err != nil {
		return err
	}
	title := "Add a part"
	if need.ID != 0 {
		title = "Change a part"
	}
	v := page.NeedFormView{Base: s.base(r, title, ui.NavCars), Form: form, Job: job, Stage: stage, Need: need, Parts: labels}
	return s.render(w, r, status, page.NeedEdit(v))
}

func (s *Server) needCreate(w http.ResponseWriter, r *http.Request) error {
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
	form := page.ReadNeedForm(values)
	need := form.Need()
	need.StageID = id
	if len(form.Errors) > 0 {
		return s.needForm(w, r, http.StatusUnprocessableEntity, form, garage.Need{StageID: id})
	}
	added, err := s.store.CreateNeed(r.Context(), need, form.Pick())
	if refused(err, &form.Errors) {
		return s.needForm(w, r, http.StatusUnprocessableEntity, form, garage.Need{StageID: id})
	}
	if err != nil {
		return err
	}
	to := route.Job(stage.JobID)
	if values.Get("then") == "another" {
		to = route.NeedNew(id)
	}
	before, err := s.lastedBefore(r.Context(), added)
	if err != nil {
		return err
	}
	return s.redirect(w, r, to, ui.Flash{Text: "Part added to “" + stage.Name + "”." + before})
}

// lastedBefore is how long pieces of what a need asks for lasted before, where one gave out.
func (s *Server) lastedBefore(ctx context.Context, id garage.NeedID) (string, error) {
	need, err := s.store.Need(ctx, id)
	if err != nil {
		return "", err
	}
	part, err := s.store.Part(ctx, need.PartID)
	if err != nil {
		return "", err
	}
	rows, err := s.store.FittedAlike(ctx, part.ID)
	if err != nil || len(rows) == 0 {
		return "", err
	}
	settings, err := s.store.Settings(ctx)
	return page.LastedFlash(part, rows, settings, s.today(settings)), err
}

func (s *Server) needEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return err
	}
	need, form, err := s.storedNeedForm(r, id)
	if err != nil {
		return err
	}
	return s.needForm(w, r, http.StatusOK, form, need)
}

// storedNeedForm is the form of a need as it is stored.
func (s *Server) storedNeedForm(r *http.Request, id garage.NeedID) (garage.Need, page.NeedForm, error) {
	need, err := s.store.Need(r.Context(), id)
	if err != nil {
		return need, page.NeedForm{}, err
	}
	part, err := s.store.Part(r.Context(), need.PartID)
	if errors.Is(err, garage.ErrNotFound) { // deleted meanwhile: another has to be named
		part, err = garage.Part{}, nil
	}
	return need, page.NewNeedForm(need, part), err
}

func (s *Server) needUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Need(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadNeedForm(values)
	need := form.Need()
	need.ID = id
	if len(form.Errors) > 0 {
		return s.needForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	err = s.store.UpdateNeed(r.Context(), need, form.Pick())
	if errors.Is(err, garage.ErrConflict) {
		return s.needConflict(w, r, form, id)
	}
	if refused(err, &form.Errors) {
		return s.needForm(w, r, http.StatusUnprocessableEntity, form, stored)
	}
	if err != nil {
		return err
	}
	return s.needRedirect(w, r, stored.StageID, ui.Flash{Text: "Part saved."})
}

func (s *Server) needConflict(w http.ResponseWriter, r *http.Request, form page.NeedForm, id garage.NeedID) error {
	need, stored, err := s.storedNeedForm(r, id)
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), need.StageID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Part, need.Version, route.Job(stage.JobID), form.Conflict(stored))
}

func (s *Server) needDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return err
	}
	need, err := s.store.Need(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeleteNeed(r.Context(), id); err != nil {
		return err
	}
	return s.needRedirect(w, r, need.StageID, ui.Flash{Text: "Part not needed any more.", Undo: route.NeedRestore(id)})
}

func (s *Server) needRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreNeed(r.Context(), id); err != nil {
		return err
	}
	need, err := s.store.Need(r.Context(), id)
	if err != nil {
		return err
	}
	return s.needRedirect(w, r, need.StageID, ui.Flash{Text: "The part is needed again."})
}

// needRedirect leads on to the job of a stage.
func (s *Server) needRedirect(w http.ResponseWriter, r *http.Request, id garage.StageID, flash ui.Flash) error {
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(stage.JobID), flash)
}

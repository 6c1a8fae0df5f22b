package server

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) cardEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	return s.cardEditPage(w, r, http.StatusOK, id, page.PasteForm{}, nil)
}

// cardEditPage shows where a card is written, with what was typed and not taken.
func (s *Server) cardEditPage(
	w http.ResponseWriter, r *http.Request, status int, id garage.JobID, paste page.PasteForm, wrong garage.FieldErrors,
) error {
	card, err := s.store.Card(r.Context(), id)
	if err != nil {
		return err
	}
	sources, err := s.store.CardSources(r.Context(), id)
	if err != nil {
		return err
	}
	patterns, err := s.store.CardPatterns(r.Context())
	if err != nil {
		return err
	}
	v := page.NewCardEdit(s.base(r, "Write the card", ui.NavCars), card, sources, patterns, paste)
	v.Errors, v.Name = wrong, r.PostForm.Get("name")
	return s.render(w, r, status, page.CardEdit(v))
}

// cardPaste shows what was read of pasted lines, and keeps the steps once they are confirmed.
func (s *Server) cardPaste(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPasteForm(values)
	stage := form.StageID()
	switch values.Get("keep") {
	case "back":
		form.Read, form.Errors = nil, nil
		return s.cardEditPage(w, r, http.StatusOK, id, form, nil)
	case "yes":
		return s.cardPasteKeep(w, r, id, stage, form)
	}
	if form.Parse(); len(form.Errors) > 0 {
		form.Read = nil
		return s.cardEditPage(w, r, http.StatusUnprocessableEntity, id, form, nil)
	}
	return s.cardPastePage(w, r, http.StatusOK, id, stage, form)
}

func (s *Server) cardPastePage(w http.ResponseWriter, r *http.Request, status int, id garage.JobID, stage garage.StageID, form page.PasteForm) error {
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	of, err := s.store.Stage(r.Context(), stage)
	if err != nil {
		return err
	}
	if of.JobID != id {
		return garage.ErrNotFound
	}
	v := page.CardPasteView{Base: s.base(r, "Is this right?", ui.NavCars), Job: job, Stage: of.Name, Form: form}
	return s.render(w, r, status, page.CardPaste(v))
}

func (s *Server) cardPasteKeep(w http.ResponseWriter, r *http.Request, id garage.JobID, stage garage.StageID, form page.PasteForm) error {
	steps := form.Steps()
	if len(form.Errors) == 0 {
		_, err := s.store.AddSteps(r.Context(), stage, 0, steps)
		if !refused(err, &form.Errors) && err != nil {
			return err
		}
	}
	if len(form.Errors) > 0 {
		return s.cardPastePage(w, r, http.StatusUnprocessableEntity, id, stage, form)
	}
	return s.redirect(w, r, route.CardEdit(id), ui.Flash{Text: strconv.Itoa(len(steps)) + " steps added."})
}

func (s *Server) cardCopy(w http.ResponseWriter, r *http.Request) error {
	return s.cardFill(w, r, func(id garage.JobID, form url.Values) (string, error) {
		from, _ := strconv.ParseInt(form.Get("from"), 10, 64)
		n, err := s.store.CopyCard(r.Context(), garage.JobID(from), id)
		if errors.Is(err, garage.ErrNotFound) {
			err = garage.FieldErrors{"from": "Choose one of the list."}.Err()
		}
		return strconv.Itoa(n) + " steps copied. Check each figure against this car.", err
	})
}

// cardPattern keeps a card as a pattern, or uses one.
func (s *Server) cardPattern(w http.ResponseWriter, r *http.Request) error {
	return s.cardFill(w, r, func(id garage.JobID, form url.Values) (string, error) {
		if use, err := strconv.ParseInt(form.Get("use"), 10, 64); err == nil {
			pattern, err := s.store.UsePattern(r.Context(), garage.CardPatternID(use), id)
			return "Pattern “" + pattern.Name + "” used. Check each figure against this car.", err
		}
		return "Kept as pattern “" + form.Get("name") + "”.", s.store.KeepPattern(r.Context(), id, form.Get("name"))
	})
}

// cardFill does something to a whole card and leads back to where it is written; what is refused is said at its field.
func (s *Server) cardFill(w http.ResponseWriter, r *http.Request, act func(garage.JobID, url.Values) (string, error)) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	said, err := act(id, form)
	var wrong garage.FieldErrors
	if refused(err, &wrong) && wrong[""] == "" {
		return s.cardEditPage(w, r, http.StatusUnprocessableEntity, id, page.PasteForm{}, wrong)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.CardEdit(id), ui.Flash{Text: said})
}

func (s *Server) cardPatternDelete(w http.ResponseWriter, r *http.Request) error {
	return s.cardPatternSet(w, r, true)
}

func (s *Server) cardPatternRestore(w http.ResponseWriter, r *http.Request) error {
	return s.cardPatternSet(w, r, false)
}

// cardPatternSet deletes a pattern or brings it back, and leads to the card that the owner came from.
func (s *Server) cardPatternSet(w http.ResponseWriter, r *http.Request, deleted bool) error {
	id, err := pathID[garage.CardPatternID](r, "id")
	if err != nil {
		return err
	}
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	to := route.Jobs()
	if job, err := strconv.ParseInt(form.Get("job"), 10, 64); err == nil {
		to = route.CardEdit(garage.JobID(job))
	}
	if !deleted {
		if err := s.store.RestoreCardPattern(r.Context(), id); err != nil {
			return err
		}
		return s.redirect(w, r, to, ui.Flash{Text: "The pattern is back."})
	}
	if err := s.store.DeleteCardPattern(r.Context(), id); err != nil {
		return err
	}
	back := []ui.KeyValue{{Name: "job", Value: form.Get("job")}}
	return s.redirect(w, r, to, ui.Flash{Text: "The pattern is deleted.", Undo: route.CardPatternRestore(id), Fields: back})
}

func (s *Server) stageMirror(w http.ResponseWriter, r *http.Request) error {
	return s.stepAct(w, r, func(stage garage.Stage, form url.Values) (ui.Flash, error) {
		side := form.Get("side")
		n, without, err := s.store.MirrorSteps(r.Context(), stage.ID, side)
		return ui.Flash{Text: page.MirrorText(n, side, without), Bad: len(without) > 0}, err
	})
}

// stepAct does something to a stage's steps and leads back to where its card is written.
func (s *Server) stepAct(w http.ResponseWriter, r *http.Request, act func(garage.Stage, url.Values) (ui.Flash, error)) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), id)
	if err != nil {
		return err
	}
	flash, err := act(stage, form)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.CardEdit(stage.JobID), flash)
}

func (s *Server) stepNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	form := page.StepEditForm{Kind: string(garage.DoStep)}
	return s.stepForm(w, r, http.StatusOK, garage.Step{StageID: id}, form, r.URL.Query().Get("after"))
}

// stepForm shows the form of a step that is stored or, with id 0, new.
func (s *Server) stepForm(w http.ResponseWriter, r *http.Request, status int, of garage.Step, form page.StepEditForm, after string) error {
	stage, err := s.store.Stage(r.Context(), of.StageID)
	if err != nil {
		return err
	}
	card, err := s.store.Card(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	parts, err := s.store.Parts(r.Context(), garage.PartFilter{Limit: 1000})
	if err != nil {
		return err
	}
	v := page.StepEditView{
		Base: s.base(r, titled("Add a step", of.ID, "Change a step"), ui.NavCars), Card: card, Stage: stage, ID: of.ID, After: after, Form: form, Parts: parts,
	}
	return s.render(w, r, status, page.StepEdit(v))
}

func (s *Server) stepCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StageID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form, step, job, err := s.stepTyped(r, id, values)
	if err != nil {
		return err
	}
	after, _ := strconv.ParseInt(values.Get("after"), 10, 64)
	var ids []garage.StepID
	if len(form.Errors) == 0 {
		ids, err = s.store.AddSteps(r.Context(), id, garage.StepID(after), []garage.Step{step})
		if !refused(err, &form.Errors) && err != nil {
			return err
		}
	}
	if len(form.Errors) > 0 {
		return s.stepForm(w, r, http.StatusUnprocessableEntity, garage.Step{StageID: id}, form, values.Get("after"))
	}
	to := route.CardEdit(job)
	if values.Get("then") == "another" {
		to = route.StepNew(id, ids[0])
	}
	return s.redirect(w, r, to, ui.Flash{Text: "Step added.", Undo: route.StepDelete(ids[0])})
}

// stepTyped reads the form of a step in a stage.
func (s *Server) stepTyped(r *http.Request, stage garage.StageID, values url.Values) (page.StepEditForm, garage.Step, garage.JobID, error) {
	form := page.ReadStepEditForm(values)
	of, err := s.store.Stage(r.Context(), stage)
	if err != nil {
		return form, garage.Step{}, 0, err
	}
	card, err := s.store.Card(r.Context(), of.JobID)
	if err != nil {
		return form, garage.Step{}, 0, err
	}
	return form, form.Step(card), of.JobID, nil
}

func (s *Server) stepEdit(w http.ResponseWriter, r *http.Request) error {
	step, err := s.pathStep(r)
	if err != nil {
		return err
	}
	return s.stepForm(w, r, http.StatusOK, step, page.NewStepEditForm(step), "")
}

func (s *Server) pathStep(r *http.Request) (garage.Step, error) {
	id, err := pathID[garage.StepID](r, "id")
	if err != nil {
		return garage.Step{}, err
	}
	return s.store.Step(r.Context(), id)
}

func (s *Server) stepUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.pathStep(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form, step, job, err := s.stepTyped(r, stored.StageID, values)
	if err != nil {
		return err
	}
	step.ID = stored.ID
	if len(form.Errors) == 0 {
		err = s.store.UpdateStep(r.Context(), step)
		if errors.Is(err, garage.ErrConflict) {
			return s.conflict(w, r, "The step", stored.Version, route.CardEdit(job), form.Conflict(page.NewStepEditForm(stored)))
		}
		if !refused(err, &form.Errors) && err != nil {
			return err
		}
	}
	if len(form.Errors) > 0 {
		return s.stepForm(w, r, http.StatusUnprocessableEntity, stored, form, "")
	}
	return s.redirect(w, r, route.CardEdit(job), ui.Flash{Text: "Step saved."})
}

func (s *Server) stepMove(w http.ResponseWriter, r *http.Request) error {
	step, err := s.pathStep(r)
	if err != nil {
		return err
	}
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	place := step.Position
	switch to := form.Get("to"); to {
	case "up":
		place--
	case "down":
		place++
	default:
		if place, err = strconv.Atoi(to); err != nil || place < 1 {
			return statusError(http.StatusBadRequest)
		}
	}
	if err := s.store.MoveStep(r.Context(), step.ID, place); err != nil {
		return err
	}
	return s.toStep(w, r, step, ui.Flash{Text: "Step moved."})
}

// toStep leads back to a step where its card is written.
func (s *Server) toStep(w http.ResponseWriter, r *http.Request, step garage.Step, flash ui.Flash) error {
	job, err := s.store.JobOfStep(r.Context(), step.ID)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.CardEdit(job), flash)
}

func (s *Server) stepDelete(w http.ResponseWriter, r *http.Request) error {
	step, err := s.pathStep(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteStep(r.Context(), step.ID); err != nil {
		return err
	}
	return s.toStep(w, r, step, ui.Flash{Text: "The step is off the card.", Undo: route.StepRestore(step.ID)})
}

func (s *Server) stepRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.StepID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreStep(r.Context(), id); err != nil {
		return err
	}
	return s.toStep(w, r, garage.Step{ID: id}, ui.Flash{Text: "The step is back."})
}

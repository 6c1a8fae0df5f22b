package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) phaseShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhaseID](r, "id")
	if err != nil {
		return err
	}
	phase, err := s.store.Phase(r.Context(), id)
	if err != nil {
		return err
	}
	jobs, err := s.store.Jobs(r.Context(), garage.JobFilter{PhaseID: id})
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewPhaseShow(s.base(r, phase.Name, ui.NavCars), phase, jobs, s.today(settings))
	return s.render(w, r, http.StatusOK, page.PhaseShow(v))
}

func (s *Server) phaseNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.phaseForm(w, r, http.StatusOK, page.PhaseForm{}, garage.Phase{CarID: id})
}

// phaseForm shows the form of a phase, stored or, with id 0, new.
func (s *Server) phaseForm(w http.ResponseWriter, r *http.Request, status int, form page.PhaseForm, phase garage.Phase) error {
	car, err := s.store.Car(r.Context(), phase.CarID)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	title := "Add a phase"
	if phase.ID != 0 {
		title = phase.Name
	}
	v := page.PhaseFormView{
		Base: s.base(r, title, ui.NavCars), Form: form, CarID: car.ID, CarName: car.Name, Phase: phase,
		Currency: phaseCurrency(phase, settings),
	}
	return s.render(w, r, status, page.PhaseEdit(v))
}

// phaseCurrency is that of the budget a phase has already, or of new amounts.
func phaseCurrency(phase garage.Phase, settings garage.Settings) string {
	if phase.Budget > 0 {
		return phase.Currency
	}
	return settings.Currency
}

func (s *Server) phaseCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadPhaseForm(values)
	phase := form.Phase(settings.Currency)
	phase.CarID = id
	if len(form.Errors) > 0 {
		return s.phaseForm(w, r, http.StatusUnprocessableEntity, form, garage.Phase{CarID: id})
	}
	created, err := s.store.CreatePhase(r.Context(), phase)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Phase(created), ui.Flash{Text: "Phase “" + phase.Name + "” added."})
}

func (s *Server) phaseEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhaseID](r, "id")
	if err != nil {
		return err
	}
	phase, err := s.store.Phase(r.Context(), id)
	if err != nil {
		return err
	}
	return s.phaseForm(w, r, http.StatusOK, page.NewPhaseForm(phase.Phase), phase.Phase)
}

func (s *Server) phaseUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhaseID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Phase(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadPhaseForm(values)
	phase := form.Phase(phaseCurrency(stored.Phase, settings))
	phase.ID = id
	if len(form.Errors) > 0 {
		return s.phaseForm(w, r, http.StatusUnprocessableEntity, form, stored.Phase)
	}
	err = s.store.UpdatePhase(r.Context(), phase)
	if errors.Is(err, garage.ErrConflict) {
		if stored, err = s.store.Phase(r.Context(), id); err != nil {
			return err
		}
		return s.conflict(w, r, stored.Name, stored.Version, route.Phase(id), form.Conflict(page.NewPhaseForm(stored.Phase)))
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Phase(id), ui.Flash{Text: "Phase saved."})
}

func (s *Server) phaseDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhaseID](r, "id")
	if err != nil {
		return err
	}
	phase, err := s.store.Phase(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeletePhase(r.Context(), id); err != nil {
		return err
	}
	flash := ui.Flash{Text: "Phase “" + phase.Name + "” deleted.", Undo: route.PhaseRestore(id)}
	return s.redirect(w, r, route.Car(phase.CarID), flash)
}

func (s *Server) phaseRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PhaseID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestorePhase(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Phase(id), ui.Flash{Text: "The phase is back."})
}

package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) fluidSpecOf(r *http.Request) (garage.FluidSpec, error) {
	id, err := pathID[garage.FluidSpecID](r, "id")
	if err != nil {
		return garage.FluidSpec{}, err
	}
	return s.store.FluidSpec(r.Context(), id)
}

func (s *Server) fluidSpecNew(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	return s.fluidSpecForm(w, r, http.StatusOK, garage.FluidSpec{CarID: car.ID}, page.BlankFluidSpecForm())
}

// fluidSpecForm shows the form of one that is stored or, with id 0, new.
func (s *Server) fluidSpecForm(w http.ResponseWriter, r *http.Request, status int, stored garage.FluidSpec, form page.FluidSpecForm) error {
	car, err := s.store.Car(r.Context(), stored.CarID)
	if err != nil {
		return err
	}
	title := "Add a fluid"
	if stored.ID != 0 {
		title = stored.Name
	}
	v := page.FluidSpecFormView{Base: s.base(r, title, ui.NavCars), ID: stored.ID, Car: car, Form: form}
	return s.render(w, r, status, page.FluidSpecEdit(v))
}

func (s *Server) fluidSpecCreate(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadFluidSpecForm(values)
	v, err := s.fluidSpecTyped(r, &form)
	if err != nil {
		return err
	}
	v.CarID = car.ID
	blank := garage.FluidSpec{CarID: car.ID}
	if len(form.Errors) > 0 {
		return s.fluidSpecForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	_, err = s.store.CreateFluidSpec(r.Context(), v)
	if refused(err, &form.Errors) {
		return s.fluidSpecForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.FluidSpecs(car.ID), ui.Flash{Text: v.Name + " added."})
}

func (s *Server) fluidSpecEdit(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.fluidSpecOf(r)
	if err != nil {
		return err
	}
	return s.fluidSpecForm(w, r, http.StatusOK, stored, page.NewFluidSpecForm(stored))
}

func (s *Server) fluidSpecUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.fluidSpecOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadFluidSpecForm(values)
	v, err := s.fluidSpecTyped(r, &form)
	if err != nil {
		return err
	}
	v.ID, v.CarID = stored.ID, stored.CarID
	if len(form.Errors) > 0 {
		return s.fluidSpecForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	err = s.store.UpdateFluidSpec(r.Context(), v)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, stored.Name, stored.Version, route.FluidSpecs(stored.CarID), form.Conflict(page.NewFluidSpecForm(stored)))
	}
	if refused(err, &form.Errors) {
		return s.fluidSpecForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.FluidSpecs(v.CarID), ui.Flash{Text: v.Name + " saved."})
}

func (s *Server) fluidSpecDelete(w http.ResponseWriter, r *http.Request) error {
	v, err := s.fluidSpecOf(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteFluidSpec(r.Context(), v.ID); err != nil {
		return err
	}
	flash := ui.Flash{Text: v.Name + " deleted.", Undo: route.FluidSpecRestore(v.ID)}
	return s.redirect(w, r, route.FluidSpecs(v.CarID), flash)
}

func (s *Server) fluidSpecRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.FluidSpecID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreFluidSpec(r.Context(), id); err != nil {
		return err
	}
	v, err := s.store.FluidSpec(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.FluidSpecs(v.CarID), ui.Flash{Text: v.Name + " is back."})
}

func (s *Server) fluidSpecTyped(_ *http.Request, form *page.FluidSpecForm) (garage.FluidSpec, error) {
	return form.FluidSpec(), nil
}

// fluidSpecIndex lists the fluids of a car, with the opened bottles that could serve.
func (s *Server) fluidSpecIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	specs, err := s.store.FluidSpecs(r.Context(), car.ID)
	if err != nil {
		return err
	}
	bottles, err := s.store.Bottles(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewFluids(s.base(r, "Fluids of "+car.Name, ui.NavCars), car, specs, bottles, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Fluids(v))
}

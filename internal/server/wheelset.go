package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) wheelSetOf(r *http.Request) (garage.WheelSet, error) {
	id, err := pathID[garage.WheelSetID](r, "id")
	if err != nil {
		return garage.WheelSet{}, err
	}
	return s.store.WheelSet(r.Context(), id)
}

func (s *Server) wheelSetNew(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	return s.wheelSetForm(w, r, http.StatusOK, garage.WheelSet{CarID: car.ID}, page.BlankWheelSetForm())
}

// wheelSetForm shows the form of one that is stored or, with id 0, new.
func (s *Server) wheelSetForm(w http.ResponseWriter, r *http.Request, status int, stored garage.WheelSet, form page.WheelSetForm) error {
	car, err := s.store.Car(r.Context(), stored.CarID)
	if err != nil {
		return err
	}
	title := "Add a wheel set"
	if stored.ID != 0 {
		title = stored.Name
	}
	v := page.WheelSetFormView{Base: s.base(r, title, ui.NavCars), ID: stored.ID, Car: car, Form: form}
	return s.render(w, r, status, page.WheelSetEdit(v))
}

func (s *Server) wheelSetCreate(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadWheelSetForm(values)
	v, err := s.wheelSetTyped(r, &form)
	if err != nil {
		return err
	}
	v.CarID = car.ID
	blank := garage.WheelSet{CarID: car.ID}
	if len(form.Errors) > 0 {
		return s.wheelSetForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	_, err = s.store.CreateWheelSet(r.Context(), v)
	if refused(err, &form.Errors) {
		return s.wheelSetForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(car.ID), ui.Flash{Text: v.Name + " added."})
}

func (s *Server) wheelSetEdit(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.wheelSetOf(r)
	if err != nil {
		return err
	}
	return s.wheelSetForm(w, r, http.StatusOK, stored, page.NewWheelSetForm(stored))
}

func (s *Server) wheelSetUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.wheelSetOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadWheelSetForm(values)
	v, err := s.wheelSetTyped(r, &form)
	if err != nil {
		return err
	}
	v.ID, v.CarID = stored.ID, stored.CarID
	if len(form.Errors) > 0 {
		return s.wheelSetForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	err = s.store.UpdateWheelSet(r.Context(), v)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, stored.Name, stored.Version, route.Wheels(stored.CarID), form.Conflict(page.NewWheelSetForm(stored)))
	}
	if refused(err, &form.Errors) {
		return s.wheelSetForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(v.CarID), ui.Flash{Text: v.Name + " saved."})
}

func (s *Server) wheelSetDelete(w http.ResponseWriter, r *http.Request) error {
	v, err := s.wheelSetOf(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteWheelSet(r.Context(), v.ID); err != nil {
		return err
	}
	flash := ui.Flash{Text: v.Name + " deleted.", Undo: route.WheelSetRestore(v.ID)}
	return s.redirect(w, r, route.Wheels(v.CarID), flash)
}

func (s *Server) wheelSetRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.WheelSetID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreWheelSet(r.Context(), id); err != nil {
		return err
	}
	v, err := s.store.WheelSet(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(v.CarID), ui.Flash{Text: v.Name + " is back."})
}

// wheelSetTyped reads the form, and refuses tyres of weeks that are yet to come.
func (s *Server) wheelSetTyped(r *http.Request, form *page.WheelSetForm) (garage.WheelSet, error) {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return garage.WheelSet{}, err
	}
	return form.WheelSet(s.today(settings)), nil
}

// wheelIndex shows what a car requires of its wheels, and the sets that there are.
func (s *Server) wheelIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	required, err := s.store.RequiredWheels(r.Context(), car.ID)
	if err != nil {
		return err
	}
	sets, err := s.store.WheelSets(r.Context(), car.ID)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewWheels(s.base(r, "Wheels of "+car.Name, ui.NavCars), car, required, sets, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Wheels(v))
}

package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) requiredWheelOf(r *http.Request) (garage.RequiredWheel, error) {
	id, err := pathID[garage.RequiredWheelID](r, "id")
	if err != nil {
		return garage.RequiredWheel{}, err
	}
	return s.store.RequiredWheel(r.Context(), id)
}

func (s *Server) requiredWheelNew(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	return s.requiredWheelForm(w, r, http.StatusOK, garage.RequiredWheel{CarID: car.ID}, page.BlankRequiredWheelForm())
}

// requiredWheelForm shows the form of one that is stored or, with id 0, new.
func (s *Server) requiredWheelForm(w http.ResponseWriter, r *http.Request, status int, stored garage.RequiredWheel, form page.RequiredWheelForm) error {
	car, err := s.store.Car(r.Context(), stored.CarID)
	if err != nil {
		return err
	}
	title := "What the car requires"
	if stored.ID != 0 {
		title = stored.Size
	}
	v := page.RequiredWheelFormView{Base: s.base(r, title, ui.NavCars), ID: stored.ID, Car: car, Form: form}
	return s.render(w, r, status, page.RequiredWheelEdit(v))
}

func (s *Server) requiredWheelCreate(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadRequiredWheelForm(values)
	v, err := s.requiredWheelTyped(r, &form)
	if err != nil {
		return err
	}
	v.CarID = car.ID
	blank := garage.RequiredWheel{CarID: car.ID}
	if len(form.Errors) > 0 {
		return s.requiredWheelForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	_, err = s.store.CreateRequiredWheel(r.Context(), v)
	if refused(err, &form.Errors) {
		return s.requiredWheelForm(w, r, http.StatusUnprocessableEntity, blank, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(car.ID), ui.Flash{Text: v.Size + " added."})
}

func (s *Server) requiredWheelEdit(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.requiredWheelOf(r)
	if err != nil {
		return err
	}
	return s.requiredWheelForm(w, r, http.StatusOK, stored, page.NewRequiredWheelForm(stored))
}

func (s *Server) requiredWheelUpdate(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.requiredWheelOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadRequiredWheelForm(values)
	v, err := s.requiredWheelTyped(r, &form)
	if err != nil {
		return err
	}
	v.ID, v.CarID = stored.ID, stored.CarID
	if len(form.Errors) > 0 {
		return s.requiredWheelForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	err = s.store.UpdateRequiredWheel(r.Context(), v)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, stored.Size, stored.Version, route.Wheels(stored.CarID), form.Conflict(page.NewRequiredWheelForm(stored)))
	}
	if refused(err, &form.Errors) {
		return s.requiredWheelForm(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(v.CarID), ui.Flash{Text: v.Size + " saved."})
}

func (s *Server) requiredWheelDelete(w http.ResponseWriter, r *http.Request) error {
	v, err := s.requiredWheelOf(r)
	if err != nil {
		return err
	}
	if err := s.store.DeleteRequiredWheel(r.Context(), v.ID); err != nil {
		return err
	}
	flash := ui.Flash{Text: v.Size + " deleted.", Undo: route.RequiredWheelRestore(v.ID)}
	return s.redirect(w, r, route.Wheels(v.CarID), flash)
}

func (s *Server) requiredWheelRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.RequiredWheelID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreRequiredWheel(r.Context(), id); err != nil {
		return err
	}
	v, err := s.store.RequiredWheel(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wheels(v.CarID), ui.Flash{Text: v.Size + " is back."})
}

func (s *Server) requiredWheelTyped(_ *http.Request, form *page.RequiredWheelForm) (garage.RequiredWheel, error) {
	return form.RequiredWheel(), nil
}

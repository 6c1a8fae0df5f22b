package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) closingNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.closingForm(w, r, http.StatusOK, page.ClosingForm{CarID: id})
}

func (s *Server) closingForm(w http.ResponseWriter, r *http.Request, status int, form page.ClosingForm) error {
	car, err := s.store.Car(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	v := page.ClosingView{Base: s.base(r, "Closing work of "+car.Name, ui.NavCars), CarID: car.ID, CarName: car.Name, Form: form}
	return s.render(w, r, status, page.ClosingEdit(v))
}

func (s *Server) closingCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadClosingForm(values)
	form.CarID = id
	closing := form.ClosingWork()
	if len(form.Errors) > 0 {
		return s.closingForm(w, r, http.StatusUnprocessableEntity, form)
	}
	_, err = s.store.CreateClosingWork(r.Context(), closing)
	if refused(err, &form.Errors) {
		return s.closingForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: closing.Name + " added."})
}

func (s *Server) closingEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ClosingID](r, "id")
	if err != nil {
		return err
	}
	closing, err := s.store.ClosingWork(r.Context(), id)
	if err != nil {
		return err
	}
	return s.closingForm(w, r, http.StatusOK, page.NewClosingForm(closing))
}

func (s *Server) closingUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ClosingID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.ClosingWork(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadClosingForm(values)
	form.ID, form.CarID = id, stored.CarID
	closing := form.ClosingWork()
	if len(form.Errors) > 0 {
		return s.closingForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateClosingWork(r.Context(), closing)
	if errors.Is(err, garage.ErrConflict) {
		return s.conflict(w, r, stored.Name, stored.Version, route.Car(stored.CarID), form.Conflict(page.NewClosingForm(stored)))
	}
	if refused(err, &form.Errors) {
		return s.closingForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(stored.CarID), ui.Flash{Text: closing.Name + " saved."})
}

func (s *Server) closingDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ClosingID](r, "id")
	if err != nil {
		return err
	}
	closing, err := s.store.ClosingWork(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.NewClosingForm(closing)
	err = s.store.DeleteClosingWork(r.Context(), id)
	if refused(err, &form.Errors) {
		return s.closingForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(closing.CarID), ui.Flash{Text: closing.Name + " deleted.", Undo: route.ClosingRestore(id)})
}

func (s *Server) closingRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ClosingID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreClosingWork(r.Context(), id); err != nil {
		return err
	}
	closing, err := s.store.ClosingWork(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(closing.CarID), ui.Flash{Text: closing.Name + " is back."})
}

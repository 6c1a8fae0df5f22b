package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) accessNew(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	return s.accessForm(w, r, http.StatusOK, page.AccessForm{CarID: id})
}

func (s *Server) accessForm(w http.ResponseWriter, r *http.Request, status int, form page.AccessForm) error {
	car, err := s.store.Car(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	all, err := s.store.Accesses(r.Context(), form.CarID)
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.AccessEdit(page.NewAccessView(s.base(r, "Access of "+car.Name, ui.NavCars), car, form, all)))
}

func (s *Server) accessCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadAccessForm(values)
	form.CarID = id
	access := form.Access()
	if len(form.Errors) > 0 {
		return s.accessForm(w, r, http.StatusUnprocessableEntity, form)
	}
	_, err = s.store.CreateAccess(r.Context(), access)
	if refused(err, &form.Errors) {
		return s.accessForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(id), ui.Flash{Text: access.Name + " added."})
}

func (s *Server) accessEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.AccessID](r, "id")
	if err != nil {
		return err
	}
	access, err := s.store.Access(r.Context(), id)
	if err != nil {
		return err
	}
	return s.accessForm(w, r, http.StatusOK, page.NewAccessForm(access))
}

func (s *Server) accessUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.AccessID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Access(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadAccessForm(values)
	form.ID, form.CarID = id, stored.CarID
	access := form.Access()
	if len(form.Errors) > 0 {
		return s.accessForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateAccess(r.Context(), access)
	if errors.Is(err, garage.ErrConflict) {
		return s.accessConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.accessForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(stored.CarID), ui.Flash{Text: access.Name + " saved."})
}

func (s *Server) accessConflict(w http.ResponseWriter, r *http.Request, form page.AccessForm) error {
	stored, err := s.store.Access(r.Context(), form.ID)
	if err != nil {
		return err
	}
	all, err := s.store.Accesses(r.Context(), stored.CarID)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.Car(stored.CarID), form.Conflict(page.NewAccessForm(stored), all))
}

// accessOpen says that an access is open now, or closed, with all that goes with it; undone, it says so of those that
// changed.
func (s *Server) accessOpen(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.AccessID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	access, err := s.store.Access(r.Context(), id)
	if err != nil {
		return err
	}
	open := values.Get("open") != ""
	changed, err := s.store.SetAccessOpen(r.Context(), open, page.ReadAlso(id, values)...)
	if err != nil {
		return err
	}
	flash := ui.Flash{Text: page.OpenedText(changed, open)}
	if len(changed) > 0 {
		flash.Undo, flash.Fields = route.AccessOpen(changed[0].ID), page.OpenedUndo(changed, open)
	}
	return s.redirect(w, r, route.Car(access.CarID), flash)
}

func (s *Server) accessDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.AccessID](r, "id")
	if err != nil {
		return err
	}
	access, err := s.store.Access(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.NewAccessForm(access)
	err = s.store.DeleteAccess(r.Context(), id)
	if refused(err, &form.Errors) {
		return s.accessForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(access.CarID), ui.Flash{Text: access.Name + " deleted.", Undo: route.AccessRestore(id)})
}

func (s *Server) accessRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.AccessID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreAccess(r.Context(), id); err != nil {
		return err
	}
	access, err := s.store.Access(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Car(access.CarID), ui.Flash{Text: access.Name + " is back."})
}

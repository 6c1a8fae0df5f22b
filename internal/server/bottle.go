package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) bottleIndex(w http.ResponseWriter, r *http.Request) error {
	bottles, err := s.store.Bottles(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewBottles(s.base(r, "Opened bottles", ui.NavMore), bottles, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Bottles(v))
}

func (s *Server) bottleNew(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.bottleForm(w, r, http.StatusOK, 0, page.BlankBottleForm(s.today(settings)))
}

func (s *Server) bottleForm(w http.ResponseWriter, r *http.Request, status int, id garage.BottleID, form page.BottleForm) error {
	title := "Add an opened bottle"
	if id != 0 {
		title = "Change an opened bottle"
	}
	v := page.BottleFormView{Base: s.base(r, title, ui.NavMore), ID: id, Form: form}
	return s.render(w, r, status, page.BottleEdit(v))
}

func (s *Server) bottleCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadBottleForm(values)
	bottle := form.Bottle(s.today(settings))
	if len(form.Errors) > 0 {
		return s.bottleForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	_, err = s.store.CreateBottle(r.Context(), bottle)
	if refused(err, &form.Errors) {
		return s.bottleForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bottles(), ui.Flash{Text: bottle.Name + " is in."})
}

func (s *Server) bottleEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BottleID](r, "id")
	if err != nil {
		return err
	}
	bottle, err := s.store.Bottle(r.Context(), id)
	if err != nil {
		return err
	}
	return s.bottleForm(w, r, http.StatusOK, id, page.NewBottleForm(bottle))
}

func (s *Server) bottleUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BottleID](r, "id")
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
	form := page.ReadBottleForm(values)
	bottle := form.Bottle(s.today(settings))
	bottle.ID = id
	if len(form.Errors) > 0 {
		return s.bottleForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	err = s.store.UpdateBottle(r.Context(), bottle)
	if errors.Is(err, garage.ErrConflict) {
		return s.bottleConflict(w, r, id, form)
	}
	if refused(err, &form.Errors) {
		return s.bottleForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Bottles(), ui.Flash{Text: bottle.Name + " saved."})
}

func (s *Server) bottleConflict(w http.ResponseWriter, r *http.Request, id garage.BottleID, form page.BottleForm) error {
	stored, err := s.store.Bottle(r.Context(), id)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.BottleEdit(id), form.Conflict(page.NewBottleForm(stored)))
}

func (s *Server) bottleDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BottleID](r, "id")
	if err != nil {
		return err
	}
	bottle, err := s.store.Bottle(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeleteBottle(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Bottles(), ui.Flash{Text: bottle.Name + " deleted.", Undo: route.BottleRestore(id)})
}

func (s *Server) bottleRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.BottleID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreBottle(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Bottles(), ui.Flash{Text: "It is back."})
}

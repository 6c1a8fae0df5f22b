package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) wrenchIndex(w http.ResponseWriter, r *http.Request) error {
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewWrenches(s.base(r, "Wrenches", ui.NavMore), wrenches, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Wrenches(v))
}

func (s *Server) wrenchNew(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.wrenchForm(w, r, http.StatusOK, 0, page.WrenchForm{Unit: settings.TorqueUnit, Clicks: "0"})
}

func (s *Server) wrenchForm(w http.ResponseWriter, r *http.Request, status int, id garage.WrenchID, form page.WrenchForm) error {
	title := "New wrench"
	if id != 0 {
		title = "Change a wrench"
	}
	v := page.WrenchView{Base: s.base(r, title, ui.NavMore), ID: id, Form: form}
	return s.render(w, r, status, page.Wrench(v))
}

func (s *Server) wrenchCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadWrenchForm(values)
	wrench := form.Wrench()
	if len(form.Errors) > 0 {
		return s.wrenchForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	_, err = s.store.CreateWrench(r.Context(), wrench)
	if refused(err, &form.Errors) {
		return s.wrenchForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wrenches(), ui.Flash{Text: wrench.Name + " is in."})
}

func (s *Server) wrenchEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.WrenchID](r, "id")
	if err != nil {
		return err
	}
	wrench, err := s.store.Wrench(r.Context(), id)
	if err != nil {
		return err
	}
	return s.wrenchForm(w, r, http.StatusOK, id, page.NewWrenchForm(wrench))
}

func (s *Server) wrenchUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.WrenchID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadWrenchForm(values)
	wrench := form.Wrench()
	wrench.ID = id
	if len(form.Errors) > 0 {
		return s.wrenchForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	err = s.store.UpdateWrench(r.Context(), wrench)
	if errors.Is(err, garage.ErrConflict) {
		return s.wrenchConflict(w, r, id, form)
	}
	if refused(err, &form.Errors) {
		return s.wrenchForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Wrenches(), ui.Flash{Text: wrench.Name + " saved."})
}

func (s *Server) wrenchConflict(w http.ResponseWriter, r *http.Request, id garage.WrenchID, form page.WrenchForm) error {
	stored, err := s.store.Wrench(r.Context(), id)
	if err != nil {
		return err
	}
	return s.conflict(w, r, stored.Name, stored.Version, route.WrenchEdit(id), form.Conflict(page.NewWrenchForm(stored)))
}

func (s *Server) wrenchDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.WrenchID](r, "id")
	if err != nil {
		return err
	}
	wrench, err := s.store.Wrench(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.store.DeleteWrench(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Wrenches(), ui.Flash{Text: wrench.Name + " deleted.", Undo: route.WrenchRestore(id)})
}

func (s *Server) wrenchRestore(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.WrenchID](r, "id")
	if err != nil {
		return err
	}
	if err := s.store.RestoreWrench(r.Context(), id); err != nil {
		return err
	}
	return s.redirect(w, r, route.Wrenches(), ui.Flash{Text: "It is back."})
}

package server

import (
	"net/http"
	"net/url"

	"github.com/a-h/templ"

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

func (s *Server) wrenches() *noun[garage.WrenchID, garage.Wrench, page.WrenchForm] {
	return &noun[garage.WrenchID, garage.Wrench, page.WrenchForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Wrench, page.WrenchForm, error) {
			settings, err := s.store.Settings(r.Context())
			return garage.Wrench{}, page.WrenchForm{Unit: settings.TorqueUnit, Clicks: "0"}, err
		},
		typed: func(_ *http.Request, over garage.Wrench, sent url.Values) (garage.Wrench, page.WrenchForm, error) {
			form := page.ReadWrenchForm(sent)
			v := form.Wrench()
			v.ID = over.ID
			return v, form, nil
		},
		form: func(r *http.Request, of garage.Wrench, form page.WrenchForm) (templ.Component, error) {
			title := titled("New wrench", of.ID, "Change a wrench")
			return page.Wrench(page.WrenchView{Base: s.base(r, title, ui.NavMore), ID: of.ID, Form: form}), nil
		},
		filled: page.NewWrenchForm,
		errors: func(f *page.WrenchForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.Wrench, f page.WrenchForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewWrenchForm(stored)), nil
		},
		about: func(v garage.Wrench) entry[garage.WrenchID] {
			return entry[garage.WrenchID]{v.ID, v.Version, v.Name, route.Wrenches()}
		},
		added: " is in.", gone: func(garage.Wrench) string { return route.Wrenches() }, restored: route.WrenchRestore[garage.WrenchID],
		get: s.store.Wrench, create: s.store.CreateWrench, update: s.store.UpdateWrench,
		delete: s.store.DeleteWrench, restore: s.store.RestoreWrench,
	}
}

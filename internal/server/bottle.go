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

func (s *Server) bottles() *noun[garage.BottleID, garage.Bottle, page.BottleForm] {
	return &noun[garage.BottleID, garage.Bottle, page.BottleForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Bottle, page.BottleForm, error) {
			settings, err := s.store.Settings(r.Context())
			return garage.Bottle{}, page.BlankBottleForm(s.today(settings)), err
		},
		typed: func(r *http.Request, over garage.Bottle, sent url.Values) (garage.Bottle, page.BottleForm, error) {
			settings, err := s.store.Settings(r.Context())
			form := page.ReadBottleForm(sent)
			v := form.Bottle(s.today(settings))
			v.ID = over.ID
			return v, form, err
		},
		form: func(r *http.Request, of garage.Bottle, form page.BottleForm) (templ.Component, error) {
			title := titled("Add an opened bottle", of.ID, "Change an opened bottle")
			return page.BottleEdit(page.BottleFormView{Base: s.base(r, title, ui.NavMore), ID: of.ID, Form: form}), nil
		},
		filled: page.NewBottleForm,
		errors: func(f *page.BottleForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.Bottle, f page.BottleForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewBottleForm(stored)), nil
		},
		about: func(v garage.Bottle) entry[garage.BottleID] {
			return entry[garage.BottleID]{v.ID, v.Version, v.Name, route.Bottles()}
		},
		added: " is in.", gone: func(garage.Bottle) string { return route.Bottles() }, restored: route.BottleRestore[garage.BottleID],
		get: s.store.Bottle, create: s.store.CreateBottle, update: s.store.UpdateBottle,
		delete: s.store.DeleteBottle, restore: s.store.RestoreBottle,
	}
}

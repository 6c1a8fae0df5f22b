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

// fitted are pieces that were fitted to cars.
func (s *Server) fitted() *noun[garage.FittedID, garage.Fitted, page.FittedForm] {
	return &noun[garage.FittedID, garage.Fitted, page.FittedForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Fitted, page.FittedForm, error) {
			part, err := s.partOf(r)
			if err != nil {
				return garage.Fitted{}, page.FittedForm{}, err
			}
			settings, err := s.store.Settings(r.Context())
			return garage.Fitted{PartID: part.ID}, page.BlankFittedForm(part, s.today(settings)), err
		},
		typed: func(r *http.Request, over garage.Fitted, sent url.Values) (garage.Fitted, page.FittedForm, error) {
			settings, err := s.store.Settings(r.Context())
			form := page.ReadFittedForm(sent)
			return form.Fitted(over, s.today(settings)), form, err
		},
		form: func(r *http.Request, of garage.Fitted, form page.FittedForm) (templ.Component, error) {
			part, err := s.store.Part(r.Context(), of.PartID)
			if err != nil {
				return nil, err
			}
			cars, err := s.store.Cars(r.Context())
			title := titled("Fitted", of.ID, "What became of it")
			return page.FittedEdit(page.NewFitted(s.base(r, title, ui.NavParts), of, part, form, cars)), err
		},
		filled: page.NewFittedForm,
		errors: func(f *page.FittedForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.Fitted, f page.FittedForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewFittedForm(stored)), nil
		},
		about: func(v garage.Fitted) entry[garage.FittedID] {
			return entry[garage.FittedID]{v.ID, v.Version, "The fitted part", route.Part(v.PartID)}
		},
		added: " is noted.", gone: func(v garage.Fitted) string { return route.Part(v.PartID) }, restored: route.FittedRestore[garage.FittedID],
		get: s.store.Fitted, create: s.store.CreateFitted, update: s.store.UpdateFitted,
		delete: s.store.DeleteFitted, restore: s.store.RestoreFitted,
	}
}

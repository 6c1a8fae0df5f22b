package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) settingsShow(w http.ResponseWriter, r *http.Request) error {
	stored, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.settingsForm(w, r, http.StatusOK, page.NewSettingsForm(stored))
}

func (s *Server) settingsForm(w http.ResponseWriter, r *http.Request, status int, form page.SettingsForm) error {
	took, err := s.store.Took(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.Settings(page.NewSettings(s.base(r, "Settings", ui.NavMore), form, took)))
}

func (s *Server) settingsUpdate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadSettingsForm(values)
	settings := form.Settings()
	if len(form.Errors) > 0 {
		return s.settingsForm(w, r, http.StatusUnprocessableEntity, form)
	}
	err = s.store.UpdateSettings(r.Context(), settings)
	if errors.Is(err, garage.ErrConflict) {
		return s.settingsConflict(w, r, form)
	}
	if refused(err, &form.Errors) {
		return s.settingsForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Settings(), ui.Flash{Text: "Settings saved."})
}

func (s *Server) settingsConflict(w http.ResponseWriter, r *http.Request, form page.SettingsForm) error {
	stored, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.conflict(w, r, "Settings", stored.Version, route.Settings(), form.Conflict(page.NewSettingsForm(stored)))
}

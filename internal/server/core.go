package server

import (
	"net/http"
	"net/url"
	"strconv"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) coreIndex(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.store.Cores(r.Context())
	if err != nil {
		return err
	}
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Cores(page.NewCores(s.base(r, "Cores", ui.NavMore), p, rows)))
}

func (s *Server) cores() *noun[garage.CoreID, garage.Core, page.CoreForm] {
	return &noun[garage.CoreID, garage.Core, page.CoreForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Core, page.CoreForm, error) {
			id, err := pathID[garage.PartID](r, "id")
			if err != nil {
				return garage.Core{}, page.CoreForm{}, err
			}
			part, err := s.store.Part(r.Context(), id)
			if err != nil {
				return garage.Core{}, page.CoreForm{}, err
			}
			settings, err := s.store.Settings(r.Context())
			return garage.Core{PartID: id, Currency: settings.Currency}, page.BlankCoreForm(part), err
		},
		typed: func(_ *http.Request, over garage.Core, sent url.Values) (garage.Core, page.CoreForm, error) {
			form := page.ReadCoreForm(sent)
			return form.Core(over), form, nil
		},
		form: func(r *http.Request, of garage.Core, form page.CoreForm) (templ.Component, error) {
			part, err := s.store.Part(r.Context(), of.PartID)
			if err != nil {
				return nil, err
			}
			p, err := s.planned(r.Context())
			title := titled("Add a core deposit", of.ID, "Change a core deposit")
			return page.CoreEdit(p.NewCoreForm(s.base(r, title, ui.NavMore), of, part, form)), err
		},
		filled: page.NewCoreForm,
		errors: func(f *page.CoreForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.Core, f page.CoreForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewCoreForm(stored)), nil
		},
		about: func(v garage.Core) entry[garage.CoreID] {
			return entry[garage.CoreID]{v.ID, v.Version, "Core deposit", route.Cores()}
		},
		added: " added.", gone: func(garage.Core) string { return route.Cores() }, restored: route.CoreRestore[garage.CoreID],
		get: s.store.Core, create: s.store.CreateCore, update: s.store.UpdateCore,
		delete: s.store.DeleteCore, restore: s.store.RestoreCore,
	}
}

func (s *Server) coreSheet(r *http.Request) (garage.CoreSheet, page.Planned, error) {
	id, err := pathID[garage.CoreID](r, "id")
	if err != nil {
		return garage.CoreSheet{}, page.Planned{}, err
	}
	sheet, err := s.store.CoreSheet(r.Context(), id)
	if err != nil {
		return sheet, page.Planned{}, err
	}
	p, err := s.planned(r.Context())
	return sheet, p, err
}

func (s *Server) coreShow(w http.ResponseWriter, r *http.Request) error {
	sheet, p, err := s.coreSheet(r)
	if err != nil {
		return err
	}
	form := page.BlankCoreEventForm(sheet.Core, garage.DateOf(p.Now))
	return s.coreForm(w, r, http.StatusOK, p, sheet, form)
}

func (s *Server) coreForm(w http.ResponseWriter, r *http.Request, status int, p page.Planned, sheet garage.CoreSheet, form page.CoreEventForm) error {
	v := page.NewCore(s.base(r, "Core deposit", ui.NavMore), p, sheet, form)
	var err error
	if v.Saving, err = p.CoreSaving(sheet.Core); err != nil {
		return err
	}
	return s.render(w, r, status, page.Core(v))
}

// coreEvent notes what happened to a unit.
func (s *Server) coreEvent(w http.ResponseWriter, r *http.Request) error {
	sheet, p, err := s.coreSheet(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadCoreEventForm(values)
	event := form.Event(sheet.Core, garage.DateOf(p.Now))
	if len(form.Errors) == 0 {
		_, err = s.store.AddCoreEvent(r.Context(), event)
	}
	if len(form.Errors) > 0 || refused(err, &form.Errors) {
		return s.coreForm(w, r, http.StatusUnprocessableEntity, p, sheet, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Core(sheet.Core.ID), ui.Flash{Text: "Noted.", Undo: route.CoreBack(sheet.Core.ID)})
}

// coreBack takes back what happened to a unit last.
func (s *Server) coreBack(w http.ResponseWriter, r *http.Request) error {
	sheet, p, err := s.coreSheet(r)
	if err != nil {
		return err
	}
	last, ok := garage.LatestCoreEvent(sheet.Events)
	if !ok {
		return garage.ErrConflict
	}
	_, err = s.store.AddCoreEvent(r.Context(), garage.CoreEvent{CoreID: sheet.Core.ID, HappenedOn: garage.DateOf(p.Now), Reverses: &last.ID})
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Core(sheet.Core.ID), ui.Flash{Text: "Taken back."})
}

// coreUnit says which unit goes back: one on a donor, or the car's own.
func (s *Server) coreUnit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CoreID](r, "id")
	if err != nil {
		return err
	}
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	core, err := s.store.Core(r.Context(), id)
	if err != nil {
		return err
	}
	var unit *garage.DonorPartID
	if typed := sent.Get("donor_part"); typed != "" {
		n, err := strconv.ParseInt(typed, 10, 64)
		if err != nil || n <= 0 {
			return garage.ErrNotFound
		}
		unit = new(garage.DonorPartID(n))
	}
	if err := s.store.SendFromDonor(r.Context(), id, unit); err != nil {
		return err
	}
	undo := ui.Flash{Text: "The unit on the donor goes back.", Undo: route.CoreUnit(id)}
	if unit == nil {
		undo.Text = "The car's own unit goes back."
	}
	if core.DonorPartID != nil {
		undo.Fields = []ui.KeyValue{{Name: "donor_part", Value: strconv.FormatInt(int64(*core.DonorPartID), 10)}}
	}
	return s.redirect(w, r, route.Core(id), undo)
}

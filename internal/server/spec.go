package server

import (
	"context"
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// carOf reads the car that the path names.
func (s *Server) carOf(r *http.Request) (garage.Car, error) {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return garage.Car{}, err
	}
	return s.store.Car(r.Context(), id)
}

func (s *Server) torqueSpecIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	specs, err := s.store.TorqueSpecs(r.Context(), car.ID)
	if err != nil {
		return err
	}
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	base := s.base(r, "Specs of "+car.Name, ui.NavCars)
	v := page.NewSpecs(base, car, specs, wrenches, r.URL.Query().Get("q"), s.today(settings))
	return s.render(w, r, http.StatusOK, page.Specs(v))
}

// torqueSpecShow is the page of a spec, with the setting of the wrench and extension that the address names.
func (s *Server) torqueSpecShow(w http.ResponseWriter, r *http.Request) error {
	spec, err := s.torqueSpecs().of(r)
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), spec.CarID)
	if err != nil {
		return err
	}
	wrenches, err := s.store.Wrenches(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	base, pick := s.base(r, spec.Joint, ui.NavCars), page.ReadWrenchPick(r.URL.Query())
	v := page.NewTorqueSpec(base, spec, car, wrenches, pick, settings, s.today(settings))
	status := http.StatusOK
	if len(v.Pick.Errors) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return s.render(w, r, status, page.TorqueSpecShow(v))
}

func (s *Server) torqueSpecs() *noun[garage.TorqueSpecID, garage.TorqueSpecRow, page.TorqueSpecForm] {
	return &noun[garage.TorqueSpecID, garage.TorqueSpecRow, page.TorqueSpecForm]{
		s: s,
		fresh: func(r *http.Request) (garage.TorqueSpecRow, page.TorqueSpecForm, error) {
			car, err := s.carOf(r)
			v := garage.TorqueSpecRow{TorqueSpec: garage.TorqueSpec{CarID: car.ID}}
			return v, page.TorqueSpecForm{Stage: r.URL.Query().Get("stage")}, err
		},
		typed: func(_ *http.Request, over garage.TorqueSpecRow, sent url.Values) (garage.TorqueSpecRow, page.TorqueSpecForm, error) {
			form := page.ReadTorqueSpecForm(sent)
			v := garage.TorqueSpecRow{TorqueSpec: form.TorqueSpec()}
			v.ID, v.CarID = over.ID, over.CarID
			return v, form, nil
		},
		form:   s.torqueSpecForm,
		filled: func(v garage.TorqueSpecRow) page.TorqueSpecForm { return page.NewTorqueSpecForm(v.TorqueSpec) },
		errors: func(f *page.TorqueSpecForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(r *http.Request, stored garage.TorqueSpecRow, f page.TorqueSpecForm) ([]page.ConflictRow, error) {
			stages, err := s.store.SpecStages(r.Context(), stored.CarID, stored.StageID)
			return f.Conflict(page.NewTorqueSpecForm(stored.TorqueSpec), stages), err
		},
		about: func(v garage.TorqueSpecRow) entry[garage.TorqueSpecID] {
			return entry[garage.TorqueSpecID]{v.ID, v.Version, v.Joint, route.TorqueSpec(v.ID)}
		},
		added: " added.", gone: func(v garage.TorqueSpecRow) string { return route.Specs(v.CarID) }, restored: route.TorqueSpecRestore[garage.TorqueSpecID],
		get: s.store.TorqueSpec,
		create: func(ctx context.Context, v garage.TorqueSpecRow) (garage.TorqueSpecID, error) {
			return s.store.CreateTorqueSpec(ctx, v.TorqueSpec)
		},
		update: func(ctx context.Context, v garage.TorqueSpecRow) error {
			return s.store.UpdateTorqueSpec(ctx, v.TorqueSpec)
		},
		delete: s.store.DeleteTorqueSpec, restore: s.store.RestoreTorqueSpec,
	}
}

// torqueSpecForm is the page of the form of a spec that is stored or, with id 0, new.
func (s *Server) torqueSpecForm(r *http.Request, of garage.TorqueSpecRow, form page.TorqueSpecForm) (templ.Component, error) {
	car, err := s.store.Car(r.Context(), of.CarID)
	if err != nil {
		return nil, err
	}
	stages, err := s.store.SpecStages(r.Context(), car.ID, of.StageID)
	if err != nil {
		return nil, err
	}
	base := s.base(r, titled("Add a torque spec", of.ID, of.Joint), ui.NavCars)
	return page.TorqueSpecEdit(page.TorqueSpecFormView{Base: base, ID: of.ID, Car: car, Stages: stages, Form: form}), nil
}

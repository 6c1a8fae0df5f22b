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

func (s *Server) fluidSpecs() *noun[garage.FluidSpecID, garage.FluidSpec, page.FluidSpecForm] {
	return &noun[garage.FluidSpecID, garage.FluidSpec, page.FluidSpecForm]{
		s: s,
		fresh: func(r *http.Request) (garage.FluidSpec, page.FluidSpecForm, error) {
			car, err := s.carOf(r)
			return garage.FluidSpec{CarID: car.ID}, page.BlankFluidSpecForm(), err
		},
		typed: func(_ *http.Request, over garage.FluidSpec, sent url.Values) (garage.FluidSpec, page.FluidSpecForm, error) {
			form := page.ReadFluidSpecForm(sent)
			v := form.FluidSpec()
			v.ID, v.CarID = over.ID, over.CarID
			return v, form, nil
		},
		form: func(r *http.Request, of garage.FluidSpec, form page.FluidSpecForm) (templ.Component, error) {
			car, err := s.store.Car(r.Context(), of.CarID)
			title := titled("Add a fluid", of.ID, of.Name)
			return page.FluidSpecEdit(page.FluidSpecFormView{Base: s.base(r, title, ui.NavCars), ID: of.ID, Car: car, Form: form}), err
		},
		filled: page.NewFluidSpecForm,
		errors: func(f *page.FluidSpecForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.FluidSpec, f page.FluidSpecForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewFluidSpecForm(stored)), nil
		},
		about: func(v garage.FluidSpec) entry[garage.FluidSpecID] {
			return entry[garage.FluidSpecID]{v.ID, v.Version, v.Name, route.FluidSpecs(v.CarID)}
		},
		added: " added.", gone: func(v garage.FluidSpec) string { return route.FluidSpecs(v.CarID) }, restored: route.FluidSpecRestore[garage.FluidSpecID],
		get: s.store.FluidSpec, create: s.store.CreateFluidSpec, update: s.store.UpdateFluidSpec,
		delete: s.store.DeleteFluidSpec, restore: s.store.RestoreFluidSpec,
	}
}

// fluidSpecIndex lists the fluids of a car, with the opened bottles that could serve.
func (s *Server) fluidSpecIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	specs, err := s.store.FluidSpecs(r.Context(), car.ID)
	if err != nil {
		return err
	}
	bottles, err := s.store.Bottles(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewFluids(s.base(r, "Fluids of "+car.Name, ui.NavCars), car, specs, bottles, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Fluids(v))
}

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

func (s *Server) wheelSets() *noun[garage.WheelSetID, garage.WheelSet, page.WheelSetForm] {
	return &noun[garage.WheelSetID, garage.WheelSet, page.WheelSetForm]{
		s: s,
		fresh: func(r *http.Request) (garage.WheelSet, page.WheelSetForm, error) {
			car, err := s.carOf(r)
			return garage.WheelSet{CarID: car.ID}, page.BlankWheelSetForm(), err
		},
		typed: func(r *http.Request, over garage.WheelSet, sent url.Values) (garage.WheelSet, page.WheelSetForm, error) {
			settings, err := s.store.Settings(r.Context())
			form := page.ReadWheelSetForm(sent)
			v := form.WheelSet(s.today(settings)) // no tyres of weeks that are yet to come
			v.ID, v.CarID = over.ID, over.CarID
			return v, form, err
		},
		form: func(r *http.Request, of garage.WheelSet, form page.WheelSetForm) (templ.Component, error) {
			car, err := s.store.Car(r.Context(), of.CarID)
			title := titled("Add a wheel set", of.ID, of.Name)
			return page.WheelSetEdit(page.WheelSetFormView{Base: s.base(r, title, ui.NavCars), ID: of.ID, Car: car, Form: form}), err
		},
		filled: page.NewWheelSetForm,
		errors: func(f *page.WheelSetForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.WheelSet, f page.WheelSetForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewWheelSetForm(stored)), nil
		},
		about: func(v garage.WheelSet) entry[garage.WheelSetID] {
			return entry[garage.WheelSetID]{v.ID, v.Version, v.Name, route.Wheels(v.CarID)}
		},
		added: " added.", gone: func(v garage.WheelSet) string { return route.Wheels(v.CarID) }, restored: route.WheelSetRestore[garage.WheelSetID],
		get: s.store.WheelSet, create: s.store.CreateWheelSet, update: s.store.UpdateWheelSet,
		delete: s.store.DeleteWheelSet, restore: s.store.RestoreWheelSet,
	}
}

// wheelIndex shows what a car requires of its wheels, and the sets that there are.
func (s *Server) wheelIndex(w http.ResponseWriter, r *http.Request) error {
	car, err := s.carOf(r)
	if err != nil {
		return err
	}
	required, err := s.store.RequiredWheels(r.Context(), car.ID)
	if err != nil {
		return err
	}
	sets, err := s.store.WheelSets(r.Context(), car.ID)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewWheels(s.base(r, "Wheels of "+car.Name, ui.NavCars), car, required, sets, s.today(settings))
	return s.render(w, r, http.StatusOK, page.Wheels(v))
}

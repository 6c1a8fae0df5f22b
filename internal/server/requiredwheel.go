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

func (s *Server) requiredWheels() *noun[garage.RequiredWheelID, garage.RequiredWheel, page.RequiredWheelForm] {
	return &noun[garage.RequiredWheelID, garage.RequiredWheel, page.RequiredWheelForm]{
		s: s,
		fresh: func(r *http.Request) (garage.RequiredWheel, page.RequiredWheelForm, error) {
			car, err := s.carOf(r)
			return garage.RequiredWheel{CarID: car.ID}, page.BlankRequiredWheelForm(), err
		},
		typed: func(_ *http.Request, over garage.RequiredWheel, sent url.Values) (garage.RequiredWheel, page.RequiredWheelForm, error) {
			form := page.ReadRequiredWheelForm(sent)
			v := form.RequiredWheel()
			v.ID, v.CarID = over.ID, over.CarID
			return v, form, nil
		},
		form: func(r *http.Request, of garage.RequiredWheel, form page.RequiredWheelForm) (templ.Component, error) {
			car, err := s.store.Car(r.Context(), of.CarID)
			title := titled("What the car requires", of.ID, of.Size)
			return page.RequiredWheelEdit(page.RequiredWheelFormView{Base: s.base(r, title, ui.NavCars), ID: of.ID, Car: car, Form: form}), err
		},
		filled: page.NewRequiredWheelForm,
		errors: func(f *page.RequiredWheelForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.RequiredWheel, f page.RequiredWheelForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewRequiredWheelForm(stored)), nil
		},
		about: func(v garage.RequiredWheel) entry[garage.RequiredWheelID] {
			return entry[garage.RequiredWheelID]{v.ID, v.Version, v.Size, route.Wheels(v.CarID)}
		},
		added: " added.", gone: func(v garage.RequiredWheel) string { return route.Wheels(v.CarID) }, restored: route.RequiredWheelRestore[garage.RequiredWheelID],
		get: s.store.RequiredWheel, create: s.store.CreateRequiredWheel, update: s.store.UpdateRequiredWheel,
		delete: s.store.DeleteRequiredWheel, restore: s.store.RestoreRequiredWheel,
	}
}

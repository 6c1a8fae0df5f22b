package server

import (
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) odometerShow(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.odometerForm(w, r, http.StatusOK, page.NewReadingForm(s.today(settings), settings.DistanceUnit))
}

func (s *Server) odometerForm(w http.ResponseWriter, r *http.Request, status int, form page.ReadingForm) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	car, err := s.store.Car(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	odometer, err := s.store.Odometer(r.Context(), id)
	if err != nil {
		return err
	}
	v := page.NewOdometer(s.base(r, "Odometer of "+car.Name, ui.NavCars), car, odometer, form, settings)
	return s.render(w, r, status, page.Odometer(v))
}

func (s *Server) readingCreate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadReadingForm(values)
	entry := form.Entry()
	if len(form.Errors) > 0 {
		return s.odometerForm(w, r, http.StatusUnprocessableEntity, form)
	}
	reading, err := s.store.AddReading(r.Context(), id, entry, s.today(settings))
	if refused(err, &form.Errors) {
		return s.odometerForm(w, r, http.StatusUnprocessableEntity, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Odometer(id), ui.Flash{Text: "Reading noted.", Undo: route.ReadingReverse(id, reading)})
}

func (s *Server) readingReverse(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	reading, err := pathID[garage.ReadingID](r, "reading")
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	if err := s.store.ReverseReading(r.Context(), id, reading, s.today(settings)); err != nil {
		return err
	}
	return s.redirect(w, r, route.Odometer(id), ui.Flash{Text: "Reading reversed. Enter it right, if it was mistyped."})
}

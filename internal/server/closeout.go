package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) closeOutShow(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	run, err := s.runOf(r, card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	return s.closeOutPage(w, r, http.StatusOK, card, page.NewCloseOutForm(card, run))
}

// cardOf reads the card of the job that the path names.
func (s *Server) cardOf(r *http.Request) (garage.Card, error) {
	id, err := s.cardOfPath(r)
	if err != nil {
		return garage.Card{}, err
	}
	return s.store.Card(r.Context(), id)
}

func (s *Server) closeOutPage(w http.ResponseWriter, r *http.Request, status int, card garage.Card, form page.CloseOutForm) error {
	odometer, err := s.store.Odometer(r.Context(), card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewCloseOut(s.base(r, "Before the car leaves", ui.NavCars), card, odometer, settings.DistanceUnit, s.today(settings), form)
	return s.render(w, r, status, page.CloseOut(v))
}

func (s *Server) closeOut(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadCloseOutForm(values)
	seen, err := s.runOf(r, card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	run, err := s.closeOutReading(r, card.Sheet.Job.CarID, seen, &form)
	if err != nil {
		return err
	}
	out, follow, look := form.CloseOut(card, seen, run, s.now())
	if len(form.Errors) == 0 {
		err = s.store.SaveCloseOut(r.Context(), out, follow, look)
		if errors.Is(err, garage.ErrConflict) {
			form.Errors.Add("", "It was saved elsewhere meanwhile. What you typed is below: load the page anew in another tab and compare.")
		} else if !refused(err, &form.Errors) && err != nil {
			return err
		}
	}
	if len(form.Errors) > 0 {
		return s.closeOutPage(w, r, http.StatusUnprocessableEntity, card, form)
	}
	return s.redirect(w, r, route.Job(card.Sheet.Job.ID), ui.Flash{Text: "Saved."})
}

// closeOutReading notes what the odometer shows, and returns what the car has run with it: distances count from there.
func (s *Server) closeOutReading(r *http.Request, car garage.CarID, seen *garage.Standing, form *page.CloseOutForm) (*garage.Standing, error) {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return nil, err
	}
	entry, typed := form.Reading(seen, settings.DistanceUnit, s.today(settings))
	if !typed {
		return seen, nil
	}
	var wrong garage.FieldErrors
	if _, err := s.store.AddReading(r.Context(), car, entry, s.today(settings)); refused(err, &wrong) {
		message := wrong["shown"]
		if message == "" {
			message = "That is more than anybody drives in that time. If it is right, note it under Odometer of the car first."
		}
		form.Errors.Add("shown", message)
		return seen, nil
	} else if err != nil {
		return nil, err
	}
	return s.runOf(r, car)
}

package server

import (
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) lookBackShow(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	form := page.LookBackForm{}
	if card.LookBack != nil {
		form.Worth, form.Changed = card.LookBack.Worth, card.LookBack.Changed
	}
	return s.lookBackPage(w, r, http.StatusOK, card, form)
}

func (s *Server) lookBackPage(w http.ResponseWriter, r *http.Request, status int, card garage.Card, form page.LookBackForm) error {
	if card.LookBack == nil {
		return garage.ErrNotFound
	}
	like, err := s.store.LikeLookBacks(r.Context(), card.Sheet.Job.ID)
	if err != nil {
		return err
	}
	odometer, err := s.store.Odometer(r.Context(), card.Sheet.Job.CarID)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewLookBack(s.base(r, "Was it worth it?", ui.NavCars), card, like, odometer, s.today(settings), form)
	return s.render(w, r, status, page.LookBack(v))
}

func (s *Server) lookBack(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadLookBackForm(values)
	err = s.store.AnswerLookBack(r.Context(), card.Sheet.Job.ID, form.Worth, form.Changed, s.now())
	if refused(err, &form.Errors) {
		return s.lookBackPage(w, r, http.StatusUnprocessableEntity, card, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Job(card.Sheet.Job.ID), ui.Flash{Text: "Kept for the next job like it."})
}

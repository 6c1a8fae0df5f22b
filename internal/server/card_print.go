package server

import (
	"net/http"

	"axlestand/web/page"
	"axlestand/web/ui"
)

// cardPrint is a job's card on paper; its code leads to the address by which it was asked for.
func (s *Server) cardPrint(w http.ResponseWriter, r *http.Request) error {
	card, err := s.cardOf(r)
	if err != nil {
		return err
	}
	o := page.CardOptions{Now: s.now()}
	if o.Settings, err = s.store.Settings(r.Context()); err != nil {
		return err
	}
	v := page.NewCardPrint(s.base(r, "Card on paper: "+card.Sheet.Job.Title, ui.NavCars), card, o, originOf(r))
	return s.render(w, r, http.StatusOK, page.CardPrint(v))
}

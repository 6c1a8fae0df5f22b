package server

import (
	"context"
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// stockShow is the page of the form that does something with the stock of a part.
func (s *Server) stockShow(action string) func(w http.ResponseWriter, r *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[garage.PartID](r, "id")
		if err != nil {
			return err
		}
		stock, err := s.store.StockOf(r.Context(), id)
		if err != nil {
			return err
		}
		form := page.NewStockForm(action, id, stock)
		form.PickPlace(r.URL.Query().Get("place"), stock)
		return s.stockForm(w, r, http.StatusOK, form)
	}
}

func (s *Server) stockForm(w http.ResponseWriter, r *http.Request, status int, form page.StockForm) error {
	part, err := s.store.Part(r.Context(), form.PartID)
	if err != nil {
		return err
	}
	stock, err := s.store.StockOf(r.Context(), form.PartID)
	if err != nil {
		return err
	}
	bins, err := s.store.Bins(r.Context())
	if err != nil {
		return err
	}
	needs, err := s.store.PartNeeds(r.Context(), form.PartID)
	if err != nil {
		return err
	}
	cars, err := s.store.Cars(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.Stock(page.NewStockView(s.base(r, part.Name, ui.NavParts), part, form, stock, bins, needs, cars)))
}

// stockDo does it; the flash offers to reverse it.
func (s *Server) stockDo(action string) func(w http.ResponseWriter, r *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[garage.PartID](r, "id")
		if err != nil {
			return err
		}
		values, err := readForm(w, r)
		if err != nil {
			return err
		}
		part, err := s.store.Part(r.Context(), id)
		if err != nil {
			return err
		}
		form := page.ReadStockForm(action, id, values)
		movement := form.Movement()
		if len(form.Errors) > 0 {
			return s.stockForm(w, r, http.StatusUnprocessableEntity, form)
		}
		done, err := s.moveStock(r.Context(), &form, movement)
		if refused(err, &form.Errors) {
			return s.stockForm(w, r, http.StatusUnprocessableEntity, form)
		}
		if err != nil {
			return err
		}
		flash := ui.Flash{Text: form.DoneText(part, movement), Undo: route.MovementReverse(done)}
		if done == 0 {
			flash = ui.Flash{Text: "Counted: as expected."}
		}
		return s.redirect(w, r, route.Part(id), flash)
	}
}

func (s *Server) moveStock(ctx context.Context, form *page.StockForm, m garage.Movement) (garage.MovementID, error) {
	switch form.Action {
	case page.StockPut:
		return s.store.PutStock(ctx, m, form.Pick())
	case page.StockTake:
		return s.store.TakeStock(ctx, m)
	case page.StockMove:
		return s.store.MoveStock(ctx, m, form.Pick())
	case page.StockSort:
		return s.sortStock(ctx, form, m)
	}
	return s.store.CountStock(ctx, m, form.Pick(), m.Quantity)
}

// sortStock says what pieces are; where they came from stays known.
func (s *Server) sortStock(ctx context.Context, form *page.StockForm, m garage.Movement) (garage.MovementID, error) {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return 0, err
	}
	var was garage.Lot
	if m.LotID != nil {
		if was, err = s.store.Lot(ctx, *m.LotID); err != nil {
			return 0, err
		}
	}
	as := form.AsLot(was, s.today(settings))
	if err := form.Errors.Err(); err != nil {
		return 0, err
	}
	return s.store.SortStock(ctx, m, as)
}

func (s *Server) movementReverse(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.MovementID](r, "id")
	if err != nil {
		return err
	}
	part, err := s.store.ReverseMovement(r.Context(), id)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.Part(part), ui.Flash{Text: "Not reversed. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Part(part), ui.Flash{Text: "Reversed."})
}

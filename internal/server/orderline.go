package server

import (
	"context"
	"errors"
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// pricedLine is a line with the currency of its order.
type pricedLine struct {
	garage.NewOrderLine
	currency string
}

func (s *Server) orderLines() *noun[garage.OrderLineID, pricedLine, page.OrderLineForm] {
	return &noun[garage.OrderLineID, pricedLine, page.OrderLineForm]{
		s: s,
		fresh: func(r *http.Request) (pricedLine, page.OrderLineForm, error) {
			id, err := pathID[garage.OrderID](r, "id")
			if err != nil {
				return pricedLine{}, page.OrderLineForm{}, err
			}
			o, err := s.store.Order(r.Context(), id)
			l := pricedLine{currency: o.Currency}
			l.OrderID = id
			return l, page.BlankOrderLineForm(), err
		},
		typed: func(_ *http.Request, over pricedLine, sent url.Values) (pricedLine, page.OrderLineForm, error) {
			form := page.ReadOrderLineForm(sent)
			over.NewOrderLine = form.Line(over.NewOrderLine, over.currency)
			return over, form, nil
		},
		form:   s.orderLineForm,
		filled: func(l pricedLine) page.OrderLineForm { return page.NewOrderLineForm(l.OrderLine, l.currency) },
		errors: func(f *page.OrderLineForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored pricedLine, f page.OrderLineForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewOrderLineForm(stored.OrderLine, stored.currency)), nil
		},
		about: func(l pricedLine) entry[garage.OrderLineID] {
			return entry[garage.OrderLineID]{l.ID, l.Version, "The line", route.Order(l.OrderID)}
		},
		added: " is in.", gone: func(l pricedLine) string { return route.Order(l.OrderID) }, restored: route.OrderLineRestore[garage.OrderLineID],
		get: s.orderLine,
		create: func(ctx context.Context, l pricedLine) (id garage.OrderLineID, err error) {
			if id, err = s.store.AddOrderLine(ctx, l.NewOrderLine); err == nil {
				err = s.estimate(ctx)
			}
			return id, err
		},
		update: estimated(s, func(ctx context.Context, l pricedLine) error { return s.store.UpdateOrderLine(ctx, l.OrderLine) }),
		delete: s.store.DeleteOrderLine, restore: estimated(s, s.store.RestoreOrderLine),
	}
}

func (s *Server) orderLine(ctx context.Context, id garage.OrderLineID) (l pricedLine, err error) {
	if l.OrderLine, err = s.store.OrderLine(ctx, id); err != nil {
		return l, err
	}
	o, err := s.store.Order(ctx, l.OrderID)
	l.currency = o.Currency
	return l, err
}

func (s *Server) orderLineForm(r *http.Request, of pricedLine, form page.OrderLineForm) (templ.Component, error) {
	sheet, err := s.store.OrderSheet(r.Context(), of.OrderID)
	if err != nil {
		return nil, err
	}
	v := page.OrderLineView{
		Base: s.base(r, titled("Add a line", of.ID, "Change a line"), ui.NavParts), Line: of.OrderLine, Order: sheet.Order, Supplier: sheet.Supplier,
		Part: sheet.Part(of.PartID), Form: form,
	}
	if of.ID == 0 {
		v.Parts, err = s.store.PartLabels(r.Context(), labelsOffered)
	}
	return page.OrderLine(v), err
}

// orderLineDo does with a line what its address says, and leads back to the order.
func (s *Server) orderLineDo(do func(ctx context.Context, id garage.OrderLineID) error, done string, undo func(garage.OrderLineID) string) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[garage.OrderLineID](r, "id")
		if err != nil {
			return err
		}
		line, err := s.store.OrderLine(r.Context(), id)
		if err != nil {
			return err
		}
		err = do(r.Context(), id)
		if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
			return s.redirect(w, r, route.Order(line.OrderID), ui.Flash{Text: sentences(invalid), Bad: true})
		}
		if err != nil {
			return err
		}
		flash := ui.Flash{Text: done}
		if undo != nil {
			flash.Undo = undo(id)
		}
		return s.redirect(w, r, route.Order(line.OrderID), flash)
	}
}

// sendBackOf reads the arrival of the path, which has come with an order, with that and where the part lies.
func (s *Server) sendBackOf(r *http.Request) (a garage.Arrival, sheet garage.OrderSheet, stock []garage.BinStock, err error) {
	id, err := pathID[garage.ArrivalID](r, "id")
	if err != nil {
		return a, sheet, nil, err
	}
	if a, err = s.store.Arrival(r.Context(), id); err != nil {
		return a, sheet, nil, err
	}
	if a.OrderID == nil || a.ReceivedAt == nil {
		return a, sheet, nil, garage.ErrNotFound
	}
	if sheet, err = s.store.OrderSheet(r.Context(), *a.OrderID); err != nil {
		return a, sheet, nil, err
	}
	stock, err = s.store.StockOf(r.Context(), a.PartID)
	return a, sheet, stock, err
}

func (s *Server) sendBackShow(w http.ResponseWriter, r *http.Request) error {
	a, sheet, stock, err := s.sendBackOf(r)
	if err != nil {
		return err
	}
	return s.sendBackForm(w, r, http.StatusOK, a, sheet, stock, page.BlankSendBackForm(stock))
}

func (s *Server) sendBackForm(w http.ResponseWriter, r *http.Request, status int, a garage.Arrival, sheet garage.OrderSheet, stock []garage.BinStock, form page.SendBackForm) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.SendBack(page.NewSendBack(s.base(r, "Send back", ui.NavParts), sheet, a, stock, settings, s.today(settings), form)))
}

func (s *Server) sendBack(w http.ResponseWriter, r *http.Request) error {
	a, sheet, stock, err := s.sendBackOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadSendBackForm(values)
	back, from := form.Return(a)
	var movement garage.MovementID
	if len(form.Errors) == 0 {
		movement, err = s.store.SendBack(r.Context(), back, from, form.Again != "", s.now())
	}
	if len(form.Errors) > 0 || refused(err, &form.Errors) {
		return s.sendBackForm(w, r, http.StatusUnprocessableEntity, a, sheet, stock, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Order(*a.OrderID), ui.Flash{Text: "Noted: it goes back.", Undo: route.MovementReverse(movement)})
}

// orderReturnOf reads what goes back, with its order.
func (s *Server) orderReturnOf(r *http.Request) (back garage.OrderReturn, sheet garage.OrderSheet, err error) {
	id, err := pathID[garage.OrderReturnID](r, "id")
	if err != nil {
		return back, sheet, err
	}
	if back, err = s.store.OrderReturn(r.Context(), id); err != nil {
		return back, sheet, err
	}
	line, err := s.store.OrderLine(r.Context(), back.OrderLineID)
	if err != nil {
		return back, sheet, err
	}
	sheet, err = s.store.OrderSheet(r.Context(), line.OrderID)
	return back, sheet, err
}

func (s *Server) orderReturnShow(w http.ResponseWriter, r *http.Request) error {
	back, sheet, err := s.orderReturnOf(r)
	if err != nil {
		return err
	}
	return s.orderReturnForm(w, r, http.StatusOK, back, sheet, page.NewOrderReturnForm(back, sheet.Order.Currency))
}

func (s *Server) orderReturnForm(w http.ResponseWriter, r *http.Request, status int, back garage.OrderReturn, sheet garage.OrderSheet, form page.OrderReturnForm) error {
	return s.render(w, r, status, page.OrderReturn(page.NewOrderReturn(s.base(r, "Goes back", ui.NavParts), sheet, back, form)))
}

func (s *Server) orderReturnUpdate(w http.ResponseWriter, r *http.Request) error {
	back, sheet, err := s.orderReturnOf(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadOrderReturnForm(values)
	changed := form.Return(back, sheet.Order.Currency)
	if len(form.Errors) == 0 {
		err = s.store.UpdateOrderReturn(r.Context(), changed)
	}
	if errors.Is(err, garage.ErrConflict) {
		rows := form.Conflict(page.NewOrderReturnForm(back, sheet.Order.Currency))
		return s.conflict(w, r, "What goes back", back.Version, route.Order(sheet.Order.ID), rows)
	}
	if len(form.Errors) > 0 || refused(err, &form.Errors) {
		return s.orderReturnForm(w, r, http.StatusUnprocessableEntity, back, sheet, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Order(sheet.Order.ID), ui.Flash{Text: "Saved."})
}

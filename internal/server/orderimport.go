package server

import (
	"errors"
	"net/http"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) orderImportNew(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.OrderImportForm{OrderForm: page.BlankOrderForm(garage.Supplier{}, s.today(settings))}
	return s.orderImportForm(w, r, http.StatusOK, settings, form)
}

func (s *Server) orderImportForm(w http.ResponseWriter, r *http.Request, status int, settings garage.Settings, form page.OrderImportForm) error {
	suppliers, err := s.store.Suppliers(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.OrderImportNew(page.NewOrderImportNew(s.base(r, "Paste an order", ui.NavParts), settings.Currency, suppliers, form)))
}

func (s *Server) orderImportCreate(w http.ResponseWriter, r *http.Request) error {
	values, content, err := linesSent(w, r)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	suppliers, err := s.store.Suppliers(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadOrderImportForm(values)
	o := form.Order(garage.Order{Home: settings.Currency}, suppliers)
	if _, err := exchange.ReadOrder(content, o.Currency); errors.Is(err, exchange.ErrNoLines) {
		form.Errors.Add("lines", "Paste its lines, or choose a file of them.")
	} else if err != nil {
		form.Errors.Add("lines", "Not read: "+err.Error()+".")
	}
	var id garage.OrderImportID
	if len(form.Errors) == 0 {
		id, err = s.store.CreateOrderImport(r.Context(), content, o)
	}
	if len(form.Errors) > 0 || refused(err, &form.Errors) {
		return s.orderImportForm(w, r, http.StatusUnprocessableEntity, settings, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.OrderImport(id), ui.Flash{})
}

// orderImportOf reads the pasted order of the path and what it would be now.
func (s *Server) orderImportOf(r *http.Request) (i garage.OrderImport, lines []exchange.OrderLine, err error) {
	id, err := pathID[garage.OrderImportID](r, "id")
	if err != nil {
		return i, nil, err
	}
	if i, err = s.store.OrderImport(r.Context(), id); err != nil {
		return i, nil, err
	}
	if lines, err = exchange.ReadOrder(i.Content, i.Form.Currency); err != nil {
		return i, nil, err
	}
	parts, err := s.store.AllParts(r.Context())
	return i, exchange.OrderParts(lines, parts), err
}

func (s *Server) orderImportShow(w http.ResponseWriter, r *http.Request) error {
	i, lines, err := s.orderImportOf(r)
	if err != nil {
		return err
	}
	from, err := s.store.Supplier(r.Context(), i.Form.SupplierID)
	if err != nil && !errors.Is(err, garage.ErrNotFound) {
		return err
	}
	var rows []page.OrderImportRow
	for _, l := range lines {
		rows = append(rows, page.OrderImportRow{Line: l.Line, Text: l.Text, Part: l.Part, Quantity: l.Quantity, Price: l.Price, Deposit: l.Deposit, Wrong: l.Wrong})
	}
	return s.render(w, r, http.StatusOK, page.OrderImport(page.NewOrderImport(s.base(r, "Paste an order", ui.NavParts), i, from, rows)))
}

// orderImport makes the order of the lines that are right.
func (s *Server) orderImport(w http.ResponseWriter, r *http.Request) error {
	i, lines, err := s.orderImportOf(r)
	if err != nil {
		return err
	}
	var right []garage.OrderImportLine
	for _, l := range lines {
		if l.Wrong == "" {
			right = append(right, garage.OrderImportLine{
				Name: l.Name, Number: l.Number,
				OrderLine: garage.OrderLine{PartID: l.Part.ID, Quantity: l.Quantity, Price: l.Price, Deposit: l.Deposit, Note: l.Note},
			})
		}
	}
	id, err := s.store.ImportOrder(r.Context(), i.ID, right, s.now())
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.OrderImport(i.ID), ui.Flash{Text: "No order was made. " + sentences(invalid), Bad: true})
	}
	if err == nil {
		err = s.estimate(r.Context())
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Order(id), ui.Flash{Text: "The order is made.", Undo: route.OrderImportUndo(i.ID)})
}

func (s *Server) orderImportUndo(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.OrderImportID](r, "id")
	if err != nil {
		return err
	}
	err = s.store.UndoOrderImport(r.Context(), id, s.now())
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		return s.redirect(w, r, route.OrderImport(id), ui.Flash{Text: "Nothing was undone. " + sentences(invalid), Bad: true})
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.OrderImport(id), ui.Flash{Text: "Undone: the order is gone."})
}

package server

import (
	"context"
	"net/http"
	"net/url"
	"strconv"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

const ordersPerPage = 100

// orderIndex lists the orders of which something is still expected, or all.
func (s *Server) orderIndex(w http.ResponseWriter, r *http.Request) error {
	query := r.URL.Query()
	f := garage.OrderFilter{Open: query.Get("show") != "all", Limit: ordersPerPage}
	if n, err := strconv.Atoi(query.Get("page")); err == nil && n > 1 && n < 1_000_000 {
		f.Offset = (n - 1) * ordersPerPage
	}
	rows, err := s.store.Orders(r.Context(), f)
	if err != nil {
		return err
	}
	backs, err := s.store.OrderReturns(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Orders(page.NewOrders(s.base(r, "Orders", ui.NavParts), f, rows, backs, s.today(settings))))
}

// estimate lets the arrivals whose dates follow a promise follow how their suppliers keep theirs.
func (s *Server) estimate(ctx context.Context) error {
	open, err := s.store.OpenPromises(ctx)
	if err != nil || len(open) == 0 {
		return err
	}
	records, err := s.store.ArrivalRecords(ctx, 0)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return err
	}
	return s.store.KeepEstimates(ctx, planner.Estimates(open, planner.DelaysOf(records, settings.Location())))
}

// estimated runs what changes orders, and has the dates follow.
func estimated[T any](s *Server, change func(ctx context.Context, v T) error) func(ctx context.Context, v T) error {
	return func(ctx context.Context, v T) error {
		if err := change(ctx, v); err != nil {
			return err
		}
		return s.estimate(ctx)
	}
}

func (s *Server) orders() *noun[garage.OrderID, garage.Order, page.OrderForm] {
	return &noun[garage.OrderID, garage.Order, page.OrderForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Order, page.OrderForm, error) {
			settings, err := s.store.Settings(r.Context())
			if err != nil {
				return garage.Order{}, page.OrderForm{}, err
			}
			var at garage.Supplier
			if id, err := strconv.ParseInt(r.URL.Query().Get("supplier"), 10, 64); err == nil && id > 0 {
				if at, err = s.store.Supplier(r.Context(), garage.SupplierID(id)); err != nil {
					return garage.Order{}, page.OrderForm{}, err
				}
			}
			return garage.Order{Home: settings.Currency}, page.BlankOrderForm(at, s.today(settings)), nil
		},
		typed: func(r *http.Request, over garage.Order, sent url.Values) (garage.Order, page.OrderForm, error) {
			suppliers, err := s.store.Suppliers(r.Context())
			form := page.ReadOrderForm(sent)
			return form.Order(over, suppliers), form, err
		},
		form: func(r *http.Request, of garage.Order, form page.OrderForm) (templ.Component, error) {
			suppliers, err := s.store.Suppliers(r.Context())
			title := titled("Add an order", of.ID, "Change an order")
			return page.OrderEdit(page.NewOrderEdit(s.base(r, title, ui.NavParts), of, suppliers, form)), err
		},
		filled: page.NewOrderForm,
		errors: func(f *page.OrderForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(r *http.Request, stored garage.Order, f page.OrderForm) ([]page.ConflictRow, error) {
			suppliers, err := s.store.Suppliers(r.Context())
			return f.Conflict(page.NewOrderForm(stored), suppliers), err
		},
		about: func(v garage.Order) entry[garage.OrderID] {
			return entry[garage.OrderID]{v.ID, v.Version, "The order", route.Order(v.ID)}
		},
		added: " is in: add its lines.", gone: func(garage.Order) string { return route.Orders() }, restored: route.OrderRestore[garage.OrderID],
		get:    s.store.Order,
		create: func(ctx context.Context, v garage.Order) (garage.OrderID, error) { return s.store.CreateOrder(ctx, v) },
		update: estimated(s, s.store.UpdateOrder), delete: s.store.DeleteOrder, restore: s.store.RestoreOrder,
	}
}

func (s *Server) orderShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.OrderID](r, "id")
	if err != nil {
		return err
	}
	sheet, err := s.store.OrderSheet(r.Context(), id)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	v := page.NewOrder(s.base(r, "Order from "+sheet.Supplier.Name, ui.NavParts), sheet, settings, s.today(settings))
	of := garage.PhotoSubject{Kind: garage.PhotoOfOrder, ID: int64(id)}
	if v.Photos, err = s.photoStrip(r.Context(), of, settings.Location()); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Order(v))
}

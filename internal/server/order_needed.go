package server

import (
	"context"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// mostOpen is how many orders on their way are looked at for shipping that is paid.
const mostOpen = 500

// needed is what the plan still wants to be ordered, by supplier.
func (s *Server) needed(ctx context.Context) ([]page.NeededGroup, []garage.SupplierRow, error) {
	p, err := s.planned(ctx)
	if err != nil {
		return nil, nil, err
	}
	suppliers, err := s.store.Suppliers(ctx)
	if err != nil {
		return nil, nil, err
	}
	open, err := s.store.Orders(ctx, garage.OrderFilter{Open: true, Limit: mostOpen})
	return p.NeededGroups(suppliers, open), suppliers, err
}

func (s *Server) toOrder(w http.ResponseWriter, r *http.Request) error {
	groups, _, err := s.needed(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.ToOrder(page.ToOrderView{Base: s.base(r, "Still to order", ui.NavParts), Groups: groups}))
}

// neededAt is what is to be ordered of the supplier of the path; 0 is what no supplier is known for.
func (s *Server) neededAt(r *http.Request) (g page.NeededGroup, suppliers []garage.SupplierRow, settings garage.Settings, err error) {
	var id garage.SupplierID
	if r.PathValue("id") != "0" {
		if id, err = pathID[garage.SupplierID](r, "id"); err != nil {
			return g, nil, settings, err
		}
	}
	groups, suppliers, err := s.needed(r.Context())
	if err != nil {
		return g, nil, settings, err
	}
	settings, err = s.store.Settings(r.Context())
	for _, g := range groups {
		if g.ID == id {
			return g, suppliers, settings, err
		}
	}
	return g, nil, settings, garage.ErrNotFound
}

func (s *Server) toOrderShow(w http.ResponseWriter, r *http.Request) error {
	g, suppliers, settings, err := s.neededAt(r)
	if err != nil {
		return err
	}
	var from garage.Supplier
	for _, row := range suppliers {
		if row.ID == g.ID {
			from = row.Supplier
		}
	}
	return s.toOrderForm(w, r, http.StatusOK, g, suppliers, settings, page.BlankToOrderForm(g, from, s.today(settings)))
}

func (s *Server) toOrderForm(w http.ResponseWriter, r *http.Request, status int, g page.NeededGroup, suppliers []garage.SupplierRow, settings garage.Settings, form page.ToOrderForm) error {
	v := page.NewToOrderAt(s.base(r, "Order from "+g.Name, ui.NavParts), g, settings.Currency, suppliers, form)
	return s.render(w, r, status, page.ToOrderAt(v))
}

// toOrderCreate makes an order out of what is ticked.
func (s *Server) toOrderCreate(w http.ResponseWriter, r *http.Request) error {
	g, suppliers, settings, err := s.neededAt(r)
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	deposits, err := s.store.LastDeposits(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadToOrderForm(values)
	o := form.Order(garage.Order{Home: settings.Currency}, suppliers)
	lines := form.Lines(g, o, deposits)
	var id garage.OrderID
	if len(form.Errors) == 0 {
		id, err = s.store.CreateOrder(r.Context(), o, lines...)
	}
	if len(form.Errors) > 0 || refused(err, &form.Errors) {
		return s.toOrderForm(w, r, http.StatusUnprocessableEntity, g, suppliers, settings, form)
	}
	if err == nil {
		err = s.estimate(r.Context())
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Order(id), ui.Flash{Text: "The order is in: look at its prices.", Undo: route.OrderDelete(id)})
}

// addOrderNeeds tells today what has to be sent back soon.
func (s *Server) addOrderNeeds(r *http.Request, v *page.TodayView, today garage.Date) error {
	backs, err := s.store.OrderReturns(r.Context())
	v.AddReturns(backs, today)
	return err
}

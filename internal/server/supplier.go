package server

import (
	"context"
	"net/http"
	"net/url"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) supplierIndex(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.store.Suppliers(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Suppliers(page.NewSuppliers(s.base(r, "Suppliers", ui.NavParts), rows)))
}

func (s *Server) supplierShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.SupplierID](r, "id")
	if err != nil {
		return err
	}
	v, err := s.store.Supplier(r.Context(), id)
	if err != nil {
		return err
	}
	parts, err := s.store.SupplierParts(r.Context(), v.Name)
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	record, err := s.supplierRecord(r.Context(), id, settings.Location())
	if err != nil {
		return err
	}
	shown := page.NewSupplier(s.base(r, v.Name, ui.NavParts), v, parts, record, settings.Location(), s.today(settings))
	return s.render(w, r, http.StatusOK, page.Supplier(shown))
}

// recordShown is how much of a supplier's record a page shows.
const recordShown = 50

// supplierRecord is how a supplier keeps promises; what others do counts too, while little is known of this one.
func (s *Server) supplierRecord(ctx context.Context, id garage.SupplierID, zone *time.Location) (record page.SupplierRecord, err error) {
	all, err := s.store.ArrivalRecords(ctx, 0)
	if err != nil {
		return record, err
	}
	record.Delay = planner.DelaysOf(all, zone).For(planner.SupplierRef(id))
	if record.Came, err = s.store.ArrivalRecords(ctx, id); err != nil {
		return record, err
	}
	record.Came = record.Came[:min(len(record.Came), recordShown)]
	record.Open, err = s.store.Orders(ctx, garage.OrderFilter{Supplier: id, Open: true, Limit: recordShown})
	return record, err
}

func (s *Server) suppliers() *noun[garage.SupplierID, garage.Supplier, page.SupplierForm] {
	return &noun[garage.SupplierID, garage.Supplier, page.SupplierForm]{
		s: s,
		fresh: func(r *http.Request) (garage.Supplier, page.SupplierForm, error) {
			settings, err := s.store.Settings(r.Context())
			return garage.Supplier{}, page.BlankSupplierForm(settings), err
		},
		typed: func(_ *http.Request, over garage.Supplier, sent url.Values) (garage.Supplier, page.SupplierForm, error) {
			form := page.ReadSupplierForm(sent)
			return form.Supplier(over), form, nil
		},
		form: func(r *http.Request, of garage.Supplier, form page.SupplierForm) (templ.Component, error) {
			title := titled("Add a supplier", of.ID, "Change a supplier")
			return page.SupplierEdit(page.SupplierEditView{Base: s.base(r, title, ui.NavParts), ID: of.ID, Form: form}), nil
		},
		filled: page.NewSupplierForm,
		errors: func(f *page.SupplierForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.Supplier, f page.SupplierForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewSupplierForm(stored)), nil
		},
		about: func(v garage.Supplier) entry[garage.SupplierID] {
			return entry[garage.SupplierID]{v.ID, v.Version, v.Name, route.Supplier(v.ID)}
		},
		added: " is in.", gone: func(garage.Supplier) string { return route.Suppliers() }, restored: route.SupplierRestore[garage.SupplierID],
		get: s.store.Supplier, create: s.store.CreateSupplier, update: s.store.UpdateSupplier,
		delete: s.store.DeleteSupplier, restore: s.store.RestoreSupplier,
	}
}

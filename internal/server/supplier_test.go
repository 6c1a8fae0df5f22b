package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

func (s *site) addSupplier(changes ...func(*garage.Supplier)) garage.SupplierID {
	s.Helper()
	id, err := s.store.CreateSupplier(s.Context(), garagetest.Supplier(changes...))
	if err != nil {
		s.Fatal(err)
	}
	return id
}

func TestSupplier(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get(route.Suppliers()).is(http.StatusOK).says("No supplier yet")
	s.refuses(route.SupplierNew(), "shipping", "dear", "Give it a name.", "Write an amount like 12.50.")
	s.refuses(route.SupplierNew(), "return_days", "-1", "From 0 to 3,653 days.")
	s.refuses(route.SupplierNew(), "currency", "E1", "Three capital letters")
	s.fill(route.SupplierNew(), "form.form", url.Values{
		"name": {"Quill & Lathe"}, "lead_low": {"2"}, "lead_likely": {"4"}, "lead_high": {"9"}, "shipping": {"7,90"},
	}).is(http.StatusSeeOther)
	v, err := s.store.SupplierNamed(t.Context(), "Quill & Lathe")
	if err != nil {
		t.Fatal(err)
	}
	part := s.addPart(func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = nil, nil, nil })
	s.get(route.Supplier(v.ID)).is(http.StatusOK).says("2 to 9 days, likely 4", "7.90 EUR", "14 days of its arrival", "30 days from the delivery", "Trailing arm")
	s.get(route.Part(part)).is(http.StatusOK).says("2 to 9 days, likely 4, as usual there")
	s.stale(route.SupplierEdit(v.ID), "notes", "Rings back", "Never rings").to(route.Supplier(v.ID))
	s.refuses(route.SupplierNew(), "name", "QUILL & lathe", "There is a supplier of that name already.")
	s.post(route.SupplierDelete(v.ID), nil).to(route.Suppliers())
	s.get(route.Supplier(v.ID)).is(http.StatusNotFound)
	s.post(route.SupplierRestore(v.ID), nil).to(route.Suppliers())
	s.get(route.Suppliers()).says("Quill & Lathe")
	s.get(route.Supplier(garage.SupplierID(9999))).is(http.StatusNotFound)
}

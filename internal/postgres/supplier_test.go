package postgres_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func createSupplier(t *testing.T, s *postgres.Store, changes ...func(*garage.Supplier)) garage.SupplierID {
	t.Helper()
	id, err := s.CreateSupplier(t.Context(), garagetest.Supplier(changes...))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestStore_Supplier(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createSupplier(t, s)
	got, err := s.Supplier(t.Context(), id)
	want := garagetest.Supplier(func(v *garage.Supplier) { v.ID = id })
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Fatalf("%v; stored (-want +got):\n%s", err, diff)
	}
	if named, err := s.SupplierNamed(t.Context(), "HARBOUR motor factors"); err != nil || named.ID != id {
		t.Errorf("by its name: %+v, %v", named, err)
	}
	if _, err := s.CreateSupplier(t.Context(), garagetest.Supplier(func(v *garage.Supplier) { v.Name = "harbour motor factors" })); refusedAt(err) != "name" {
		t.Errorf("the name again: %v", err)
	}
	got.LeadLow, got.LeadLikely, got.LeadHigh, got.Shipping, got.ReturnDays, got.CoreN = nil, nil, nil, nil, nil, nil
	if err := s.UpdateSupplier(t.Context(), got); err != nil {
		t.Fatal(err)
	}
	if err := s.UpdateSupplier(t.Context(), got); !errors.Is(err, garage.ErrConflict) {
		t.Errorf("saved from an old page: %v", err)
	}
	if err := s.DeleteSupplier(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteSupplier(t.Context(), id), second(s.Supplier(t.Context(), id)), s.UpdateSupplier(t.Context(), got), s.RestoreSupplier(t.Context(), 1<<40)} {
		if !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("deleted: %v", err)
		}
	}
	other := createSupplier(t, s)
	if err := s.RestoreSupplier(t.Context(), id); refusedAt(err) != "name" {
		t.Errorf("another has the name by now: %v", err)
	}
	if err := s.DeleteSupplier(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	if err := s.RestoreSupplier(t.Context(), id); err != nil {
		t.Error(err)
	}
}

// A part without days of its own is had in those of its supplier; what names a supplier follows its name.
func TestStore_Supplier_lends_its_days_and_its_name(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	id := createSupplier(t, s, func(v *garage.Supplier) { v.Name = "Quill & Lathe" })
	own := createPart(t, s)
	silent := createPart(t, s, func(p *garage.Part) { p.Supplier, p.LeadLow, p.LeadLikely, p.LeadHigh = "quill & LATHE", nil, nil, nil })
	lead := func(id garage.PartID) []int {
		t.Helper()
		shot, err := s.Snapshot(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range shot.Parts {
			if p.ID == id && p.LeadLow != nil {
				return []int{*p.LeadLow, *p.LeadLikely, *p.LeadHigh}
			}
		}
		return nil
	}
	if diff := cmp.Diff([][]int{{3, 5, 12}, {2, 4, 9}}, [][]int{lead(own), lead(silent)}); diff != "" {
		t.Errorf("days (-want +got):\n%s", diff)
	}
	if p, err := s.Part(t.Context(), silent); err != nil || p.LeadLow != nil {
		t.Errorf("the part itself says %v, %v", p.LeadLow, err)
	}
	v, err := s.Supplier(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	v.Name = "Quill, Lathe & Daughters"
	if err := s.UpdateSupplier(t.Context(), v); err != nil {
		t.Fatal(err)
	}
	if parts, err := s.SupplierParts(t.Context(), v.Name); err != nil || len(parts) != 2 {
		t.Errorf("%d parts follow the new name, %v", len(parts), err)
	}
	if rows, err := s.Suppliers(t.Context()); err != nil || len(rows) != 1 || rows[0].Parts != 2 {
		t.Errorf("%+v, %v", rows, err)
	}
	if err := s.DeleteSupplier(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if got := lead(silent); got != nil {
		t.Errorf("nobody lends any days, but they are %v", got)
	}
}

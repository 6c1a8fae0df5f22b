package server

import (
	"net/http"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

// TestBinLabels: a code leads to the page of its bin, by the address by which the sheet was asked for.
func TestBinLabels(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get(route.BinLabels()).is(http.StatusOK).says("No bin yet")
	a, err := s.store.CreateBin(t.Context(), garagetest.Bin())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.store.CreateBin(t.Context(), garagetest.Bin(func(b *garage.Bin) { b.Name = "Kit 1" })); err != nil {
		t.Fatal(err)
	}
	all := s.get(route.BinLabels()).is(http.StatusOK).says("A3", "Kit 1", "which only this machine can open", s.url).doc()
	if codes := all.FindAll("svg.qr"); len(codes) != 2 || codes[0].Attr("aria-label") != "Opens A3" {
		t.Errorf("%d codes", len(codes))
	}
	one := s.get(route.BinLabel(a)).is(http.StatusOK).doc()
	if labels := one.FindAll("li.label"); len(labels) != 1 || !strings.Contains(labels[0].Text(), "A3") {
		t.Errorf("%d labels of one bin", len(labels))
	}
}

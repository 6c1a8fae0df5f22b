package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

func TestPart_twin(t *testing.T) {
	t.Parallel()
	s := setup(t)
	left := s.addPart(func(p *garage.Part) {
		p.Side, p.Number, p.OtherNumbers = "left", "TA-1-L", "TA-0-L > TA-1-L\nReed: 55, 56"
	})
	s.get(route.Part(left)).says("No part is named for the right.", "TA-0-L → TA-1-L", "Reed: 55")
	s.fill(route.PartTwin(left), "form.form", url.Values{"part": {"TA-1-R"}}).is(http.StatusUnprocessableEntity).says("There is no part called TA-1-R. Tick to make it.")
	s.fill(route.PartTwin(left), "form.form", url.Values{"part": {"TA-1-R"}, "new_part": {"yes"}}).to(route.Part(left))
	twin, err := s.store.Twin(t.Context(), left)
	if err != nil {
		t.Fatal(err)
	}
	if href := s.get(route.Part(twin.ID)).says("For the other side").doc().Find(`a[href="` + route.Part(left) + `"]`); href.Attr("href") == "" {
		t.Error("the right one does not lead to the left one")
	}
	s.post(route.PartTwinDelete(twin.ID), nil).to(route.Part(twin.ID))
	s.undo(route.Part(twin.ID)).to(route.Part(twin.ID))
	s.fill(route.PartEdit(left), "form.form", url.Values{"side": {""}}).is(http.StatusUnprocessableEntity).says("It is the left one of two twins. Part them first.")
	none := s.addPart(func(p *garage.Part) { p.Side = "" })
	s.get(route.PartTwin(none)).is(http.StatusOK).says("It has no side")
}

func TestPart_fits(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part := s.addPart(func(p *garage.Part) { p.Variant = "without ABS" })
	s.get(route.PartFits(part)).is(http.StatusOK).says("No car yet")
	car, err := s.store.CreateCar(t.Context(), garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	s.get(route.PartFits(part)).says("Must match: without ABS")
	s.fill(route.PartFits(part), "form.form", url.Values{"known": {"surely"}}).is(http.StatusUnprocessableEntity).says("Choose")
	on := route.PartFitOn(part, car)
	s.fill(on, "form.form", url.Values{"known": {garage.FitGuessed}, "note": {"same flange"}}).to(route.Part(part))
	s.get(route.Part(part)).says(garagetest.Car().Name, "guessed", "same flange")
	s.fill(on, "form.form", url.Values{"known": {garage.FitChecked}}).to(route.Part(part))
	fits, err := s.store.PartFits(t.Context(), part)
	if err != nil || len(fits) != 1 || fits[0].Note != "same flange" {
		t.Fatal(fits, err)
	}
	s.post(route.PartFitDelete(fits[0].ID), nil).to(route.Part(part))
	s.undo(route.Part(part)).to(route.Part(part))
	s.get(route.Part(part)).says("checked on the car")
}

func TestPart_replacedNumber(t *testing.T) {
	t.Parallel()
	s := setup(t)
	old := s.addPart(func(p *garage.Part) { p.Number, p.OtherNumbers = "KF-8", "KF-8 > KF-9 > KF-10" })
	s.get(route.Part(old)).says("Ask for KF-10: it replaced KF-8.")
	next := s.addPart(func(p *garage.Part) { p.Name, p.Number, p.OtherNumbers = "Pump, later", "kf 10", "" })
	if got := s.get(route.Part(old)).says("Other parts of one of its numbers").doc().Find(`a[href="` + route.Part(next) + `"]`).Text(); got == "" {
		t.Error("the part that replaced it is not there")
	}
}

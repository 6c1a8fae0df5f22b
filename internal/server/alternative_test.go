package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// A need of a new part that takes two weeks: a refurbished one with a deposit comes sooner, and the donor has one at once.
func TestAlternatives(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	s.addSupplier(func(v *garage.Supplier) { v.Name = "Quill & Lathe" })
	fresh := s.addPart(func(p *garage.Part) { p.LeadLow, p.LeadLikely, p.LeadHigh = new(20), new(21), new(22) })
	again := s.addPart(func(p *garage.Part) {
		p.Number, p.OtherNumbers, p.Grade, p.Price = "R-7", "", "refurbished", 9000
		p.LeadLow, p.LeadLikely, p.LeadHigh = new(9), new(10), new(11)
	})
	s.addPart(func(p *garage.Part) { p.Number, p.OtherNumbers, p.Grade = "X-1", "", "made here" })
	s.exec(`insert into cores (part_id, supplier, currency, deposit, window_n, window_count, basis, paid, outstanding)
		values ($1, 'Quill & Lathe', 'EUR', 4500, 30, 'days', 'purchase', 4500, 4500)`, again)
	donor := s.addCar(func(c *garage.Car) { c.Name, c.Role = "Spare set", garage.Donor })
	s.exec(`insert into donor_parts (car_id, part_id, quantity, condition, removal_minutes) values ($1, $2, 1, 'good', 45)`, donor, fresh)
	job := s.addJob(s.addCar(), "Front brakes")
	var need garage.NeedID
	err := s.db.QueryRow(t.Context(), `insert into needs (stage_id, part_id, quantity, stops, least_grade) values ($1, $2, 1, true, 'used') returning id`, s.stageOf(job), fresh).Scan(&need)
	if err != nil {
		t.Fatal(err)
	}
	at := route.Alternatives(need)
	shown := s.get(at).is(http.StatusOK).says(
		"For Front brakes: 1 × Trailing arm", "As it is planned", "197.40 EUR", "with 7.90 EUR shipping",
		"97.90 EUR", "refurbished", "45.00 EUR each", "Off Spare set", "nothing to pay", "45 min to take off", "Its grade would not do: Trailing arm, left · X-1 (made here).",
		"Sat 27 Mar", "Sat 20 Mar", "Sat 6 Mar")
	s.get(route.NeedEdit(need)).says("Alternatives")
	for _, plan := range shown.links("The plan with it") {
		s.get(plan).is(http.StatusOK)
	}
	for _, form := range shown.doc().FindAll("main form") {
		if strings.HasPrefix(form.FormValues().Get("if"), "off-donor") {
			s.post(form.Attr("action"), form.FormValues()).to(route.Plan())
		}
	}
	s.get(at).is(http.StatusOK).says("As it is planned", "Sat 6 Mar")
	s.get(route.Jobs()).says("Take off: Trailing arm")
	order := s.post(at, url.Values{"part": {idOf(again)}, "version": {idOf(s.garageVersion())}}).is(http.StatusSeeOther).location
	s.get(order).says("Noted as ordered", "R-7", "90.00 EUR each", "45.00 EUR of deposits", "7.90 EUR")
	s.post(at, url.Values{"part": {idOf(fresh)}, "version": {"1"}}).is(http.StatusConflict)
	s.post(at, url.Values{"part": {"x"}}).is(http.StatusNotFound)
	if n, err := s.store.Need(t.Context(), need); err != nil || n.PartID != again {
		t.Errorf("%+v, %v", n, err)
	}
	s.get(route.Alternatives(garage.NeedID(9999))).is(http.StatusNotFound)
}

func (s *site) garageVersion() int64 {
	s.Helper()
	v, err := s.store.GarageVersion(s.Context())
	if err != nil {
		s.Fatal(err)
	}
	return v
}

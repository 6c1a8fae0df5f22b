package server

import (
	"net/http"
	"net/url"
	"path"
	"strconv"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/route"
)

// donorYard is a donor with the part that a job on another car needs, which a harvest job takes off.
func donorYard(s *site) (donor garage.CarID, part garage.PartID, job, harvest garage.JobID, on garage.DonorPartID) {
	s.Helper()
	part, _, second, needs := kitYard(s)
	ctx := s.Context()
	if err := s.store.DeleteNeed(ctx, needs[0]); err != nil {
		s.Fatal(err)
	}
	stock, err := s.store.StockOf(ctx, part)
	if err != nil {
		s.Fatal(err)
	}
	if _, err := s.store.TakeStock(ctx, garage.Movement{PartID: part, BinID: stock[0].BinID, Quantity: -2, Kind: "scrapped"}); err != nil {
		s.Fatal(err)
	}
	if donor, err = s.store.CreateCar(ctx, garagetest.Donor(func(c *garage.Car) {
		c.Stands, c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh = garage.Outside, nil, nil, nil
	})); err != nil {
		s.Fatal(err)
	}
	on, err = s.store.CreateDonorPart(ctx, garagetest.DonorPart(func(d *garage.DonorPart) {
		d.CarID, d.Quantity, d.Worth, d.RemovalMinutes = donor, 1, new(int64(8500)), new(40)
	}), garage.PartPick{Text: "Trailing arm"})
	if err != nil {
		s.Fatal(err)
	}
	made := s.fill(route.Harvest(donor), "form.form", url.Values{"parts": {strconv.FormatInt(int64(on), 10)}, "title": {"Arm off"}}).is(http.StatusSeeOther).location
	n, err := strconv.ParseInt(path.Base(made), 10, 64)
	if err != nil {
		s.Fatal(err)
	}
	harvest = garage.JobID(n)
	return donor, part, second, harvest, on
}

// TestDonor: a donor whose arm the plan takes off frees the job that needs it; when it is used, what it saved is counted.
func TestDonor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor, _, job, harvest, on := donorYard(s)
	page := route.Donor(donor)
	s.get(route.Car(donor)).says("comes off in 40 min", "What it costs and brings")
	s.get(page).is(http.StatusOK).says("Spare set", "not without it", "1 job", "85.00 EUR not spent elsewhere", "its room costs nothing", "on the car, good")

	s.fill(route.DonorLedger(donor), "form.form", url.Values{"price": {"cheap"}, "gone_on": {"2027-03-04"}}).
		is(http.StatusUnprocessableEntity).says("Write an amount like 12.50.", "Not before it came")
	s.fill(route.DonorLedger(donor), "form.form", url.Values{
		"price": {"100"}, "transport": {"20"}, "storage_per_day": {"1.50"}, "here_since": {"2027-03-01"}, "scrap_kg": {"100"}, "scrap_price": {"0.20"},
	}).to(page)
	// 100 + 20 + 5 days at 1.50 = 127.50; scrap 20; net outlay 107.50.
	s.get(page).says("127.50 EUR less 20.00 EUR", "107.50 EUR", "5 days at 1.50 EUR", "the shell should go after")
	s.stale(route.DonorLedger(donor), "price", "110", "120").to(page)
	s.fill(route.DonorSaleNew(donor), "form.form", url.Values{"what": {"Bonnet"}, "price": {"40"}, "fees": {"50"}}).is(http.StatusUnprocessableEntity).says("From nothing to the price.")
	s.fill(route.DonorSaleNew(donor), "form.form", url.Values{"what": {"Bonnet"}, "price": {"40"}, "fees": {"5"}}).to(page)
	s.get(page).says("Bonnet is noted.", "35.00 EUR")

	// It comes off and is used: worth what one costs elsewhere.
	if _, err := s.store.TakeOffDonorPart(t.Context(), on, 1, garage.BinPick{Name: "A1"}, s.clock); err != nil {
		t.Fatal(err)
	}
	finish := func(id garage.JobID) {
		stages, err := s.store.Stages(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if short, err := s.store.FinishStage(t.Context(), stages[0].ID, false, new(30), s.clock); err != nil || len(short) > 0 {
			t.Fatal(short, err)
		}
	}
	finish(harvest)
	s.get(page).says("The plan would be the same without it.", "the shell can go now", "Your own hours stand apart: 30 min")
	finish(job)
	s.get(page).says("taken off, 1 used", "85.00 EUR")
}

func TestDonor_empty(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor, err := s.store.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	s.get(route.Donor(donor)).is(http.StatusOK).says("Nothing is noted on it.", "Nothing yet.")
	s.get(route.Donor(garage.CarID(4711))).is(http.StatusNotFound)
	s.get(route.DonorLedger(garage.CarID(4711))).is(http.StatusNotFound)
	s.fill(route.DonorSaleNew(donor), "form.form", url.Values{"what": {"Seats"}, "price": {"40"}}).to(route.Donor(donor))
	sheet, err := s.store.DonorSheet(t.Context(), donor)
	if err != nil || len(sheet.Sales) != 1 {
		t.Fatal(sheet, err)
	}
	s.post(route.DonorSaleDelete(sheet.Sales[0].ID), nil).to(route.Donor(donor))
	s.undo(route.Donor(donor)).to(route.Donor(donor))
	s.stale(route.DonorSaleEdit(sheet.Sales[0].ID), "price", "45", "50").to(route.Donor(donor))
}

// TestDonorSale_takesFromTheShelf sells one of two pieces that were taken off, takes the sale back and sells again.
func TestDonorSale_takesFromTheShelf(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor := s.addCar(func(c *garage.Car) { c.Name, c.Role, c.Stands = "Spare set", garage.Donor, garage.Outside })
	part := s.addPart()
	s.exec(`insert into donor_parts (car_id, part_id, quantity) values ($1, $2, 2)`, donor, part)
	on, err := s.store.PartOnDonors(t.Context(), part)
	if err != nil || len(on) != 1 {
		t.Fatalf("%+v, %v", on, err)
	}
	if _, err := s.store.TakeOffDonorPart(t.Context(), on[0].ID, 2, garage.BinPick{Name: "A1", New: true}, s.clock); err != nil {
		t.Fatal(err)
	}
	left := func() (n int) {
		shelf, err := s.store.DonorShelf(t.Context(), donor)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range shelf {
			n += p.Quantity
		}
		return n
	}
	form := s.get(route.DonorSaleNew(donor)).says("in A1").doc().Find("#f-piece")
	piece := form.FindAll("option")[1].Attr("value")
	sale := url.Values{"what": {"Trailing arm"}, "price": {"80"}, "fees": {"7"}, "piece": {piece}, "quantity": {"3"}}
	s.fill(route.DonorSaleNew(donor), "form.form", sale).is(http.StatusUnprocessableEntity).says("There is not that much on the shelf any more.")
	sale.Set("quantity", "0")
	s.fill(route.DonorSaleNew(donor), "form.form", sale).is(http.StatusUnprocessableEntity).says("One at least.")
	sale.Set("quantity", "")
	s.fill(route.DonorSaleNew(donor), "form.form", sale).to(route.Donor(donor))
	if left() != 1 {
		t.Errorf("%d left of two after one was sold", left())
	}
	s.get(route.Part(part)).says("sold")
	sheet, err := s.store.DonorSheet(t.Context(), donor)
	if err != nil || len(sheet.Sales) != 1 {
		t.Fatalf("%+v, %v", sheet.Sales, err)
	}
	s.post(route.DonorSaleDelete(sheet.Sales[0].ID), nil).to(route.Donor(donor))
	if left() != 2 {
		t.Errorf("%d left after the sale was taken back", left())
	}
	s.post(route.DonorSaleRestore(sheet.Sales[0].ID), nil).to(route.Donor(donor))
	if left() != 1 {
		t.Errorf("%d left after it was brought back", left())
	}
}

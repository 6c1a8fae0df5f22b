package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/route"
)

// addPart puts a part into the garage.
func (s *site) addPart(changes ...func(*garage.Part)) garage.PartID {
	s.Helper()
	id, err := s.store.CreatePart(s.Context(), garagetest.Part(changes...))
	if err != nil {
		s.Fatal(err)
	}
	return id
}

// undo presses the undo of the flash on a page.
func (s *site) undo(path string) answer {
	s.Helper()
	form := s.get(path).is(http.StatusOK).doc().Find(".flash form")
	return s.post(form.Attr("action"), form.FormValues())
}

func TestPart(t *testing.T) {
	t.Parallel()

	t.Run("none", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.get("/parts").is(http.StatusOK).says("No part yet")
		s.get("/parts?q=arm").is(http.StatusOK).says("Nothing found")
	})

	t.Run("added", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		added := s.fill("/parts/new", "form.form", url.Values{
			"name": {"Trailing arm"}, "number": {"QL 33-1042"}, "side": {"left"}, "price": {"1 189,5"}, "lead_low": {"3"}, "lead_likely": {"5"}, "lead_high": {"12"},
		})
		s.get(added.is(http.StatusSeeOther).location).is(http.StatusOK).
			says("Trailing arm added.", "left · QL 33-1042", "1189.50 EUR each", "3 to 12 days, likely 5", "On hand: 0", "Nothing is expected.")
		s.get("/parts").is(http.StatusOK).says("1 part", "Trailing arm")
		s.get("/parts?q=ql331042").is(http.StatusOK).says("1 part found", "Trailing arm")
	})

	t.Run("price in yen", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill("/settings", "form.form", url.Values{"currency": {"JPY"}}).to("/settings")
		s.fill("/parts/new", "form.form", url.Values{"name": {"Wax"}, "price": {"12.50"}}).
			is(http.StatusUnprocessableEntity).says("JPY has no decimals")
		added := s.fill("/parts/new", "form.form", url.Values{"name": {"Wax"}, "price": {"12 500"}})
		s.get(added.is(http.StatusSeeOther).location).says("12 500 JPY each")
		edit := s.get(added.location + "/edit").doc()
		if got := edit.Find("#f-price").Attr("value"); got != "12500" {
			t.Errorf("price is shown as %q", got)
		}
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.fill("/parts/new", "form.form", url.Values{"name": {""}, "price": {"cheap"}, "lead_low": {"3"}}).
			is(http.StatusUnprocessableEntity).says("Give it a name.", "Write an amount like 12.50.", "Give all three: least, likely, most days.").doc()
		if got := doc.Find("#f-price").Attr("value"); got != "cheap" {
			t.Errorf("price is shown as %q", got)
		}
	})

	t.Run("changed and stale", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		id := s.addPart()
		s.fill(route.PartEdit(id), "form.form", url.Values{"side": {"up"}}).is(http.StatusUnprocessableEntity).says("Choose one of the list.")
		s.stale(route.PartEdit(id), "price", "200.00", "210.00").to(route.Part(id))
		s.get(route.Part(id)).says("210.00 EUR each")
	})

	t.Run("deleted and brought back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		id := s.addPart()
		s.fill(route.Stock(id, page.StockPut), "form.form", url.Values{"bin": {"A1"}, "new_bin": {"yes"}}).to(route.Part(id))
		s.post(route.PartDelete(id), nil).to(route.Part(id))
		s.get(route.Part(id)).says("Trailing arm was not deleted. It is still in use: bin A1.")
		s.fill(route.Stock(id, page.StockTake), "form.form", nil).to(route.Part(id))
		s.post(route.PartDelete(id), nil).to("/parts")
		s.undo("/parts").to(route.Part(id))
		s.get(route.Part(id)).is(http.StatusOK).says("The part is back.")
	})

	t.Run("not there", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, path := range []string{"/parts/999999", "/parts/999999/edit", "/parts/999999/put", "/parts/999999/take", "/parts/999999/arrivals/new", "/arrivals/999999/edit", "/arrivals/999999/receive", "/bins/999999", "/bins/999999/edit", "/donor-parts/999999/edit", "/donor-parts/999999/off", "/cars/999999/donor-parts/new", "/cars/999999/harvest"} {
			s.get(path).is(http.StatusNotFound)
		}
		for _, path := range []string{"/parts/999999", "/parts/999999/delete", "/parts/999999/count", "/movements/999999/reverse", "/arrivals/999999/restore", "/bins/999999/delete", "/donor-parts/999999/restore"} {
			s.post(path, url.Values{"quantity": {"1"}, "name": {"x"}}).is(http.StatusNotFound)
		}
	})
}

func TestPart_pages(t *testing.T) {
	t.Parallel()
	s := setup(t)
	for i := range 230 {
		s.addPart(func(p *garage.Part) { p.Name = fmt.Sprintf("Part %03d", i) })
	}
	first := s.get("/parts?q=part").is(http.StatusOK).says("230 parts found", "1 to 100 of 230", "Part 099").doc()
	if got := len(first.FindAll("tbody tr")); got != 100 {
		t.Errorf("%d rows on the first page", got)
	}
	if first.Has("a[rel=prev]") {
		t.Error("a page before the first")
	}
	second := s.get(first.Find("a[rel=next]").Attr("href")).is(http.StatusOK).says("101 to 200 of 230").doc()
	third := s.get(second.Find("a[rel=next]").Attr("href")).is(http.StatusOK).says("201 to 230 of 230", "Part 229").doc()
	if third.Has("a[rel=next]") {
		t.Error("a page after the last")
	}
	for _, path := range []string{"/parts?page=0", "/parts?page=-4", "/parts?page=x"} {
		s.get(path).is(http.StatusOK).says("1 to 100 of 230")
	}
	s.get("/parts?page=99999999999").is(http.StatusOK)
}

func TestStock(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addPart()
	do := func(action string, change url.Values) answer {
		t.Helper()
		return s.fill(route.Stock(id, action), "form.form", change)
	}
	s.get(route.Stock(id, page.StockTake)).is(http.StatusOK).says("None is on hand")
	do(page.StockPut, url.Values{"bin": {"A1"}, "quantity": {"0"}}).is(http.StatusUnprocessableEntity).
		says("There is no bin called A1. Tick to make it.", "Not zero")
	do(page.StockPut, url.Values{"bin": {"A1"}, "new_bin": {"yes"}, "quantity": {"5"}}).to(route.Part(id))
	s.get(route.Part(id)).is(http.StatusOK).says("5 put into A1.", "On hand: 5", "+5")
	do(page.StockPut, url.Values{"quantity": {"many"}, "kind": {"stolen"}}).is(http.StatusUnprocessableEntity).says("A whole number, please.", "Choose one of the list.")

	do(page.StockTake, url.Values{"quantity": {"6"}}).is(http.StatusUnprocessableEntity).says("Only 5 left in that bin.")
	do(page.StockTake, url.Values{"quantity": {"2"}, "kind": {"scrapped"}, "note": {"cracked"}}).to(route.Part(id))
	s.get(route.Part(id)).says("2 taken.", "On hand: 3", "cracked", "scrapped")
}

func TestStock_undo(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addPart()
	s.fill(route.Stock(id, page.StockPut), "form.form", url.Values{"bin": {"A1"}, "new_bin": {"yes"}, "quantity": {"5"}}).to(route.Part(id))
	one := s.get(route.Part(id)).doc().Find("form[action=" + route.Stock(id, page.StockTake) + "]")
	s.post(one.Attr("action"), one.FormValues()).to(route.Part(id))
	s.undo(route.Part(id)).to(route.Part(id))
	s.get(route.Part(id)).says("Reversed.", "On hand: 5")

	s.fill(route.Stock(id, page.StockMove), "form.form", url.Values{"bin": {"B1"}, "new_bin": {"yes"}, "quantity": {"2"}}).to(route.Part(id))
	s.undo(route.Part(id)).to(route.Part(id))
	s.fill(route.Stock(id, page.StockMove), "form.form", url.Values{"bin": {"A1"}}).is(http.StatusUnprocessableEntity).says("It lies there already.")
	s.fill(route.Stock(id, page.StockMove), "form.form", url.Values{"bin": {"B1"}, "from": {""}}).is(http.StatusUnprocessableEntity).says("Choose the bin.")

	s.fill(route.Stock(id, page.StockCount), "form.form", url.Values{"quantity": {"5"}}).to(route.Part(id))
	s.get(route.Part(id)).says("Counted: as expected.")
	s.fill(route.Stock(id, page.StockCount), "form.form", url.Values{"quantity": {"4"}}).to(route.Part(id))
	s.get(route.Part(id)).says("A1 corrected to 4.", "On hand: 4")
	s.fill(route.Stock(id, page.StockCount), "form.form", url.Values{"quantity": {"-1"}}).is(http.StatusUnprocessableEntity).says("From 0 to 1,000,000.")

	movements, err := s.store.Movements(t.Context(), id, 100)
	if err != nil {
		t.Fatal(err)
	}
	first := movements[len(movements)-1].ID
	s.post(route.MovementReverse(first), nil).to(route.Part(id))
	s.get(route.Part(id)).says("Not reversed. There is not that much in the bin any more.")
}

func TestArrival(t *testing.T) {
	t.Parallel()
	s := setup(t)
	id := s.addPart()
	doc := s.get(route.ArrivalNew(id)).is(http.StatusOK).doc()
	if got := doc.Find("#f-arrives_likely").Attr("value"); got != "2027-03-10" {
		t.Errorf("five days from 5 March is offered as %q", got)
	}
	s.fill(route.ArrivalNew(id), "form.form", url.Values{"quantity": {"0"}, "arrives_low": {"soon"}}).
		is(http.StatusUnprocessableEntity).says("From 1 to 1,000,000.", "A date like 2027-03-06, please.")
	s.fill(route.ArrivalNew(id), "form.form", url.Values{"quantity": {"4"}}).to(route.Part(id))
	s.get(route.Part(id)).is(http.StatusOK).says("4 from Quill & Lathe", "Wed 10 Mar 2027, at the earliest Mon 8 Mar 2027")
	all, err := s.store.Arrivals(t.Context(), id)
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	arrival := all[0].ID
	s.stale(route.ArrivalEdit(arrival), "quantity", "6", "7").to(route.Part(id))
	s.fill(route.ArrivalEdit(arrival), "form.form", url.Values{"arrives_high": {"2027-03-01"}}).
		is(http.StatusUnprocessableEntity).says("The dates must not run backwards")

	s.post(route.ArrivalDelete(arrival), nil).to(route.Part(id))
	s.undo(route.Part(id)).to(route.Part(id))

	receive := route.ArrivalReceive(arrival)
	s.fill(receive, "form.form", url.Values{"quantity": {"8"}, "bin": {"A1"}, "new_bin": {"yes"}}).is(http.StatusUnprocessableEntity).says("From 1 to 7.")
	s.fill(receive, "form.form", url.Values{"quantity": {"5"}, "bin": {"A1"}}).is(http.StatusUnprocessableEntity).says("There is no bin called A1.")
	old := s.get(receive).doc().Find("form.form").FormValues()
	s.fill(receive, "form.form", url.Values{"quantity": {"5"}, "bin": {"A1"}, "new_bin": {"yes"}}).to(route.Part(id))
	s.get(route.Part(id)).says("5 received into A1. Still expected: 2.", "On hand: 5", "2 from Quill & Lathe")
	s.post(receive, old).is(http.StatusConflict)
	s.get(route.ArrivalEdit(arrival)).is(http.StatusConflict)
	s.post(route.ArrivalDelete(arrival), nil).is(http.StatusConflict)
}

func TestBin(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/bins").is(http.StatusOK).says("No bin yet")
	s.fill("/bins/new", "form.form", url.Values{"name": {" "}}).is(http.StatusUnprocessableEntity).says("Give it a name.")
	added := s.fill("/bins/new", "form.form", url.Values{"name": {"A3"}, "place": {"back wall"}}).is(http.StatusSeeOther).location
	s.get(added).is(http.StatusOK).says("A3 added.", "back wall", "Nothing.")
	s.fill("/bins/new", "form.form", url.Values{"name": {"a3"}}).is(http.StatusUnprocessableEntity).says("There is a bin of that name already.")
	s.stale(added+"/edit", "place", "left wall", "right wall").to(added)
	id := s.addPart()
	s.fill(route.Stock(id, page.StockPut), "form.form", url.Values{"bin": {"A3"}, "quantity": {"2"}}).to(route.Part(id))
	s.get(added).says("Trailing arm")
	s.get("/bins").says("A3", "right wall", "1 part")
	s.post(added+"/delete", nil).to(added)
	s.get(added).says("A3 was not deleted. There is still in it: Trailing arm.")
	s.fill(route.Stock(id, page.StockTake), "form.form", url.Values{"quantity": {"2"}}).to(route.Part(id))
	s.post(added+"/delete", nil).to("/bins")
	undo := s.get("/bins").says("A3 deleted.").doc().Find(".flash form")
	s.fill("/bins/new", "form.form", url.Values{"name": {"A3"}}).is(http.StatusSeeOther)
	s.post(undo.Attr("action"), undo.FormValues()).to("/bins")
	s.get("/bins").says("Not brought back. There is a bin of that name already.")
}

func TestDonorPart(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor, err := s.store.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	car := route.Car(donor)
	s.get(car).is(http.StatusOK).says("On this donor", "Note what is still worth taking.")
	s.fill(route.DonorPartNew(donor), "form.form", url.Values{"part": {"Door"}, "quantity": {"none"}}).
		is(http.StatusUnprocessableEntity).says("A whole number, please.")
	s.fill(route.DonorPartNew(donor), "form.form", url.Values{"part": {"Door"}}).
		is(http.StatusUnprocessableEntity).says("There is no part called Door. Tick to make it.")
	s.fill(route.DonorPartNew(donor), "form.form", url.Values{"part": {"Door"}, "new_part": {"yes"}, "side": {"left"}, "quantity": {"2"}}).to(car)
	s.get(car).is(http.StatusOK).says("Door noted.", "Door, left")
	rows, err := s.store.DonorParts(t.Context(), donor)
	if err != nil || len(rows) != 1 {
		t.Fatal(rows, err)
	}
	door := rows[0].ID
	s.stale(route.DonorPartEdit(door), "note", "dented", "sound").to(car)
	s.fill(route.DonorPartEdit(door), "form.form", url.Values{"quantity": {"0"}}).is(http.StatusUnprocessableEntity).says("From 1 to 1,000,000.")
	s.get(route.Part(rows[0].PartID)).is(http.StatusOK).says("On donors", "Tern saloon", "sound")
	s.post(route.DonorPartDelete(door), nil).to(car)
	s.undo(car).to(car)

	if s.get(car).doc().Has("a[href=" + route.DonorPartOff(door) + "]") {
		t.Error("offers to take parts off a car that is not here")
	}
	s.post(route.CarMove(donor), url.Values{"stands": {"outside"}}).to(car)
	off := route.DonorPartOff(door)
	s.fill(off, "form.form", url.Values{"quantity": {"3"}, "bin": {"Shelf"}, "new_bin": {"yes"}}).is(http.StatusUnprocessableEntity).says("From 1 to 2.")
	s.fill(off, "form.form", url.Values{"quantity": {"1"}, "bin": {"Shelf"}, "new_bin": {"yes"}}).to(car)
	s.undo(car).to(route.Part(rows[0].PartID))
	s.fill(off, "form.form", url.Values{"quantity": {"1"}, "bin": {"Shelf"}}).to(car)
	s.get(car).says("Door is in Shelf now.", "taken off Fri 5 Mar 2027")
	s.get(off).is(http.StatusConflict)
	s.get(route.DonorPartEdit(door)).is(http.StatusConflict)
}

func TestHarvest(t *testing.T) {
	t.Parallel()
	s := setup(t)
	donor, err := s.store.CreateCar(t.Context(), garagetest.Donor())
	if err != nil {
		t.Fatal(err)
	}
	s.get(route.Harvest(donor)).is(http.StatusOK).says("Nothing to take off")
	for _, name := range []string{"Door", "Seat"} {
		s.fill(route.DonorPartNew(donor), "form.form", url.Values{"part": {name}, "new_part": {"yes"}}).to(route.Car(donor))
	}
	form := route.Harvest(donor)
	s.fill(form, "form.form", url.Values{"minutes_low": {"45"}, "minutes_likely": {"a while"}, "minutes_high": {"2 h"}}).
		is(http.StatusUnprocessableEntity).says("Tick what it takes off.", "Give it a name.", "Times like 45, 1:30 or 2 h, please.")
	rows, err := s.store.DonorParts(t.Context(), donor)
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	made := s.fill(form, "form.form", url.Values{
		"parts": {garageID(rows[0].ID)}, "title": {"Strip the doors"}, "minutes_low": {"45"}, "minutes_likely": {"1:00"}, "minutes_high": {"2 h"}, "lift": {"yes"},
	}).is(http.StatusSeeOther)
	s.get(made.location).is(http.StatusOK).says("Strip the doors added.", "Door")
	s.get(route.Car(donor)).says("comes off by Strip the doors")
	left := s.get(form).is(http.StatusOK).doc()
	if boxes := left.FindAll("input[name=parts]"); len(boxes) != 1 || !strings.Contains(left.Find("form.form").Text(), "Seat") {
		t.Errorf("%d parts are left to choose", len(boxes))
	}
}

package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// addOrder makes an order by its form, of three pieces at 40.00 with 18.00 of shipping, and returns its page.
func (s *site) addOrder(change url.Values, line url.Values) string {
	s.Helper()
	supplier := s.addSupplier()
	values := url.Values{"number": {"H-204"}, "ordered_on": {"2027-03-02"}, "promised_on": {"2027-03-04"}, "shipping": {"18"}}
	for field, v := range change {
		values[field] = v
	}
	made := s.fill(route.OrderNewAt(supplier), "form.form", values).is(http.StatusSeeOther)
	at := made.location
	s.addPart()
	values = url.Values{"part": {"QL 33-1042 B"}, "quantity": {"3"}, "price": {"40"}}
	for field, v := range line {
		values[field] = v
	}
	s.fill(at+"/lines/new", "form.form", values).to(at)
	return at
}

// links are the addresses of a page's links with that text.
func (a answer) links(text string) (all []string) {
	a.Helper()
	for _, link := range a.doc().FindAll("main a") {
		if link.Text() == text {
			all = append(all, link.Attr("href"))
		}
	}
	if len(all) == 0 {
		a.Fatalf("no link says %q", text)
	}
	return all
}

func TestOrder_comes_and_goes_back(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get(route.Orders()).is(http.StatusOK).says("Nothing is on its way")
	s.get("/orders?show=all").is(http.StatusOK).says("No order yet")
	at := s.addOrder(nil, nil)
	s.get(route.Orders()).says("Harbour Motor Factors", "H-204", "0 of 3")
	shown := s.get(at).is(http.StatusOK).says("Order H-204", "0 of 3", "40.00 EUR each", "138.00 EUR", "46.00 EUR each", "Shipping 18.00 EUR", "Paid in all 138.00 EUR")

	receive := shown.links("Received")[0]
	s.fill(receive, "form.form", url.Values{"quantity": {"4"}, "bin": {"A1"}, "new_bin": {"yes"}}).is(http.StatusUnprocessableEntity)
	s.fill(receive, "form.form", url.Values{"quantity": {"2"}, "bin": {"A1"}, "new_bin": {"yes"}}).to(at)
	shown = s.get(at).says("2 received into A1. Still expected: 1.", "2 of 3", "came Fri 5 Mar 2027, can go back until Fri 19 Mar 2027", "92.00 EUR")

	back := shown.links("Send back")[0]
	s.get(back).says("The last day to send them is Fri 19 Mar 2027.")
	s.clock = s.clock.AddDate(0, 0, 15)
	s.get(back).says("The last day to send them was Fri 19 Mar 2027: ask first")
	s.clock = s.clock.AddDate(0, 0, -15)
	s.fill(back, "form.form", url.Values{"quantity": {"3"}}).is(http.StatusUnprocessableEntity).says("From 1 to 2")
	s.fill(back, "form.form", url.Values{"why": {"moody"}}).is(http.StatusUnprocessableEntity).says("Choose one of the list.")
	s.fill(back, "form.form", url.Values{"why": {"damaged"}, "note": {"Bent eye"}}).to(at)
	s.undo(at).is(http.StatusSeeOther)
	if text := s.get(at).doc().Find("main").Text(); strings.Contains(text, "Bent eye") {
		t.Error("taken back, but it still goes back")
	}
	s.fill(back, "form.form", url.Values{"why": {"damaged"}, "note": {"Bent eye"}, "again": {"yes"}}).to(at)
	s.get(route.Orders()).says("To be sent back", "send it by Fri 19 Mar 2027")
	shown = s.get(at).says("Goes back", "Bent eye", "in place of what went back")
	var form string
	for _, a := range shown.doc().FindAll("main a") {
		if strings.HasPrefix(a.Attr("href"), "/order-returns/") {
			form = a.Attr("href")
		}
	}
	s.fill(form, "form.form", url.Values{"refunded": {"40"}}).is(http.StatusUnprocessableEntity).says("Give both")
	s.stale(form, "tracking", "TR-1", "TR-2").to(at)
	s.fill(form, "form.form", url.Values{"sent_on": {"2027-03-05"}}).to(at)
	s.get(at).says("sent Fri 5 Mar 2027", "TR-2")

	for _, receive := range s.get(at).links("Received") {
		s.fill(receive, "form.form", url.Values{"bin": {"A1"}}).to(at)
	}
	s.get(at).says("all here", "3 of 3")
	s.costs("13800")
	s.fill(at+"/edit", "form.form", url.Values{"paid": {"150"}}).to(at)
	s.get(at).says("More, as paid 12.00 EUR", "Paid in all 150.00 EUR", "50.00 EUR each")
	s.costs("15000")
	s.post(at+"/delete", nil).is(http.StatusUnprocessableEntity).says("Some of it has come.")
}

// costs holds what is noted of the pieces in the bins against a sum in minor units.
func (s *site) costs(want string) {
	s.Helper()
	var got string
	if err := s.db.QueryRow(s.Context(), `select coalesce(sum(amount), 0)::text from order_costs`).Scan(&got); err != nil || got != want {
		s.Errorf("noted %s, want %s, %v", got, want, err)
	}
}

func TestOrder_form(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.refuses(route.OrderNew(), "shipping", "dear", "Write an amount like 12.50.", "Choose the supplier.")
	at := s.addOrder(url.Values{"shipping": {""}}, nil)
	s.get(at).says("7.90 EUR", "14 days of its arrival")
	for field, typed := range map[string]string{
		"promised_on": "2027-03-01", "currency": "EURO", "rate": "1.1", "paid": "-3", "ordered_on": "soon", "return_days": "x", "handling": "1.234",
	} {
		s.refuses(at+"/edit", field, typed)
	}
	s.fill(at+"/edit", "form.form", url.Values{"currency": {"GBP"}, "rate": {""}}).is(http.StatusUnprocessableEntity).says("How many EUR is one GBP?")
	s.fill(at+"/edit", "form.form", url.Values{"currency": {"GBP"}, "rate": {"1.15"}, "shipping": {"0"}}).to(at)
	s.get(at).says("Paid in all 120.00 GBP", "138.00 EUR without deposits, at 1.15 on Tue 2 Mar 2027")
	s.stale(at+"/edit", "number", "H-205", "H-206").to(at)
	s.post(at+"/delete", nil).to(route.Orders())
	s.undo(route.Orders()).to(route.Orders())
	s.get(at).is(http.StatusOK).says("0 of 3")
	s.get(route.Order(garage.OrderID(9999))).is(http.StatusNotFound)
	s.get(route.OrderNewAt(garage.SupplierID(9999))).is(http.StatusNotFound)
}

func TestOrder_lines(t *testing.T) {
	t.Parallel()
	s := setup(t)
	at := s.addOrder(nil, url.Values{"deposit": {"45"}})
	s.get(at).says("135.00 EUR of deposits: 0.00 EUR refunded, 0.00 EUR lost, 135.00 EUR outstanding", "Paid in all 273.00 EUR", "46.00 EUR each", "take the old unit off")
	s.refuses(at+"/lines/new", "part", "Unheard of", "There is no part called Unheard of. Tick to make it.")
	s.refuses(at+"/lines/new", "price", "dear", "Write an amount like 12.50.")
	change := s.get(at).links("Change")[1]
	s.refuses(change, "quantity", "0", "From 1 to")
	s.refuses(change, "deposit", "1,23456")
	s.stale(change, "quantity", "4", "5").to(at)
	s.get(at).says("0 of 5", "225.00 EUR of deposits")
	receive := s.get(at).links("Received")[0]
	s.fill(receive, "form.form", url.Values{"quantity": {"2"}, "bin": {"A1"}, "new_bin": {"yes"}}).to(at)
	for _, form := range s.get(at).doc().FindAll("main form.one") {
		if strings.HasSuffix(form.Attr("action"), "/cancel") {
			s.post(form.Attr("action"), nil).to(at)
			s.post(form.Attr("action"), nil).to(at)
			s.get(at).says("Nothing more is expected of it.")
		}
	}
	s.get(at).says("all here", "2 of 2", "3 cancelled", "90.00 EUR of deposits")
	s.refuses(change, "quantity", "1", "Of it 2 came, and 3 are cancelled.")
	s.post(strings.TrimSuffix(change, "/edit")+"/expect", nil).to(at)
	s.get(at).says("2 of 5", "225.00 EUR of deposits")
	s.post(strings.TrimSuffix(change, "/edit")+"/delete", nil).is(http.StatusUnprocessableEntity)
}

// What is ordered stands with its part, and is changed in its order.
func TestOrder_arrival(t *testing.T) {
	t.Parallel()
	s := setup(t)
	at := s.addOrder(nil, nil)
	arrivals := s.get(at).links("Received")
	edit := strings.TrimSuffix(arrivals[0], "/receive") + "/edit"
	s.get(edit).is(http.StatusOK).says("3 ordered from Harbour Motor Factors.", "See the order")
	s.fill(edit, "form.form", url.Values{"arrives_low": {"2027-03-08"}, "arrives_likely": {"2027-03-09"}, "arrives_high": {"2027-03-10"}, "quantity": {"77"}}).to(at)
	s.get(at).says("Tue 9 Mar 2027, at the earliest Mon 8 Mar 2027", "0 of 3")
	s.post(strings.TrimSuffix(arrivals[0], "/receive")+"/delete", nil).is(http.StatusUnprocessableEntity).says("cancel it there")
}

// What the plan wants is ordered by supplier, from a selection.
func TestToOrder(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get(route.ToOrder()).is(http.StatusOK).says("Nothing to order")
	s.addSaturdays()
	supplier := s.addSupplier(func(v *garage.Supplier) { v.Name = "Quill & Lathe" })
	arm := s.addPart()
	nobody := s.addPart(func(p *garage.Part) { p.Name, p.Number, p.OtherNumbers, p.Supplier = "Bush", "B-1", "", "" })
	job := s.addJob(s.addCar(), "Front brakes")
	for part, n := range map[garage.PartID]int{arm: 2, nobody: 1} {
		s.exec(`insert into needs (stage_id, part_id, quantity, stops) values ($1, $2, $3, true)`, s.stageOf(job), part, n)
	}
	s.get(route.ToOrder()).is(http.StatusOK).says("Quill & Lathe", "Shipping there is usually 7.90 EUR", "Trailing arm, left", "for Front brakes", "189.50 EUR each", "No supplier known", "Bush")
	at := route.ToOrderAt(supplier)
	s.fill(at, "form.form", url.Values{"parts": nil}).is(http.StatusUnprocessableEntity).says("Tick what to order.")
	s.refuses(at, "promised_on", "2020-01-01", "Not before it was ordered.")
	order := s.fill(at, "form.form", url.Values{"number": {"Q-1"}}).is(http.StatusSeeOther).location
	s.get(order).says("Order Q-1", "0 of 2", "189.50 EUR each", "7.90 EUR")
	s.get(at).is(http.StatusNotFound)
	s.get(route.ToOrderAt(garage.SupplierID(0))).is(http.StatusOK).says("Bush")
	s.fill(route.ToOrderAt(garage.SupplierID(0)), "form.form", nil).is(http.StatusUnprocessableEntity).says("Choose the supplier.")
	s.exec(`insert into needs (stage_id, part_id, quantity, stops) values ($1, $2, 1, true)`, s.stageOf(job), arm)
	s.get(route.ToOrder()).says("Shipping is paid already: 7.90 EUR on Q-1.")
}

// What came late makes the next promise later, and the supplier's page says so.
func TestSupplier_record(t *testing.T) {
	t.Parallel()
	s := setup(t)
	at := s.addOrder(nil, nil)
	v, err := s.store.SupplierNamed(t.Context(), "Harbour Motor Factors")
	if err != nil {
		t.Fatal(err)
	}
	s.get(route.Supplier(v.ID)).is(http.StatusOK).says("Order H-204", "Nothing that was promised has come from there yet")
	before := s.get(at).doc().Find("main").Text()
	s.exec(`update orders set promised_on = '2027-02-20', ordered_on = '2027-02-10'`)
	s.exec(`update arrivals set promised_on = '2027-02-20'`)
	receive := s.get(at).links("Received")[0]
	s.fill(receive, "form.form", url.Values{"bin": {"A1"}, "new_bin": {"yes"}}).to(at)
	s.get(route.Supplier(v.ID)).says("Sat 20 Feb 2027", "Fri 5 Mar 2027", "13 days late", "It rests on 1 arrival from there")
	s.post(route.Orders(), url.Values{"supplier": {idOf(v.ID)}, "ordered_on": {"2027-03-05"}, "promised_on": {"2027-03-10"}, "currency": {"EUR"}}).is(http.StatusSeeOther)
	all, err := s.store.Orders(t.Context(), garage.OrderFilter{Limit: 1})
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	second := route.Order(all[0].ID)
	s.fill(second+"/lines/new", "form.form", url.Values{"part": {"QL 33-1042 B"}, "quantity": {"1"}, "price": {"40"}}).to(second)
	open, err := s.store.OpenPromises(t.Context())
	if err != nil || len(open) != 1 || !open[0].PromisedOn.AddDays(1).Before(open[0].Likely) || strings.Contains(before, "Wed 10 Mar") {
		t.Errorf("%+v, %v", open, err)
	}
}

// What goes back soon stands on the first page.
func TestToday_says_what_goes_back(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addCar()
	at := s.addOrder(nil, nil)
	s.fill(s.get(at).links("Received")[0], "form.form", url.Values{"bin": {"A1"}, "new_bin": {"yes"}}).to(at)
	s.fill(s.get(at).links("Send back")[0], "form.form", url.Values{"why": {"wrong"}}).to(at)
	if text := s.get("/").doc().Find("main").Text(); strings.Contains(text, "Harbour Motor Factors") {
		t.Error("two weeks ahead it needs nobody yet")
	}
	s.exec(`update order_returns set last_day = '2027-03-08'`)
	s.get("/").says("Trailing arm", "to Harbour Motor Factors: send it by Mon 8 Mar 2027")
}

// 120 orders stand on two pages, the newest first.
func TestOrders_pages(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.exec(`insert into orders (supplier_id, number, ordered_on, currency, home, rate)
		select $1, 'N-' || i || '.', date '2026-01-01' + i, 'EUR', 'EUR', 1000000000 from generate_series(1, 120) i`, s.addSupplier())
	first := s.get(route.OrdersAll("1")).is(http.StatusOK).says("1 to 100 of 120", "N-120.", "N-21.")
	if strings.Contains(first.doc().Find("main").Text(), "N-20.") {
		t.Error("the second page's stand on the first too")
	}
	s.get(first.links("After")[0]).is(http.StatusOK).says("101 to 120 of 120", "N-20.", "N-1.")
	s.get(route.Orders()).says("Nothing is on its way")
	s.get(route.OrdersAll("99999999999999999999")).is(http.StatusOK).says("1 to 100 of 120")
}

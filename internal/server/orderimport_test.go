package server

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// A pasted order: seen first, made at once, two of three come, one goes back, and what is noted adds up to what was paid.
func TestOrderImport(t *testing.T) {
	t.Parallel()
	s := setup(t)
	supplier := idOf(s.addSupplier())
	arm := s.addPart()
	s.refuses(route.OrderImports(), "number", strings.Repeat("x", 201), "Choose the supplier.", "Paste its lines", "Keep it to 200 characters.")
	lines := "3 x QL 33-1042 B Trailing arm 40.00\n2 x Bush, rear 7.50\n0 x Nothing 1.00\n"
	made := s.fill(route.OrderImports(), "form.form", url.Values{
		"lines": {lines}, "supplier": {supplier}, "number": {"H-300"}, "ordered_on": {"2027-03-02"}, "shipping": {"15"},
	}).is(http.StatusSeeOther).location
	shown := s.get(made).is(http.StatusOK).says("2 lines · goods 135.00 EUR · 1 part to add · 1 line is wrong", "Trailing arm, left", "adds the part", "a whole number from 1, not 0", "Make the order of 2 lines")
	if all, err := s.store.Orders(t.Context(), garage.OrderFilter{Limit: 9}); err != nil || len(all) != 0 {
		t.Fatalf("looked at only, but there is %+v, %v", all, err)
	}
	button := shown.doc().Find("form.one")
	order := s.post(button.Attr("action"), button.FormValues()).is(http.StatusSeeOther).location
	s.get(order).says("Order H-300", "0 of 3", "0 of 2", "Bush, rear", "Paid in all 150.00 EUR", "133.33 EUR", "16.67 EUR")
	s.post(made, nil).is(http.StatusConflict)

	receive := s.get(order).links("Received")
	s.fill(receive[0], "form.form", url.Values{"quantity": {"2"}, "bin": {"A1"}, "new_bin": {"yes"}}).to(order)
	s.costs("8888")
	s.fill(s.get(order).links("Send back")[0], "form.form", url.Values{"why": {"wrong"}}).to(order)
	s.costs("4444")
	s.fill(s.get(order).links("Received")[1], "form.form", url.Values{"bin": {"A1"}}).to(order)
	s.fill(s.get(order).links("Received")[0], "form.form", url.Values{"bin": {"A1"}}).to(order)
	s.costs("10556") // 150.00 less the 44.44 that went back
	s.post(made+"/undo", nil).to(made)
	s.get(made).says("Nothing was undone. Some of it has come.")
	if stock, err := s.store.StockOf(t.Context(), arm); err != nil || len(stock) != 1 || stock[0].Quantity != 2 {
		t.Errorf("%+v, %v", stock, err)
	}
}

func TestOrderImport_undo(t *testing.T) {
	t.Parallel()
	s := setup(t)
	supplier := idOf(s.addSupplier())
	paste := func(lines string) string {
		t.Helper()
		return s.fill(route.OrderImports(), "form.form", url.Values{"lines": {lines}, "supplier": {supplier}}).is(http.StatusSeeOther).location
	}
	made := paste("number,name,qty,price,deposit\nSM-9,Starter,1,129.00,45.00\n")
	order := s.post(made, nil).is(http.StatusSeeOther).location
	s.undo(order).to(made)
	s.get(made).says("Undone: the order is gone.", "This order was made and undone.")
	s.get(order).is(http.StatusNotFound)
	s.post(made+"/undo", nil).is(http.StatusConflict)
	if parts, err := s.store.AllParts(t.Context()); err != nil || len(parts) != 0 {
		t.Errorf("the part that it added is still there: %+v, %v", parts, err)
	}
	if cores, err := s.store.Cores(t.Context()); err != nil || len(cores) != 0 {
		t.Errorf("its deposit is still there: %+v, %v", cores, err)
	}
	s.get("/orders/imports/9999").is(http.StatusNotFound)
}

// The same form with a file, as a browser sends it.
func TestOrderImport_file(t *testing.T) {
	t.Parallel()
	s := setup(t)
	supplier := idOf(s.addSupplier())
	s.addPart()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, value := range map[string]string{"supplier": supplier, "ordered_on": "2027-03-02", "lines": ""} {
		if err := m.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	file, err := m.CreateFormFile("file", "order.csv")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := file.Write([]byte("number;qty;price\r\nQL 33-1042 B;2;40,00\r\n")); err != nil {
		t.Fatal(err)
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.url+route.OrderImports(), &b)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", m.FormDataContentType())
	resp, err := s.client.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusSeeOther {
		t.Fatalf("answered %d", resp.StatusCode)
	}
	s.get(resp.Header.Get("Location")).says("1 line · goods 80.00 EUR", "Trailing arm, left")
}

func idOf[T ~int64](id T) string { return strconv.FormatInt(int64(id), 10) }

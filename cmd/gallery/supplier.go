package main

import (
	"fmt"
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func supplierRows(n int) []garage.SupplierRow {
	rows := []garage.SupplierRow{
		{Supplier: garagetest.Supplier(func(s *garage.Supplier) { s.ID = 1 }), Parts: 12, Expected: 2},
		{Supplier: garage.Supplier{ID: 2, Name: longName, Currency: "EUR"}},
	}
	for i := len(rows); i < n; i++ {
		rows = append(rows, garage.SupplierRow{Parts: i, Supplier: garagetest.Supplier(func(s *garage.Supplier) {
			s.ID, s.Name = garage.SupplierID(i+1), fmt.Sprintf("Supplier %d", i+1)
		})})
	}
	return rows
}

func supplierEntries() []Entry {
	index := func(b ui.Page, n int) templ.Component {
		return page.Suppliers(page.NewSuppliers(titled(b, "Suppliers", ui.NavParts), supplierRows(n)[:n]))
	}
	return []Entry{
		{Name: "index-empty", Page: func(b ui.Page) templ.Component { return index(b, 0) }},
		{Name: "index", Page: func(b ui.Page) templ.Component { return index(b, 2) }},
		{Name: "index-500", Page: func(b ui.Page) templ.Component { return index(b, 500) }},
		{Name: "show", Page: func(b ui.Page) templ.Component {
			record := page.SupplierRecord{Delay: planner.Delay{Days: planner.Range{-1, 2, 9}, Records: 2}, Open: orderRows(2), Came: []garage.ArrivalRecord{
				{OrderID: 1, Number: longName, OrderedOn: garage.NewDate(2027, 2, 1), PromisedOn: garage.NewDate(2027, 2, 8), ReceivedAt: time.Date(2027, 2, 11, 9, 0, 0, 0, time.UTC)},
				{OrderID: 2, OrderedOn: garage.NewDate(2027, 1, 1), PromisedOn: garage.NewDate(2027, 1, 8), ReceivedAt: time.Date(2027, 1, 7, 9, 0, 0, 0, time.UTC)},
			}}
			return page.Supplier(page.NewSupplier(titled(b, "Supplier", ui.NavParts), supplierRows(1)[0].Supplier, []garage.Part{partSample(), longPart()}, record, time.UTC, theDay))
		}},
		{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return page.Supplier(page.NewSupplier(titled(b, "Supplier", ui.NavParts), supplierRows(2)[1].Supplier, nil, page.SupplierRecord{Delay: planner.LearnArrivals(nil).For("2")}, time.UTC, theDay))
		}},
		{Name: "edit-wrong", Page: func(b ui.Page) templ.Component {
			form := page.SupplierForm{Name: longName, LeadLow: "soon", Currency: "euro", Shipping: "dear", ReturnDays: "x", Core: "9999", CoreCount: "days", CoreBasis: "delivery"}
			form.Supplier(garage.Supplier{})
			return page.SupplierEdit(page.SupplierEditView{Base: titled(b, "Supplier", ui.NavParts), ID: 2, Form: form})
		}},
	}
}

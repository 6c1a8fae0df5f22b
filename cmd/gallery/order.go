package main

import (
	"time"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/deposit"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func orderRows(n int) []garage.OrderRow {
	next, late := new(garage.NewDate(2027, 3, 9)), new(garage.NewDate(2027, 2, 28))
	rows := []garage.OrderRow{
		{Order: garagetest.Order(func(o *garage.Order) { o.ID = 1 }), SupplierName: "Harbour Motor Factors", Lines: 2, Wanted: 5, Came: 2, NextLikely: next, LatestHigh: next},
		{Order: garagetest.Order(func(o *garage.Order) { o.ID, o.Number = 2, longName }), SupplierName: longName, Lines: 1, Wanted: 5000, NextLikely: late, LatestHigh: late},
		{Order: garagetest.Order(func(o *garage.Order) { o.ID = 3 }), SupplierName: "Quill & Lathe", Lines: 3, Wanted: 6, Came: 6},
		{Order: garagetest.Order(func(o *garage.Order) { o.ID, o.Number = 4, "" }), SupplierName: "Quill & Lathe"},
	}
	for len(rows) < n {
		rows = append(rows, rows[len(rows)%3])
	}
	for i := range rows {
		rows[i].Total = n
	}
	return rows[:n]
}

// orderSheet is an order in another currency that has come in part, of which some goes back.
func orderSheet() garage.OrderSheet {
	came := time.Date(2027, 3, 4, 17, 0, 0, 0, time.UTC)
	line := func(id garage.OrderLineID) *garage.OrderLineID { return &id }
	arrival := func(id garage.ArrivalID, of garage.OrderLineID, part garage.PartID, n int) garage.Arrival {
		return garagetest.Arrival(func(a *garage.Arrival) {
			a.ID, a.PartID, a.Quantity, a.OrderID, a.OrderLineID = id, part, n, new(garage.OrderID(1)), line(of)
		})
	}
	s := garage.OrderSheet{
		Order: garagetest.Order(func(o *garage.Order) {
			o.ID, o.Currency, o.Rate, o.Duty, o.Notes = 1, "GBP", 1_150_000_000, 961, longName
		}),
		Supplier: garagetest.Supplier(func(v *garage.Supplier) { v.ID = 1 }),
		Parts:    []garage.Part{partSample(), longPart()},
		Lines: []garage.OrderLine{
			garagetest.OrderLine(func(l *garage.OrderLine) { l.ID, l.PartID, l.Deposit = 1, partSample().ID, 4500 }),
			garagetest.OrderLine(func(l *garage.OrderLine) {
				l.ID, l.PartID, l.Per, l.Quantity, l.Cancelled, l.Note = 2, longPart().ID, 1000, 4000, 500, longName
			}),
		},
		Arrivals: []garage.Arrival{arrival(1, 1, partSample().ID, 2), arrival(2, 1, partSample().ID, 1), arrival(3, 2, longPart().ID, 3500)},
		Returns: []garage.OrderReturn{
			{ID: 1, OrderLineID: 1, ArrivalID: 1, MovementID: 2, Quantity: 1, Why: "damaged", LastDay: new(garage.NewDate(2027, 3, 18)), Note: longName},
			{ID: 2, OrderLineID: 1, ArrivalID: 1, MovementID: 3, Quantity: 1, Why: "wrong", Refunded: 4000},
		},
		Cores: []garage.CoreRow{{PartName: "Trailing arm", Core: garagetest.Core(func(c *garage.Core) { c.ID, c.State = 1, deposit.Owed })}},
		Costs: []garage.OrderCost{{OrderLineID: 1, MovementID: 1, Amount: 10_234, Currency: "EUR"}},
	}
	s.Arrivals[0].ReceivedAt = &came
	s.Movements = []garage.Movement{{ID: 1, ArrivalID: &s.Arrivals[0].ID, Quantity: 2, Kind: "received"}}
	return s
}

func orderEntries() []Entry {
	index := func(b ui.Page, f garage.OrderFilter, rows []garage.OrderRow, backs ...garage.OrderReturnRow) templ.Component {
		f.Limit = 100
		return page.Orders(page.NewOrders(titled(b, "Orders", ui.NavParts), f, rows, backs, theDay))
	}
	show := func(b ui.Page, s garage.OrderSheet) templ.Component {
		return page.Order(page.NewOrder(titled(b, "Order", ui.NavParts), s, garagetest.Settings(), theDay))
	}
	return []Entry{
		{Name: "index-empty", Page: func(b ui.Page) templ.Component { return index(b, garage.OrderFilter{}, nil) }},
		{Name: "index-nothing-open", Page: func(b ui.Page) templ.Component { return index(b, garage.OrderFilter{Open: true}, nil) }},
		{Name: "index", Page: func(b ui.Page) templ.Component {
			back := garage.OrderReturnRow{OrderReturn: orderSheet().Returns[0], PartName: longName, SupplierName: longName}
			return index(b, garage.OrderFilter{Open: true}, orderRows(4), back, garage.OrderReturnRow{PartName: "Starter", SupplierName: "Quill & Lathe", OrderReturn: garage.OrderReturn{ID: 3, Quantity: 1}})
		}},
		{Name: "index-500", Page: func(b ui.Page) templ.Component {
			rows := orderRows(500)
			return index(b, garage.OrderFilter{Offset: 100}, rows[:100])
		}},
		{Name: "show", Page: func(b ui.Page) templ.Component { return show(b, orderSheet()) }},
		{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return show(b, garage.OrderSheet{Order: garagetest.Order(func(o *garage.Order) { o.ID, o.Number = 2, "" }), Supplier: garagetest.Supplier()})
		}},
		{Name: "edit-wrong", Page: func(b ui.Page) templ.Component {
			form := page.OrderForm{Supplier: "99", Number: longName, OrderedOn: "soon", PromisedOn: "x", Currency: "euro", Rate: "-1", Shipping: "dear", Duty: "x", Tax: "x", Handling: "x", Paid: "x", ReturnDays: "x"}
			form.Order(garage.Order{Home: "EUR"}, supplierRows(2))
			return page.OrderEdit(page.NewOrderEdit(titled(b, "Order", ui.NavParts), garage.Order{ID: 1, Home: "EUR"}, supplierRows(2), form))
		}},
		{Name: "new-no-supplier", Page: func(b ui.Page) templ.Component {
			return page.OrderEdit(page.NewOrderEdit(titled(b, "Order", ui.NavParts), garage.Order{Home: "EUR"}, nil, page.BlankOrderForm(garage.Supplier{}, theDay)))
		}},
		{Name: "line-new-wrong", Page: func(b ui.Page) templ.Component {
			form := page.OrderLineForm{Part: longName, Quantity: "a few", Price: "dear", Deposit: "x"}
			form.Line(garage.NewOrderLine{}, "EUR")
			form.Errors.Add("new_part", "There is no part called that. Tick to make it.")
			return page.OrderLine(page.OrderLineView{Base: titled(b, "Add a line", ui.NavParts), Order: orderSheet().Order, Supplier: orderSheet().Supplier, Form: form})
		}},
		{Name: "line", Page: func(b ui.Page) templ.Component {
			s := orderSheet()
			return page.OrderLine(page.OrderLineView{
				Base: titled(b, "Change a line", ui.NavParts), Line: s.Lines[1], Order: s.Order, Supplier: s.Supplier, Part: longPart(), Form: page.NewOrderLineForm(s.Lines[1], "GBP"),
			})
		}},
		{Name: "send-back-wrong", Page: func(b ui.Page) templ.Component {
			s := orderSheet()
			form := page.SendBackForm{Quantity: "all", Why: "moody", Note: longName}
			form.Return(s.Arrivals[0])
			return page.SendBack(page.NewSendBack(titled(b, "Send back", ui.NavParts), s, s.Arrivals[0], partStock().Stock, garagetest.Settings(), galleryDay, form))
		}},
		{Name: "to-order", Page: func(b ui.Page) templ.Component {
			return page.ToOrder(page.ToOrderView{Base: titled(b, "Still to order", ui.NavParts), Groups: neededGroups()})
		}},
		{Name: "to-order-nothing", Page: func(b ui.Page) templ.Component {
			return page.ToOrder(page.ToOrderView{Base: titled(b, "Still to order", ui.NavParts)})
		}},
		{Name: "to-order-at-wrong", Page: func(b ui.Page) templ.Component {
			form := page.ToOrderForm{OrderForm: page.OrderForm{OrderedOn: "soon", Shipping: "dear"}}
			form.Lines(page.NeededGroup{}, form.Order(garage.Order{Home: "EUR"}, nil), nil)
			return page.ToOrderAt(page.NewToOrderAt(titled(b, "Order", ui.NavParts), neededGroups()[0], "EUR", supplierRows(2), form))
		}},
		{Name: "paste-wrong", Page: func(b ui.Page) templ.Component {
			form := page.OrderImportForm{Lines: "0 x " + longName, OrderForm: page.OrderForm{OrderedOn: "soon", Paid: "dear"}}
			form.Order(garage.Order{Home: "EUR"}, nil)
			form.Errors.Add("lines", "Paste its lines, or choose a file of them.")
			return page.OrderImportNew(page.NewOrderImportNew(titled(b, "Paste an order", ui.NavParts), "EUR", supplierRows(2), form))
		}},
		{Name: "paste-preview", Page: func(b ui.Page) templ.Component {
			return orderImport(b, garage.OrderImport{ID: 1})
		}},
		{Name: "paste-done", Page: func(b ui.Page) templ.Component {
			return orderImport(b, garage.OrderImport{ID: 1, OrderID: new(garage.OrderID(1)), DoneAt: &time.Time{}})
		}},
		{Name: "alternatives", Page: func(b ui.Page) templ.Component { return alternatives(b, "Rear trailing arm, left") }},
		{Name: "alternatives-none", Page: func(b ui.Page) templ.Component { return alternatives(b, "Front control arm") }},
		{Name: "return-wrong", Page: func(b ui.Page) templ.Component {
			s := orderSheet()
			form := page.NewOrderReturnForm(s.Returns[0], "GBP")
			form.Refunded, form.SentOn = "40", "soon"
			form.Return(s.Returns[0], "GBP")
			return page.OrderReturn(page.NewOrderReturn(titled(b, "Goes back", ui.NavParts), s, s.Returns[0], form))
		}},
	}
}

func orderImport(b ui.Page, i garage.OrderImport) templ.Component {
	i.Form = garagetest.Order()
	return page.OrderImport(page.NewOrderImport(titled(b, "Paste an order", ui.NavParts), i, garagetest.Supplier(), []page.OrderImportRow{
		{Line: 1, Text: "3 x TA-1 40.00", Part: partSample(), Quantity: 3, Price: 4000, Deposit: 4500},
		{Line: 2, Text: longName, Part: garage.Part{Name: longName, Unit: "piece"}, Quantity: 1, Price: 750},
		{Line: 3, Text: "0 x " + longName, Wrong: "quantity: a whole number from 1, not 0"},
	}))
}

// neededGroups are what the demo garage wants to be ordered, of one supplier that is known and of none.
func neededGroups() []page.NeededGroup {
	shot := demoGarage()
	for i := range shot.Parts[:len(shot.Parts)/2] {
		shot.Parts[i].Supplier = "Harbour Motor Factors"
	}
	return plannedGarage(shot).NeededGroups(supplierRows(2), orderRows(1))
}

// alternatives are those of the demo garage's first need of a part.
func alternatives(b ui.Page, name string) templ.Component {
	shot := demoGarage()
	for i := range shot.Parts {
		if shot.Parts[i].Name == "Rear trailing arm, left" {
			used := shot.Parts[i]
			used.ID, used.Name, used.Number, used.Grade, used.Supplier, used.Price = 900, longName, "TR-4408-L", "refurbished", "Harbour Motor Factors", 9000
			used.LeadLow, used.LeadLikely, used.LeadHigh = new(3), new(5), new(12)
			shot.Parts = append(shot.Parts, used)
			break
		}
	}
	p := plannedGarage(shot)
	for _, n := range shot.Needs {
		for _, part := range shot.Parts {
			if part.ID != n.PartID || part.Name != name {
				continue
			}
			deposits := []garage.PartDeposit{{PartID: 900, Deposit: 4500, Currency: "EUR"}}
			all, low := p.Alternatives(n, []garage.Part{{ID: 900}}, supplierRows(2), deposits)
			for i := range all {
				all[i].Then = p
			}
			return page.Alternatives(page.NewAlternatives(titled(b, "Alternatives", ui.NavCars), p, n, shot.Jobs[2], all, append(low, longName)))
		}
	}
	panic("no need of " + name)
}

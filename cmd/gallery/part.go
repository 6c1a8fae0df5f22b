package main

import (
	"fmt"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("part",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return partIndex(b, garage.PartFilter{}, nil) }},
		Entry{Name: "index-nothing-found", Page: func(b ui.Page) templ.Component { return partIndex(b, garage.PartFilter{Query: longName}, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return partIndex(b, garage.PartFilter{}, partRows(6, 6)) }},
		Entry{Name: "index-500", Page: func(b ui.Page) templ.Component {
			return partIndex(b, garage.PartFilter{Query: "arm", Limit: 100, Offset: 100}, partRows(100, 500))
		}},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return partShow(b, partSample(), partStock()) }},
		Entry{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return partShow(b, garage.Part{ID: 2, Name: "Cavity wax", Unit: "ml", Currency: "EUR"}, page.PartStockParts{})
		}},
		Entry{Name: "show-long", Page: func(b ui.Page) templ.Component { return partShow(b, longPart(), partStock()) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return partForm(b, page.PartForm{Unit: "piece", Currency: "EUR"}) }},
		Entry{Name: "edit-wrong", Page: func(b ui.Page) templ.Component {
			form := page.NewPartForm(longPart())
			form.Name, form.Price, form.LeadLow = "", "cheap", ""
			form.Part()
			return partForm(b, form)
		}},
	)
	register("partnumber",
		Entry{Name: "twin", Page: func(b ui.Page) templ.Component {
			form := page.PartTwinForm{Part: "TA-1-R", Errors: garage.FieldErrors{"new_part": "There is no part called TA-1-R. Tick to make it."}}
			return page.PartTwin(page.NewPartTwin(titled(b, "Twin", ui.NavParts), longPart(), form, []string{partSample().Label()}))
		}},
		Entry{Name: "twin-no-side", Page: func(b ui.Page) templ.Component {
			return page.PartTwin(page.NewPartTwin(titled(b, "Twin", ui.NavParts), garage.Part{ID: 2, Name: "Cavity wax"}, page.PartTwinForm{}, nil))
		}},
		Entry{Name: "fit", Page: func(b ui.Page) templ.Component {
			p := partSample()
			p.Variant = longName
			form := page.PartFitForm{Car: "3"}
			form.Fit(1)
			return page.PartFit(page.NewPartFit(titled(b, "Fits", ui.NavParts), p, form, nil, []garage.Car{garagetest.Car(func(c *garage.Car) { c.ID = 3 })}))
		}},
		Entry{Name: "fit-no-car", Page: func(b ui.Page) templ.Component {
			return page.PartFit(page.NewPartFit(titled(b, "Fits", ui.NavParts), partSample(), page.PartFitForm{}, nil, nil))
		}},
	)
	register("stock",
		Entry{Name: page.StockPut, Page: func(b ui.Page) templ.Component { return stockForm(b, page.StockPut, nil) }},
		Entry{Name: "put-wrong", Page: func(b ui.Page) templ.Component {
			return stockForm(b, page.StockPut, garage.FieldErrors{"new_bin": "There is no bin called A9. Tick to make it.", "quantity": "A whole number, please."})
		}},
		Entry{Name: page.StockTake, Page: func(b ui.Page) templ.Component {
			return stockForm(b, page.StockTake, garage.FieldErrors{"quantity": "Nothing is left in that bin."})
		}},
		Entry{Name: page.StockMove, Page: func(b ui.Page) templ.Component { return stockForm(b, page.StockMove, nil) }},
		Entry{Name: page.StockSort, Page: func(b ui.Page) templ.Component {
			return stockForm(b, page.StockSort, garage.FieldErrors{"opened": "Since when is it open?", "checked_car": "Give both: the car and the day."})
		}},
		Entry{Name: page.StockCount, Page: func(b ui.Page) templ.Component { return stockForm(b, page.StockCount, nil) }},
	)
	register("partimport",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			form := page.PartImportForm{Lines: "number\n5", Errors: garage.FieldErrors{"file": "Not read: the first line must name the columns, one of them name."}}
			return page.PartImportNew(page.PartImportNewView{Base: titled(b, "Import", ui.NavParts), Form: form})
		}},
		Entry{Name: "preview", Page: func(b ui.Page) templ.Component { return partImport(b, 5, garage.PartImport{ID: 1}) }},
		Entry{Name: "preview-500", Page: func(b ui.Page) templ.Component { return partImport(b, 500, garage.PartImport{ID: 1}) }},
		Entry{Name: "done", Page: func(b ui.Page) templ.Component {
			return partImport(b, 2, garage.PartImport{ID: 1, DoneAt: new(time.Date(2027, 3, 4, 19, 12, 0, 0, time.UTC))})
		}},
	)
	register("donor",
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return donor(b, donorSheet()) }},
		Entry{Name: "show-empty", Page: func(b ui.Page) templ.Component {
			return donor(b, garage.DonorSheet{Car: garagetest.Donor(func(c *garage.Car) { c.ID = 4 }), Ledger: garage.DonorLedger{CarID: 4, Currency: "EUR"}})
		}},
		Entry{Name: "ledger", Page: func(b ui.Page) templ.Component {
			form := page.NewDonorLedgerForm(donorSheet().Ledger)
			form.Price, form.GoneOn = "cheap", "2026-01-01"
			form.Ledger(donorSheet().Ledger)
			return page.DonorLedgerEdit(page.DonorLedgerView{Base: titled(b, "Donor", ui.NavCars), Car: donorSheet().Car, Currency: "EUR", Form: form})
		}},
		Entry{Name: "sale", Page: func(b ui.Page) templ.Component {
			form := page.DonorSaleForm{What: longName, Price: "40", Fees: "50"}
			form.Sale(garage.DonorSale{Currency: "EUR"})
			return page.DonorSaleEdit(page.DonorSaleView{Base: titled(b, "Something was sold", ui.NavCars), Sale: garage.DonorSale{ID: 1, CarID: 4, Currency: "EUR"}, CarName: longName, Form: form})
		}},
	)
	register("core", coreEntries()...)
	register("supplier", supplierEntries()...)
	register("order", orderEntries()...)
	register("fitted",
		Entry{Name: "edit-wrong", Page: func(b ui.Page) templ.Component {
			form := page.NewFittedForm(fittedRows()[0].Fitted)
			form.EndedOn, form.EndedAs, form.Note = "2020-01-01", "failed", longName
			form.Fitted(fittedRows()[0].Fitted, galleryDay)
			return page.FittedEdit(page.NewFitted(titled(b, "What became of it", ui.NavParts), fittedRows()[0].Fitted, longPart(), form, []garage.Car{garagetest.Car(func(c *garage.Car) { c.ID = 1 })}))
		}},
	)
	register("kit",
		Entry{Name: "box", Page: func(b ui.Page) templ.Component {
			form := page.KitForm{Bin: "Kit 1", Errors: garage.FieldErrors{"new_bin": "There is no bin called Kit 1. Tick to make it."}}
			return page.Kit(page.NewKit(titled(b, "Kit box", ui.NavCars), garagetest.JobSheet(), form))
		}},
	)
	register("arrival",
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			return page.ArrivalEdit(page.NewArrivalView(titled(b, "Arrival", ui.NavParts), partSample(), page.BlankArrivalForm(partSample(), galleryDay)))
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.NewArrivalForm(garagetest.Arrival(func(a *garage.Arrival) { a.ID = 1 }))
			form.Quantity, form.High = "a few", ""
			form.Arrival()
			return page.ArrivalEdit(page.NewArrivalView(titled(b, "Arrival", ui.NavParts), longPart(), form))
		}},
		Entry{Name: "receive", Page: func(b ui.Page) templ.Component {
			a := garagetest.Arrival(func(a *garage.Arrival) { a.ID = 1 })
			return page.Place(page.NewReceiveView(titled(b, "Received", ui.NavParts), partSample(), a, page.NewReceiveForm(a, partStock().Stock), binRows(3)))
		}},
	)
	register("bin",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component {
			return page.BinIndex(page.NewBinIndex(titled(b, "Bins", ui.NavParts), nil))
		}},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			return page.BinIndex(page.NewBinIndex(titled(b, "Bins", ui.NavParts), binRows(6)))
		}},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component {
			return page.BinShow(page.NewBinShow(titled(b, "A3", ui.NavParts), garagetest.Bin(func(x *garage.Bin) { x.ID = 1 }),
				[]garage.PartStock{{Part: partSample(), Quantity: 2}, {Part: longPart(), Quantity: 4000, Detail: "worn · " + longName}},
				[]garage.JobLink{{ID: 7, Title: "Rear brakes", CarName: longName}}))
		}},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			form := page.BinForm{Errors: garage.FieldErrors{"name": "There is a bin of that name already."}, Name: "A3"}
			return page.BinEdit(page.BinFormView{Base: titled(b, "Bin", ui.NavParts), Form: form})
		}},
	)
	register("label",
		Entry{Name: "sheet", Page: func(b ui.Page) templ.Component {
			kits := map[garage.BinID][]garage.JobLink{2: {{ID: 7, Title: "Rear brakes", CarName: "Tern estate"}}}
			return page.BinLabels(page.NewBinLabels(titled(b, "Labels", ui.NavParts), "http://192.168.0.17:8080", binRows(9), kits, nil))
		}},
		Entry{Name: "only-here", Page: func(b ui.Page) templ.Component {
			return page.BinLabels(page.NewBinLabels(titled(b, "Labels", ui.NavParts), "http://localhost:8080", binRows(2), nil, []string{"1"}))
		}},
		Entry{Name: "empty", Page: func(b ui.Page) templ.Component {
			return page.BinLabels(page.NewBinLabels(titled(b, "Labels", ui.NavParts), "http://localhost:8080", nil, nil, nil))
		}},
	)
	register("donorpart",
		Entry{Name: "car", Page: func(b ui.Page) templ.Component {
			car := garagetest.Donor(func(c *garage.Car) { c.ID, c.Stands = 4, garage.Outside })
			return carShow(b, car, page.CarParts{OnDonor: donorRows()})
		}},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component {
			form := page.BlankDonorPartForm(4)
			form.Errors = garage.FieldErrors{"part": "Several parts fit: Trailing arm, left · QL 33-1042; Trailing arm, right · QL 33-1043. Write the one that is meant in full, or its number."}
			return page.DonorPartEdit(page.DonorPartView{Base: titled(b, "Part", ui.NavCars), CarID: 4, CarName: "Tern saloon", Form: form, Parts: []string{partSample().Label()}})
		}},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component {
			return page.DonorPartEdit(page.DonorPartView{Base: titled(b, "Part", ui.NavCars), CarID: 4, CarName: longName, Form: page.NewDonorPartForm(donorRows()[1], "EUR"), Currency: "EUR"})
		}},
		Entry{Name: "off", Page: func(b ui.Page) templ.Component {
			return page.Place(page.NewDonorPartOff(titled(b, "Taken off", ui.NavCars), donorRows()[0], page.NewDonorPartOffForm(donorRows()[0], nil), binRows(3)))
		}},
		Entry{Name: "harvest", Page: func(b ui.Page) templ.Component {
			form := page.HarvestForm{CarID: 4, Parts: []string{"1"}, Low: "a while"}
			form.Plan("EUR")
			return page.HarvestNew(page.NewHarvestNew(titled(b, "Harvest", ui.NavCars), garagetest.Donor(func(c *garage.Car) { c.ID = 4 }), form, donorRows()))
		}},
		Entry{Name: "harvest-empty", Page: func(b ui.Page) templ.Component {
			return page.HarvestNew(page.NewHarvestNew(titled(b, "Harvest", ui.NavCars), garagetest.Donor(func(c *garage.Car) { c.ID = 4 }), page.HarvestForm{CarID: 4}, nil))
		}},
	)
}

// donorSheet is a donor half used up.
func donorSheet() garage.DonorSheet {
	sheet := garage.DonorSheet{
		Car: garagetest.Donor(func(c *garage.Car) { c.ID, c.Stands = 4, garage.Outside }),
		Ledger: garage.DonorLedger{
			CarID: 4, Version: 1, Currency: "EUR", Price: 90000, Transport: 12000, StoragePerDay: 200, Paperwork: 5000,
			HereSince: new(galleryDay.AddDays(-89)), ScrapKg: 700, ScrapPrice: 30,
		},
		Sales:      []garage.DonorSale{{ID: 1, What: "Bonnet", SoldOn: galleryDay.AddDays(-9), Currency: "EUR", Price: 80000, Fees: 2000, Note: longName}},
		OwnMinutes: 340,
	}
	for i, row := range donorRows() {
		u := garage.DonorUse{DonorPartRow: row, PartPrice: int64(9000 * (i % 3))}
		u.Worth, u.RemovalMinutes = new(int64(8500)), new(40)
		if row.TakenAt != nil {
			u.Used = row.Quantity
		}
		sheet.Parts = append(sheet.Parts, u)
	}
	return sheet
}

func donor(b ui.Page, sheet garage.DonorSheet) templ.Component {
	account, err := sheet.Account(galleryDay)
	if err != nil {
		panic(err)
	}
	return page.Donor(page.NewDonor(titled(b, "Donor", ui.NavCars), sheet, account, page.DonorFrees{}, plannedGarage(garage.Snapshot{Settings: garagetest.Settings()})))
}

// fittedRows are one that is on a car, one that failed and one that wore out.
func fittedRows() []garage.FittedRow {
	row := func(id garage.FittedID, months int, as string) garage.FittedRow {
		r := garage.FittedRow{
			Fitted:   garage.Fitted{ID: id, PartID: 1, CarID: 1, Quantity: 1, Side: "left", Grade: "aftermarket", Supplier: "Reed & Hale", FittedOn: galleryDay.AddDays(-900)},
			PartName: "Trailing arm", CarName: "Tern estate", FittedM: new(int64(100_000_000)),
		}
		if as != "" {
			r.EndedAs, r.EndedOn, r.EndedM = as, new(galleryDay.AddDays(-900+30*months)), new(100_000_000+int64(months)*1_200_000)
		}
		return r
	}
	rows := []garage.FittedRow{row(1, 0, ""), row(2, 8, garage.EndedFailed), row(3, 20, garage.EndedWorn)}
	rows[2].PartID, rows[2].PartName, rows[2].Note, rows[2].Supplier = 9, longName, longName, longName
	return rows
}

// partImport has as many lines, of each kind one after the other.
func partImport(b ui.Page, n int, i garage.PartImport) templ.Component {
	kinds := []page.PartImportLine{
		{Part: garage.Part{Name: "Bush"}, New: true},
		{Cells: []string{longName, longWord, "cheap"}, Wrong: "price: Write an amount like 12.50."},
		{Part: partSample(), Fields: []string{"price", "supplier"}},
		{Part: longPart(), Same: true},
	}
	var lines []page.PartImportLine
	for k := range n {
		line := kinds[k%len(kinds)]
		line.Line = k + 2
		lines = append(lines, line)
	}
	return page.PartImport(page.NewPartImport(titled(b, "Import", ui.NavParts), i, []string{"colour"}, lines, ""))
}

func partSample() garage.Part { return garagetest.Part(func(p *garage.Part) { p.ID = 1 }) }

func longPart() garage.Part {
	return garagetest.Part(func(p *garage.Part) {
		p.ID, p.Name, p.Number, p.OtherNumbers, p.Supplier, p.Notes, p.Price, p.Grade = 9, longName, longWord, longWord, longName, longName, 123456789, "supplier to the maker"
	})
}

func partIndex(b ui.Page, f garage.PartFilter, rows []garage.PartRow) templ.Component {
	return page.PartIndex(page.NewPartIndex(titled(b, "Parts", ui.NavParts), f, rows))
}

func partRows(n, total int) []garage.PartRow {
	samples := []garage.PartRow{
		{Part: partSample(), OnHand: 2, Jobs: 1, Bins: "A3"},
		{Part: garage.Part{Name: "Release bearing", Number: "QL 21-2200", Unit: "piece"}, Expected: 1, Jobs: 1},
		{Part: garage.Part{Name: "Cavity wax", Unit: "ml"}, OnHand: 4000, Bins: "Cupboard, Shelf 2"},
		{Part: longPart(), OnHand: 1, Expected: 12, OnDonors: 2, Jobs: 14, Bins: longName},
		{Part: garage.Part{Name: "Brake pads, rear axle", Number: "QL 34-0077", Unit: "set"}, OnHand: 1, Bins: "B1"},
		{Part: garage.Part{Name: "Door", Side: "right", Unit: "piece"}, OnDonors: 1},
	}
	var rows []garage.PartRow
	for i := range n {
		row := samples[i%len(samples)]
		row.ID, row.Total = garage.PartID(i+1), total
		rows = append(rows, row)
	}
	return rows
}

func partStock() page.PartStockParts {
	at := time.Date(2027, 3, 4, 19, 12, 0, 0, time.UTC)
	return page.PartStockParts{
		Fits: []garage.PartFitRow{
			{PartFit: garage.PartFit{ID: 1, PartID: 1, CarID: 1, Known: garage.FitChecked, Note: longName}, CarName: "Tern estate"},
			{PartFit: garage.PartFit{ID: 2, PartID: 1, CarID: 2, Known: garage.FitNumber}, CarName: longName},
			{PartFit: garage.PartFit{ID: 3, PartID: 1, CarID: 3, Known: garage.FitGuessed}, CarName: "Kite"},
			{PartFit: garage.PartFit{ID: 4, PartID: 1, CarID: 4, Known: garage.FitNot}, CarName: "Sorrel"},
		},
		Twin:     new(garagetest.Part(func(p *garage.Part) { p.ID, p.Side, p.Number = 8, "right", "QL 33-1043 B" })),
		ByNumber: []garage.Part{longPart()},
		Fitted:   fittedRows(),
		Stock: []garage.BinStock{
			{Stock: garage.Stock{PartID: 1, BinID: 1, Quantity: 2}, BinName: "A3", Place: "back wall, third from the top"},
			{Stock: garage.Stock{PartID: 1, BinID: 2, Quantity: 40}, BinName: longName, Place: longWord},
			{
				Stock: garage.Stock{PartID: 1, BinID: 2, LotID: new(garage.LotID(4)), Quantity: 1, Condition: "good"}, BinName: "B1",
				Lot: garage.LotRow{Lot: garage.Lot{ID: 4, Condition: "good", Grade: "used", CheckedOn: &galleryDay, CheckedCarID: new(garage.CarID(1)), Note: longName}, CheckedCar: "Tern estate", Origin: "Tern saloon"},
			},
			{
				Stock: garage.Stock{PartID: 1, BinID: 2, LotID: new(garage.LotID(5)), Quantity: 1, Condition: "bad"}, BinName: "B1",
				Lot: garage.LotRow{Lot: garage.Lot{ID: 5, Condition: "bad", Note: "cracked at the eye"}},
			},
		},
		Movements: []garage.MovementRow{
			{Movement: garage.Movement{ID: 3, BinID: 1, Quantity: 1, Kind: "reversed", Reverses: new(garage.MovementID(2)), CreatedAt: at}, BinName: "A3"},
			{Movement: garage.Movement{ID: 2, BinID: 1, Quantity: -1, Kind: "used", JobID: new(garage.JobID(7)), CreatedAt: at}, BinName: "A3", JobTitle: new("Rear brakes"), Reversed: true},
			{Movement: garage.Movement{ID: 1, BinID: 2, Quantity: 42, Kind: "bought", Note: longName, CreatedAt: at}, BinName: longName},
		},
		Arrivals: []garage.Arrival{
			garagetest.Arrival(func(a *garage.Arrival) { a.ID, a.Note = 1, longName }),
			garagetest.Arrival(func(a *garage.Arrival) {
				a.ID, a.Low, a.Likely, a.High, a.Supplier = 2, galleryDay.AddDays(-9), galleryDay.AddDays(-5), galleryDay.AddDays(-2), ""
			}),
		},
		Donors: donorRows()[:2],
		Promises: []page.Promise{
			{Need: needSamples()[0], OnHand: 1, Coming: 1, When: "Mon 15 Mar"},
			{Need: needSamples()[1], Lacks: 2},
			{Need: needSamples()[2], ToOrder: 1, OrderBy: "Sat 13 Mar", Lacks: 1},
			{Need: needSamples()[3], OnHand: 2},
		},
	}
}

func needSamples() []garage.PartNeed {
	return []garage.PartNeed{
		{Need: garagetest.Need(func(n *garage.Need) { n.ID = 1 }), JobID: 7, JobTitle: "Rear brakes", CarName: "Tern estate"},
		{Need: garagetest.Need(func(n *garage.Need) { n.ID, n.Stops = 2, false }), JobID: 8, JobTitle: longName, CarName: longName},
		{Need: garagetest.Need(func(n *garage.Need) { n.ID, n.LeastGrade = 3, "maker" }), JobID: 9, JobTitle: "Spare set", CarName: "Kite"},
		{Need: garagetest.Need(func(n *garage.Need) { n.ID, n.PinnedAt = 4, new(time.Date(2027, 3, 4, 19, 12, 0, 0, time.UTC)) }), JobID: 9, JobTitle: "Front arms", CarName: "Kite"},
	}
}

func donorRows() []garage.DonorPartRow {
	row := func(id garage.DonorPartID, name string, change func(*garage.DonorPartRow)) garage.DonorPartRow {
		r := garage.DonorPartRow{
			DonorPart: garagetest.DonorPart(func(d *garage.DonorPart) { d.ID, d.CarID, d.PartID = id, 4, 1 }),
			PartName:  name, PartUnit: "piece", CarName: "Tern saloon", CarStands: garage.Outside,
		}
		change(&r)
		return r
	}
	return []garage.DonorPartRow{
		row(1, "Trailing arm", func(r *garage.DonorPartRow) { r.PartSide, r.Note = "left", "surface rust" }),
		row(2, longName, func(r *garage.DonorPartRow) { r.PartNumber, r.Note, r.Condition = longWord, longName, "unknown" }),
		row(3, "Hub", func(r *garage.DonorPartRow) {
			r.HarvestJobID, r.HarvestTitle = new(garage.JobID(7)), new("Take off arms and hub")
		}),
		row(4, "Door", func(r *garage.DonorPartRow) { r.TakenAt = new(time.Date(2027, 3, 2, 12, 0, 0, 0, time.UTC)) }),
	}
}

func binRows(n int) []garage.BinRow {
	var rows []garage.BinRow
	for i := range n {
		rows = append(rows, garage.BinRow{Bin: garage.Bin{ID: garage.BinID(i + 1), Name: fmt.Sprintf("A%d", i+1), Place: "back wall"}, Parts: i % 3})
	}
	return append(rows, garage.BinRow{Bin: garage.Bin{ID: 900, Name: longName, Place: longWord}, Parts: 12})
}

func partShow(b ui.Page, p garage.Part, parts page.PartStockParts) templ.Component {
	return page.PartShow(page.NewPartShow(titled(b, p.Name, ui.NavParts), p, parts, garagetest.Settings(), galleryDay))
}

func partForm(b ui.Page, form page.PartForm) templ.Component {
	return page.PartEdit(page.NewPartFormView(titled(b, "Part", ui.NavParts), form, longName))
}

func stockForm(b ui.Page, action string, errors garage.FieldErrors) templ.Component {
	parts := partStock()
	form := page.NewStockForm(action, 1, parts.Stock)
	form.Errors = errors
	return page.Stock(page.NewStockView(titled(b, "Stock", ui.NavParts), partSample(), form, parts.Stock, binRows(4), needSamples(),
		[]garage.Car{garagetest.Car(func(c *garage.Car) { c.ID = 3 })}))
}

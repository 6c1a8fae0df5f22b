package main

import (
	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/deposit"
	"axlestand/web/page"
	"axlestand/web/ui"
)

// coreRows are a deposit that would be lost as planned, one without a day to count from, and one that came back in part.
func coreRows() []garage.CoreRow {
	title := "Gearbox out and in"
	return []garage.CoreRow{
		{PartName: "Trailing arm", JobTitle: &title, Core: garagetest.Core(func(c *garage.Core) {
			c.ID, c.JobID, c.BasisOn, c.WindowN = 1, new(garage.JobID(1)), new(garage.NewDate(2027, 2, 19)), 14
			c.FreedBy = c.JobID
		})},
		{PartName: longName, Core: garagetest.Core(func(c *garage.Core) {
			c.ID, c.Supplier, c.OrderNumber, c.BasisOn = 2, longName, longName, nil
		})},
		{PartName: "Starter", Core: garagetest.Core(func(c *garage.Core) {
			c.ID, c.State, c.Refunded, c.Forfeited, c.Outstanding = 3, deposit.Refunded, 2700, 1800, 0
		})},
	}
}

func coreSheet(row garage.CoreRow) garage.CoreSheet {
	return garage.CoreSheet{Core: row.Core, PartName: row.PartName, JobTitle: row.JobTitle}
}

func coreEntries() []Entry {
	index := func(b ui.Page, rows ...garage.CoreRow) templ.Component {
		return page.Cores(page.NewCores(titled(b, "Cores", ui.NavMore), carPlan(), rows))
	}
	show := func(b ui.Page, sheet garage.CoreSheet, form page.CoreEventForm) templ.Component {
		return page.Core(page.NewCore(titled(b, "Core deposit", ui.NavMore), carPlan(), sheet, form))
	}
	return []Entry{
		{Name: "index-empty", Page: func(b ui.Page) templ.Component { return index(b) }},
		{Name: "index", Page: func(b ui.Page) templ.Component { return index(b, coreRows()...) }},
		{Name: "show-lost-as-planned", Page: func(b ui.Page) templ.Component {
			sheet := coreSheet(coreRows()[0])
			return show(b, sheet, page.BlankCoreEventForm(sheet.Core, theDay))
		}},
		{Name: "show-from-donor", Page: func(b ui.Page) templ.Component {
			sheet := coreSheet(coreRows()[1])
			sheet.Core.DonorPartID = new(garage.DonorPartID(1))
			plan := carPlan()
			plan.Shot.DonorParts = []garage.DonorPart{
				{ID: 1, CarID: 1, PartID: sheet.Core.PartID, Quantity: 1, ForCores: 1},
				{ID: 2, CarID: 1, PartID: sheet.Core.PartID, Quantity: 2, Condition: "good"},
			}
			return page.Core(page.NewCore(titled(b, "Core deposit", ui.NavMore), plan, sheet, page.CoreEventForm{}))
		}},
		{Name: "show-refunded", Page: func(b ui.Page) templ.Component {
			sheet := coreSheet(coreRows()[2])
			sheet.Events = []garage.CoreEvent{
				{ID: 1, State: deposit.Sent, HappenedOn: theDay, Freight: 1190, Tracking: longName},
				{ID: 2, State: deposit.Accepted, HappenedOn: theDay, Amount: 2700, Reason: longName},
				{ID: 3, State: deposit.Refunded, HappenedOn: theDay, Amount: 2700},
			}
			return show(b, sheet, page.CoreEventForm{})
		}},
		{Name: "event-wrong", Page: func(b ui.Page) templ.Component {
			form := page.CoreEventForm{HappenedOn: "soon", Amount: "much", Freight: "x", Reason: longName}
			form.Event(coreRows()[1].Core, theDay)
			return show(b, coreSheet(coreRows()[1]), form)
		}},
		{Name: "edit-wrong", Page: func(b ui.Page) templ.Component {
			form := page.CoreForm{Deposit: "dear", Tax: "x", Window: "-1", BasisOn: "then", Refund: "9999", ReturnTo: longName, Job: "7"}
			form.Core(garage.Core{Currency: "EUR"})
			return page.CoreEdit(carPlan().NewCoreForm(titled(b, "Core deposit", ui.NavMore), coreRows()[0].Core, garagetest.Part(), form))
		}},
	}
}

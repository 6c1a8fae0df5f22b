package exchange

import (
	"cmp"

	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

// partLinks are what leads from a part to others: its twin and the cars that it fits.
func (r *demoReader) partLinks(parts []demoPart) {
	for id, car := range r.checked {
		r.out.Lots[id-1].CheckedCarID = new(find(r, r.cars, car))
	}
	for _, p := range parts {
		id := r.parts[p.Name]
		if p.Twin != "" {
			r.out.Twins = append(r.out.Twins, garage.PartTwins{Left: id, Right: find(r, r.parts, p.Twin)})
		}
		for _, f := range p.Fitted {
			r.out.WereFitted = append(r.out.WereFitted, garage.Fitted{
				ID: garage.FittedID(len(r.out.WereFitted) + 1), PartID: id, CarID: find(r, r.cars, f.Car), Quantity: max(f.Quantity, 1), Side: f.Side,
				Grade: f.Grade, Supplier: f.Supplier, FittedOn: r.date(f.On), EndedOn: r.maybeDate(f.Ended), EndedAs: f.As, Note: f.Note,
			})
		}
		for _, f := range p.Fits {
			r.out.Fits = append(r.out.Fits, garage.PartFit{
				ID: garage.PartFitID(len(r.out.Fits) + 1), PartID: id, CarID: find(r, r.cars, f.Car), Known: f.Known, Note: f.Note,
			})
		}
	}
}

// demoStock is pieces in a bin; what sets them apart is left out of those that are as bought.
type demoStock struct {
	Bin                                   string
	Quantity                              int
	Condition, Grade, Checked, On, Opened string // Checked is the car, On the day
	Keeps                                 int
	Note                                  string
	Order                                 string // the number of that which it came with
}

type demoNeed struct {
	Part, Side, Note string
	Quantity         int
	Least            string
	SingleUse        bool `json:"single_use"`
	Nice             bool
}

// lot is what sets pieces apart, nil when nothing does. The car that they were held against is looked up when the cars are read.
func (r *demoReader) lot(part garage.PartID, s demoStock) *garage.LotID {
	l := garage.Lot{
		ID: garage.LotID(len(r.out.Lots) + 1), PartID: part, Condition: s.Condition, Grade: s.Grade, CheckedOn: r.maybeDate(s.On),
		OpenedOn: r.maybeDate(s.Opened), Note: s.Note,
	}
	if s.Keeps > 0 {
		l.KeepsMonths = &s.Keeps
	}
	if l.Plain() {
		return nil
	}
	if s.Checked != "" {
		r.checked[l.ID] = s.Checked
	}
	r.out.Lots = append(r.out.Lots, l)
	return &l.ID
}

// demoLedger is what a donor costs.
type demoLedger struct {
	Price, Transport, Storage, Disposal, Paperwork int64
	Since                                          string
	ScrapKg                                        int   `json:"scrap_kg"`
	Scrap                                          int64 // for a kilogram
}

// ledger is what a donor costs and what of it was sold.
func (r *demoReader) ledger(c demoCar) {
	id := r.cars[c.Name]
	if l := c.Ledger; l != nil {
		r.out.Ledgers = append(r.out.Ledgers, garage.DonorLedger{
			CarID: id, Currency: r.currency, Price: l.Price, Transport: l.Transport, StoragePerDay: l.Storage, Disposal: l.Disposal,
			Paperwork: l.Paperwork, HereSince: r.maybeDate(l.Since), ScrapKg: l.ScrapKg, ScrapPrice: l.Scrap,
		})
	}
	for _, s := range c.Sales {
		r.out.Sales = append(r.out.Sales, garage.DonorSale{
			ID: garage.DonorSaleID(len(r.out.Sales) + 1), CarID: id, What: s.What, SoldOn: r.date(s.On), Currency: r.currency, Price: s.Price,
			Fees: s.Fees, Note: s.Note,
		})
	}
}

// demoFitted is what was fitted to a car, and what became of it.
type demoFitted struct {
	Car, Side, Grade, Supplier, On, Ended, As, Note string
	Quantity                                        int
}

// demoCore is the deposit for one unit and what happened to it.
type demoCore struct {
	Job, Supplier, Order, Basis, On string
	Deposit                         int64
	Window, Refund                  int // calendar days
	Drained                         bool
	Return                          string // number of the return
	Events                          []struct {
		To, On, Tracking, Reason string
		Amount, Freight          int64
	}
}

// cores are the core deposits, each with the state that its events come to.
func (r *demoReader) cores(parts []demoPart) {
	for _, p := range parts {
		for _, c := range p.Cores {
			r.core(r.parts[p.Name], cmp.Or(c.Supplier, p.Supplier), c)
		}
	}
}

func (r *demoReader) core(part garage.PartID, supplier string, c demoCore) {
	v := garage.Core{
		ID: garage.CoreID(len(r.out.Cores) + 1), Version: 1, PartID: part, Supplier: supplier, OrderNumber: c.Order, Currency: r.currency,
		Deposit: c.Deposit, WindowN: c.Window, WindowCount: deposit.CalendarDays, Basis: deposit.Basis(c.Basis), BasisOn: r.maybeDate(c.On),
		Box: true, Drained: c.Drained, Complete: true, RefundN: &c.Refund, RefundCount: deposit.CalendarDays, ReturnNumber: c.Return,
	}
	if c.Job != "" {
		v.JobID = new(find(r, r.jobs, c.Job))
		v.FreedBy = v.JobID
	}
	var events []garage.CoreEvent
	for _, e := range c.Events {
		events = append(events, garage.CoreEvent{
			ID: garage.CoreEventID(len(r.out.CoreEvents) + len(events) + 1), CoreID: v.ID, State: deposit.State(e.To), HappenedOn: r.date(e.On),
			Amount: e.Amount, Freight: e.Freight, Tracking: e.Tracking, Reason: e.Reason,
		})
	}
	unit, err := v.Replay(events)
	if err != nil {
		r.err = cmp.Or(r.err, err)
		return
	}
	v.State, v.Paid = unit.State, unit.Refunded.Minor+unit.Forfeited.Minor+unit.Outstanding.Minor
	v.Refunded, v.Forfeited, v.Outstanding = unit.Refunded.Minor, unit.Forfeited.Minor, unit.Outstanding.Minor
	r.out.Cores, r.out.CoreEvents = append(r.out.Cores, v), append(r.out.CoreEvents, events...)
}

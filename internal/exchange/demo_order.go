package exchange

import (
	"cmp"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

type demoSupplier struct {
	Name, Notes string
	Shipping    int64
	Lead        []int
	ReturnDays  int `json:"return_days"`
}

type demoOrder struct {
	Supplier, Number, On, Promised, Came string
	Shipping                             int64
}

// suppliers and their orders come before the parts that are their lines.
func (r *demoReader) suppliers(d demo) {
	for i, s := range d.Suppliers {
		v := garage.Supplier{
			ID: garage.SupplierID(i + 1), Name: s.Name, Notes: s.Notes, Currency: r.currency, CoreCount: deposit.CalendarDays, CoreBasis: deposit.FromDelivery,
		}
		if s.Shipping > 0 {
			v.Shipping = &s.Shipping
		}
		if s.ReturnDays > 0 {
			v.ReturnDays = &s.ReturnDays
		}
		if len(s.Lead) == 3 {
			v.LeadLow, v.LeadLikely, v.LeadHigh = &s.Lead[0], &s.Lead[1], &s.Lead[2]
		}
		r.out.Suppliers = append(r.out.Suppliers, v)
	}
	for i, o := range d.Orders {
		v := garage.Order{
			ID: garage.OrderID(i + 1), Number: o.Number, OrderedOn: r.date(o.On), PromisedOn: r.maybeDate(o.Promised), Currency: r.currency, Home: r.currency,
			Rate: garage.RateAtHome, Shipping: o.Shipping,
		}
		for _, s := range r.out.Suppliers {
			if s.Name == o.Supplier {
				v.SupplierID, v.ReturnDays = s.ID, s.ReturnDays
			}
		}
		if v.SupplierID == 0 {
			r.fail("there is no supplier %q", o.Supplier)
		}
		r.out.Orders = append(r.out.Orders, v)
		r.cameOn = append(r.cameOn, r.maybeDate(o.Came))
	}
}

// ordered makes an arrival one of a line of an order.
func (r *demoReader) ordered(a *garage.Arrival, p garage.Part, number string) {
	if number == "" {
		return
	}
	for _, o := range r.out.Orders {
		if o.Number == number {
			line := garage.OrderLine{
				ID: garage.OrderLineID(len(r.out.OrderLines) + 1), OrderID: o.ID, PartID: p.ID, Quantity: a.Quantity, Price: p.Price, Per: garage.PricedBy(p),
			}
			r.out.OrderLines = append(r.out.OrderLines, line)
			a.OrderID, a.OrderLineID, a.PromisedOn = &line.OrderID, &line.ID, o.PromisedOn
			return
		}
	}
	r.fail("there is no order %q", number)
}

// receive makes pieces in a bin ones that came with an order.
func (r *demoReader) receive(movement int, p garage.Part, s demoStock) {
	a := garage.Arrival{PartID: p.ID, Quantity: s.Quantity}
	r.ordered(&a, p, s.Order)
	if r.err != nil {
		return
	}
	on := r.cameOn[*a.OrderID-1]
	if on == nil {
		r.fail("order %q has not come", s.Order)
		return
	}
	a.Supplier, a.Low, a.Likely, a.High = cmp.Or(p.Supplier, "unknown"), *on, *on, *on
	a.ReceivedAt = new(on.In(time.UTC).Add(15 * time.Hour))
	r.out.Movements[movement].Kind = "received"
	r.cameBy = append(r.cameBy, movement)
	r.out.Came = append(r.out.Came, a)
}

// came numbers what has come after what is still expected.
func (r *demoReader) came() {
	for i := range r.out.Came {
		r.out.Came[i].ID = garage.ArrivalID(len(r.out.Arrivals) + i + 1)
		r.out.Movements[r.cameBy[i]].ArrivalID = &r.out.Came[i].ID
	}
}

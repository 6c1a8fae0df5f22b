package planner

import (
	"strconv"
	"time"

	"axlestand/internal/garage"
)

// DelaysOf is how garage's suppliers keep their promises, by the name that SupplierRef gives them.
func DelaysOf(records []garage.ArrivalRecord, zone *time.Location) Delays {
	arrived := make([]Arrived, len(records))
	for i, r := range records {
		arrived[i] = Arrived{Supplier: SupplierRef(r.SupplierID), DaysLate: r.DaysLate(zone)}
	}
	return LearnArrivals(arrived)
}

// SupplierRef names a supplier among delays.
func SupplierRef(n garage.SupplierID) string { return strconv.FormatInt(int64(n), 10) }

// Estimates are the arrivals whose dates are others than what their promise and their supplier's record say, with these.
func Estimates(open []garage.OpenPromise, delays Delays) []garage.OpenPromise {
	var changed []garage.OpenPromise
	for _, p := range open {
		was := p
		days := delays.For(SupplierRef(p.SupplierID)).Days
		p.Low, p.Likely, p.High = p.PromisedOn.AddDays(days[0]), p.PromisedOn.AddDays(days[1]), p.PromisedOn.AddDays(days[2])
		if p != was {
			changed = append(changed, p)
		}
	}
	return changed
}

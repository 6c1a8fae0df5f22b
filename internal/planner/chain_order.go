package planner

import (
	"cmp"
	"slices"
)

// Order is what has to be ordered and by when.
type Order struct {
	Part string   `json:"part"`
	Qty  int      `json:"qty"`
	By   Moment   `json:"by"`   // the last day on which it still comes in time
	Jobs []string `json:"jobs"` // that it is for
}

// OrderBy lists the parts that a plan counts on and that are not ordered yet, the most pressing first. A part that is wanted for
// two days is listed for each.
func OrderBy(a Answer) []Order {
	orders := []Order{}
	for _, p := range a.Promises {
		if p.Source != FromOrder {
			continue
		}
		k := slices.IndexFunc(orders, func(o Order) bool { return o.Part == p.Part && o.By == p.OrderBy })
		if k < 0 {
			k = len(orders)
			orders = append(orders, Order{Part: p.Part, By: p.OrderBy})
		}
		orders[k].Qty += p.Qty
		if !slices.Contains(orders[k].Jobs, p.Job) {
			orders[k].Jobs = append(orders[k].Jobs, p.Job)
		}
	}
	for i := range orders {
		slices.Sort(orders[i].Jobs)
	}
	slices.SortFunc(orders, func(a, b Order) int { return cmp.Or(a.By.Time.Compare(b.By.Time), cmp.Compare(a.Part, b.Part)) })
	return orders
}

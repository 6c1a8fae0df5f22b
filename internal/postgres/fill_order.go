package postgres

import (
	"slices"

	"axlestand/internal/garage"
)

// fillOrders are the suppliers, what was ordered of them, and what is expected or has come, ordered or not.
func fillOrders(r garage.Records) []fill {
	return []fill{
		rowsOf("suppliers", []string{
			"id", "name", "lead_low", "lead_likely", "lead_high", "currency", "shipping", "return_days", "core_n", "core_count", "core_basis", "notes",
		}, r.Suppliers, func(v garage.Supplier) []any {
			return []any{
				int64(v.ID), v.Name, v.LeadLow, v.LeadLikely, v.LeadHigh, v.Currency, v.Shipping, v.ReturnDays, v.CoreN, string(v.CoreCount),
				string(v.CoreBasis), v.Notes,
			}
		}),
		rowsOf("orders", []string{
			"id", "supplier_id", "number", "ordered_on", "promised_on", "currency", "home", "rate", "shipping", "duty", "tax", "handling", "paid", "return_days", "notes",
		}, r.Orders, func(o garage.Order) []any {
			return []any{
				int64(o.ID), int64(o.SupplierID), o.Number, o.OrderedOn, o.PromisedOn, o.Currency, o.Home, int64(o.Rate), o.Shipping, o.Duty, o.Tax,
				o.Handling, o.Paid, o.ReturnDays, o.Notes,
			}
		}),
		rowsOf("order_lines", []string{"id", "order_id", "part_id", "quantity", "price", "per", "deposit", "note"}, r.OrderLines, func(l garage.OrderLine) []any {
			return []any{int64(l.ID), int64(l.OrderID), int64(l.PartID), l.Quantity, l.Price, l.Per, l.Deposit, l.Note}
		}),
		rowsOf("arrivals", []string{
			"id", "part_id", "quantity", "low", "likely", "high", "supplier", "note", "order_id", "order_line_id", "promised_on", "received_at",
		}, slices.Concat(r.Arrivals, r.Came), func(a garage.Arrival) []any {
			return []any{
				int64(a.ID), int64(a.PartID), a.Quantity, a.Low, a.Likely, a.High, a.Supplier, a.Note, (*int64)(a.OrderID), (*int64)(a.OrderLineID),
				a.PromisedOn, a.ReceivedAt,
			}
		}),
	}
}

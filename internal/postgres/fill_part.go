package postgres

import "axlestand/internal/garage"

// fillPartLinks are what leads from parts to each other and to cars.
func fillPartLinks(r garage.Records) []fill {
	return []fill{
		rowsOf("part_twins", []string{"left_id", "right_id"}, r.Twins, func(t garage.PartTwins) []any {
			return []any{int64(t.Left), int64(t.Right)}
		}),
		rowsOf("part_fits", []string{"id", "part_id", "car_id", "known", "note"}, r.Fits, func(f garage.PartFit) []any {
			return []any{int64(f.ID), int64(f.PartID), int64(f.CarID), f.Known, f.Note}
		}),
		rowsOf("job_kits", []string{"job_id", "bin_id"}, r.Kits, func(k garage.JobKit) []any {
			return []any{int64(k.JobID), int64(k.BinID)}
		}),
		rowsOf("fitted", []string{
			"id", "part_id", "car_id", "quantity", "side", "grade", "supplier", "fitted_on", "ended_on", "ended_as", "note",
		}, r.WereFitted, func(f garage.Fitted) []any {
			return []any{
				int64(f.ID), int64(f.PartID), int64(f.CarID), f.Quantity, f.Side, f.Grade, f.Supplier, f.FittedOn, f.EndedOn, f.EndedAs, f.Note,
			}
		}),
		rowsOf("donor_ledgers", []string{
			"car_id", "currency", "price", "transport", "storage_per_day", "disposal", "paperwork", "here_since", "gone_on", "scrap_kg", "scrap_price",
		}, r.Ledgers, func(l garage.DonorLedger) []any {
			return []any{
				int64(l.CarID), l.Currency, l.Price, l.Transport, l.StoragePerDay, l.Disposal, l.Paperwork, l.HereSince, l.GoneOn, l.ScrapKg,
				l.ScrapPrice,
			}
		}),
		rowsOf("donor_sales", []string{"id", "car_id", "what", "sold_on", "currency", "price", "fees", "note"}, r.Sales,
			func(v garage.DonorSale) []any {
				return []any{int64(v.ID), int64(v.CarID), v.What, v.SoldOn, v.Currency, v.Price, v.Fees, v.Note}
			}),
	}
}

// fillLots are what sets pieces apart, before the movements that refer to it. Where they come from is not known yet.
func fillLots(r garage.Records) []fill {
	return []fill{
		rowsOf("lots", []string{"id", "part_id", "condition", "grade", "checked_on", "checked_car_id", "opened_on", "keeps_months", "note"}, r.Lots,
			func(l garage.Lot) []any {
				return []any{
					int64(l.ID), int64(l.PartID), l.Condition, l.Grade, l.CheckedOn, (*int64)(l.CheckedCarID), l.OpenedOn, l.KeepsMonths, l.Note,
				}
			}),
	}
}

// fillCores are the core deposits, with what happened to their units.
func fillCores(r garage.Records) []fill {
	return []fill{
		rowsOf("cores", []string{
			"id", "part_id", "job_id", "donor_part_id", "supplier", "order_number", "currency", "deposit", "tax", "window_n", "window_count", "basis", "basis_on",
			"box", "drained", "complete", "freight_by_buyer", "refund_n", "refund_count", "return_to", "return_number", "note",
			"state", "paid", "refunded", "forfeited", "outstanding",
		}, r.Cores, func(c garage.Core) []any {
			return []any{
				int64(c.ID), int64(c.PartID), (*int64)(c.JobID), (*int64)(c.DonorPartID), c.Supplier, c.OrderNumber, c.Currency, c.Deposit, int64(c.Tax),
				c.WindowN, string(c.WindowCount), string(c.Basis), c.BasisOn, c.Box, c.Drained, c.Complete, c.FreightByBuyer, c.RefundN,
				string(c.RefundCount), c.ReturnTo, c.ReturnNumber, c.Note, string(c.State), c.Paid, c.Refunded, c.Forfeited, c.Outstanding,
			}
		}),
		rowsOf("core_events", []string{"id", "core_id", "state", "happened_on", "amount", "freight", "tracking", "reason"}, r.CoreEvents,
			func(e garage.CoreEvent) []any {
				return []any{int64(e.ID), int64(e.CoreID), string(e.State), e.HappenedOn, e.Amount, e.Freight, e.Tracking, e.Reason}
			}),
	}
}

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

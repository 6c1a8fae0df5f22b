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

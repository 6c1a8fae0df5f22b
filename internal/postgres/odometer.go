package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const (
	segmentColumns = `id, car_id, number, unit, offset_m, reason`
	readingColumns = `id, segment_id, read_on, shown, note, reverses, created_at`
)

// Odometer is all that is known of how far a car has run, readings in the order in which they were entered.
func (s *Store) Odometer(ctx context.Context, id garage.CarID) (garage.Odometer, error) {
	return odometer(ctx, s.db, id)
}

func odometer(ctx context.Context, db DBTX, id garage.CarID) (o garage.Odometer, err error) {
	o.Segments, err = list[garage.OdometerSegment](ctx, db, `
		select `+segmentColumns+` from odometer_segments where car_id = @car_id order by number`, args{"car_id": id})
	if err != nil {
		return o, fmt.Errorf("odometer of car %d: %w", id, err)
	}
	o.Readings, err = list[garage.OdometerReading](ctx, db, `
		select `+readingColumns+` from odometer_readings
		where segment_id in (select id from odometer_segments where car_id = @car_id)
		order by id`, args{"car_id": id})
	if err != nil {
		return o, fmt.Errorf("odometer of car %d: %w", id, err)
	}
	return o, nil
}

// AddReading notes what a car's odometer shows, on the same odometer as before or on another one.
// *garage.InvalidError for what does not hold or is to be asked, garage.ErrNotFound when the car is gone.
func (s *Store) AddReading(ctx context.Context, id garage.CarID, entry garage.ReadingEntry, today garage.Date) (reading garage.ReadingID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, id, holdCar); err != nil {
			return err
		}
		o, err := odometer(ctx, tx, id)
		if err != nil {
			return err
		}
		segment, err := o.Place(entry, today)
		if err != nil {
			return err
		}
		if segment.ID == 0 {
			segment.CarID = id
			if segment.ID, err = insertSegment(ctx, tx, segment); err != nil {
				return err
			}
		}
		reading, err = insertReading(ctx, tx, garage.OdometerReading{
			SegmentID: segment.ID, ReadOn: entry.ReadOn, Shown: entry.Shown, Note: entry.Note,
		})
		return err
	})
	return reading, err
}

func insertSegment(ctx context.Context, db DBTX, v garage.OdometerSegment) (garage.SegmentID, error) {
	return insert[garage.SegmentID](ctx, db, `
		insert into odometer_segments (car_id, number, unit, offset_m, reason)
		values (@car_id, @number, @unit, @offset_m, @reason)
		returning id`,
		args{"car_id": v.CarID, "number": v.Number, "unit": v.Unit, "offset_m": v.OffsetM, "reason": v.Reason})
}

func insertReading(ctx context.Context, db DBTX, r garage.OdometerReading) (garage.ReadingID, error) {
	return insert[garage.ReadingID](ctx, db, `
		insert into odometer_readings (segment_id, read_on, shown, note, reverses)
		values (@segment_id, @read_on, @shown, @note, @reverses)
		returning id`,
		args{"segment_id": r.SegmentID, "read_on": r.ReadOn, "shown": r.Shown, "note": r.Note, "reverses": r.Reverses})
}

// ReverseReading undoes a reading of a car by a further one. garage.ErrNotFound when the car has no such reading that
// stands.
func (s *Store) ReverseReading(ctx context.Context, id garage.CarID, reading garage.ReadingID, today garage.Date) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, id, holdCar); err != nil {
			return err
		}
		o, err := odometer(ctx, tx, id)
		if err != nil {
			return err
		}
		for _, r := range o.Standing() {
			if r.ID == reading {
				_, err := insertReading(ctx, tx, garage.OdometerReading{
					SegmentID: r.SegmentID, ReadOn: today, Shown: r.Shown, Reverses: &reading,
				})
				return err
			}
		}
		return fmt.Errorf("reading %d of car %d: %w", reading, id, garage.ErrNotFound)
	})
}

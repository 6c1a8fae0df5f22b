package postgres

import (
	"context"

	"axlestand/internal/garage"
)

const settingsColumns = `version, name, zone, currency, distance_unit, torque_unit, confidence, change_car_minutes, lifts, estimates, holidays`

// Settings are the owner's choices; there is always one set.
func (s *Store) Settings(ctx context.Context) (garage.Settings, error) {
	return one[garage.Settings](ctx, s.db, `select `+settingsColumns+` from settings`, args{})
}

// UpdateSettings saves them. *garage.InvalidError for what does not hold, also for fewer lifts than cars stand on, garage.ErrConflict for an old version.
func (s *Store) UpdateSettings(ctx context.Context, v garage.Settings) error {
	if err := v.Validate(); err != nil {
		return err
	}
	var onLift int
	err := s.db.QueryRow(ctx, `select count(*) from cars where stands = 'lift' and deleted_at is null`).Scan(&onLift)
	if err != nil {
		return mapError(err)
	}
	if onLift > v.Lifts {
		return garage.FieldErrors{"lifts": "More cars than that stand on lifts now. Move one off first."}.Err()
	}
	tag, err := s.db.Exec(ctx, `
		update settings set
		  version = version + 1,
		  name = @name,
		  zone = @zone,
		  currency = @currency,
		  distance_unit = @distance_unit,
		  torque_unit = @torque_unit,
		  confidence = @confidence,
		  change_car_minutes = @change_car_minutes,
		  lifts = @lifts,
		  estimates = @estimates,
		  holidays = @holidays
		where version = @version`,
		args{
			"name": v.Name, "zone": v.Zone, "currency": v.Currency, "distance_unit": v.DistanceUnit,
			"torque_unit": v.TorqueUnit, "confidence": v.Confidence, "change_car_minutes": v.ChangeCarMinutes,
			"lifts": v.Lifts, "estimates": v.Estimates, "holidays": dateTexts(v.Holidays), "version": v.Version,
		})
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 0 {
		return garage.ErrConflict
	}
	return nil
}

// dateTexts are days as the database reads an array of them.
func dateTexts(days []garage.Date) []string {
	all := make([]string, len(days))
	for i, d := range days {
		all[i] = d.String()
	}
	return all
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// RoadNeeds lists the road needs of a car: every week first, then by date.
func (s *Store) RoadNeeds(ctx context.Context, id garage.CarID) ([]garage.RoadNeed, error) {
	return list[garage.RoadNeed](ctx, s.db, `
		select `+roadNeedColumns+` from road_needs
		where car_id = @car_id and deleted_at is null
		order by starts_at nulls first, weekdays, from_minute, id`, args{"car_id": id})
}

// RoadNeed is one road need. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) RoadNeed(ctx context.Context, id garage.RoadNeedID) (garage.RoadNeed, error) {
	n, err := one[garage.RoadNeed](ctx, s.db, `select `+roadNeedColumns+` from road_needs where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return n, fmt.Errorf("road need %d: %w", id, err)
	}
	return n, nil
}

func roadNeedArgs(n garage.RoadNeed) args {
	if n.Weekdays == nil {
		n.Weekdays = []int{}
	}
	return args{
		"why": n.Why, "starts_at": n.StartsAt, "ends_at": n.EndsAt, "weekdays": n.Weekdays, "from_minute": n.FromMinute,
		"to_minute": n.ToMinute,
	}
}

// CreateRoadNeed adds a road need to a car. *garage.InvalidError for what does not hold, garage.ErrNotFound when the car
// is gone.
func (s *Store) CreateRoadNeed(ctx context.Context, n garage.RoadNeed) (id garage.RoadNeedID, err error) {
	if err := n.Validate(); err != nil {
		return 0, err
	}
	a := roadNeedArgs(n)
	a["car_id"] = n.CarID
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, n.CarID, ""); err != nil {
			return err
		}
		id, err = insert[garage.RoadNeedID](ctx, tx, `
			insert into road_needs (car_id, why, starts_at, ends_at, weekdays, from_minute, to_minute)
			values (@car_id, @why, @starts_at, @ends_at, @weekdays, @from_minute, @to_minute)
			returning id`, a)
		return err
	})
	return id, err
}

// UpdateRoadNeed saves a road need; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an
// old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateRoadNeed(ctx context.Context, n garage.RoadNeed) error {
	if err := n.Validate(); err != nil {
		return err
	}
	a := roadNeedArgs(n)
	a["id"], a["version"] = n.ID, n.Version
	return update(ctx, s.db, "road_needs", `
		update road_needs set
		  version = version + 1,
		  why = @why,
		  starts_at = @starts_at,
		  ends_at = @ends_at,
		  weekdays = @weekdays,
		  from_minute = @from_minute,
		  to_minute = @to_minute
		where id = @id and version = @version and deleted_at is null`, a)
}

// DeleteRoadNeed deletes a road need; RestoreRoadNeed brings it back. garage.ErrNotFound when it is gone already.
func (s *Store) DeleteRoadNeed(ctx context.Context, id garage.RoadNeedID) error {
	return s.setDeleted(ctx, "road_needs", int64(id), true)
}

// RestoreRoadNeed brings a deleted road need back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreRoadNeed(ctx context.Context, id garage.RoadNeedID) error {
	return s.setDeleted(ctx, "road_needs", int64(id), false)
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// ClosingWorks lists the closing work of a car by name.
func (s *Store) ClosingWorks(ctx context.Context, id garage.CarID) ([]garage.ClosingWork, error) {
	return list[garage.ClosingWork](ctx, s.db, `
		select `+closingColumns+` from closing_work
		where car_id = @car_id and deleted_at is null
		order by lower(name), id`, args{"car_id": id})
}

// ClosingWork is one closing work. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) ClosingWork(ctx context.Context, id garage.ClosingID) (garage.ClosingWork, error) {
	c, err := one[garage.ClosingWork](ctx, s.db, `select `+closingColumns+` from closing_work where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return c, fmt.Errorf("closing work %d: %w", id, err)
	}
	return c, nil
}

// CreateClosingWork adds closing work to a car. *garage.InvalidError for what does not hold, garage.ErrNotFound when the car
// is gone.
func (s *Store) CreateClosingWork(ctx context.Context, c garage.ClosingWork) (id garage.ClosingID, err error) {
	if err := c.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, c.CarID, ""); err != nil {
			return err
		}
		id, err = insert[garage.ClosingID](ctx, tx, `
			insert into closing_work (car_id, name, minutes, helpers)
			values (@car_id, @name, @minutes, @helpers)
			returning id`,
			args{"car_id": c.CarID, "name": c.Name, "minutes": c.Minutes, "helpers": c.Helpers})
		return err
	})
	return id, err
}

// UpdateClosingWork saves closing work; its car stays. *garage.InvalidError for what does not hold, garage.ErrConflict for an
// old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateClosingWork(ctx context.Context, c garage.ClosingWork) error {
	if err := c.Validate(); err != nil {
		return err
	}
	return update(ctx, s.db, "closing_work", `
		update closing_work set
		  version = version + 1,
		  name = @name,
		  minutes = @minutes,
		  helpers = @helpers
		where id = @id and version = @version and deleted_at is null`,
		args{"id": c.ID, "version": c.Version, "name": c.Name, "minutes": c.Minutes, "helpers": c.Helpers})
}

// DeleteClosingWork deletes closing work; RestoreClosingWork brings it back. *garage.InvalidError, on the whole, while an
// open job calls for it; garage.ErrNotFound when it is gone already.
func (s *Store) DeleteClosingWork(ctx context.Context, id garage.ClosingID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		users, err := usedBy(ctx, tx, `
			select distinct j.title from stage_closing c join stages s on s.id = c.stage_id join jobs j on j.id = s.job_id
			where c.closing_id = $1 and s.deleted_at is null and s.done_at is null and `+jobIsOpen, int64(id))
		if err != nil {
			return err
		}
		if users != "" {
			return garage.FieldErrors{"": "Still needed by " + users + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "closing_work", int64(id), true)
	})
}

// RestoreClosingWork brings deleted closing work back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreClosingWork(ctx context.Context, id garage.ClosingID) error {
	return s.setDeleted(ctx, "closing_work", int64(id), false)
}

package postgres

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Accesses lists the accesses of a car by name.
func (s *Store) Accesses(ctx context.Context, id garage.CarID) ([]garage.Access, error) {
	return accesses(ctx, s.db, id)
}

func accesses(ctx context.Context, db DBTX, id garage.CarID) ([]garage.Access, error) {
	return list[garage.Access](ctx, db, `
		select `+accessColumns+` from access
		where car_id = @car_id and deleted_at is null
		order by lower(name), id`, args{"car_id": id})
}

// Access is one access. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Access(ctx context.Context, id garage.AccessID) (garage.Access, error) {
	return access(ctx, s.db, id)
}

func access(ctx context.Context, db DBTX, id garage.AccessID) (garage.Access, error) {
	a, err := one[garage.Access](ctx, db, `select `+accessColumns+` from access where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return a, fmt.Errorf("access %d: %w", id, err)
	}
	return a, nil
}

func accessArgs(a garage.Access) args {
	return args{
		"name": a.Name, "open_minutes": a.OpenMinutes, "close_minutes": a.CloseMinutes, "stays": a.Stays, "is_open": a.IsOpen,
	}
}

// CreateAccess adds an access to a car. *garage.InvalidError for what does not hold, garage.ErrNotFound when the car is gone.
func (s *Store) CreateAccess(ctx context.Context, a garage.Access) (id garage.AccessID, err error) {
	if err := a.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := checkInside(ctx, tx, a); err != nil {
			return err
		}
		values := accessArgs(a)
		values["car_id"] = a.CarID
		id, err = insert[garage.AccessID](ctx, tx, `
			insert into access (car_id, name, open_minutes, close_minutes, stays, is_open)
			values (@car_id, @name, @open_minutes, @close_minutes, @stays, @is_open)
			returning id`, values)
		if err != nil {
			return err
		}
		if err := setInside(ctx, tx, id, a.Inside); err != nil {
			return err
		}
		_, err = setOpen(ctx, tx, a.CarID, a.IsOpen, id)
		return err
	})
	return id, err
}

// UpdateAccess saves an access; its car stays. *garage.InvalidError for what does not hold, also for a loop of accesses
// inside each other, which is named; garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateAccess(ctx context.Context, a garage.Access) error {
	if err := a.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stored, err := access(ctx, tx, a.ID)
		if err != nil {
			return err
		}
		a.CarID = stored.CarID
		if err := checkInside(ctx, tx, a); err != nil {
			return err
		}
		values := accessArgs(a)
		values["id"], values["version"] = a.ID, a.Version
		err = update(ctx, tx, "access", `
			update access set
			  version = version + 1,
			  name = @name,
			  open_minutes = @open_minutes,
			  close_minutes = @close_minutes,
			  stays = @stays,
			  is_open = @is_open
			where id = @id and version = @version and deleted_at is null`, values)
		if err != nil {
			return err
		}
		if err := setInside(ctx, tx, a.ID, a.Inside); err != nil {
			return err
		}
		_, err = setOpen(ctx, tx, a.CarID, a.IsOpen, a.ID)
		return err
	})
}

// checkInside holds the car, so that two saves cannot close a loop between them.
func checkInside(ctx context.Context, tx pgx.Tx, a garage.Access) error {
	if _, err := car(ctx, tx, a.CarID, holdCar); err != nil {
		return err
	}
	all, err := accesses(ctx, tx, a.CarID)
	if err != nil {
		return err
	}
	for _, inside := range a.Inside {
		if !slices.ContainsFunc(all, func(o garage.Access) bool { return o.ID == inside }) {
			return garage.FieldErrors{"inside": "Choose from what is on this car."}.Err()
		}
	}
	if loop := garage.AccessLoop(all, a); loop != nil {
		return garage.FieldErrors{"inside": "That is a loop: " + strings.Join(loop, " inside ") + "."}.Err()
	}
	if garage.AccessTooDeep(all, a) {
		return garage.FieldErrors{"inside": "That is more than 100 inside each other."}.Err()
	}
	return nil
}

func setInside(ctx context.Context, tx pgx.Tx, id garage.AccessID, inside []garage.AccessID) error {
	if _, err := tx.Exec(ctx, `delete from access_inside where access_id = $1`, id); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `
		insert into access_inside (access_id, inside_id)
		select distinct $1::bigint, unnest($2::bigint[])`, id, inside)
	return err
}

// SetAccessOpen says that accesses of one car are open now, or closed: with them opens what they lie inside, or closes what
// lies inside them. It returns those that were otherwise before. garage.ErrNotFound when one of them is gone.
func (s *Store) SetAccessOpen(ctx context.Context, open bool, ids ...garage.AccessID) (changed []garage.Access, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		for _, id := range ids {
			a, err := access(ctx, tx, id)
			if err != nil {
				return err
			}
			if _, err := car(ctx, tx, a.CarID, holdCar); err != nil {
				return err
			}
			with, err := setOpen(ctx, tx, a.CarID, open, id)
			if err != nil {
				return err
			}
			changed = append(changed, with...)
		}
		return nil
	})
	return changed, err
}

// setOpen opens or closes an access of a car that is held, and all that opens or closes with it, whatever the access itself
// says already.
func setOpen(ctx context.Context, tx pgx.Tx, carID garage.CarID, open bool, id garage.AccessID) (changed []garage.Access, err error) {
	all, err := accesses(ctx, tx, carID)
	if err != nil {
		return nil, err
	}
	change := garage.OpenWith(all, id, open)
	for _, a := range all {
		if slices.Contains(change, a.ID) {
			changed = append(changed, a)
		}
	}
	_, err = tx.Exec(ctx, `update access set is_open = $1, version = version + 1 where id = any($2::bigint[])`, open, change)
	return changed, err
}

// DeleteAccess deletes an access; RestoreAccess brings it back. *garage.InvalidError, on the whole, while an open job or
// another access needs it; garage.ErrNotFound when it is gone already.
func (s *Store) DeleteAccess(ctx context.Context, id garage.AccessID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		users, err := usedBy(ctx, tx, `
			select o.name from access_inside i join access o on o.id = i.access_id
			where i.inside_id = $1 and o.deleted_at is null
			union all
			select distinct j.title from stage_access a join stages s on s.id = a.stage_id join jobs j on j.id = s.job_id
			where a.access_id = $1 and s.deleted_at is null and s.done_at is null and `+jobIsOpen, int64(id))
		if err != nil {
			return err
		}
		if users != "" {
			return garage.FieldErrors{"": "Still needed by " + users + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "access", int64(id), true)
	})
}

// usedBy lists the names that a query finds, a few of many.
func usedBy(ctx context.Context, tx pgx.Tx, query string, id int64) (string, error) {
	rows, err := tx.Query(ctx, query+` order by 1`, id)
	if err != nil {
		return "", err
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return "", err
	}
	const most = 5
	if extra := len(names) - most; extra > 0 {
		names = append(names[:most], fmt.Sprintf("%d more", extra))
	}
	return strings.Join(names, ", "), nil
}

// RestoreAccess brings a deleted access back, closed where what it lies inside was closed meanwhile. garage.ErrNotFound when
// there is no such deleted one.
func (s *Store) RestoreAccess(ctx context.Context, id garage.AccessID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if err := New(tx).setDeleted(ctx, "access", int64(id), false); err != nil {
			return err
		}
		a, err := access(ctx, tx, id)
		if err != nil {
			return err
		}
		if _, err := car(ctx, tx, a.CarID, holdCar); err != nil {
			return err
		}
		all, err := accesses(ctx, tx, a.CarID)
		if err != nil {
			return err
		}
		if a.IsOpen && len(garage.OpenWith(all, id, true)) == 0 {
			return nil
		}
		_, err = setOpen(ctx, tx, a.CarID, false, id)
		return err
	})
}

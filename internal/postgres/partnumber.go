package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// PartsByNumber lists the other parts that go by one of the numbers of a part, such as the one that replaced it.
func (s *Store) PartsByNumber(ctx context.Context, id garage.PartID) ([]garage.Part, error) {
	return list[garage.Part](ctx, s.db, `
		select `+partColumns+` from parts
		where deleted_at is null and id <> @id and id in (
		  select o.part_id from part_numbers n
		  join part_numbers o on o.normal in (n.normal, normal_number(n.replaced_by)) and o.normal <> ''
		  where n.part_id = @id)
		order by lower(name), side, id`, args{"id": id})
}

// Twin is the part for the other side of a handed part. garage.ErrNotFound when it has none.
func (s *Store) Twin(ctx context.Context, id garage.PartID) (garage.Part, error) {
	p, err := one[garage.Part](ctx, s.db, `
		select `+partColumns+` from parts
		where deleted_at is null and id in (
		  select right_id from part_twins where left_id = @id
		  union all select left_id from part_twins where right_id = @id)`, args{"id": id})
	if err != nil {
		return p, fmt.Errorf("twin of part %d: %w", id, err)
	}
	return p, nil
}

// SetTwin makes two parts each other's twin: the one of the id, and one that is picked, or made as its like for the other
// side. *garage.InvalidError under "part" when the sides do not fit or one has a twin already, under "new_part" when none
// fits and none may be made; garage.ErrNotFound when the part is gone.
func (s *Store) SetTwin(ctx context.Context, id garage.PartID, pick garage.PartPick) (twin garage.PartID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		one, err := part(ctx, tx, id, "for no key update")
		if err != nil {
			return err
		}
		other, err := pickTwin(ctx, tx, one, pick)
		if err != nil {
			return err
		}
		twin = other.ID
		left, right := one, other
		if left.Side != "left" {
			left, right = right, left
		}
		if left.Side != "left" || right.Side != "right" {
			return garage.FieldErrors{"part": "Twins are one for the left side and one for the right: " + other.Label() + " is not for the other side."}.Err()
		}
		_, err = tx.Exec(ctx, `delete from part_twins where exists
			(select from parts where id in (left_id, right_id) and deleted_at is not null)`)
		if err != nil {
			return err
		}
		var taken bool
		err = tx.QueryRow(ctx, `select exists (select from part_twins
			where left_id in ($1, $2) or right_id in ($1, $2))`, left.ID, right.ID).Scan(&taken)
		if err != nil {
			return err
		}
		if taken {
			return garage.FieldErrors{"part": "One of the two has a twin already."}.Err()
		}
		_, err = tx.Exec(ctx, `insert into part_twins (left_id, right_id) values ($1, $2)`, left.ID, right.ID)
		return err
	})
	return twin, err
}

// pickTwin finds the part that is meant, or makes one like the first for the other side, without what is the first's alone.
func pickTwin(ctx context.Context, tx pgx.Tx, of garage.Part, pick garage.PartPick) (garage.Part, error) {
	if of.Side == "" {
		return garage.Part{}, garage.FieldErrors{"part": "Say which side " + of.Name + " is for first: change the part."}.Err()
	}
	id, err := pickPart(ctx, tx, garage.PartPick{Text: pick.Text}, of.Currency)
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok && invalid.Fields["new_part"] != "" && pick.New {
		like := of
		like.Number, like.OtherNumbers, like.Side = pick.Text, "", map[string]string{"left": "right", "right": "left"}[of.Side]
		if err := like.Validate(); err != nil {
			return like, garage.FieldErrors{"part": "Keep the number to 200 characters."}.Err()
		}
		id, err = insertPart(ctx, tx, like)
	}
	if err != nil {
		return garage.Part{}, err
	}
	return part(ctx, tx, id, "for no key update")
}

// ClearTwin makes a part no twin of another any more. garage.ErrNotFound when it was none.
func (s *Store) ClearTwin(ctx context.Context, id garage.PartID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `delete from part_twins where $1 in (left_id, right_id)`, id)
		if err == nil && tag.RowsAffected() == 0 {
			err = fmt.Errorf("twin of part %d: %w", id, garage.ErrNotFound)
		}
		return err
	})
}

const partFitRows = `
	select f.id, f.part_id, f.car_id, f.known, f.note, p.name as part_name, c.name as car_name
	from part_fits f join parts p on p.id = f.part_id join cars c on c.id = f.car_id `

// PartFits lists the cars of which it is known whether a part fits them.
func (s *Store) PartFits(ctx context.Context, id garage.PartID) ([]garage.PartFitRow, error) {
	return list[garage.PartFitRow](ctx, s.db, partFitRows+`
		where f.part_id = @part and f.deleted_at is null and c.deleted_at is null
		order by lower(c.name), c.id`, args{"part": id})
}

// SetPartFit says whether a part fits a car and how that is known, in place of what was said before. *garage.InvalidError for
// what does not hold, garage.ErrNotFound when the part or the car is gone.
func (s *Store) SetPartFit(ctx context.Context, f garage.PartFit) (id garage.PartFitID, err error) {
	if err := f.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, f.PartID); err != nil {
			return err
		}
		if _, err := car(ctx, tx, f.CarID, ""); err != nil {
			return err
		}
		id, err = insert[garage.PartFitID](ctx, tx, `
			insert into part_fits (part_id, car_id, known, note) values (@part, @car, @known, @note)
			on conflict (part_id, car_id) where deleted_at is null do update set known = @known, note = @note
			returning id`, args{"part": f.PartID, "car": f.CarID, "known": f.Known, "note": f.Note})
		return err
	})
	return id, err
}

// DeletePartFit forgets whether a part fits a car. It returns the part. garage.ErrNotFound when it is gone already.
func (s *Store) DeletePartFit(ctx context.Context, id garage.PartFitID) (part garage.PartID, err error) {
	err = s.db.QueryRow(ctx, `
		update part_fits set deleted_at = now() where id = $1 and deleted_at is null returning part_id`, id).Scan(&part)
	return part, mapError(err)
}

// RestorePartFit undoes DeletePartFit. *garage.InvalidError when it was said anew meanwhile, garage.ErrNotFound when there is
// no such deleted one.
func (s *Store) RestorePartFit(ctx context.Context, id garage.PartFitID) (part garage.PartID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `
			update part_fits set deleted_at = null where id = $1 and deleted_at is not null returning part_id`, id).Scan(&part)
	})
	return part, err
}

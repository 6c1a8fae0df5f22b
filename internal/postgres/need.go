package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Need is one need. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Need(ctx context.Context, id garage.NeedID) (garage.Need, error) {
	need, err := one[garage.Need](ctx, s.db, `
		select `+needColumns+` from needs where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return need, fmt.Errorf("need %d: %w", id, err)
	}
	return need, nil
}

// CreateNeed adds a need to a stage. With a newPart it adds that part to the garage first and the need is for it.
// *garage.InvalidError for what does not hold, under "new_part" for the part's name; garage.ErrNotFound when the stage is gone.
func (s *Store) CreateNeed(ctx context.Context, need garage.Need, newPart *garage.Part) (garage.NeedID, error) {
	var id garage.NeedID
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		if err := needPart(ctx, tx, &need, newPart); err != nil {
			return err
		}
		var err error
		id, err = insert[garage.NeedID](ctx, tx, `
			insert into needs (stage_id, part_id, quantity, stops, note)
			values (@stage_id, @part_id, @quantity, @stops, @note)
			returning id`, needArgs(need))
		return err
	})
	return id, err
}

// UpdateNeed saves a need; it stays at its stage. The errors are those of CreateNeed, and garage.ErrConflict for an old
// version.
func (s *Store) UpdateNeed(ctx context.Context, need garage.Need, newPart *garage.Part) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := (&Store{tx}).Need(ctx, need.ID)
		if err != nil {
			return err
		}
		need.StageID = was.StageID
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		if err := needPart(ctx, tx, &need, newPart); err != nil {
			return err
		}
		a := needArgs(need)
		a["id"], a["version"] = need.ID, need.Version
		return update(ctx, tx, "needs", `
			update needs set
			  version = version + 1,
			  stage_id = @stage_id,
			  part_id = @part_id,
			  quantity = @quantity,
			  stops = @stops,
			  note = @note
			where id = @id and version = @version`, a)
	})
}

func needArgs(need garage.Need) args {
	return args{
		"stage_id": need.StageID, "part_id": need.PartID, "quantity": need.Quantity, "stops": need.Stops, "note": need.Note,
	}
}

// needPart adds the new part, if there is one, and checks the need and that its part is in the garage.
func needPart(ctx context.Context, tx pgx.Tx, need *garage.Need, newPart *garage.Part) error {
	if newPart != nil {
		id, err := addPart(ctx, tx, *newPart)
		if err != nil {
			return underField(err, "new_part.")
		}
		need.PartID = id
	}
	if err := need.Validate(); err != nil {
		return err
	}
	var kept bool
	err := tx.QueryRow(ctx, `select exists (select from parts where id = $1 and deleted_at is null)`, need.PartID).Scan(&kept)
	if err == nil && !kept {
		return garage.FieldErrors{"part": "That part was deleted. Choose another."}.Err()
	}
	return err
}

// DeleteNeed deletes a need. *garage.InvalidError when its stage is done or its job closed; garage.ErrNotFound.
func (s *Store) DeleteNeed(ctx context.Context, id garage.NeedID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		need, err := (&Store{tx}).Need(ctx, id)
		if err != nil {
			return err
		}
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		return (&Store{tx}).setDeleted(ctx, "needs", int64(id), true)
	})
}

// RestoreNeed undoes DeleteNeed. garage.ErrNotFound when there is no such deleted need.
func (s *Store) RestoreNeed(ctx context.Context, id garage.NeedID) error {
	return s.setDeleted(ctx, "needs", int64(id), false)
}

// addPart adds a part known by little more than its name.
func addPart(ctx context.Context, tx pgx.Tx, part garage.Part) (garage.PartID, error) {
	if err := part.Validate(); err != nil {
		return 0, err
	}
	return insert[garage.PartID](ctx, tx, `
		insert into parts (name, unit, currency) values (@name, @unit, @currency) returning id`,
		args{"name": part.Name, "unit": part.Unit, "currency": part.Currency})
}

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

// CreateNeed adds a need to a stage, for the part that is picked by name, or made; with an empty pick for need.PartID.
// *garage.InvalidError for what does not hold, garage.ErrNotFound when the stage or the part is gone.
func (s *Store) CreateNeed(ctx context.Context, need garage.Need, pick garage.PartPick) (id garage.NeedID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		if need.PartID, err = pickNeeded(ctx, tx, need, pick); err != nil {
			return err
		}
		id, err = insert[garage.NeedID](ctx, tx, `
			insert into needs (stage_id, part_id, quantity, stops, note, side, least_grade, single_use)
			values (@stage_id, @part_id, @quantity, @stops, @note, @side, @least_grade, @single_use)
			returning id`, needArgs(need))
		return err
	})
	return id, err
}

// UpdateNeed saves a need; it stays at its stage. The errors are those of CreateNeed, and garage.ErrConflict for an old
// version.
func (s *Store) UpdateNeed(ctx context.Context, need garage.Need, pick garage.PartPick) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := New(tx).Need(ctx, need.ID)
		if err != nil {
			return err
		}
		need.StageID = was.StageID
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		if need.PartID, err = pickNeeded(ctx, tx, need, pick); err != nil {
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
			  note = @note,
			  side = @side,
			  least_grade = @least_grade,
			  single_use = @single_use,
			  pinned_at = case when part_id = @part_id and quantity >= @quantity and least_grade = @least_grade then pinned_at end
			where id = @id and version = @version`, a)
	})
}

func needArgs(need garage.Need) args {
	return args{
		"stage_id": need.StageID, "part_id": need.PartID, "quantity": need.Quantity, "stops": need.Stops, "note": need.Note,
		"side": need.Side, "least_grade": need.LeastGrade, "single_use": need.SingleUse,
	}
}

// pickNeeded finds the part that is meant, and holds the rest against the rules at once.
func pickNeeded(ctx context.Context, tx pgx.Tx, need garage.Need, pick garage.PartPick) (garage.PartID, error) {
	settings, err := New(tx).Settings(ctx)
	if err != nil {
		return 0, err
	}
	var e garage.FieldErrors
	id := need.PartID
	if id != 0 && pick == (garage.PartPick{}) {
		err = holdPart(ctx, tx, id)
	} else {
		id, err = pickPart(ctx, tx, pick, settings.Currency)
	}
	if err != nil && !gather(err, &e) {
		return 0, err
	}
	if need.PartID = id; id == 0 {
		need.PartID = -1 // what is wrong with the part is noted already
	}
	if err := need.Validate(); err != nil && !gather(err, &e) {
		return 0, err
	}
	return id, e.Err()
}

// DeleteNeed deletes a need. *garage.InvalidError when its stage is done or its job closed; garage.ErrNotFound.
func (s *Store) DeleteNeed(ctx context.Context, id garage.NeedID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		need, err := New(tx).Need(ctx, id)
		if err != nil {
			return err
		}
		if _, err := openStage(ctx, tx, need.StageID); err != nil {
			return err
		}
		return New(tx).setDeleted(ctx, "needs", int64(id), true)
	})
}

// RestoreNeed undoes DeleteNeed. garage.ErrNotFound when there is no such deleted need.
func (s *Store) RestoreNeed(ctx context.Context, id garage.NeedID) error {
	return s.setDeleted(ctx, "needs", int64(id), false)
}

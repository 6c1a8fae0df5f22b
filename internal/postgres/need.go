package postgres

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

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

// CreateNeed adds a need to a stage. With a newPart the need is for the part of that name, which is added when the garage
// has none. *garage.InvalidError for what does not hold, with the new part's fields under "new_part."; garage.ErrNotFound
// when the stage is gone.
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

// needPart finds or adds the part known by name, if there is one, and checks the need and that its part is in the garage.
func needPart(ctx context.Context, tx pgx.Tx, need *garage.Need, newPart *garage.Part) error {
	if newPart != nil {
		id, err := partByName(ctx, tx, *newPart)
		if err != nil {
			return err
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

// partByName is the one part of that name, added when there is none yet.
func partByName(ctx context.Context, tx pgx.Tx, part garage.Part) (garage.PartID, error) {
	if err := part.Validate(); err != nil {
		return 0, underField(err, "new_part.")
	}
	known, err := list[struct{ ID garage.PartID }](ctx, tx, `
		select id from parts where lower(name) = lower(@name) and deleted_at is null`, args{"name": part.Name})
	switch {
	case err != nil:
		return 0, err
	case len(known) > 1:
		return 0, garage.FieldErrors{"new_part.name": "There are several parts of that name. Choose one from the list."}.Err()
	case len(known) == 1:
		return known[0].ID, nil
	}
	return insert[garage.PartID](ctx, tx, `
		insert into parts (name, unit, currency) values (@name, @unit, @currency) returning id`,
		args{"name": part.Name, "unit": part.Unit, "currency": part.Currency})
}

// NeedParts lists parts whose name or numbers hold each of the words, by name; always that one too. At most as many as fit
// a list that drops down; total counts all that would.
func (s *Store) NeedParts(ctx context.Context, words []string, always garage.PartID) (parts []garage.Part, total int, err error) {
	const most = 200
	rows, err := list[struct {
		garage.Part
		Total int
	}](ctx, s.db, `
		select `+partColumns+`, count(*) over () as total
		from parts
		where deleted_at is null and (id = @always or not exists (
		  select from unnest(@words::text[]) w
		  where position(lower(w) in lower(name || ' ' || number || ' ' || other_numbers)) = 0))
		order by id <> @always, lower(name), side, id
		limit @most`, args{"words": words, "always": always, "most": most})
	for _, row := range rows {
		parts, total = append(parts, row.Part), row.Total
	}
	slices.SortStableFunc(parts, func(a, b garage.Part) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), cmp.Compare(a.Side, b.Side))
	})
	return parts, total, err
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

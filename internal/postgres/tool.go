package postgres

import (
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Tools are the special tools by name.
func (s *Store) Tools(ctx context.Context) ([]garage.Tool, error) {
	return list[garage.Tool](ctx, s.db, `
		select `+toolColumns+` from tools where deleted_at is null order by lower(name), id`, args{})
}

// Tool is one special tool; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Tool(ctx context.Context, id garage.ToolID) (garage.Tool, error) {
	v, err := one[garage.Tool](ctx, s.db, `
		select `+toolColumns+` from tools where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("tool %d: %w", id, err)
	}
	return v, nil
}

func toolArgs(v garage.Tool) args {
	return args{"name": v.Name, "capacity": v.Capacity, "from": v.HereFrom, "to": v.HereTo, "note": v.Note}
}

// CreateTool adds a tool. *garage.InvalidError for what does not hold.
func (s *Store) CreateTool(ctx context.Context, v garage.Tool) (id garage.ToolID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insert[garage.ToolID](ctx, tx, `
			insert into tools (name, capacity, here_from, here_to, note)
			values (@name, @capacity, @from, @to, @note) returning id`, toolArgs(v))
		return err
	})
	return id, err
}

// UpdateTool saves a tool. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateTool(ctx context.Context, v garage.Tool) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := toolArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "tools", `
			update tools set
			  version = version + 1,
			  name = @name,
			  capacity = @capacity,
			  here_from = @from,
			  here_to = @to,
			  note = @note
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// DeleteTool deletes a tool; [Store.RestoreTool] brings it back. *garage.InvalidError while open jobs need it: they would be
// planned as if they did not. garage.ErrNotFound when it is gone.
func (s *Store) DeleteTool(ctx context.Context, id garage.ToolID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		titles, err := tx.Query(ctx, `
			select distinct j.title from jobs j
			join stages s on s.job_id = j.id
			join stage_tools t on t.stage_id = s.id
			where t.tool_id = @id and j.deleted_at is null and j.closed_at is null
			  and s.deleted_at is null and s.done_at is null
			order by 1`, args{"id": id})
		if err != nil {
			return err
		}
		needed, err := pgx.CollectRows(titles, pgx.RowTo[string])
		if err != nil {
			return err
		}
		if len(needed) > 0 {
			return garage.FieldErrors{"": "It cannot go while open jobs need it: " + strings.Join(needed, ", ") + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "tools", int64(id), true)
	})
}

// RestoreTool brings a deleted tool back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreTool(ctx context.Context, id garage.ToolID) error {
	return s.setDeleted(ctx, "tools", int64(id), false)
}

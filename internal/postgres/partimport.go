package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const partImportColumns = `id, content, currency, created_at, done_at, undone_at`

// AllParts lists every part, in the order in which they were added.
func (s *Store) AllParts(ctx context.Context) ([]garage.Part, error) {
	return list[garage.Part](ctx, s.db, `select `+partColumns+` from parts where deleted_at is null order by id`, args{})
}

// CreatePartImport keeps a file of parts to be looked at.
func (s *Store) CreatePartImport(ctx context.Context, content []byte, currency string) (garage.PartImportID, error) {
	return insert[garage.PartImportID](ctx, s.db, `
		insert into part_imports (content, currency) values (@content, @currency) returning id`,
		args{"content": content, "currency": currency})
}

// PartImport is one import. garage.ErrNotFound when there is none.
func (s *Store) PartImport(ctx context.Context, id garage.PartImportID) (garage.PartImport, error) {
	return partImport(ctx, s.db, id, "")
}

func partImport(ctx context.Context, db DBTX, id garage.PartImportID, lock string) (garage.PartImport, error) {
	i, err := one[garage.PartImport](ctx, db, `select `+partImportColumns+` from part_imports where id = @id `+lock, args{"id": id})
	if err != nil {
		return i, fmt.Errorf("import %d: %w", id, err)
	}
	return i, nil
}

// ImportParts adds parts without an id and saves those with one, all or none of them. garage.ErrConflict when the import was
// done already or one of them was changed meanwhile, *garage.InvalidError for what does not hold.
func (s *Store) ImportParts(ctx context.Context, id garage.PartImportID, parts []garage.Part, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		i, err := partImport(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if i.DoneAt != nil {
			return fmt.Errorf("import %d was done: %w", id, garage.ErrConflict)
		}
		for _, p := range parts {
			if err := importPart(ctx, tx, id, p); err != nil {
				return err
			}
		}
		_, err = tx.Exec(ctx, `update part_imports set done_at = $2 where id = $1`, id, now)
		return err
	})
}

// importPart adds or saves one part and notes what it was.
func importPart(ctx context.Context, tx pgx.Tx, id garage.PartImportID, p garage.Part) (err error) {
	var before []byte
	version := int64(1)
	if p.ID == 0 {
		if err := p.Validate(); err != nil {
			return err
		}
		p.ID, err = insertPart(ctx, tx, p)
	} else {
		var was garage.Part
		if was, err = part(ctx, tx, p.ID, "for update"); err != nil {
			return err
		}
		if before, err = json.Marshal(was); err != nil {
			return err
		}
		version = p.Version + 1
		err = New(tx).UpdatePart(ctx, p)
	}
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `insert into part_import_rows (import_id, part_id, version, before) values ($1, $2, $3, $4)`,
		id, p.ID, version, before)
	return err
}

// UndoPartImport takes back what an import did, all or none of it. *garage.InvalidError, on the whole, when a part that it added
// is in use by now or one that it changed was changed since; garage.ErrConflict when it was not done, or undone already.
func (s *Store) UndoPartImport(ctx context.Context, id garage.PartImportID, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		i, err := partImport(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if i.DoneAt == nil || i.UndoneAt != nil {
			return fmt.Errorf("import %d is not there to be undone: %w", id, garage.ErrConflict)
		}
		type row struct {
			PartID  garage.PartID
			Version int64
			Before  []byte
		}
		rows, err := list[row](ctx, tx, `
			select part_id, version, before from part_import_rows where import_id = @id order by part_id`, args{"id": id})
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := undoImported(ctx, tx, r.PartID, r.Version, r.Before); err != nil {
				return err
			}
		}
		_, err = tx.Exec(ctx, `update part_imports set undone_at = $2 where id = $1`, id, now)
		return err
	})
}

func undoImported(ctx context.Context, tx pgx.Tx, id garage.PartID, version int64, before []byte) error {
	now, err := part(ctx, tx, id, "for update")
	if errors.Is(err, garage.ErrNotFound) && before == nil {
		return nil // deleted by hand already
	}
	if err != nil {
		return err
	}
	if now.Version != version {
		return garage.FieldErrors{"": now.Label() + " was changed since."}.Err()
	}
	if before == nil {
		err = New(tx).DeletePart(ctx, id)
		if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
			return garage.FieldErrors{"": now.Label() + ": " + invalid.Fields[""]}.Err()
		}
		return err
	}
	var was garage.Part
	if err := json.Unmarshal(before, &was); err != nil {
		return err
	}
	was.Version = version
	return New(tx).UpdatePart(ctx, was)
}

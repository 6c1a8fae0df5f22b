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

// CreateOrderImport keeps an order as it was pasted, to be looked at. *garage.InvalidError for what does not hold.
func (s *Store) CreateOrderImport(ctx context.Context, content []byte, o garage.Order) (garage.OrderImportID, error) {
	if err := o.Validate(); err != nil {
		return 0, err
	}
	form, err := json.Marshal(o)
	if err != nil {
		return 0, err
	}
	return insert[garage.OrderImportID](ctx, s.db, `insert into order_imports (content, form) values (@content, @form) returning id`,
		args{"content": content, "form": form})
}

// OrderImport is an order as it was pasted. garage.ErrNotFound when there is none.
func (s *Store) OrderImport(ctx context.Context, id garage.OrderImportID) (garage.OrderImport, error) {
	return orderImport(ctx, s.db, id, "")
}

func orderImport(ctx context.Context, db DBTX, id garage.OrderImportID, lock string) (garage.OrderImport, error) {
	i, err := one[garage.OrderImport](ctx, db, `
		select id, content, form, created_at, done_at, undone_at, order_id from order_imports where id = @id `+lock, args{"id": id})
	if err != nil {
		return i, fmt.Errorf("pasted order %d: %w", id, err)
	}
	return i, nil
}

// ImportOrder makes an order of what was pasted, with the parts that are new, all or nothing. garage.ErrConflict when that was done
// already, *garage.InvalidError for what does not hold.
func (s *Store) ImportOrder(ctx context.Context, id garage.OrderImportID, lines []garage.OrderImportLine, now time.Time) (made garage.OrderID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		i, err := orderImport(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if i.DoneAt != nil {
			return fmt.Errorf("pasted order %d was made: %w", id, garage.ErrConflict)
		}
		all, err := importedParts(ctx, tx, i, lines)
		if err != nil {
			return err
		}
		if made, err = createOrder(ctx, tx, i.Form, all); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `update order_imports set done_at = $2, order_id = $3 where id = $1`, id, now, made)
		return err
	})
	return made, err
}

// importedParts adds the parts that are new, each once, and notes that this import did.
func importedParts(ctx context.Context, tx pgx.Tx, i garage.OrderImport, lines []garage.OrderImportLine) ([]garage.NewOrderLine, error) {
	supplier, err := one[garage.Supplier](ctx, tx, `select `+supplierColumns+` from suppliers where id = @id`, args{"id": i.Form.SupplierID})
	if err != nil {
		return nil, err
	}
	fresh := map[string]garage.PartID{}
	var all []garage.NewOrderLine
	for _, l := range lines {
		key := l.Name + "\x00" + garage.NormalNumber(l.Number)
		if l.PartID == 0 && fresh[key] == 0 {
			p := garage.Part{Name: l.Name, Number: l.Number, Unit: "piece", Supplier: supplier.Name, Price: l.Price, Currency: i.Form.Currency}
			if err := p.Validate(); err != nil {
				return nil, err
			}
			if fresh[key], err = insertPart(ctx, tx, p); err != nil {
				return nil, err
			}
			if _, err := tx.Exec(ctx, `insert into order_import_parts (import_id, part_id) values ($1, $2)`, i.ID, fresh[key]); err != nil {
				return nil, err
			}
		}
		if l.PartID == 0 {
			l.PartID = fresh[key]
		}
		all = append(all, garage.NewOrderLine{OrderLine: l.OrderLine})
	}
	return all, nil
}

// UndoOrderImport takes back what a pasted order did, all or none of it: the order goes, and the parts that it added. *garage.InvalidError,
// on the whole, when something of it has come or such a part is in use; garage.ErrConflict when it was not made, or undone already.
func (s *Store) UndoOrderImport(ctx context.Context, id garage.OrderImportID, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		i, err := orderImport(ctx, tx, id, "for update")
		if err != nil {
			return err
		}
		if i.OrderID == nil || i.UndoneAt != nil {
			return fmt.Errorf("pasted order %d is not there to be undone: %w", id, garage.ErrConflict)
		}
		if err := deleteOrder(ctx, tx, *i.OrderID); err != nil && !errors.Is(err, garage.ErrNotFound) {
			return err
		}
		type row struct{ PartID garage.PartID }
		parts, err := list[row](ctx, tx, `
			select part_id from order_import_parts i join parts p on p.id = i.part_id and p.deleted_at is null where import_id = @id order by 1`, args{"id": id})
		if err != nil {
			return err
		}
		for _, p := range parts {
			if err := New(tx).DeletePart(ctx, p.PartID); err != nil {
				return err
			}
		}
		_, err = tx.Exec(ctx, `update order_imports set undone_at = $2 where id = $1`, id, now)
		return err
	})
}

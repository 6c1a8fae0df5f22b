package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"axlestand/internal/garage"
)

const movementColumns = `id, part_id, bin_id, lot_id, quantity, kind, note, job_id, arrival_id, stage_id, donor_part_id, reverses, created_at`

// StockOf lists where a part lies, by the bin's name; pieces that differ lie apart.
func (s *Store) StockOf(ctx context.Context, id garage.PartID) ([]garage.BinStock, error) {
	type row struct {
		garage.Stock
		BinName string
		Place   string
	}
	rows, err := list[row](ctx, s.db, `
		select st.*, b.name as bin_name, b.place
		from (`+stockRows+`) st join bins b on b.id = st.bin_id
		where st.part_id = @part_id and st.quantity > 0
		order by lower(b.name), b.id, st.lot_id nulls first`, args{"part_id": id})
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	known, err := lots(ctx, s.db, id)
	var stock []garage.BinStock
	for _, r := range rows {
		b := garage.BinStock{Stock: r.Stock, BinName: r.BinName, Place: r.Place}
		if r.LotID != nil {
			b.Lot = known[*r.LotID]
		}
		stock = append(stock, b)
	}
	return stock, err
}

// Movements lists the newest movements of a part, at most limit.
func (s *Store) Movements(ctx context.Context, id garage.PartID, limit int) ([]garage.MovementRow, error) {
	return list[garage.MovementRow](ctx, s.db, `
		select m.*, b.name as bin_name, j.title as job_title,
		  exists (select from stock_movements r where r.reverses = m.id) as reversed
		from (select `+movementColumns+` from stock_movements where part_id = @part_id order by id desc limit @limit) m
		join bins b on b.id = m.bin_id
		left join jobs j on j.id = m.job_id
		order by m.id desc`, args{"part_id": id, "limit": limit})
}

// holdPart keeps a part from being deleted, and its stock from being moved about at once in two ways that wait for each
// other, until the transaction ends.
func holdPart(ctx context.Context, tx pgx.Tx, id garage.PartID) error {
	_, err := part(ctx, tx, id, "for no key update")
	return err
}

func insertMovement(ctx context.Context, tx pgx.Tx, m garage.Movement) (garage.MovementID, error) {
	return insert[garage.MovementID](ctx, tx, `
		insert into stock_movements (part_id, bin_id, lot_id, quantity, kind, note, job_id, arrival_id, stage_id, donor_part_id, reverses)
		values (@part_id, @bin_id, @lot_id, @quantity, @kind, @note, @job_id, @arrival_id, @stage_id, @donor_part_id, @reverses)
		returning id`,
		args{
			"part_id": m.PartID, "bin_id": m.BinID, "lot_id": m.LotID, "quantity": m.Quantity, "kind": m.Kind, "note": m.Note, "job_id": m.JobID,
			"arrival_id": m.ArrivalID, "stage_id": m.StageID, "donor_part_id": m.DonorPartID, "reverses": m.Reverses,
		})
}

// PutStock puts pieces into a bin that is named, or made. *garage.InvalidError for what does not hold, garage.ErrNotFound
// when the part is gone.
func (s *Store) PutStock(ctx context.Context, m garage.Movement, pick garage.BinPick) (id garage.MovementID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, m.PartID); err != nil {
			return err
		}
		var e garage.FieldErrors
		b, err := pickBin(ctx, tx, pick)
		if err != nil && !gather(err, &e) {
			return err
		}
		if m.BinID = b.ID; m.BinID == 0 {
			m.BinID = -1 // what is wrong with the bin is noted already
		}
		if m.Quantity < 0 {
			e.Add("quantity", "Not below zero.")
		}
		if err := m.Validate(); err != nil && !gather(err, &e) {
			return err
		}
		if err := e.Err(); err != nil {
			return err
		}
		id, err = insertMovement(ctx, tx, m)
		return err
	})
	return id, err
}

// gather adds what an error says about fields; false for any other error.
func gather(err error, e *garage.FieldErrors) bool {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if ok {
		e.Merge(invalid.Fields)
	}
	return ok
}

// TakeStock takes pieces out of a bin; the movement's quantity is negative. Of many who take the last piece one gets it.
// *garage.InvalidError for what does not hold, also when there is not that much in the bin, garage.ErrNotFound when the part
// is gone.
func (s *Store) TakeStock(ctx context.Context, m garage.Movement) (id garage.MovementID, err error) {
	if m.Quantity > 0 {
		return 0, garage.FieldErrors{"quantity": "Not below zero."}.Err()
	}
	if err := m.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, m.PartID); err != nil {
			return err
		}
		if _, err := holdBin(ctx, tx, m.BinID); err != nil {
			return err
		}
		if id, err = insertMovement(ctx, tx, m); err != nil {
			return tooMuch(err)
		}
		if m.Kind == "scrapped" {
			return dropKept(ctx, tx, m.PartID)
		}
		return leavesKept(ctx, tx, m.PartID, m.JobID)
	})
	return id, s.sayWhatIsLeft(ctx, m, err)
}

// errTooMuch says that a bin does not hold that much.
var errTooMuch = errors.New("more than is in the bin")

func tooMuch(err error) error {
	if e, ok := errors.AsType[*garage.InvalidError](err); ok && e.Fields["quantity"] == refusals["stock_never_negative"].message {
		return errTooMuch
	}
	if e, ok := errors.AsType[*pgconn.PgError](err); ok && e.ConstraintName == "stock_never_negative" {
		return errTooMuch
	}
	return err
}

// sayWhatIsLeft words that there is not enough, with what there is.
func (s *Store) sayWhatIsLeft(ctx context.Context, m garage.Movement, err error) error {
	if !errors.Is(err, errTooMuch) {
		return err
	}
	left, err := stockIn(ctx, s.db, m, "")
	if err != nil {
		return err
	}
	message := fmt.Sprintf("Only %d left in that bin.", left)
	if left == 0 {
		message = "Nothing is left in that bin."
	}
	return garage.FieldErrors{"quantity": message}.Err()
}

// stockIn is how much lies where a movement is about: of its part and lot in its bin.
func stockIn(ctx context.Context, db DBTX, m garage.Movement, lock string) (quantity int, err error) {
	err = db.QueryRow(ctx, `
		select quantity from stock where part_id = $1 and bin_id = $2 and lot_id is not distinct from $3 `+lock,
		m.PartID, m.BinID, m.LotID).Scan(&quantity)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, nil
	}
	return quantity, err
}

// MoveStock moves pieces of a part from a bin to one that is named, or made. It returns the movement out of the bin, which
// reverses with its other half. *garage.InvalidError for what does not hold, also when there is not that much in the bin,
// garage.ErrNotFound when the part is gone.
func (s *Store) MoveStock(ctx context.Context, m garage.Movement, to garage.BinPick) (garage.MovementID, error) {
	return s.moving(ctx, m, func(tx pgx.Tx) (garage.BinID, *garage.LotID, error) {
		target, err := pickBin(ctx, tx, to)
		if err == nil && target.ID == m.BinID {
			err = garage.FieldErrors{"bin": "It lies there already."}.Err()
		}
		return target.ID, m.LotID, err
	})
}

// moving moves pieces of a part to the bin and lot that to finds once nobody else can touch the part.
func (s *Store) moving(
	ctx context.Context, m garage.Movement, to func(tx pgx.Tx) (garage.BinID, *garage.LotID, error),
) (id garage.MovementID, err error) {
	m.Kind = "moved"
	if m.Quantity < 0 {
		return 0, garage.FieldErrors{"quantity": "Not below zero."}.Err()
	}
	if err := m.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, m.PartID); err != nil {
			return err
		}
		if _, err := holdBin(ctx, tx, m.BinID); err != nil {
			return err
		}
		bin, lot, err := to(tx)
		if err != nil {
			return err
		}
		if id, err = moveHalves(ctx, tx, m, bin, lot); err != nil {
			return err
		}
		return dropKept(ctx, tx, m.PartID)
	})
	return id, s.sayWhatIsLeft(ctx, m, err)
}

// CountStock corrects what lies in a bin, named or made, to what was counted. It returns no movement when that is what was
// expected. *garage.InvalidError for what does not hold, garage.ErrNotFound when the part is gone.
func (s *Store) CountStock(ctx context.Context, m garage.Movement, pick garage.BinPick, counted int) (id garage.MovementID, err error) {
	if counted < 0 || counted > 1_000_000 {
		return 0, garage.FieldErrors{"quantity": "From 0 to 1,000,000."}.Err()
	}
	m.Kind = "counted"
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, m.PartID); err != nil {
			return err
		}
		b, err := pickBin(ctx, tx, pick)
		if err != nil {
			return err
		}
		m.BinID = b.ID
		// the row must be there to be held: whoever takes or puts meanwhile waits
		_, err = tx.Exec(ctx, `insert into stock (part_id, bin_id, lot_id, quantity) values ($1, $2, $3, 0)
			on conflict (part_id, bin_id, coalesce(lot_id, 0)) do nothing`, m.PartID, m.BinID, m.LotID)
		if err != nil {
			return err
		}
		have, err := stockIn(ctx, tx, m, "for update")
		if err != nil || have == counted {
			return err
		}
		m.Quantity = counted - have
		if id, err = insertMovement(ctx, tx, m); err != nil {
			return err
		}
		return dropKept(ctx, tx, m.PartID)
	})
	return id, err
}

// ReverseMovement undoes a movement by a further one, with both halves of a move; what had been received is expected again,
// what had been taken off a donor is on it again. It returns the part. *garage.InvalidError when it was reversed already, is
// a reversal itself, or there is not that much in the bin any more; garage.ErrNotFound when there is none.
func (s *Store) ReverseMovement(ctx context.Context, id garage.MovementID) (partID garage.PartID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		m, err := one[garage.Movement](ctx, tx, `select `+movementColumns+` from stock_movements where id = @id`, args{"id": id})
		if err != nil {
			return fmt.Errorf("movement %d: %w", id, err)
		}
		partID = m.PartID
		if _, err := tx.Exec(ctx, `select from parts where id = $1 for no key update`, partID); err != nil {
			return err
		}
		halves, err := halvesOf(ctx, tx, m)
		if err != nil {
			return err
		}
		for _, half := range halves {
			if err := reverse(ctx, tx, half); err != nil {
				return err
			}
		}
		if err := dropKept(ctx, tx, partID); err != nil {
			return err
		}
		return reopen(ctx, tx, m)
	})
	if errors.Is(err, errTooMuch) {
		err = garage.FieldErrors{"": "There is not that much in the bin any more."}.Err()
	}
	return partID, err
}

// halvesOf lists the movements that are undone together: one, or the two of a move, of which the other was entered in the
// same transaction right after or before.
func halvesOf(ctx context.Context, tx pgx.Tx, m garage.Movement) ([]garage.Movement, error) {
	if m.Kind != "moved" {
		return []garage.Movement{m}, nil
	}
	return list[garage.Movement](ctx, tx, `
		(select `+movementColumns+` from stock_movements where id = @id)
		union all
		(select `+movementColumns+` from stock_movements
		where part_id = @part_id and kind = 'moved' and created_at = @created_at and quantity = -@quantity::int
		  and (id > @id) = (@quantity::int < 0)
		order by abs(id - @id) limit 1)`,
		args{"id": m.ID, "part_id": m.PartID, "created_at": m.CreatedAt, "quantity": m.Quantity})
}

func reverse(ctx context.Context, tx pgx.Tx, m garage.Movement) error {
	var done bool
	if err := tx.QueryRow(ctx, `select exists (select from stock_movements where reverses = $1)`, m.ID).Scan(&done); err != nil {
		return err
	}
	if done || m.Reverses != nil {
		return garage.FieldErrors{"": "It is reversed already."}.Err()
	}
	back := m
	back.Kind, back.Quantity, back.Note, back.Reverses = "reversed", -m.Quantity, "", &m.ID
	_, err := insertMovement(ctx, tx, back)
	return tooMuch(err)
}

// reopen puts back what a movement had settled.
func reopen(ctx context.Context, tx pgx.Tx, m garage.Movement) error {
	if m.ArrivalID != nil {
		if err := reopenArrival(ctx, tx, m); err != nil {
			return err
		}
	}
	_, err := tx.Exec(ctx, `update donor_parts set taken_at = null, version = version + 1 where id = $1`, m.DonorPartID)
	return err
}

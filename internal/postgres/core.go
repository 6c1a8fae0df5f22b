package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const coreColumns = `id, version, part_id, job_id, donor_part_id,
  case when donor_part_id is null then job_id
    else (select d.harvest_job_id from donor_parts d where d.id = donor_part_id and d.deleted_at is null and d.taken_at is null) end as freed_by,
  supplier, order_number, currency, deposit, tax, window_n, window_count, basis, basis_on, box, drained, complete, freight_by_buyer, refund_n, refund_count, return_to, return_number, note, state, paid, refunded, forfeited, outstanding, deleted_at`

const coreEventColumns = `id, core_id, state, happened_on, amount, freight, tracking, reason, reverses`

// Cores lists the core deposits: those whose money is still out first.
func (s *Store) Cores(ctx context.Context) ([]garage.CoreRow, error) {
	return list[garage.CoreRow](ctx, s.db, `
		select c.*, p.name as part_name, j.title as job_title, j.closed_at
		from (select `+coreColumns+` from cores where deleted_at is null) c
		join parts p on p.id = c.part_id
		left join jobs j on j.id = c.freed_by and j.deleted_at is null
		order by c.outstanding = 0, c.id`, args{})
}

// Core is one core deposit; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Core(ctx context.Context, id garage.CoreID) (garage.Core, error) {
	return core(ctx, s.db, id, "")
}

func core(ctx context.Context, db DBTX, id garage.CoreID, lock string) (garage.Core, error) {
	v, err := one[garage.Core](ctx, db, `select `+coreColumns+` from cores where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("core %d: %w", id, err)
	}
	return v, nil
}

func coreEvents(ctx context.Context, db DBTX, id garage.CoreID) ([]garage.CoreEvent, error) {
	return list[garage.CoreEvent](ctx, db, `select `+coreEventColumns+` from core_events where core_id = @id order by id`, args{"id": id})
}

// CoreSheet is one core deposit with its history; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) CoreSheet(ctx context.Context, id garage.CoreID) (sheet garage.CoreSheet, err error) {
	err = s.atOnce(ctx, func(tx pgx.Tx) error {
		if sheet.Core, err = core(ctx, tx, id, ""); err != nil {
			return err
		}
		if sheet.Events, err = coreEvents(ctx, tx, id); err != nil {
			return err
		}
		return tx.QueryRow(ctx, `
			select p.name, j.title from cores c join parts p on p.id = c.part_id
			left join jobs j on j.id = $2 and j.deleted_at is null where c.id = $1`, id, sheet.Core.FreedBy).Scan(&sheet.PartName, &sheet.JobTitle)
	})
	return sheet, err
}

func coreArgs(v garage.Core) args {
	return args{
		"job_id": v.JobID, "supplier": v.Supplier, "order_number": v.OrderNumber, "deposit": v.Deposit, "tax": v.Tax,
		"window_n": v.WindowN, "window_count": v.WindowCount, "basis": v.Basis, "basis_on": v.BasisOn, "box": v.Box, "drained": v.Drained,
		"complete": v.Complete, "freight_by_buyer": v.FreightByBuyer, "refund_n": v.RefundN, "refund_count": v.RefundCount,
		"return_to": v.ReturnTo, "return_number": v.ReturnNumber, "note": v.Note,
	}
}

// CreateCore notes a deposit that was paid. *garage.InvalidError for what does not hold, garage.ErrNotFound without its part or job.
func (s *Store) CreateCore(ctx context.Context, v garage.Core) (id garage.CoreID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	unit, err := v.Replay(nil)
	if err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if err := holdPart(ctx, tx, v.PartID); err != nil {
			return err
		}
		a := coreArgs(v)
		a["part_id"], a["currency"], a["paid"] = v.PartID, v.Currency, unit.Outstanding.Minor
		id, err = insert[garage.CoreID](ctx, tx, `
			insert into cores (part_id, job_id, supplier, order_number, currency, deposit, tax, window_n, window_count, basis, basis_on, box, drained, complete,
			  freight_by_buyer, refund_n, refund_count, return_to, return_number, note, paid, outstanding)
			values (@part_id, @job_id, @supplier, @order_number, @currency, @deposit, @tax, @window_n, @window_count, @basis, @basis_on, @box, @drained, @complete,
			  @freight_by_buyer, @refund_n, @refund_count, @return_to, @return_number, @note, @paid, @paid) returning id`, a)
		return err
	})
	return id, err
}

// UpdateCore saves the terms; what was paid changes only with them, and only while the events still can be. *garage.InvalidError for
// what does not hold, garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateCore(ctx context.Context, v garage.Core) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stored, err := core(ctx, tx, v.ID, "for no key update")
		if err != nil {
			return err
		}
		v.Currency = stored.Currency
		events, err := coreEvents(ctx, tx, v.ID)
		if err != nil {
			return err
		}
		if _, err := v.Replay(events); err != nil {
			if isInvalid(err) {
				return garage.FieldErrors{"deposit": "What was accepted or refunded does not go with that."}.Err()
			}
			return err
		}
		a := coreArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		if err := saveCore(ctx, tx, a); err != nil {
			return err
		}
		return followCore(ctx, tx, v.ID)
	})
}

// saveCore writes the terms; while the deposit changes, all of it is outstanding until the events are followed again.
func saveCore(ctx context.Context, tx pgx.Tx, a args) error {
	return update(ctx, tx, "cores", `
		update cores set
		  version = version + 1,
		  job_id = @job_id, supplier = @supplier, order_number = @order_number, deposit = @deposit, tax = @tax,
		  window_n = @window_n, window_count = @window_count, basis = @basis, basis_on = @basis_on,
		  box = @box, drained = @drained, complete = @complete, freight_by_buyer = @freight_by_buyer,
		  refund_n = @refund_n, refund_count = @refund_count, return_to = @return_to, return_number = @return_number, note = @note,
		  state = 'owed', refunded = 0, forfeited = 0, paid = @deposit, outstanding = @deposit
		where id = @id and version = @version and deleted_at is null`, a)
}

// followCore sets state and money to what the events come to.
func followCore(ctx context.Context, tx pgx.Tx, id garage.CoreID) error {
	v, err := core(ctx, tx, id, "for no key update")
	if err != nil {
		return err
	}
	events, err := coreEvents(ctx, tx, id)
	if err != nil {
		return err
	}
	unit, err := v.Replay(events)
	if err != nil {
		return err
	}
	paid, err := v.Terms().Paid()
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `
		update cores set state = @state, paid = @paid, refunded = @refunded, forfeited = @forfeited, outstanding = @outstanding where id = @id`,
		args{
			"id": id, "state": unit.State, "paid": paid.Minor, "refunded": unit.Refunded.Minor,
			"forfeited": unit.Forfeited.Minor, "outstanding": unit.Outstanding.Minor,
		})
	return err
}

// AddCoreEvent notes what happened to a unit, or takes back what happened last. *garage.InvalidError for what cannot be,
// garage.ErrNotFound when the core is gone.
func (s *Store) AddCoreEvent(ctx context.Context, e garage.CoreEvent) (id garage.CoreEventID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		v, err := core(ctx, tx, e.CoreID, "for no key update")
		if err != nil {
			return err
		}
		events, err := coreEvents(ctx, tx, e.CoreID)
		if err != nil {
			return err
		}
		if n := len(events); n > 0 {
			e.ID = events[n-1].ID
		}
		e.ID++ // any number that comes after the others will do to try it
		if _, err := v.Replay(append(events, e)); err != nil {
			return err
		}
		id, err = insert[garage.CoreEventID](ctx, tx, `
			insert into core_events (core_id, state, happened_on, amount, freight, tracking, reason, reverses)
			values (@core_id, @state, @happened_on, @amount, @freight, @tracking, @reason, @reverses) returning id`,
			args{
				"core_id": e.CoreID, "state": e.State, "happened_on": e.HappenedOn, "amount": e.Amount, "freight": e.Freight,
				"tracking": e.Tracking, "reason": e.Reason, "reverses": e.Reverses,
			})
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `update cores set version = version + 1 where id = $1`, e.CoreID); err != nil {
			return err
		}
		return followCore(ctx, tx, e.CoreID)
	})
	return id, err
}

// DeleteCore deletes a core deposit; [Store.RestoreCore] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteCore(ctx context.Context, id garage.CoreID) error {
	return s.setDeleted(ctx, "cores", int64(id), true)
}

// RestoreCore brings a deleted core deposit back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreCore(ctx context.Context, id garage.CoreID) error {
	return s.setDeleted(ctx, "cores", int64(id), false)
}

// SendFromDonor says that a unit on a donor goes back in place of the car's own; nil says that the car's own does.
// *garage.InvalidError when the core is on its way already or the unit is not to be had for it, garage.ErrConflict when the unit
// was taken off meanwhile, garage.ErrNotFound when either is gone.
func (s *Store) SendFromDonor(ctx context.Context, id garage.CoreID, unit *garage.DonorPartID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		v, err := core(ctx, tx, id, "for no key update")
		if err != nil {
			return err
		}
		if !v.OnCar() {
			return garage.FieldErrors{"": "The unit is off its car already: take that back first."}.Err()
		}
		if unit != nil {
			if err := unitForCore(ctx, tx, v, *unit); err != nil {
				return err
			}
		}
		_, err = tx.Exec(ctx, `update cores set version = version + 1, donor_part_id = $2 where id = $1`, id, unit)
		return err
	})
}

// unitForCore says whether a unit on a donor can go back for a deposit: the same part, and not promised to another one.
func unitForCore(ctx context.Context, tx pgx.Tx, v garage.Core, unit garage.DonorPartID) error {
	d, err := holdDonorPart(ctx, tx, unit)
	if err != nil {
		return err
	}
	var others int
	err = tx.QueryRow(ctx, `select count(*) from cores where donor_part_id = $1 and id <> $2 and state = 'owed' and deleted_at is null`,
		unit, v.ID).Scan(&others)
	switch {
	case err != nil:
		return err
	case d.PartID != v.PartID:
		return garage.FieldErrors{"donor_part": "That is another part."}.Err()
	case others >= d.Quantity:
		return garage.FieldErrors{"donor_part": "It goes back for another deposit already."}.Err()
	}
	return nil
}

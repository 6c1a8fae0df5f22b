package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const lotColumns = `id, part_id, condition, grade, checked_on, checked_car_id, opened_on, keeps_months, donor_part_id, note`

// stockRows are the rows s of stock, with what is known of their lots l.
const stockRows = `
	select s.part_id, s.bin_id, s.lot_id, s.quantity,
	  coalesce(nullif(l.grade, ''), p.grade) as grade, coalesce(l.condition, '') as condition
	from stock s join parts p on p.id = s.part_id left join lots l on l.id = s.lot_id `

// lotRows are lots l with the names of what they refer to.
const lotRows = `
	select l.id, l.part_id, l.condition, l.grade, l.checked_on, l.checked_car_id, l.opened_on, l.keeps_months, l.donor_part_id,
	  l.note, coalesce(c.name, '') as checked_car, coalesce(o.name, '') as origin
	from lots l
	left join cars c on c.id = l.checked_car_id
	left join donor_parts d on d.id = l.donor_part_id
	left join cars o on o.id = d.car_id `

// lots reads what sets pieces of a part apart, by id.
func lots(ctx context.Context, db DBTX, part garage.PartID) (map[garage.LotID]garage.LotRow, error) {
	rows, err := list[garage.LotRow](ctx, db, lotRows+`where l.part_id = @part`, args{"part": part})
	all := map[garage.LotID]garage.LotRow{}
	for _, l := range rows {
		all[l.ID] = l
	}
	return all, err
}

// Lot is one lot. garage.ErrNotFound when there is none.
func (s *Store) Lot(ctx context.Context, id garage.LotID) (garage.Lot, error) {
	l, err := one[garage.Lot](ctx, s.db, `select `+lotColumns+` from lots where id = @id`, args{"id": id})
	if err != nil {
		return l, fmt.Errorf("lot %d: %w", id, err)
	}
	return l, nil
}

// pickLot finds the lot that says the same, or makes it; nil when there is nothing to say. The part must be held.
func pickLot(ctx context.Context, tx pgx.Tx, l garage.Lot) (*garage.LotID, error) {
	if err := l.Validate(); err != nil || l.Plain() {
		return nil, err
	}
	a := args{
		"part": l.PartID, "condition": l.Condition, "grade": l.Grade, "checked_on": l.CheckedOn, "car": l.CheckedCarID,
		"opened_on": l.OpenedOn, "keeps": l.KeepsMonths, "donor": l.DonorPartID, "note": l.Note,
	}
	same, err := list[garage.Lot](ctx, tx, `
		select `+lotColumns+` from lots
		where (part_id, condition, grade, note) = (@part, @condition, @grade, @note)
		  and (checked_on, checked_car_id, opened_on, keeps_months, donor_part_id)
		    is not distinct from (@checked_on::date, @car::bigint, @opened_on::date, @keeps::integer, @donor::bigint)
		order by id limit 1`, a)
	if err != nil || len(same) > 0 {
		if len(same) > 0 {
			return &same[0].ID, err
		}
		return nil, err
	}
	id, err := insert[garage.LotID](ctx, tx, `
		insert into lots (part_id, condition, grade, checked_on, checked_car_id, opened_on, keeps_months, donor_part_id, note)
		values (@part, @condition, @grade, @checked_on, @car, @opened_on, @keeps, @donor, @note)
		returning id`, a)
	return &id, err
}

// SortStock says what some of the pieces in a bin are: those of m.LotID that many, which are of the given lot from then on.
// Saying the same of others puts them together with these. It returns the movement that undoes it when it is reversed.
// *garage.InvalidError for what does not hold, also when there are not that many; garage.ErrNotFound when the part is gone.
func (s *Store) SortStock(ctx context.Context, m garage.Movement, as garage.Lot) (garage.MovementID, error) {
	return s.moving(ctx, m, func(tx pgx.Tx) (garage.BinID, *garage.LotID, error) {
		as.PartID = m.PartID
		into, err := pickLot(ctx, tx, as)
		if err != nil {
			return 0, nil, err
		}
		if same := into == nil && m.LotID == nil || into != nil && m.LotID != nil && *into == *m.LotID; same {
			return 0, nil, garage.FieldErrors{"": "They are that already."}.Err()
		}
		return m.BinID, into, nil
	})
}

// moveHalves takes pieces out of where they lie and puts them into a bin and lot. It returns the first of the two movements.
func moveHalves(ctx context.Context, tx pgx.Tx, m garage.Movement, bin garage.BinID, lot *garage.LotID) (garage.MovementID, error) {
	out, in := m, m
	out.Quantity, in.BinID, in.LotID = -m.Quantity, bin, lot
	id, err := insertMovement(ctx, tx, out)
	if err != nil {
		return 0, tooMuch(err)
	}
	_, err = insertMovement(ctx, tx, in)
	return id, err
}

// kept reads for which needs of open jobs pieces of a part are kept.
func kept(ctx context.Context, db DBTX, part garage.PartID) ([]garage.Kept, error) {
	return list[garage.Kept](ctx, db, `
		select n.id, n.version, n.stage_id, n.part_id, n.quantity, n.stops, n.note, n.side, n.least_grade, n.single_use,
		  n.pinned_at, n.deleted_at, j.id as job_id, j.title as job_title
		from `+openNeeds+`
		where n.part_id = @part and n.pinned_at is not null and `+needIsOpen+`
		order by n.pinned_at, n.id`, args{"part": part})
}

func stockOfPart(ctx context.Context, db DBTX, part garage.PartID) ([]garage.Stock, error) {
	return list[garage.Stock](ctx, db, stockRows+`
		where s.part_id = @part and s.quantity > 0 order by s.bin_id, s.lot_id nulls first`, args{"part": part})
}

// leavesKept refuses what would take pieces that are kept for another job than the given one.
func leavesKept(ctx context.Context, tx pgx.Tx, part garage.PartID, job *garage.JobID) error {
	needs, err := kept(ctx, tx, part)
	if err != nil || len(needs) == 0 {
		return err
	}
	stock, err := stockOfPart(ctx, tx, part)
	if err != nil {
		return err
	}
	var others []garage.Kept
	for _, n := range needs {
		if job == nil || n.JobID != *job {
			others = append(others, n)
		}
	}
	if _, short := garage.KeepFor(stock, others); len(short) > 0 {
		return garage.FieldErrors{"quantity": "What is left is kept for " + titles(short) + "."}.Err()
	}
	return nil
}

func titles(needs []garage.Kept) string {
	var names []string
	for _, n := range needs {
		names = append(names, n.JobTitle)
	}
	return strings.Join(names, ", ")
}

// dropKept keeps nothing any more for needs whose pieces are not there: a count or a closer look says what is.
func dropKept(ctx context.Context, tx pgx.Tx, part garage.PartID) error {
	needs, err := kept(ctx, tx, part)
	if err != nil || len(needs) == 0 {
		return err
	}
	stock, err := stockOfPart(ctx, tx, part)
	if err != nil {
		return err
	}
	_, short := garage.KeepFor(stock, needs)
	for _, n := range short {
		if _, err := tx.Exec(ctx, `update needs set version = version + 1, pinned_at = null where id = $1`, n.ID); err != nil {
			return err
		}
	}
	return nil
}

// PinNeed keeps pieces that are on hand for a need: no other job gets them, whatever the plan would rather.
// *garage.InvalidError, on the whole, when there are too few that are not kept for others; garage.ErrNotFound.
func (s *Store) PinNeed(ctx context.Context, id garage.NeedID, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		need, err := New(tx).Need(ctx, id)
		if err != nil {
			return err
		}
		if err := holdPart(ctx, tx, need.PartID); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `update needs set version = version + 1, pinned_at = $2 where id = $1 and pinned_at is null`, id, now)
		if err != nil {
			return err
		}
		needs, err := kept(ctx, tx, need.PartID)
		if err != nil {
			return err
		}
		stock, err := stockOfPart(ctx, tx, need.PartID)
		if err != nil {
			return err
		}
		if _, short := garage.KeepFor(stock, needs); len(short) > 0 {
			return garage.FieldErrors{"": "Too few are on hand that will do and are not kept for another job."}.Err()
		}
		return nil
	})
}

// UnpinNeed keeps nothing for a need any more. garage.ErrNotFound when it is gone.
func (s *Store) UnpinNeed(ctx context.Context, id garage.NeedID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := New(tx).Need(ctx, id); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `update needs set version = version + 1, pinned_at = null where id = $1`, id)
		return err
	})
}

// Kept lists for which needs of open jobs pieces of a part are kept.
func (s *Store) Kept(ctx context.Context, part garage.PartID) ([]garage.Kept, error) {
	return kept(ctx, s.db, part)
}

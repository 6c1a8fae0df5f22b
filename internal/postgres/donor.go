package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const (
	donorLedgerColumns = `car_id, version, currency, price, transport, storage_per_day, disposal, paperwork, here_since, gone_on,
		scrap_kg, scrap_price`
	donorSaleColumns = `id, version, car_id, what, sold_on, currency, price, fees, note, movement_id, deleted_at`
)

// DonorSheet reads all that is known of what a donor costs and brings. garage.ErrNotFound when the car is gone.
func (s *Store) DonorSheet(ctx context.Context, id garage.CarID) (sheet garage.DonorSheet, err error) {
	err = s.atOnce(ctx, func(tx pgx.Tx) error {
		if sheet.Car, err = car(ctx, tx, id, ""); err != nil {
			return err
		}
		if sheet.Ledger, err = donorLedger(ctx, tx, id); err != nil {
			return err
		}
		a := args{"car": id}
		sheet.Sales, err = list[garage.DonorSale](ctx, tx, `
			select `+donorSaleColumns+` from donor_sales where car_id = @car and deleted_at is null order by sold_on, id`, a)
		if err != nil {
			return err
		}
		sheet.Parts, err = list[garage.DonorUse](ctx, tx, `
			select r.*, p.price as part_price, coalesce((
			  select -sum(m.quantity) from stock_movements m join lots l on l.id = m.lot_id
			  where l.donor_part_id = r.id
			    and (m.kind = 'used' or m.reverses in (select u.id from stock_movements u where u.kind = 'used'))), 0)::int as used
			from (`+donorPartRows+` where d.car_id = @car and d.deleted_at is null) r join parts p on p.id = r.part_id
			order by r.taken_at is not null, lower(r.part_name), r.part_side, r.id`, a)
		if err != nil {
			return err
		}
		return tx.QueryRow(ctx, `
			select coalesce(sum(s.actual_minutes), 0) from stages s join jobs j on j.id = s.job_id
			where j.car_id = $1 and j.kind = 'harvest' and j.deleted_at is null and s.deleted_at is null`, id).Scan(&sheet.OwnMinutes)
	})
	return sheet, err
}

// donorLedger is the ledger of a donor, an empty one when nothing was noted yet.
func donorLedger(ctx context.Context, db DBTX, id garage.CarID) (garage.DonorLedger, error) {
	l, err := one[garage.DonorLedger](ctx, db, `select `+donorLedgerColumns+` from donor_ledgers where car_id = @car`, args{"car": id})
	if !errors.Is(err, garage.ErrNotFound) {
		return l, err
	}
	settings, err := one[garage.Settings](ctx, db, `select `+settingsColumns+` from settings`, args{})
	return garage.DonorLedger{CarID: id, Currency: settings.Currency}, err
}

// UpdateDonorLedger saves what a donor costs. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when the car is gone.
func (s *Store) UpdateDonorLedger(ctx context.Context, l garage.DonorLedger) error {
	if err := l.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, l.CarID, "for no key update"); err != nil {
			return err
		}
		was, err := donorLedger(ctx, tx, l.CarID)
		if err != nil {
			return err
		}
		if was.Version != l.Version {
			return fmt.Errorf("ledger of car %d: %w", l.CarID, garage.ErrConflict)
		}
		_, err = tx.Exec(ctx, `
			insert into donor_ledgers (car_id, version, currency, price, transport, storage_per_day, disposal, paperwork, here_since, gone_on,
			  scrap_kg, scrap_price)
			values (@car, 1, @currency, @price, @transport, @storage, @disposal, @paperwork, @since, @gone, @kg, @scrap)
			on conflict (car_id) do update set
			  version = donor_ledgers.version + 1,
			  price = @price,
			  transport = @transport,
			  storage_per_day = @storage,
			  disposal = @disposal,
			  paperwork = @paperwork,
			  here_since = @since,
			  gone_on = @gone,
			  scrap_kg = @kg,
			  scrap_price = @scrap`,
			args{
				"car": l.CarID, "currency": l.Currency, "price": l.Price, "transport": l.Transport, "storage": l.StoragePerDay,
				"disposal": l.Disposal, "paperwork": l.Paperwork, "since": l.HereSince, "gone": l.GoneOn, "kg": l.ScrapKg, "scrap": l.ScrapPrice,
			})
		return err
	})
}

// DonorSale is one sale. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) DonorSale(ctx context.Context, id garage.DonorSaleID) (garage.DonorSale, error) {
	v, err := one[garage.DonorSale](ctx, s.db, `
		select `+donorSaleColumns+` from donor_sales where id = @id and deleted_at is null`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("sale %d: %w", id, err)
	}
	return v, nil
}

func donorSaleArgs(v garage.DonorSale) args {
	return args{"car": v.CarID, "what": v.What, "on": v.SoldOn, "currency": v.Currency, "price": v.Price, "fees": v.Fees, "note": v.Note}
}

// CreateDonorSale notes what was sold of a donor; a piece that was on the shelf leaves it. *garage.InvalidError for what does not hold,
// garage.ErrNotFound when the car is gone.
func (s *Store) CreateDonorSale(ctx context.Context, v garage.DonorSale) (id garage.DonorSaleID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, v.CarID, ""); err != nil {
			return err
		}
		a := donorSaleArgs(v)
		if a["movement"], err = sellPiece(ctx, tx, v); err != nil {
			return err
		}
		id, err = insert[garage.DonorSaleID](ctx, tx, `
			insert into donor_sales (car_id, what, sold_on, currency, price, fees, note, movement_id)
			values (@car, @what, @on, @currency, @price, @fees, @note, @movement) returning id`, a)
		return err
	})
	return id, err
}

// sellPiece takes what is sold off the shelf; nil when nothing lies there.
func sellPiece(ctx context.Context, tx pgx.Tx, v garage.DonorSale) (*garage.MovementID, error) {
	if v.Piece == nil {
		return nil, nil //nolint:nilnil // nothing to take
	}
	shelf, err := New(tx).DonorShelf(ctx, v.CarID)
	if err != nil {
		return nil, err
	}
	for _, p := range shelf {
		if p.LotID != v.Piece.LotID || p.BinID != v.Piece.BinID {
			continue
		}
		if v.Piece.Quantity > p.Quantity {
			break
		}
		id, err := New(tx).TakeStock(ctx, garage.Movement{
			PartID: p.PartID, BinID: p.BinID, LotID: &p.LotID, Quantity: -v.Piece.Quantity, Kind: "sold", Note: v.What,
		})
		return &id, err
	}
	return nil, garage.FieldErrors{"piece": "There is not that much on the shelf any more."}.Err()
}

// DonorShelf lists what of a donor lies on the shelf.
func (s *Store) DonorShelf(ctx context.Context, id garage.CarID) ([]garage.ShelfPiece, error) {
	return list[garage.ShelfPiece](ctx, s.db, `
		select k.part_id, k.lot_id, k.bin_id, k.quantity, p.name as part_name, b.name as bin_name
		from stock k join lots l on l.id = k.lot_id join donor_parts d on d.id = l.donor_part_id
		join parts p on p.id = k.part_id join bins b on b.id = k.bin_id
		where d.car_id = @car and k.quantity > 0
		order by lower(p.name), k.lot_id, lower(b.name)`, args{"car": id})
}

// UpdateDonorSale saves a sale. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateDonorSale(ctx context.Context, v garage.DonorSale) error {
	if err := v.Validate(); err != nil {
		return err
	}
	a := donorSaleArgs(v)
	a["id"], a["version"] = v.ID, v.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "donor_sales", `
			update donor_sales set
			  version = version + 1,
			  what = @what,
			  sold_on = @on,
			  price = @price,
			  fees = @fees,
			  note = @note
			where id = @id and version = @version and car_id = @car and currency = @currency and deleted_at is null`, a)
	})
}

// DeleteDonorSale deletes a sale, and what had left the shelf is on it again; RestoreDonorSale brings it back. garage.ErrNotFound when
// it is gone already.
func (s *Store) DeleteDonorSale(ctx context.Context, id garage.DonorSaleID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		v, err := New(tx).DonorSale(ctx, id)
		if err != nil {
			return err
		}
		if v.MovementID != nil {
			// it may be on the shelf again by other means: then there is nothing to bring back
			if _, err := New(tx).ReverseMovement(ctx, *v.MovementID); err != nil && !isInvalid(err) {
				return err
			}
		}
		return New(tx).setDeleted(ctx, "donor_sales", int64(id), true)
	})
}

// RestoreDonorSale brings a deleted sale back, and takes its piece off the shelf again. garage.ErrNotFound when there is no such
// deleted one, *garage.InvalidError when the piece is not there any more.
func (s *Store) RestoreDonorSale(ctx context.Context, id garage.DonorSaleID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if err := New(tx).setDeleted(ctx, "donor_sales", int64(id), false); err != nil {
			return err
		}
		v, err := New(tx).DonorSale(ctx, id)
		if err != nil || v.MovementID == nil {
			return err
		}
		m, err := one[garage.Movement](ctx, tx, `select `+movementColumns+` from stock_movements where id = @id`, args{"id": *v.MovementID})
		if err != nil {
			return err
		}
		taken, err := New(tx).TakeStock(ctx, garage.Movement{PartID: m.PartID, BinID: m.BinID, LotID: m.LotID, Quantity: m.Quantity, Kind: m.Kind, Note: m.Note})
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `update donor_sales set movement_id = $2 where id = $1`, id, taken)
		return err
	})
}

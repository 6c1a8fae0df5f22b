package postgres

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Bins lists the bins by name, with how many different parts lie in each.
func (s *Store) Bins(ctx context.Context) ([]garage.BinRow, error) {
	return list[garage.BinRow](ctx, s.db, `
		select `+binColumns+`,
		  (select count(distinct part_id) from stock where bin_id = bins.id and quantity > 0) as parts
		from bins
		where deleted_at is null
		order by lower(name), id`, args{})
}

// Bin is one bin. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Bin(ctx context.Context, id garage.BinID) (garage.Bin, error) {
	return bin(ctx, s.db, id, "")
}

func bin(ctx context.Context, db DBTX, id garage.BinID, lock string) (garage.Bin, error) {
	b, err := one[garage.Bin](ctx, db, `select `+binColumns+` from bins where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return b, fmt.Errorf("bin %d: %w", id, err)
	}
	return b, nil
}

// StockIn lists what lies in a bin, by the part's name; pieces that differ lie apart.
func (s *Store) StockIn(ctx context.Context, id garage.BinID) ([]garage.PartStock, error) {
	return list[garage.PartStock](ctx, s.db, `
		select `+partColumns+`, quantity, detail
		from parts join (
		  select s.part_id, s.quantity, s.lot_id, coalesce(concat_ws(' · ', nullif(l.condition, ''), nullif(l.note, '')), '') as detail
		  from stock s left join lots l on l.id = s.lot_id
		  where s.bin_id = @bin_id and s.quantity > 0) lies on lies.part_id = parts.id
		order by lower(name), id, lot_id nulls first`, args{"bin_id": id})
}

// BinKits lists the open jobs whose parts are gathered in a bin.
func (s *Store) BinKits(ctx context.Context, id garage.BinID) ([]garage.JobLink, error) {
	return list[garage.JobLink](ctx, s.db, `
		select `+jobLinkColumns+`, 0 as gap_minutes
		from job_kits k join jobs j on j.id = k.job_id join cars c on c.id = j.car_id
		where k.bin_id = @bin and `+jobIsOpen+` order by j.id`, args{"bin": id})
}

// Kits lists the open jobs whose parts are gathered in bins, by the bin.
func (s *Store) Kits(ctx context.Context) (map[garage.BinID][]garage.JobLink, error) {
	type row struct {
		garage.JobLink
		BinID garage.BinID
	}
	rows, err := list[row](ctx, s.db, `
		select `+jobLinkColumns+`, 0 as gap_minutes, k.bin_id
		from job_kits k join jobs j on j.id = k.job_id join cars c on c.id = j.car_id
		where `+jobIsOpen+` order by j.id`, args{})
	kits := map[garage.BinID][]garage.JobLink{}
	for _, r := range rows {
		kits[r.BinID] = append(kits[r.BinID], r.JobLink)
	}
	return kits, err
}

// CreateBin adds a bin. *garage.InvalidError for what does not hold, also when the name is taken.
func (s *Store) CreateBin(ctx context.Context, b garage.Bin) (id garage.BinID, err error) {
	if err := b.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insertBin(ctx, tx, b)
		return err
	})
	return id, err
}

func insertBin(ctx context.Context, tx pgx.Tx, b garage.Bin) (garage.BinID, error) {
	return insert[garage.BinID](ctx, tx, `insert into bins (name, place) values (@name, @place) returning id`,
		args{"name": b.Name, "place": b.Place})
}

// UpdateBin saves a bin. *garage.InvalidError for what does not hold, also when the name is taken; garage.ErrConflict for an
// old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateBin(ctx context.Context, b garage.Bin) error {
	if err := b.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "bins", `
			update bins set
			  version = version + 1,
			  name = @name,
			  place = @place
			where id = @id and version = @version and deleted_at is null`,
			args{"id": b.ID, "version": b.Version, "name": b.Name, "place": b.Place})
	})
}

// DeleteBin deletes a bin; RestoreBin brings it back. *garage.InvalidError, on the whole, while stock lies in it;
// garage.ErrNotFound when it is gone already.
func (s *Store) DeleteBin(ctx context.Context, id garage.BinID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := bin(ctx, tx, id, "for update"); err != nil {
			return err
		}
		lies, err := usedBy(ctx, tx, `
			select p.name from stock s join parts p on p.id = s.part_id where s.bin_id = $1 and s.quantity > 0
			union select 'the kit of ' || j.title from job_kits k join jobs j on j.id = k.job_id join cars c on c.id = j.car_id
			where k.bin_id = $1 and `+jobIsOpen, int64(id))
		if err != nil {
			return err
		}
		if lies != "" {
			return garage.FieldErrors{"": "There is still in it: " + lies + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "bins", int64(id), true)
	})
}

// RestoreBin brings a deleted bin back. *garage.InvalidError when another took its name, garage.ErrNotFound when there is no
// such deleted one.
func (s *Store) RestoreBin(ctx context.Context, id garage.BinID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "bins", int64(id), false) })
}

// holdBin keeps a bin from being deleted until the transaction ends.
func holdBin(ctx context.Context, tx pgx.Tx, id garage.BinID) (garage.Bin, error) {
	b, err := bin(ctx, tx, id, "for share")
	if errors.Is(err, garage.ErrNotFound) {
		return b, garage.FieldErrors{"bin": "Choose the bin."}.Err()
	}
	return b, err
}

// pickBin finds the bin of a name, or makes it. *garage.InvalidError under "bin" when none is named, under "new_bin" when
// there is none of that name and it may not be made.
func pickBin(ctx context.Context, tx pgx.Tx, pick garage.BinPick) (garage.Bin, error) {
	b := garage.Bin{Name: strings.TrimSpace(pick.Name)}
	if b.Name == "" {
		return b, garage.FieldErrors{"bin": "Name the bin."}.Err()
	}
	found, err := list[garage.Bin](ctx, tx, `
		select `+binColumns+` from bins where lower(name) = lower(@name) and deleted_at is null for share`, args{"name": b.Name})
	switch {
	case err != nil:
		return b, err
	case len(found) > 0:
		return found[0], nil
	case !pick.New:
		return b, garage.FieldErrors{"new_bin": "There is no bin called " + b.Name + ". Tick to make it."}.Err()
	}
	if invalid, ok := errors.AsType[*garage.InvalidError](b.Validate()); ok {
		return b, garage.FieldErrors{"bin": invalid.Fields["name"]}.Err()
	}
	b.ID, err = insertBin(ctx, tx, b)
	return b, err
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const supplierColumns = `id, version, name, lead_low, lead_likely, lead_high, currency, shipping, return_days, core_n, core_count, core_basis, notes, deleted_at`

// Suppliers lists the suppliers by name.
func (s *Store) Suppliers(ctx context.Context) ([]garage.SupplierRow, error) {
	return list[garage.SupplierRow](ctx, s.db, `
		select s.*,
		  (select count(*) from parts p where lower(p.supplier) = lower(s.name) and p.deleted_at is null) as parts,
		  (select count(*) from arrivals a where lower(a.supplier) = lower(s.name) and `+arrivalIsExpected+`) as expected
		from (select `+supplierColumns+` from suppliers where deleted_at is null) s
		order by lower(s.name), s.id`, args{})
}

// Supplier is one supplier; garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Supplier(ctx context.Context, id garage.SupplierID) (garage.Supplier, error) {
	return supplier(ctx, s.db, id, "")
}

func supplier(ctx context.Context, db DBTX, id garage.SupplierID, lock string) (garage.Supplier, error) {
	v, err := one[garage.Supplier](ctx, db, `select `+supplierColumns+` from suppliers where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("supplier %d: %w", id, err)
	}
	return v, nil
}

// SupplierNamed is the supplier of a name, written large or small; garage.ErrNotFound when there is none.
func (s *Store) SupplierNamed(ctx context.Context, name string) (garage.Supplier, error) {
	return one[garage.Supplier](ctx, s.db, `
		select `+supplierColumns+` from suppliers where lower(name) = lower(@name) and deleted_at is null`, args{"name": name})
}

// SupplierParts lists the parts that name a supplier as theirs.
func (s *Store) SupplierParts(ctx context.Context, name string) ([]garage.Part, error) {
	return list[garage.Part](ctx, s.db, `
		select `+partColumns+` from parts where lower(supplier) = lower(@name) and deleted_at is null order by lower(name), side, id`,
		args{"name": name})
}

func supplierArgs(v garage.Supplier) args {
	return args{
		"name": v.Name, "lead_low": v.LeadLow, "lead_likely": v.LeadLikely, "lead_high": v.LeadHigh, "currency": v.Currency,
		"shipping": v.Shipping, "return_days": v.ReturnDays, "core_n": v.CoreN, "core_count": v.CoreCount, "core_basis": v.CoreBasis,
		"notes": v.Notes,
	}
}

// CreateSupplier adds a supplier. *garage.InvalidError for what does not hold, also when the name is taken.
func (s *Store) CreateSupplier(ctx context.Context, v garage.Supplier) (id garage.SupplierID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insertSupplier(ctx, tx, v)
		return err
	})
	return id, err
}

func insertSupplier(ctx context.Context, tx pgx.Tx, v garage.Supplier) (garage.SupplierID, error) {
	return insert[garage.SupplierID](ctx, tx, `
		insert into suppliers (name, lead_low, lead_likely, lead_high, currency, shipping, return_days, core_n, core_count, core_basis, notes)
		values (@name, @lead_low, @lead_likely, @lead_high, @currency, @shipping, @return_days, @core_n, @core_count, @core_basis, @notes)
		returning id`, supplierArgs(v))
}

// UpdateSupplier saves a supplier; what names it gets its new name too. *garage.InvalidError for what does not hold, also when
// the name is taken, garage.ErrConflict for an old version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateSupplier(ctx context.Context, v garage.Supplier) error {
	if err := v.Validate(); err != nil {
		return err
	}
	a := supplierArgs(v)
	a["id"], a["version"] = v.ID, v.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := supplier(ctx, tx, v.ID, "for no key update")
		if err != nil {
			return err
		}
		err = update(ctx, tx, "suppliers", `
			update suppliers set
			  version = version + 1,
			  name = @name,
			  lead_low = @lead_low,
			  lead_likely = @lead_likely,
			  lead_high = @lead_high,
			  currency = @currency,
			  shipping = @shipping,
			  return_days = @return_days,
			  core_n = @core_n,
			  core_count = @core_count,
			  core_basis = @core_basis,
			  notes = @notes
			where id = @id and version = @version and deleted_at is null`, a)
		if err != nil || was.Name == v.Name {
			return err
		}
		for _, table := range []string{"parts", "arrivals", "cores", "fitted"} {
			_, err := tx.Exec(ctx, `update `+table+` set supplier = $2, version = version + 1 where lower(supplier) = lower($1)`, was.Name, v.Name)
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// DeleteSupplier deletes a supplier; RestoreSupplier brings it back. What names it keeps the name. *garage.InvalidError, on the whole,
// while something that was ordered there is expected; garage.ErrNotFound when it is gone already.
func (s *Store) DeleteSupplier(ctx context.Context, id garage.SupplierID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := supplier(ctx, tx, id, "for update"); err != nil {
			return err
		}
		waits, err := usedBy(ctx, tx, `
			select p.name from arrivals a join orders o on o.id = a.order_id join parts p on p.id = a.part_id
			where o.supplier_id = $1 and `+arrivalIsExpected, int64(id))
		if err != nil {
			return err
		}
		if waits != "" {
			return garage.FieldErrors{"": "Still expected from there: " + waits + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "suppliers", int64(id), true)
	})
}

// RestoreSupplier brings a deleted supplier back. *garage.InvalidError when another took its name, garage.ErrNotFound when there
// is no such deleted one.
func (s *Store) RestoreSupplier(ctx context.Context, id garage.SupplierID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return New(tx).setDeleted(ctx, "suppliers", int64(id), false) })
}

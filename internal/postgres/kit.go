package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// SetJobKit names the bin in which what a job needs is gathered, or makes it. *garage.InvalidError under "bin" and "new_bin" as
// when stock is put in, under "bin" also when it is the box of another open job; garage.ErrNotFound when the job is gone.
func (s *Store) SetJobKit(ctx context.Context, job garage.JobID, pick garage.BinPick) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openJob(ctx, tx, job); err != nil {
			return err
		}
		b, err := pickBin(ctx, tx, pick)
		if err != nil {
			return err
		}
		others, err := usedBy(ctx, tx, `
			select j.title from job_kits k join jobs j on j.id = k.job_id join cars c on c.id = j.car_id
			where k.bin_id = $1 and `+jobIsOpen+` and j.id <> `+fmt.Sprint(int64(job)), int64(b.ID))
		if err != nil {
			return err
		}
		if others != "" {
			return garage.FieldErrors{"bin": b.Name + " is the box for " + others + "."}.Err()
		}
		_, err = tx.Exec(ctx, `
			insert into job_kits (job_id, bin_id) values ($1, $2) on conflict (job_id) do update set bin_id = $2`, job, b.ID)
		return err
	})
}

// ClearJobKit takes the box from a job; what lies in it stays there. garage.ErrNotFound when it has none.
func (s *Store) ClearJobKit(ctx context.Context, job garage.JobID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `delete from job_kits where job_id = $1`, job)
		if err == nil && tag.RowsAffected() == 0 {
			err = fmt.Errorf("kit box of job %d: %w", job, garage.ErrNotFound)
		}
		return err
	})
}

// GatherKit moves stock into the box of a job: all of it or, when some is not there any more, nothing. It returns the movements
// that undo it when they are reversed. *garage.InvalidError when there is not that much; garage.ErrNotFound when it has no box.
func (s *Store) GatherKit(ctx context.Context, job garage.JobID, stock []garage.Stock) (moved []garage.MovementID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		box, err := one[garage.Bin](ctx, tx, `
			select `+binColumns+` from bins where deleted_at is null and id = (select bin_id from job_kits where job_id = @job)`,
			args{"job": job})
		if err != nil {
			return fmt.Errorf("kit box of job %d: %w", job, err)
		}
		for _, lies := range stock {
			id, err := New(tx).MoveStock(ctx, garage.Movement{
				PartID: lies.PartID, BinID: lies.BinID, LotID: lies.LotID, Quantity: lies.Quantity, JobID: &job,
			}, garage.BinPick{Name: box.Name})
			if err != nil {
				return err
			}
			moved = append(moved, id)
		}
		return nil
	})
	return moved, err
}

// ReverseMovements undoes several movements at once, or none. The errors are those of ReverseMovement.
func (s *Store) ReverseMovements(ctx context.Context, ids []garage.MovementID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		for _, id := range ids {
			if _, err := New(tx).ReverseMovement(ctx, id); err != nil {
				return err
			}
		}
		return nil
	})
}

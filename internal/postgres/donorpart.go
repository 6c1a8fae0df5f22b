package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const donorPartRows = `
	select d.id, d.version, d.car_id, d.part_id, d.quantity, d.condition, d.note, d.harvest_job_id,
	  d.removal_minutes, d.worth, d.taken_at, d.deleted_at,
	  (select count(*) from cores k where k.donor_part_id = d.id and k.state = 'owed' and k.deleted_at is null)::int as for_cores,
	  p.name as part_name, p.number as part_number, p.side as part_side, p.unit as part_unit,
	  c.name as car_name, c.stands as car_stands,
	  case when ` + jobIsOpen + ` then j.title end as harvest_title
	from donor_parts d
	join parts p on p.id = d.part_id
	join cars c on c.id = d.car_id
	left join jobs j on j.id = d.harvest_job_id `

// DonorParts lists what is on a donor, then what was taken off it.
func (s *Store) DonorParts(ctx context.Context, id garage.CarID) ([]garage.DonorPartRow, error) {
	return list[garage.DonorPartRow](ctx, s.db, donorPartRows+`
		where d.car_id = @car_id and d.deleted_at is null
		order by d.taken_at is not null, d.taken_at desc, lower(p.name), p.side, d.id`, args{"car_id": id})
}

// PartOnDonors lists the donors that a part is still on.
func (s *Store) PartOnDonors(ctx context.Context, id garage.PartID) ([]garage.DonorPartRow, error) {
	return list[garage.DonorPartRow](ctx, s.db, donorPartRows+`
		where d.part_id = @part_id and `+isOnDonor+`
		order by lower(c.name), d.id`, args{"part_id": id})
}

// DonorPart is one part on a donor, or taken off it. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) DonorPart(ctx context.Context, id garage.DonorPartID) (garage.DonorPartRow, error) {
	d, err := one[garage.DonorPartRow](ctx, s.db, donorPartRows+`where d.id = @id and d.deleted_at is null`, args{"id": id})
	if err != nil {
		return d, fmt.Errorf("donor part %d: %w", id, err)
	}
	return d, nil
}

// CreateDonorPart notes a part on a donor; the part is named, or made. *garage.InvalidError for what does not hold,
// garage.ErrNotFound when the car is gone.
func (s *Store) CreateDonorPart(ctx context.Context, d garage.DonorPart, pick garage.PartPick) (id garage.DonorPartID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, d.CarID, ""); err != nil {
			return err
		}
		if d.PartID, err = pickDonorPart(ctx, tx, d, pick); err != nil {
			return err
		}
		id, err = insertDonorPart(ctx, tx, d)
		return err
	})
	return id, err
}

// pickDonorPart finds the part that is meant, and holds the rest against the rules at once.
func pickDonorPart(ctx context.Context, tx pgx.Tx, d garage.DonorPart, pick garage.PartPick) (garage.PartID, error) {
	settings, err := one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings`, args{})
	if err != nil {
		return 0, err
	}
	var e garage.FieldErrors
	id, err := pickPart(ctx, tx, pick, settings.Currency)
	if err != nil && !gather(err, &e) {
		return 0, err
	}
	if d.PartID = id; d.PartID == 0 {
		d.PartID = -1 // what is wrong with the part is noted already
	}
	if err := d.Validate(); err != nil && !gather(err, &e) {
		return 0, err
	}
	return id, e.Err()
}

func insertDonorPart(ctx context.Context, tx pgx.Tx, d garage.DonorPart) (garage.DonorPartID, error) {
	return insert[garage.DonorPartID](ctx, tx, `
		insert into donor_parts (car_id, part_id, quantity, condition, note, harvest_job_id, removal_minutes, worth)
		values (@car_id, @part_id, @quantity, @condition, @note, @harvest_job_id, @removal, @worth)
		returning id`,
		args{
			"car_id": d.CarID, "part_id": d.PartID, "quantity": d.Quantity, "condition": d.Condition, "note": d.Note,
			"harvest_job_id": d.HarvestJobID, "removal": d.RemovalMinutes, "worth": d.Worth,
		})
}

// UpdateDonorPart saves quantity, condition and note of a part that is still on a donor. *garage.InvalidError for what does
// not hold, garage.ErrConflict for an old version or when it was taken off meanwhile, garage.ErrNotFound when it is gone.
func (s *Store) UpdateDonorPart(ctx context.Context, d garage.DonorPart) error {
	if err := d.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		return update(ctx, tx, "donor_parts", `
			update donor_parts set
			  version = version + 1,
			  quantity = @quantity,
			  condition = @condition,
			  note = @note,
			  removal_minutes = @removal,
			  worth = @worth
			where id = @id and version = @version and deleted_at is null and taken_at is null`,
			args{
				"id": d.ID, "version": d.Version, "quantity": d.Quantity, "condition": d.Condition, "note": d.Note,
				"removal": d.RemovalMinutes, "worth": d.Worth,
			})
	})
}

// DeleteDonorPart deletes a part of a donor; RestoreDonorPart brings it back. garage.ErrConflict when it was taken off,
// garage.ErrNotFound when it is gone already.
func (s *Store) DeleteDonorPart(ctx context.Context, id garage.DonorPartID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := holdDonorPart(ctx, tx, id); err != nil {
			return err
		}
		return New(tx).setDeleted(ctx, "donor_parts", int64(id), true)
	})
}

// holdDonorPart reads a part that is on a donor and keeps others from changing it until the transaction ends.
func holdDonorPart(ctx context.Context, tx pgx.Tx, id garage.DonorPartID) (garage.DonorPart, error) {
	d, err := one[garage.DonorPart](ctx, tx, `
		select `+donorPartColumns+` from donor_parts where id = @id and deleted_at is null for update`, args{"id": id})
	if err == nil && d.TakenAt != nil {
		err = garage.ErrConflict
	}
	if err != nil {
		return d, fmt.Errorf("donor part %d: %w", id, err)
	}
	return d, nil
}

// RestoreDonorPart brings a deleted part of a donor back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestoreDonorPart(ctx context.Context, id garage.DonorPartID) error {
	return s.setDeleted(ctx, "donor_parts", int64(id), false)
}

// TakeOffDonorPart puts pieces taken off a donor into a bin that is named, or made. Are there fewer than it has, the rest
// stays on it. *garage.InvalidError for what does not hold, also when the car is not here yet, garage.ErrConflict when it was
// taken off meanwhile, garage.ErrNotFound when it is gone.
func (s *Store) TakeOffDonorPart(
	ctx context.Context, id garage.DonorPartID, quantity int, pick garage.BinPick, now time.Time,
) (movement garage.MovementID, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		d, err := holdDonorPart(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := checkTakeOff(ctx, tx, d, quantity); err != nil {
			return err
		}
		b, err := pickBin(ctx, tx, pick)
		if err != nil {
			return err
		}
		if err := splitDonorPart(ctx, tx, d, quantity, now); err != nil {
			return err
		}
		lot, err := pickLot(ctx, tx, d.Lot())
		if err != nil {
			return err
		}
		movement, err = insertMovement(ctx, tx, garage.Movement{
			PartID: d.PartID, BinID: b.ID, LotID: lot, Quantity: quantity, Kind: "taken off", JobID: d.HarvestJobID, DonorPartID: &d.ID,
		})
		return err
	})
	return movement, err
}

func checkTakeOff(ctx context.Context, tx pgx.Tx, d garage.DonorPart, quantity int) error {
	c, err := car(ctx, tx, d.CarID, "")
	if err != nil {
		return err
	}
	if err := holdPart(ctx, tx, d.PartID); err != nil {
		return err
	}
	var e garage.FieldErrors
	if c.Stands == garage.NotHere {
		e.Add("", c.Name+" is not here yet.")
	}
	if quantity < 1 || quantity > d.Quantity {
		e.Add("quantity", fmt.Sprintf("From 1 to %d.", d.Quantity))
	}
	return e.Err()
}

// splitDonorPart notes what was taken off, and leaves the rest on the donor.
func splitDonorPart(ctx context.Context, tx pgx.Tx, d garage.DonorPart, taken int, now time.Time) error {
	_, err := tx.Exec(ctx, `
		update donor_parts set version = version + 1, quantity = @quantity, taken_at = @now where id = @id`,
		args{"id": d.ID, "quantity": taken, "now": now})
	if err != nil || taken == d.Quantity {
		return err
	}
	rest := d
	rest.Quantity -= taken
	_, err = insertDonorPart(ctx, tx, rest)
	return err
}

// CreateHarvest makes a harvest job on a donor with one stage at the bench, which takes the given parts off.
// *garage.InvalidError for what does not hold, also when one of the parts is not to be had, garage.ErrNotFound when the car is
// gone.
func (s *Store) CreateHarvest(ctx context.Context, h garage.HarvestPlan) (id garage.JobID, err error) {
	if err := h.Validate(); err != nil {
		return 0, err
	}
	job := garage.Job{CarID: h.CarID, Kind: garage.Harvest, Title: h.Title, Weight: 3, Currency: h.Currency}
	stage := garage.Stage{Position: 1, Name: h.Title, Kind: garage.Bench, Low: h.Low, Likely: h.Likely, High: h.High, Lift: h.Lift}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := car(ctx, tx, h.CarID, ""); err != nil {
			return err
		}
		if id, err = New(tx).CreateJob(ctx, job, nil, stage); err != nil {
			return err
		}
		tag, err := tx.Exec(ctx, `
			update donor_parts d set version = version + 1, harvest_job_id = @job
			where id = any(@parts::bigint[]) and car_id = @car and deleted_at is null and taken_at is null
			  and not exists (select from jobs j where j.id = d.harvest_job_id and `+jobIsOpen+`)`,
			args{"job": id, "parts": h.Parts, "car": h.CarID})
		if err == nil && tag.RowsAffected() != int64(len(h.Parts)) {
			err = garage.FieldErrors{"parts": "One of them was taken off or belongs to another job meanwhile."}.Err()
		}
		return err
	})
	return id, err
}

package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// photoSubjects are, by what a photo shows, the column that names it and the query for its name. What belongs to something that
// was deleted has no photos to be added to.
var photoSubjects = map[garage.PhotoKind]struct{ column, name string }{
	garage.PhotoOfJob:  {"job_id", `select title as name, 0::bigint as "on" from jobs where id = @id and deleted_at is null`},
	garage.PhotoOfCar:  {"car_id", `select name, 0::bigint as "on" from cars where id = @id and deleted_at is null`},
	garage.PhotoOfPart: {"part_id", `select name, 0::bigint as "on" from parts where id = @id and deleted_at is null`},
	garage.PhotoOfStep: {"step_id", `
		select text as name, job_id as "on"
		from steps join stages on stages.id = stage_id
		where steps.id = @id and steps.deleted_at is null and stages.deleted_at is null`},
	garage.PhotoOfRound: {"round_id", `
		select 'Round ' || number as name, job_id as "on"
		from rounds join jobs on jobs.id = job_id
		where rounds.id = @id and undone_at is null and jobs.deleted_at is null`},
	garage.PhotoOfArrival: {"arrival_id", `
		select name, part_id as "on"
		from arrivals join parts on parts.id = part_id
		where arrivals.id = @id and arrivals.deleted_at is null`},
	garage.PhotoOfOrder: {"order_id", `
		select concat_ws(' ', 'Order', nullif(number, ''), 'from ' || suppliers.name) as name, 0::bigint as "on"
		from orders join suppliers on suppliers.id = supplier_id
		where orders.id = @id and orders.deleted_at is null`},
}

const photoUseColumns = `u.id, u.photo_id, p.width, p.height, u.note, u.at`

// PhotoSubjectName is how a thing is named above its photos. garage.ErrNotFound when it is gone, or no thing that has photos.
func (s *Store) PhotoSubjectName(ctx context.Context, of garage.PhotoSubject) (garage.PhotoSubjectName, error) {
	v := garage.PhotoSubjectName{PhotoSubject: of}
	subject, known := photoSubjects[of.Kind]
	if !known {
		return v, garage.ErrNotFound
	}
	err := s.db.QueryRow(ctx, subject.name, args{"id": of.ID}).Scan(&v.Name, &v.On)
	if err != nil {
		return v, fmt.Errorf("%s %d: %w", of.Kind, of.ID, mapError(err))
	}
	return v, nil
}

// Photos are the photos of a thing, the oldest first.
func (s *Store) Photos(ctx context.Context, of garage.PhotoSubject) ([]garage.PhotoUse, error) {
	return list[garage.PhotoUse](ctx, s.db, `
		select `+photoUseColumns+`
		from photo_uses u join photos p on p.id = u.photo_id
		where u.`+photoSubjects[of.Kind].column+` = @id and u.deleted_at is null
		order by u.at, u.id`, args{"id": of.ID})
}

// StepPhotos are the photos of a job's steps, by step, the oldest first.
func (s *Store) StepPhotos(ctx context.Context, job garage.JobID) (map[garage.StepID][]garage.PhotoUse, error) {
	type row struct {
		garage.PhotoUse
		StepID garage.StepID
	}
	rows, err := list[row](ctx, s.db, `
		select `+photoUseColumns+`, u.step_id
		from photo_uses u
		  join photos p on p.id = u.photo_id
		  join steps on steps.id = u.step_id
		  join stages on stages.id = steps.stage_id
		where stages.job_id = @job and u.deleted_at is null
		order by u.at, u.id`, args{"job": job})
	found := map[garage.StepID][]garage.PhotoUse{}
	for _, r := range rows {
		found[r.StepID] = append(found[r.StepID], r.PhotoUse)
	}
	return found, err
}

// HasPhoto says whether the form with a key brought a photo already.
func (s *Store) HasPhoto(ctx context.Context, key string) (bool, error) {
	var has bool
	err := s.db.QueryRow(ctx, `select exists (select from photo_uses where key = $1)`, key).Scan(&has)
	return has, mapError(err)
}

// AddPhoto keeps a photo of a thing; the picture itself is kept once. With the key of a form that brought it already, nothing is
// added. *garage.InvalidError for what does not hold, garage.ErrNotFound when the thing is gone.
func (s *Store) AddPhoto(ctx context.Context, v garage.NewPhoto) error {
	if err := v.Validate(); err != nil {
		return err
	}
	if _, err := s.PhotoSubjectName(ctx, v.Of); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		// Setting the hash to what it is locks the row, so that it is returned and nobody takes it away meanwhile.
		id, err := insert[garage.PhotoID](ctx, tx, `
			insert into photos (hash, width, height, full_size, small)
			values (@hash, @width, @height, @full, @small)
			on conflict (hash) do update set hash = excluded.hash
			returning id`,
			args{"hash": v.Hash, "width": v.Width, "height": v.Height, "full": v.Full, "small": v.Small})
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			insert into photo_uses (photo_id, `+photoSubjects[v.Of.Kind].column+`, note, at, key)
			values (@photo, @of, @note, @at, nullif(@key, ''))
			on conflict (key) do nothing`,
			args{"photo": id, "of": v.Of.ID, "note": v.Note, "at": v.At, "key": v.Key})
		return err
	})
}

// PhotoFile is a photo, small or as large as it is kept. garage.ErrNotFound when there is none.
func (s *Store) PhotoFile(ctx context.Context, id garage.PhotoID, small bool) (garage.PhotoFile, error) {
	column := "full_size"
	if small {
		column = "small"
	}
	v, err := one[garage.PhotoFile](ctx, s.db, `select hash, `+column+` as jpeg from photos where id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("photo %d: %w", id, err)
	}
	return v, nil
}

// PhotoUseOf is what a photo shows, deleted or not. garage.ErrNotFound when there is no such use.
func (s *Store) PhotoUseOf(ctx context.Context, id garage.PhotoUseID) (garage.PhotoSubject, error) {
	v, err := one[garage.PhotoSubject](ctx, s.db, `
		select
		  case when step_id is not null then 'step' when job_id is not null then 'job' when car_id is not null then 'car'
		    when part_id is not null then 'part' when order_id is not null then 'order' when arrival_id is not null then 'arrival' else 'round' end as kind,
		  coalesce(step_id, job_id, car_id, part_id, order_id, arrival_id, round_id) as id
		from photo_uses where id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("use %d of a photo: %w", id, err)
	}
	return v, nil
}

// DeletePhotoUse takes a photo away from what it shows; [Store.RestorePhotoUse] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeletePhotoUse(ctx context.Context, id garage.PhotoUseID) error {
	return s.setDeleted(ctx, "photo_uses", int64(id), true)
}

// RestorePhotoUse brings a photo back that was taken away; garage.ErrNotFound when none was.
func (s *Store) RestorePhotoUse(ctx context.Context, id garage.PhotoUseID) error {
	return s.setDeleted(ctx, "photo_uses", int64(id), false)
}

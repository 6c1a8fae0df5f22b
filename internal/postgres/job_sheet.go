package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// atOnce runs reads in one transaction, which on a pool sees one moment.
func (s *Store) atOnce(ctx context.Context, f func(tx pgx.Tx) error) error {
	tx, err := s.db.Begin(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // only reads
	// Refused inside a transaction that has begun already.
	if s.db.fresh(ctx) {
		if _, err := tx.Exec(ctx, "set transaction isolation level repeatable read read only"); err != nil {
			return err
		}
	}
	return mapError(f(tx))
}

// JobSheet is one job with all that its page tells. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) JobSheet(ctx context.Context, id garage.JobID) (garage.JobSheet, error) {
	var sheet garage.JobSheet
	err := s.atOnce(ctx, func(tx pgx.Tx) (err error) {
		if sheet.Job, err = jobByID(ctx, tx, id, ""); err != nil {
			return err
		}
		sheet.Car, err = one[garage.Car](ctx, tx, `select `+carColumns+` from cars where id = @id`, args{"id": sheet.Job.CarID})
		if err != nil {
			return fmt.Errorf("car of job %d: %w", id, err)
		}
		for _, read := range append(sheetReads(ctx, tx, &sheet), kitReads(ctx, tx, &sheet)...) {
			if err := read(); err != nil {
				return err
			}
		}
		return nil
	})
	return sheet, err
}

// The stages of a job and the parts that it needs, by its id.
const (
	sheetStages = `select id from stages where job_id = @id and deleted_at is null`
	sheetParts  = `select part_id from needs where deleted_at is null and stage_id in (` + sheetStages + `)`
	// donor parts that a job could use, and those that it takes off itself
	sheetDonorParts = `deleted_at is null and taken_at is null and part_id in (` + sheetParts + `)
		and car_id in (select id from cars where deleted_at is null)`
)

// sheetReads read the stages of a job and the jobs around it.
func sheetReads(ctx context.Context, tx pgx.Tx, sheet *garage.JobSheet) []func() error {
	id := sheet.Job.ID
	a := args{"id": id}
	return []func() error{
		func() (err error) { sheet.After, err = jobAfter(ctx, tx, id); return err },
		func() (err error) { sheet.Before, err = jobBefore(ctx, tx, id); return err },
		func() (err error) { sheet.Stages, err = jobStages(ctx, tx, id); return err },
		func() (err error) { sheet.Phase, err = phaseOf(ctx, tx, sheet.Job); return err },
		reading(ctx, tx, &sheet.Later, `
			with recursive later (id) as (
			  select job_id from job_after where after_id = @id
			  union
			  select a.job_id from job_after a join later l on a.after_id = l.id
			)
			select `+stageColumns+` from stages
			where deleted_at is null and immobile <> '' and job_id in (
			  select j.id from jobs j join later using (id)
			  where j.deleted_at is null and j.closed_at is null
			    and j.car_id = (select car_id from jobs where id = @id))
			order by job_id, position, id`, a),
		reading(ctx, tx, &sheet.Tools, `select `+toolColumns+` from tools
			where id in (select tool_id from stage_tools where stage_id in (`+sheetStages+`)) order by id`, a),
		reading(ctx, tx, &sheet.Access, `select `+accessColumns+` from access
			where id in (select access_id from stage_access where stage_id in (`+sheetStages+`)) order by id`, a),
		reading(ctx, tx, &sheet.Closing, `select `+closingColumns+` from closing_work
			where id in (select closing_id from stage_closing where stage_id in (`+sheetStages+`)) order by id`, a),
	}
}

// kitReads read what the job needs, uses and takes off a donor, and where it is.
func kitReads(ctx context.Context, tx pgx.Tx, sheet *garage.JobSheet) []func() error {
	a := args{"id": sheet.Job.ID}
	return []func() error{
		reading(ctx, tx, &sheet.Needs, `select `+needColumns+` from needs
			where deleted_at is null and stage_id in (`+sheetStages+`) order by stage_id, id`, a),
		reading(ctx, tx, &sheet.Used, `select stage_id, part_id, -sum(quantity)::int as quantity from stock_movements
			where stage_id in (`+sheetStages+`) group by stage_id, part_id having sum(quantity) <> 0 order by 1, 2`, a),
		reading(ctx, tx, &sheet.Parts, `select `+lentPartColumns+` from parts
			where id in (`+sheetParts+`) or id in (select part_id from donor_parts where harvest_job_id = @id) order by id`, a),
		reading(ctx, tx, &sheet.Stock, stockRows+`
			where s.quantity > 0 and s.part_id in (`+sheetParts+`) order by s.part_id, s.bin_id, s.lot_id nulls first`, a),
		reading(ctx, tx, &sheet.Bins, `select `+binColumns+` from bins order by lower(name), id`, args{}),
		reading(ctx, tx, &sheet.Arrivals, `select `+arrivalColumns+` from arrivals
			where deleted_at is null and received_at is null and part_id in (`+sheetParts+`) order by likely, id`, a),
		reading(ctx, tx, &sheet.DonorParts, `select `+donorPartColumns+` from donor_parts where `+sheetDonorParts+` order by id`, a),
		reading(ctx, tx, &sheet.Donors, `select `+carColumns+` from cars
			where id in (select car_id from donor_parts where `+sheetDonorParts+`) order by id`, a),
		reading(ctx, tx, &sheet.Harvests, `
			select `+jobLinkColumns+`, 0 as gap_minutes
			from jobs j join cars c on c.id = j.car_id
			where j.deleted_at is null and j.id in (select harvest_job_id from donor_parts where `+sheetDonorParts+`)
			order by j.id`, a),
		reading(ctx, tx, &sheet.Lots, lotRows+`
			where l.part_id in (`+sheetParts+`) order by l.id`, a),
		reading(ctx, tx, &sheet.Fits, `select id, part_id, car_id, known, note from part_fits
			where deleted_at is null and part_id in (`+sheetParts+`) and car_id = (select car_id from jobs where id = @id) order by id`, a),
		func() error {
			boxes, err := list[garage.Bin](ctx, tx, `select `+binColumns+` from bins
				where deleted_at is null and id = (select bin_id from job_kits where job_id = @id)`, a)
			if len(boxes) > 0 {
				sheet.KitBin = &boxes[0]
			}
			return err
		},
		reading(ctx, tx, &sheet.Harvest, `select `+donorPartColumns+` from donor_parts
			where harvest_job_id = @id and deleted_at is null order by id`, a),
	}
}

func reading[T any](ctx context.Context, tx pgx.Tx, target *[]T, sql string, a args) func() error {
	return func() (err error) {
		*target, err = list[T](ctx, tx, sql, a)
		return err
	}
}

// phaseOf is the phase of a job, nil when it has none or the phase was deleted.
func phaseOf(ctx context.Context, tx pgx.Tx, job garage.Job) (*garage.Phase, error) {
	phases, err := list[garage.Phase](ctx, tx, `
		select `+phaseColumns+` from phases where id = @id and deleted_at is null`, args{"id": job.PhaseID})
	if err != nil || len(phases) == 0 {
		return nil, err
	}
	return &phases[0], nil
}

// JobChoices are what the forms of a job on a car offer, less the job itself among those to wait for. garage.ErrNotFound
// when the car is gone.
func (s *Store) JobChoices(ctx context.Context, car garage.CarID, job garage.JobID) (garage.JobChoices, error) {
	var c garage.JobChoices
	a := args{"car": car}
	err := s.atOnce(ctx, func(tx pgx.Tx) (err error) {
		c.Car, err = one[garage.Car](ctx, tx, `select `+carColumns+` from cars where id = @car and deleted_at is null`, a)
		if err != nil {
			return fmt.Errorf("car %d: %w", car, err)
		}
		if c.Settings, err = New(tx).Settings(ctx); err != nil {
			return err
		}
		for _, read := range []func() error{
			reading(ctx, tx, &c.Cars, `select `+carColumns+` from cars where deleted_at is null order by lower(name), id`, args{}),
			reading(ctx, tx, &c.Phases, `select `+phaseColumns+` from phases
				where car_id = @car and deleted_at is null order by finish_on nulls last, id`, a),
			reading(ctx, tx, &c.Jobs, `
				select `+jobLinkColumns+`, 0 as gap_minutes
				from jobs j join cars c on c.id = j.car_id
				where j.deleted_at is null and c.deleted_at is null and j.id <> @job
				  and (j.closed_at is null or j.id in (select after_id from job_after where job_id = @job))
				order by j.car_id <> @car, lower(c.name), c.id, j.id`, args{"car": car, "job": job}),
			reading(ctx, tx, &c.Tools, `select `+toolColumns+` from tools where deleted_at is null order by lower(name), id`, args{}),
			reading(ctx, tx, &c.Access, `select `+accessColumns+` from access
				where car_id = @car and deleted_at is null order by lower(name), id`, a),
			reading(ctx, tx, &c.Closing, `select `+closingColumns+` from closing_work
				where car_id = @car and deleted_at is null order by lower(name), id`, a),
			reading(ctx, tx, &c.Patterns, `select `+patternColumns+` from session_patterns order by weekday, from_minute, id`, args{}),
			reading(ctx, tx, &c.Exceptions, `select `+exceptionColumns+` from session_exceptions order by on_date, from_minute, id`, args{}),
		} {
			if err := read(); err != nil {
				return err
			}
		}
		return nil
	})
	return c, err
}

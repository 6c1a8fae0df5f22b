package postgres

import (
	"context"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Columns of the records that a snapshot reads, in the order of the domain's fields. Each noun's own file uses them too.
const (
	patternColumns   = `id, version, weekday, from_minute, to_minute, helpers`
	exceptionColumns = `id, version, on_date, off, from_minute, to_minute, helpers, note`
	toolColumns      = `id, version, name, capacity, here_from, here_to, note, deleted_at`
	carColumns       = `id, version, name, role, make, model, year, vin, plate, engine, stands, immobile,
		arrives_low, arrives_likely, arrives_high, notes, deleted_at`
	roadNeedColumns = `id, version, car_id, why, starts_at, ends_at, weekdays, from_minute, to_minute, deleted_at`
	accessColumns   = `id, version, car_id, name, open_minutes, close_minutes, stays, is_open,
		array(select inside_id from access_inside i join access o on o.id = i.inside_id
			where i.access_id = access.id and o.deleted_at is null order by 1) as inside, deleted_at`
	closingColumns = `id, version, car_id, name, minutes, helpers, deleted_at`
	jobColumns     = `id, version, car_id, phase_id, kind, title, reason, weight, not_before, pinned_at, due, due_for,
		late_cost_per_day, late_cost, currency, notes, created_at, closed_at, closed_as, deleted_at`
	stageColumns = `id, version, job_id, position, name, kind, low, likely, high, lift, helpers, immobile,
		follows_at_once, done_at, actual_minutes, deleted_at,
		array(select tool_id from stage_tools t where t.stage_id = stages.id order by 1) as tools,
		array(select access_id from stage_access a where a.stage_id = stages.id order by 1) as access,
		array(select closing_id from stage_closing c where c.stage_id = stages.id order by 1) as closing`
	needColumns  = `id, version, stage_id, part_id, quantity, stops, note, side, least_grade, single_use, pinned_at, deleted_at`
	phaseColumns = `id, version, car_id, name, budget, currency, finish_on, deleted_at`
	partColumns  = `id, version, name, number, other_numbers, side, grade, unit, supplier, price, currency,
		lead_low, lead_likely, lead_high, notes, variant, deleted_at`
	binColumns     = `id, version, name, place, deleted_at`
	arrivalColumns = `id, version, part_id, quantity, low, likely, high, supplier, note, received_at, deleted_at,
		order_id, order_line_id, promised_on, estimated, return_id`
	donorPartColumns = `id, version, car_id, part_id, quantity, condition, note, harvest_job_id,
		removal_minutes, worth, taken_at, deleted_at,
		  (select count(*) from cores where donor_part_id = donor_parts.id and state = 'owed' and deleted_at is null)::int as for_cores`
)

// lentPartColumns are partColumns with the days from ordering of the supplier where a part says nothing of its own.
var lentPartColumns = func() string {
	columns := partColumns
	for _, lead := range []string{"lead_low", "lead_likely", "lead_high"} {
		columns = strings.Replace(columns, lead, `coalesce(`+lead+`, (select s.`+lead+` from suppliers s
			where lower(s.name) = lower(parts.supplier) and s.deleted_at is null)) as `+lead, 1)
	}
	return columns
}()

// ofKeptCars are the records that are kept themselves and on cars that are. Deleting a car leaves what hangs on it as it is, so
// that undoing it brings all of that back.
const ofKeptCars = `deleted_at is null and car_id in (select id from cars where deleted_at is null)`

// openStages are those still to be done of jobs that are open, on cars that are kept.
const openStages = `deleted_at is null and done_at is null and job_id in (
	select j.id from jobs j join cars c on c.id = j.car_id
	where j.deleted_at is null and j.closed_at is null and c.deleted_at is null)`

// tookQuery reads how long the last stages took of which the owner said so, newest first.
const tookQuery = `select job_id, j.kind, low, likely, high, actual_minutes as minutes, done_at
	from stages join jobs j on j.id = job_id
	where actual_minutes is not null and done_at is not null and stages.deleted_at is null and j.deleted_at is null
	order by done_at desc, stages.id desc limit 500`

// Snapshot reads all that a plan depends on at one moment.
func (s *Store) Snapshot(ctx context.Context) (garage.Snapshot, error) {
	var shot garage.Snapshot
	tx, err := s.db.Begin(ctx)
	if err != nil {
		return shot, err
	}
	defer tx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // only reads
	// Refused inside a transaction that has begun already.
	if s.db.fresh(ctx) {
		if _, err := tx.Exec(ctx, "set transaction isolation level repeatable read read only"); err != nil {
			return shot, err
		}
	}
	if shot.Version, err = garageVersion(ctx, tx); err != nil {
		return shot, err
	}
	if err := readPlans(ctx, tx, &shot); err != nil {
		return shot, err
	}
	shot.Settings, err = one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings`, args{})
	if err != nil {
		return shot, err
	}
	for _, read := range []func() error{
		into(ctx, tx, &shot.Patterns, `select `+patternColumns+` from session_patterns order by weekday, from_minute, id`),
		into(ctx, tx, &shot.Exceptions, `select `+exceptionColumns+` from session_exceptions order by on_date, from_minute, id`),
		into(ctx, tx, &shot.Tools, `select `+toolColumns+` from tools where deleted_at is null order by id`),
		into(ctx, tx, &shot.Cars, `select `+carColumns+` from cars where deleted_at is null order by id`),
		into(ctx, tx, &shot.RoadNeeds, `select `+roadNeedColumns+` from road_needs where `+ofKeptCars+` order by id`),
		into(ctx, tx, &shot.Access, `select `+accessColumns+` from access where `+ofKeptCars+` order by id`),
		into(ctx, tx, &shot.Closing, `select `+closingColumns+` from closing_work where `+ofKeptCars+` order by id`),
		into(ctx, tx, &shot.Jobs, `select `+jobColumns+` from jobs
			where `+ofKeptCars+` and closed_at is null order by id`),
		into(ctx, tx, &shot.After, `select job_id, after_id, gap_minutes from job_after
			where job_id in (select id from jobs where `+ofKeptCars+` and closed_at is null)
			and after_id in (select j.id from jobs j join cars c on c.id = j.car_id
				where j.deleted_at is null and c.deleted_at is null) order by job_id, after_id`),
		into(ctx, tx, &shot.Finished, `select id as job_id, coalesce(closed_at, done_at) as at from jobs
			left join lateral (select max(done_at) as done_at, bool_and(done_at is not null) as all_done
				from stages s where s.job_id = jobs.id and s.deleted_at is null) d on true
			where deleted_at is null and (d.all_done or closed_at is not null and id in (select after_id from job_after))
			order by id`),
		into(ctx, tx, &shot.Stages, `select `+stageColumns+` from stages where `+openStages+` order by job_id, position, id`),
		into(ctx, tx, &shot.Needs, `select `+needColumns+` from needs
			where deleted_at is null and stage_id in (select id from stages where `+openStages+`) order by id`),
		into(ctx, tx, &shot.Parts, `select `+lentPartColumns+` from parts where deleted_at is null order by id`),
		into(ctx, tx, &shot.Stock, stockRows+`where s.quantity > 0 order by s.part_id, s.bin_id, s.lot_id nulls first`),
		into(ctx, tx, &shot.Bins, `select `+binColumns+` from bins where deleted_at is null order by id`),
		into(ctx, tx, &shot.Arrivals, `select `+arrivalColumns+` from arrivals
			where deleted_at is null and received_at is null order by id`),
		into(ctx, tx, &shot.Cores, `select `+coreColumns+` from cores
			where deleted_at is null and state = 'owed' and basis_on is not null and job_id is not null order by id`),
		into(ctx, tx, &shot.DonorParts, `select `+donorPartColumns+` from donor_parts
			where `+ofKeptCars+` and taken_at is null order by id`),
		into(ctx, tx, &shot.Took, tookQuery),
		into(ctx, tx, &shot.Phases, `select `+phaseColumns+` from phases where `+ofKeptCars+` order by id`),
	} {
		if err := read(); err != nil {
			return shot, err
		}
	}
	return shot, nil
}

func into[T any](ctx context.Context, tx pgx.Tx, target *[]T, sql string) func() error {
	return func() (err error) {
		*target, err = list[T](ctx, tx, sql, args{})
		return err
	}
}

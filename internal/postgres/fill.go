package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// ErrNotEmpty says that a garage has cars, parts or jobs already.
var ErrNotEmpty = errors.New("the garage is not empty")

// Fill writes a whole garage into a database that holds none, in one transaction. ErrNotEmpty when there is one.
func (s *Store) Fill(ctx context.Context, r garage.Records) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		// The lock lets a second instance that starts at the same moment see the first one's garage.
		if _, err := tx.Exec(ctx, `lock table cars in share row exclusive mode`); err != nil {
			return err
		}
		var taken bool
		err := tx.QueryRow(ctx, `select exists (select from cars) or exists (select from parts) or exists (select from jobs)
			or exists (select from session_patterns) or exists (select from tools)`).Scan(&taken)
		if err != nil {
			return err
		}
		if taken {
			return ErrNotEmpty
		}
		if err := fillSettings(ctx, tx, r.Settings); err != nil {
			return err
		}
		for _, t := range fillTables(r) {
			if err := t.copyInto(ctx, tx); err != nil {
				return err
			}
		}
		for _, o := range r.Orders {
			if err := settleOrder(ctx, tx, o.ID); err != nil {
				return err
			}
		}
		return fillCardsInUse(ctx, tx, r)
	})
}

func fillSettings(ctx context.Context, tx pgx.Tx, v garage.Settings) error {
	current, err := one[garage.Settings](ctx, tx, `select `+settingsColumns+` from settings`, args{})
	if err != nil {
		return err
	}
	v.Version = current.Version
	return New(tx).UpdateSettings(ctx, v)
}

// fill is one table's share of a garage. counted tables number their rows themselves afterwards.
type fill struct {
	table   string
	counted bool
	columns []string
	rows    [][]any
}

func (f fill) copyInto(ctx context.Context, tx pgx.Tx) error {
	if len(f.rows) == 0 {
		return nil
	}
	if _, err := tx.CopyFrom(ctx, pgx.Identifier{f.table}, f.columns, pgx.CopyFromRows(f.rows)); err != nil {
		return fmt.Errorf("%s: %w", f.table, mapError(err))
	}
	if !f.counted {
		return nil
	}
	_, err := tx.Exec(ctx, `select setval(pg_get_serial_sequence($1, 'id'), (select max(id) from `+f.table+`))`, f.table)
	return err
}

// rowsOf lays records out as rows of a table.
func rowsOf[T any](table string, columns []string, records []T, row func(T) []any) fill {
	f := fill{table: table, counted: columns[0] == "id", columns: columns}
	for _, record := range records {
		f.rows = append(f.rows, row(record))
	}
	return f
}

// linksOf lays lists of ids held by records out as rows of a linking table.
func linksOf[T any, Own, Other ~int64](table string, columns []string, records []T, links func(T) (Own, []Other)) fill {
	f := fill{table: table, columns: columns}
	for _, record := range records {
		own, others := links(record)
		for _, other := range others {
			f.rows = append(f.rows, []any{int64(own), int64(other)})
		}
	}
	return f
}

// fillTables are in the order in which rows may refer to each other.
func fillTables(r garage.Records) []fill {
	return slices.Concat(fillCars(r), fillParts(r), fillOrders(r), fillLots(r), fillMovements(r), fillJobs(r), fillSpecs(r), fillPartLinks(r), fillCards(r), fillCores(r))
}

func fillSpecs(r garage.Records) []fill {
	return []fill{
		rowsOf("torque_specs", []string{
			"id", "car_id", "stage_id", "joint", "stages", "thread", "class", "condition", "bolts", "sequence", "single_use", "retorque",
			"source", "page", "checked_on", "note",
		}, r.Torque, func(s garage.TorqueSpec) []any {
			return []any{
				int64(s.ID), int64(s.CarID), (*int64)(s.StageID), s.Joint, s.Stages, s.Thread, s.Class, string(s.Condition), s.Bolts,
				s.Sequence, s.SingleUse, s.Retorque, s.Source, s.Page, s.CheckedOn, s.Note,
			}
		}),
		rowsOf("fluid_specs", []string{"id", "car_id", "kind", "name", "standard", "grade", "capacity_dry", "capacity_service", "every_distance", "every_months", "source", "page", "note"}, r.Fluids, func(v garage.FluidSpec) []any {
			return []any{int64(v.ID), int64(v.CarID), v.Kind, v.Name, v.Standard, v.Grade, v.CapacityDry, v.CapacityService, v.EveryDistance, v.EveryMonths, v.Source, v.Page, v.Note}
		}),
		rowsOf("bottles", []string{"id", "kind", "name", "standard", "grade", "opened_on", "volume_left", "keeps_months", "place", "note"}, r.Bottles, func(v garage.Bottle) []any {
			return []any{int64(v.ID), v.Kind, v.Name, v.Standard, v.Grade, v.OpenedOn, v.VolumeLeft, v.KeepsMonths, v.Place, v.Note}
		}),
		rowsOf("required_wheels", []string{"id", "car_id", "size", "load_index", "speed_symbol", "bolts", "circle", "bore", "seat", "source", "page"}, r.Required, func(v garage.RequiredWheel) []any {
			return []any{int64(v.ID), int64(v.CarID), v.Size, v.LoadIndex, v.SpeedSymbol, v.Bolts, v.Circle, v.Bore, v.Seat, v.Source, v.Page}
		}),
		rowsOf("wheel_sets", []string{"id", "car_id", "name", "tyre", "rim", "seat", "turns", "date_code", "tread", "place", "mounted", "note"}, r.WheelSets, func(v garage.WheelSet) []any {
			return []any{int64(v.ID), int64(v.CarID), v.Name, v.Tyre, v.Rim, v.Seat, v.Turns, v.DateCode, v.Tread, v.Place, v.Mounted, v.Note}
		}),
		rowsOf("wrenches", []string{
			"id", "name", "unit", "low", "high", "graduation", "accuracy", "length", "calibrated_on", "clicks", "note",
		}, r.Wrenches, func(w garage.Wrench) []any {
			return []any{
				int64(w.ID), w.Name, w.Unit, w.Low, w.High, w.Graduation, w.Accuracy, w.Length, w.CalibratedOn, w.Clicks, w.Note,
			}
		}),
	}
}

func fillCars(r garage.Records) []fill {
	return []fill{
		rowsOf("session_patterns", []string{"id", "weekday", "from_minute", "to_minute", "helpers"}, r.Patterns,
			func(p garage.SessionPattern) []any {
				return []any{int64(p.ID), p.Weekday, p.FromMinute, p.ToMinute, p.Helpers}
			}),
		rowsOf("session_exceptions", []string{"id", "on_date", "off", "from_minute", "to_minute", "helpers", "note"}, r.Exceptions,
			func(x garage.SessionException) []any {
				return []any{int64(x.ID), x.OnDate, x.Off, x.FromMinute, x.ToMinute, x.Helpers, x.Note}
			}),
		rowsOf("tools", []string{"id", "name", "capacity", "here_from", "here_to", "note"}, r.Tools, func(t garage.Tool) []any {
			return []any{int64(t.ID), t.Name, t.Capacity, t.HereFrom, t.HereTo, t.Note}
		}),
		rowsOf("cars", []string{
			"id", "name", "role", "make", "model", "year", "vin", "plate", "engine", "stands", "immobile",
			"arrives_low", "arrives_likely", "arrives_high", "notes",
		}, r.Cars, func(c garage.Car) []any {
			return []any{
				int64(c.ID), c.Name, string(c.Role), c.Make, c.Model, c.Year, c.VIN, c.Plate, c.Engine, string(c.Stands), c.Immobile,
				c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh, c.Notes,
			}
		}),
		rowsOf("odometer_segments", []string{"id", "car_id", "number", "unit", "offset_m", "reason"}, r.Segments,
			func(s garage.OdometerSegment) []any {
				return []any{int64(s.ID), int64(s.CarID), s.Number, s.Unit, s.OffsetM, s.Reason}
			}),
		rowsOf("odometer_readings", []string{"id", "segment_id", "read_on", "shown", "note"}, r.Readings,
			func(o garage.OdometerReading) []any {
				return []any{int64(o.ID), int64(o.SegmentID), o.ReadOn, o.Shown, o.Note}
			}),
		rowsOf("road_needs", []string{"id", "car_id", "why", "starts_at", "ends_at", "weekdays", "from_minute", "to_minute"}, r.RoadNeeds,
			func(n garage.RoadNeed) []any {
				return []any{int64(n.ID), int64(n.CarID), n.Why, n.StartsAt, n.EndsAt, n.Weekdays, n.FromMinute, n.ToMinute}
			}),
		rowsOf("access", []string{"id", "car_id", "name", "open_minutes", "close_minutes", "stays", "is_open"}, r.Access,
			func(a garage.Access) []any {
				return []any{int64(a.ID), int64(a.CarID), a.Name, a.OpenMinutes, a.CloseMinutes, a.Stays, a.IsOpen}
			}),
		linksOf("access_inside", []string{"access_id", "inside_id"}, r.Access,
			func(a garage.Access) (garage.AccessID, []garage.AccessID) { return a.ID, a.Inside }),
		rowsOf("closing_work", []string{"id", "car_id", "name", "minutes", "helpers"}, r.Closing, func(c garage.ClosingWork) []any {
			return []any{int64(c.ID), int64(c.CarID), c.Name, c.Minutes, c.Helpers}
		}),
	}
}

func fillParts(r garage.Records) []fill {
	return []fill{
		rowsOf("bins", []string{"id", "name", "place"}, r.Bins, func(b garage.Bin) []any {
			return []any{int64(b.ID), b.Name, b.Place}
		}),
		rowsOf("parts", []string{
			"id", "name", "number", "other_numbers", "side", "grade", "unit", "supplier", "price", "currency",
			"lead_low", "lead_likely", "lead_high", "notes", "variant",
		}, r.Parts, func(p garage.Part) []any {
			return []any{
				int64(p.ID), p.Name, p.Number, p.OtherNumbers, p.Side, p.Grade, p.Unit, p.Supplier, p.Price, p.Currency,
				p.LeadLow, p.LeadLikely, p.LeadHigh, p.Notes, p.Variant,
			}
		}),
	}
}

func fillMovements(r garage.Records) []fill {
	return []fill{
		rowsOf("stock_movements", []string{"id", "part_id", "bin_id", "lot_id", "quantity", "kind", "note", "arrival_id"}, r.Movements,
			func(m garage.Movement) []any {
				return []any{int64(m.ID), int64(m.PartID), int64(m.BinID), (*int64)(m.LotID), m.Quantity, m.Kind, m.Note, (*int64)(m.ArrivalID)}
			}),
	}
}

func fillJobs(r garage.Records) []fill {
	return []fill{
		rowsOf("phases", []string{"id", "car_id", "name", "budget", "currency", "finish_on"}, r.Phases, func(p garage.Phase) []any {
			return []any{int64(p.ID), int64(p.CarID), p.Name, p.Budget, p.Currency, p.FinishOn}
		}),
		rowsOf("jobs", []string{
			"id", "car_id", "phase_id", "kind", "title", "reason", "weight", "not_before", "pinned_at", "due", "due_for",
			"late_cost_per_day", "late_cost", "currency", "notes", "closed_at",
		}, slices.Concat(r.Jobs, r.DoneJobs), func(j garage.Job) []any {
			return []any{
				int64(j.ID), int64(j.CarID), (*int64)(j.PhaseID), string(j.Kind), j.Title, j.Reason, j.Weight, j.NotBefore, j.PinnedAt,
				j.Due, j.DueFor, j.LateCostPerDay, j.LateCost, j.Currency, j.Notes, j.ClosedAt,
			}
		}),
		rowsOf("job_after", []string{"job_id", "after_id", "gap_minutes"}, r.After, func(a garage.After) []any {
			return []any{int64(a.JobID), int64(a.AfterID), a.GapMinutes}
		}),
		rowsOf("stages", []string{
			"id", "job_id", "position", "name", "kind", "low", "likely", "high", "lift", "helpers", "immobile", "follows_at_once",
			"done_at", "actual_minutes",
		}, slices.Concat(r.Stages, r.DoneStages), func(s garage.Stage) []any {
			return []any{
				int64(s.ID), int64(s.JobID), s.Position, s.Name, string(s.Kind), s.Low, s.Likely, s.High, s.Lift, s.Helpers, s.Immobile,
				s.FollowsAtOnce, s.DoneAt, s.ActualMinutes,
			}
		}),
		linksOf("stage_tools", []string{"stage_id", "tool_id"}, r.Stages,
			func(s garage.Stage) (garage.StageID, []garage.ToolID) { return s.ID, s.Tools }),
		linksOf("stage_access", []string{"stage_id", "access_id"}, r.Stages,
			func(s garage.Stage) (garage.StageID, []garage.AccessID) { return s.ID, s.Access }),
		linksOf("stage_closing", []string{"stage_id", "closing_id"}, r.Stages,
			func(s garage.Stage) (garage.StageID, []garage.ClosingID) { return s.ID, s.Closing }),
		rowsOf("needs", []string{"id", "stage_id", "part_id", "quantity", "stops", "note", "side", "least_grade", "single_use"}, r.Needs, func(n garage.Need) []any {
			return []any{int64(n.ID), int64(n.StageID), int64(n.PartID), n.Quantity, n.Stops, n.Note, n.Side, n.LeastGrade, n.SingleUse}
		}),
		rowsOf("donor_parts", []string{"id", "car_id", "part_id", "quantity", "condition", "note", "harvest_job_id", "removal_minutes", "worth"}, r.DonorParts,
			func(d garage.DonorPart) []any {
				return []any{int64(d.ID), int64(d.CarID), int64(d.PartID), d.Quantity, d.Condition, d.Note, (*int64)(d.HarvestJobID), d.RemovalMinutes, d.Worth}
			}),
	}
}

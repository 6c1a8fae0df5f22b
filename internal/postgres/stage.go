package postgres

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Stages lists the stages of a job in their order.
func (s *Store) Stages(ctx context.Context, job garage.JobID) ([]garage.Stage, error) {
	return jobStages(ctx, s.db, job)
}

func jobStages(ctx context.Context, db DBTX, job garage.JobID) ([]garage.Stage, error) {
	return list[garage.Stage](ctx, db, `
		select `+stageColumns+` from stages where job_id = @job and deleted_at is null order by position, id`, args{"job": job})
}

// Stage is one stage. garage.ErrNotFound when there is none, or it or its job was deleted.
func (s *Store) Stage(ctx context.Context, id garage.StageID) (garage.Stage, error) {
	return stageByID(ctx, s.db, id)
}

func stageByID(ctx context.Context, db DBTX, id garage.StageID) (garage.Stage, error) {
	stage, err := one[garage.Stage](ctx, db, `
		select `+stageColumns+` from stages
		where id = @id and deleted_at is null and job_id in (select id from jobs where deleted_at is null)`, args{"id": id})
	if err != nil {
		return stage, fmt.Errorf("stage %d: %w", id, err)
	}
	return stage, nil
}

// openStage reads a stage for a change, and keeps others from changing its job meanwhile. *garage.InvalidError when it is
// done or its job closed: both are a record of what was.
func openStage(ctx context.Context, tx pgx.Tx, id garage.StageID) (garage.Stage, error) {
	stage, err := stageByID(ctx, tx, id)
	if err != nil {
		return stage, err
	}
	if _, err := openJob(ctx, tx, stage.JobID); err != nil {
		return stage, err
	}
	// Read again now that the job is held: it may have been done while this waited.
	if stage, err = stageByID(ctx, tx, id); err != nil {
		return stage, err
	}
	if stage.DoneAt != nil {
		return stage, garage.FieldErrors{"": "This stage is done. Undo that first."}.Err()
	}
	return stage, nil
}

// CreateStage adds a stage at the end of a job. *garage.InvalidError for what does not hold, garage.ErrNotFound when the
// job is gone.
func (s *Store) CreateStage(ctx context.Context, stage garage.Stage) (garage.StageID, error) {
	var id garage.StageID
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		job, err := openJob(ctx, tx, stage.JobID)
		if err != nil {
			return err
		}
		id, err = insertStage(ctx, tx, job.CarID, stage)
		return err
	})
	return id, err
}

func insertStage(ctx context.Context, tx pgx.Tx, car garage.CarID, stage garage.Stage) (garage.StageID, error) {
	if err := stage.Validate(); err != nil {
		return 0, err
	}
	a := stageArgs(stage)
	a["job_id"] = stage.JobID
	id, err := insert[garage.StageID](ctx, tx, `
		insert into stages (job_id, position, name, kind, low, likely, high, lift, helpers, immobile, follows_at_once)
		values (@job_id, (select coalesce(max(position), 0) + 1 from stages where job_id = @job_id),
		  @name, @kind, @low, @likely, @high, @lift, @helpers, @immobile, @follows_at_once)
		returning id`, a)
	if err != nil {
		return 0, err
	}
	stage.ID = id
	return id, replaceStageLists(ctx, tx, car, stage)
}

func stageArgs(stage garage.Stage) args {
	return args{
		"name": stage.Name, "kind": string(stage.Kind), "low": stage.Low, "likely": stage.Likely, "high": stage.High,
		"lift": stage.Lift, "helpers": stage.Helpers, "immobile": stage.Immobile, "follows_at_once": stage.FollowsAtOnce,
	}
}

// UpdateStage saves a stage; it stays in its job and place. *garage.InvalidError for what does not hold, also when it is
// done; garage.ErrConflict for an old version; garage.ErrNotFound.
func (s *Store) UpdateStage(ctx context.Context, stage garage.Stage) error {
	if err := stage.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := openStage(ctx, tx, stage.ID)
		if err != nil {
			return err
		}
		a := stageArgs(stage)
		a["id"], a["version"] = stage.ID, stage.Version
		err = update(ctx, tx, "stages", `
			update stages set
			  version = version + 1,
			  name = @name,
			  kind = @kind,
			  low = @low,
			  likely = @likely,
			  high = @high,
			  lift = @lift,
			  helpers = @helpers,
			  immobile = @immobile,
			  follows_at_once = @follows_at_once
			where id = @id and version = @version`, a)
		if err != nil {
			return fmt.Errorf("stage %d: %w", stage.ID, err)
		}
		var car garage.CarID
		if err := tx.QueryRow(ctx, "select car_id from jobs where id = $1", was.JobID).Scan(&car); err != nil {
			return err
		}
		return replaceStageLists(ctx, tx, car, stage)
	})
}

// replaceStageLists sets which tools, access and closing work a stage calls for.
func replaceStageLists(ctx context.Context, tx pgx.Tx, car garage.CarID, stage garage.Stage) error {
	for _, l := range []struct {
		field, table, column, from, where, gone string
		ids                                     any
		want                                    int
	}{
		{"tools", "stage_tools", "tool_id", "tools", "", "One of the tools is not there any more.", stage.Tools, len(stage.Tools)},
		{
			"access", "stage_access", "access_id", "access", " and car_id = @car", "One of them is not an access of this car.",
			stage.Access, len(stage.Access),
		},
		{
			"closing", "stage_closing", "closing_id", "closing_work", " and car_id = @car",
			"One of them is not closing work of this car.", stage.Closing, len(stage.Closing),
		},
	} {
		a := args{"stage": stage.ID}
		if _, err := tx.Exec(ctx, "delete from "+l.table+" where stage_id = @stage", a); err != nil {
			return err
		}
		if l.want == 0 {
			continue
		}
		a["ids"] = l.ids
		if l.where != "" {
			a["car"] = car
		}
		tag, err := tx.Exec(ctx, "insert into "+l.table+" (stage_id, "+l.column+") select @stage, id from "+l.from+
			" where id = any(@ids)"+l.where, a)
		switch {
		case err != nil:
			return err
		case int(tag.RowsAffected()) != l.want:
			return garage.FieldErrors{l.field: l.gone}.Err()
		}
	}
	return nil
}

// MoveStage puts a stage one place up or down in its job; at the end of the row it stays. *garage.InvalidError when the
// job is closed, garage.ErrNotFound.
func (s *Store) MoveStage(ctx context.Context, id garage.StageID, up bool) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stage, err := stageByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if _, err := openJob(ctx, tx, stage.JobID); err != nil {
			return err
		}
		stages, err := jobStages(ctx, tx, stage.JobID)
		if err != nil {
			return err
		}
		for i, s := range stages {
			if s.ID != id {
				continue
			}
			other := i + 1
			if up {
				other = i - 1
			}
			if other < 0 || other >= len(stages) {
				return nil
			}
			stages[i], stages[other] = stages[other], stages[i]
			break
		}
		return renumber(ctx, tx, stages)
	})
}

// renumber numbers stages from 1 in the order given; versions stay, since nobody types a place.
func renumber(ctx context.Context, tx pgx.Tx, stages []garage.Stage) error {
	ids := make([]garage.StageID, len(stages))
	for i, s := range stages {
		ids[i] = s.ID
	}
	_, err := tx.Exec(ctx, `
		update stages set position = o.position
		from unnest(@ids::bigint[]) with ordinality o (id, position)
		where stages.id = o.id and stages.position <> o.position`, args{"ids": ids})
	return err
}

// DeleteStage deletes a stage. *garage.InvalidError when it is done or its job closed, garage.ErrNotFound.
func (s *Store) DeleteStage(ctx context.Context, id garage.StageID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openStage(ctx, tx, id); err != nil {
			return err
		}
		return New(tx).setDeleted(ctx, "stages", int64(id), true)
	})
}

// RestoreStage undoes DeleteStage and answers with its job. garage.ErrNotFound when there is no such deleted stage.
func (s *Store) RestoreStage(ctx context.Context, id garage.StageID) (garage.JobID, error) {
	var job garage.JobID
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		if err := New(tx).setDeleted(ctx, "stages", int64(id), false); err != nil {
			return err
		}
		return tx.QueryRow(ctx, "select job_id from stages where id = $1", id).Scan(&job)
	})
	return job, err
}

// FinishStage marks a stage done: what its needs call for leaves the bins, fullest first, and the car becomes immobile or
// rolls again. Where the bins hold too little it does nothing and says what is short, unless it may go ahead without: then
// what is there is used. took is how long it took at the bench, nil where nobody said. garage.ErrConflict when it is done already, *garage.InvalidError when the job is closed,
// garage.ErrNotFound.
func (s *Store) FinishStage(
	ctx context.Context, id garage.StageID, without bool, took *int, now time.Time,
) ([]garage.Short, error) {
	var short []garage.Short
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		stage, err := stageByID(ctx, tx, id)
		if err != nil {
			return err
		}
		job, err := openJob(ctx, tx, stage.JobID)
		if err != nil {
			return err
		}
		if stage, err = stageByID(ctx, tx, id); err != nil {
			return err
		}
		if stage.DoneAt != nil {
			return fmt.Errorf("stage %d is done already: %w", id, garage.ErrConflict)
		}
		uses, missing, err := stageUses(ctx, tx, job.ID, id)
		if short = missing; err != nil || len(short) > 0 && !without {
			return err
		}
		if err := useStock(ctx, tx, job.ID, id, uses); err != nil {
			return err
		}
		if err := noteFitted(ctx, tx, job.CarID, id, uses, now); err != nil {
			return err
		}
		if err := markDone(ctx, tx, job.CarID, stage, now); err != nil {
			return err
		}
		return setTook(ctx, tx, stage, took)
	})
	return short, err
}

// Took lists how long the last stages took of which the owner said so, newest first.
func (s *Store) Took(ctx context.Context) ([]garage.Took, error) {
	return list[garage.Took](ctx, s.db, tookQuery, args{})
}

// TookStage says how long a stage took that is done, or with nil that nobody knows. *garage.InvalidError for a figure out of
// reach and for what is not work at the bench; garage.ErrConflict when it is not done, garage.ErrNotFound.
func (s *Store) TookStage(ctx context.Context, id garage.StageID, took *int) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stage, err := stageByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if stage.DoneAt == nil {
			return fmt.Errorf("stage %d is not done: %w", id, garage.ErrConflict)
		}
		return setTook(ctx, tx, stage, took)
	})
}

func setTook(ctx context.Context, tx pgx.Tx, stage garage.Stage, took *int) error {
	if took != nil && stage.Kind != garage.Bench {
		return garage.FieldErrors{"took": "Only work at the bench takes your time."}.Err()
	}
	_, err := tx.Exec(ctx, `update stages set version = version + 1, actual_minutes = @took where id = @id`,
		args{"took": took, "id": stage.ID})
	return err
}

// stageUses reads which stock a stage takes out of which bin, and what is short: pieces that are bad, of too low a grade or kept
// for another job it leaves. The parts are held until the transaction ends, in one order, so that two stages cannot take the
// same piece.
func stageUses(ctx context.Context, tx pgx.Tx, job garage.JobID, id garage.StageID) (uses []garage.Stock, short []garage.Short, err error) {
	needs, err := list[garage.Need](ctx, tx, `
		select `+needColumns+` from needs where stage_id = @id and deleted_at is null order by part_id, id`, args{"id": id})
	if err != nil {
		return nil, nil, err
	}
	for part, needs := range needsByPart(needs) {
		u, missing, err := partUses(ctx, tx, job, part, needs)
		if err != nil {
			return nil, nil, err
		}
		uses = append(uses, u...)
		if missing != nil {
			short = append(short, *missing)
		}
	}
	return uses, short, nil
}

// needsByPart goes through needs that are in order of their parts, a part at a time.
func needsByPart(needs []garage.Need) iter.Seq2[garage.PartID, []garage.Need] {
	return func(yield func(garage.PartID, []garage.Need) bool) {
		for len(needs) > 0 {
			n := 1
			for n < len(needs) && needs[n].PartID == needs[0].PartID {
				n++
			}
			if !yield(needs[0].PartID, needs[:n]) {
				return
			}
			needs = needs[n:]
		}
	}
}

// partUses is what needs of one part take, the strictest first, and what is short of it.
func partUses(
	ctx context.Context, tx pgx.Tx, job garage.JobID, partID garage.PartID, needs []garage.Need,
) (uses []garage.Stock, short *garage.Short, err error) {
	p, err := one[garage.Part](ctx, tx, `select `+partColumns+` from parts where id = @id for no key update`, args{"id": partID})
	if err != nil {
		return nil, nil, err
	}
	stock, err := stockOfPart(ctx, tx, partID)
	if err != nil {
		return nil, nil, err
	}
	all, err := kept(ctx, tx, partID)
	if err != nil {
		return nil, nil, err
	}
	others := slices.DeleteFunc(all, func(k garage.Kept) bool { return k.JobID == job })
	free, _ := garage.KeepFor(stock, others)
	var mine []garage.Kept
	wanted := 0
	for _, n := range needs {
		mine = append(mine, garage.Kept{Need: n})
		wanted += n.Quantity
	}
	onHand := 0
	for _, s := range free {
		if s.Condition != garage.Bad {
			onHand += s.Quantity
		}
	}
	left, missing := garage.KeepFor(free, mine)
	for i, s := range free {
		if s.Quantity -= left[i].Quantity; s.Quantity > 0 {
			uses = append(uses, s)
		}
	}
	if len(missing) > 0 {
		short = &garage.Short{PartID: partID, PartName: p.Name, Unit: p.Unit, Wanted: wanted, OnHand: onHand}
	}
	return uses, short, nil
}

func useStock(ctx context.Context, tx pgx.Tx, job garage.JobID, stage garage.StageID, uses []garage.Stock) error {
	for _, use := range uses {
		_, err := insertMovement(ctx, tx, garage.Movement{
			PartID: use.PartID, BinID: use.BinID, LotID: use.LotID, Quantity: -use.Quantity, Kind: "used", JobID: &job, StageID: &stage,
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// markDone notes when, and whether the car was immobile, before it sets whether it is. A car immobile only during the
// stage is as it was before.
func markDone(ctx context.Context, tx pgx.Tx, car garage.CarID, stage garage.Stage, now time.Time) error {
	_, err := tx.Exec(ctx, `
		update stages set
		  version = version + 1,
		  done_at = @now,
		  immobile_before = (select immobile from cars where id = @car for update)
		where id = @id`, args{"now": now, "car": car, "id": stage.ID})
	if err != nil || stage.Immobile != "from" && stage.Immobile != "until" {
		return err
	}
	return setImmobile(ctx, tx, car, stage.Immobile == "from")
}

func setImmobile(ctx context.Context, tx pgx.Tx, car garage.CarID, immobile bool) error {
	_, err := tx.Exec(ctx, `
		update cars set version = version + 1, immobile = @immobile where id = @car and immobile <> @immobile`,
		args{"car": car, "immobile": immobile})
	return err
}

// UnfinishStage undoes FinishStage: what was used is back in its bins, by rows that reverse, and the car is as it was,
// unless a later stage changed whether it rolls. garage.ErrConflict when the stage is not done, *garage.InvalidError when
// the job is closed, garage.ErrNotFound.
func (s *Store) UnfinishStage(ctx context.Context, id garage.StageID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		stage, err := stageByID(ctx, tx, id)
		if err != nil {
			return err
		}
		job, err := openJob(ctx, tx, stage.JobID)
		if err != nil {
			return err
		}
		if stage, err = stageByID(ctx, tx, id); err != nil {
			return err
		}
		if stage.DoneAt == nil {
			return fmt.Errorf("stage %d is not done: %w", id, garage.ErrConflict)
		}
		_, err = tx.Exec(ctx, `
			insert into stock_movements (part_id, bin_id, lot_id, quantity, kind, job_id, stage_id, reverses)
			select part_id, bin_id, lot_id, -quantity, 'reversed', job_id, stage_id, id
			from stock_movements m
			where stage_id = @id and kind = 'used' and not exists (select from stock_movements r where r.reverses = m.id)
			order by part_id, bin_id`, args{"id": id})
		if err != nil {
			return err
		}
		if err := forgetFitted(ctx, tx, id); err != nil {
			return err
		}
		if err := rollBack(ctx, tx, job.CarID, stage); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update stages set version = version + 1, done_at = null, immobile_before = null,
			  actual_minutes = null where id = @id`, args{"id": id})
		return err
	})
}

// rollBack puts back whether the car was immobile before the stage.
func rollBack(ctx context.Context, tx pgx.Tx, car garage.CarID, stage garage.Stage) error {
	if stage.Immobile != "from" && stage.Immobile != "until" {
		return nil
	}
	var before, last bool
	err := tx.QueryRow(ctx, `
		select
		  coalesce(immobile_before, false),
		  not exists (
		    select from stages l join jobs j on j.id = l.job_id
		    where j.car_id = @car and l.immobile in ('from', 'until') and l.done_at > stages.done_at)
		from stages where id = @id`, args{"car": car, "id": stage.ID}).Scan(&before, &last)
	if err != nil || !last {
		return err
	}
	return setImmobile(ctx, tx, car, before)
}

package postgres

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const stepColumns = `id, version, stage_id, position, kind, text, side, figure, limit_low, limit_high, limit_unit, condition,
	source, page, torque_spec_id, fluid_spec_id, part_id, quantity, cautions, caution_own, critical, pause_after,
	wrench_id, extension, extension_angle, revision, changed, deleted_at`

// Step is one step. garage.ErrNotFound when there is none, or it, its stage or its job was deleted.
func (s *Store) Step(ctx context.Context, id garage.StepID) (garage.Step, error) {
	step, err := stepByID(ctx, s.db, id)
	if err == nil && step.DeletedAt != nil {
		err = fmt.Errorf("step %d: %w", id, garage.ErrNotFound)
	}
	return step, err
}

// stepByID reads a step, also one that was taken off its card.
func stepByID(ctx context.Context, db DBTX, id garage.StepID) (garage.Step, error) {
	step, err := one[garage.Step](ctx, db, `
		select `+stepColumns+` from steps
		where id = @id and stage_id in (select g.id from stages g join jobs j on j.id = g.job_id
		  where g.deleted_at is null and j.deleted_at is null)`, args{"id": id})
	if err != nil {
		return step, fmt.Errorf("step %d: %w", id, err)
	}
	return step, nil
}

// JobOfStep is the job whose card a step is on.
func (s *Store) JobOfStep(ctx context.Context, id garage.StepID) (garage.JobID, error) {
	var job garage.JobID
	err := s.db.QueryRow(ctx, `select g.job_id from steps s join stages g on g.id = s.stage_id where s.id = $1`, id).Scan(&job)
	return job, mapError(err)
}

// cardEdit is a change of a card: the stage, held against others, and the revision that the change makes.
type cardEdit struct {
	tx       pgx.Tx
	stage    garage.Stage
	revision int
	inUse    bool // changes are marked
}

// editCard begins a change to the card of a stage's job. A card that was ticked since its last change gets a new revision.
// *garage.InvalidError when the job is closed or the stage is no work at the bench; garage.ErrNotFound.
func editCard(ctx context.Context, tx pgx.Tx, id garage.StageID) (cardEdit, error) {
	edit := cardEdit{tx: tx}
	stage, err := stageByID(ctx, tx, id)
	if err != nil {
		return edit, err
	}
	if _, err := openJob(ctx, tx, stage.JobID); err != nil {
		return edit, err
	}
	if stage.Kind != garage.Bench {
		return edit, garage.FieldErrors{"stage": "Only work at the bench has steps."}.Err()
	}
	edit.stage = stage
	err = tx.QueryRow(ctx, `
		with ticked as (
		  select exists (select from step_marks m where m.job_id = jobs.id and m.revision = jobs.card_revision) as now
		  from jobs where id = $1
		), raised as (
		  update jobs set card_revision = card_revision + 1 where id = $1 and (select now from ticked)
		  returning card_revision
		)
		select coalesce((select card_revision from raised), card_revision), card_in_use_at is not null from jobs where id = $1`,
		stage.JobID).Scan(&edit.revision, &edit.inUse)
	return edit, err
}

// changed is what is noted of a change: nothing while the card was never ticked.
func (e cardEdit) changed(how string) string {
	if !e.inUse {
		return ""
	}
	return how
}

func stepArgs(v garage.Step) args {
	cautions := make([]string, len(v.Cautions))
	for i, c := range v.Cautions {
		cautions[i] = string(c)
	}
	return args{
		"kind": string(v.Kind), "text": strings.TrimSpace(v.Text), "side": v.Side, "figure": v.Figure, "limit_low": v.LimitLow,
		"limit_high": v.LimitHigh, "limit_unit": v.LimitUnit, "condition": string(v.Condition), "source": v.Source, "page": v.Page,
		"torque_spec_id": v.TorqueSpecID, "fluid_spec_id": v.FluidSpecID, "part_id": v.PartID, "quantity": v.Quantity,
		"cautions": cautions, "caution_own": v.CautionOwn, "critical": v.Critical, "pause_after": v.PauseAfter,
	}
}

// AddSteps adds steps to a stage, behind the step that after names, at the end for 0, at the start for -1. Fasteners used
// once become needs. *garage.InvalidError for what does not hold; garage.ErrNotFound.
func (s *Store) AddSteps(ctx context.Context, stage garage.StageID, after garage.StepID, steps []garage.Step) ([]garage.StepID, error) {
	var ids []garage.StepID
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		edit, err := editCard(ctx, tx, stage)
		if err != nil {
			return err
		}
		ids, err = edit.add(ctx, after, steps)
		return err
	})
	return ids, err
}

// maxSteps is more than a card is worked with.
const maxSteps = 500

func (e cardEdit) add(ctx context.Context, after garage.StepID, steps []garage.Step) ([]garage.StepID, error) {
	order, err := e.order(ctx)
	if err != nil {
		return nil, err
	}
	place := len(order)
	if after == -1 {
		place = 0
	} else if i := slices.Index(order, after); i >= 0 {
		place = i + 1
	}
	if len(order)+len(steps) > maxSteps {
		return nil, garage.FieldErrors{"lines": "A stage has 500 steps at most. Split it into stages."}.Err()
	}
	var ids []garage.StepID
	for _, step := range steps {
		if err := step.Validate(); err != nil {
			return nil, err
		}
		a := stepArgs(step)
		a["stage"], a["revision"], a["changed"] = e.stage.ID, e.revision, e.changed(garage.StepNew)
		id, err := insert[garage.StepID](ctx, e.tx, `
			insert into steps (stage_id, position, kind, text, side, figure, limit_low, limit_high, limit_unit, condition, source, page,
			  torque_spec_id, fluid_spec_id, part_id, quantity, cautions, caution_own, critical, pause_after, revision, changed)
			values (@stage, 0, @kind, @text, @side, @figure, @limit_low, @limit_high, @limit_unit, @condition, @source, @page,
			  @torque_spec_id, @fluid_spec_id, @part_id, @quantity, @cautions, @caution_own, @critical, @pause_after, @revision, @changed)
			returning id`, a)
		if err != nil {
			return nil, err
		}
		ids = append(ids, id)
		step.ID, step.StageID = id, e.stage.ID
		if err := needRemoved(ctx, e.tx, e.stage.JobID, step); err != nil {
			return nil, err
		}
	}
	return ids, e.renumber(ctx, slices.Insert(order, place, ids...))
}

// order are the steps of the stage as they follow each other.
func (e cardEdit) order(ctx context.Context) ([]garage.StepID, error) {
	rows, err := e.tx.Query(ctx, `select id from steps where stage_id = $1 and deleted_at is null order by position, id`, e.stage.ID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[garage.StepID])
}

func (e cardEdit) renumber(ctx context.Context, order []garage.StepID) error {
	_, err := e.tx.Exec(ctx, `
		update steps set position = o.position
		from unnest(@ids::bigint[]) with ordinality o (id, position)
		where steps.id = o.id and steps.position <> o.position`, args{"ids": order})
	return err
}

// needRemoved makes a need of the fasteners that a step takes off and that are used once, as far as the job's needs do not
// cover them yet. They are wanted at the last bench stage that is still to be done: there they go on again.
func needRemoved(ctx context.Context, tx pgx.Tx, job garage.JobID, step garage.Step) error {
	if step.Kind != garage.RemoveStep || step.PartID == nil {
		return nil
	}
	if err := holdPart(ctx, tx, *step.PartID); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `
		with wanted as (
		  select coalesce(sum(s.quantity), 0) as quantity from steps s join stages g on g.id = s.stage_id
		  where g.job_id = @job and g.deleted_at is null and s.deleted_at is null and s.kind = 'remove' and s.part_id = @part
		), covered as (
		  select coalesce(sum(n.quantity), 0) as quantity from needs n join stages g on g.id = n.stage_id
		  where g.job_id = @job and g.deleted_at is null and n.deleted_at is null and n.part_id = @part
		), fitted as (
		  select id from stages where job_id = @job and deleted_at is null and kind = 'bench' and done_at is null
		  order by position desc, id desc limit 1
		)
		insert into needs (stage_id, part_id, quantity, stops, note, step_id)
		select fitted.id, @part, wanted.quantity - covered.quantity, true, 'used once: new each time', @step
		from wanted, covered, fitted where wanted.quantity > covered.quantity`,
		args{"job": job, "part": *step.PartID, "step": step.ID})
	return err
}

// dropNeed deletes the need that a step made, unless what it calls for was used already.
func dropNeed(ctx context.Context, tx pgx.Tx, step garage.StepID) error {
	_, err := tx.Exec(ctx, `
		update needs set deleted_at = now(), version = version + 1
		where step_id = $1 and deleted_at is null and stage_id in (select id from stages where done_at is null)`, step)
	return err
}

// UpdateStep saves a step; it stays in its stage and place. *garage.InvalidError for what does not hold, garage.ErrConflict
// for an old version, garage.ErrNotFound.
func (s *Store) UpdateStep(ctx context.Context, step garage.Step) error {
	if err := step.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		was, err := New(tx).Step(ctx, step.ID)
		if err != nil {
			return err
		}
		edit, err := editCard(ctx, tx, was.StageID)
		if err != nil {
			return err
		}
		how := edit.changed(garage.StepChanged)
		if was.Changed == garage.StepNew && was.Revision == edit.revision {
			how = garage.StepNew
		}
		a := stepArgs(step)
		a["id"], a["version"], a["revision"], a["changed"] = step.ID, step.Version, edit.revision, how
		err = update(ctx, tx, "steps", `
			update steps set
			  version = version + 1,
			  kind = @kind,
			  text = @text,
			  side = @side,
			  figure = @figure,
			  limit_low = @limit_low,
			  limit_high = @limit_high,
			  limit_unit = @limit_unit,
			  condition = @condition,
			  source = @source,
			  page = @page,
			  torque_spec_id = @torque_spec_id,
			  fluid_spec_id = @fluid_spec_id,
			  part_id = @part_id,
			  quantity = @quantity,
			  cautions = @cautions,
			  caution_own = @caution_own,
			  critical = @critical,
			  pause_after = @pause_after,
			  revision = @revision,
			  changed = @changed
			where id = @id and version = @version`, a)
		if err != nil {
			return fmt.Errorf("step %d: %w", step.ID, err)
		}
		if err := dropNeed(ctx, tx, step.ID); err != nil {
			return err
		}
		return needRemoved(ctx, tx, edit.stage.JobID, step)
	})
}

// MoveStep puts a step to a place in its stage, counted from 1. *garage.InvalidError when the job is closed,
// garage.ErrNotFound.
func (s *Store) MoveStep(ctx context.Context, id garage.StepID, place int) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		step, err := New(tx).Step(ctx, id)
		if err != nil {
			return err
		}
		edit, err := editCard(ctx, tx, step.StageID)
		if err != nil {
			return err
		}
		order, err := edit.order(ctx)
		if err != nil {
			return err
		}
		from := slices.Index(order, id)
		to := max(0, min(place-1, len(order)-1))
		if from < 0 || from == to {
			return nil
		}
		if err := edit.renumber(ctx, slices.Insert(slices.Delete(order, from, from+1), to, id)); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update steps set version = version + 1, revision = @revision,
			  changed = case when @changed = '' or changed in ('new', 'changed') and revision = @revision then changed else @changed end
			where id = @id`, args{"id": id, "revision": edit.revision, "changed": edit.changed(garage.StepMoved)})
		return err
	})
}

// DeleteStep takes a step off its card; what was ticked there is kept. *garage.InvalidError when the job is closed,
// garage.ErrNotFound.
func (s *Store) DeleteStep(ctx context.Context, id garage.StepID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		step, err := New(tx).Step(ctx, id)
		if err != nil {
			return err
		}
		edit, err := editCard(ctx, tx, step.StageID)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update steps set version = version + 1, revision = @revision, changed = @changed, deleted_at = now() where id = @id`,
			args{"id": id, "revision": edit.revision, "changed": edit.changed(garage.StepGone)})
		if err != nil {
			return err
		}
		return dropNeed(ctx, tx, id)
	})
}

// RestoreStep undoes DeleteStep. *garage.InvalidError when the job is closed; garage.ErrNotFound when there is no such
// deleted step.
func (s *Store) RestoreStep(ctx context.Context, id garage.StepID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		step, err := stepByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if step.DeletedAt == nil {
			return fmt.Errorf("step %d is on its card: %w", id, garage.ErrNotFound)
		}
		edit, err := editCard(ctx, tx, step.StageID)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			update steps set version = version + 1, revision = @revision, changed = @changed, deleted_at = null where id = @id`,
			args{"id": id, "revision": edit.revision, "changed": edit.changed(garage.StepChanged)})
		if err != nil {
			return err
		}
		return needRemoved(ctx, tx, edit.stage.JobID, step)
	})
}

// ChooseWrench keeps which wrench and extension the owner takes for a step; the card's revision stays. garage.ErrNotFound.
func (s *Store) ChooseWrench(ctx context.Context, id garage.StepID, wrench *garage.WrenchID, extension, angle string) error {
	tag, err := s.db.Exec(ctx, `
		update steps set version = version + 1, wrench_id = @wrench, extension = @extension, extension_angle = @angle
		where id = @id and deleted_at is null`, args{"id": id, "wrench": wrench, "extension": extension, "angle": angle})
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 0 {
		return fmt.Errorf("step %d: %w", id, garage.ErrNotFound)
	}
	return nil
}

// WriteFigure writes down the figure that a step waited for, and where it is printed; the card's revision stays.
// *garage.InvalidError for what does not hold, garage.ErrNotFound.
func (s *Store) WriteFigure(ctx context.Context, id garage.StepID, figure, source, page string) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		step, err := New(tx).Step(ctx, id)
		if err != nil {
			return err
		}
		step.Figure, step.Source, step.Page = figure, source, page
		if err := step.Validate(); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `update steps set version = version + 1, figure = $2, source = $3, page = $4 where id = $1`,
			id, figure, source, page)
		return err
	})
}

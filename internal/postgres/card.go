package postgres

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Card is the card of a job. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Card(ctx context.Context, job garage.JobID) (garage.Card, error) {
	sheet, err := s.JobSheet(ctx, job)
	card := garage.Card{Sheet: sheet}
	if err != nil {
		return card, err
	}
	err = s.atOnce(ctx, func(tx pgx.Tx) (err error) {
		card.JobCard, err = one[garage.JobCard](ctx, tx, `
			select card_revision as revision, card_in_use_at as in_use_at, repeat_until from jobs where id = @id`, args{"id": job})
		if err != nil {
			return err
		}
		for _, read := range cardReads(ctx, tx, &card) {
			if err := read(); err != nil {
				return err
			}
		}
		return nil
	})
	return card, err
}

func cardReads(ctx context.Context, tx pgx.Tx, card *garage.Card) []func() error {
	a := args{"id": card.Sheet.Job.ID}
	car := args{"car": card.Sheet.Job.CarID}
	var looks []garage.LookBack
	var outs []garage.CloseOut
	return []func() error{
		func() (err error) { card.Steps, err = jobSteps(ctx, tx, card.Sheet.Job.ID); return err },
		reading(ctx, tx, &card.Gone, `select `+stepColumns+` from steps
			where deleted_at is not null and stage_id in (select id from stages where job_id = @id and deleted_at is null)
			  and (changed = 'gone' and revision = (select card_revision from jobs where id = @id)
			    or id in (select step_id from step_marks where job_id = @id))
			order by deleted_at, id`, a),
		reading(ctx, tx, &card.Marks, `select `+markColumns+` from step_marks where job_id = @id order by id`, a),
		reading(ctx, tx, &card.Leavings, `select `+leavingColumns+` from leavings where job_id = @id order by at desc, id desc`, a),
		reading(ctx, tx, &card.Follow, `select `+followUpColumns+` from follow_ups
			where job_id = @id and deleted_at is null order by done_at is not null, due_on nulls last, due_m nulls last, id`, a),
		reading(ctx, tx, &card.Rounds, `select `+roundColumns+` from rounds where job_id = @id and undone_at is null order by number`, a),
		reading(ctx, tx, &card.Torque, `select `+torqueSpecColumns+` from torque_specs
			where car_id = @car and deleted_at is null order by lower(joint), id`, car),
		reading(ctx, tx, &card.Fluids, `select `+fluidSpecColumns+` from fluid_specs
			where car_id = @car and deleted_at is null order by kind, lower(name), id`, car),
		reading(ctx, tx, &card.Wrenches, `select `+wrenchColumns+` from wrenches where deleted_at is null order by lower(name), id`, args{}),
		reading(ctx, tx, &looks, `select `+lookBackColumns+` from look_backs where job_id = @id`, a),
		reading(ctx, tx, &outs, `select `+closeOutColumns+` from close_outs where job_id = @id`, a),
		func() error {
			if len(looks) > 0 {
				card.LookBack = &looks[0]
			}
			if len(outs) > 0 {
				card.CloseOut = &outs[0]
			}
			return nil
		},
	}
}

// jobSteps are the steps of a job in the order of its stages.
func jobSteps(ctx context.Context, db DBTX, job garage.JobID) ([]garage.Step, error) {
	return list[garage.Step](ctx, db, `
		select `+stepColumns+` from (
		  select s.*, g.position as stage_position from steps s join stages g on g.id = s.stage_id
		  where g.job_id = @id and g.deleted_at is null and s.deleted_at is null) o
		order by stage_position, stage_id, position, id`, args{"id": job})
}

// Steps are the steps of a job in the order of its card.
func (s *Store) Steps(ctx context.Context, job garage.JobID) ([]garage.Step, error) {
	return jobSteps(ctx, s.db, job)
}

const leavingColumns = `id, job_id, at, loose, returned_at, confirmed`

// Leave notes that the owner leaves the work, and what is loose. An earlier leaving that nobody came back from ends there.
// *garage.InvalidError when the job is closed, garage.ErrNotFound.
func (s *Store) Leave(ctx context.Context, l garage.Leaving) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := openJob(ctx, tx, l.JobID); err != nil {
			return err
		}
		if len([]rune(l.Loose)) > 1000 {
			return garage.FieldErrors{"loose": "Keep it to 1,000 characters."}.Err()
		}
		_, err := tx.Exec(ctx, `update leavings set returned_at = greatest(at, @at) where job_id = @job and returned_at is null`,
			args{"job": l.JobID, "at": l.At})
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `insert into leavings (job_id, at, loose) values (@job, @at, @loose)`,
			args{"job": l.JobID, "at": l.At, "loose": strings.TrimSpace(l.Loose)})
		return err
	})
}

// Return notes that the owner is back at a job, and which marks were looked at again. Who is back already stays so.
// garage.ErrNotFound when the job is gone.
func (s *Store) Return(ctx context.Context, job garage.JobID, at time.Time, confirmed []garage.MarkID) error {
	if confirmed == nil {
		confirmed = []garage.MarkID{}
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := jobByID(ctx, tx, job, "for no key update"); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `
			update leavings set returned_at = greatest(at, @at), confirmed = @confirmed where job_id = @job and returned_at is null`,
			args{"job": job, "at": at, "confirmed": confirmed})
		return err
	})
}

// LooseLeft lists the cars that were left with something loose, the longest ago first.
func (s *Store) LooseLeft(ctx context.Context) ([]garage.LooseLeft, error) {
	return list[garage.LooseLeft](ctx, s.db, `
		select j.id as job_id, j.title as job_title, c.id as car_id, c.name as car_name, l.at, l.loose
		from leavings l join jobs j on j.id = l.job_id join cars c on c.id = j.car_id
		where l.returned_at is null and l.loose <> '' and j.deleted_at is null and j.closed_at is null and c.deleted_at is null
		order by l.at, l.id`, args{})
}

// CopyCard adds the steps of another job's card to a job's stages: those of its stages in turn, the rest to the last one.
// What is of the other car, its specs, is left out; the figures stay as printed, without their source, since that was printed
// for the other car. *garage.InvalidError when the job is closed or has no work at the bench; garage.ErrNotFound.
func (s *Store) CopyCard(ctx context.Context, from, to garage.JobID) (int, error) {
	n := 0
	err := s.inTx(ctx, func(tx pgx.Tx) error {
		source, err := jobByID(ctx, tx, from, "")
		if err != nil {
			return err
		}
		target, err := openJob(ctx, tx, to)
		if err != nil {
			return err
		}
		steps, err := jobSteps(ctx, tx, from)
		if err != nil {
			return err
		}
		if len(steps) == 0 {
			return garage.FieldErrors{"from": "That job's card has no steps."}.Err()
		}
		if source.CarID != target.CarID {
			steps = garage.ForAnotherCar(steps)
		}
		n = len(steps)
		return layOut(ctx, tx, to, steps)
	})
	return n, err
}

// layOut adds steps to the bench stages of a job, the steps of each stage that they come from to the next one.
func layOut(ctx context.Context, tx pgx.Tx, job garage.JobID, steps []garage.Step) error {
	stages, err := jobStages(ctx, tx, job)
	if err != nil {
		return err
	}
	var bench []garage.StageID
	for _, g := range stages {
		if g.Kind == garage.Bench {
			bench = append(bench, g.ID)
		}
	}
	if len(bench) == 0 {
		return garage.FieldErrors{"stage": "Add a stage at the bench first: it holds the steps."}.Err()
	}
	for i, group := range garage.ByStage(steps) {
		edit, err := editCard(ctx, tx, bench[min(i, len(bench)-1)])
		if err != nil {
			return err
		}
		if _, err := edit.add(ctx, 0, group); err != nil {
			return err
		}
	}
	return nil
}

// MirrorSteps adds the steps of one side to a stage once more for the other side, behind the last of them: words and handed
// parts swapped for those of the other side. It says which parts have no twin. *garage.InvalidError when there is nothing to
// mirror or the job is closed, garage.ErrNotFound.
func (s *Store) MirrorSteps(ctx context.Context, stage garage.StageID, side string) (n int, without []garage.Part, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		edit, err := editCard(ctx, tx, stage)
		if err != nil {
			return err
		}
		steps, err := list[garage.Step](ctx, tx, `select `+stepColumns+` from steps
			where stage_id = @stage and side = @side and deleted_at is null order by position, id`, args{"stage": stage, "side": side})
		if err != nil {
			return err
		}
		if len(steps) == 0 || side == "" {
			return garage.FieldErrors{"side": "No step of that side is on the card: say of its steps which side they are for."}.Err()
		}
		parts, err := list[garage.Part](ctx, tx, `select `+partColumns+` from parts where deleted_at is null and side <> '' order by id`, args{})
		if err != nil {
			return err
		}
		twins, err := partTwins(ctx, tx)
		if err != nil {
			return err
		}
		mirrored, lacking := garage.Mirror(steps, parts, twins)
		n, without = len(mirrored), lacking
		_, err = edit.add(ctx, steps[len(steps)-1].ID, mirrored)
		return err
	})
	return n, without, err
}

// partTwins are the handed parts with their twins, both ways.
func partTwins(ctx context.Context, tx pgx.Tx) (map[garage.PartID]garage.PartID, error) {
	type pair struct{ LeftID, RightID garage.PartID }
	pairs, err := list[pair](ctx, tx, `select left_id, right_id from part_twins`, args{})
	twins := map[garage.PartID]garage.PartID{}
	for _, p := range pairs {
		twins[p.LeftID], twins[p.RightID] = p.RightID, p.LeftID
	}
	return twins, err
}

// CardSources lists jobs whose cards can be copied to another: closed ones first, newest first, those of the same car before
// others.
func (s *Store) CardSources(ctx context.Context, job garage.JobID) ([]garage.JobLink, error) {
	return list[garage.JobLink](ctx, s.db, `
		select `+jobLinkColumns+`, 0 as gap_minutes
		from jobs j join cars c on c.id = j.car_id
		where j.deleted_at is null and c.deleted_at is null and j.id <> @job
		  and exists (select from steps s join stages g on g.id = s.stage_id
		    where g.job_id = j.id and g.deleted_at is null and s.deleted_at is null)
		order by j.closed_at is null, j.car_id <> (select car_id from jobs where id = @job), j.closed_at desc, j.id desc limit 100`,
		args{"job": job})
}

const patternCardColumns = `id, version, name, steps, created_at, deleted_at`

// CardPatterns lists the owner's patterns by name.
func (s *Store) CardPatterns(ctx context.Context) ([]garage.CardPattern, error) {
	return list[garage.CardPattern](ctx, s.db, `
		select `+patternCardColumns+` from card_patterns where deleted_at is null order by lower(name), id`, args{})
}

// KeepPattern keeps the steps of a job's card as a pattern; one of that name is replaced. *garage.InvalidError for a card
// without steps or a bad name, garage.ErrNotFound.
func (s *Store) KeepPattern(ctx context.Context, job garage.JobID, name string) error {
	name = strings.TrimSpace(name)
	var e garage.FieldErrors
	if name == "" || len([]rune(name)) > 200 {
		e.Add("name", "Give it a name, up to 200 characters.")
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := jobByID(ctx, tx, job, ""); err != nil {
			return err
		}
		steps, err := jobSteps(ctx, tx, job)
		if err != nil {
			return err
		}
		if len(steps) == 0 {
			e.Add("name", "The card has no steps yet.")
		}
		if err := e.Err(); err != nil {
			return err
		}
		steps = garage.ForPattern(steps)
		_, err = tx.Exec(ctx, `
			insert into card_patterns (name, steps) values (@name, @steps)
			on conflict (lower(name)) where deleted_at is null
			do update set steps = excluded.steps, version = card_patterns.version + 1`, args{"name": name, "steps": steps})
		return err
	})
}

// UsePattern adds the steps of a pattern to a job's card. *garage.InvalidError when the job is closed or has no work at the
// bench; garage.ErrNotFound.
func (s *Store) UsePattern(ctx context.Context, id garage.CardPatternID, job garage.JobID) (garage.CardPattern, error) {
	var pattern garage.CardPattern
	err := s.inTx(ctx, func(tx pgx.Tx) (err error) {
		pattern, err = one[garage.CardPattern](ctx, tx, `
			select `+patternCardColumns+` from card_patterns where id = @id and deleted_at is null`, args{"id": id})
		if err != nil {
			return fmt.Errorf("pattern %d: %w", id, err)
		}
		if _, err := openJob(ctx, tx, job); err != nil {
			return err
		}
		return layOut(ctx, tx, job, pattern.Steps)
	})
	return pattern, err
}

// DeleteCardPattern deletes a pattern; [Store.RestoreCardPattern] brings it back. garage.ErrNotFound when it is gone.
func (s *Store) DeleteCardPattern(ctx context.Context, id garage.CardPatternID) error {
	return s.setDeleted(ctx, "card_patterns", int64(id), true)
}

// RestoreCardPattern brings a deleted pattern back; garage.ErrNotFound when there is no deleted one.
func (s *Store) RestoreCardPattern(ctx context.Context, id garage.CardPatternID) error {
	return s.setDeleted(ctx, "card_patterns", int64(id), false)
}

// fromNow is what the car will have run after a distance in metres; nil without one, or without a reading.
func fromNow(ctx context.Context, tx pgx.Tx, car garage.CarID, distance *int64) (*int64, error) {
	if distance == nil {
		return nil, nil //nolint:nilnil // none wanted
	}
	var metres *int64
	err := tx.QueryRow(ctx, `select run.metres from cars c `+carRun+` where c.id = $1`, car).Scan(&metres)
	if err != nil || metres == nil {
		return nil, mapError(err)
	}
	return new(*metres + *distance), nil
}

const (
	lookBackColumns = `id, job_id, due_on, due_m, answered_at, worth, changed`
	closeOutColumns = `id, job_id, version, tools, panels, levels, leftovers, road_test, at`
)

// SaveCloseOut keeps what was looked at before the car left, adds follow-ups and says when to look back: nil leaves that as it was,
// one without a day and a distance asks for none. An answer stands until it is asked for at another time. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound.
func (s *Store) SaveCloseOut(ctx context.Context, v garage.CloseOut, follow []garage.FollowUp, look *garage.LookBack) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		job, err := jobByID(ctx, tx, v.JobID, "for no key update")
		if err != nil {
			return err
		}
		if err := saveCloseOut(ctx, tx, v); err != nil {
			return err
		}
		for _, f := range follow {
			f.CarID, f.JobID = job.CarID, &job.ID
			if _, err := insertFollowUp(ctx, tx, f); err != nil {
				return err
			}
		}
		if look == nil {
			return nil
		}
		return saveLookBack(ctx, tx, v.JobID, *look)
	})
}

func saveLookBack(ctx context.Context, tx pgx.Tx, job garage.JobID, look garage.LookBack) error {
	if look.DueOn == nil && look.DueM == nil {
		_, err := tx.Exec(ctx, `delete from look_backs where job_id = @job and answered_at is null`, args{"job": job})
		return err
	}
	_, err := tx.Exec(ctx, `
		insert into look_backs (job_id, due_on, due_m) values (@job, @on, @m)
		on conflict (job_id) do update set due_on = excluded.due_on, due_m = excluded.due_m,
		  answered_at = case when (look_backs.due_on, look_backs.due_m) is not distinct from (excluded.due_on, excluded.due_m)
		    then look_backs.answered_at end`,
		args{"job": job, "on": look.DueOn, "m": look.DueM})
	return err
}

func saveCloseOut(ctx context.Context, tx pgx.Tx, v garage.CloseOut) error {
	if len([]rune(v.Leftovers)) > 1000 || len([]rune(v.RoadTest)) > 1000 {
		return garage.FieldErrors{"leftovers": "Keep it to 1,000 characters."}.Err()
	}
	a := args{
		"job": v.JobID, "tools": v.Tools, "panels": v.Panels, "levels": v.Levels, "leftovers": v.Leftovers, "road_test": v.RoadTest,
		"at": v.At, "version": v.Version,
	}
	tag, err := tx.Exec(ctx, `
		insert into close_outs (job_id, tools, panels, levels, leftovers, road_test, at)
		select @job, @tools, @panels, @levels, @leftovers, @road_test, @at where @version::bigint = 0
		  or exists (select from close_outs where job_id = @job and version = @version)
		on conflict (job_id) do update set version = close_outs.version + 1, tools = excluded.tools, panels = excluded.panels,
		  levels = excluded.levels, leftovers = excluded.leftovers, road_test = excluded.road_test, at = excluded.at
		where close_outs.version = @version`, a)
	if err == nil && tag.RowsAffected() == 0 {
		err = garage.ErrConflict
	}
	return err
}

// AnswerLookBack says whether a job was worth it. *garage.InvalidError for an answer that is none; garage.ErrNotFound when the job
// has no look back.
func (s *Store) AnswerLookBack(ctx context.Context, job garage.JobID, worth, changed string, at time.Time) error {
	if !slices.Contains(garage.Worth, worth) {
		return garage.FieldErrors{"worth": "Was it worth it? Choose one."}.Err()
	}
	tag, err := s.db.Exec(ctx, `
		update look_backs set worth = @worth, changed = @changed, answered_at = @at where job_id = @job`,
		args{"job": job, "worth": worth, "changed": strings.TrimSpace(changed), "at": at})
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 0 {
		return fmt.Errorf("look back of job %d: %w", job, garage.ErrNotFound)
	}
	return nil
}

const lookBackRows = `select l.id, l.job_id, l.due_on, l.due_m, l.answered_at, l.worth, l.changed,
	j.title as job_title, c.id as car_id, c.name as car_name
	from look_backs l join jobs j on j.id = l.job_id and j.deleted_at is null
	join cars c on c.id = j.car_id and c.deleted_at is null `

// DueLookBacks are those to be answered by a day, by date or by what the car has run.
func (s *Store) DueLookBacks(ctx context.Context, today garage.Date) ([]garage.LookBackRow, error) {
	return list[garage.LookBackRow](ctx, s.db, lookBackRows+carRun+`
		where l.answered_at is null and (l.due_on <= @today or l.due_m <= run.metres) order by l.due_on nulls last, l.id`,
		args{"today": today})
}

// LikeLookBacks are answers of jobs like one: of its kind, with a word of its title in theirs, newest first.
func (s *Store) LikeLookBacks(ctx context.Context, job garage.JobID) ([]garage.LookBackRow, error) {
	return list[garage.LookBackRow](ctx, s.db, lookBackRows+`
		join jobs o on o.id = @job and o.id <> j.id and o.kind = j.kind
		where l.answered_at is not null and `+titlesAlike("o.title")+`
		order by l.answered_at desc, l.id desc limit 5`, args{"job": job})
}

// LookBacksFor are answers that matter to a job that is being entered: with a word of its title in theirs, or while it has none
// those of its car; newest first.
func (s *Store) LookBacksFor(ctx context.Context, car garage.CarID, title string) ([]garage.LookBackRow, error) {
	return list[garage.LookBackRow](ctx, s.db, lookBackRows+`
		where l.answered_at is not null and (@title::text = '' and j.car_id = @car or `+titlesAlike("@title::text")+`)
		order by j.car_id <> @car, l.answered_at desc, l.id desc limit 5`, args{"car": car, "title": title})
}

// titlesAlike says in SQL that a title shares a word with that of job j. Words for a side, and short ones, say nothing of the work.
func titlesAlike(title string) string {
	return `exists (
		  select from regexp_split_to_table(lower(` + title + `), '\W+') a
		  join regexp_split_to_table(lower(j.title), '\W+') b on a = b and length(a) > 3
		  where a not in ('left', 'right', 'rear', 'front', 'side', 'both', 'with', 'from', 'take', 'make', 'check', 'replace', 'again'))`
}

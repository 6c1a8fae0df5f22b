package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// fillCards are the steps of jobs, what was done at them, and what was said of jobs afterwards.
func fillCards(r garage.Records) []fill {
	return []fill{
		rowsOf("steps", []string{
			"id", "stage_id", "position", "kind", "text", "side", "figure", "limit_low", "limit_high", "limit_unit", "condition", "source", "page",
			"torque_spec_id", "fluid_spec_id", "part_id", "quantity", "cautions", "caution_own", "critical", "pause_after",
		}, r.Steps, func(s garage.Step) []any {
			cautions := make([]string, len(s.Cautions))
			for i, c := range s.Cautions {
				cautions[i] = string(c)
			}
			return []any{
				int64(s.ID), int64(s.StageID), s.Position, string(s.Kind), s.Text, s.Side, s.Figure, s.LimitLow, s.LimitHigh, s.LimitUnit,
				string(s.Condition), s.Source, s.Page, (*int64)(s.TorqueSpecID), (*int64)(s.FluidSpecID), (*int64)(s.PartID), s.Quantity, cautions,
				s.CautionOwn, s.Critical, s.PauseAfter,
			}
		}),
		rowsOf("step_marks", []string{"id", "step_id", "job_id", "kind", "value", "wrench_id", "note", "revision", "at"}, r.Marks,
			func(m garage.StepMark) []any {
				return []any{int64(m.ID), int64(m.StepID), int64(m.JobID), string(m.Kind), m.Value, (*int64)(m.WrenchID), m.Note, max(1, m.Revision), m.At}
			}),
		rowsOf("rounds", []string{"id", "job_id", "number", "observation", "reading", "at", "next_distance_m", "next_on", "ended"}, r.Rounds,
			func(v garage.Round) []any {
				return []any{int64(v.ID), int64(v.JobID), v.Number, v.Observation, v.Reading, v.At, v.NextDistanceM, v.NextOn, v.Ended}
			}),
		rowsOf("look_backs", []string{"id", "job_id", "due_on", "due_m", "answered_at", "worth", "changed"}, r.LookBacks,
			func(l garage.LookBack) []any {
				return []any{l.ID, int64(l.JobID), l.DueOn, l.DueM, l.AnsweredAt, l.Worth, l.Changed}
			}),
	}
}

// fillCardsInUse says of cards that have marks since when they are in use, and what ends the rounds of jobs.
func fillCardsInUse(ctx context.Context, tx pgx.Tx, r garage.Records) error {
	_, err := tx.Exec(ctx, `
		update jobs set card_in_use_at = (select min(at) from step_marks m where m.job_id = jobs.id)
		where exists (select from step_marks m where m.job_id = jobs.id)`)
	if err != nil {
		return err
	}
	for _, repeat := range r.Repeats {
		_, err := tx.Exec(ctx, `update jobs set repeat_until = $2 where id = $1`, repeat.JobID, repeat.Until)
		if err != nil {
			return err
		}
	}
	return nil
}

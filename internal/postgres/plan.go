package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// GarageVersion grows with every change of what a plan depends on, made through any server.
func (s *Store) GarageVersion(ctx context.Context) (int64, error) { return garageVersion(ctx, s.db) }

func garageVersion(ctx context.Context, db DBTX) (int64, error) {
	var version int64
	err := db.QueryRow(ctx, `select coalesce(sum(changes), 0)::bigint from garage_changes`).Scan(&version)
	return version, mapError(err)
}

// readPlans reads the plan that was kept, if any, and the one before it.
func readPlans(ctx context.Context, db DBTX, shot *garage.Snapshot) error {
	err := db.QueryRow(ctx, `select garage_version, current, before from plans`).Scan(&shot.PlanOf, &shot.Plan, &shot.PlanBefore)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil
	}
	return mapError(err)
}

// KeepPlan keeps a plan made for a version of the garage, and with it the plan before that it is compared with; nil leaves that
// as it is. A plan for an older version than the one that is kept is dropped: another server was quicker.
func (s *Store) KeepPlan(ctx context.Context, version int64, plan garage.PlanRecord, before *garage.PlanRecord) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			insert into plans (garage_version, current, before) values (@version, @plan, @before)
			on conflict (the_one) do update set
			  garage_version = @version,
			  current = @plan,
			  before = coalesce(@before, plans.before)
			where plans.garage_version <= @version`,
			args{"version": version, "plan": plan, "before": before})
		if err != nil {
			return err
		}
		return gatherChanges(ctx, tx)
	})
}

// TakePlan keeps a plan that the owner prefers to the one before, made for a version of the garage: the plans to come are held near
// to it. That counts as a change of the garage, so that no server goes on showing the plan before. garage.ErrConflict when the
// garage has changed since.
func (s *Store) TakePlan(ctx context.Context, version int64, plan, before garage.PlanRecord) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		now, err := garageVersion(ctx, tx)
		if err != nil {
			return err
		}
		if now != version {
			return fmt.Errorf("a plan of version %d of the garage, now %d: %w", version, now, garage.ErrConflict)
		}
		_, err = tx.Exec(ctx, `
			with changed as (
			  insert into garage_changes (backend, changes) values (pg_backend_pid(), 1)
			  on conflict (backend) do update set changes = garage_changes.changes + 1
			)
			insert into plans (garage_version, current, before) values (@version, @plan, @before)
			on conflict (the_one) do update set garage_version = @version, current = @plan, before = @before`,
			args{"version": version + 1, "plan": plan, "before": before})
		return err
	})
}

// gatherChanges adds the counts of connections that have ended to this one's, so that their rows do not pile up.
func gatherChanges(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `
		with gone as (
		  delete from garage_changes
		  where (select count(*) from garage_changes) > 100
		    and backend not in (select pid from pg_stat_activity where pid is not null)
		  returning changes
		)
		insert into garage_changes (backend, changes)
		select pg_backend_pid(), sum(changes) from gone having count(*) > 0
		on conflict (backend) do update set changes = garage_changes.changes + excluded.changes`)
	return err
}

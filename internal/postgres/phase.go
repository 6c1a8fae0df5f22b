package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const phaseRows = `
	select ` + phaseColumns + `,
	  (select name from cars c where c.id = phases.car_id) as car_name,
	  (select count(*) from jobs j where j.phase_id = phases.id and j.deleted_at is null) as jobs,
	  (select count(*) from jobs j where j.phase_id = phases.id and j.deleted_at is null and j.closed_at is not null) as done
	from phases
	where deleted_at is null`

// Phases lists the phases of a car with the count of their jobs, those to be finished first before the others.
func (s *Store) Phases(ctx context.Context, car garage.CarID) ([]garage.PhaseRow, error) {
	return list[garage.PhaseRow](ctx, s.db, phaseRows+` and car_id = @car order by finish_on nulls last, id`, args{"car": car})
}

// Phase is one phase with the count of its jobs. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Phase(ctx context.Context, id garage.PhaseID) (garage.PhaseRow, error) {
	phase, err := one[garage.PhaseRow](ctx, s.db, phaseRows+` and id = @id`, args{"id": id})
	if err != nil {
		return phase, fmt.Errorf("phase %d: %w", id, err)
	}
	return phase, nil
}

// CreatePhase adds a phase. *garage.InvalidError for what does not hold, garage.ErrNotFound when the car is gone.
func (s *Store) CreatePhase(ctx context.Context, phase garage.Phase) (garage.PhaseID, error) {
	if err := phase.Validate(); err != nil {
		return 0, err
	}
	id, err := insert[garage.PhaseID](ctx, s.db, `
		insert into phases (car_id, name, budget, currency, finish_on)
		select id, @name, @budget, @currency, @finish_on from cars where id = @car_id and deleted_at is null
		returning id`,
		args{
			"car_id": phase.CarID, "name": phase.Name, "budget": phase.Budget, "currency": phase.Currency,
			"finish_on": phase.FinishOn,
		})
	if err != nil {
		return 0, fmt.Errorf("phase on car %d: %w", phase.CarID, err)
	}
	return id, nil
}

// UpdatePhase saves a phase; it stays on its car. *garage.InvalidError for what does not hold, garage.ErrConflict for an
// old version, garage.ErrNotFound.
func (s *Store) UpdatePhase(ctx context.Context, phase garage.Phase) error {
	if err := phase.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := New(tx).Phase(ctx, phase.ID); err != nil {
			return err
		}
		return update(ctx, tx, "phases", `
			update phases set
			  version = version + 1,
			  name = @name,
			  budget = @budget,
			  currency = @currency,
			  finish_on = @finish_on
			where id = @id and version = @version`,
			args{
				"id": phase.ID, "version": phase.Version, "name": phase.Name, "budget": phase.Budget,
				"currency": phase.Currency, "finish_on": phase.FinishOn,
			})
	})
}

// DeletePhase deletes a phase; its jobs stay. garage.ErrNotFound.
func (s *Store) DeletePhase(ctx context.Context, id garage.PhaseID) error {
	return s.setDeleted(ctx, "phases", int64(id), true)
}

// RestorePhase undoes DeletePhase. garage.ErrNotFound when there is no such deleted phase.
func (s *Store) RestorePhase(ctx context.Context, id garage.PhaseID) error {
	return s.setDeleted(ctx, "phases", int64(id), false)
}

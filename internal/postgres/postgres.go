// Package postgres keeps a garage in Postgres: one [Store], a file for each noun.
//
// Exported methods hold one transaction and say which of [garage.ErrNotFound], [garage.ErrConflict] and
// [*garage.InvalidError] they return; any other error is the database's own. Deleting sets deleted_at, so that it can be
// undone.
package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/garage"
)

// DBTX is a pool or a transaction: the same code runs in both.
type DBTX interface {
	Begin(ctx context.Context) (pgx.Tx, error)
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

// Store reads and writes one garage.
type Store struct {
	db joining
}

// New is a store on a pool or on a transaction.
func New(db DBTX) *Store { return &Store{db: joining{db}} }

// Open connects a pool to the database at url and checks that it answers.
func Open(ctx context.Context, url string) (*pgxpool.Pool, error) {
	pool, err := pgxpool.New(ctx, url)
	if err != nil {
		return nil, fmt.Errorf("database address: %w", err)
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, fmt.Errorf("database does not answer: %w", err)
	}
	return pool, nil
}

// Ping says whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	var one int
	return s.db.QueryRow(ctx, "select 1").Scan(&one)
}

// inTx runs f in a transaction (a savepoint inside one) and maps what the database refuses to the domain's errors.
func (s *Store) inTx(ctx context.Context, f func(tx pgx.Tx) error) error {
	return mapError(pgx.BeginFunc(ctx, s.db, f))
}

// args are named query arguments; a missing or a superfluous one is an error.
type args = pgx.StrictNamedArgs

// list reads all rows of a query into values, matching columns to fields by name.
func list[T any](ctx context.Context, db DBTX, sql string, a args) ([]T, error) {
	rows, err := db.Query(ctx, sql, a)
	if err != nil {
		return nil, mapError(err)
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByName[T])
	return found, mapError(err)
}

// one reads exactly one row; none is garage.ErrNotFound.
func one[T any](ctx context.Context, db DBTX, sql string, a args) (T, error) {
	rows, err := db.Query(ctx, sql, a)
	if err != nil {
		var none T
		return none, mapError(err)
	}
	found, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[T])
	return found, mapError(err)
}

// insert runs an "insert … returning id".
func insert[ID ~int64](ctx context.Context, db DBTX, sql string, a args) (ID, error) {
	var id int64
	err := db.QueryRow(ctx, sql, a).Scan(&id)
	return ID(id), mapError(err)
}

// update runs an update that names id and version in its where clause and must touch one row. When it touches none, the
// record is gone (garage.ErrNotFound) or was saved by someone else (garage.ErrConflict).
func update(ctx context.Context, db DBTX, table, sql string, a args) error {
	tag, err := db.Exec(ctx, sql, a)
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 1 {
		return nil
	}
	return missing(ctx, db, table, a["id"])
}

func missing(ctx context.Context, db DBTX, table string, id any) error {
	var exists bool
	err := db.QueryRow(ctx, "select exists (select from "+table+" where id = $1)", id).Scan(&exists)
	switch {
	case err != nil:
		return mapError(err)
	case exists:
		return garage.ErrConflict
	}
	return garage.ErrNotFound
}

// setDeleted deletes a record of a table with deleted_at, or brings it back. The table's name comes from code only.
// garage.ErrNotFound when there is no such record in the other state.
func (s *Store) setDeleted(ctx context.Context, table string, id int64, deleted bool) error {
	set, where := "now()", "is null"
	if !deleted {
		set, where = "null", "is not null"
	}
	tag, err := s.db.Exec(ctx,
		"update "+table+" set deleted_at = "+set+", version = version + 1 where id = $1 and deleted_at "+where, id)
	if err != nil {
		return mapError(err)
	}
	if tag.RowsAffected() == 0 {
		return garage.ErrNotFound
	}
	return nil
}

// refusals say in a plain sentence, at its field, what a constraint refuses.
var refusals = map[string]struct{ field, message string }{
	"bins_name_unique":            {"name", "There is a bin of that name already."},
	"stock_never_negative":        {"quantity", "There is not that much in the bin."},
	"cars_arrival_order":          {"arrives", "The dates must not run backwards: earliest, likely, latest."},
	"cars_arrival_whole":          {"arrives", "Give all three dates: earliest, likely, latest."},
	"cars_year_range":             {"year", "A year from 1885 to 2100."},
	"parts_lead_order":            {"lead", "The days must not run backwards: least, likely, most."},
	"parts_lead_whole":            {"lead", "Give all three: least, likely, most days."},
	"orders_promised_order":       {"promised_on", "Not before it was ordered."},
	"orders_rate_at_home":         {"rate", "It is the garage's own currency: the rate is 1."},
	"cores_of_order":              {"deposit", "It came with an order: change its deposit there, in its line."},
	"order_lines_covered":         {"", "What is expected of the order does not add up any more: load the page anew."},
	"suppliers_name_unique":       {"name", "There is a supplier of that name already."},
	"suppliers_lead_order":        {"lead", "The days must not run backwards: least, likely, most."},
	"suppliers_lead_whole":        {"lead", "Give all three: least, likely, most days."},
	"donor_ledgers_order":         {"gone_on", "Not before it came: note that day too."},
	"fitted_order":                {"ended_on", "Not before it was fitted."},
	"part_fits_one":               {"", "That was said anew meanwhile."},
	"arrivals_order":              {"arrives", "The dates must not run backwards: earliest, likely, latest."},
	"stages_actual_range":         {"took", "From one minute to a year."},
	"stages_order":                {"minutes", "The three figures must not run backwards: low, likely, high."},
	"access_inside_other":         {"inside", "Nothing lies inside itself."},
	"job_after_other":             {"after", "A job cannot wait for itself."},
	"wrenches_range":              {"high", "The highest mark is more than the lowest."},
	"torque_specs_page_of_source": {"source", "Which document is that page in?"},
	"required_wheels_one":         {"", "What the car requires is entered already: change that."},
	"steps_limits_order":          {"limit_high", "Not less than the lower limit."},
	"steps_page_of_source":        {"source", "Which document is that page in?"},
	"tools_here_order":            {"here_to", "It goes back before it comes."},
}

// isInvalid says that an error is about what was entered.
func isInvalid(err error) bool {
	_, invalid := errors.AsType[*garage.InvalidError](err)
	return invalid
}

// mapError turns what the database says into the domain's errors.
func mapError(err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return garage.ErrNotFound
	}
	if refused, ok := errors.AsType[*pgconn.PgError](err); ok {
		if r, known := refusals[refused.ConstraintName]; known {
			return garage.FieldErrors{r.field: r.message}.Err()
		}
		const foreignKeyViolation = "23503"
		if refused.Code == foreignKeyViolation {
			return fmt.Errorf("%w (%s)", garage.ErrNotFound, refused.ConstraintName)
		}
	}
	return err
}

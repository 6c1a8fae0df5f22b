package postgres

import (
	"bytes"
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"axlestand/internal/garage"
)

// A request may run all that it does in one transaction. Its context carries it, and the store's methods take part in it: their
// own transactions are savepoints of it then.

type runningKey struct{}

// running is the transaction that ctx carries, if any.
func running(ctx context.Context) (pgx.Tx, bool) {
	tx, ok := ctx.Value(runningKey{}).(pgx.Tx)
	return tx, ok
}

// InTransaction says whether what a store reads and writes with ctx is part of a transaction that is not yet committed.
func InTransaction(ctx context.Context) bool {
	_, ok := running(ctx)
	return ok
}

// joining is a database whose methods use the transaction that their context carries.
type joining struct{ DBTX }

func (j joining) of(ctx context.Context) DBTX {
	if tx, ok := running(ctx); ok {
		return tx
	}
	return j.DBTX
}

func (j joining) Begin(ctx context.Context) (pgx.Tx, error) { return j.of(ctx).Begin(ctx) }

func (j joining) Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error) {
	return j.of(ctx).Exec(ctx, sql, args...)
}

func (j joining) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	return j.of(ctx).Query(ctx, sql, args...)
}

func (j joining) QueryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	return j.of(ctx).QueryRow(ctx, sql, args...)
}

// fresh says whether a transaction begun with ctx is one of its own.
func (j joining) fresh(ctx context.Context) bool {
	_, isPool := j.of(ctx).(interface{ Close() })
	return isPool
}

// errUndo rolls an operation back that was refused.
var errUndo = errors.New("not done")

// Once does an operation unless it was done before. do gets a context with the transaction that all of it belongs to, and says
// whether it was done: what it wrote and what it answered are then kept together, or neither is. The same operation sent at the
// same time waits for the first. It returns the answer, and whether it is one of before; garage.ErrOtherRequest when something
// else was done under that key.
func (s *Store) Once(ctx context.Context, op garage.Operation, do func(ctx context.Context) (garage.Answered, bool)) (answer garage.Answered, before bool, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `insert into operations (actor, key, request) values ($1, $2, $3) on conflict do nothing`,
			op.Actor, op.Key, op.Request)
		if err != nil {
			return err
		}
		if tag.RowsAffected() == 0 {
			before = true
			return answeredBefore(ctx, tx, op, &answer)
		}
		done := false
		if answer, done = do(context.WithValue(ctx, runningKey{}, tx)); !done {
			return errUndo
		}
		_, err = tx.Exec(ctx, `update operations set status = $3, location = $4, flash = $5 where actor = $1 and key = $2`,
			op.Actor, op.Key, answer.Status, answer.Location, answer.Flash)
		return err
	})
	if errors.Is(err, errUndo) {
		err = nil
	}
	return answer, before, err
}

// answeredBefore reads what an operation was answered.
func answeredBefore(ctx context.Context, tx pgx.Tx, op garage.Operation, answer *garage.Answered) error {
	var request []byte
	err := tx.QueryRow(ctx, `select request, status, location, flash from operations where actor = $1 and key = $2`, op.Actor, op.Key).
		Scan(&request, &answer.Status, &answer.Location, &answer.Flash)
	if err == nil && !bytes.Equal(request, op.Request) {
		return garage.ErrOtherRequest
	}
	return err
}

// ForgetOperations forgets what was done before a time. What is sent again after that is done again.
func (s *Store) ForgetOperations(ctx context.Context, before time.Time) error {
	_, err := s.db.Exec(ctx, `delete from operations where created_at < $1`, before)
	return mapError(err)
}

package postgres

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/garage"
)

// liveChannel is where the database says which job's card has changed (trigger card_changed).
const liveChannel = "axlestand_live"

const (
	selfTest  = 5 * time.Second  // for a notice of one's own to come back
	aliveTest = 30 * time.Second // between questions whether a silent connection still stands
)

// CardCount is how often a job's card has changed. garage.ErrNotFound when there is no such job.
func (s *Store) CardCount(ctx context.Context, job garage.JobID) (int64, error) {
	var n int64
	err := s.db.QueryRow(ctx, "select coalesce(c.count, 0) from jobs j left join card_changes c on c.job_id = j.id where j.id = $1", job).Scan(&n)
	return n, mapError(err)
}

// ListenCards calls heard for each change of a card, made by whatever program on this database, until ctx ends or the
// connection breaks, and ready once it is certain that changes are heard: a pooler between here and the database may
// swallow them. The error says why it ended.
func ListenCards(ctx context.Context, pool *pgxpool.Pool, ready func(), heard func(job garage.JobID, count int64)) error {
	conn, err := pgx.ConnectConfig(ctx, pool.Config().ConnConfig)
	if err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "listen "+liveChannel); err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	own := rand.Text()
	if _, err := pool.Exec(ctx, "select pg_notify($1, $2)", liveChannel, own); err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	patience, proven := selfTest, false
	for {
		said, err := nextNotice(ctx, conn, patience)
		switch {
		case err != nil:
			return fmt.Errorf("listen: %w", err)
		case said == own:
			patience, proven = aliveTest, true
			ready()
		case said == "" && !proven:
			return errors.New("listen: notices do not come through this connection")
		default:
			var job garage.JobID
			var count int64
			if n, _ := fmt.Sscan(said, &job, &count); n == 2 { // another program's own test is not for us
				heard(job, count)
			}
		}
	}
}

// nextNotice waits for what is said next. When nothing is for a while it asks whether the connection still stands, and returns "".
func nextNotice(ctx context.Context, conn *pgx.Conn, patience time.Duration) (string, error) {
	waiting, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	notice, err := conn.WaitForNotification(waiting)
	if err == nil {
		return notice.Payload, nil
	}
	if ctx.Err() != nil || !errors.Is(err, context.DeadlineExceeded) {
		return "", err
	}
	asking, cancel := context.WithTimeout(ctx, selfTest)
	defer cancel()
	return "", conn.Ping(asking)
}

// Package pgtest gives tests a real Postgres with the newest schema.
//
// The server is started once per test binary, by the first test that asks. It comes from the first of these that is to
// be had:
//
//  1. AXLESTAND_TEST_DATABASE_URL: a server where databases may be created. Its other databases are left alone.
//  2. Postgres binaries on this machine: a private cluster with fsync off. The migrated cluster is made once, kept in
//     the temporary directory under a hash of the migrations, and copied for each test binary.
//  3. Docker: a container.
//
// With none of them the test is skipped, loudly; with CI=true it fails.
//
// A package that uses pgtest says so in its TestMain, so that the server is gone when the tests are:
//
//	func TestMain(m *testing.M) { pgtest.Main(m) }
//
// What a killed test binary leaves behind is swept away by the next one.
package pgtest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// patience bounds each thing done to the server outside the tests themselves.
const patience = time.Minute

// Main runs the tests, then stops the server, then exits.
func Main(m *testing.M) {
	code := m.Run()
	if s, err := theServer(); started && err == nil {
		s.close()
	}
	os.Exit(code)
}

// started tells Main whether there is a server to stop.
var started bool

var theServer = sync.OnceValues(func() (*server, error) {
	started = true
	s, err := open()
	if err != nil && os.Getenv("CI") != "true" {
		fmt.Fprintln(os.Stderr, "SKIPPED: every test that needs a database:", err)
	}
	return s, err
})

// Tx is a transaction in a migrated database, rolled back when the test ends. It is the cheapest way to a database, and
// right for every test that needs neither a commit nor a second connection. An inner Begin makes a savepoint.
func Tx(t testing.TB) pgx.Tx {
	t.Helper()
	s := serverFor(t)
	pool, err := s.shared()
	if err != nil {
		t.Fatal("pgtest:", err)
	}
	tx, err := pool.Begin(t.Context())
	if err != nil {
		t.Fatal("pgtest:", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if err := tx.Rollback(ctx); err != nil && !errors.Is(err, pgx.ErrTxClosed) {
			t.Error("pgtest: roll back:", err)
		}
	})
	return tx
}

// Pool is a pool of connections to a migrated database that only this test uses, dropped when the test ends.
// Pool(t).Config().ConnString() is its URL.
func Pool(t testing.TB) *pgxpool.Pool {
	t.Helper()
	s := serverFor(t)
	pool, err := connect(t.Context(), s.newDatabase(t, s.template), 8)
	if err != nil {
		t.Fatal("pgtest:", err)
	}
	t.Cleanup(func() { closePool(t, pool) })
	return pool
}

// Empty is the URL of a database without any tables that only this test uses, dropped when the test ends: for tests of
// the migrations, and of a program's first start.
func Empty(t testing.TB) string {
	t.Helper()
	return serverFor(t).newDatabase(t, "template0")
}

func serverFor(t testing.TB) *server {
	t.Helper()
	s, err := theServer()
	switch {
	case err == nil:
	case errors.Is(err, errNone) && os.Getenv("CI") != "true":
		t.Skip("pgtest:", err)
	default:
		t.Fatal("pgtest:", err)
	}
	return s
}

// closePool reports a connection that the test keeps, instead of waiting for it for ever.
func closePool(t testing.TB, pool *pgxpool.Pool) {
	closed := make(chan struct{})
	go func() { pool.Close(); close(closed) }()
	select {
	case <-closed:
	case <-time.After(5 * time.Second):
		t.Error("pgtest: the test did not give all connections back to its pool")
	}
}

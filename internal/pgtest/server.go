package pgtest

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/golang-migrate/migrate/v4"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5" // registers the pgx5 scheme
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/migrations"
)

// errNone means that no Postgres is to be had on this machine.
var errNone = errors.New("no Postgres to test with: name one in AXLESTAND_TEST_DATABASE_URL, install one, or start Docker")

// prefix starts the name of every database made here, except the template.
const prefix = "axlestand_test_"

// server is a running Postgres that has the template, a migrated database to make copies of.
type server struct {
	url         func(database string) string
	connections int32 // how many tests may hold a Tx at once
	admin       *pgxpool.Pool
	template    string
	stop        func()

	once      sync.Once
	pool      *pgxpool.Pool // the database of all Tx, made by the first
	poolError error
}

// open finds a Postgres and makes it ready.
func open() (*server, error) {
	if external := os.Getenv("AXLESTAND_TEST_DATABASE_URL"); external != "" {
		return openExternal(external)
	}
	s, err := openLocal()
	if !errors.Is(err, errNone) {
		return s, err
	}
	docker, dockerErr := openDocker()
	if errors.Is(dockerErr, errNone) {
		return nil, fmt.Errorf("%w (%w)", err, dockerErr)
	}
	return docker, dockerErr
}

func openExternal(external string) (*server, error) {
	u, err := url.Parse(external)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" {
		return nil, errors.New("AXLESTAND_TEST_DATABASE_URL must be a URL, postgres://…")
	}
	database := strings.TrimPrefix(u.Path, "/")
	return newServer(databaseURL(*u), database, 40, func() {})
}

func databaseURL(u url.URL) func(database string) string {
	return func(database string) string {
		u.Path = "/" + database
		return u.String()
	}
}

// newServer makes the server at url ready; database is one that can be connected to.
func newServer(url func(string) string, database string, connections int32, stop func()) (*server, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	s := &server{url: url, connections: connections, stop: stop, template: "axlestand_template_" + schemaHash()}
	var err error
	if s.admin, err = connect(ctx, url(database), 4); err == nil {
		if err = s.prepare(ctx); err != nil {
			s.admin.Close()
		}
	}
	if err != nil {
		stop()
		return nil, err
	}
	return s, nil
}

// shared is the database of all transactions.
func (s *server) shared() (*pgxpool.Pool, error) {
	s.once.Do(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		name, err := s.createDatabase(ctx, s.template)
		if err == nil {
			s.pool, err = connect(ctx, s.url(name), s.connections)
		}
		s.poolError = err
	})
	return s.pool, s.poolError
}

// prepare sweeps away what killed test binaries left, and makes the template unless it is there. Test binaries that
// share the server do so one after the other.
func (s *server) prepare(ctx context.Context) error {
	conn, err := s.admin.Acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	const lock = 0x61786c65 // any number, as long as it is always the same
	if _, err := conn.Exec(ctx, "select pg_advisory_lock($1)", lock); err != nil {
		return err
	}
	defer conn.Exec(context.WithoutCancel(ctx), "select pg_advisory_unlock($1)", lock)
	if err := s.sweep(ctx); err != nil {
		return err
	}
	var exists bool
	err = conn.QueryRow(ctx, "select exists (select from pg_database where datname = $1)", s.template).Scan(&exists)
	if err != nil || exists {
		return err
	}
	building, err := s.createDatabase(ctx, "template0")
	if err != nil {
		return err
	}
	if err := migrateUp(s.url(building)); err != nil {
		return err
	}
	_, err = conn.Exec(ctx, "alter database "+building+" rename to "+s.template)
	return err
}

// sweep drops databases that were made here more than an hour ago and that nobody is connected to, and templates of
// another schema after a day. When one was made is its comment.
func (s *server) sweep(ctx context.Context) error {
	rows, err := s.admin.Query(ctx, `
		select datname
		from pg_database d
		  join lateral (select substring(shobj_description(d.oid, 'pg_database') from '^[0-9]+$')::bigint as made) m on true
		where (starts_with(datname, $1) and extract(epoch from now()) - made > 3600
		    or starts_with(datname, 'axlestand_template_') and datname <> $2 and extract(epoch from now()) - made > 86400)
		  and not exists (select from pg_stat_activity a where a.datid = d.oid)`, prefix, s.template)
	if err != nil {
		return err
	}
	stale, err := pgx.CollectRows(rows, pgx.RowTo[string])
	for _, name := range stale {
		err = errors.Join(err, s.dropDatabase(ctx, name))
	}
	return err
}

// createDatabase makes a database with a name of its own.
func (s *server) createDatabase(ctx context.Context, template string) (string, error) {
	name := prefix + strings.ToLower(rand.Text()[:12])
	if _, err := s.admin.Exec(ctx, "create database "+name+" template "+template); err != nil {
		return "", err
	}
	_, err := s.admin.Exec(ctx, fmt.Sprintf("comment on database %s is '%d'", name, time.Now().Unix()))
	return name, err
}

func (s *server) dropDatabase(ctx context.Context, name string) error {
	_, err := s.admin.Exec(ctx, "drop database if exists "+name+" with (force)")
	return err
}

// newDatabase makes a database that lives as long as the test, and returns its URL.
func (s *server) newDatabase(t testing.TB, template string) string {
	t.Helper()
	name, err := s.createDatabase(t.Context(), template)
	if err != nil {
		t.Fatal("pgtest:", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if err := s.dropDatabase(ctx, name); err != nil {
			t.Error("pgtest:", err)
		}
	})
	return s.url(name)
}

// close drops the database of the transactions and stops the server if it was started here.
func (s *server) close() {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if s.pool != nil {
		s.pool.Close()
		s.dropDatabase(ctx, s.pool.Config().ConnConfig.Database)
	}
	s.admin.Close()
	s.stop()
}

func connect(ctx context.Context, url string, connections int32) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	config.MaxConns = connections
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, err
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, err
	}
	return pool, nil
}

// schemaHash tells one state of the migrations from another.
var schemaHash = sync.OnceValue(func() string {
	names, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil {
		panic(err) // only for a bad pattern
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, name := range names {
		text, err := migrations.FS.ReadFile(name)
		if err != nil {
			panic(err) // an embedded file can be read
		}
		fmt.Fprintf(sum, "%s %d\n%s", name, len(text), text)
	}
	return hex.EncodeToString(sum.Sum(nil)[:6])
})

// migrateUp is what the program does at start. It is done here once more, and not by calling the store, because the
// store's own tests use this package.
func migrateUp(url string) error {
	source, err := iofs.New(migrations.FS, ".")
	if err != nil {
		return err
	}
	_, rest, _ := strings.Cut(url, "://")
	m, err := migrate.NewWithSourceInstance("iofs", source, "pgx5://"+rest)
	if err != nil {
		return err
	}
	upErr := m.Up()
	sourceErr, databaseErr := m.Close()
	return errors.Join(upErr, sourceErr, databaseErr)
}

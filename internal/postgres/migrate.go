package postgres

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"github.com/golang-migrate/migrate/v4"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5" // registers the pgx5 scheme
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"

	"axlestand/migrations"
)

// Migrate brings the database at url to the newest schema. Instances that start together wait for each other on the
// library's advisory lock.
func Migrate(url string) error {
	return migration(url, (*migrate.Migrate).Up)
}

// migrateTo brings an empty database to the schema of a migration's number.
func migrateTo(url string, number uint) error {
	return migration(url, func(m *migrate.Migrate) error { return m.Migrate(number) })
}

func migration(url string, run func(*migrate.Migrate) error) error {
	source, err := iofs.New(migrations.FS, ".")
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	m, err := migrate.NewWithSourceInstance("iofs", source, pgx5Scheme(url))
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	runErr := run(m)
	if errors.Is(runErr, migrate.ErrNoChange) {
		runErr = nil
	}
	sourceErr, databaseErr := m.Close()
	if err := errors.Join(runErr, sourceErr, databaseErr); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

// newestMigration is the number of the last migration this program knows.
func newestMigration() uint {
	names, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil || len(names) == 0 {
		panic("the program has no migrations") // they are part of it
	}
	number, _, _ := strings.Cut(slices.Max(names), "_")
	n, err := strconv.ParseUint(number, 10, 32)
	if err != nil {
		panic("a migration without a number: " + slices.Max(names))
	}
	return uint(n)
}

// Outdated says whether the database at url holds a schema older than this program's: whether Migrate would change it.
func Outdated(ctx context.Context, db DBTX) (bool, error) {
	var known bool
	if err := db.QueryRow(ctx, "select to_regclass('public.schema_migrations') is not null").Scan(&known); err != nil || !known {
		return false, err
	}
	var number uint
	err := db.QueryRow(ctx, "select version from schema_migrations").Scan(&number)
	if errors.Is(err, pgx.ErrNoRows) {
		return false, nil
	}
	return number < newestMigration(), err
}

func pgx5Scheme(url string) string {
	for _, scheme := range []string{"postgres://", "postgresql://"} {
		if rest, ok := strings.CutPrefix(url, scheme); ok {
			return "pgx5://" + rest
		}
	}
	return url
}

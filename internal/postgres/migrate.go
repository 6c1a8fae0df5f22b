package postgres

import (
	"errors"
	"fmt"
	"strings"

	"github.com/golang-migrate/migrate/v4"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5" // registers the pgx5 scheme
	"github.com/golang-migrate/migrate/v4/source/iofs"

	"axlestand/migrations"
)

// Migrate brings the database at url to the newest schema. Instances that start together wait for each other on the
// library's advisory lock.
func Migrate(url string) error {
	source, err := iofs.New(migrations.FS, ".")
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	m, err := migrate.NewWithSourceInstance("iofs", source, pgx5Scheme(url))
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	upErr := m.Up()
	if errors.Is(upErr, migrate.ErrNoChange) {
		upErr = nil
	}
	sourceErr, databaseErr := m.Close()
	if err := errors.Join(upErr, sourceErr, databaseErr); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

func pgx5Scheme(url string) string {
	for _, scheme := range []string{"postgres://", "postgresql://"} {
		if rest, ok := strings.CutPrefix(url, scheme); ok {
			return "pgx5://" + rest
		}
	}
	return url
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/config"
	"axlestand/internal/localpg"
	"axlestand/internal/postgres"
)

// database is where the garage is kept: a Postgres given by its URL, or the private one that lives as long as the program.
type database struct {
	pool    *pgxpool.Pool
	local   *localpg.Cluster // nil when the URL was given
	backups string           // where the program saves by itself; empty when the URL was given
}

// openDatabase starts the private Postgres unless a URL is given, brings the schema up to date and connects.
func openDatabase(ctx context.Context, c config.Config, getenv func(string) string, log io.Writer) (*database, error) {
	d, url, err := startDatabase(ctx, c, getenv, log)
	if err != nil {
		return nil, err
	}
	if d.backups != "" {
		err = saveBeforeMigrating(ctx, url, d.backups, log)
	}
	if err == nil {
		err = postgres.Migrate(url)
	}
	if err == nil {
		d.pool, err = postgres.Open(ctx, url)
	}
	if err != nil {
		return nil, errors.Join(oneLine(err), d.close())
	}
	return d, nil
}

// startDatabase starts the private Postgres unless a URL is given, and says where the database is, whatever is in it.
func startDatabase(ctx context.Context, c config.Config, getenv func(string) string, log io.Writer) (*database, string, error) {
	var d database
	if c.DatabaseURL != "" {
		return &d, c.DatabaseURL, waitFor(ctx, c.DatabaseURL, log)
	}
	dir, err := dataDir(c, getenv)
	if err != nil {
		return nil, "", err
	}
	d.backups = filepath.Join(dir, "backups")
	d.local, err = localpg.Start(ctx, localpg.Options{Dir: dir, BinDir: c.PgBin, FetchNPM: c.FetchPostgres, Log: log})
	if err != nil {
		return nil, "", err
	}
	return &d, d.local.URL("axlestand"), nil
}

// dataDir is where the private Postgres keeps its data. The demo has its own usual place: who looks round in it first must not
// find it in the garage they then start.
func dataDir(c config.Config, getenv func(string) string) (string, error) {
	if c.Data != "" {
		return c.Data, nil
	}
	dir, err := localpg.DefaultDir(getenv, os.Geteuid())
	if err == nil && c.Demo {
		dir += "-demo"
	}
	return dir, err
}

// patience is how long a database that is still starting is waited for.
const patience = 30 * time.Second

// waitFor connects once, and tries again for a while as long as nothing answers or the answer is that it is starting.
func waitFor(ctx context.Context, url string, log io.Writer) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for try := 1; ; try++ {
		pool, err := postgres.Open(ctx, url)
		if err == nil {
			pool.Close()
			return nil
		}
		const cannotConnectNow = "57P03"
		if answer, ok := errors.AsType[*pgconn.PgError](err); ok && answer.Code != cannotConnectNow {
			return oneLine(err)
		}
		if _, ok := errors.AsType[*pgconn.ParseConfigError](err); ok {
			return oneLine(err)
		}
		if try == 1 {
			fmt.Fprintln(log, "Waiting for the database.")
		}
		select {
		case <-ctx.Done():
			return oneLine(err)
		case <-time.After(500 * time.Millisecond):
		}
	}
}

// oneLine folds the several lines that a connection's error comes in.
func oneLine(err error) error {
	return fmt.Errorf("%s", strings.Join(strings.Fields(err.Error()), " "))
}

// close ends the connections, then the private Postgres.
func (d *database) close() error {
	if d.pool != nil {
		d.pool.Close()
	}
	if d.local == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return d.local.Stop(ctx)
}

// ended is closed when the private Postgres has ended by itself; never when there is none.
func (d *database) ended() <-chan struct{} {
	if d.local == nil {
		return nil
	}
	return d.local.Done()
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"axlestand/internal/config"
	"axlestand/internal/localpg"
	"axlestand/internal/postgres"
)

// How many backups that the program made by itself are kept, the newest of each kind.
const keptBackups = 14

// The kinds of backup that the program makes by itself, as their names begin.
const (
	dailyBackup  = "day-"
	beforeSchema = "before-update-"
)

// backup writes all there is into one file. It works beside a running program too.
func backup(ctx context.Context, args []string, getenv func(string) string, stdout io.Writer) error {
	out, rest, err := takeOut(args)
	if err != nil {
		return err
	}
	c, err := config.Load(rest, getenv)
	if err != nil {
		return err
	}
	db, err := visitDatabase(ctx, c, getenv, stdout)
	if err != nil {
		return err
	}
	if out == "" {
		out = "axlestand-" + time.Now().Format("2006-01-02-150405") + ".zip"
	}
	m, err := backupTo(ctx, db.pool, out)
	if err == nil {
		fmt.Fprintf(stdout, "Saved to %s: %s. Keep a copy on another machine; whoever has the file has all of it.\n", out, contents(m))
	}
	return errors.Join(err, db.close())
}

// takeOut takes -out FILE from the arguments.
func takeOut(args []string) (out string, rest []string, err error) {
	for i := 0; i < len(args); i++ {
		name, value, joined := strings.Cut(args[i], "=")
		switch {
		case name != "-out" && name != "--out":
			rest = append(rest, args[i])
			continue
		case !joined && i+1 == len(args):
			return "", nil, errors.New("-out: name a file")
		case !joined:
			i++
			value = args[i]
		}
		out = value
	}
	return out, rest, nil
}

// takeFile takes the file from the arguments, where it stands before the flags or behind them.
func takeFile(args []string, getenv func(string) string) (name string, c config.Config, err error) {
	last := len(args) - 1
	switch {
	case last >= 0 && !strings.HasPrefix(args[0], "-"):
		c, err = config.Load(args[1:], getenv)
		return args[0], c, err
	case last >= 0 && !strings.HasPrefix(args[last], "-"):
		if c, err = config.Load(args[:last], getenv); err == nil { // else it belongs to the last flag
			return args[last], c, nil
		}
	}
	return "", c, errors.New("say which file: axlestand restore FILE")
}

func contents(m postgres.Manifest) string {
	rows := int64(0)
	for _, t := range m.Tables {
		rows += t.Rows
	}
	return fmt.Sprintf("%d records in %d tables", rows, len(m.Tables))
}

// backupTo writes a backup beside its place and puts it there when it is whole, so that a file of that name is always one
// that can be restored.
func backupTo(ctx context.Context, pool *pgxpool.Pool, name string) (m postgres.Manifest, err error) {
	f, err := os.CreateTemp(filepath.Dir(name), ".backup-*") // for the owner alone
	if err != nil {
		return m, err
	}
	m, err = postgres.Backup(ctx, pool, f, time.Now())
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return m, errors.Join(err, os.Remove(f.Name()))
	}
	return m, nil
}

// restore puts a backup in place of what there is. The program must not be running on the private Postgres.
func restore(ctx context.Context, args []string, getenv func(string) string, stdout io.Writer) error {
	name, c, err := takeFile(args, getenv)
	if err != nil {
		return err
	}
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	db, url, err := startDatabase(ctx, c, getenv, stdout)
	if errors.Is(err, localpg.ErrInUse) {
		return errors.New("end the running program first; nothing was changed")
	}
	if err != nil {
		return err
	}
	m, old, err := postgres.Restore(ctx, url, f, info.Size())
	if err == nil {
		fmt.Fprintf(stdout, "Restored what was saved on %s: %s. What was there before is in the database %s until the next restore.\n",
			m.Made.Local().Format("2 January 2006 at 15:04"), contents(m), old)
	}
	return errors.Join(err, db.close())
}

// saveBeforeMigrating makes a backup of a database that this program is about to change to a newer schema.
func saveBeforeMigrating(ctx context.Context, url, dir string, log io.Writer) error {
	pool, err := postgres.Open(ctx, url)
	if err != nil {
		return err
	}
	defer pool.Close()
	outdated, err := postgres.Outdated(ctx, pool)
	if err != nil || !outdated {
		return err
	}
	name, err := saveIn(ctx, pool, dir, beforeSchema, time.Now().Format("2006-01-02-150405"))
	if err != nil {
		return fmt.Errorf("no backup before the update, so nothing was changed: %w", err)
	}
	fmt.Fprintln(log, "Before the update everything was saved to", name)
	return nil
}

// saveIn makes a backup of a kind in a folder and clears the oldest of that kind away.
func saveIn(ctx context.Context, pool *pgxpool.Pool, dir, kind, stamp string) (string, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	name := filepath.Join(dir, kind+stamp+".zip")
	if _, err := backupTo(ctx, pool, name); err != nil {
		return "", err
	}
	all, err := filepath.Glob(filepath.Join(dir, kind+"*.zip"))
	if err != nil {
		return name, err
	}
	slices.Sort(all)
	for _, old := range all[:max(0, len(all)-keptBackups)] {
		err = errors.Join(err, os.Remove(old))
	}
	return name, err
}

// saveDaily makes a backup each day as long as ctx lasts: soon after the start when there is none of that day.
func saveDaily(ctx context.Context, pool *pgxpool.Pool, dir string, log *slog.Logger) {
	for wait := time.Minute; ; wait = time.Hour {
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
		stamp := time.Now().Format(time.DateOnly)
		if _, err := os.Stat(filepath.Join(dir, dailyBackup+stamp+".zip")); err == nil {
			continue
		}
		if name, err := saveIn(ctx, pool, dir, dailyBackup, stamp); err != nil && ctx.Err() == nil {
			log.Error("no daily backup", "error", err)
		} else if err == nil {
			log.Info("daily backup", "file", name)
		}
	}
}

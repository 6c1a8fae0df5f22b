package postgres

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
)

// Restore puts what a backup file holds in place of the database at address. The file is checked from end to end first: a
// damaged one, or one of a newer program, changes nothing. Then a new database is filled beside the old one, and takes its
// name; the old one stays under the name that is returned, until the next restore.
//
// It needs the right to create databases. Whoever is connected to the old database is cut off.
func Restore(ctx context.Context, address string, file io.ReaderAt, size int64) (m Manifest, old string, err error) {
	archive, err := zip.NewReader(file, size)
	if err != nil {
		return m, "", errors.New("this is not a backup file, or it is damaged")
	}
	if m, err = checkBackup(archive); err != nil {
		return m, "", err
	}
	target, err := url.Parse(address)
	if err != nil {
		return m, "", fmt.Errorf("database address: %w", err)
	}
	name := strings.TrimPrefix(target.Path, "/")
	fresh, old := name+"_restoring", name+"_before_restore"
	admin, err := pgx.Connect(ctx, withDatabase(target, "postgres"))
	if err != nil {
		return m, "", fmt.Errorf("to make a new database: %w", err)
	}
	defer admin.Close(context.WithoutCancel(ctx))
	if err := create(ctx, admin, fresh); err != nil {
		return m, "", err
	}
	if err := fillDatabase(ctx, withDatabase(target, fresh), archive, m); err != nil {
		_, dropErr := admin.Exec(context.WithoutCancel(ctx), "drop database if exists "+quoted(fresh))
		return m, "", errors.Join(err, dropErr)
	}
	return m, old, swap(ctx, admin, name, fresh, old)
}

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }

func withDatabase(address *url.URL, name string) string {
	u := *address
	u.Path = "/" + name
	return u.String()
}

// checkBackup reads a backup file from end to end and holds it against its manifest.
func checkBackup(archive *zip.Reader) (Manifest, error) {
	var m Manifest
	f, err := archive.Open(manifestName)
	if err != nil {
		return m, errors.New("this is not a backup file, or its end is missing")
	}
	defer f.Close()
	if err := json.NewDecoder(f).Decode(&m); err != nil {
		return m, errors.New("the backup file is damaged: its list of tables cannot be read")
	}
	if newest := newestMigration(); m.Format > backupFormat || m.Schema > newest {
		return m, fmt.Errorf("the backup was made by a newer program (schema %d, this one knows %d): restore it with that one", m.Schema, newest)
	}
	for _, t := range m.Tables {
		sum := sha256.New()
		if err := readEntry(archive, t.entry(), func(r io.Reader) error {
			_, err := io.Copy(sum, r)
			return err
		}); err != nil || sumText(sum) != t.SHA256 {
			return m, fmt.Errorf("the backup file is damaged: table %s is not what was written", t.Name)
		}
	}
	return m, nil
}

func readEntry(archive *zip.Reader, name string, read func(io.Reader) error) error {
	f, err := archive.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	return read(f)
}

// create makes an empty database, in place of one that an earlier restore left half made.
func create(ctx context.Context, admin *pgx.Conn, name string) error {
	if _, err := admin.Exec(ctx, "drop database if exists "+quoted(name)); err != nil {
		return fmt.Errorf("an earlier restore is in the way: %w", err)
	}
	if _, err := admin.Exec(ctx, "create database "+quoted(name)+" template template0 encoding 'UTF8'"); err != nil {
		return fmt.Errorf("make a new database: %w", err)
	}
	return nil
}

// fillDatabase brings an empty database to the backup's schema, copies the rows in, and goes on to the newest schema.
func fillDatabase(ctx context.Context, address string, archive *zip.Reader, m Manifest) error {
	if err := migrateTo(address, m.Schema); err != nil {
		return err
	}
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	err = pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error { return copyIn(ctx, tx, archive, m) })
	if err != nil {
		return fmt.Errorf("fill the new database: %w", err)
	}
	return Migrate(address)
}

// copyIn copies all rows in. References are taken off while the tables fill in any order and put back after that, which
// checks each of them.
func copyIn(ctx context.Context, tx pgx.Tx, archive *zip.Reader, m Manifest) error {
	known, err := tables(ctx, tx)
	if err != nil {
		return err
	}
	references, err := takeReferencesOff(ctx, tx)
	if err != nil {
		return err
	}
	for _, t := range known {
		if err := run(ctx, tx, "alter table "+quoted(t.Name)+" disable trigger user", "truncate "+quoted(t.Name)); err != nil {
			return err
		}
	}
	for _, t := range m.Tables {
		if !slices.ContainsFunc(known, func(k TableBackup) bool { return k.Name == t.Name }) {
			return fmt.Errorf("table %s is not part of schema %d", t.Name, m.Schema)
		}
		if err := t.copyIn(ctx, tx, archive); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	for name, last := range m.Sequences {
		if _, err := tx.Exec(ctx, "select setval($1::regclass, $2)", "public."+quoted(name), last); err != nil {
			return err
		}
	}
	if err := run(ctx, tx, references...); err != nil {
		return err
	}
	for _, t := range known {
		if err := run(ctx, tx, "alter table "+quoted(t.Name)+" enable trigger user"); err != nil {
			return err
		}
	}
	return nil
}

func run(ctx context.Context, tx pgx.Tx, statements ...string) error {
	for _, sql := range statements {
		if _, err := tx.Exec(ctx, sql); err != nil {
			return err
		}
	}
	return nil
}

// takeReferencesOff drops all foreign keys and returns the statements that put them back.
func takeReferencesOff(ctx context.Context, tx pgx.Tx) (back []string, err error) {
	rows, err := tx.Query(ctx, `select conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid)
		from pg_constraint
		where contype = 'f' and connamespace = 'public'::regnamespace
		order by 1, 2`)
	if err != nil {
		return nil, err
	}
	var off []string
	var table, name, definition string
	_, err = pgx.ForEachRow(rows, []any{&table, &name, &definition}, func() error {
		off = append(off, "alter table "+table+" drop constraint "+name)
		back = append(back, "alter table "+table+" add constraint "+name+" "+definition)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return back, run(ctx, tx, off...)
}

func (t *TableBackup) copyIn(ctx context.Context, tx pgx.Tx, archive *zip.Reader) error {
	return readEntry(archive, t.entry(), func(r io.Reader) error {
		sql := fmt.Sprintf("copy %s (%s) from stdin", quoted(t.Name), t.columns())
		tag, err := tx.Conn().PgConn().CopyFrom(ctx, r, sql)
		if err == nil && tag.RowsAffected() != t.Rows {
			err = fmt.Errorf("%d rows instead of %d", tag.RowsAffected(), t.Rows)
		}
		return err
	})
}

// swap gives the new database the old one's name. Should the second step fail, the first is taken back.
func swap(ctx context.Context, admin *pgx.Conn, name, fresh, old string) error {
	var exists bool
	if err := admin.QueryRow(ctx, "select exists (select from pg_database where datname = $1)", name).Scan(&exists); err != nil {
		return err
	}
	rename := func(from, to string) error {
		_, err := admin.Exec(ctx, "select pg_terminate_backend(pid) from pg_stat_activity where datname = $1 and pid <> pg_backend_pid()", from)
		if err != nil {
			return err
		}
		_, err = admin.Exec(ctx, "alter database "+quoted(from)+" rename to "+quoted(to))
		return err
	}
	if exists {
		if _, err := admin.Exec(ctx, "drop database if exists "+quoted(old)); err != nil {
			return err
		}
		if err := rename(name, old); err != nil {
			return fmt.Errorf("put the old database aside: %w", err)
		}
	}
	if err := rename(fresh, name); err != nil {
		if exists {
			err = errors.Join(err, rename(old, name))
		}
		return fmt.Errorf("put the new database in place: %w", err)
	}
	return nil
}

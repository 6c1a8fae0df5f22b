package postgres

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// backupFormat is the format of backup files that is written, and the newest that is read.
const backupFormat = 1

// manifestName is the entry of a backup file that says what is in the others.
const manifestName = "manifest.json"

// Manifest says what a backup file holds.
type Manifest struct {
	Format    int              `json:"format"`
	Schema    uint             `json:"schema"` // number of the last migration
	Made      time.Time        `json:"made"`
	Tables    []TableBackup    `json:"tables"`
	Sequences map[string]int64 `json:"sequences"` // last numbers given out
}

// TableBackup is one table in a backup file.
type TableBackup struct {
	Name    string   `json:"name"`
	Columns []string `json:"columns"`
	Rows    int64    `json:"rows"`
	SHA256  string   `json:"sha256"` // of the rows as they are in the file, not packed
}

// Backup writes all that the database holds at one moment into one file: a zip archive with the rows of each table as
// COPY writes them, and a manifest with checksums.
func Backup(ctx context.Context, pool *pgxpool.Pool, w io.Writer, now time.Time) (Manifest, error) {
	m := Manifest{Format: backupFormat, Made: now.UTC().Truncate(time.Second), Sequences: map[string]int64{}}
	archive := zip.NewWriter(w)
	snapshot := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	err := pgx.BeginTxFunc(ctx, pool, snapshot, func(tx pgx.Tx) error {
		if err := m.read(ctx, tx); err != nil {
			return err
		}
		for i := range m.Tables {
			if err := m.Tables[i].write(ctx, tx, archive, now); err != nil {
				return fmt.Errorf("table %s: %w", m.Tables[i].Name, err)
			}
		}
		return nil
	})
	if err == nil {
		err = m.write(archive, now)
	}
	if err = errors.Join(err, archive.Close()); err != nil {
		return m, fmt.Errorf("backup: %w", err)
	}
	return m, nil
}

// read lists the tables with their columns, and the sequences.
func (m *Manifest) read(ctx context.Context, tx pgx.Tx) error {
	var dirty bool
	err := tx.QueryRow(ctx, `select version, dirty from schema_migrations`).Scan(&m.Schema, &dirty)
	if err != nil {
		return fmt.Errorf("which schema it has: %w", err)
	}
	if dirty {
		return fmt.Errorf("migration %d was broken off half way", m.Schema)
	}
	if m.Tables, err = tables(ctx, tx); err != nil {
		return err
	}
	rows, err := tx.Query(ctx, `select sequencename::text, last_value
		from pg_sequences
		where schemaname = 'public' and last_value is not null`)
	if err != nil {
		return err
	}
	var name string
	var last int64
	_, err = pgx.ForEachRow(rows, []any{&name, &last}, func() error {
		m.Sequences[name] = last
		return nil
	})
	return err
}

// tables lists all tables but the migrations' own, with the columns that can be written.
func tables(ctx context.Context, db DBTX) ([]TableBackup, error) {
	rows, err := db.Query(ctx, `select c.relname::text, array_agg(a.attname::text order by a.attnum)
		from pg_class c
		join pg_attribute a on a.attrelid = c.oid
		where c.relnamespace = 'public'::regnamespace and c.relkind = 'r' and c.relname <> 'schema_migrations'
			and a.attnum > 0 and not a.attisdropped and a.attgenerated = ''
		group by c.relname
		order by c.relname`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (t TableBackup, err error) {
		err = row.Scan(&t.Name, &t.Columns)
		return t, err
	})
}

// columns is the column list of a COPY.
func (t *TableBackup) columns() string {
	list := ""
	for i, c := range t.Columns {
		if i > 0 {
			list += ", "
		}
		list += pgx.Identifier{c}.Sanitize()
	}
	return list
}

func (t *TableBackup) entry() string { return "tables/" + t.Name }

// write copies the table's rows into an entry of the archive.
func (t *TableBackup) write(ctx context.Context, tx pgx.Tx, archive *zip.Writer, now time.Time) error {
	entry, err := archive.CreateHeader(&zip.FileHeader{Name: t.entry(), Method: zip.Deflate, Modified: now})
	if err != nil {
		return err
	}
	sum := sha256.New()
	sql := fmt.Sprintf("copy %s (%s) to stdout", pgx.Identifier{t.Name}.Sanitize(), t.columns())
	tag, err := tx.Conn().PgConn().CopyTo(ctx, io.MultiWriter(entry, sum), sql)
	if err != nil {
		return err
	}
	t.Rows, t.SHA256 = tag.RowsAffected(), sumText(sum)
	return nil
}

func sumText(sum hash.Hash) string { return hex.EncodeToString(sum.Sum(nil)) }

func (m *Manifest) write(archive *zip.Writer, now time.Time) error {
	entry, err := archive.CreateHeader(&zip.FileHeader{Name: manifestName, Method: zip.Deflate, Modified: now})
	if err != nil {
		return err
	}
	e := json.NewEncoder(entry)
	e.SetIndent("", "  ")
	return e.Encode(m)
}

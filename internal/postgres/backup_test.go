package postgres_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/testdata"
)

var backupTime = time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)

// demoBackup is a backup of the demo garage.
func demoBackup(t *testing.T) ([]byte, postgres.Manifest) {
	t.Helper()
	pool := pgtest.Pool(t)
	records, err := exchange.ReadDemo(testdata.Demo, garage.DateOf(backupTime))
	if err != nil {
		t.Fatal(err)
	}
	if err := postgres.New(pool).Fill(t.Context(), records); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	manifest, err := postgres.Backup(t.Context(), pool, &file, backupTime)
	if err != nil {
		t.Fatal(err)
	}
	return file.Bytes(), manifest
}

func restore(t *testing.T, url string, file []byte) (postgres.Manifest, error) {
	t.Helper()
	m, old, err := postgres.Restore(t.Context(), url, bytes.NewReader(file), int64(len(file)))
	if err == nil {
		t.Cleanup(func() { drop(t, url, old) })
	}
	return m, err
}

// drop drops a database beside the one at url.
func drop(t *testing.T, url, name string) {
	pool, err := postgres.Open(context.Background(), url)
	if err == nil {
		_, err = pool.Exec(context.Background(), "drop database if exists "+name)
		pool.Close()
	}
	if err != nil {
		t.Error(err)
	}
}

// What is restored is what was saved, down to the numbers that come next; a second backup of it has the same checksums.
func TestRestore_brings_all_back(t *testing.T) {
	t.Parallel()
	file, saved := demoBackup(t)
	url := pgtest.Empty(t)
	if _, err := restore(t, url, file); err != nil {
		t.Fatal(err)
	}
	pool, err := postgres.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	var again bytes.Buffer
	restored, err := postgres.Backup(t.Context(), pool, &again, backupTime)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(saved, restored); diff != "" {
		t.Errorf("saved and restored differ:\n%s", diff)
	}
	rows := int64(0)
	for _, table := range saved.Tables {
		rows += table.Rows
	}
	if rows < 100 {
		t.Errorf("the demo garage has %d rows in all, so this proves little", rows)
	}
	if _, err := postgres.New(pool).CreateBin(t.Context(), garage.Bin{Name: "Shelf Q"}); err != nil {
		t.Errorf("nothing can be added after a restore: %v", err)
	}
}

// changed is a backup file with one entry's content changed, or left out when f returns nil.
func changed(t *testing.T, file []byte, entry string, f func([]byte) []byte) []byte {
	t.Helper()
	from, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	to := zip.NewWriter(&out)
	for _, x := range from.File {
		r, err := x.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if x.Name == entry {
			if content = f(content); content == nil {
				continue
			}
		}
		w, err := to.Create(x.Name)
		if err == nil {
			_, err = w.Write(content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// dataOf is where an entry's packed rows begin in a file.
func dataOf(t *testing.T, file []byte, entry string) int64 {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range archive.File {
		if f.Name == entry {
			at, err := f.DataOffset()
			if err != nil {
				t.Fatal(err)
			}
			return at
		}
	}
	t.Fatal("no entry", entry)
	return 0
}

// A file that is not whole, or comes from a newer program, changes nothing.
func TestRestore_refuses(t *testing.T) {
	t.Parallel()
	file, _ := demoBackup(t)
	newer := func(b []byte) []byte {
		var m postgres.Manifest
		if err := json.Unmarshal(b, &m); err != nil {
			t.Fatal(err)
		}
		m.Schema = 999_999
		b, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	flipped := bytes.Clone(file)
	flipped[dataOf(t, file, "tables/cars")+20] ^= 0x40
	gone := func([]byte) []byte { return nil }
	url := pgtest.Empty(t)
	if _, err := restore(t, url, file); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name string
		file []byte
		want string
	}{
		{"not a backup", []byte("cars, jobs, parts"), "not a backup file"},
		{"cut short", file[:len(file)-100], "not a backup file"},
		{"a bit flipped", flipped, "damaged"},
		{"a row changed", changed(t, file, "tables/cars", func(b []byte) []byte { return bytes.ToUpper(b) }), "table cars"},
		{"a table gone", changed(t, file, "tables/jobs", gone), "table jobs"},
		{"no manifest", changed(t, file, "manifest.json", gone), "its end is missing"},
		{"a newer program's", changed(t, file, "manifest.json", newer), "newer program"},
	} {
		if _, err := restore(t, url, test.file); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v, want %q", test.name, err, test.want)
		}
	}
	pool, err := postgres.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	var again bytes.Buffer
	if _, err := postgres.Backup(t.Context(), pool, &again, backupTime); err != nil || !bytes.Equal(sums(t, again.Bytes()), sums(t, file)) {
		t.Errorf("after refused restores the database is not what it was (%v)", err)
	}
}

// sums is the manifest of a backup file, which has the checksums of all tables.
func sums(t *testing.T, file []byte) (manifest []byte) {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := archive.Open("manifest.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	manifest, err = io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return manifest
}

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func noEnv(string) string { return "" }

// What is saved by one command is back after the other, over whatever came in between.
func TestRun_backupAndRestore(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	url := pool.Config().ConnString()
	file := filepath.Join(t.TempDir(), "garage.zip")
	do := func(args ...string) string {
		t.Helper()
		var out bytes.Buffer
		if err := run(t.Context(), append(args, "-database-url", url), noEnv, nil, &out); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	if _, err := postgres.New(pool).CreateBin(t.Context(), garage.Bin{Name: "Shelf A"}); err != nil {
		t.Fatal(err)
	}
	if out := do("backup", "-out", file); !strings.Contains(out, "Saved to "+file) {
		t.Errorf("backup says %q", out)
	}
	if _, err := postgres.New(pool).CreateBin(t.Context(), garage.Bin{Name: "Shelf B"}); err != nil {
		t.Fatal(err)
	}
	if out := do("restore", file); !strings.Contains(out, "_before_restore") {
		t.Errorf("restore says %q", out)
	}
	bins, err := postgres.New(pool).Bins(t.Context())
	if err != nil { // the first use finds its connection cut off
		bins, err = postgres.New(pool).Bins(t.Context())
	}
	if err != nil || len(bins) != 1 || bins[0].Name != "Shelf A" {
		t.Errorf("after the restore there are the bins %v, %v", bins, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file is open to others: %v, %v", info.Mode(), err)
	}
}

func TestRun_backupRefuses(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		args []string
		want string
	}{
		{[]string{"backup", "-out"}, "name a file"},
		{[]string{"restore"}, "say which file"},
		{[]string{"restore", "-data", "x"}, "say which file"},
		{[]string{"restore", filepath.Join(t.TempDir(), "none.zip")}, "no such file"},
		{[]string{"restore", "-data", "x", filepath.Join(t.TempDir(), "none.zip")}, "no such file"}, // flags first, as usual elsewhere
		{[]string{"restore", "-demo", filepath.Join(t.TempDir(), "none.zip")}, "no such file"},
	} {
		err := run(t.Context(), test.args, noEnv, nil, new(bytes.Buffer))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v: %v, want %q", test.args, err, test.want)
		}
	}
}

// Of the backups made by themselves the newest are kept.
func TestSaveIn_clearsOldOnes(t *testing.T) {
	t.Parallel()
	pool, dir := pgtest.Pool(t), t.TempDir()
	day := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	for range keptBackups + 2 {
		if _, err := saveIn(t.Context(), pool, dir, dailyBackup, day.Format(time.DateOnly)); err != nil {
			t.Fatal(err)
		}
		day = day.AddDate(0, 0, 1)
	}
	if _, err := saveIn(t.Context(), pool, dir, beforeSchema, "2027-03-01-120000"); err != nil {
		t.Fatal(err)
	}
	got, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(got) != keptBackups+1 || filepath.Base(got[1]) != "day-2027-03-03.zip" {
		t.Errorf("left are %d: %v, %v", len(got), got, err)
	}
}

// An older schema is saved before it is changed, the newest one is not.
func TestSaveBeforeMigrating(t *testing.T) {
	t.Parallel()
	pool, dir := pgtest.Pool(t), t.TempDir()
	url := pool.Config().ConnString()
	var log bytes.Buffer
	if err := saveBeforeMigrating(t.Context(), url, dir, &log); err != nil || log.Len() > 0 {
		t.Fatalf("of the newest schema: %q, %v", log.String(), err)
	}
	if _, err := pool.Exec(t.Context(), "update schema_migrations set version = version - 1"); err != nil {
		t.Fatal(err)
	}
	if err := saveBeforeMigrating(t.Context(), url, dir, &log); err != nil || !strings.Contains(log.String(), "everything was saved") {
		t.Errorf("of an older schema: %q, %v", log.String(), err)
	}
}

package pgtest

import (
	"context"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestMain(m *testing.M) { Main(m) }

func TestTx_is_migrated_and_rolled_back(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"first", "second"} {
		t.Run(name, func(t *testing.T) {
			tx := Tx(t)
			var settings int
			if err := tx.QueryRow(t.Context(), "select count(*) from settings").Scan(&settings); err != nil || settings != 1 {
				t.Errorf("%d rows of settings, %v", settings, err)
			}
			if _, err := tx.Exec(t.Context(), "create table only_here (n int)"); err != nil {
				t.Error("another test's transaction shows:", err)
			}
		})
	}
}

func TestPool_is_the_tests_own(t *testing.T) {
	t.Parallel()
	var first string
	t.Run("commits", func(t *testing.T) {
		pool := Pool(t)
		first = pool.Config().ConnConfig.Database
		if _, err := pool.Exec(t.Context(), "create table only_here as select 1 as n"); err != nil {
			t.Fatal(err)
		}
		other := Pool(t)
		var seen bool
		if err := other.QueryRow(t.Context(), "select to_regclass('only_here') is not null").Scan(&seen); err != nil || seen {
			t.Errorf("another pool sees the table: %v, %v", seen, err)
		}
		var version int
		if err := pool.QueryRow(t.Context(), "select version from schema_migrations where not dirty").Scan(&version); err != nil || version == 0 {
			t.Errorf("schema version %d, %v", version, err)
		}
	})
	if first == "" {
		t.SkipNow()
	}
	var left bool
	if err := Tx(t).QueryRow(t.Context(), "select exists (select from pg_database where datname = $1)", first).Scan(&left); err != nil || left {
		t.Errorf("the database is still there: %v, %v", left, err)
	}
}

func TestEmpty_has_no_tables(t *testing.T) {
	t.Parallel()
	conn, err := pgx.Connect(t.Context(), Empty(t))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var tables int
	if err := conn.QueryRow(t.Context(), "select count(*) from pg_tables where schemaname = 'public'").Scan(&tables); err != nil || tables != 0 {
		t.Errorf("%d tables, %v", tables, err)
	}
}

// again runs one test of this binary in a process of its own.
func again(t *testing.T, test string, env ...string) (string, error) {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.v", "-test.run=^"+test+"$")
	cmd.Env = append(append(os.Environ(), "AXLESTAND_TEST_DATABASE_URL=", "CI="), env...)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

func TestWithout_Postgres(t *testing.T) {
	t.Parallel()
	none := []string{"AXLESTAND_PG_BIN=/nonexistent", "DOCKER_HOST=unix:///nonexistent/docker.sock"}
	out, err := again(t, "TestEmpty_has_no_tables", none...)
	if err != nil || !strings.Contains(out, "--- SKIP") || !strings.Contains(out, "SKIPPED: every test that needs a database") {
		t.Errorf("want a loud skip, got %v\n%s", err, out)
	}
	out, err = again(t, "TestEmpty_has_no_tables", append(none, "CI=true")...)
	if err == nil || !strings.Contains(out, "no Postgres to test with") {
		t.Errorf("with CI=true want a failure, got %v\n%s", err, out)
	}
}

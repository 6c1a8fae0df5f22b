//go:build linux || darwin

package pgtest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// TestHang is a test binary that is killed; TestLocal_sweeps_after_a_kill runs it.
func TestHang(t *testing.T) {
	if os.Getenv("AXLESTAND_PGTEST_HANG") == "" {
		return // run by another test
	}
	pool := Pool(t)
	var data string
	if err := pool.QueryRow(t.Context(), "show data_directory").Scan(&data); err != nil {
		t.Fatal(err)
	}
	fmt.Println("\ndata:", data)
	time.Sleep(time.Minute)
}

func TestLocal_sweeps_after_a_kill(t *testing.T) {
	t.Parallel()
	if os.Getenv("AXLESTAND_TEST_DATABASE_URL") != "" {
		t.Skip("no local server")
	}
	Tx(t) // skips without Postgres
	cmd := exec.Command(os.Args[0], "-test.v", "-test.run=^TestHang$")
	cmd.Env = append(os.Environ(), "AXLESTAND_PGTEST_HANG=1")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var data string
	for lines := bufio.NewScanner(out); data == "" && lines.Scan(); {
		data, _ = strings.CutPrefix(lines.Text(), "data: ")
		if data == lines.Text() {
			data = ""
		}
	}
	cmd.Process.Kill()
	cmd.Wait()
	if _, err := os.Stat(filepath.Join(data, "PG_VERSION")); data == "" || err != nil {
		t.Skipf("the server was not a local one: %q, %v", data, err)
	}
	for deadline := time.Now().Add(30 * time.Second); ; time.Sleep(100 * time.Millisecond) {
		if out, err := again(t, "TestEmpty_has_no_tables"); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if _, err := os.Stat(filepath.Dir(data)); err != nil {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("%s is still there", filepath.Dir(data))
		}
	}
}

// someServer is the URL of a server that has other databases, and no template yet.
func someServer(t *testing.T) string {
	t.Helper()
	root, err := localRoot()
	if err != nil {
		t.Fatal(err)
	}
	lock, err := lockFile(filepath.Join(root, "lock"), syscall.LOCK_EX) // against another binary's sweep
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Close()
	dir, err := os.MkdirTemp(root, runPrefix)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	c, err := startCluster(dir)
	if errors.Is(err, errNone) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Stop(context.Background()) })
	return c.URL("axlestand")
}

func TestExternal_server(t *testing.T) {
	t.Parallel()
	external := someServer(t)
	admin, err := pgx.Connect(t.Context(), external)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(context.Background())
	old := time.Now().Add(-2 * time.Hour).Unix()
	for _, sql := range []string{
		"create database axlestand_test_stale", "comment on database axlestand_test_stale is '" + strconv.FormatInt(old, 10) + "'",
		"create database axlestand_test_fresh", "comment on database axlestand_test_fresh is '" + strconv.FormatInt(time.Now().Unix(), 10) + "'",
		"create database owners_own",
	} {
		if _, err := admin.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	out, err := again(t, "TestTx_is_migrated_and_rolled_back|TestPool_is_the_tests_own", "AXLESTAND_TEST_DATABASE_URL="+external)
	if err != nil || strings.Count(out, "--- PASS") < 5 {
		t.Errorf("%v\n%s", err, out)
	}
	rows, err := admin.Query(t.Context(), "select datname from pg_database where datname in ('axlestand_test_stale', 'axlestand_test_fresh', 'owners_own') order by 1")
	if err != nil {
		t.Fatal(err)
	}
	if left, err := pgx.CollectRows(rows, pgx.RowTo[string]); err != nil || strings.Join(left, " ") != "axlestand_test_fresh owners_own" {
		t.Errorf("left on the server: %v, %v; want all but the stale one", left, err)
	}
}

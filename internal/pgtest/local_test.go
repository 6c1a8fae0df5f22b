//go:build linux || darwin

package pgtest

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
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

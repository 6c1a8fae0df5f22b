package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// event is one line of `go test -json` (go doc test2json).
type event struct {
	Action, Package, Test, Output string
}

// onRequest are tests that ask for more than a machine under continuous integration must have. They may be skipped.
var onRequest = []string{
	"axlestand/internal/localpg TestStart_fetched_by_npm", // a package registry: AXLESTAND_TEST_NPM=1
}

// tests runs `go test ./...` and prints what it would print, plus every skipped test, which plain go test keeps to
// itself. With CI=true a skipped test fails the run.
func tests(race bool) error {
	ci := os.Getenv("CI") == "true"
	argv := []string{"test", "-json"}
	if ci {
		argv = append(argv, "-count=1")
	}
	if race {
		argv = append(argv, "-race")
	}
	cmd := exec.Command("go", append(argv, "./...")...)
	cmd.Stderr = os.Stdout
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	skipped, failed, err := report(os.Stdout, stdout)
	if err := errors.Join(err, cmd.Wait()); err != nil {
		fmt.Printf("FAIL: %s\n", strings.Join(failed, ", ")) // again, where the end of a long log is all that is read
		return err
	}
	skipped = slices.DeleteFunc(skipped, func(test string) bool { return slices.Contains(onRequest, test) })
	if ci && len(skipped) > 0 {
		fmt.Printf("FAIL: skipped, and CI=true allows none: %s\n", strings.Join(skipped, ", "))
		return errors.New("skipped tests")
	}
	return nil
}

// report prints the lines that go test prints without -json and lists the skipped and the failed tests.
func report(w io.Writer, events io.Reader) (skipped, failed []string, err error) {
	held := map[string]*strings.Builder{} // what a test said, until it is known whether that matters
	lines := bufio.NewScanner(events)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var e event
		if json.Unmarshal(lines.Bytes(), &e) != nil {
			fmt.Fprintln(w, lines.Text())
			continue
		}
		key := e.Package + " " + e.Test
		if held[key] == nil {
			held[key] = &strings.Builder{}
		}
		switch e.Action {
		case "output", "build-output":
			if e.Test == "" || e.Action == "build-output" {
				say(w, e.Output)
			} else if !strings.HasPrefix(e.Output, "=== ") {
				held[key].WriteString(e.Output)
			}
		case "fail":
			fmt.Fprint(w, held[key])
			failed = append(failed, strings.TrimSpace(key))
		case "skip":
			if e.Test != "" { // without one, the package has no tests
				skipped = append(skipped, key)
				fmt.Fprintf(w, "%s%s", e.Package+": ", held[key])
			}
		}
	}
	return skipped, failed, lines.Err()
}

// say passes on a package's own line, without the PASS that go test leaves out.
func say(w io.Writer, line string) {
	if line != "PASS\n" && line != "FAIL\n" && !strings.HasPrefix(line, "=== ") {
		fmt.Fprint(w, line)
	}
}

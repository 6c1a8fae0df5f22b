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
	"text/tabwriter"
	"time"
)

// trial is one part of what the planner is measured by: tests that say figures, or a benchmark.
type trial struct {
	name, folder string
	tests, bench string // patterns; one of them
}

var trials = []trial{
	{"every rule on generated garages", "./internal/planner", "^TestPlan_(HoldsEveryRule|SameBytesAgain|SameOnOneProcessorAndTwo)$", ""},
	{"garages worked out by hand", "./internal/planner", "^TestPlan_Scenarios$", ""},
	{"the best plan of small garages", "./internal/planner", "^TestExact", ""},
	{"reasons", "./internal/planner", "^TestReasons_", ""},
	{"what frees most, least set, forcing", "./internal/planner", "^Test(Frees|Unblock|Force)", ""},
	{"chances and learning", "./internal/planner", "^Test(Chances|Learn)", ""},
	{"a small change", "./internal/planner", "^TestPlan_Stable$", ""},
	{"60 jobs and a long search", "./internal/planner", "^TestPlan_NearLongSearch$", ""},
	{"at the edge of sense", "./internal/planner", "^TestPlan_Degenerate$", ""},
	{"growth", "./internal/planner", "^TestPlan_Scales$", ""},
	{"projects without sessions", "./internal/schedule", "^TestSolve_", ""},
	{"time", "./internal/planner", "", "^BenchmarkPlan$"},
	{"public projects", "./internal/schedule", "", "^BenchmarkPSPLIB$"},
}

// plannerTrials runs all trials one after the other and prints their figures. AXLESTAND_PROBLEMS says how many
// generated garages the first of them takes; the others follow in proportion.
func plannerTrials() error {
	if os.Getenv("AXLESTAND_PROBLEMS") == "" {
		if err := os.Setenv("AXLESTAND_PROBLEMS", "20000"); err != nil {
			return err
		}
	}
	var failed []string
	table := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	for _, x := range trials {
		start := time.Now()
		rows, err := x.run()
		state := "ok"
		if err != nil {
			state = "FAIL"
			failed = append(failed, x.name)
		}
		fmt.Fprintf(table, "%s\t%s\t%.0f s\t\n", state, x.name, time.Since(start).Seconds())
		for _, row := range rows {
			fmt.Fprintf(table, "\t  %s\n", strings.Join(row, "\t"))
		}
		if err := table.Flush(); err != nil {
			return err
		}
	}
	if failed != nil {
		return errors.New("failed: " + strings.Join(failed, ", "))
	}
	return nil
}

// run runs a trial and returns its figures.
func (x trial) run() ([][]string, error) {
	argv := []string{"test", "-count=1", "-json", "-timeout=2h", x.folder}
	if x.bench != "" {
		argv = append(argv, "-run=^$", "-benchmem", "-bench="+x.bench)
	} else {
		argv = append(argv, "-run="+x.tests)
	}
	cmd := exec.Command("go", argv...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	rows, ran, err := figures(os.Stdout, out)
	if err = errors.Join(err, cmd.Wait()); err == nil && ran == 0 {
		err = errors.New("nothing ran")
	}
	return rows, err
}

// figures picks out of the events of go test what the tests say as "figure: what | how much | aim" and the lines of
// benchmarks, and prints what failed tests say.
func figures(w io.Writer, events io.Reader) (rows [][]string, ran int, err error) {
	said := map[string][]string{}
	line := "" // of a benchmark, which comes in pieces
	lines := bufio.NewScanner(events)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var e event
		if json.Unmarshal(lines.Bytes(), &e) != nil {
			continue
		}
		switch e.Action {
		case "output":
			if _, row, found := strings.Cut(e.Output, ": figure: "); found {
				rows = append(rows, cells(row))
			}
			if _, why, found := strings.Cut(e.Output, ": left out: "); found && !slices.ContainsFunc(rows, func(r []string) bool { return r[0] == "left out" }) {
				rows = append(rows, []string{"left out", strings.TrimSpace(why)})
			}
			said[e.Test] = append(said[e.Test], e.Output)
			if strings.HasPrefix(e.Output, "Benchmark") || line != "" {
				line += e.Output
			}
			if strings.HasSuffix(line, "\n") {
				row := benchmarkCells(line)
				if leftOut := len(rows) > 0 && rows[len(rows)-1][0] == "left out"; row != nil && !leftOut {
					rows = append(rows, row)
				}
				if row != nil {
					ran++
				}
				line = ""
			}
		case "pass":
			if e.Test != "" {
				ran++
			}
		case "fail":
			fmt.Fprint(w, strings.Join(said[e.Test], ""))
		}
	}
	return rows, ran, lines.Err()
}

func cells(row string) []string {
	out := strings.Split(strings.TrimSpace(row), " | ")
	if len(out) == 3 {
		out[2] = "aim: " + out[2]
	}
	return out
}

// benchmarkCells takes a benchmark's line apart: its name without the number of processors, then its figures.
func benchmarkCells(line string) []string {
	fields := strings.Split(strings.TrimSpace(line), "\t")
	if len(fields) < 3 {
		return nil
	}
	name := strings.TrimSpace(fields[0])
	if i := strings.LastIndex(name, "-"); i > 0 {
		name = name[:i]
	}
	var out []string
	for _, f := range fields[2:] {
		out = append(out, strings.Join(strings.Fields(f), " "))
	}
	return []string{strings.TrimPrefix(name, "Benchmark"), strings.Join(out, ", ")}
}

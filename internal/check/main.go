// Command check runs everything the project's continuous integration runs, in order, and stops at the first failure:
//
//	go run ./internal/check         all of it
//	go run ./internal/check -fast   what fits before a commit: no linter, no licences, no other system, no tests
//	go run ./internal/check -race   all of it, the tests with the race detector, which wants a C compiler
//	go run ./internal/check notices writes the licences that the program prints anew, when a library changed
//	go run ./internal/check libraries looks up known weaknesses of the libraries and how old they are; it needs a line to the world
//	go run ./internal/check planner measures the planner, in numbers, and prints the figures; it takes a while
//
// It writes no file but for the notices. With CI=true the tests run uncached and a skipped test is a failure.
//
//go:generate go tool templ generate -path ../..
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// step is one check. It returns what is wrong, in words that end up on the screen.
type step struct {
	name string
	slow bool // left out by -fast
	run  func() error
}

var steps = []step{
	{name: "go.mod is tidy", run: command("go", "mod", "tidy", "-diff")},
	{name: "generated pages are current", run: command("go", "tool", "templ", "generate", "-check")},
	{name: "templates are formatted", run: templFormat},
	{name: "Go is formatted", run: silent(tool("gofumpt", "-l", "."))},
	{name: "words", run: words},
	{name: "go vet", run: command("go", "vet", "./...")},
	{name: "migrations", run: migrations},
	{name: "imports", run: command("go", "test", "./internal/archtest")},
	{name: "staticcheck", slow: true, run: command(tool("staticcheck", "./...")...)},
	{name: "licences of the libraries", slow: true, run: licences},
	{name: "licences that the program prints", slow: true, run: noticesCurrent},
	{name: "builds for macOS", slow: true, run: darwin},
}

func main() {
	fast := flag.Bool("fast", false, "only what fits before a commit")
	race := flag.Bool("race", false, "run the tests with the race detector")
	flag.Parse()
	if other := map[string]func() error{"planner": plannerTrials, "notices": writeNotices, "libraries": libraries}[flag.Arg(0)]; other != nil {
		if err := other(); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		return
	}
	err := run(*fast)
	if err == nil && !*fast {
		err = tests(*race) // last, and nothing follows go test's own lines
	}
	if err != nil {
		os.Exit(1)
	}
}

// run prints each step but the tests with its time.
func run(fast bool) error {
	for _, s := range steps {
		if fast && s.slow {
			continue
		}
		start := time.Now()
		err := s.run()
		took := time.Since(start).Seconds()
		if err != nil {
			fmt.Printf("FAIL  %6.1fs  %s\n%v\n", took, s.name, err)
			return err
		}
		fmt.Printf("ok    %6.1fs  %s\n", took, s.name)
	}
	return nil
}

// tool is the command line of a program pinned in internal/tools.
func tool(name string, args ...string) []string {
	return append([]string{"go", "tool", "-modfile=" + filepath.Join("internal", "tools", "go.mod"), name}, args...)
}

// command fails when the program fails, with all it said.
func command(argv ...string) func() error {
	return func() error {
		out, err := output(nil, argv...)
		if err != nil {
			return fmt.Errorf("%s%s: %w", clip(out), strings.Join(argv, " "), err)
		}
		return nil
	}
}

// clip keeps the first lines: the first is the one to mend first.
func clip(out []byte) string {
	lines := strings.SplitAfter(string(out), "\n")
	if len(lines) > 60 {
		lines = append(lines[:60], fmt.Sprintf("... and %d more lines\n", len(lines)-60))
	}
	return strings.Join(lines, "")
}

// silent fails when the program says anything on its standard output. The other one also has go's word of what it
// downloads.
func silent(argv []string) func() error {
	return func() error {
		out, err := exec.Command(argv[0], argv[1:]...).Output()
		if err != nil || len(out) > 0 {
			return fmt.Errorf("%s%s: not silent (%v)", clip(out), strings.Join(argv, " "), err)
		}
		return nil
	}
}

func output(env []string, argv ...string) ([]byte, error) {
	cmd := exec.Command(argv[0], argv[1:]...)
	cmd.Env = append(os.Environ(), env...)
	return cmd.CombinedOutput()
}

// templFormat compares instead of calling `templ fmt -fail`, which formats the files before it fails.
func templFormat() error {
	files, err := tracked()
	if err != nil {
		return err
	}
	templ, err := exec.Command("go", "tool", "-n", "templ").Output() // its binary: asking go for each file is slow
	if err != nil {
		return fmt.Errorf("go tool -n templ: %w", err)
	}
	var bad []string
	for _, name := range files {
		if filepath.Ext(name) != ".templ" {
			continue
		}
		have, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		want, err := exec.Command(strings.TrimSpace(string(templ)), "fmt", "-stdout", name).Output()
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if !bytes.Equal(have, want) {
			bad = append(bad, name)
		}
	}
	if bad != nil {
		return fmt.Errorf("not formatted: %s; run `go tool templ fmt .`", strings.Join(bad, " "))
	}
	return nil
}

// darwin builds the program for the other system that it runs on by itself.
func darwin() error {
	out, err := output([]string{"GOOS=darwin", "GOARCH=arm64", "CGO_ENABLED=0"}, "go", "build", "-o", os.DevNull, "./cmd/axlestand")
	if err != nil {
		return fmt.Errorf("%s%w", out, err)
	}
	return nil
}

// tracked lists the files that belong to the project: those git knows or would add, or where there is no git, all
// but the hidden folders'.
func tracked() ([]string, error) {
	out, err := exec.Command("git", "ls-files", "-z", "--cached", "--others", "--exclude-standard").Output()
	if err != nil {
		return walked()
	}
	var files []string
	for name := range strings.SplitSeq(string(out), "\x00") {
		if _, err := os.Stat(name); name != "" && !errors.Is(err, fs.ErrNotExist) {
			files = append(files, name)
		}
	}
	return files, nil
}

func walked() (files []string, err error) {
	err = filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && len(name) > 1 && name[0] == '.' && name != ".ci":
			return fs.SkipDir
		case d.Type().IsRegular():
			files = append(files, name)
		}
		return nil
	})
	return files, err
}

package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"time"
)

// tooOld is the age at which a library's version wants a reason to be used.
const tooOld = 3 * 365 * 24 * time.Hour

// finished are libraries that have not changed for long and are kept all the same, with the reason.
var finished = map[string]string{
	"github.com/jackc/pgerrcode":          "a list of Postgres' error codes, which golang-migrate reads; the codes it knows do not change",
	"github.com/jackc/pgpassfile":         "reads one small format that has not changed; kept by pgx's author, who releases pgx",
	"github.com/go-logr/stdr":             "tests only, below testcontainers-go: a hundred lines between two logging interfaces",
	"github.com/docker/go-units":          "tests only, below testcontainers-go: words for sizes",
	"github.com/opencontainers/go-digest": "tests only, below testcontainers-go: one format of hashes, version 1",
	"github.com/containerd/log":           "tests only, below testcontainers-go: names for a logger",
}

// library is one version of a module that the program or its tests are built from.
type library struct {
	Path, Version string
	Time          time.Time
	Main          bool
}

// libraries fails on known weaknesses that the code reaches, and on versions too old without a reason.
func libraries() error {
	used, err := usedLibraries()
	if err != nil {
		return err
	}
	err = ages(os.Stdout, used, time.Now())
	scan := exec.Command("go", tool("govulncheck", "./...")[1:]...)
	scan.Stdout, scan.Stderr = os.Stdout, os.Stderr
	if scanErr := scan.Run(); scanErr != nil {
		err = errors.Join(err, fmt.Errorf("govulncheck: %w", scanErr))
	}
	return err
}

func usedLibraries() ([]library, error) {
	out, err := exec.Command("go", "list", "-deps", "-test", "-f", `{{with .Module}}{{if not .Main}}{{.Path}}@{{.Version}}{{end}}{{end}}`, "./...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	names := strings.Fields(string(out))
	slices.Sort(names)
	out, err = exec.Command("go", append([]string{"list", "-m", "-json"}, slices.Compact(names)...)...).Output()
	if err != nil {
		return nil, fmt.Errorf("go list -m: %w", err)
	}
	var all []library
	for decoder := json.NewDecoder(strings.NewReader(string(out))); ; {
		var one library
		switch err := decoder.Decode(&one); {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, err
		}
		all = append(all, one)
	}
}

// ages prints them, the oldest first.
func ages(w io.Writer, all []library, now time.Time) error {
	slices.SortFunc(all, func(a, b library) int { return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Path, b.Path)) })
	var bad []string
	for _, v := range all {
		reason := ""
		if now.Sub(v.Time) > tooOld {
			if reason = finished[v.Path]; reason == "" {
				bad = append(bad, fmt.Sprintf("%s %s is of %s, and nothing says why that is good enough", v.Path, v.Version, v.Time.Format(time.DateOnly)))
			}
		}
		fmt.Fprintf(w, "%s  %s %s  %s\n", v.Time.Format(time.DateOnly), v.Path, v.Version, reason)
	}
	if bad != nil {
		return errors.New(strings.Join(bad, "\n"))
	}
	return nil
}

package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
)

var migrationName = regexp.MustCompile(`^(\d{6})_([a-z0-9_]+)\.(up|down)\.sql$`)

// migrations checks the names: numbers run from 1 without a hole or a double, and each way up has its way down.
func migrations() error {
	files, err := filepath.Glob("migrations/*.sql")
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return errors.New("no migrations found: run this from the top of the project")
	}
	for i, name := range files {
		if info, err := os.Stat(name); err != nil || info.Size() == 0 {
			return fmt.Errorf("%s is empty (%v)", name, err)
		}
		files[i] = filepath.Base(name)
	}
	return migrationNames(files)
}

func migrationNames(files []string) error {
	ways := map[string]string{} // number and name -> the ways seen
	for _, name := range files {
		m := migrationName.FindStringSubmatch(name)
		if m == nil {
			return fmt.Errorf("%s is not named like 000001_cars.up.sql", name)
		}
		ways[m[1]+"_"+m[2]] += m[3] + " "
	}
	var names []string
	for name := range ways {
		names = append(names, name)
	}
	slices.Sort(names)
	for i, name := range names {
		if want := fmt.Sprintf("%06d_", i+1); name[:7] != want {
			return fmt.Errorf("%s should have the number %s", name, want[:6])
		}
		if ways[name] != "up down " && ways[name] != "down up " {
			return fmt.Errorf("%s goes only %s", name, ways[name])
		}
	}
	return nil
}

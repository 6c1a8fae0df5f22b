package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// permissive are phrases of the licences that ask for no more than to be passed on: MIT, BSD, ISC, Apache 2.0 and,
// by file, MPL 2.0. The texts are those of spdx.org/licenses.
var permissive = regexp.MustCompile(`(?i)permission is hereby granted, free of charge|redistribution and use in source and binary forms|` +
	`permission to use, copy, modify, and(/or)? distribute this software|apache license\s+version 2\.0|mozilla public license,? version 2\.0`)

// licences reads the licence file of every module that the program or its tests are built from.
func licences() error {
	out, err := output(nil, "go", "list", "-deps", "-test", "-f", `{{with .Module}}{{if not .Main}}{{.Path}}|{{.Dir}}{{end}}{{end}}`, "./...")
	if err != nil {
		return fmt.Errorf("%s%w", out, err)
	}
	lines := strings.Fields(string(out))
	if len(lines) == 0 {
		return errors.New("go list names no library at all")
	}
	slices.Sort(lines)
	var bad []string
	for _, line := range slices.Compact(lines) {
		path, dir, _ := strings.Cut(line, "|")
		if err := licence(dir); err != nil {
			bad = append(bad, fmt.Sprintf("%s: %v", path, err))
		}
	}
	if bad != nil {
		return errors.New(strings.Join(bad, "\n"))
	}
	return nil
}

func licence(dir string) error {
	files, err := filepath.Glob(filepath.Join(dir, "[LlCU][IiOoNn][CcPpLl]*"))
	if err != nil {
		return err
	}
	for _, name := range files {
		if text, err := os.ReadFile(name); err == nil && permissive.Match(text) {
			return nil
		}
	}
	return fmt.Errorf("no permissive licence among %d licence files in %s", len(files), dir)
}

package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// noticesFile holds the licences of all that is built into the program, which the program prints.
var noticesFile = filepath.Join("cmd", "axlestand", "licences.txt")

// noticesCurrent fails when a library came, went or changed its licence since the file was written.
func noticesCurrent() error {
	want, err := notices()
	if err != nil {
		return err
	}
	if have, err := os.ReadFile(noticesFile); err != nil || !bytes.Equal(have, want) {
		return fmt.Errorf("%s is not current (%v); run `go run ./internal/check notices`", noticesFile, err)
	}
	return nil
}

// writeNotices writes the file anew.
func writeNotices() error {
	text, err := notices()
	if err != nil {
		return err
	}
	return os.WriteFile(noticesFile, text, 0o644)
}

// module is a library that the program is built from; the language's own has no version, so that the file is the same
// whichever release builds it.
type module struct{ path, dir string }

// notices are the licence texts of every module built in on any system, as each asks to be passed on.
func notices() ([]byte, error) {
	var modules []module
	for _, system := range []string{"linux amd64", "linux arm64", "darwin amd64", "darwin arm64"} {
		os, arch, _ := strings.Cut(system, " ")
		out, err := output([]string{"GOOS=" + os, "GOARCH=" + arch, "CGO_ENABLED=0"}, "go", "list", "-deps", "-f",
			`{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}|{{.Dir}}{{end}}{{end}}`, "./cmd/axlestand")
		if err != nil {
			return nil, fmt.Errorf("%s%w", out, err)
		}
		for line := range strings.Lines(string(out)) {
			if path, dir, ok := strings.Cut(strings.TrimSpace(line), "|"); ok {
				modules = append(modules, module{path, dir})
			}
		}
	}
	if len(modules) == 0 {
		return nil, errors.New("go list names no library at all")
	}
	root, err := output(nil, "go", "env", "GOROOT")
	if err != nil {
		return nil, fmt.Errorf("%s%w", root, err)
	}
	modules = append(modules, module{"The Go programming language and its library", strings.TrimSpace(string(root))})
	slices.SortFunc(modules, func(a, b module) int { return cmp.Compare(a.path, b.path) })
	var b bytes.Buffer
	b.WriteString("Built into this program, each under the terms that follow its name:\n")
	for _, m := range slices.Compact(modules) {
		if err := m.write(&b); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

// write adds the texts that lie beside a module, without the blanks at their lines' ends.
func (m module) write(b *bytes.Buffer) error {
	entries, err := os.ReadDir(m.dir)
	if err != nil {
		return err
	}
	fmt.Fprintf(b, "\n%s\n%s\n", strings.Repeat("=", 78), m.path)
	found := false
	for _, e := range entries {
		name := strings.ToUpper(e.Name())
		if e.IsDir() || !strings.HasPrefix(name, "LICEN") && !strings.HasPrefix(name, "COPYING") && !strings.HasPrefix(name, "NOTICE") && !strings.HasPrefix(name, "PATENTS") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(m.dir, e.Name()))
		if err != nil {
			return err
		}
		found = true
		fmt.Fprintf(b, "%s\n\n", strings.Repeat("-", 78))
		for line := range strings.Lines(strings.TrimSpace(strings.ReplaceAll(string(text), "\r", ""))) {
			fmt.Fprintln(b, strings.TrimRight(line, " \t\n"))
		}
	}
	if !found {
		return fmt.Errorf("%s: no licence in %s", m.path, m.dir)
	}
	return nil
}

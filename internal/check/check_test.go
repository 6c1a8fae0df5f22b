package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// The samples are pieced together so that the check does not find them here.
func TestWords(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"// TO" + "DO: later":                           "unfinished",
		"see /ho" + "me/ann/garage":                     "somebody's machine",
		"cp x '/wo" + "rk/y'":                           "somebody's machine",
		"FROM gh" + "cr.io/x/y":                         "registry",
		"npm config set https://regi" + "stry.x.org":    "registry",
		"t.Sk" + "ip(\"no\")":                           "skips itself",
		"s.Skipped(); working; XXXL; house/work/x; a.b": "",
		"GET /work-orders and the todo list":            "",
	} {
		got := strings.Join(wordsIn("internal/part/part_test.go", []byte("first\n"+line)), "\n")
		switch {
		case want == "" && got != "":
			t.Errorf("%q: %s", line, got)
		case want != "" && (!strings.Contains(got, want) || !strings.HasPrefix(got, "internal/part/part_test.go:2:")):
			t.Errorf("%q: got %q, want line 2 and %q", line, got, want)
		}
	}
	if got := wordsIn("internal/pgtest/pgtest.go", []byte("t.Sk"+"ip()")); got != nil {
		t.Errorf("the helper that may skip: %q", got)
	}
}

func TestMigrationNames(t *testing.T) {
	t.Parallel()
	for files, want := range map[string]string{
		"000001_a.up.sql 000001_a.down.sql 000002_b.down.sql 000002_b.up.sql": "",
		"000001_a.up.sql":                   "goes only up",
		"000002_a.up.sql 000002_a.down.sql": "should have the number 000001",
		"000001_a.up.sql 000001_b.down.sql": "goes only",
		"1_a.up.sql":                        "not named like",
		"000001_a.up.sql 000001_a.down.sql 000001_b.up.sql 000001_b.down.sql": "should have the number 000002",
	} {
		err := migrationNames(strings.Fields(files))
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: got %v, want %q", files, err, want)
		}
	}
}

func TestNotices(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for name, text := range map[string]string{"LICENSE.md": "May be used. \r\nFreely.\n\n", "NOTICE": "Made by us.", "README": "not this"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if err := (module{"x/y v1", dir}).write(&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"x/y v1\n", "May be used.\nFreely.\n", "Made by us.\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not in %q", want, out.String())
		}
	}
	if strings.Contains(out.String(), "not this") {
		t.Error("more than the licences is written")
	}
	if err := (module{"x/z v1", t.TempDir()}).write(&out); err == nil {
		t.Error("a library without a licence is taken")
	}
}

func TestAges(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 3, 5, 0, 0, 0, 0, time.UTC)
	used := []library{{Path: "x/new", Version: "v1", Time: now.AddDate(-1, 0, 0)}, {Path: "github.com/jackc/pgpassfile", Version: "v1", Time: now.AddDate(-8, 0, 0)}}
	var out strings.Builder
	if err := ages(&out, used, now); err != nil || !strings.Contains(out.String(), "kept by pgx's author") {
		t.Errorf("%v: %s", err, out.String())
	}
	err := ages(&out, append(used, library{Path: "x/old", Version: "v1", Time: now.AddDate(-3, 0, -2)}), now)
	if err == nil || !strings.Contains(err.Error(), "x/old v1") {
		t.Errorf("an old one without a reason is taken: %v", err)
	}
}

func TestLicence(t *testing.T) {
	t.Parallel()
	for text, ok := range map[string]bool{
		"MIT License\n\nPermission is hereby granted, free of charge, to any person":                            true,
		"                                 Apache License\n                           Version 2.0, January 2004": true,
		"GNU GENERAL PUBLIC LICENSE\nVersion 3":                                                                 false,
	} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "LICENSE.md"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := licence(dir); (err == nil) != ok {
			t.Errorf("%.30q: %v", text, err)
		}
	}
	if licence(t.TempDir()) == nil {
		t.Error("a module without a licence passes")
	}
}

// The events are as `go test -json` of Go 1.26 prints them.
func TestReport(t *testing.T) {
	t.Parallel()
	events := `{"Action":"run","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Test":"TestX","Output":"=== RUN   TestX\n"}
{"Action":"output","Package":"a","Test":"TestX","Output":"    a_test.go:3: no lift\n"}
{"Action":"output","Package":"a","Test":"TestX","Output":"--- SKIP: TestX (0.00s)\n"}
{"Action":"skip","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Test":"TestY","Output":"quiet\n"}
{"Action":"pass","Package":"a","Test":"TestY"}
{"Action":"output","Package":"a","Test":"TestZ","Output":"got 1, want 2\n"}
{"Action":"fail","Package":"a","Test":"TestZ"}
{"Action":"output","Package":"a","Output":"PASS\n"}
{"Action":"output","Package":"a","Output":"ok  \ta\t0.1s\n"}
{"Action":"output","Package":"b","Output":"?   \tb\t[no test files]\n"}
{"Action":"skip","Package":"b"}
`
	var out strings.Builder
	skipped, failed, err := report(&out, strings.NewReader(events))
	want := "a:     a_test.go:3: no lift\n--- SKIP: TestX (0.00s)\ngot 1, want 2\nok  \ta\t0.1s\n?   \tb\t[no test files]\n"
	if err != nil || !slices.Equal(skipped, []string{"a TestX"}) || !slices.Equal(failed, []string{"a TestZ"}) || out.String() != want {
		t.Errorf("skipped %q, failed %q, %v, said %q\nwant %q", skipped, failed, err, out.String(), want)
	}
}

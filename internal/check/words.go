package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// rule forbids a pattern in the project's text files, except below some folders.
type rule struct {
	why     string
	pattern *regexp.Regexp
	only    string   // suffix of the names that the rule is about
	except  []string // folders where the pattern may stand
}

// The patterns are pieced together where they would find themselves.
var rules = []rule{
	{why: "unfinished work", pattern: regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|XX` + `X|HA` + `CK)\b`)},
	{
		why:     "a path of somebody's machine",
		pattern: regexp.MustCompile(`(^|[\s"'(=` + "`" + `])/(home|Users|root|work|mnt|media)/[\w.]+`),
		except:  []string{"internal/localpg/"}, // looks for Postgres and for homes
	},
	{
		why:     "a package registry's host",
		pattern: regexp.MustCompile(`(?i)\b(registry|proxy|mirror|nexus|artifactory)[\w-]*\.[\w-]+\.(org|com|io|net|dev)\b|\b(docker|ghcr|gcr|quay)\.io\b|\bpypi\.org\b`),
	},
	{
		why:     "a test that skips itself: browsertest and pgtest have helpers for it, which fail under CI",
		pattern: regexp.MustCompile(`\.Ski` + `p(f|Now)?\(`),
		only:    ".go",
		except:  []string{"internal/browsertest/", "internal/pgtest/", "internal/localpg/", "internal/trade/unit/oracle_test.go"},
	},
}

// words looks for what must not be in the project.
func words() error {
	files, err := tracked()
	if err != nil {
		return err
	}
	var found []string
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		found = append(found, wordsIn(filepath.ToSlash(name), text)...)
	}
	if found != nil {
		return errors.New(strings.Join(found, "\n"))
	}
	return nil
}

func wordsIn(name string, text []byte) (found []string) {
	if bytes.IndexByte(text, 0) >= 0 || strings.HasSuffix(name, "go.sum") || strings.HasSuffix(name, "_templ.go") {
		return nil
	}
	for i, line := range bytes.Split(text, []byte("\n")) {
		for _, r := range rules {
			if hit := r.pattern.Find(line); hit != nil && r.concerns(name) {
				found = append(found, fmt.Sprintf("%s:%d: %s: %q", name, i+1, r.why, bytes.TrimSpace(hit)))
			}
		}
	}
	return found
}

func (r rule) concerns(name string) bool {
	for _, folder := range r.except {
		if strings.HasPrefix(name, folder) {
			return false
		}
	}
	return strings.HasSuffix(name, r.only)
}

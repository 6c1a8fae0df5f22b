package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"axlestand/internal/config"
)

func readme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// block is what stands in the first fenced block of a kind.
func block(t *testing.T, text, fence string) string {
	t.Helper()
	_, rest, found := strings.Cut(text, "\n```"+fence+"\n")
	inside, _, closed := strings.Cut(rest, "\n```\n")
	if !found || !closed {
		t.Fatalf("README.md has no block %q", fence)
	}
	return inside + "\n"
}

func TestReadme_ExampleIsPlannedAsShown(t *testing.T) {
	t.Parallel()
	text := readme(t)
	var got strings.Builder
	if err := runPlan(nil, strings.NewReader(block(t, text, "json")), &got); err != nil {
		t.Fatal(err)
	}
	if want := block(t, text, "text"); got.String() != want {
		t.Errorf("README.md shows\n%s\nthe program says\n%s", want, got.String())
	}
}

func TestReadme_ListsEverySetting(t *testing.T) {
	t.Parallel()
	text := readme(t)
	var usage strings.Builder
	config.Usage(&usage)
	settings := regexp.MustCompile(`AXLESTAND_[A-Z_]+`).FindAllString(usage.String(), -1)
	if len(settings) == 0 {
		t.Fatal("the program names no setting")
	}
	for _, name := range settings {
		if !strings.Contains(text, "`"+name+"`") {
			t.Errorf("README.md does not list %s", name)
		}
	}
}

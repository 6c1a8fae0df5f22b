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

// blocks are what stands in the fenced blocks of a kind.
func blocks(t *testing.T, text, fence string) []string {
	t.Helper()
	var out []string
	for _, rest := range strings.Split(text, "\n```"+fence+"\n")[1:] {
		inside, _, closed := strings.Cut(rest, "\n```\n")
		if !closed {
			t.Fatalf("README.md has a block %q without an end", fence)
		}
		out = append(out, inside+"\n")
	}
	if len(out) == 0 {
		t.Fatalf("README.md has no block %q", fence)
	}
	return out
}

// What the program prints for the example stands below each command that names it.
func TestReadme_ExampleIsPlannedAsShown(t *testing.T) {
	t.Parallel()
	text := readme(t)
	shown := blocks(t, text, "text")
	commands := regexp.MustCompile("`axlestand plan -in evening.json ([^`]+)`").FindAllStringSubmatch(text, -1)
	if len(commands) != len(shown) {
		t.Fatalf("README.md has %d commands and %d blocks of what they print", len(commands), len(shown))
	}
	for i, command := range commands {
		var got strings.Builder
		if err := runPlan(strings.Fields(command[1]), strings.NewReader(blocks(t, text, "json")[0]), &got); err != nil {
			t.Fatal(err)
		}
		if got.String() != shown[i] {
			t.Errorf("%s: README.md shows\n%s\nthe program says\n%s", command[0], shown[i], got.String())
		}
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

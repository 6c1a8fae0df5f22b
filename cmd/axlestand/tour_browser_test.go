package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"axlestand/internal/browsertest"
)

// TestBrowser_tour visits the pages of the demo garage that links lead to, a few of each kind, on every kind of screen: each
// answers, fits the screen, and runs without a script's error.
func TestBrowser_tour(t *testing.T) {
	t.Parallel()
	type tour struct {
		looks []browsertest.Option
		each  int // how many pages of one kind
	}
	tours := map[string]tour{
		"on the phone":       {nil, 2},
		"on the desktop":     {[]browsertest.Option{browsertest.Desktop}, 2},
		"without JavaScript": {[]browsertest.Option{browsertest.NoScript}, 1},
	}
	if os.Getenv("AXLESTAND_SHOTS") != "" { // in the dark nothing has another size
		tours["on the phone in the dark"] = tour{[]browsertest.Option{browsertest.Dark}, 1}
		tours["on the desktop at night"] = tour{[]browsertest.Option{browsertest.Desktop, browsertest.Dark}, 1}
	}
	for name, c := range tours {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday, "-demo")
			p := s.enter(c.looks...)
			walk(p, c.each, func(kind string, n int) {
				if p.Status() != 200 {
					t.Errorf("%s is answered %d", p.URL(), p.Status())
				}
				p.Fits()
				name := strings.NewReplacer("?", "_", "{", "", "}", "").Replace(kind[1:])
				p.Shot(name[:min(len(name), 80)] + "-" + string(rune('a'+n)))
			})
		})
	}
}

var number = regexp.MustCompile(`/\d+`)

// kindOf is an address without the numbers and the values of its query.
func kindOf(path string) string {
	kind, query, asks := strings.Cut(number.ReplaceAllString(path, "/{id}"), "?")
	if !asks {
		return kind
	}
	var names []string
	for pair := range strings.SplitSeq(query, "&") {
		name, _, _ := strings.Cut(pair, "=")
		names = append(names, name)
	}
	return kind + "?" + strings.Join(names, "&")
}

// walk follows every link from the page on, to so many pages of one kind at most, and calls look on each. Of one kind are
// addresses that differ in numbers and in the values of their queries alone.
func walk(p *browsertest.Page, each int, look func(kind string, n int)) {
	seen := map[string]int{}
	gone := map[string]bool{}
	for ahead := []string{"/", "/cars/3"}; len(ahead) > 0; ahead = ahead[1:] {
		path := ahead[0]
		path, _, _ = strings.Cut(path, "#")
		kind := kindOf(path)
		if gone[path] || seen[kind] >= each {
			continue
		}
		gone[path] = true
		p.Goto(path)
		look(kind, seen[kind])
		seen[kind]++
		ahead = append(ahead, browsertest.Eval[[]string](p, `[...document.querySelectorAll("a[href^='/']:not([download])")].map((a) => a.getAttribute("href"))`)...)
	}
}

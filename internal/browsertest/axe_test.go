package browsertest

import (
	"io"
	"net/http"
	"strings"
	"testing"
)

// TestAxe: what a page breaks is named; what it does only under the strict rules is not, under the usual ones.
func TestAxe(t *testing.T) {
	t.Parallel()
	NeedAxe(t)
	p := Open(t)
	p.Goto(Serve(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		io.WriteString(w, `<!doctype html><html lang="en"><head><meta name="viewport" content="width=device-width, initial-scale=1"><title>Bench</title></head><body>
			<main><h1>Bench</h1><address style="color: #666; background: #fff">Grey</address><input name="torque"><p style="color: #999; background: #fff">Pale</p>
			<button style="width: 12px; height: 12px; padding: 0" aria-label="Up"></button><button style="width: 12px; height: 12px; padding: 0" aria-label="Down"></button></main></body></html>`)
	})))
	strict, usual := p.Axe(AllRules), p.Axe(UsualRules)
	for _, rule := range []string{"label: input", "color-contrast: p", "target-size: button"} {
		if !strings.Contains(strict, rule) || !strings.Contains(usual, rule) {
			t.Errorf("no word of %q in:\n%s\nand\n%s", rule, strict, usual)
		}
	}
	if rule := "color-contrast-enhanced: address"; !strings.Contains(strict, rule) || strings.Contains(usual, "enhanced") {
		t.Errorf("%q is for the strict alone:\n%s\nand\n%s", rule, strict, usual)
	}
}

// TestPage_See: the same page is laid out anew for another screen, other colours and other sizes of text.
func TestPage_See(t *testing.T) {
	t.Parallel()
	p := Open(t)
	p.Goto(Serve(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		io.WriteString(w, `<!doctype html><html lang="en" style="font-size: 106.25%"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Bench</title><h1>Bench</h1>`)
	})))
	is := `[innerWidth, matchMedia("(prefers-color-scheme: dark)").matches, getComputedStyle(document.documentElement).fontSize].join(" ")`
	for want, v := range map[string]View{
		"390 false 17px":  {Width: 390, Height: 844},
		"320 true 17px":   {Width: 320, Height: 640, Dark: true},
		"390 false 34px":  {Width: 390, Height: 844, Text: 200},
		"1440 false 17px": {Width: 1440, Height: 900, Mouse: true},
	} {
		p.See(v)
		if got := Eval[string](p, is); got != want {
			t.Errorf("%v: %s, want %s", v, got, want)
		}
	}
}

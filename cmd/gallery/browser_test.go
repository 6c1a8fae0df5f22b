package main

import (
	"net/http"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/web"
)

// small finds what a gloved thumb would miss: controls lower than 48 px, 32 px for a link that stands in a text.
const small = `[...document.querySelectorAll("button, .btn, nav.nav a, .tabs a, a.row, summary, select, textarea, input:not([type=checkbox], [type=radio], [type=hidden])")]
	.filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 47.5)
	.map((e) => e.outerHTML.slice(0, 80) + " " + e.getBoundingClientRect().height)
	.join("\n")`

func TestEveryEntryFitsItsWindow(t *testing.T) {
	t.Parallel()
	base := browsertest.Serve(t, handler(web.Handler()))
	themes := []string{"light"} // colours do not change what fits; pictures are taken of both
	if os.Getenv("AXLESTAND_SHOTS") != "" {
		themes = append(themes, "dark")
	}
	for name, look := range map[string]browsertest.Option{"phone": browsertest.Phone, "desktop": browsertest.Desktop} {
		t.Run(name, func(t *testing.T) {
			p := browsertest.Open(t, look)
			for _, theme := range themes {
				for _, e := range entries {
					p.Goto(base + e.path() + "?theme=" + theme)
					p.Fits()
					if found := browsertest.Eval[string](p, small); found != "" && look == browsertest.Phone {
						t.Errorf("%s: too small to hit:\n%s", e.path(), found)
					}
					if strings.HasSuffix(e.Name, "-500") {
						continue // too long for a picture
					}
					p.Shot(strings.ReplaceAll(strings.Trim(e.path(), "/"), "/", "-") + "-" + theme)
				}
			}
		})
	}
}

func TestRowsAreAddedAndTakenOff(t *testing.T) {
	t.Parallel()
	base := browsertest.Serve(t, handler(web.Handler()))
	p := browsertest.Open(t)
	p.Goto(base + "/ui/fields")
	sends := func(name string) bool {
		return browsertest.Eval[bool](p, `new FormData(document.querySelector("form.form")).has("`+name+`")`)
	}
	if sends("needs.2.part") {
		t.Fatal("the form has a third row from the start")
	}
	p.Click("Add a part")
	if !sends("needs.2.part") || !sends("needs.2.qty") {
		t.Error("no third row is sent after one was added")
	}
	if got := browsertest.Eval[string](p, `document.activeElement.name + " " + document.activeElement.labels[0].innerText`); got != "needs.2.part Part" {
		t.Errorf("after adding a row the focus is on %q", got)
	}
	browsertest.Eval[bool](p, `document.querySelector("[data-remove]").click() ?? true`)
	if sends("needs.0.part") {
		t.Error("a row taken off is sent")
	}
	p.Click("Put back")
	if !sends("needs.0.part") {
		t.Error("a row put back is not sent")
	}
}

func TestWithoutScriptNothingIsOfferedThatNeedsIt(t *testing.T) {
	t.Parallel()
	base := browsertest.Serve(t, handler(web.Handler()))
	p := browsertest.Open(t, browsertest.NoScript)
	p.Goto(base + "/ui/fields")
	p.Lacks("Add a part", "Take off")
	p.Submit("Save job")
	p.Has(`needs.1.part = [""]`)
}

// A second tap sends nothing; when the page is shown again, as after going back, the form can be sent again.
func TestSecondTapIsIgnored(t *testing.T) {
	t.Parallel()
	var sent atomic.Int32
	gallery := handler(web.Handler())
	base := browsertest.Serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			sent.Add(1)
			w.WriteHeader(http.StatusNoContent) // the browser stays on the page
			return
		}
		gallery.ServeHTTP(w, r)
	}))
	p := browsertest.Open(t)
	p.Goto(base + "/ui/buttons")
	const tap = `(() => { const b = [...document.querySelectorAll("button")].find((b) => b.innerText === "Save"); b.click(); return b.disabled })()`
	wait := func() { time.Sleep(150 * time.Millisecond) } // less than what a second tap is ignored for
	browsertest.Eval[bool](p, tap)
	wait()
	if !browsertest.Eval[bool](p, tap) {
		t.Error("the button of a sent form can be pressed")
	}
	wait()
	if got := sent.Load(); got != 1 {
		t.Errorf("two taps sent the form %d times", got)
	}
	time.Sleep(400 * time.Millisecond)
	browsertest.Eval[bool](p, `dispatchEvent(new Event("pageshow"))`)
	if browsertest.Eval[bool](p, tap) {
		t.Error("the button rests on a page shown again")
	}
	wait()
	if got := sent.Load(); got != 2 {
		t.Errorf("sent %d times after the page was shown again, want 2", got)
	}
}

func TestThemeSwitch(t *testing.T) {
	t.Parallel()
	base := browsertest.Serve(t, handler(web.Handler()))
	paper := `getComputedStyle(document.documentElement).backgroundColor`
	for name, opts := range map[string][]browsertest.Option{"with script": {browsertest.Desktop}, "without": {browsertest.Desktop, browsertest.NoScript}} {
		t.Run(name, func(t *testing.T) {
			p := browsertest.Open(t, opts...)
			p.Goto(base + "/ui/table")
			light := browsertest.Eval[string](p, paper)
			p.Click("dark")
			p.Has("Colours")
			p.Goto(base + "/ui/lists")
			if dark := browsertest.Eval[string](p, paper); dark == light {
				t.Errorf("the next page is %s after dark was chosen", dark)
			}
			p.Click("light")
			p.Goto(base + "/ui/table")
			if again := browsertest.Eval[string](p, paper); again != light {
				t.Errorf("the next page is %s after light was chosen, want %s", again, light)
			}
		})
	}
}

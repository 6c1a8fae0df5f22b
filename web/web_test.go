package web

import (
	"compress/gzip"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

func get(t *testing.T, h http.Handler, path string) *http.Response {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Result()
}

func body(t *testing.T, r *http.Response) string {
	t.Helper()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestHandler(t *testing.T) {
	t.Parallel()
	for name, kind := range map[string]string{"app.css": "text/css", "js/app.js": "text/javascript", "icon.svg": "image/svg+xml"} {
		r := get(t, Handler(), Asset(name))
		if r.StatusCode != http.StatusOK || !strings.HasPrefix(r.Header.Get("Content-Type"), kind) || !strings.Contains(r.Header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s: %d, %q, %q", name, r.StatusCode, r.Header.Get("Content-Type"), r.Header.Get("Cache-Control"))
		}
	}
	old := get(t, Handler(), "/static/0123456789ab/app.css")
	if old.StatusCode != http.StatusOK || old.Header.Get("Cache-Control") != "no-cache" {
		t.Errorf("an address of an older release: %d, %q", old.StatusCode, old.Header.Get("Cache-Control"))
	}
	for _, path := range []string{Asset("none.css"), Asset("../web.go"), Base(), Asset(""), Asset("css")} {
		if r := get(t, Handler(), path); r.StatusCode != http.StatusNotFound {
			t.Errorf("%s answers %d, want 404", path, r.StatusCode)
		}
	}
	w := httptest.NewRecorder()
	Handler().ServeHTTP(w, httptest.NewRequest(http.MethodPost, Asset("app.css"), nil))
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST answers %d", w.Code)
	}
}

func TestHashFollowsEveryFile(t *testing.T) {
	t.Parallel()
	hash := func(files fstest.MapFS) string {
		b, err := load(files)
		if err != nil {
			t.Fatal(err)
		}
		return b.hash
	}
	one := hash(fstest.MapFS{"css/a.css": {Data: []byte("a")}, "js/a.js": {Data: []byte("b")}})
	for what, files := range map[string]fstest.MapFS{
		"a script changed": {"css/a.css": {Data: []byte("a")}, "js/a.js": {Data: []byte("c")}},
		"a file renamed":   {"css/a.css": {Data: []byte("a")}, "js/b.js": {Data: []byte("b")}},
		"a file added":     {"css/a.css": {Data: []byte("a")}, "js/a.js": {Data: []byte("b")}, "x.svg": {}},
	} {
		if hash(files) == one {
			t.Errorf("%s, and the address stays the same", what)
		}
	}
}

func TestDevHandlerReadsAnew(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "css"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"@layer ui { a {} }", "@layer ui { b {} }"} {
		if err := os.WriteFile(filepath.Join(dir, "css", "a.css"), []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		r := get(t, DevHandler(dir), Asset("app.css"))
		if got := body(t, r); !strings.Contains(got, want) || r.Header.Get("Cache-Control") != "no-cache" {
			t.Errorf("got %q, %q", got, r.Header.Get("Cache-Control"))
		}
	}
}

// Every sheet must say its layer: a rule outside of one would beat all others.
func TestStyleSheets(t *testing.T) {
	t.Parallel()
	css := string(tree().files["app.css"])
	if !strings.HasPrefix(css, layers) {
		t.Error("the order of the layers does not come first")
	}
	layer := regexp.MustCompile(`^@layer (reset|tokens|base|layout|ui|page) \{`)
	comment := regexp.MustCompile(`(?s)/\*.*?\*/`)
	for name, content := range tree().files {
		if !strings.HasPrefix(name, "css/") {
			continue
		}
		rest := strings.TrimSpace(comment.ReplaceAllString(string(content), ""))
		for rest != "" {
			if !layer.MatchString(rest) {
				t.Errorf("%s: outside of a layer: %.60q", name, rest)
				break
			}
			rest = strings.TrimSpace(rest[blockEnd(t, name, rest):])
		}
		for _, bad := range []string{"http:", "https:", "data:", "@import", "box-shadow"} {
			if strings.Contains(string(content), bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
	}
}

// blockEnd is where the first block of braces is closed.
func blockEnd(t *testing.T, name, css string) int {
	t.Helper()
	depth := 0
	for i, c := range css {
		switch c {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	t.Fatalf("%s: %d braces left open", name, depth)
	return 0
}

// tokens reads the custom properties of the first rule with that selector.
func tokens(t *testing.T, selector string) map[string]string {
	t.Helper()
	css := string(tree().files["css/tokens.css"])
	_, rule, ok := strings.Cut(css, selector+" {")
	if !ok {
		t.Fatalf("no rule for %s", selector)
	}
	rule, _, _ = strings.Cut(rule, "}")
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z-]+):\s*([^;]+);`).FindAllStringSubmatch(rule, -1) {
		out[m[1]] = m[2]
	}
	return out
}

// luminance is the relative luminance of an sRGB colour.
// Source: WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-relative-luminance.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("colour %q: want #rrggbb", hex)
	}
	channel := func(shift int) float64 {
		c := float64(n>>shift&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(16) + 0.7152*channel(8) + 0.0722*channel(0)
}

// contrast is the ratio of two colours. Source: WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	l1, l2 := luminance(t, a), luminance(t, b)
	return (max(l1, l2) + 0.05) / (min(l1, l2) + 0.05)
}

// The formula held to figures given elsewhere: 21 for black on white (the definition's own upper end), and for #767676 on
// white 4.54, the lightest grey that passes 4.5 (WebAIM contrast checker; from memory).
func TestContrastFormula(t *testing.T) {
	t.Parallel()
	for pair, want := range map[[2]string]float64{{"#000000", "#ffffff"}: 21, {"#767676", "#ffffff"}: 4.54, {"#777777", "#ffffff"}: 4.48} {
		if got := contrast(t, pair[0], pair[1]); math.Abs(got-want) > 0.005 {
			t.Errorf("%v: %.3f, want %.2f", pair, got, want)
		}
	}
}

// Text reaches 7:1 (WCAG 2.2, 1.4.6 Contrast (Enhanced), level AAA), the edges of fields 3:1 (1.4.11 Non-text Contrast).
func TestContrast(t *testing.T) {
	t.Parallel()
	for theme, selector := range map[string]string{"light": "  :root", "dark": ":root[data-theme=dark]", "dark by the device": ":root:not([data-theme=light])"} {
		c := tokens(t, selector)
		lowest := 99.0
		check := func(text, ground string, want float64) {
			got := contrast(t, c[text], c[ground])
			if want == 7 {
				lowest = min(lowest, got)
			}
			if got < want {
				t.Errorf("%s: %s on %s has %.2f:1, want %.0f:1", theme, text, ground, got, want)
			}
		}
		for _, ground := range []string{"paper", "sheet", "plate"} {
			for _, text := range []string{"ink", "soft", "act", "done", "wait", "stop", "loose"} {
				check(text, ground, 7)
			}
			check("edge", ground, 3)
			check("plate-rule", ground, 3)
		}
		check("act-ink", "act", 7)
		check("sheet", "ink", 7)
		t.Logf("%s: lowest contrast of text %.2f:1", theme, lowest)
	}
}

func TestDarkIsDarkEitherWay(t *testing.T) {
	t.Parallel()
	chosen, device := tokens(t, ":root[data-theme=dark]"), tokens(t, ":root:not([data-theme=light])")
	for name, value := range chosen {
		if device[name] != value {
			t.Errorf("--%s is %q when chosen and %q by the device", name, value, device[name])
		}
	}
	if len(device) != len(chosen) {
		t.Errorf("%d tokens when chosen, %d by the device", len(chosen), len(device))
	}
}

// A page on a slow line at the lift must not wait for its dress: 20 KB of style and 30 KB of script, packed, are the
// limits for the whole program.
func TestSizes(t *testing.T) {
	t.Parallel()
	js := ""
	for name, content := range tree().files {
		if strings.HasPrefix(name, "js/") {
			js += string(content)
		}
	}
	for what, size := range map[string][2]int{"css": {packed(t, string(tree().files["app.css"])), 20 << 10}, "js": {packed(t, js), 30 << 10}} {
		t.Logf("%s: %d bytes packed", what, size[0])
		if size[0] > size[1] {
			t.Errorf("%s is %d bytes packed, want at most %d", what, size[0], size[1])
		}
	}
}

func packed(t *testing.T, s string) int {
	t.Helper()
	var n counter
	z := gzip.NewWriter(&n)
	if _, err := io.WriteString(z, s); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return int(n)
}

type counter int

func (n *counter) Write(p []byte) (int, error) {
	*n += counter(len(p))
	return len(p), nil
}

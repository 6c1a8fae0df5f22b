package main

import (
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/htmltest"
	"axlestand/web/ui"
)

// visitor is a signed-in browser without a screen: it sends forms faster than any hand, and no browser's own checks stop it.
type visitor struct {
	*testing.T
	site    *site
	cookies []*http.Cookie
}

// visit signs one in by the demo's link.
func (s *site) visit() *visitor {
	s.Helper()
	s.handler.AllowEntry("visitor")
	v := &visitor{T: s.T, site: s}
	answer := v.send(http.MethodPost, "/enter", url.Values{"token": {"visitor"}})
	if v.cookies = answer.Result().Cookies(); len(v.cookies) == 0 {
		s.Fatal("not signed in:", answer.Code)
	}
	return v
}

func (v *visitor) send(method, path string, form url.Values) *httptest.ResponseRecorder {
	v.Helper()
	req := httptest.NewRequestWithContext(v.Context(), method, v.site.base+path, strings.NewReader(form.Encode()))
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for _, c := range v.cookies {
		req.AddCookie(c)
	}
	w := httptest.NewRecorder()
	v.site.handler.ServeHTTP(w, req)
	return w
}

// page gets one that must be there.
func (v *visitor) page(path string) htmltest.Node {
	v.Helper()
	w := v.send(http.MethodGet, path, nil)
	if w.Code != http.StatusOK {
		v.Fatalf("%s is answered %d", path, w.Code)
	}
	return htmltest.Parse(v.T, w.Body.String())
}

// paths are the addresses that links lead to, so many of each kind at most.
func (v *visitor) paths(each int) []string {
	v.Helper()
	var paths []string
	seen := map[string]int{}
	for ahead := []string{"/"}; len(ahead) > 0; ahead = ahead[1:] {
		path, _, _ := strings.Cut(ahead[0], "#")
		if kind := kindOf(path); !slices.Contains(paths, path) && seen[kind] < each {
			seen[kind]++
			paths = append(paths, path)
			for _, a := range v.page(path).FindAll("a[href]") {
				if strings.HasPrefix(a.Attr("href"), "/") {
					ahead = append(ahead, a.Attr("href"))
				}
			}
		}
	}
	return paths
}

// nasty is what people and their pets type into fields where it does not belong.
var nasty = map[string]string{
	"nothing":        "",
	"letters":        "abc",
	"below zero":     "-1",
	"far too large":  "99999999999999999999",
	"no such day":    "2027-02-31",
	"far past":       "0001-01-01",
	"far ahead":      "9999-12-31",
	"no such time":   "25:61",
	"10,001 letters": strings.Repeat("x", 10_001),
	"one word":       strings.Repeat("W", 200),
	"emoji":          "👩‍🔧🚗",
	"SQL":            "'; drop table cars; --",
	"HTML":           `"><b id="evil">x</b><script>evil()</script>`,
	"right to left":  "\u202e\u05d0\u05d1",
	"no character":   "\xff\xfe",
	"a lone return":  "a\rb\x07",
	"fraction":       "1,5",
	"exponent":       "1e9",
}

// TestMisuse types what does not belong there into every field of every form of the demo garage. Whatever it is, it is
// taken or refused with words beside the field, and never brings a page down.
func TestMisuse(t *testing.T) {
	t.Parallel()
	misuseOf := 5 // every fifth, which are others in each field: there are 18 values
	if os.Getenv("AXLESTAND_MISUSE") == "all" {
		misuseOf = 1
	}
	s := newSite(t, friday, "-demo")
	v := s.visit()
	paths := v.paths(1)
	leave := []string{"/signout", "/theme", "/account/password", "/account/signins/delete", "/account/signins/delete-others"}
	sent, tried := 0, 0
	for _, path := range paths {
		if v.send(http.MethodGet, path, nil).Code != http.StatusOK {
			continue // deleted by a form of a page before
		}
		for i, form := range v.page(path).FindAll("form[method=post]") {
			if slices.Contains(leave, form.Attr("action")) || !form.Has("button.primary") {
				continue
			}
			for _, field := range slices.Sorted(maps.Keys(form.FormValues())) {
				if field == ui.OnceField {
					continue
				}
				for _, name := range slices.Sorted(maps.Keys(nasty)) {
					if tried++; tried%misuseOf != 0 {
						continue
					}
					sent++
					v.misuse(fmt.Sprintf("%s in %s of %s", name, field, kindOf(path)), path, i, field, nasty[name])
				}
			}
		}
	}
	t.Log(sent, "forms sent")
	if sent < 1000 {
		t.Errorf("only %d forms were sent", sent)
	}
	for _, path := range paths {
		if w := v.send(http.MethodGet, path, nil); w.Code >= 500 {
			t.Errorf("after all that, %s is answered %d", path, w.Code)
		} else if htmltest.Parse(t, w.Body.String()).Has("#evil") {
			t.Errorf("%s lets markup through", path)
		}
	}
}

// misuse sends the i-th form of a page with one field changed.
func (v *visitor) misuse(what, path string, i int, field, value string) {
	v.Helper()
	w := v.send(http.MethodGet, path, nil)
	if w.Code >= http.StatusInternalServerError {
		v.Fatalf("before %s: %s is answered %d", what, path, w.Code)
	}
	forms := htmltest.Parse(v.T, w.Body.String()).FindAll("form[method=post]")
	if i >= len(forms) {
		return
	}
	form := forms[i].FormValues()
	form.Set(field, value)
	w = v.send(http.MethodPost, forms[i].Attr("action"), form)
	switch w.Code {
	case http.StatusOK: // shown for confirmation, nothing kept yet
		for _, problem := range htmltest.Problems(w.Body.String()) {
			v.Errorf("%s: %s", what, problem)
		}
	case http.StatusSeeOther, http.StatusNotFound, http.StatusConflict, http.StatusBadRequest:
	case http.StatusUnprocessableEntity:
		v.refused(what, w, field, value)
	default:
		v.Errorf("%s: answered %d: %s", what, w.Code, tail(w.Body))
	}
}

// refused wants a page that says what is wrong, and holds what was typed.
func (v *visitor) refused(what string, w *httptest.ResponseRecorder, field, value string) {
	v.Helper()
	body := w.Body.String()
	for _, problem := range htmltest.Problems(body) {
		v.Errorf("%s: %s", what, problem)
	}
	doc := htmltest.Parse(v.T, body)
	if doc.Has("#evil") {
		v.Errorf("%s: markup comes through", what)
	}
	if !doc.Has(".formerrors") && !doc.Has(".problem") {
		v.Errorf("%s: refused without a word", what)
	}
	typed := tidy(strings.ToValidUTF8(value, "\uFFFD"))
	shown, kept := false, false
	for _, in := range append(doc.FindAll("input"), doc.FindAll("textarea")...) {
		if slices.Contains([]string{"hidden", "password", "radio", "checkbox"}, in.Attr("type")) {
			continue
		}
		holds := in.Attr("value")
		if in.Tag() == "textarea" {
			holds = in.Text()
		}
		shown = shown || in.Attr("name") == field
		kept = kept || tidy(holds) == typed // rows that repeat close ranks: it may stand in another row
	}
	if shown && !kept {
		v.Errorf("%s: not kept", what)
	}
}

func tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

func tail(r io.Reader) string {
	text, err := io.ReadAll(r)
	if err != nil {
		return err.Error()
	}
	return string(text[max(0, len(text)-1500):])
}

package main

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/htmltest"
)

// follow gets the page that an answer leads to, with the flash that it sent along.
func (v *visitor) follow(w *httptest.ResponseRecorder) htmltest.Node {
	v.Helper()
	req := httptest.NewRequestWithContext(v.Context(), http.MethodGet, v.site.base+w.Header().Get("Location"), nil)
	for _, c := range append(slices.Clone(v.cookies), w.Result().Cookies()...) {
		req.AddCookie(c)
	}
	next := httptest.NewRecorder()
	v.site.handler.ServeHTTP(next, req)
	if next.Code != http.StatusOK {
		v.Fatalf("%s is answered %d", req.URL.Path, next.Code)
	}
	return htmltest.Parse(v.T, next.Body.String())
}

// everything is what the garage says of itself on the pages that lists and plans are on.
func (v *visitor) everything() string {
	v.Helper()
	var all []string
	for _, path := range []string{"/", "/plan", "/plan?from=2027-04-09", "/cars", "/cars/1", "/cars/2", "/cars/3", "/jobs?state=all", "/parts", "/bins", "/sessions", "/tools", "/cars/1/specs", "/cars/1/fluids", "/cars/1/wheels", "/bottles", "/wrenches", "/suppliers", "/orders?show=all", "/orders/2"} {
		switch w := v.send(http.MethodGet, path, nil); w.Code {
		case http.StatusOK:
			page := htmltest.Parse(v.T, w.Body.String())
			text := page.Find("main").Text()
			for _, change := range page.FindAll(".planchange") {
				text = strings.Replace(text, change.Text(), "", 1) // what became different does differ
			}
			all = append(all, path+": "+strings.Join(strings.Fields(text), " "))
		case http.StatusNotFound:
			all = append(all, path+": gone")
		default:
			v.Fatalf("%s is answered %d", path, w.Code)
		}
	}
	return strings.Join(all, "\n")
}

// TestUndo takes away one of each kind of thing in the demo garage, and brings it back: the garage says again what it said.
func TestUndo(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday, "-demo")
	v := s.visit()
	// What jobs rest on is not taken away, so that some of each kind is wanted that none does.
	for _, path := range []string{"/bins", "/parts", "/cars/1/access", "/cars/1/closing"} {
		v.send(http.MethodPost, path, url.Values{"name": {"Not used"}, "unit": {"piece"}, "minutes": {"10"}, "open_minutes": {"5"}, "close_minutes": {"5"}})
	}
	paths := v.paths(30)
	before := v.everything()
	done := map[string]bool{}
	for _, path := range paths {
		for _, form := range v.page(path).FindAll("form.one") {
			action := form.Attr("action")
			if strings.HasSuffix(action, "/delete") && !strings.HasPrefix(action, "/account") && !done[kindOf(action)] {
				done[kindOf(action)] = v.takeAwayAndBack(form, before)
			}
		}
	}
	for _, kind := range []string{
		"/access", "/arrivals", "/bins", "/cars", "/closing", "/donor-parts", "/jobs", "/needs", "/parts", "/phases", "/road-needs",
		"/sessions/exceptions", "/sessions/weekly", "/stages", "/tools", "/torque", "/wrenches", "/fluids",
		"/bottles", "/required-wheels", "/wheels", "/suppliers", "/orders", "/order-lines",
	} {
		if !done[kind+"/{id}/delete"] {
			t.Errorf("none of %s was taken away and back", kind)
		}
	}
}

// takeAwayAndBack presses a button that deletes and then the undo. It says whether the thing could be deleted.
func (v *visitor) takeAwayAndBack(form htmltest.Node, before string) bool {
	v.Helper()
	action := form.Attr("action")
	w := v.send(http.MethodPost, action, form.FormValues())
	if w.Code == http.StatusUnprocessableEntity {
		return false // others rest on it
	}
	page := v.follow(w)
	shown := v.everything() != before
	if !shown && !page.Has(".flash form") {
		return false
	}
	if !page.Has(".flash form") {
		v.Fatalf("%s cannot be undone: %s", action, page.Find(".flash").Text())
	}
	undo := page.Find(".flash form")
	if w := v.send(http.MethodPost, undo.Attr("action"), undo.FormValues()); w.Code != http.StatusSeeOther {
		v.Fatalf("%s is answered %d", undo.Attr("action"), w.Code)
	}
	if after := v.everything(); after != before {
		v.Fatalf("%s, undone:\n%s", action, firstDifference(before, after))
	}
	return shown
}

// firstDifference is the first line that is not the same.
func firstDifference(before, after string) string {
	was, is := strings.Split(before, "\n"), strings.Split(after, "\n")
	for i := range was {
		if i >= len(is) || was[i] != is[i] {
			return "was " + was[i] + "\n is " + strings.Join(is[i:min(i+1, len(is))], "")
		}
	}
	return ""
}

package main

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"axlestand/internal/htmltest"
	"axlestand/web"
	"axlestand/web/ui"
)

func TestEveryEntry(t *testing.T) {
	t.Parallel()
	if len(entries) < 10 {
		t.Fatalf("%d entries: the gallery lost some", len(entries))
	}
	seen := map[string]bool{}
	for _, e := range entries {
		t.Run(e.path(), func(t *testing.T) {
			if seen[e.path()] {
				t.Errorf("two entries at %s", e.path())
			}
			seen[e.path()] = true
			var b bytes.Buffer
			if err := e.Page(ui.Page{Title: "Sample", Assets: web.Base(), Path: e.path(), Theme: "dark", Build: "test"}).Render(t.Context(), &b); err != nil {
				t.Fatal(err)
			}
			htmltest.Check(t, b.String())
			if page := htmltest.Parse(t, b.String()); !page.Has("html[data-theme=dark]") {
				t.Error("the chosen theme is not on the page")
			}
		})
	}
}

func TestGallery(t *testing.T) {
	t.Parallel()
	h := handler(web.Handler())
	get := func(path string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		return w
	}
	index := get("/")
	htmltest.Check(t, index.Body.String())
	for _, link := range htmltest.Parse(t, index.Body.String()).FindAll("main a.row") {
		if got := get(link.Attr("href")).Code; got != http.StatusOK {
			t.Errorf("%s answers %d", link.Attr("href"), got)
		}
	}
	page := htmltest.Parse(t, index.Body.String())
	for _, asset := range []string{page.Find("link[rel=stylesheet]").Attr("href"), page.Find("link[rel=icon]").Attr("href"), page.Find("script").Attr("src")} {
		if got := get(asset).Code; got != http.StatusOK {
			t.Errorf("%s answers %d", asset, got)
		}
	}
	if got := get("/nowhere").Code; got != http.StatusNotFound {
		t.Errorf("/nowhere answers %d", got)
	}
}

func TestThemeReturnsOnlyToThisServer(t *testing.T) {
	t.Parallel()
	for back, want := range map[string]string{"/ui/table?a=b": "/ui/table?a=b", "//elsewhere.test/": "/", "https://elsewhere.test/": "/", `/\elsewhere.test`: "/"} {
		form := strings.NewReader(url.Values{"theme": {"dark"}, "back": {back}}.Encode())
		r := httptest.NewRequest(http.MethodPost, "/theme", form)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		handler(web.Handler()).ServeHTTP(w, r)
		if got := w.Result().Header.Get("Location"); got != want {
			t.Errorf("back %q leads to %q, want %q", back, got, want)
		}
	}
}

package server

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/a-h/templ"

	"axlestand/web"
	"axlestand/web/page"
	"axlestand/web/ui"
)

const (
	flashCookie = "axlestand_flash"
	themeCookie = "theme"
)

// base is what surrounds the page: title, place in the navigation, theme, and the flash of the last action.
func (s *Server) base(r *http.Request, title string, nav ui.Nav) page.Base {
	return page.Base{Page: ui.Page{
		Title:  title,
		Active: nav,
		Theme:  themeOf(r),
		Assets: web.Base(),
		Path:   backOf(r),
		Flash:  flashOf(r),
		Build:  s.build,
	}}
}

// backOf is where the theme switch returns to: this page, or for the answer to a POST the first page.
func backOf(r *http.Request) string {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return "/"
	}
	return r.URL.RequestURI()
}

// render writes a page; nothing is sent before all of it is there. What it says is the owner's and is not kept by caches.
func (s *Server) render(w http.ResponseWriter, r *http.Request, status int, c templ.Component) error {
	var b bytes.Buffer
	if err := c.Render(r.Context(), &b); err != nil {
		return fmt.Errorf("render: %w", err)
	}
	if _, err := cookieOf(r, flashCookie); err == nil {
		http.SetCookie(w, s.cookie(r, flashCookie, "", -1))
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, err := b.WriteTo(w)
	if err != nil {
		s.log.DebugContext(r.Context(), "the browser left before the page was sent", "error", err)
	}
	return nil
}

// redirect answers a POST that is done: on to a page of this program, which shows the flash once.
func (s *Server) redirect(w http.ResponseWriter, r *http.Request, to string, flash ui.Flash) error {
	if flash.Text != "" {
		value, err := flashValue(flash)
		if err != nil {
			return err
		}
		http.SetCookie(w, s.cookie(r, flashCookie, value, 60))
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// maxFlash is a little less than the 4,096 bytes that every browser keeps of a cookie (RFC 6265, section 6.1).
const maxFlash = 3900

// flashValue is the flash as a cookie. One too large to be kept is sent without its undo: better than no answer at all.
func flashValue(flash ui.Flash) (string, error) {
	text, err := json.Marshal(flash)
	if err != nil {
		return "", err
	}
	value := base64.RawURLEncoding.EncodeToString(text)
	if len(value) > maxFlash && flash.Undo != "" {
		return flashValue(ui.Flash{Text: flash.Text, Bad: flash.Bad})
	}
	if runes := []rune(flash.Text); len(value) > maxFlash && len(runes) > 300 {
		return flashValue(ui.Flash{Text: string(runes[:299]) + "…", Bad: flash.Bad})
	}
	return value, nil
}

// cookie is one for all pages of this program. It is Secure exactly when the browser came over https: over plain http a
// Secure cookie is dropped without a word. maxAge is in seconds, 0 lasts until the browser is closed.
func (s *Server) cookie(r *http.Request, name, value string, maxAge int) *http.Cookie {
	return &http.Cookie{
		Name: cookieName(r, name), Value: value, Path: "/", MaxAge: maxAge,
		HttpOnly: true, Secure: doorOf(r).https, SameSite: http.SameSiteLaxMode,
	}
}

// cookieName is the name of a cookie on this line. Over https its prefix says to the browser that it must be Secure; what has
// a prefix already keeps it.
func cookieName(r *http.Request, name string) string {
	if doorOf(r).https && !strings.HasPrefix(name, "__") {
		return "__Secure-" + name
	}
	return name
}

// cookieOf is the cookie of that name that the browser sent.
func cookieOf(r *http.Request, name string) (*http.Cookie, error) {
	return r.Cookie(cookieName(r, name))
}

// flashOf reads what the last action left to say. An undo that leads anywhere else than here is not offered.
func flashOf(r *http.Request) ui.Flash {
	c, err := cookieOf(r, flashCookie)
	if err != nil {
		return ui.Flash{}
	}
	flash := readFlash(c.Value)
	if flash.Undo != "" && localPath(flash.Undo) != flash.Undo {
		flash.Undo = ""
	}
	return flash
}

// readFlash is the other way round of flashValue; nonsense is no flash.
func readFlash(cookie string) ui.Flash {
	var flash ui.Flash
	text, err := base64.RawURLEncoding.DecodeString(cookie)
	if err != nil || json.Unmarshal(text, &flash) != nil {
		return ui.Flash{}
	}
	return flash
}

func themeOf(r *http.Request) string {
	if c, err := cookieOf(r, themeCookie); err == nil && (c.Value == "light" || c.Value == "dark") {
		return c.Value
	}
	return ""
}

// theme keeps the choice of light, dark or the device's own in the browser.
func (s *Server) theme(w http.ResponseWriter, r *http.Request) error {
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	chosen := s.cookie(r, themeCookie, form.Get("theme"), int((365 * 24 * time.Hour).Seconds()))
	chosen.HttpOnly = false // the script that switches without loading writes it too
	if chosen.Value != "light" && chosen.Value != "dark" {
		chosen.Value, chosen.MaxAge = "", -1
	}
	http.SetCookie(w, chosen)
	return s.redirect(w, r, localPath(form.Get("back")), ui.Flash{})
}

// localPath is the address when it leads to a page of this program, otherwise the first page.
func localPath(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "" || u.Host != "" || u.User != nil || !strings.HasPrefix(address, "/") ||
		strings.HasPrefix(address, "//") || strings.ContainsAny(address, "\\\r\n\t") {
		return "/"
	}
	return address
}

func sortedKeys(v url.Values) []string { return slices.Sorted(maps.Keys(v)) }

package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestTools(t *testing.T) {
	t.Parallel()

	t.Run("from the first one on", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.get("/tools").is(http.StatusOK).says("No special tools yet")
		s.fill("/tools/new", "form.form", url.Values{"name": {"Press"}, "here_from": {"2027-03-06"}, "here_to": {"2027-03-20"}}).to("/tools")
		doc := s.get("/tools").is(http.StatusOK).says("Press is in.", "from 6 Mar 2027 to 20 Mar 2027").doc()
		edit := doc.Find("table a").Attr("href")
		s.fill(edit, "form.form", url.Values{"name": {"Bench press"}, "here_from": {""}, "here_to": {""}, "capacity": {"2"}}).to("/tools")
		s.get("/tools").says("Bench press saved.", "always")
	})

	t.Run("refused with what was typed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		doc := s.fill("/tools/new", "form.form", url.Values{"name": {" "}, "capacity": {"two"}, "here_from": {"2027-03-20"}, "here_to": {"2027-03-06"}}).
			is(http.StatusUnprocessableEntity).says("Give it a name.", "A whole number, please.", "It goes back before it comes.").doc()
		if got := doc.Find("#f-capacity").Attr("value"); got != "two" {
			t.Errorf("shown as %q", got)
		}
	})

	t.Run("deleted and brought back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
		edit := s.get("/tools").doc().Find("table a").Attr("href")
		s.post(strings.TrimSuffix(edit, "/edit")+"/delete", nil).to("/tools")
		flash := s.get("/tools").says("Press deleted.", "No special tools yet").doc().Find(".flash form")
		s.get(edit).is(http.StatusNotFound)
		s.post(flash.Attr("action"), flash.FormValues()).to("/tools")
		s.get(edit).is(http.StatusOK)
	})

	t.Run("stale", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
		edit := s.get("/tools").doc().Find("table a").Attr("href")
		mine := s.get(edit).doc().Find("form.form").FormValues()
		s.fill(edit, "form.form", url.Values{"name": {"Small press"}}).to("/tools")
		mine.Set("name", "Large press")
		conflict := s.post(strings.TrimSuffix(edit, "/edit"), mine).is(http.StatusConflict).says("Small press", "Large press").doc()
		again := conflict.Find(".conflict form")
		s.post(again.Attr("action"), again.FormValues()).to("/tools")
		s.get("/tools").says("Large press")
	})

	t.Run("no such tool", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		for _, path := range []string{"/tools/1/edit", "/tools/0/edit", "/tools/x/edit", "/tools/99999999999999999999/edit"} {
			s.get(path).is(http.StatusNotFound)
		}
		s.post("/tools/1", url.Values{"name": {"Press"}}).is(http.StatusNotFound)
		s.post("/tools/1/delete", nil).is(http.StatusNotFound)
		s.post("/tools/1/restore", nil).is(http.StatusNotFound)
	})
}

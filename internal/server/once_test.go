package server

import (
	"net/http"
	"net/url"
	"sync"
	"testing"
	"time"

	"axlestand/internal/pgtest"
)

func (s *site) tools() int {
	s.Helper()
	tools, err := s.store.Tools(s.Context())
	if err != nil {
		s.Fatal(err)
	}
	return len(tools)
}

func TestOnce(t *testing.T) {
	t.Parallel()
	t.Run("a second tap", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		form := s.get("/tools/new").doc().Find("form.form").FormValues()
		form.Set("name", "Press")
		s.post("/tools", form).to("/tools")
		s.post("/tools", form).to("/tools")
		s.get("/tools").says("Press is in. It was sent twice and done once.")
		if n := s.tools(); n != 1 {
			t.Errorf("%d tools", n)
		}
	})
	t.Run("changed and sent again, or from a new page", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		form := s.get("/tools/new").doc().Find("form.form").FormValues()
		form.Set("name", "Press")
		s.post("/tools", form).to("/tools")
		form.Set("name", "Welder")
		s.post("/tools", form).to("/tools")
		s.fill("/tools/new", "form.form", url.Values{"name": {"Puller"}}).to("/tools")
		if n := s.tools(); n != 3 {
			t.Errorf("%d tools", n)
		}
	})
	t.Run("refused, then sent again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		form := s.get("/tools/new").doc().Find("form.form").FormValues()
		s.post("/tools", form).is(http.StatusUnprocessableEntity)
		s.post("/tools", form).is(http.StatusUnprocessableEntity).says("Not saved yet")
	})
	t.Run("what was done can still be undone", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.post("/tools", url.Values{"name": {"Press"}}).to("/tools")
		edit := s.get("/tools").doc().Find("main table a").Attr("href")
		remove := s.get(edit).doc().Find("form.one")
		s.post(remove.Attr("action"), remove.FormValues()).to("/tools")
		s.post(remove.Attr("action"), remove.FormValues()).to("/tools")
		undo := s.get("/tools").doc().Find(".flash form")
		s.post(undo.Attr("action"), undo.FormValues()).is(http.StatusSeeOther)
		if n := s.tools(); n != 1 {
			t.Errorf("%d tools", n)
		}
	})
	t.Run("many at the same moment", func(t *testing.T) {
		t.Parallel()
		s := setupUnclaimed(t, pgtest.Pool(t))
		s.claim()
		form := s.get("/tools/new").doc().Find("form.form").FormValues()
		form.Set("name", "Press")
		var all sync.WaitGroup
		for range 8 {
			all.Go(func() { s.post("/tools", form).to("/tools") })
		}
		all.Wait()
		if n := s.tools(); n != 1 {
			t.Errorf("%d tools", n)
		}
	})
}

// The memory does not grow for ever, and an old form is a new one again.
func TestOnceMemory_forgets(t *testing.T) {
	t.Parallel()
	var m onceMemory
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	key := func(i int) onceKey { return onceKey{byte(i), byte(i >> 8)} }
	for i := range 3 * onceMost {
		m.begin(key(i), now)
	}
	if len(m.forms) > onceMost+1 {
		t.Errorf("%d forms remembered", len(m.forms))
	}
	last := key(3*onceMost - 1)
	if _, mine := m.begin(last, now.Add(onceFor-time.Second)); mine {
		t.Error("forgotten too early")
	}
	if _, mine := m.begin(last, now.Add(onceFor)); !mine {
		t.Error("remembered too long")
	}
}

package server

import (
	"bytes"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

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

// sendKept sends a form as the script of the outbox does.
func (s *site) sendKept(path, key string, form url.Values) answer {
	s.Helper()
	return s.do(s.request(http.MethodPost, path, form.Encode(), "Idempotency-Key", key, "X-Axlestand-Outbox", "1"))
}

func TestOnce_outbox(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.sendKept("/tools", "k1", url.Values{"name": {"Press"}}).is(http.StatusNoContent)
	s.sendKept("/tools", "k1", url.Values{"name": {"Press"}}).is(http.StatusNoContent)
	if n := s.tools(); n != 1 {
		t.Errorf("%d tools after one key was sent twice", n)
	}
	s.sendKept("/tools", "k1", url.Values{"name": {"Welder"}}).is(http.StatusUnprocessableEntity).says("Something else was sent")
	s.sendKept("/bins", "k1", url.Values{"name": {"Press"}}).is(http.StatusUnprocessableEntity)
	if n := s.tools(); n != 1 {
		t.Errorf("%d tools after another body under the same key", n)
	}

	// What is refused is not done, and its key is free for the corrected form.
	s.sendKept("/tools", "k2", url.Values{"name": {""}}).is(http.StatusUnprocessableEntity)
	s.sendKept("/tools", "k2", url.Values{"name": {"Puller"}}).is(http.StatusNoContent)
	if n := s.tools(); n != 2 {
		t.Errorf("%d tools after the corrected form", n)
	}
	for _, key := range []string{strings.Repeat("k", 201), "two words", "ключ"} {
		s.sendKept("/tools", key, url.Values{"name": {"Vice"}}).is(http.StatusBadRequest)
	}
	s.get("/tools").says("Press", "Puller")

	// Signed out, it waits; signed in again, it is the owner's still.
	s.post("/signout", nil)
	s.sendKept("/tools", "k3", url.Values{"name": {"Vice"}}).is(http.StatusUnauthorized).says(`"message":"This browser was signed out`)
	s.post("/signin", url.Values{"password": {ownersPassword}}).to("/")
	s.sendKept("/tools", "k1", url.Values{"name": {"Press"}}).is(http.StatusNoContent)
	s.sendKept("/tools", "k3", url.Values{"name": {"Vice"}}).is(http.StatusNoContent)
	if n := s.tools(); n != 3 {
		t.Errorf("%d tools after signing in again", n)
	}
}

// TestOnce_parallel sends each of some forms to two servers on one database many times at once.
func TestOnce_parallel(t *testing.T) {
	t.Parallel()
	s := setupUnclaimed(t, pgtest.Pool(t))
	s.claim()
	other := *s
	web := httptest.NewServer(New(s.server.options))
	t.Cleanup(web.Close)
	other.url = web.URL // the cookies do not know ports: it is signed in there too
	var all sync.WaitGroup
	for i := range 4 {
		name := url.Values{"name": {fmt.Sprint("Tool ", i)}}
		for range 3 {
			all.Go(func() { s.sendKept("/tools", fmt.Sprint(i), name).is(http.StatusNoContent) })
			all.Go(func() { other.sendKept("/tools", fmt.Sprint(i), name).is(http.StatusNoContent) })
		}
	}
	all.Wait()
	if n := s.tools(); n != 4 {
		t.Errorf("%d tools, want 4", n)
	}
}

// TestOnce_planInside: what a plan says inside a form that is then refused is not what the next page shows.
func TestOnce_planInside(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	s.addJob(s.addCar(), "Rear brakes")
	s.get("/plan").says("Rear brakes")
	s.sendKept("/plan/what-if", "w", url.Values{"if": {"nonsense"}, "version": {"0"}})
	s.get("/plan").is(http.StatusOK).says("Rear brakes")
}

// The boundary between the parts of an upload is new each time it is sent; what is in them counts.
func TestOnce_upload(t *testing.T) {
	t.Parallel()
	s := setup(t)
	done := 0
	handler := s.server.once(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if file, _, err := r.FormFile("photo"); err != nil {
			t.Error(err)
		} else {
			file.Close()
		}
		done++
		w.WriteHeader(http.StatusNoContent)
	}))
	send := func(content string) int {
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		part, err := form.CreateFormFile("photo", "a.jpg")
		if err != nil {
			t.Fatal(err)
		}
		io.WriteString(part, content)
		form.Close()
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/steps/1/photos", &body)
		r.Header.Set("Content-Type", form.FormDataContentType())
		r.Header.Set("Idempotency-Key", "key-1")
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w.Code
	}
	if a, b := send("one"), send("one"); a != http.StatusNoContent || b != http.StatusSeeOther || done != 1 {
		t.Errorf("%d and %d, done %d times", a, b, done)
	}
	if status := send("two"); status != http.StatusUnprocessableEntity || done != 1 {
		t.Errorf("another photo: %d, done %d times", status, done)
	}
}

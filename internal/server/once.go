package server

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"io"
	"maps"
	"net/http"
	"net/url"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/ui"
)

// What is sent twice is done once: a second tap in the dark, the next try after an answer that a bad line lost, what a phone
// kept while it had no line at all. A form carries a word of its own, new each time its page is made; what a script sends
// carries a key in its head. Under that key the store keeps, in one transaction with all that was done, what was answered.

const (
	// keyHeader is the head that names an operation.
	keyHeader = "Idempotency-Key"
	// outboxHeader says that a script sent it, which follows no redirect: it is answered 204 when it is done.
	outboxHeader = "X-Axlestand-Outbox"
	maxKey       = 200
)

// once does a form the first time it comes, and answers alike each time.
func (s *Server) once(next http.Handler) http.Handler {
	return s.handle(func(w http.ResponseWriter, r *http.Request) error {
		kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";")
		if r.Method != http.MethodPost || kind != "application/x-www-form-urlencoded" {
			next.ServeHTTP(w, r)
			return nil
		}
		form, err := readForm(w, r)
		if err != nil {
			return err
		}
		op, err := operationOf(r, form)
		if err != nil {
			return err
		}
		if op.Key == "" {
			next.ServeHTTP(w, r)
			return nil
		}
		var held heldAnswer
		answer, before, err := s.store.Once(r.Context(), op, func(ctx context.Context) (garage.Answered, bool) {
			held = heldAnswer{head: w.Header().Clone()}
			next.ServeHTTP(&held, r.WithContext(ctx))
			return held.answered()
		})
		switch {
		case err != nil:
			return err
		case before:
			return s.answerAgain(w, r, answer)
		case held.status == http.StatusSeeOther && r.Header.Get(outboxHeader) != "":
			w.WriteHeader(http.StatusNoContent)
			return nil
		}
		return held.send(w)
	})
}

// operationOf names what a form asks for; without a key it has none. The word of a form says nothing by itself: what was
// changed before it is sent again is another form. The key of a script stands for one thing alone.
func operationOf(r *http.Request, form url.Values) (garage.Operation, error) {
	sum := sha256.Sum256([]byte(r.URL.Path + "?" + form.Encode()))
	op := garage.Operation{Actor: actorOf(r), Key: r.Header.Get(keyHeader), Request: sum[:]}
	if len(op.Key) > maxKey || strings.ContainsFunc(op.Key, func(c rune) bool { return c < 0x21 || c > 0x7e }) {
		return op, statusError(http.StatusBadRequest)
	}
	if op.Key == "" && form.Get(ui.OnceField) != "" {
		op.Key = base64.RawURLEncoding.EncodeToString(sum[:])
	}
	return op, nil
}

// actorOf is who sends. An operation that waited while the owner was signed out is still the owner's.
func actorOf(*http.Request) string { return "owner" }

// answerAgain answers what was done before.
func (s *Server) answerAgain(w http.ResponseWriter, r *http.Request, answer garage.Answered) error {
	if r.Header.Get(outboxHeader) != "" {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	flash := readFlash(answer.Flash)
	flash.Text = strings.TrimSpace(flash.Text + " It was sent twice and done once.")
	return s.redirect(w, r, answer.Location, flash)
}

// heldAnswer keeps an answer until what it says is true: until the transaction is committed.
type heldAnswer struct {
	head   http.Header
	status int
	body   bytes.Buffer
}

func (h *heldAnswer) Header() http.Header { return h.head }

func (h *heldAnswer) WriteHeader(status int) {
	if h.status == 0 {
		h.status = status
	}
}

func (h *heldAnswer) Write(b []byte) (int, error) {
	h.WriteHeader(http.StatusOK)
	return h.body.Write(b)
}

// answered is what to keep of it. A form that is done leads on; any other answer says that it was not.
func (h *heldAnswer) answered() (garage.Answered, bool) {
	answer := garage.Answered{Status: h.status, Location: h.head.Get("Location")}
	for _, line := range h.head["Set-Cookie"] {
		if c, err := http.ParseSetCookie(line); err == nil && c.Name == flashCookie {
			answer.Flash = c.Value
		}
	}
	return answer, h.status == http.StatusSeeOther
}

func (h *heldAnswer) send(w http.ResponseWriter) error {
	maps.Copy(w.Header(), h.head)
	if h.status != 0 {
		w.WriteHeader(h.status)
	}
	_, _ = io.Copy(w, &h.body) // a browser that left misses nothing that was not done
	return nil
}

package server

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
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
		var op garage.Operation
		kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";")
		var err error
		switch {
		case r.Method != http.MethodPost:
		case kind == "application/x-www-form-urlencoded":
			op, err = formOperation(w, r)
		case kind == "multipart/form-data" && r.Header.Get(keyHeader) != "":
			op, err = uploadOperation(w, r)
		}
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

// formOperation names what a form asks for; without a key it has none. The word of a form says nothing by itself: what was
// changed before it is sent again is another form. The key of a script stands for one thing alone.
func formOperation(w http.ResponseWriter, r *http.Request) (garage.Operation, error) {
	form, err := readForm(w, r)
	if err != nil {
		return garage.Operation{}, err
	}
	sum := sha256.Sum256([]byte(r.URL.Path + "?" + form.Encode()))
	op, err := operationOf(r, sum[:])
	if op.Key == "" && form.Get(ui.OnceField) != "" {
		op.Key = base64.RawURLEncoding.EncodeToString(sum[:])
	}
	return op, err
}

// maxUpload is more than a form with photos of a phone's camera has use for. All of it is read into memory: there may be no disk
// to write to.
const maxUpload = 64 << 20

// uploadOperation names what a form with files asks for. What separates its parts is new each time it is sent and does not count.
func uploadOperation(w http.ResponseWriter, r *http.Request) (garage.Operation, error) {
	form, err := readUpload(w, r)
	if err != nil {
		return garage.Operation{}, err
	}
	sum := sha256.New()
	fmt.Fprintf(sum, "%s?%s", r.URL.Path, url.Values(form.Value).Encode())
	for _, name := range slices.Sorted(maps.Keys(form.File)) {
		for _, file := range form.File[name] {
			fmt.Fprintf(sum, "\n%q %q %d\n", name, file.Filename, file.Size)
			content, err := file.Open()
			if err != nil {
				return garage.Operation{}, err
			}
			_, err = io.Copy(sum, content)
			if err := errors.Join(err, content.Close()); err != nil {
				return garage.Operation{}, err
			}
		}
	}
	return operationOf(r, sum.Sum(nil))
}

func operationOf(r *http.Request, request []byte) (garage.Operation, error) {
	op := garage.Operation{Actor: actorOf(r), Key: r.Header.Get(keyHeader), Request: request}
	if len(op.Key) > maxKey || strings.ContainsFunc(op.Key, func(c rune) bool { return c < 0x21 || c > 0x7e }) {
		return op, statusError(http.StatusBadRequest)
	}
	return op, nil
}

// actorOf is who sends. An operation that waited while the owner was signed out is still the owner's.
func actorOf(r *http.Request) string {
	if link, ok := linkOf(r); ok {
		return fmt.Sprintf("link %d", link.ID)
	}
	return "owner"
}

// answerAgain answers what was done before.
func (s *Server) answerAgain(w http.ResponseWriter, r *http.Request, answer garage.Answered) error {
	if r.Header.Get(outboxHeader) != "" {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	flash := readFlash(answer.Flash)
	flash.Text = strings.TrimSpace(flash.Text + " It was sent twice and done once.")
	return s.redirect(w, r, localPath(answer.Location), flash)
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

// answered is what to keep of it. A form that is done leads on or has nothing to say; any other answer says that it was not.
func (h *heldAnswer) answered() (garage.Answered, bool) {
	answer := garage.Answered{Status: h.status, Location: h.head.Get("Location")}
	for _, line := range h.head["Set-Cookie"] {
		if c, err := http.ParseSetCookie(line); err == nil && strings.TrimPrefix(c.Name, "__Secure-") == flashCookie {
			answer.Flash = c.Value
		}
	}
	return answer, h.status == http.StatusSeeOther || h.status == http.StatusNoContent
}

func (h *heldAnswer) send(w http.ResponseWriter) error {
	maps.Copy(w.Header(), h.head)
	if h.status != 0 {
		w.WriteHeader(h.status)
	}
	_, _ = io.Copy(w, &h.body) // a browser that left misses nothing that was not done
	return nil
}

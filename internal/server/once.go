package server

import (
	"crypto/sha256"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/go-chi/chi/v5/middleware"

	"axlestand/web/ui"
)

// A form carries a word of its own, new each time its page is made. The same form sent again with the same word is the same
// tap: a second one in the dark, or one after an answer that a bad line lost. It gets the first answer and does nothing.
// What is changed before it is sent again is another form. The memory is this instance's alone and ends with it.

const (
	onceFor  = 10 * time.Minute
	onceMost = 1000 // forms remembered; the oldest go first
)

type onceKey [sha256.Size]byte

// sending is a form that has been sent. Its answer is there when done is closed; where is empty when it was not taken.
type sending struct {
	at    time.Time
	done  chan struct{}
	where string
	flash ui.Flash
}

type onceMemory struct {
	mu    sync.Mutex
	forms map[onceKey]*sending
	order []onceKey
}

// once lets a form through the first time.
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
		if form.Get(ui.OnceField) == "" {
			next.ServeHTTP(w, r)
			return nil
		}
		key := onceKey(sha256.Sum256([]byte(string(signinOf(r).TokenHash) + r.URL.Path + "?" + form.Encode())))
		for {
			first, mine := s.sent.begin(key, s.now())
			if mine {
				s.answerOnce(w, r, next, key, first)
				return nil
			}
			select {
			case <-r.Context().Done():
				return r.Context().Err()
			case <-first.done:
			}
			if first.where != "" {
				return s.redirect(w, r, first.where, first.flash)
			}
		}
	})
}

// answerOnce answers a form and remembers where it led to, if it was taken.
func (s *Server) answerOnce(w http.ResponseWriter, r *http.Request, next http.Handler, key onceKey, first *sending) {
	seen := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
	defer func() { // also when the handler panics
		if seen.Status() == http.StatusSeeOther {
			first.where, first.flash = w.Header().Get("Location"), sentTwice(w.Header())
		} else {
			s.sent.forget(key)
		}
		close(first.done)
	}()
	next.ServeHTTP(seen, r)
}

// sentTwice is what an answer says once more to who asks twice, with the way to undo it.
func sentTwice(answer http.Header) ui.Flash {
	var flash ui.Flash
	for _, line := range answer["Set-Cookie"] {
		if c, err := http.ParseSetCookie(line); err == nil && c.Name == flashCookie {
			flash = readFlash(c.Value)
		}
	}
	flash.Text = strings.TrimSpace(flash.Text + " It was sent twice and done once.")
	return flash
}

// begin remembers a form, or finds it sent already.
func (m *onceMemory) begin(key onceKey, now time.Time) (form *sending, mine bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for len(m.order) > 0 {
		oldest := m.forms[m.order[0]]
		if oldest != nil && len(m.order) <= onceMost && now.Sub(oldest.at) < onceFor {
			break
		}
		delete(m.forms, m.order[0])
		m.order = m.order[1:]
	}
	if form = m.forms[key]; form != nil {
		return form, false
	}
	form = &sending{at: now, done: make(chan struct{})}
	if m.forms == nil {
		m.forms = map[onceKey]*sending{}
	}
	m.forms[key] = form
	m.order = append(m.order, key)
	return form, true
}

func (m *onceMemory) forget(key onceKey) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.forms, key)
}

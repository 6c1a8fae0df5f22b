package browsertest

import (
	"context"
	"net/http"
	"net/http/httptest"
	"sync"
)

// State is how a [Line] is.
type State int

// A line that is Up carries everything. Down, no request arrives. Deaf, requests arrive and are answered, but no answer gets
// back: the worst, because who asked cannot know.
const (
	Up State = iota
	Down
	Deaf
)

// Line is a line to a server that can be cut.
type Line struct {
	handler http.Handler

	mu     sync.Mutex
	state  State
	broken chan struct{} // closed when the line is no longer as it was
	lost   int
}

// NewLine is a line that is up.
func NewLine(h http.Handler) *Line { return &Line{handler: h, broken: make(chan struct{})} }

// Set changes how the line is. What was under way is cut.
func (l *Line) Set(to State) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.state != to {
		close(l.broken)
		l.state, l.broken = to, make(chan struct{})
	}
}

// Swap puts another server at its end, as after a restart.
func (l *Line) Swap(h http.Handler) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.handler = h
}

// Lost is how many answers did not get back.
func (l *Line) Lost() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.lost
}

func (l *Line) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	l.mu.Lock()
	state, broken, handler := l.state, l.broken, l.handler
	if state == Deaf {
		l.lost++
	}
	l.mu.Unlock()
	switch state {
	case Down:
	case Deaf:
		handler.ServeHTTP(httptest.NewRecorder(), r.WithContext(context.WithoutCancel(r.Context())))
	case Up:
		ctx, cancel := context.WithCancel(r.Context())
		defer cancel()
		go func() {
			select {
			case <-broken:
				cancel()
			case <-ctx.Done():
			}
		}()
		handler.ServeHTTP(w, r.WithContext(ctx))
		if r.Context().Err() != nil || ctx.Err() == nil {
			return
		}
	}
	panic(http.ErrAbortHandler) // the library drops the connection without a word
}

package server

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

type requestKey struct{}

// requestID names one request in the log and on the page that says it went wrong.
func requestID(r *http.Request) string {
	id, _ := r.Context().Value(requestKey{}).(string)
	return id
}

// requestAttrs are what every log line about a request has. The pattern, not the path: paths may hold secrets.
func requestAttrs(r *http.Request) []slog.Attr {
	return []slog.Attr{
		slog.String("method", r.Method), slog.String("route", patternOf(r)), slog.String("request", requestID(r)),
	}
}

// patternOf is the address that a request reached, without what stands in it.
func patternOf(r *http.Request) string {
	if c := chi.RouteContext(r.Context()); c != nil && c.RoutePattern() != "" {
		return c.RoutePattern()
	}
	return "none"
}

// logged names each request, writes one line when it is answered, and turns a panic into an error page.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := time.Now()
		r = r.WithContext(context.WithValue(r.Context(), requestKey{}, rand.Text()[:10]))
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		defer func() {
			s.recovered(ww, r, recover())
			took := time.Since(start)
			s.metrics.request(r.Method, patternOf(r), ww.Status(), took)
			s.log.LogAttrs(r.Context(), slog.LevelInfo, "answered", append(requestAttrs(r),
				slog.Int("status", ww.Status()), slog.Int("bytes", ww.BytesWritten()),
				slog.Float64("took_ms", float64(took.Microseconds())/1000))...)
		}()
		next.ServeHTTP(ww, r)
	})
}

// recovered answers for a handler that panicked.
func (s *Server) recovered(w http.ResponseWriter, r *http.Request, panicked any) {
	switch {
	case panicked == nil:
	case panicked == http.ErrAbortHandler:
		panic(panicked) // asks the library to drop the connection without a word
	default:
		s.fail(w, r, fmt.Errorf("panic: %v\n%s", panicked, debug.Stack()))
	}
}

// crossOrigin turns away what another site's page sends here.
func (s *Server) crossOrigin(next http.Handler) http.Handler {
	protection := http.NewCrossOriginProtection()
	protection.SetDenyHandler(s.handle(func(http.ResponseWriter, *http.Request) error {
		return statusError(http.StatusForbidden)
	}))
	return protection.Handler(next)
}

package server

import (
	"fmt"
	"io"
	"net/http"
)

// healthz says that the program runs. It never asks the database, so that a slow one does not get the program killed.
func (s *Server) healthz(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	_, err := io.WriteString(w, "ok\n")
	return err
}

// readyz says whether the program can answer pages, which needs its database.
func (s *Server) readyz(w http.ResponseWriter, r *http.Request) error {
	if err := s.store.Ping(r.Context()); err != nil {
		return fmt.Errorf("%w: %w", statusError(http.StatusServiceUnavailable), err)
	}
	return s.healthz(w, r)
}

package server

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"axlestand/web"
	"axlestand/web/route"
)

// routes is every address of the program.
func (s *Server) routes() http.Handler {
	m := chi.NewRouter()
	m.Use(s.logged)
	m.NotFound(s.handle(s.notFound))
	m.MethodNotAllowed(s.handle(s.methodNotAllowed))

	m.Get("/healthz", s.handle(s.healthz))
	m.Get("/readyz", s.handle(s.readyz))
	m.Handle(route.Static()+"*", s.static())
	m.Post(route.Theme(), s.handle(s.theme))

	// Everything below is the owner's alone.
	m.Group(func(m chi.Router) {
		// settings
		m.Get("/settings", s.handle(s.settingsShow))
		m.Post("/settings", s.handle(s.settingsUpdate))
	})
	return m
}

// static serves style sheets and scripts, from the disk while developing.
func (s *Server) static() http.Handler {
	if s.options.StaticDir != "" {
		return web.DevHandler(s.options.StaticDir)
	}
	return web.Handler()
}

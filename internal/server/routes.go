package server

import (
	"net/http"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"axlestand/web"
	"axlestand/web/route"
)

// routes is every address of the program.
func (s *Server) routes() http.Handler {
	m := chi.NewRouter()
	m.Use(s.logged, s.doors, s.crossOrigin, middleware.GetHead)
	m.NotFound(s.handle(s.notFound))
	m.MethodNotAllowed(s.handle(s.methodNotAllowed))

	// These answer before the garage is claimed; nothing else does.
	m.Get("/healthz", s.handle(s.healthz))
	m.Get("/readyz", s.handle(s.readyz))
	m.Handle(route.Static()+"*", s.static())
	m.Post("/theme", s.handle(s.theme))
	m.Get("/claim", s.handle(s.claimShow))
	m.Post("/claim", s.handle(s.claimCreate))

	// These answer without a sign-in.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly)
		m.Get("/signin", s.handle(s.signinShow))
		m.Post("/signin", s.handle(s.signinCreate))
		m.Get("/enter", s.handle(s.enterShow))
		m.Post("/enter", s.handle(s.enterCreate))
	})

	// Everything else is the owner's alone.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly, s.ownerOnly)

		m.Get("/more", s.handle(s.more))

		// account
		m.Get("/account", s.handle(s.accountShow))
		m.Post("/account/password", s.handle(s.passwordUpdate))
		m.Post("/account/signins/delete", s.handle(s.signinDelete))
		m.Post("/account/signins/delete-others", s.handle(s.signinDeleteOthers))
		m.Post("/signout", s.handle(s.signout))

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

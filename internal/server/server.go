// Package server answers a browser: one handler method per URL, a file for each noun, all addresses in routes.go.
//
// A handler reads the request, calls the store, then renders or redirects, and returns what went wrong; [Server.handle]
// turns that into a status and a page.
package server

import (
	"log/slog"
	"net/http"
	"net/netip"
	"sync"
	"sync/atomic"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/photo"
	"axlestand/internal/postgres"
)

// Options are what a server is made of.
type Options struct {
	Store *postgres.Store
	Now   func() time.Time // the clock
	Log   *slog.Logger
	Build string // version, shown in the footer
	// StaticDir, when set, is read anew for each request in place of the embedded style sheets and scripts.
	StaticDir string
	// AllowedHosts are the names to answer to besides plain addresses, localhost and the machine's own name.
	AllowedHosts []string
	// TrustedProxies are those whose forwarded headers are believed.
	TrustedProxies []netip.Prefix
}

// Server is the whole program as a browser sees it.
type Server struct {
	store   *postgres.Store
	now     func() time.Time
	log     *slog.Logger
	build   string
	options Options
	names   []string // to answer to
	handler http.Handler

	throttle     *throttle
	helpThrottle *throttle // of helper links, so that guessing those does not keep the owner waiting
	plans        planMemory
	found        planFound
	metrics      metrics
	streams      *streams
	claimed      atomic.Bool // once true it stays
	entryMu      sync.Mutex
	entry        []byte // hash of the token that signs in once; nil when there is none
	photos       *photo.Maker
	uploading    chan struct{}
}

// New is a server ready to answer.
func New(o Options) *Server {
	s := &Server{store: o.Store, now: o.Now, log: o.Log, build: o.Build, options: o, names: ownNames(o.AllowedHosts), throttle: newThrottle(o.Now), helpThrottle: newThrottle(o.Now)}
	s.streams, s.metrics = newStreams(), newMetrics()
	s.photos, s.uploading = photo.NewMaker(1), make(chan struct{}, uploadsAtOnce)
	s.handler = s.routes()
	return s
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// today is the day it is in the garage's zone.
func (s *Server) today(settings garage.Settings) garage.Date {
	return garage.DateOf(s.now().In(settings.Location()))
}

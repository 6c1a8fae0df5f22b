package server

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"os"
	"slices"
	"strings"

	"axlestand/web"
)

// door is what is known of a request before anything else: who asks, and over which scheme.
type door struct {
	addr  netip.Addr // of the browser, as far as trusted proxies tell
	https bool
}

type doorKey struct{}

func doorOf(r *http.Request) door {
	d, _ := r.Context().Value(doorKey{}).(door)
	return d
}

// doors finds out who asks and over which scheme, sends the security headers, and turns away who calls the program by a
// name that is not its own: a page elsewhere could have pointed that name here.
func (s *Server) doors(next http.Handler) http.Handler {
	wrongName := s.handle(func(http.ResponseWriter, *http.Request) error {
		return statusError(http.StatusMisdirectedRequest)
	})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		d := s.doorFor(r)
		r = r.WithContext(context.WithValue(r.Context(), doorKey{}, d))
		secure(w.Header(), d.https)
		if !s.answersTo(r.Host) {
			wrongName(w, r)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func secure(h http.Header, https bool) {
	h.Set("Content-Security-Policy", web.ContentSecurityPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	// Not no-referrer: browsers then send forms with "Origin: null", which cannot be told from another site's.
	h.Set("Referrer-Policy", "same-origin")
	if https {
		h.Set("Strict-Transport-Security", "max-age=31536000")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
	}
}

// doorFor believes forwarded headers only when the connection comes from a trusted proxy.
func (s *Server) doorFor(r *http.Request) door {
	d := door{https: r.TLS != nil}
	if peer, err := netip.ParseAddrPort(r.RemoteAddr); err == nil {
		d.addr = peer.Addr().Unmap().WithZone("")
	}
	if !s.trusts(d.addr) {
		return d
	}
	if proto := r.Header.Get("X-Forwarded-Proto"); proto != "" {
		d.https = strings.EqualFold(strings.TrimSpace(proto), "https")
	}
	hops := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
	for _, hop := range slices.Backward(hops) {
		addr, err := parseHop(strings.TrimSpace(hop))
		if err != nil {
			break
		}
		d.addr = addr
		if !s.trusts(addr) {
			break
		}
	}
	return d
}

// parseHop reads an address, which some proxies write with a port.
func parseHop(hop string) (netip.Addr, error) {
	if with, err := netip.ParseAddrPort(hop); err == nil {
		return with.Addr().Unmap().WithZone(""), nil
	}
	addr, err := netip.ParseAddr(hop)
	return addr.Unmap().WithZone(""), err
}

func (s *Server) trusts(addr netip.Addr) bool {
	return addr.IsValid() && slices.ContainsFunc(s.options.TrustedProxies, func(p netip.Prefix) bool { return p.Contains(addr) })
}

// answersTo says whether a Host header names this program: any plain address, localhost, this machine's own name, or an
// allowed name. Only names can be pointed here by someone else; an address cannot.
func (s *Server) answersTo(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.TrimSuffix(name, "."))
	if _, err := netip.ParseAddr(strings.Trim(name, "[]")); err == nil {
		return true
	}
	return slices.Contains(s.names, name)
}

// ownNames are the names the program answers to besides plain addresses.
func ownNames(allowed []string) []string {
	names := append([]string{"localhost"}, allowed...)
	if own, err := os.Hostname(); err == nil && own != "" {
		own = strings.ToLower(own)
		names = append(names, own, own+".local")
	}
	return names
}

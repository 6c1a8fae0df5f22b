package server

import (
	"context"
	"errors"
	"net/http"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// The helper's side of helper links: a link is followed to a page with a button; the button swaps it for a cookie that holds
// under the link's own addresses alone. A link that has run out, was ended or never was looks the same each time.

type linkKey struct{}

// linkOf is the link that a helper asks with; false for the owner.
func linkOf(r *http.Request) (garage.Link, bool) {
	l, ok := r.Context().Value(linkKey{}).(garage.Link)
	return l, ok
}

// helpCookie is the name of a helper's cookie. It cannot have the __Host- prefix, which wants the whole site.
func helpCookie(r *http.Request) string {
	if doorOf(r).https {
		return "__Secure-axlestand-help"
	}
	return "axlestand-help"
}

// helpBase surrounds a helper's page: nothing of the owner's navigation, and an address without a secret to come back to.
func (s *Server) helpBase(r *http.Request, title, path string) page.Base {
	base := s.base(r, title, ui.NavNone)
	base.Bare, base.Path = true, path
	return base
}

// helpGone answers for every link that opens nothing.
func (s *Server) helpGone(w http.ResponseWriter, r *http.Request) error {
	v := page.ProblemView{Base: s.helpBase(r, "This link opens nothing", route.HelpGone()), Data: ui.ProblemData{
		Title: "This link opens nothing", Happened: "It has run out, was ended by the owner, or is not one of this garage.",
		ToDo: "Ask the owner for a new one.",
	}}
	return s.render(w, r, http.StatusNotFound, page.Problem(v))
}

// linkOfToken finds the link that a helper was given. Guessing is slowed down; what does not hold is garage.ErrNotFound.
func (s *Server) linkOfToken(r *http.Request, token string) (garage.Link, error) {
	addr := doorOf(r).addr
	if s.helpThrottle.begin(addr, false) > 0 {
		return garage.Link{}, statusError(http.StatusTooManyRequests)
	}
	hash := tokenHash(token)
	if hash == nil {
		return garage.Link{}, garage.ErrNotFound
	}
	link, err := s.store.LinkOfToken(r.Context(), hash, s.now())
	if err == nil {
		s.helpThrottle.right(addr, false)
	}
	return link, err
}

// helpWith is the page that a link leads to. Looking at it has no effect, so that a program that only looks at links does none.
func (s *Server) helpWith(w http.ResponseWriter, r *http.Request) error {
	// The address is the secret. Not no-referrer: the form would be taken for another site's.
	w.Header().Set("Referrer-Policy", "origin")
	link, err := s.linkOfToken(r, r.PathValue("token"))
	if errors.Is(err, garage.ErrNotFound) {
		return s.helpGone(w, r)
	}
	if err != nil {
		return err
	}
	v, err := s.helpView(r, link, "You can help here", route.HelpGone())
	if err != nil {
		return err
	}
	v.Token = r.PathValue("token")
	return s.render(w, r, http.StatusOK, page.HelpStart(v))
}

func (s *Server) helpView(r *http.Request, link garage.Link, title, path string) (page.HelpView, error) {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return page.HelpView{}, err
	}
	jobs, err := s.store.JobsByID(r.Context(), link.Jobs)
	if err != nil {
		return page.HelpView{}, err
	}
	cars, err := s.store.Cars(r.Context())
	if err != nil {
		return page.HelpView{}, err
	}
	names := map[garage.CarID]string{}
	for _, c := range cars {
		names[c.ID] = c.Name
	}
	return page.NewHelp(s.helpBase(r, title, path), link, jobs, names, settings.Location()), nil
}

// helpStart swaps a link for a cookie of this browser.
func (s *Server) helpStart(w http.ResponseWriter, r *http.Request) error {
	form, err := readForm(w, r)
	if err != nil {
		return err
	}
	link, err := s.linkOfToken(r, form.Get("token"))
	if errors.Is(err, garage.ErrNotFound) {
		return s.helpGone(w, r)
	}
	if err != nil {
		return err
	}
	token, hash := newToken()
	err = s.store.StartLink(r.Context(), link.ID, hash, shortened(r.UserAgent(), 300), s.now())
	if errors.Is(err, garage.ErrNotFound) {
		return s.helpGone(w, r)
	}
	if err != nil {
		return err
	}
	c := s.cookie(r, helpCookie(r), token, int(link.ExpiresAt.Sub(s.now())/time.Second)+1)
	c.Path = route.Help(link.ID)
	http.SetCookie(w, c)
	return s.redirect(w, r, route.Help(link.ID), ui.Flash{})
}

// helperOnly lets a browser through that started with the link of the path.
func (s *Server) helperOnly(next http.Handler) http.Handler {
	return s.handle(func(w http.ResponseWriter, r *http.Request) error {
		id, err := pathID[garage.LinkID](r, "link")
		if err != nil {
			return s.helpGone(w, r)
		}
		c, err := r.Cookie(helpCookie(r))
		if err != nil {
			return s.helpGone(w, r)
		}
		hash := tokenHash(c.Value)
		if hash == nil {
			return s.helpGone(w, r)
		}
		link, err := s.store.LinkOfBrowser(r.Context(), id, hash, s.now())
		if errors.Is(err, garage.ErrNotFound) {
			return s.helpGone(w, r)
		}
		if err != nil {
			return err
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), linkKey{}, link)))
		return nil
	})
}

// helpShow is what a helper may open.
func (s *Server) helpShow(w http.ResponseWriter, r *http.Request) error {
	link, _ := linkOf(r)
	v, err := s.helpView(r, link, "What you can help with", route.Help(link.ID))
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Help(v))
}

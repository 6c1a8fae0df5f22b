package server

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// The owner's side of helper links.

// newToken is 32 random bytes as they go into an address or a cookie, and their hash as it goes into the database.
func newToken() (token string, hash []byte) {
	b := make([]byte, 32)
	rand.Read(b) //nolint:errcheck // never fails
	sum := sha256.Sum256(b)
	return base64.RawURLEncoding.EncodeToString(b), sum[:]
}

// localNow is the time by the clock in the garage.
func (s *Server) localNow(r *http.Request) (time.Time, error) {
	settings, err := s.store.Settings(r.Context())
	return s.now().In(settings.Location()), err
}

func (s *Server) linkIndex(w http.ResponseWriter, r *http.Request) error {
	links, err := s.store.Links(r.Context())
	if err != nil {
		return err
	}
	now, err := s.localNow(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Links(page.NewLinks(s.base(r, "Helper links", ui.NavMore), links, now)))
}

func (s *Server) linkNew(w http.ResponseWriter, r *http.Request) error {
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	q := r.URL.Query()
	return s.linkForm(w, r, http.StatusOK, p, page.NewLinkForm(p, q.Get("job"), q.Get("day")))
}

func (s *Server) linkForm(w http.ResponseWriter, r *http.Request, status int, p page.Planned, form page.LinkForm) error {
	return s.render(w, r, status, page.LinkNew(page.NewLinkNew(s.base(r, "A link for a helper", ui.NavMore), p, form)))
}

func (s *Server) linkCreate(w http.ResponseWriter, r *http.Request) error {
	sent, err := readForm(w, r)
	if err != nil {
		return err
	}
	now, err := s.localNow(r)
	if err != nil {
		return err
	}
	form := page.ReadLinkForm(sent)
	link := form.Link(now)
	token, hash := newToken()
	link.TokenHash = hash
	if len(form.Errors) == 0 {
		id, err := s.store.CreateLink(r.Context(), link)
		if err == nil {
			http.SetCookie(w, s.madeCookie(r, id, token, int((10*time.Minute).Seconds())))
			return s.redirect(w, r, route.Link(id), ui.Flash{Text: "The link for " + link.Name + " is made."})
		}
		if !refused(err, &form.Errors) {
			return err
		}
	}
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	return s.linkForm(w, r, http.StatusUnprocessableEntity, p, form)
}

// madeCookie keeps a new link's token in the browser that made it, for the page that shows it: the database does not know it.
func (s *Server) madeCookie(r *http.Request, id garage.LinkID, token string, maxAge int) *http.Cookie {
	c := s.cookie(r, "axlestand_made", token, maxAge)
	c.Path = route.Link(id)
	return c
}

func (s *Server) linkShow(w http.ResponseWriter, r *http.Request) error {
	link, err := s.linkOfPath(r)
	if err != nil {
		return err
	}
	jobs, marks, texts, err := s.linkWork(r, link)
	if err != nil {
		return err
	}
	now, err := s.localNow(r)
	if err != nil {
		return err
	}
	v := page.NewLink(s.base(r, "Helper link", ui.NavMore), link, jobs, marks, texts, now)
	if c, err := cookieOf(r, "axlestand_made"); err == nil && string(tokenHash(c.Value)) == string(link.TokenHash) {
		v.Address = originOf(r) + route.HelpWith(c.Value)
	}
	return s.render(w, r, http.StatusOK, page.Link(v))
}

// originOf is how the browser calls this program.
func originOf(r *http.Request) string {
	if doorOf(r).https {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

func (s *Server) linkOfPath(r *http.Request) (garage.Link, error) {
	id, err := pathID[garage.LinkID](r, "id")
	if err != nil {
		return garage.Link{}, err
	}
	return s.store.Link(r.Context(), id)
}

// linkWork is what a link opens and what was done with it, with the texts of the steps.
func (s *Server) linkWork(r *http.Request, link garage.Link) ([]garage.Job, []garage.StepMark, map[garage.StepID]string, error) {
	marks, err := s.store.LinkMarks(r.Context(), link.ID)
	if err != nil {
		return nil, nil, nil, err
	}
	jobs, err := s.store.JobsByID(r.Context(), link.Jobs)
	if err != nil {
		return nil, nil, nil, err
	}
	texts, err := s.store.StepTexts(r.Context(), link.Jobs)
	return jobs, marks, texts, err
}

func (s *Server) linkRevoke(w http.ResponseWriter, r *http.Request) error {
	link, err := s.linkOfPath(r)
	if err != nil {
		return err
	}
	if err := s.store.RevokeLink(r.Context(), link.ID, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, route.Link(link.ID), ui.Flash{Text: "The link for " + link.Name + " opens nothing any more."})
}

func (s *Server) linkRevokeAll(w http.ResponseWriter, r *http.Request) error {
	if err := s.store.RevokeLinks(r.Context(), s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, route.Links(), ui.Flash{Text: "No link opens anything any more."})
}

func (s *Server) linkUndoWork(w http.ResponseWriter, r *http.Request) error {
	link, err := s.linkOfPath(r)
	if err != nil {
		return err
	}
	undone, err := s.store.UndoLinkWork(r.Context(), link.ID, s.now())
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Link(link.ID), ui.Flash{Text: page.LinkUndone(undone, link.Name)})
}

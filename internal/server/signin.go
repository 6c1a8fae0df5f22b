package server

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"net/http"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// A sign-in is 32 random bytes in the browser's cookie; the database holds only their SHA-256, so that a copy of it signs
// nobody in.

// signinCookie is the name of the cookie. Browsers take one with the __Host- prefix only over https, where it cannot be
// set by another host or over http.
func signinCookie(r *http.Request) string {
	if doorOf(r).https {
		return "__Host-axlestand"
	}
	return "axlestand"
}

type signinKey struct{}

// signinOf is the sign-in of the request; its TokenHash is empty where none is needed.
func signinOf(r *http.Request) garage.Signin {
	v, _ := r.Context().Value(signinKey{}).(garage.Signin)
	return v
}

// tokenHash is what the database knows of a token as the browser sends it; nothing for what cannot be one.
func tokenHash(sent string) []byte {
	token, err := base64.RawURLEncoding.DecodeString(sent)
	if err != nil || len(token) != 32 {
		return nil
	}
	sum := sha256.Sum256(token)
	return sum[:]
}

// known finds the sign-in that the browser sends; garage.ErrNotFound when it sends none that holds.
func (s *Server) known(r *http.Request) (garage.Signin, error) {
	c, err := r.Cookie(signinCookie(r))
	if err != nil {
		return garage.Signin{}, garage.ErrNotFound
	}
	hash := tokenHash(c.Value)
	if hash == nil {
		return garage.Signin{}, garage.ErrNotFound
	}
	return s.store.Signin(r.Context(), hash, s.now())
}

// seenEvery is how exactly the last use of a sign-in is kept: a write for each page would be waste.
const seenEvery = 10 * time.Minute

// ownerOnly lets the owner through and asks everyone else to sign in.
func (s *Server) ownerOnly(next http.Handler) http.Handler {
	return s.handle(func(w http.ResponseWriter, r *http.Request) error {
		v, err := s.known(r)
		if errors.Is(err, garage.ErrNotFound) {
			return s.askToSignIn(w, r)
		}
		if err != nil {
			return err
		}
		if now := s.now(); now.Sub(v.SeenAt) >= seenEvery {
			if err := s.store.TouchSignin(r.Context(), v.TokenHash, now); err != nil {
				return err
			}
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), signinKey{}, v)))
		return nil
	})
}

// askToSignIn leads a page to the sign-in and back. A form is not sent on: it says what to do to keep what was typed.
func (s *Server) askToSignIn(w http.ResponseWriter, r *http.Request) error {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return statusError(http.StatusUnauthorized)
	}
	return s.redirect(w, r, route.SigninBack(r.URL.RequestURI()), ui.Flash{})
}

// signIn starts a sign-in for this browser and ends the one it had. sure is when it showed the password.
func (s *Server) signIn(w http.ResponseWriter, r *http.Request, sure time.Time) error {
	_, err := s.signInAs(w, r, sure)
	return err
}

func (s *Server) signInAs(w http.ResponseWriter, r *http.Request, sure time.Time) (garage.Signin, error) {
	if old, err := s.known(r); err == nil {
		if err := s.store.DeleteSignin(r.Context(), old.TokenHash); err != nil && !errors.Is(err, garage.ErrNotFound) {
			return garage.Signin{}, err
		}
	}
	token := make([]byte, 32)
	rand.Read(token) //nolint:errcheck // never fails
	sum := sha256.Sum256(token)
	now := s.now()
	v := garage.Signin{
		TokenHash: sum[:], CreatedAt: now, SeenAt: now, Agent: shortened(r.UserAgent(), 300), Address: doorOf(r).addr.String(), SureAt: sure,
	}
	if err := s.store.CreateSignin(r.Context(), v); err != nil {
		return v, err
	}
	c := s.cookie(r, signinCookie(r), base64.RawURLEncoding.EncodeToString(token), int(garage.SigninMax.Seconds()))
	http.SetCookie(w, c)
	return v, nil
}

func (s *Server) signinShow(w http.ResponseWriter, r *http.Request) error {
	back := localPath(r.URL.Query().Get("back"))
	if _, err := s.known(r); err == nil {
		return s.redirect(w, r, back, ui.Flash{})
	}
	return s.signinForm(w, r, http.StatusOK, page.SigninForm{Back: back})
}

func (s *Server) signinForm(w http.ResponseWriter, r *http.Request, status int, form page.SigninForm) error {
	base := s.base(r, "Sign in", ui.NavNone)
	base.Bare, base.Path = true, route.SigninBack(form.Back)
	return s.render(w, r, status, page.Signin(page.SigninView{Base: base, Form: form}))
}

func (s *Server) signinCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.SigninForm{Back: localPath(values.Get("back"))}
	wait, err := s.guess(r, values.Get("password"))
	switch {
	case errors.Is(err, errWrongPassword):
		form.Errors.Add("password", "That is not the password.")
		return s.signinForm(w, r, http.StatusUnprocessableEntity, form)
	case err != nil:
		return err
	case wait > 0:
		form.Errors.Add("password", tooOften(w, wait))
		return s.signinForm(w, r, http.StatusTooManyRequests, form)
	}
	if err := s.signIn(w, r, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, form.Back, ui.Flash{})
}

var errWrongPassword = errors.New("wrong password")

// guess checks a password, throttled: errWrongPassword when it is not the one, or how long to wait before the next.
func (s *Server) guess(r *http.Request, password string) (time.Duration, error) {
	addr := doorOf(r).addr
	known, err := s.store.SignedInFrom(r.Context(), addr.String(), s.now())
	if err != nil {
		return 0, err
	}
	if wait := s.throttle.begin(addr, known); wait > 0 {
		return wait, nil
	}
	stored, err := s.store.PasswordHash(r.Context())
	if err != nil {
		return 0, err
	}
	fits, err := passwordFits(stored, password)
	if err != nil {
		return 0, err
	}
	if !fits {
		return 0, errWrongPassword
	}
	s.throttle.right(addr, known)
	return 0, nil
}

func (s *Server) signout(w http.ResponseWriter, r *http.Request) error {
	if err := s.store.DeleteSignin(r.Context(), signinOf(r).TokenHash); err != nil && !errors.Is(err, garage.ErrNotFound) {
		return err
	}
	http.SetCookie(w, s.cookie(r, signinCookie(r), "", -1))
	return s.redirect(w, r, route.Signin(), ui.Flash{Text: "Signed out."})
}

// signinDelete ends the sign-in of one other browser.
func (s *Server) signinDelete(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	hash, err := hex.DecodeString(values.Get("signin"))
	if err != nil {
		return garage.ErrNotFound
	}
	if err := s.store.DeleteSignin(r.Context(), hash); err != nil {
		return err
	}
	return s.redirect(w, r, route.Account(), ui.Flash{Text: "That browser is signed out."})
}

// signinDeleteOthers ends the sign-ins of all browsers but this one.
func (s *Server) signinDeleteOthers(w http.ResponseWriter, r *http.Request) error {
	if err := s.store.DeleteOtherSignins(r.Context(), signinOf(r).TokenHash); err != nil {
		return err
	}
	return s.redirect(w, r, route.Account(), ui.Flash{Text: "All other browsers are signed out."})
}

func shortened(text string, most int) string {
	runes := []rune(text)
	return string(runes[:min(len(runes), most)])
}

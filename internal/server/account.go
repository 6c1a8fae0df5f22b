package server

import (
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// CodeHash is what is stored of a code or token that is typed by hand or followed as a link. Case, blanks and hyphens do not
// count; codes are written with A to Z and 2 to 7, so that what looks like another letter is read as that letter.
func CodeHash(typed string) []byte {
	code := strings.Map(func(r rune) rune {
		switch r {
		case '0':
			return 'O'
		case '1':
			return 'I'
		case '8':
			return 'B'
		}
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, typed)
	sum := sha256.Sum256([]byte(code))
	return sum[:]
}

// claimedOnly leads every page to the set-up as long as nobody owns the garage.
func (s *Server) claimedOnly(next http.Handler) http.Handler {
	return s.handle(func(w http.ResponseWriter, r *http.Request) error {
		claimed, err := s.isClaimed(r)
		switch {
		case err != nil:
			return err
		case claimed:
			next.ServeHTTP(w, r)
			return nil
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			return garage.ErrNotFound
		}
		return s.redirect(w, r, route.Claim(), ui.Flash{})
	})
}

// isClaimed asks the database until the garage has an owner, who then stays.
func (s *Server) isClaimed(r *http.Request) (bool, error) {
	if s.claimed.Load() {
		return true, nil
	}
	claimed, err := s.store.Claimed(r.Context())
	if claimed {
		s.claimed.Store(true)
	}
	return claimed, err
}

func (s *Server) claimShow(w http.ResponseWriter, r *http.Request) error {
	claimed, err := s.isClaimed(r)
	if err != nil {
		return err
	}
	if claimed {
		return s.redirect(w, r, route.Today(), ui.Flash{})
	}
	stored, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.claimForm(w, r, http.StatusOK, page.ClaimForm{Zone: stored.Zone, Currency: stored.Currency})
}

func (s *Server) claimForm(w http.ResponseWriter, r *http.Request, status int, form page.ClaimForm) error {
	base := s.base(r, "Set up", ui.NavNone)
	base.Bare, base.Path = true, route.Claim()
	return s.render(w, r, status, page.Claim(page.ClaimView{Base: base, Form: form}))
}

func (s *Server) claimCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	stored, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	form := page.ReadClaimForm(values)
	status, err := s.checkCode(w, r, &form)
	if err != nil {
		return err
	}
	settings := form.Settings(stored)
	if wrong := PasswordProblem(form.Password); wrong != "" {
		form.Errors.Add("password", wrong)
	}
	if len(form.Errors) > 0 {
		return s.claimForm(w, r, status, form)
	}
	err = s.store.Claim(r.Context(), CodeHash(form.Code), HashPassword(form.Password), s.now())
	if errors.Is(err, garage.ErrConflict) {
		return errClaimed
	}
	if err != nil {
		return err
	}
	return s.moveIn(w, r, settings)
}

// errClaimed answers who comes second.
var errClaimed = fmt.Errorf("%w: the garage has an owner", statusError(http.StatusConflict))

// checkCode notes in the form that the code does not hold, and returns the status that says so.
func (s *Server) checkCode(w http.ResponseWriter, r *http.Request, form *page.ClaimForm) (int, error) {
	addr := doorOf(r).addr
	if wait := s.throttle.begin(addr, false); wait > 0 {
		form.Errors.Add("code", tooOften(w, wait))
		return http.StatusTooManyRequests, nil
	}
	holds, err := s.store.ClaimCodeHolds(r.Context(), CodeHash(form.Code), s.now())
	if err != nil {
		return 0, err
	}
	if holds {
		s.throttle.right(addr, false)
		return http.StatusUnprocessableEntity, nil
	}
	// Asked after the code: whoever takes the code away has claimed the garage with it.
	claimed, err := s.isClaimed(r)
	switch {
	case err != nil:
		return 0, err
	case claimed:
		return 0, errClaimed
	}
	form.Errors.Add("code", "That is not the code, or its hour is over. The one printed last counts; a restart prints a new one.")
	return http.StatusUnprocessableEntity, nil
}

// moveIn signs the new owner in and keeps the settings chosen with the claim.
func (s *Server) moveIn(w http.ResponseWriter, r *http.Request, settings garage.Settings) error {
	s.claimed.Store(true)
	if err := s.store.UpdateSettings(r.Context(), settings); err != nil && !errors.Is(err, garage.ErrConflict) {
		return err
	}
	if err := s.signIn(w, r, s.now()); err != nil {
		return err
	}
	return s.redirect(w, r, route.Today(), ui.Flash{Text: "The garage is yours. Keep the password: there is no mail to send a new one by."})
}

// tooOften words a wait, and tells the browser too.
func tooOften(w http.ResponseWriter, wait time.Duration) string {
	seconds := int(math.Ceil(wait.Seconds()))
	w.Header().Set("Retry-After", strconv.Itoa(seconds))
	if seconds == 1 {
		return "Too many wrong tries. Wait a second, then try again."
	}
	return "Too many wrong tries. Wait " + strconv.Itoa(seconds) + " seconds, then try again."
}

// AllowEntry makes a link's token sign in one browser, once, while this process runs.
func (s *Server) AllowEntry(token string) {
	s.entryMu.Lock()
	defer s.entryMu.Unlock()
	s.entry = CodeHash(token)
}

// useEntry says whether the token is the one allowed, and uses it up.
func (s *Server) useEntry(token string) bool {
	s.entryMu.Lock()
	defer s.entryMu.Unlock()
	if s.entry == nil || subtle.ConstantTimeCompare(s.entry, CodeHash(token)) != 1 {
		return false
	}
	s.entry = nil
	return true
}

// enterShow is the page of a link that signs in. Looking at it changes nothing: the button on it does.
func (s *Server) enterShow(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.known(r); err == nil {
		return s.redirect(w, r, route.Today(), ui.Flash{})
	}
	base := s.base(r, "Open the garage", ui.NavNone)
	base.Bare = true
	return s.render(w, r, http.StatusOK, page.Enter(page.EnterView{Base: base, Token: r.URL.Query().Get("token")}))
}

func (s *Server) enterCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	if !s.useEntry(values.Get("token")) {
		return statusError(http.StatusGone)
	}
	// Who comes by the link need not know a password, and so is never asked for it.
	if err := s.signIn(w, r, s.now().Add(garage.SigninMax)); err != nil {
		return err
	}
	return s.redirect(w, r, route.Today(), ui.Flash{})
}

func (s *Server) accountShow(w http.ResponseWriter, r *http.Request) error {
	return s.accountForm(w, r, http.StatusOK, page.PasswordForm{})
}

func (s *Server) accountForm(w http.ResponseWriter, r *http.Request, status int, form page.PasswordForm) error {
	signins, err := s.store.Signins(r.Context(), s.now())
	if err != nil {
		return err
	}
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.render(w, r, status, page.Account(page.AccountView{
		Base:    s.base(r, "Password and browsers", ui.NavMore),
		Form:    form,
		Signins: page.NewSigninRows(signins, signinOf(r).TokenHash, settings.Location()),
	}))
}

func (s *Server) passwordUpdate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	var form page.PasswordForm
	status := http.StatusUnprocessableEntity
	if wrong := PasswordProblem(values.Get("password")); wrong != "" {
		form.Errors.Add("password", wrong)
	}
	wait, err := s.guess(r, values.Get("current"))
	switch {
	case errors.Is(err, errWrongPassword):
		form.Errors.Add("current", "That is not the present password.")
	case err != nil:
		return err
	case wait > 0:
		status = http.StatusTooManyRequests
		form.Errors.Add("current", tooOften(w, wait))
	}
	if len(form.Errors) > 0 {
		return s.accountForm(w, r, status, form)
	}
	signin, err := s.signInAs(w, r, s.now())
	if err != nil {
		return err
	}
	if err := s.store.SetPassword(r.Context(), HashPassword(values.Get("password")), signin.TokenHash); err != nil {
		return err
	}
	return s.redirect(w, r, route.Account(), ui.Flash{Text: "Password changed. Every other browser is signed out."})
}

// more lists every place that is not in the navigation.
func (s *Server) more(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, page.More(page.MoreView{Base: s.base(r, "More", ui.NavMore)}))
}

package server

import (
	"context"
	"errors"
	"net/http"
	"net/url"

	"axlestand/web/page"
	"axlestand/web/ui"
)

// A phone left lying open signs nobody in for good: what gives others a way in, or takes it from other browsers, wants the
// password again when it was not shown lately. The form that was sent waits on the page that asks, and is done with the answer.

// sureField is the field in which the password is shown again.
const sureField = "present_password"

// sureOnly lets a form through from a browser that showed the password lately, or shows it with the form.
func (s *Server) sureOnly(next http.Handler) http.Handler {
	return s.handle(func(w http.ResponseWriter, r *http.Request) error {
		form, err := readForm(w, r)
		if err != nil {
			return err
		}
		signin := signinOf(r)
		if signin.Sure(s.now()) {
			forget(r, form)
			next.ServeHTTP(w, r)
			return nil
		}
		if !form.Has(sureField) {
			return s.askAgain(w, r, http.StatusUnprocessableEntity, page.SureForm{})
		}
		var again page.SureForm
		wait, err := s.guess(r, form.Get(sureField))
		switch {
		case errors.Is(err, errWrongPassword):
			again.Errors.Add(sureField, "That is not the password.")
			return s.askAgain(w, r, http.StatusUnprocessableEntity, again)
		case err != nil:
			return err
		case wait > 0:
			again.Errors.Add(sureField, tooOften(w, wait))
			return s.askAgain(w, r, http.StatusTooManyRequests, again)
		}
		// Whoever copied the sign-in before holds nothing now.
		if signin, err = s.signInAs(w, r, s.now()); err != nil {
			return err
		}
		forget(r, form)
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), signinKey{}, signin)))
		return nil
	})
}

// forget takes the password out of a form before anything else reads it.
func forget(r *http.Request, form url.Values) {
	form.Del(sureField)
	r.Form.Del(sureField)
}

// askAgain shows the page that asks, with all that was sent waiting in it.
func (s *Server) askAgain(w http.ResponseWriter, r *http.Request, status int, form page.SureForm) error {
	form.Action = r.URL.Path
	for _, name := range sortedKeys(r.PostForm) {
		if name == sureField || name == ui.OnceField {
			continue
		}
		for _, value := range r.PostForm[name] {
			form.Fields = append(form.Fields, ui.KeyValue{Name: name, Value: value})
		}
	}
	return s.render(w, r, status, page.Sure(page.SureView{Base: s.base(r, "Your password once more", ui.NavMore), Form: form}))
}

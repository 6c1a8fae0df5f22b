package server

import (
	"errors"
	"net/http"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) sessionIndex(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	patterns, err := s.store.SessionPatterns(r.Context())
	if err != nil {
		return err
	}
	exceptions, err := s.store.SessionExceptions(r.Context(), garage.Date{})
	if err != nil {
		return err
	}
	base := s.base(r, "Sessions", ui.NavMore)
	v := page.NewSessions(base, patterns, exceptions, s.today(settings), settings.Location())
	return s.render(w, r, http.StatusOK, page.Sessions(v))
}

func (s *Server) patternNew(w http.ResponseWriter, r *http.Request) error {
	return s.patternForm(w, r, http.StatusOK, 0, page.PatternForm{Helpers: "0"})
}

func (s *Server) patternForm(w http.ResponseWriter, r *http.Request, status int, id garage.PatternID, form page.PatternForm) error {
	title := "New weekly session"
	if id != 0 {
		title = "Change a weekly session"
	}
	v := page.PatternView{Base: s.base(r, title, ui.NavMore), ID: id, Form: form}
	return s.render(w, r, status, page.Pattern(v))
}

func (s *Server) patternCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPatternForm(values)
	pattern := form.Pattern()
	if len(form.Errors) > 0 {
		return s.patternForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	_, err = s.store.CreateSessionPattern(r.Context(), pattern)
	if refused(err, &form.Errors) {
		return s.patternForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{Text: "Weekly session is in."})
}

func (s *Server) patternEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PatternID](r, "id")
	if err != nil {
		return err
	}
	pattern, err := s.store.SessionPattern(r.Context(), id)
	if err != nil {
		return err
	}
	return s.patternForm(w, r, http.StatusOK, id, page.NewPatternForm(pattern))
}

func (s *Server) patternUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PatternID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadPatternForm(values)
	pattern := form.Pattern()
	pattern.ID = id
	if len(form.Errors) > 0 {
		return s.patternForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	err = s.store.UpdateSessionPattern(r.Context(), pattern)
	if errors.Is(err, garage.ErrConflict) {
		return s.patternConflict(w, r, id, form)
	}
	if refused(err, &form.Errors) {
		return s.patternForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{Text: "Weekly session saved."})
}

func (s *Server) patternConflict(w http.ResponseWriter, r *http.Request, id garage.PatternID, form page.PatternForm) error {
	stored, err := s.store.SessionPattern(r.Context(), id)
	if err != nil {
		return err
	}
	return s.conflict(w, r, "The weekly session", stored.Version, route.PatternEdit(id), form.Conflict(page.NewPatternForm(stored)))
}

// patternDelete takes a line away; undoing enters the same line again.
func (s *Server) patternDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.PatternID](r, "id")
	if err != nil {
		return err
	}
	gone, err := s.store.DeleteSessionPattern(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{
		Text: "Weekly session taken away.", Undo: route.Patterns(), Fields: page.PatternFields(gone),
	})
}

func (s *Server) exceptionNew(w http.ResponseWriter, r *http.Request) error {
	form := page.ExceptionForm{Off: "yes", Helpers: "0"}
	if day, err := garage.ParseDate(r.URL.Query().Get("on")); err == nil {
		form.OnDate = day.String()
	}
	return s.exceptionForm(w, r, http.StatusOK, 0, form)
}

func (s *Server) exceptionForm(w http.ResponseWriter, r *http.Request, status int, id garage.ExceptionID, form page.ExceptionForm) error {
	title := "New exception"
	if id != 0 {
		title = "Change an exception"
	}
	v := page.ExceptionView{Base: s.base(r, title, ui.NavMore), ID: id, Form: form}
	return s.render(w, r, status, page.Exception(v))
}

func (s *Server) exceptionCreate(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	form := page.ReadExceptionForm(values)
	exceptions := form.Exceptions()
	if len(form.Errors) > 0 {
		return s.exceptionForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	err = s.store.CreateSessionExceptions(r.Context(), exceptions...)
	if refused(err, &form.Errors) {
		return s.exceptionForm(w, r, http.StatusUnprocessableEntity, 0, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{Text: page.ExceptionsIn(len(exceptions))})
}

func (s *Server) exceptionEdit(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ExceptionID](r, "id")
	if err != nil {
		return err
	}
	exception, err := s.store.SessionException(r.Context(), id)
	if err != nil {
		return err
	}
	return s.exceptionForm(w, r, http.StatusOK, id, page.NewExceptionForm(exception))
}

func (s *Server) exceptionUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ExceptionID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	values.Del("through") // one exception is one day
	form := page.ReadExceptionForm(values)
	exceptions := form.Exceptions()
	if len(form.Errors) > 0 {
		return s.exceptionForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	exceptions[0].ID = id
	err = s.store.UpdateSessionException(r.Context(), exceptions[0])
	if errors.Is(err, garage.ErrConflict) {
		return s.exceptionConflict(w, r, id, form)
	}
	if refused(err, &form.Errors) {
		return s.exceptionForm(w, r, http.StatusUnprocessableEntity, id, form)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{Text: "Exception saved."})
}

func (s *Server) exceptionConflict(w http.ResponseWriter, r *http.Request, id garage.ExceptionID, form page.ExceptionForm) error {
	stored, err := s.store.SessionException(r.Context(), id)
	if err != nil {
		return err
	}
	return s.conflict(w, r, "The exception", stored.Version, route.ExceptionEdit(id), form.Conflict(page.NewExceptionForm(stored)))
}

// exceptionDelete takes an exception away; undoing enters the same one again.
func (s *Server) exceptionDelete(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.ExceptionID](r, "id")
	if err != nil {
		return err
	}
	gone, err := s.store.DeleteSessionException(r.Context(), id)
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Sessions(), ui.Flash{
		Text: "Exception taken away.", Undo: route.Exceptions(), Fields: page.ExceptionFields(gone),
	})
}

package server

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// handle adapts a handler that returns what went wrong.
func (s *Server) handle(h func(w http.ResponseWriter, r *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

// statusError is an error of the request itself, with the status that says so.
type statusError int

func (e statusError) Error() string { return http.StatusText(int(e)) }

// statusOf is the one table from errors to statuses.
func statusOf(err error) int {
	if own, ok := errors.AsType[statusError](err); ok {
		return int(own)
	}
	if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return http.StatusRequestEntityTooLarge
	}
	if _, ok := errors.AsType[*garage.InvalidError](err); ok {
		return http.StatusUnprocessableEntity
	}
	switch {
	case errors.Is(err, garage.ErrOtherRequest):
		return http.StatusUnprocessableEntity
	case errors.Is(err, garage.ErrNotFound):
		return http.StatusNotFound
	case errors.Is(err, garage.ErrConflict):
		return http.StatusConflict
	}
	return http.StatusInternalServerError
}

// fail answers with the page for an error. The visitor reads a sentence, the log the error.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // the browser is gone, and took the queries with it
	}
	status := statusOf(err)
	if status >= http.StatusInternalServerError {
		s.log.LogAttrs(r.Context(), slog.LevelError, "failed", append(requestAttrs(r), slog.Any("error", err))...)
	}
	problem := problems[status]
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		problem.Happened = sentences(invalid)
	}
	if errors.Is(err, garage.ErrOtherRequest) {
		problem.Happened = "Something else was sent and done under the same key before."
	}
	if r.Header.Get(outboxHeader) != "" {
		s.refuseOutbox(w, r, status, cmp.Or(problem.Happened, http.StatusText(status)), err)
		return
	}
	if status >= http.StatusInternalServerError {
		problem.ToDo += " The log has the details under " + requestID(r) + "."
	}
	if len(problem.Links) == 0 {
		problem.Links = []ui.Link{{Text: "Today", Href: route.Today()}}
	}
	v := page.ProblemView{Base: s.base(r, problem.Title, ui.NavNone), Data: problem}
	v.Bare = !s.signedIn(r, status)
	if err := s.render(w, r, status, page.Problem(v)); err != nil {
		s.log.ErrorContext(r.Context(), "error page", "error", err)
		http.Error(w, problem.Title, status)
	}
}

// refuseOutbox tells the script of the outbox what a page would say.
func (s *Server) refuseOutbox(w http.ResponseWriter, r *http.Request, status int, message string, err error) {
	answer := struct {
		Fields  map[string]string `json:"fields"`
		Message string            `json:"message"`
	}{map[string]string{}, message}
	if invalid, ok := errors.AsType[*garage.InvalidError](err); ok {
		answer.Fields = invalid.Fields
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if err := json.NewEncoder(w).Encode(answer); err != nil {
		s.log.DebugContext(r.Context(), "the browser left before the answer was sent", "error", err)
	}
}

// signedIn says whether an error page may show the owner's navigation. An address that does not exist has not asked yet.
func (s *Server) signedIn(r *http.Request, status int) bool {
	if status == http.StatusNotFound && len(signinOf(r).TokenHash) == 0 {
		_, err := s.known(r)
		return err == nil
	}
	return len(signinOf(r).TokenHash) > 0
}

// sentences joins what is wrong with the fields of a form that has no page of its own to show it on.
func sentences(e *garage.InvalidError) string { return e.Fields.Sentences() }

// problems word the statuses for the visitor.
var problems = map[int]ui.ProblemData{
	http.StatusBadRequest: {
		Title: "Not understood", Happened: "The browser sent something this page cannot read.",
		Kept: "Nothing was changed.", ToDo: "Go back, load the page anew and try once more.",
	},
	http.StatusUnauthorized: {
		Title: "Signed out", Happened: "This browser was signed out before the form was sent.",
		Kept:  "Nothing was changed, and what you typed is still on the page before this one.",
		ToDo:  "Sign in in another tab, come back to this one, go back and send the form once more.",
		Links: []ui.Link{{Text: "Sign in", Href: route.Signin()}},
	},
	http.StatusGone: {
		Title: "Used up", Happened: "This link has signed in a browser already, or belongs to an earlier start of the program.",
		Kept: "Nothing was changed.", ToDo: "Start the program again: it prints a new link. Or sign in with the password.",
		Links: []ui.Link{{Text: "Sign in", Href: route.Signin()}},
	},
	http.StatusForbidden: {
		Title: "Not from here", Happened: "The form was sent from a page of another address.",
		Kept: "Nothing was changed.", ToDo: "Open this garage's own page and try there.",
	},
	http.StatusNotFound: {
		Title: "Not here", Happened: "There is nothing at this address: it was deleted, or the address is wrong.",
		ToDo: "Look for it from one of the lists.",
	},
	http.StatusMethodNotAllowed: {
		Title: "Not that way", Happened: "This address does not take that kind of request.",
		Kept: "Nothing was changed.", ToDo: "Start from one of the lists.",
	},
	http.StatusConflict: {
		Title: "Changed meanwhile", Happened: "It was changed elsewhere after this page was opened.",
		Kept: "What is stored stayed as it is.", ToDo: "Go back, load the page anew and look at what changed.",
	},
	http.StatusRequestEntityTooLarge: {
		Title: "Too large", Happened: "What was sent is larger than this form takes.",
		Kept: "Nothing was changed.", ToDo: "Go back and send less.",
	},
	http.StatusUnprocessableEntity: {
		Title: "Not possible", Kept: "Nothing was changed.", ToDo: "Go back and change what does not fit.",
	},
	http.StatusTooManyRequests: {
		Title: "Too many tries", Happened: "There were too many tries in a short time.",
		Kept: "Nothing was changed.", ToDo: "Wait a minute, then try once more.",
	},
	http.StatusMisdirectedRequest: {
		Title: "Wrong name", Happened: "This garage does not answer to the name in the address bar.",
		ToDo: "Use its IP address, or start it with the name among its allowed hosts.",
	},
	http.StatusInternalServerError: {
		Title: "It went wrong", Happened: "The program could not do this; the fault is its own.",
		Kept: "What was stored before is still there.", ToDo: "Try once more.",
	},
	http.StatusServiceUnavailable: {
		Title: "Not ready", Happened: "The database does not answer.",
		Kept: "What was stored before is still there.", ToDo: "Wait a moment, then try once more.",
	},
}

func (s *Server) notFound(http.ResponseWriter, *http.Request) error { return garage.ErrNotFound }

func (s *Server) methodNotAllowed(http.ResponseWriter, *http.Request) error {
	return statusError(http.StatusMethodNotAllowed)
}

// pathID reads an id of the path; anything but a positive number is not found.
func pathID[T ~int64](r *http.Request, name string) (T, error) {
	n, err := strconv.ParseInt(r.PathValue(name), 10, 64)
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%s %q: %w", name, r.PathValue(name), garage.ErrNotFound)
	}
	return T(n), nil
}

// maxForm is more than any form without files has use for.
const maxForm = 1 << 20

// readForm reads the body of a POST; more than maxForm is refused.
func readForm(w http.ResponseWriter, r *http.Request) (url.Values, error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
			return nil, err
		}
		return nil, fmt.Errorf("%w: %w", statusError(http.StatusBadRequest), err)
	}
	for name, values := range r.PostForm {
		for i, v := range values {
			if strings.ContainsRune(v, 0) || strings.ContainsRune(name, 0) {
				return nil, statusError(http.StatusBadRequest) // Postgres stores no zero bytes
			}
			r.PostForm[name][i] = strings.ToValidUTF8(strings.ReplaceAll(v, "\r\n", "\n"), "\uFFFD")
		}
	}
	return r.PostForm, nil
}

// conflict answers a stale save with 409: what was typed beside what is stored now, as rows. Saving mine sends the whole
// form again to the same address with the version that is stored; keeping what is stored leads to the address stored.
func (s *Server) conflict(w http.ResponseWriter, r *http.Request, what string, version int64, stored string, rows []page.ConflictRow) error {
	v := page.ConflictView{
		Base: s.base(r, "Saved twice", ui.NavNone),
		Data: ui.ConflictData{What: what, Rows: rows, Action: r.URL.Path, Stored: stored, Fields: resend(r.PostForm, version)},
	}
	return s.render(w, r, http.StatusConflict, page.Conflict(v))
}

// resend is a form's fields with the version replaced.
func resend(form url.Values, version int64) []ui.KeyValue {
	fields := []ui.KeyValue{{Name: "version", Value: strconv.FormatInt(version, 10)}}
	for _, name := range sortedKeys(form) {
		if name == "version" || name == ui.OnceField {
			continue
		}
		for _, value := range form[name] {
			fields = append(fields, ui.KeyValue{Name: name, Value: value})
		}
	}
	return fields
}

// refused says whether the store found fields that do not hold, and notes them for the form.
func refused(err error, e *garage.FieldErrors) bool {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if ok {
		e.Merge(invalid.Fields)
	}
	return ok
}

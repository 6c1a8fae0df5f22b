package server

import (
	"context"
	"errors"
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

// noun is what nouns with one form have in common: one is added, changed, deleted, and that taken back. T is what is stored, F
// its form as typed. A stale save is answered 409, what does not hold 422; nothing typed is lost.
type noun[ID ~int64, T, F any] struct {
	s *Server

	// fresh is a new one, which knows what it belongs to, with its empty form.
	fresh func(r *http.Request) (T, F, error)
	// typed reads a form over what is there, or over a fresh one; what is wrong with it is noted in the form.
	typed func(r *http.Request, over T, sent url.Values) (T, F, error)
	// form is the page of the form of one that is stored or, with the id 0, new.
	form func(r *http.Request, of T, form F) (templ.Component, error)

	filled   func(T) F
	errors   func(*F) *garage.FieldErrors
	conflict func(r *http.Request, stored T, typed F) ([]page.ConflictRow, error)
	about    func(T) entry[ID]
	added    string             // what is said after its name when it was added
	gone     func(T) string     // where to go when it is deleted or back
	restored func(id ID) string // the address that takes the deletion back

	get             func(ctx context.Context, id ID) (T, error)
	create          func(ctx context.Context, v T) (ID, error)
	update          func(ctx context.Context, v T) error
	delete, restore func(ctx context.Context, id ID) error
}

// entry is what the handlers have to know of one that is stored.
type entry[ID ~int64] struct {
	id      ID
	version int64
	name    string
	page    string // where it is shown
}

// of reads the one that the path names.
func (n *noun[ID, T, F]) of(r *http.Request) (v T, err error) {
	id, err := pathID[ID](r, "id")
	if err != nil {
		return v, err
	}
	return n.get(r.Context(), id)
}

// show answers with the form.
func (n *noun[ID, T, F]) show(w http.ResponseWriter, r *http.Request, status int, of T, form F) error {
	c, err := n.form(r, of, form)
	if err != nil {
		return err
	}
	return n.s.render(w, r, status, c)
}

// blank is the form of a new one.
func (n *noun[ID, T, F]) blank(w http.ResponseWriter, r *http.Request) error {
	v, form, err := n.fresh(r)
	if err != nil {
		return err
	}
	return n.show(w, r, http.StatusOK, v, form)
}

// add stores a new one.
func (n *noun[ID, T, F]) add(w http.ResponseWriter, r *http.Request) error {
	fresh, _, err := n.fresh(r)
	if err != nil {
		return err
	}
	v, form, err := n.sent(w, r, fresh)
	if err != nil {
		return err
	}
	wrong := n.errors(&form)
	if len(*wrong) > 0 {
		return n.show(w, r, http.StatusUnprocessableEntity, fresh, form)
	}
	id, err := n.create(r.Context(), v)
	if refused(err, wrong) {
		return n.show(w, r, http.StatusUnprocessableEntity, fresh, form)
	}
	if err == nil {
		v, err = n.get(r.Context(), id)
	}
	if err != nil {
		return err
	}
	return n.s.redirect(w, r, n.about(v).page, ui.Flash{Text: n.about(v).name + n.added})
}

// sent reads a form that was sent.
func (n *noun[ID, T, F]) sent(w http.ResponseWriter, r *http.Request, over T) (v T, form F, err error) {
	values, err := readForm(w, r)
	if err != nil {
		return v, form, err
	}
	return n.typed(r, over, values)
}

// edit is the form of one that is stored.
func (n *noun[ID, T, F]) edit(w http.ResponseWriter, r *http.Request) error {
	stored, err := n.of(r)
	if err != nil {
		return err
	}
	return n.show(w, r, http.StatusOK, stored, n.filled(stored))
}

// change stores what the form of one says.
func (n *noun[ID, T, F]) change(w http.ResponseWriter, r *http.Request) error {
	stored, err := n.of(r)
	if err != nil {
		return err
	}
	v, form, err := n.sent(w, r, stored)
	if err != nil {
		return err
	}
	wrong := n.errors(&form)
	if len(*wrong) > 0 {
		return n.show(w, r, http.StatusUnprocessableEntity, stored, form)
	}
	err = n.update(r.Context(), v)
	switch {
	case errors.Is(err, garage.ErrConflict):
		return n.stale(w, r, form)
	case refused(err, wrong):
		return n.show(w, r, http.StatusUnprocessableEntity, stored, form)
	case err != nil:
		return err
	}
	return n.s.redirect(w, r, n.about(v).page, ui.Flash{Text: n.about(v).name + " saved."})
}

// stale sets what was typed beside what is stored by now.
func (n *noun[ID, T, F]) stale(w http.ResponseWriter, r *http.Request, form F) error {
	stored, err := n.of(r)
	if err != nil {
		return err
	}
	rows, err := n.conflict(r, stored, form)
	if err != nil {
		return err
	}
	x := n.about(stored)
	return n.s.conflict(w, r, x.name, x.version, x.page, rows)
}

// remove deletes one.
func (n *noun[ID, T, F]) remove(w http.ResponseWriter, r *http.Request) error {
	v, err := n.of(r)
	if err != nil {
		return err
	}
	x := n.about(v)
	if err := n.delete(r.Context(), x.id); err != nil {
		return err
	}
	return n.s.redirect(w, r, n.gone(v), ui.Flash{Text: x.name + " deleted.", Undo: n.restored(x.id)})
}

// undo takes a deletion back.
func (n *noun[ID, T, F]) undo(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[ID](r, "id")
	if err != nil {
		return err
	}
	if err := n.restore(r.Context(), id); err != nil {
		return err
	}
	v, err := n.of(r)
	if err != nil {
		return err
	}
	return n.s.redirect(w, r, n.gone(v), ui.Flash{Text: n.about(v).name + " is back."})
}

// titled is a form's title: one for a new one, or another for what is stored.
func titled[ID ~int64](fresh string, id ID, stored string) string {
	if id == 0 {
		return fresh
	}
	return stored
}

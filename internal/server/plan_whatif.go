package server

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// whatIfShow shows the plan of what an address supposes. A form of the page that supposes one thing more leads to the address
// that has it too.
func (s *Server) whatIfShow(w http.ResponseWriter, r *http.Request) error {
	query := r.URL.Query()
	if !query.Has("add") {
		return s.whatIf(w, r, http.StatusOK, query, nil, false)
	}
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	x, wrong := p.ReadSupposition(query)
	if len(wrong) > 0 {
		return s.whatIf(w, r, http.StatusUnprocessableEntity, query, wrong, false)
	}
	http.Redirect(w, r, route.WhatIf(append(query["if"], x.Text(p.Now.Location()))...), http.StatusSeeOther)
	return nil
}

// whatIf plans what is supposed, and shows it beside the plan of now.
func (s *Server) whatIf(w http.ResponseWriter, r *http.Request, status int, typed url.Values, wrong garage.FieldErrors, changed bool) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	supposed, shot, gone := p.Suppositions(typed["if"])
	then := p
	if len(supposed) > 0 {
		then, err = workedOut(made, "if "+strings.Join(typed["if"], " "), func() (page.Planned, error) {
			problem, answer, err := planner.PlanGarage(shot, p.Now)
			return page.NewPlanned(shot, problem, answer, p.Now), err
		})
		if err != nil {
			return err
		}
	}
	v := page.NewWhatIf(s.base(r, "What if", ui.NavPlan), p, then, supposed, typed, wrong)
	v.Gone, v.Changed = gone, changed
	return s.render(w, r, status, page.WhatIf(v))
}

// whatIfKeep enters what is supposed. When the garage has changed since it was looked at, what comes of it now is shown first.
func (s *Server) whatIfKeep(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	supposed, _, gone := p.Suppositions(values["if"])
	err = garage.ErrConflict
	if !gone {
		err = s.store.KeepSuppositions(r.Context(), formVersion(values), supposed)
	}
	if errors.Is(err, garage.ErrConflict) {
		return s.whatIf(w, r, http.StatusConflict, values, nil, true)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Plan(), ui.Flash{Text: page.KeptText(supposed)})
}

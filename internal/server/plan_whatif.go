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
	supposed, then, gone, err := planSupposed(made, typed["if"])
	if err != nil {
		return err
	}
	v := page.NewWhatIf(s.base(r, "What if", ui.NavPlan), made.planned, then, supposed, typed, wrong)
	v.Gone, v.Changed = gone, changed
	return s.render(w, r, status, page.WhatIf(v))
}

// planSupposed plans what an address supposes.
func planSupposed(made *planMade, texts []string) (supposed []garage.Supposition, then page.Planned, gone bool, err error) {
	p := made.planned
	supposed, shot, gone := p.Suppositions(texts)
	if len(supposed) == 0 {
		return nil, p, gone, nil
	}
	then, err = workedOut(made, "if "+strings.Join(texts, " "), func() (page.Planned, error) {
		problem, answer, err := planner.PlanGarage(shot, p.Now)
		return page.NewPlanned(shot, problem, answer, p.Now), err
	})
	return supposed, then, gone, err
}

// whatIfChances says how sure dates are with what is supposed, beside how sure they are by the plan. Both are carried out with
// the same luck, so that the difference is that of what is supposed.
func (s *Server) whatIfChances(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	texts := r.URL.Query()["if"]
	supposed, then, _, err := planSupposed(made, texts)
	if err != nil {
		return err
	}
	now, err := s.chances(made)
	if err != nil {
		return err
	}
	changed, err := workedOut(made, "chances if "+strings.Join(texts, " "), func() ([]planner.Chance, error) {
		return planner.Chances(then.Problem, then.Answer, chanceSamples(len(then.Problem.Jobs)), chanceSeed)
	})
	if err != nil {
		return err
	}
	v := page.NewWhatIfChances(s.base(r, "How sure it is", ui.NavPlan), made.planned, supposed, now, changed)
	return s.render(w, r, http.StatusOK, page.WhatIfChances(v))
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

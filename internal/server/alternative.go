package server

import (
	"net/http"
	"strconv"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// needOffers is a need of the path with what its alternatives are reckoned with, beside the plan.
func (s *Server) needOffers(r *http.Request) (need garage.Need, suppliers []garage.SupplierRow, deposits []garage.PartDeposit, err error) {
	id, err := pathID[garage.NeedID](r, "id")
	if err != nil {
		return need, nil, nil, err
	}
	if need, err = s.store.Need(r.Context(), id); err != nil {
		return need, nil, nil, err
	}
	if suppliers, err = s.store.Suppliers(r.Context()); err != nil {
		return need, nil, nil, err
	}
	deposits, err = s.store.LastDeposits(r.Context())
	return need, suppliers, deposits, err
}

// alternatives sets the ways in which a need can be met side by side, each with the plan that comes of it.
func (s *Server) alternatives(w http.ResponseWriter, r *http.Request) error {
	need, suppliers, deposits, err := s.needOffers(r)
	if err != nil {
		return err
	}
	stage, err := s.store.Stage(r.Context(), need.StageID)
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), stage.JobID)
	if err != nil {
		return err
	}
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	same, err := s.store.PartsByNumber(r.Context(), need.PartID)
	if err != nil {
		return err
	}
	all, low := made.planned.Alternatives(need, same, suppliers, deposits)
	for i := range all {
		if _, all[i].Then, _, err = planSupposed(made, all[i].Texts); err != nil {
			return err
		}
	}
	v := page.NewAlternatives(s.base(r, "Alternatives", ui.NavCars), made.planned, need, job, all, low)
	return s.render(w, r, http.StatusOK, page.Alternatives(v))
}

// alternativeOrder orders a part for a need with its supplier today, and has the need be met by it.
func (s *Server) alternativeOrder(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	need, suppliers, deposits, err := s.needOffers(r)
	if err != nil {
		return err
	}
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	n, _ := strconv.ParseInt(values.Get("part"), 10, 64)
	o, line, possible := p.OrderFor(need, garage.PartID(n), suppliers, deposits)
	if !possible {
		return garage.ErrNotFound
	}
	flash := ui.Flash{Text: "Noted as ordered: now order it there, and look at its price."}
	if line.PartID != need.PartID {
		other := garage.Supposition{Kind: garage.OtherPart, ID: int64(need.ID), PartID: line.PartID}
		if err := s.store.KeepSuppositions(r.Context(), formVersion(values), []garage.Supposition{other}); err != nil {
			return err
		}
	}
	made, err := s.store.CreateOrder(r.Context(), o, line)
	if err != nil {
		return err
	}
	if err := s.estimate(r.Context()); err != nil {
		return err
	}
	if line.PartID == need.PartID {
		flash.Undo = route.OrderDelete(made)
	}
	return s.redirect(w, r, route.Order(made), flash)
}

package server

import (
	"net/http"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func (s *Server) planShow(w http.ResponseWriter, r *http.Request) error {
	p, err := s.planned(r.Context())
	if err != nil {
		return err
	}
	from, err := garage.ParseDate(r.URL.Query().Get("from"))
	if err != nil {
		from = garage.DateOf(p.Now) // a bare or mistyped address shows the plan from today
	}
	base := s.base(r, "Plan", ui.NavPlan)
	base.Wide = true
	return s.render(w, r, http.StatusOK, page.Plan(page.NewPlan(base, p, from)))
}

func (s *Server) todayShow(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	free := page.ReadFreeTime(r.URL.Query(), p.Now)
	ready, err := workedOut(made, "ready "+free.Name(), func() ([]planner.Ready, error) {
		ready, err := planner.ReadyNow(p.Problem, free.Until, free.Helpers())
		return p.Answer.Promised(p.Problem, ready), err
	})
	if err != nil {
		return err
	}
	status := http.StatusOK
	if free.Error != "" {
		status = http.StatusUnprocessableEntity
	}
	base := s.base(r, "Today", ui.NavToday)
	v := page.NewToday(base, p, s.now(), ready, free)
	if err := s.addCardNeeds(r, &v, garage.DateOf(p.Now)); err != nil {
		return err
	}
	if err := s.addOrderNeeds(r, &v, garage.DateOf(p.Now)); err != nil {
		return err
	}
	return s.render(w, r, status, page.Today(v))
}

func (s *Server) togetherShow(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	free := page.ReadFreeTime(r.URL.Query(), p.Now)
	fit, err := workedOut(made, "together "+free.Name(), func() (planner.Fit, error) {
		return planner.Fits(p.Problem, free.Until, free.Helpers())
	})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Together(page.NewTogether(s.base(r, "Together", ui.NavToday), p, fit, free)))
}

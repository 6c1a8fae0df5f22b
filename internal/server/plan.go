package server

import (
	"net/http"
	"strconv"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/ui"
)

// planned reads the garage and plans it as it is now. Planning takes milliseconds, so that every page shows the plan of
// this moment and none is ever stale.
func (s *Server) planned(r *http.Request) (page.Planned, error) {
	shot, err := s.store.Snapshot(r.Context())
	if err != nil {
		return page.Planned{}, err
	}
	now := s.now().Truncate(time.Minute)
	problem, answer, err := planner.PlanGarage(shot, now)
	if err != nil {
		return page.Planned{}, err
	}
	return page.NewPlanned(shot, problem, answer, now), nil
}

func (s *Server) planShow(w http.ResponseWriter, r *http.Request) error {
	p, err := s.planned(r)
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
	p, err := s.planned(r)
	if err != nil {
		return err
	}
	minutes := 120
	for _, span := range page.ReadySpans {
		if asked, err := strconv.Atoi(r.URL.Query().Get("for")); err == nil && asked == span.Minutes {
			minutes = asked
		}
	}
	helpers := 0
	if r.URL.Query().Get("helper") == "1" {
		helpers = 1
	}
	ready, err := planner.ReadyNow(p.Problem, p.Now.Add(time.Duration(minutes)*time.Minute), helpers)
	if err != nil {
		return err
	}
	base := s.base(r, "Today", ui.NavToday)
	return s.render(w, r, http.StatusOK, page.Today(page.NewToday(base, p, ready, minutes, helpers > 0)))
}

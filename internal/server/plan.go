package server

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

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
	ready, err := workedOut(made, fmt.Sprintf("ready for %d min, %d helpers", minutes, helpers), func() ([]planner.Ready, error) {
		return planner.ReadyNow(p.Problem, p.Now.Add(time.Duration(minutes)*time.Minute), helpers)
	})
	if err != nil {
		return err
	}
	base := s.base(r, "Today", ui.NavToday)
	return s.render(w, r, http.StatusOK, page.Today(page.NewToday(base, p, s.now(), ready, minutes, helpers > 0)))
}

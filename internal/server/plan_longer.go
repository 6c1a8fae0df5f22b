package server

import (
	"errors"
	"net/http"
	"strconv"
	"sync"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// planFound keeps the better plan that was shown last, so that the one that is taken is the one that was looked at.
type planFound struct {
	mu         sync.Mutex
	name       string
	version    int64 // of the garage
	plan, from garage.PlanRecord
}

func (f *planFound) keep(made *planMade, l planner.Longer) (name string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.name = strconv.FormatInt(made.key.version, 10) + "." + strconv.FormatInt(made.key.now.Unix(), 10)
	f.version, f.plan, f.from = made.key.version, l.Plan.Record(), made.planned.Answer.Record()
	f.plan.Of, f.from.Of = made.planned.Problem.Name(), made.planned.Problem.Name()
	return f.name
}

func (f *planFound) named(name string) (version int64, plan, from garage.PlanRecord, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.version, f.plan, f.from, f.name == name && name != ""
}

// planLonger shows a plan that was looked for longer.
func (s *Server) planLonger(w http.ResponseWriter, r *http.Request) error {
	return s.showLonger(w, r, http.StatusOK)
}

func (s *Server) showLonger(w http.ResponseWriter, r *http.Request, status int) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	longer, err := workedOut(made, "longer", func() (planner.Longer, error) { return planner.LookLonger(p.Problem, p.Answer) })
	if err != nil {
		return err
	}
	v := page.NewPlanLonger(s.base(r, "A longer look", ui.NavPlan), p, longer, s.found.keep(made, longer))
	v.Changed = status == http.StatusConflict
	return s.render(w, r, status, page.PlanLonger(v))
}

// planTake takes the plan that was looked at for the plan. When the garage has changed since, what is found now is shown first.
func (s *Server) planTake(w http.ResponseWriter, r *http.Request) error {
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	version, plan, from, ok := s.found.named(values.Get("found"))
	err = garage.ErrConflict
	if ok {
		err = s.store.TakePlan(r.Context(), version, plan, from)
	}
	if errors.Is(err, garage.ErrConflict) {
		return s.showLonger(w, r, http.StatusConflict)
	}
	if err != nil {
		return err
	}
	return s.redirect(w, r, route.Plan(), ui.Flash{Text: "Taken. The plans to come are held near to this one."})
}

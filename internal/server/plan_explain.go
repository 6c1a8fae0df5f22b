package server

import (
	"net/http"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/page"
	"axlestand/web/ui"
)

// chanceSamples is how often a plan is carried out: with 2,000 a chance of one half is known to 2.2 points, with 500 to 4.4.
func chanceSamples(jobs int) int {
	if jobs > 100 {
		return 500
	}
	return 2000
}

// chanceSeed is the same for all plans, so that two of them share what they can of their luck and differ by the rest alone.
const chanceSeed = 1

// chances are those of the plan's jobs.
func (s *Server) chances(made *planMade) ([]planner.Chance, error) {
	return workedOut(made, "chances", func() ([]planner.Chance, error) {
		return planner.Chances(made.planned.Problem, made.planned.Answer, chanceSamples(len(made.planned.Problem.Jobs)), chanceSeed)
	})
}

func (s *Server) planChances(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	chances, err := s.chances(made)
	if err != nil {
		return err
	}
	v := page.NewPlanChances(s.base(r, "How sure it is", ui.NavPlan), made.planned, chances, chanceSamples(len(made.planned.Problem.Jobs)))
	return s.render(w, r, http.StatusOK, page.PlanChances(v))
}

func (s *Server) jobChance(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.JobID](r, "id")
	if err != nil {
		return err
	}
	job, err := s.store.Job(r.Context(), id)
	if err != nil {
		return err
	}
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	chances, err := s.chances(made)
	if err != nil {
		return err
	}
	v := page.NewJobChance(s.base(r, "How sure it is", ui.NavCars), made.planned, job, chances)
	return s.render(w, r, http.StatusOK, page.JobChance(v))
}

// mostThings is how many things are tried to see what frees most; each is a plan of its own.
func mostThings(jobs int) int {
	if jobs > 100 {
		return 12
	}
	return planner.DefaultThings
}

func (s *Server) planFrees(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	gains, err := workedOut(made, "frees", func() ([]planner.Gain, error) {
		return planner.Frees(p.Problem, p.Answer, mostThings(len(p.Problem.Jobs)))
	})
	if err != nil {
		return err
	}
	v := page.NewPlanFrees(s.base(r, "What would help", ui.NavPlan), p, gains)
	return s.render(w, r, http.StatusOK, page.PlanFrees(v))
}

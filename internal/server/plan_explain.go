package server

import (
	"net/http"
	"slices"

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
	short, err := workedOut(made, "shortfalls", func() ([]planner.Shortfall, error) { return planner.Shortfalls(made.planned.Problem) })
	if err != nil {
		return err
	}
	v := page.NewPlanChances(s.base(r, "How sure it is", ui.NavPlan), made.planned, chances, chanceSamples(len(made.planned.Problem.Jobs)), short)
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

func (s *Server) planFrees(w http.ResponseWriter, r *http.Request) error {
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	gains, err := workedOut(made, "frees", func() ([]planner.Gain, error) {
		return planner.Frees(p.Problem, p.Answer, 0)
	})
	if err != nil {
		return err
	}
	v := page.NewPlanFrees(s.base(r, "What would help", ui.NavPlan), p, gains)
	return s.render(w, r, http.StatusOK, page.PlanFrees(v))
}

// jobWhy explains where a job stands in the plan, and what would come of it in a session of the owner's choice.
func (s *Server) jobWhy(w http.ResponseWriter, r *http.Request) error {
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
	p, ref := made.planned, planner.JobRef(id)
	sets, err := s.unblock(made, ref)
	if err != nil {
		return err
	}
	v := page.NewJobWhy(s.base(r, "Why then", ui.NavCars), p, job, sets)
	if at, ok := p.ReadSession(r.URL.Query().Get("at")); ok && len(v.Sessions) > 0 {
		forced, err := workedOut(made, "forced "+ref+" "+at.String(), func() (planner.Forced, error) {
			return planner.Force(p.Problem, p.Answer, ref, at)
		})
		if err != nil {
			return err
		}
		v.Force(p, forced)
	}
	return s.render(w, r, http.StatusOK, page.JobWhy(v))
}

// unblock is the least that would free a job, nothing for one that is not blocked or could not be planned at all.
func (s *Server) unblock(made *planMade, job string) ([][]planner.Thing, error) {
	p := made.planned
	blocked := slices.ContainsFunc(p.Answer.Blocked, func(b planner.Blocked) bool { return b.Job == job })
	known := slices.ContainsFunc(p.Problem.Jobs, func(j planner.Job) bool { return j.ID == job })
	if !blocked || !known {
		return nil, nil
	}
	return workedOut(made, "unblock "+job, func() ([][]planner.Thing, error) { return planner.Unblock(p.Problem, job) })
}

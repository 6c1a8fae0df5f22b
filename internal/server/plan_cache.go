package server

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"github.com/go-chi/chi/v5/middleware"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/internal/postgres"
	"axlestand/web/page"
)

// planStep is how long a plan is taken for that of now: it is made for the last full step, so that pages asked for one after
// another need not plan again.
const planStep = 5 * time.Minute

// planPatience bounds the making of a plan, which goes on when the browser that asked for it is gone: others may wait for it.
const planPatience = 30 * time.Second

// planKey says what a plan is for: the garage as it stood, and the time.
type planKey struct {
	version int64
	now     time.Time
}

// planMade is a plan that is being made, or made once done is closed.
type planMade struct {
	key     planKey
	done    chan struct{}
	planned page.Planned
	err     error

	mu    sync.Mutex
	found map[string]any // what was worked out of the plan, see workedOut
}

// mostFound bounds what is kept beside a plan; it goes with the plan.
const mostFound = 30

// workedOut is what f makes of a plan. It is made once for all requests while the plan holds; what names it and its arguments.
func workedOut[T any](made *planMade, what string, f func() (T, error)) (T, error) {
	made.mu.Lock()
	once, known := made.found[what].(func() (T, error))
	if !known {
		once = sync.OnceValues(f)
		if made.found == nil || len(made.found) >= mostFound {
			made.found = map[string]any{}
		}
		made.found[what] = once
	}
	made.mu.Unlock()
	return once()
}

// planMemory keeps the last plan. It is this instance's alone; that the garage's version is asked for each time keeps it true
// when others change the garage.
type planMemory struct {
	mu    sync.Mutex
	last  *planMade
	shown *garage.PlanRecord // the last that was made without fail
	kept  int64              // the version of the garage up to which plans are kept in the store
}

// planned is the plan of the garage as it is now.
func (s *Server) planned(ctx context.Context) (page.Planned, error) {
	made, err := s.plan(ctx)
	if err != nil {
		return page.Planned{}, err
	}
	return made.planned, nil
}

// plan is the plan of the garage as it is now, with room for what is worked out of it. However many requests ask for it, it is
// made once. One that is asked for in a transaction may see what is never committed: unless nothing was changed since the last plan, it
// is made for that alone.
func (s *Server) plan(ctx context.Context) (*planMade, error) {
	version, err := s.store.GarageVersion(ctx)
	if err != nil {
		return nil, err
	}
	key := planKey{version: version, now: s.now().Truncate(planStep)}
	if postgres.InTransaction(ctx) {
		if made := s.plans.ready(key); made != nil {
			return made, made.err
		}
		var alone planMemory
		made, _ := alone.begin(key)
		s.makePlan(ctx, &alone, made)
		return made, made.err
	}
	made, mine := s.plans.begin(key)
	if mine {
		s.makePlan(ctx, &s.plans, made)
	}
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-made.done:
		return made, made.err
	}
}

// ready is the plan for a key if it is made already; nil when it would have to be waited for, which a transaction must not: who makes
// it may wait for the transaction's connection.
func (m *planMemory) ready(key planKey) *planMade {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last == nil || m.last.key != key {
		return nil
	}
	select {
	case <-m.last.done:
		return m.last
	default:
		return nil
	}
}

// begin finds the plan for a key, or notes that the caller makes it.
func (m *planMemory) begin(key planKey) (made *planMade, mine bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last != nil && m.last.key == key {
		return m.last, false
	}
	m.last = &planMade{key: key, done: make(chan struct{}), err: errPlanBroken}
	return m.last, true
}

// end lets those that wait for a plan go on. One that failed is forgotten, so that the next request tries again.
func (m *planMemory) end(made *planMade) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if made.err == nil {
		record := made.planned.Answer.Record()
		m.shown = &record
	} else if m.last == made {
		m.last = nil
	}
	close(made.done)
}

func (m *planMemory) lastShown() *garage.PlanRecord {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.shown
}

// errPlanBroken is what those read who waited for a plan whose making panicked.
var errPlanBroken = errors.New("the plan could not be made")

// makePlan reads the garage and plans it.
func (s *Server) makePlan(ctx context.Context, memory *planMemory, made *planMade) {
	defer memory.end(made) // also when it panics
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), planPatience)
	defer cancel()
	start := time.Now()
	shot, err := s.store.Snapshot(ctx)
	if err != nil {
		made.err = err
		return
	}
	if shot.Plan == nil {
		shot.Plan = s.plans.lastShown() // also in a transaction: it is the plan that the owner saw
	}
	read := time.Now()
	problem, answer, err := planner.PlanGarage(shot, made.key.now)
	if err == nil {
		made.planned = page.NewPlanned(shot, problem, answer, made.key.now)
	}
	made.err = err
	s.metrics.plan(time.Since(read))
	s.log.LogAttrs(ctx, slog.LevelDebug, "planned", slog.Int("jobs", len(shot.Jobs)), slog.Int("decodes", answer.Totals.Decodes),
		slog.Float64("read_ms", milliseconds(read.Sub(start))), slog.Float64("plan_ms", milliseconds(time.Since(read))))
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// replans makes a new plan after what changed the garage, and keeps it: the next one is held near to it, and the plan's page
// can say what became different. The browser has its answer whatever comes of this.
func (s *Server) replans(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet || r.Method == http.MethodHead {
			next.ServeHTTP(w, r)
			return
		}
		seen := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		next.ServeHTTP(seen, r)
		if seen.Status() >= http.StatusBadRequest { // refused: nothing was changed
			return
		}
		if err := s.keepPlan(context.WithoutCancel(r.Context())); err != nil {
			s.log.LogAttrs(r.Context(), slog.LevelError, "plan not kept", append(requestAttrs(r), slog.Any("error", err))...)
		}
	})
}

// keepPlan keeps the plan of the garage as it is now, unless one of this version is kept already.
func (s *Server) keepPlan(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, planPatience)
	defer cancel()
	version, err := s.store.GarageVersion(ctx)
	if err != nil || version == s.plans.keptVersion() {
		return err
	}
	p, err := s.planned(ctx)
	if err != nil {
		return err
	}
	record := p.Answer.Record()
	record.Of = p.Problem.Name()
	if p.Shot.PlanOf < p.Shot.Version {
		before := p.Shot.Plan
		if before != nil && !planner.Changes(*before, record, p.Now.Location()).Any() {
			before = nil
		}
		if err := s.store.KeepPlan(ctx, p.Shot.Version, record, before); err != nil {
			return err
		}
	}
	s.plans.keep(p.Shot.Version)
	return nil
}

func (m *planMemory) keptVersion() int64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.kept
}

func (m *planMemory) keep(version int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.kept = max(m.kept, version)
}

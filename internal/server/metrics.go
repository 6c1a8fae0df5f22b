package server

import (
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"axlestand/internal/postgres"
)

// tookBounds are the upper ends of the ranges that durations are counted in, in seconds.
var tookBounds = []float64{0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10}

// metrics are figures for a Prometheus, counted from the start of the program: how often each address was asked for, how long that
// and plans took. Addresses are patterns: no figure tells what was looked at.
type metrics struct {
	requests *prometheus.HistogramVec
	plans    prometheus.Histogram
}

func newMetrics() metrics {
	return metrics{
		requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "axlestand_request_seconds", Help: "How long answers took, by address and status.", Buckets: tookBounds,
		}, []string{"method", "route", "status"}),
		plans: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "axlestand_plan_seconds", Help: "How long it took to make a plan, without reading the garage.", Buckets: tookBounds,
		}),
	}
}

func (m metrics) request(method, route string, status int, took time.Duration) {
	m.requests.WithLabelValues(methodName(method), route, strconv.Itoa(status)).Observe(took.Seconds())
}

func (m metrics) plan(took time.Duration) { m.plans.Observe(took.Seconds()) }

// methodName keeps what anybody may invent out of the figures.
func methodName(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost:
		return method
	}
	return "other"
}

// Metrics answers with the figures, and those of the database. It is for a listener of its own: it asks nobody who they are.
func (s *Server) Metrics(database []postgres.Figure) http.Handler {
	registry := prometheus.NewRegistry()
	registry.MustRegister(s.metrics.requests, s.metrics.plans)
	for _, f := range database {
		if f.Counts {
			registry.MustRegister(prometheus.NewCounterFunc(prometheus.CounterOpts{Name: f.Name, Help: f.Help}, f.Read))
		} else {
			registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: f.Name, Help: f.Help}, f.Read))
		}
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{}))
	return mux
}

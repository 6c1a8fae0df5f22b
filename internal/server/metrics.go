package server

import (
	"fmt"
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"axlestand/internal/postgres"
)

// The figures for a Prometheus, in its text format 0.0.4 (https://prometheus.io/docs/instrumenting/exposition_formats/). They are
// few enough to be written by hand: how often each address was asked for, how long that and plans took, and the connections to
// the database. Addresses are patterns: no figure tells what was looked at.

// tookBounds are the upper ends of the ranges that durations are counted in, in seconds.
var tookBounds = []float64{0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10}

// took counts durations.
type took struct {
	counts [12]int64 // one more than bounds
	sum    float64
}

func (t *took) add(d time.Duration) {
	seconds := d.Seconds()
	i, _ := slices.BinarySearch(tookBounds, seconds)
	t.counts[i]++
	t.sum += seconds
}

type requestKind struct {
	method, route string
	status        int
}

// metrics are counted from the start of the program.
type metrics struct {
	mu       sync.Mutex
	requests map[requestKind]*took
	plans    took
}

func (m *metrics) request(kind requestKind, d time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.requests == nil {
		m.requests = map[requestKind]*took{}
	}
	if m.requests[kind] == nil {
		m.requests[kind] = &took{}
	}
	m.requests[kind].add(d)
}

func (m *metrics) plan(d time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.plans.add(d)
}

// methodName keeps what anybody may invent out of the figures.
func methodName(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost:
		return method
	}
	return "other"
}

// Metrics answers with the figures, and those of the database. It is for a listener of its own: it asks nobody who they are.
func (s *Server) Metrics(database func() []postgres.Figure) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/metrics" {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
		s.metrics.write(w)
		for _, v := range database() {
			head(w, v.Name, v.Kind, v.Help)
			fmt.Fprintf(w, "%s %g\n", v.Name, v.Value)
		}
	})
}

func (m *metrics) write(w io.Writer) {
	m.mu.Lock()
	defer m.mu.Unlock()
	head(w, "axlestand_request_seconds", "histogram", "How long answers took, by address and status.")
	kinds := slices.SortedFunc(maps.Keys(m.requests), func(a, b requestKind) int {
		return strings.Compare(a.route+" "+a.method+strconv.Itoa(a.status), b.route+" "+b.method+strconv.Itoa(b.status))
	})
	for _, k := range kinds {
		m.requests[k].write(w, "axlestand_request_seconds", fmt.Sprintf(`method=%q,route=%q,status="%d"`, k.method, k.route, k.status))
	}
	head(w, "axlestand_plan_seconds", "histogram", "How long it took to make a plan, without reading the garage.")
	m.plans.write(w, "axlestand_plan_seconds", "")
}

func head(w io.Writer, name, kind, help string) {
	fmt.Fprintf(w, "# HELP %s %s\n# TYPE %s %s\n", name, help, name, kind)
}

// write writes a histogram: each range counts those below it too.
func (t *took) write(w io.Writer, name, labels string) {
	comma, braces := "", ""
	if labels != "" {
		comma, braces = ",", "{"+labels+"}"
	}
	var total int64
	for i, count := range t.counts {
		total += count
		bound := "+Inf"
		if i < len(tookBounds) {
			bound = strconv.FormatFloat(tookBounds[i], 'g', -1, 64)
		}
		fmt.Fprintf(w, "%s_bucket{%s%sle=%q} %d\n", name, labels, comma, bound, total)
	}
	fmt.Fprintf(w, "%s_sum%s %g\n%s_count%s %d\n", name, braces, t.sum, name, braces, total)
}

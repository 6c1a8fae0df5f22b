package server

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

func TestMetrics(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.get("/tools").is(http.StatusOK)
	s.get("/tools/12345/edit").is(http.StatusNotFound)
	s.do(s.request("PROPFIND", "/secret-word", ""))
	s.get("/plan").is(http.StatusOK)
	pool := pgtest.Pool(t)
	metrics := s.server.Metrics(postgres.Figures(pool))
	w := httptest.NewRecorder()
	metrics.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	got := w.Body.String()
	for _, want := range []string{
		"# TYPE axlestand_request_seconds histogram\n",
		`axlestand_request_seconds_count{method="GET",route="/tools",status="200"} 1`,
		`axlestand_request_seconds_count{method="GET",route="/tools/{id}/edit",status="404"} 1`,
		`axlestand_request_seconds_bucket{method="GET",route="/tools",status="200",le="+Inf"} 1`,
		"axlestand_plan_seconds_count 1\n",
		"axlestand_database_connections_most 8\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	for _, not := range []string{"12345", "secret-word", "PROPFIND"} {
		if strings.Contains(got, not) {
			t.Errorf("the figures tell %q", not)
		}
	}
	w = httptest.NewRecorder()
	metrics.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/tools", nil))
	if w.Code != http.StatusNotFound {
		t.Errorf("another address of that listener is answered %d", w.Code)
	}
	if got := s.get("/metrics").status; got != http.StatusNotFound {
		t.Errorf("the garage itself answers it: %d", got)
	}
}

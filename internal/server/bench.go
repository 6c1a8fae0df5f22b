package server

import (
	"net/http"
	"net/url"
	"strings"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func (s *Server) benchIndex(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, page.Bench(page.NewBench(s.base(r, "Bench", ui.NavMore))))
}

// benchShow answers every calculator: what is typed is in the query, and what cannot be worked out is a 422.
func (s *Server) benchShow(w http.ResponseWriter, r *http.Request) error {
	settings, err := s.store.Settings(r.Context())
	if err != nil {
		return err
	}
	at := page.NewBenchPlace(settings, s.today(settings))
	v, known := page.NewCalculator(s.base(r, "Bench", ui.NavMore), r.PathValue("name"), queryOf(r), at)
	if !known {
		return garage.ErrNotFound
	}
	status := http.StatusOK
	if len(v.Errors) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return s.render(w, r, status, page.Calculator(v))
}

// queryOf is what a form sent by GET; what is no text is replaced as in a form sent by POST.
func queryOf(r *http.Request) url.Values {
	values := r.URL.Query()
	for name := range values {
		for i, v := range values[name] {
			values[name][i] = strings.ToValidUTF8(strings.NewReplacer("\r\n", "\n", "\x00", "\uFFFD").Replace(v), "\uFFFD")
		}
	}
	return values
}

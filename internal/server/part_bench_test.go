package server

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// manyStocked is a garage of 12,000 parts, each with pieces in one of 400 bins.
func manyStocked() garage.Records {
	var r garage.Records
	r.Settings = garage.Settings{Zone: "UTC", Currency: "EUR", DistanceUnit: "km", TorqueUnit: "Nm", Confidence: 80, Estimates: garage.TurnOut}
	names := []string{"Trailing arm", "Brake hose", "Seal", "Bush", "Bearing", "Gasket", "Bolt M8x30", "Lamp", "Relay", "Hose clamp"}
	for i := range 400 {
		r.Bins = append(r.Bins, garage.Bin{ID: garage.BinID(i + 1), Name: fmt.Sprintf("R%d-%d", i/20, i%20), Place: fmt.Sprint("rack ", i/20)})
	}
	for i := range 12_000 {
		id := garage.PartID(i + 1)
		r.Parts = append(r.Parts, garage.Part{
			ID: id, Name: fmt.Sprint(names[i%len(names)], " ", i%97), Number: fmt.Sprintf("QL %d-%d B", i%89, i), Unit: "piece", Currency: "EUR",
			OtherNumbers: fmt.Sprintf("QL %d-%d A > QL %d-%d B, Reed & Hale: 77.%d", i%89, i, i%89, i, i), Supplier: "Quill & Lathe",
		})
		r.Movements = append(r.Movements, garage.Movement{
			ID: garage.MovementID(i + 1), PartID: id, BinID: garage.BinID(i%400 + 1), Quantity: 1 + i%4, Kind: "bought",
		})
	}
	return r
}

// BenchmarkParts answers the pages of parts and bins of a garage of 12,000 stock pieces, with the slowest of twenty answers.
func BenchmarkParts(b *testing.B) {
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	store := postgres.New(pgtest.Pool(b))
	if err := store.Fill(b.Context(), manyStocked()); err != nil {
		b.Fatal(err)
	}
	s := New(Options{Store: store, Now: func() time.Time { return now }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	for name, page := range map[string]struct {
		show  func(http.ResponseWriter, *http.Request) error
		query string
	}{
		"first page": {s.partIndex, ""}, "page 60": {s.partIndex, "page=60"}, "two letters": {s.partIndex, "q=br"},
		"a number": {s.partIndex, "q=ql331042"}, "a bin": {s.partIndex, "q=" + url.QueryEscape("rack 7")}, "bins": {s.binIndex, ""},
		"labels": {s.binLabels, ""}, "a part": {func(w http.ResponseWriter, r *http.Request) error {
			r.SetPathValue("id", "4711")
			return s.partShow(w, r)
		}, ""},
	} {
		b.Run(name, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				start := time.Now()
				r := httptest.NewRequestWithContext(b.Context(), http.MethodGet, "/?"+page.query, http.NoBody)
				if err := page.show(httptest.NewRecorder(), r); err != nil {
					b.Fatal(err)
				}
				took = append(took, time.Since(start))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
		})
	}
}

package server

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
	"axlestand/testdata"
)

// manyJobs is the demo garage with small jobs added to its cars until there are so many.
func manyJobs(tb testing.TB, total int, today garage.Date) garage.Records {
	tb.Helper()
	records, err := exchange.ReadDemo(testdata.Demo, today)
	if err != nil {
		tb.Fatal(err)
	}
	for n := len(records.Jobs) + 1; n <= total; n++ {
		id := garage.JobID(1000 + n)
		records.Jobs = append(records.Jobs, garage.Job{
			ID: id, CarID: garage.CarID(1 + n%2), Kind: garage.Repair, Title: fmt.Sprintf("Small job %d", n), Weight: 1 + n%9, Currency: "EUR",
		})
		records.Stages = append(records.Stages, garage.Stage{
			ID: garage.StageID(1000 + n), JobID: id, Position: 1, Name: "Do it", Kind: garage.Bench,
			Low: 20, Likely: 30 + n%90, High: 200, Lift: n%3 == 0,
		})
	}
	return records
}

// BenchmarkPages answers pages whose plan is made already, and the first one after a change.
func BenchmarkPages(b *testing.B) {
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	for _, jobs := range []int{60, 500} {
		pool := pgtest.Pool(b)
		store := postgres.New(pool)
		if err := store.Fill(b.Context(), manyJobs(b, jobs, garage.DateOf(now))); err != nil {
			b.Fatal(err)
		}
		s := New(Options{Store: store, Now: func() time.Time { return now }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
		for name, h := range map[string]func(http.ResponseWriter, *http.Request) error{
			"today": s.todayShow, "plan": s.planShow, "cars": s.carIndex, "chances": s.planChances, "frees": s.planFrees,
		} {
			ask := func(b *testing.B) {
				if err := h(httptest.NewRecorder(), httptest.NewRequestWithContext(b.Context(), http.MethodGet, "/", http.NoBody)); err != nil {
					b.Fatal(err)
				}
			}
			b.Run(fmt.Sprintf("%s/%d jobs/planned already", name, jobs), func(b *testing.B) {
				for b.Loop() {
					ask(b)
				}
			})
			b.Run(fmt.Sprintf("%s/%d jobs/after a change", name, jobs), func(b *testing.B) {
				for b.Loop() {
					if _, err := pool.Exec(b.Context(), `update tools set note = note where false`); err != nil {
						b.Fatal(err)
					}
					ask(b)
				}
			})
		}
	}
}
